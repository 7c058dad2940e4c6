"""The main path, in the order of its stages. Read this first.

    a published book → document → chapters (`new_edition.py`)
    files → text → clauses and readings → the edition at a point → pairs and changes → verdicts on a car → impacts → the site

Each stage is a call into one room, takes values and gives values. The faults travel beside them: a command reports every one
that was found on its way, and gives no result where something is wrong.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date
from fractions import Fraction
from functools import partial
from itertools import pairwise
from pathlib import Path
from types import MappingProxyType

from rulewatch import car_histories, checks, courses, joblists
from rulewatch.assess.balance import balance_sheet
from rulewatch.assess.entries import stage_of
from rulewatch.assess.facts import Facts
from rulewatch.assess.inspection import inspection_sheet
from rulewatch.assess.season import Season
from rulewatch.assess.states import states_of
from rulewatch.assess.together import together
from rulewatch.assess.topics import Topics
from rulewatch.assess.verdicts import judge
from rulewatch.compare.lineage import lineages
from rulewatch.compare.threads import Threads
from rulewatch.courses import Compare
from rulewatch.decide.ballast import with_placement
from rulewatch.decide.pace_sheet import Ground, ground_of, pace_sheet
from rulewatch.decide.readiness import plan as planned
from rulewatch.decide.trials import Trials
from rulewatch.joblists import Joblists
from rulewatch.library import Library
from rulewatch.model.alteration import CarHistory
from rulewatch.model.car import Car, Option
from rulewatch.model.change import Comparison
from rulewatch.model.edition import Edition, Point, Selector
from rulewatch.model.fault import Fault, Place, in_order
from rulewatch.model.impact import Assessment
from rulewatch.model.inspection import InspectionSheet
from rulewatch.model.legal import NearestLegal
from rulewatch.model.pace import PaceSheet
from rulewatch.model.plan import Plan
from rulewatch.model.result import Result
from rulewatch.model.site import ImpactReport, SiteInput, Worklist
from rulewatch.model.timeline import ClauseName, Habit, Scope, Timeline
from rulewatch.model.together import Together
from rulewatch.model.track import Track
from rulewatch.model.tradeoff import Tradeoff
from rulewatch.model.vocabulary import Vocabulary, within
from rulewatch.model.weighing import BalanceSheet
from rulewatch.model.worklist import Kept, State
from rulewatch.parse.consolidation import with_drafts
from rulewatch.two_points import compared
from rulewatch.workspace import Workspace

UNTITLED = "Rules and cars"  # the site of a workspace that has no name for it


# --- Compare: two points are compared in `two_points.py`, a body's editions here -----------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class History:
    """A body's newest edition and those before it, from old to new, with every bulletin; each compared with the one before."""

    editions: tuple[Edition, ...]
    comparisons: tuple[Comparison, ...]


def _history(library: Library, workspace: Workspace, body: str, *, logic: bool) -> History:
    """The editions of a body as each names its previous one."""
    editions = courses.seasons(workspace, body)
    return History(
        editions=editions, comparisons=tuple(compared(library, old, new, logic=logic) for old, new in pairwise(editions))
    )


def timeline(root: Path, name: ClauseName, *, recorded: bool = False) -> Result[tuple[Timeline, Vocabulary]]:
    """One clause through every season and bulletin of its body; with who first recorded each text and reading, where asked.

    The vocabulary is that of the workspace, which names the quantities.
    """
    with Library(root) as library:
        found = courses.locate(library, name, partial(compared, library))
        workspace = library.workspace(name.revision)
        if isinstance(found, Fault):
            return Result(value=None, faults=in_order((*library.faults, found)))
        if found is None or workspace is None:
            return Result(value=None, faults=library.faults)
        threads, thread = found
        # What each change did is only now worked out, and close to the crew's cars only for the clause itself.
        closely = frozenset(thread.numbers)
        course = courses.again(threads.course, partial(compared, library, logic=True, whole=False, closely=closely))
        value: Timeline | Fault = Threads(course=course).timeline(thread)
        if recorded and isinstance(value, Timeline):
            value = courses.with_recorders(library, value, name.revision)
        if isinstance(value, Fault):
            return Result(value=None, faults=in_order((*library.faults, value)))
        return Result(value=(value, workspace.vocabulary), faults=library.faults)


def car_history(root: Path, name: str) -> Result[tuple[CarHistory, Vocabulary]]:
    """What was altered on a car and when, as git and its job list know it, beside what the rules did in that time."""
    with Library(root) as library:
        workspace = library.workspace()
        car = workspace.car(name) if workspace is not None else None
        if workspace is None or car is None:
            return Result(value=None, faults=library.faults)
        found = car_histories.car_history(library, workspace, car, courses.comparing(partial(compared, library)))
        return Result(value=(found, workspace.vocabulary), faults=library.faults)


def _timelines(library: Library, workspace: Workspace, history: History) -> Iterator[Timeline]:
    """Every rule of a body to which anything ever happened. What the history has compared is not compared again."""
    compare = courses.comparing(partial(compared, library, logic=True, whole=False), *history.comparisons)
    threads = Threads(course=courses.course(workspace, history.editions, compare))
    return (one for one in map(threads.timeline, threads.all) if one.has_history)


# --- Verdicts and impacts ---------------------------------------------------------------------------------------------


def assess(edition: Edition, cars: tuple[Car, ...], workspace: Workspace) -> Iterator[Assessment]:
    """Every entry of the cars in an edition's body, judged by it; one that is over before its last text, by the last that it saw."""
    stages = courses.stages(workspace, edition)
    for car in cars:
        for entry in car.entries:
            stage = stage_of(edition, stages, entry) if entry.body == edition.body.id else None
            if stage is not None and entry.class_name in edition.classes:
                yield judge(stage.edition, car, entry, stage.day, workspace.vocabulary)


def report(old: Edition, new: Edition, cars: tuple[Car, ...], workspace: Workspace, compare: Compare) -> Iterator[ImpactReport]:
    """What the new book does to every entry, through its season; then, apart, what its drafts would.

    Each side is judged on its own days, with the car's values as they are now.
    """
    stages, topics = courses.stages(workspace, new), Topics(vocabulary=workspace.vocabulary)
    season = Season(before=old, stages=stages, compare=compare, topics=topics, crew_p=float(workspace.crew.p))
    yield from season.reports(cars)
    if new.drafts:
        drafted, _ = with_drafts(new)  # what is wrong with a draft is for `verify` to say
        since = min(draft.effective for draft in new.drafts)
        days = [stage.day for stage in stages if stage.day >= since] or [since]
        yield season.draft(cars, new, drafted, days)
    for event in new.header.events if new.point.selector is Selector.ALL else ():
        book = workspace.edition(replace(new.point, selector=Selector.EVENT, event=event.id))
        own = tuple(draft for draft in book.drafts if draft.events) if book is not None else ()
        if book is not None and own:
            book = replace(book, drafts=own)
            yield season.draft(cars, book, with_drafts(book)[0], [event.on])


def side_by_side(cars: tuple[Car, ...], reports: tuple[ImpactReport, ...], workspace: Workspace) -> tuple[Together, ...]:
    """The cars that are entered more than once, with what their books leave each of them."""
    told = {report.comparison.new.body.id for report in reports}
    bodies = dict.fromkeys(entry.body for car in cars for entry in car.entries if entry.body in workspace.bodies)
    books = (courses.seasons(workspace, body, most=1) for body in bodies if body not in told)
    alone = [one for (book,) in filter(None, books) for one in assess(book, cars, workspace)]
    found = (together(car, reports, alone, workspace.vocabulary) for car in cars)
    return tuple(one for one in found if one is not None)


def impact(
    root: Path, *, old: Point | None = None, new: Point | None = None, car: str | None = None
) -> Result[tuple[ImpactReport, ...]]:
    """What changed for every entry, or for one car's: between two points, or of each body's newest edition and the one before."""
    result = worklist(root, old=old, new=new, car=car)
    return Result(value=result.value.reports if result.value is not None else None, faults=result.faults)


def worklist(
    root: Path, *, old: Point | None = None, new: Point | None = None, car: str | None = None, keep: bool = False
) -> Result[Worklist]:
    """What changed, as in `impact`, with the jobs of each car; with `keep`, what the changes suggest is added to them on disk."""
    with Library(root) as library:
        workspace = library.workspace()
        if workspace is None:
            return Result(value=None, faults=library.faults)
        one = workspace.car(car) if car is not None else None
        cars = workspace.cars if car is None else (one,) if one is not None else ()
        if old is not None and new is not None:
            before, after = library.edition(old), library.edition(new)
            books = [(before, after)] if before is not None and after is not None else []
        else:
            books = _newest(workspace, cars)
        value, faults = _worklist(library, workspace, cars, books, root if keep else None)
        return Result(value=value, faults=faults)


def _worklist(
    library: Library, workspace: Workspace, cars: tuple[Car, ...], books: Sequence[tuple[Edition, Edition]], keep: Path | None
) -> tuple[Worklist, tuple[Fault, ...]]:
    """What changed between pairs of books, with the jobs of some cars; what the changes suggest is added below the root `keep`."""
    compare = courses.comparing(partial(compared, library))
    reports = tuple(one for before, after in books for one in report(before, after, cars, workspace, compare))
    bodies = (*joblists.bodies_of_causes(cars), *(before.body.id for before, _ in books if keep))
    trails = joblists.trails(workspace, bodies, compare)
    lists = Joblists(workspace=workspace, cars=cars, reports=reports, trails=trails)
    told = lists.told
    fit = all(fault.warning for fault in library.faults)
    kept = tuple(lists.keep(keep)) if keep and fit else ()
    added = {one.car: one.added for one in kept if isinstance(one, Kept)}
    if added:
        lists = replace(lists, cars=tuple(replace(each, jobs=each.jobs + added.get(each.id, ())) for each in cars))
    value = Worklist(
        reports=told,
        tasks=lists.tasks,
        vocabulary=workspace.vocabulary,
        together=side_by_side(cars, told, workspace),
        kept=tuple(one for one in kept if isinstance(one, Kept)),
        crew=workspace.crew,
    )
    return value, (*library.faults, *(one for one in kept if isinstance(one, Fault)))


def _newest(workspace: Workspace, cars: Iterable[Car]) -> list[tuple[Edition, Edition]]:
    """Of each body that some cars are entered in, the newest two books."""
    entered = dict.fromkeys(entry.body for car in cars for entry in car.entries if entry.body in workspace.bodies)
    return [pair for body in entered for pair in pairwise(courses.seasons(workspace, body, most=2))]


# --- Plan -----------------------------------------------------------------------------------------------------------------


def plan(root: Path, names: Sequence[str], day: date, *, tell: Callable[[str], None] = lambda _: None) -> Result[Plan]:
    """Who does what when on some cars, or on all where none is named, from a day on; and how likely it is to be ready in time.

    `tell` is told what is being worked out.
    """
    with Library(root) as library:
        workspace = library.workspace()
        if workspace is None:
            return Result(value=None, faults=library.faults)
        cars = tuple(car for name in names if (car := workspace.car(name)) is not None) if names else workspace.cars
        if len(cars) < len(names):
            return Result(value=None, faults=library.faults)
        tell("reading what the rules ask for")
        work, faults = _worklist(library, workspace, cars, _newest(workspace, cars), None)
        value = planned(work.tasks, [car.id for car in cars], workspace.crew, day, tell=tell)
        return Result(value=value, faults=faults)


# --- Weight and balance ---------------------------------------------------------------------------------------------------


def weigh(root: Path, name: str, *, point: Point | None = None) -> Result[tuple[BalanceSheet, Vocabulary]]:
    """How a car stands on its wheels, and what the scales of each inspection will find: in each body's newest season, or at a point.

    The vocabulary is that of the workspace, which names the quantities.
    """
    with Library(root) as library:
        workspace = library.workspace()
        car = workspace.car(name) if workspace is not None else None
        if workspace is None or car is None:
            return Result(value=None, faults=library.faults)
        found = tuple(_judged(library, workspace, car, point))
        return Result(value=(_balance(workspace, car, found), workspace.vocabulary), faults=library.faults)


def _balance(workspace: Workspace, car: Car, judged: tuple[Assessment, ...]) -> BalanceSheet:
    """The weight sheet of a car, with the ballast of each entry placed."""
    topics, facts = Topics(vocabulary=workspace.vocabulary), Facts(car=car, vocabulary=workspace.vocabulary)
    states = states_of(facts)
    sheet = balance_sheet(facts, states, judged, Fraction(workspace.crew.p))
    if isinstance(states, str):
        return sheet
    return replace(
        sheet, outlooks=tuple(with_placement(one, states, topics, float(workspace.crew.p)) for one in sheet.outlooks)
    )


def pace(root: Path, name: str, *, track: str | None = None) -> Result[PaceSheet]:
    """The pace of a car on the tracks of its bodies' newest seasons, in the order of the events; or on one track."""
    with Library(root) as library:
        workspace = library.workspace()
        car = workspace.car(name) if workspace is not None else None
        if workspace is None or car is None:
            return Result(value=None, faults=library.faults)
        names = (track,) if track is not None else tuple(_calendar(workspace, car))
        tracks, notes = [], []
        for one in names:
            found: Track | None = workspace.tracks.get(one)
            if found is not None:
                tracks.append(found)
            elif track is not None:
                known = ", ".join(workspace.tracks) or "none"
                at = Place(path=f"rulesets/tracks/{one}.yaml")
                fault = Fault(code="unknown-track", place=at, found=f"no track `{one}`", expected=f"one of: {known}")
                return Result(value=None, faults=in_order((*library.faults, fault)))
            else:
                notes.append(f"no pace on {one}: rulesets/tracks has no {one}.yaml that can be read")
        if not names:
            notes.append("no event of its newest seasons names a track")
        facts = Facts(car=car, vocabulary=workspace.vocabulary)
        return Result(value=pace_sheet(facts, tracks, notes), faults=library.faults)


def _calendar(workspace: Workspace, car: Car) -> Iterator[str]:
    """The tracks of a car's events in the newest season of each of its bodies, each once, by day."""
    headers = [
        header
        for body in dict.fromkeys(entry.body for entry in car.entries if entry.body in workspace.bodies)
        if (header := workspace.header(body, workspace.latest(body))) is not None
    ]
    events = sorted((event for header in headers for event in header.events), key=lambda event: event.on)
    return iter(dict.fromkeys(event.track for event in events if event.track))


def tradeoff(
    root: Path,
    name: str,
    day: date,
    *,
    limits: Mapping[str, int] = MappingProxyType({}),
    point: Point | None = None,
    explain: str | None = None,
    most: int = 10,
) -> Result[Tradeoff]:
    """The options of a car compared from a day on: in each body's newest season, or at a point; and one of them explained.

    `limits` has money and hours in hundredths, and days of waiting; `most` bounds how many combinations of a kind are told.
    """
    from rulewatch.decide.combinations import Limits  # these bring the solver
    from rulewatch.decide.tradeoff import Compared
    from rulewatch.decide.worth import Alone

    with Library(root) as library:
        workspace = library.workspace()
        car = workspace.car(name) if workspace is not None else None
        if workspace is None or car is None:
            return Result(value=None, faults=library.faults)
        if explain is not None and explain not in {option.id for option in car.options}:
            known = ", ".join(option.id for option in car.options) or "none"
            at = Place(path=f"cars/{name}/options.yaml")
            fault = Fault(code="unknown-option", place=at, found=f"no option `{explain}`", expected=f"one of: {known}")
            return Result(value=None, faults=in_order((*library.faults, fault)))
        sides = tuple(_judged(library, workspace, car, point))
        states = states_of(Facts(car=car, vocabulary=workspace.vocabulary))
        grounds = {name: ground_of(track) for name, track in workspace.tracks.items()}
        compared_with = Compared(
            trials=Trials(car=car, sides=sides, topics=Topics(vocabulary=workspace.vocabulary)),
            grounds=tuple(tuple(_grounds(side, grounds)) for side in sides),
            states=states if not isinstance(states, str) else None,
            day=day,
            currency=workspace.crew.currency,
        )
        if explain is None:
            found = compared_with.tradeoff(Limits(**limits), most=most)
        else:
            found = compared_with.bare()
            option = next(one for one in car.options if one.id == explain)
            habits = tuple(_habits(library, workspace, dict.fromkeys(side.entry.body for side in sides), option))
            found = replace(found, explained=Alone(compared=compared_with, option=explain).worth(habits))
        return Result(value=found, faults=library.faults)


def _grounds(side: Assessment, grounds: Mapping[str, Ground]) -> Iterator[Ground]:
    """The tracks of a class's season, each once, in the order of the events that the entry covers."""
    events = sorted(side.edition.header.events, key=lambda event: event.on)
    names = dict.fromkeys(event.track for event in events if side.entry.covers(event.on))
    return (grounds[name] for name in names if name in grounds)


def _habits(library: Library, workspace: Workspace, bodies: Iterable[str], option: Option) -> Iterator[tuple[str, Habit]]:
    """How long freedoms on what an option alters have lasted in each body: each quantity and component once."""
    for body in bodies:
        editions = courses.seasons(workspace, body)
        compare = courses.comparing(partial(compared, library, logic=True, whole=False))
        threads = Threads(course=courses.course(workspace, editions, compare))
        found = (habit for each in threads.all for habit in threads.timeline(each).habits if habit.scope is Scope.QUANTITY)
        own = {habit.about: habit for habit in found if any(within(name, habit.about) for name in option.alter)}
        yield from ((body, habit) for _, habit in sorted(own.items()) if habit.freedoms)


def nearest_legal(
    root: Path, *, point: Point | None = None, name: str | None = None
) -> Result[tuple[tuple[NearestLegal, ...], Vocabulary]]:
    """The nearest legal car of each car, or of one: in each body's newest season, or at a point.

    The vocabulary is that of the workspace, which names the quantities.
    """
    from rulewatch.assess.legality import nearest  # brings the solver

    with Library(root) as library:
        workspace = library.workspace()
        if workspace is None:
            return Result(value=None, faults=library.faults)
        one = workspace.car(name) if name is not None else None
        cars = workspace.cars if name is None else (one,) if one is not None else ()
        judged = [(car, tuple(_judged(library, workspace, car, point))) for car in cars]
        found = tuple(nearest(car, entries, workspace.vocabulary) for car, entries in judged if entries)
        return Result(value=(found, workspace.vocabulary), faults=library.faults)


def inspection(
    root: Path, name: str, day: date, *, point: Point | None = None
) -> Result[tuple[tuple[InspectionSheet, ...], Vocabulary]]:
    """The inspection sheet of a car in each of its classes: at a point, or for the first event that each entry has from a day on.

    The vocabulary is that of the workspace, which names the quantities.
    """
    with Library(root) as library:
        workspace = library.workspace()
        car = workspace.car(name) if workspace is not None else None
        if workspace is None or car is None:
            return Result(value=None, faults=library.faults)
        judged = _judged(library, workspace, car, point) if point is not None else _at_next_events(workspace, car, day)
        return Result(value=(_inspections(workspace, judged), workspace.vocabulary), faults=library.faults)


def _inspections(workspace: Workspace, judged: Iterable[Assessment]) -> tuple[InspectionSheet, ...]:
    vocabulary, crew_p = workspace.vocabulary, float(workspace.crew.p)
    return tuple(inspection_sheet(one, vocabulary, crew_p) for one in judged)


def _at_next_events(workspace: Workspace, car: Car, day: date) -> Iterator[Assessment]:
    """Each entry of a car as it will be judged at its first event from a day on; after the last one, as the newest season has it.

    The new book often comes out while the old season still runs. Of an entry that is over there is nothing more to inspect.
    """
    for entry in car.entries:
        if entry.body not in workspace.bodies or (entry.until is not None and entry.until < day):
            continue
        coming = [
            (event.on, season, event.id)
            for season, header in workspace.headers(entry.body).items()
            if (event := header.next_event(day, entry.covers)) is not None
        ]
        if coming:
            on, season, name = min(coming)
            book = workspace.edition(Point(body=entry.body, season=season, selector=Selector.EVENT, event=name))
            if book is not None and entry.class_name in book.classes:
                yield judge(book, car, entry, on, workspace.vocabulary)
            continue
        for edition in courses.seasons(workspace, entry.body, most=1):
            yield from assess(edition, (replace(car, entries=(entry,)),), workspace)


def _judged(library: Library, workspace: Workspace, car: Car, point: Point | None) -> Iterator[Assessment]:
    """A car in each of its classes: in the newest season of each body, or in the one at a point."""
    if point is not None:
        edition = library.edition(point)
        yield from assess(edition, (car,), workspace) if edition is not None else ()
        return
    for body in dict.fromkeys(entry.body for entry in car.entries if entry.body in workspace.bodies):
        for edition in courses.seasons(workspace, body, most=1):
            yield from assess(edition, (car,), workspace)


# --- Everything: verify and publish -----------------------------------------------------------------------------------


def site(root: Path, day: date, *, timelines: bool = True) -> Result[SiteInput]:
    """Work out everything that the site shows for a day, what is open among it. Every season is read, so every fault is found.

    Without `timelines` the rules are not followed through the bulletins, which takes a comparison for each, and what readings
    allow is not compared as logic.
    """
    with Library(root) as library:
        workspace = library.workspace()
        if workspace is None:
            return Result(value=None, faults=library.faults)
        found = (_history(library, workspace, body, logic=timelines) for body in workspace.bodies)
        histories = [history for history in found if history.editions]
        everything = _everything(library, workspace, histories)
        compare = courses.comparing(partial(compared, library), *everything.comparisons)
        cars = workspace.cars
        reports = tuple(one for each in everything.comparisons for one in report(each.old, each.new, cars, workspace, compare))
        trails = joblists.trails(workspace, joblists.bodies_of_causes(cars), compare)
        lists = Joblists(workspace=workspace, cars=cars, reports=reports, trails=trails)
        everything = replace(everything, tasks=tuple(task for task in lists.tasks if task.state is not State.SUGGESTED))
        editions = tuple(_every_edition(library, workspace))
        drafted = [with_drafts(edition) for edition in editions if edition.drafts]
        unfit = [replace(fault, warning=True) for _, faults in drafted for fault in faults]  # a draft stops nothing
        checked = replace(everything, editions=(*editions, *(edition for edition, _ in drafted)))
        wrong = (*unfit, *checks.run(checks.FAULTS, checked))
        value = SiteInput(
            title=workspace.settings.title or UNTITLED,
            base=workspace.settings.base,
            day=day,
            vocabulary=workspace.vocabulary,
            bodies=tuple(history.editions[-1].body for history in histories),
            editions=tuple(edition for history in histories for edition in history.editions),
            comparisons=tuple(comparison for history in histories for comparison in history.comparisons),
            cars=cars,
            assessments=everything.assessments,
            impacts=lists.told,
            lineages={
                key: rule for history in histories for key, rule in lineages(history.editions, history.comparisons).items()
            },
            timelines=tuple(one for history in histories for one in _timelines(library, workspace, history))
            if timelines
            else (),
            open_points=workspace.with_lines(checks.run(checks.OPEN, everything)),
            crew=workspace.crew,
            tasks=lists.tasks,
            together=side_by_side(cars, lists.told, workspace),
            inspections=tuple(one for car in cars for one in _inspections(workspace, _at_next_events(workspace, car, day))),
            balances=tuple(
                _balance(workspace, car, judged)
                for car in cars
                if (judged := tuple(one for one in everything.assessments if one.car is car))
            ),
        )
        return Result(value=value, faults=in_order((*library.faults, *workspace.unused(), *workspace.with_lines(wrong))))


def _everything(library: Library, workspace: Workspace, histories: Sequence[History]) -> checks.Everything:
    """What the checks look at: of each body the newest two editions, and every entry judged by the newest."""
    return checks.Everything(
        vocabulary=workspace.vocabulary,
        editions=tuple(edition for history in histories for edition in history.editions[-2:]),
        comparisons=tuple(comparison for history in histories for comparison in history.comparisons[-1:]),
        settled=tuple(
            (comparison, pair)
            for history in histories
            for comparison in history.comparisons
            for pair in library.settled(comparison.old, comparison.new)
        ),
        cars=workspace.cars,
        crew=workspace.crew,
        tracks=tuple(workspace.tracks),
        assessments=tuple(one for history in histories for one in assess(history.editions[-1], workspace.cars, workspace)),
    )


def _every_edition(library: Library, workspace: Workspace) -> Iterator[Edition]:
    """Every edition of the workspace, those too that no newer one names as its previous."""
    for body in workspace.bodies:
        for season in workspace.headers(body):
            edition = library.edition(Point(body=body, season=season))
            if edition is not None:
                yield edition
