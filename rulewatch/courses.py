"""Courses: a body's book through its seasons and bulletins, and where in it a clause is that somebody names."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import replace
from datetime import date, timedelta
from difflib import get_close_matches
from itertools import pairwise

from rulewatch.compare.threads import Thread, Threads
from rulewatch.library import Library
from rulewatch.model.change import Comparison
from rulewatch.model.edition import Edition, Point, Selector, Stage
from rulewatch.model.fault import Fault, Place
from rulewatch.model.timeline import ClauseName, Course, Station, Timeline
from rulewatch.parse.consolidation import text_day, turning_days
from rulewatch.workspace import RULESETS, Workspace

Compare = Callable[[Edition, Edition], Comparison]
Located = tuple[Threads, Thread]


def seasons(workspace: Workspace, body: str, *, revision: str = "", most: int | None = None) -> tuple[Edition, ...]:
    """A body's newest edition and those before it, as each names its previous one, from old to new; the newest `most` of them."""
    headers = workspace.headers(body)
    season, found = workspace.latest(body), dict[str, Edition]()
    while season in headers and season not in found and (most is None or len(found) < most):
        edition = workspace.edition(Point(body=body, season=season, revision=revision))
        if edition is None:
            break
        found[season] = edition
        season = headers[season].previous
    return tuple(reversed(found.values()))


def course(workspace: Workspace, editions: Sequence[Edition], compare: Compare) -> Course:
    """The seasons, each as published and after each day on which bulletins came into force, compared one with the next."""
    stages = [stage for edition in editions for stage in _stages(workspace, edition)]
    return Course(
        points=tuple(point for point, _ in stages),
        editions=tuple(edition for _, edition in stages),
        comparisons=tuple(compare(old, new) for (_, old), (_, new) in pairwise(stages)),
    )


def again(course: Course, compare: Compare) -> Course:
    """The same course, compared otherwise."""
    return replace(course, comparisons=tuple(compare(one.old, one.new) for one in course.comparisons))


def _stages(workspace: Workspace, edition: Edition) -> Iterator[tuple[Point, Edition]]:
    """One season's points, with the edition at each; the last is the edition that has every bulletin."""
    published = replace(edition.point, selector=Selector.PUBLISHED)
    days = turning_days(edition.applied, text_day(edition.point, edition.header, edition.applied))
    points = (published, *(replace(edition.point, selector=Selector.DATE, day=day) for day in days))
    for point in points[:-1]:
        stage = workspace.edition(point)
        if stage is not None:
            yield point, stage
    yield points[-1], edition


def comparing(compare: Compare, *known: Comparison) -> Compare:
    """Compare two editions, each pair once; what is known is not compared again."""
    found = {(id(one.old), id(one.new)): one for one in known}

    def compared(old: Edition, new: Edition) -> Comparison:
        # A comparison keeps its editions alive, so that no other edition can come to have the identity of one.
        if (id(old), id(new)) not in found:
            found[id(old), id(new)] = compare(old, new)
        return found[id(old), id(new)]

    return compared


def stages(workspace: Workspace, edition: Edition) -> tuple[Stage, ...]:
    """The days of an edition's season on which cars may run, each with the text of that day.

    These are the events; without any, the day on which the edition takes effect, and every other on which a bulletin, a reading,
    a paper or an entry begins or has ended. Bulletins that come after the last event have days of their own. An edition of a
    single day or event is one stage. Days with the same bulletins and the same clauses suspended have the same edition.
    """
    point = edition.point
    events = sorted(edition.header.events, key=lambda event: event.on)
    if point.selector in {Selector.DATE, Selector.EVENT} or (edition.day is None and not events):
        return (Stage(edition=edition, day=edition.day),) if edition.day is not None else ()
    if point.selector is Selector.PUBLISHED and events:
        return tuple(Stage(edition=edition, day=event.on, title=event.title) for event in events)
    opening = edition.header.effective or edition.header.published or edition.day
    effective = set(turning_days(edition.applied, text_day(point, edition.header, edition.applied)))
    if events:
        bare = sorted(day for day in effective if day > events[-1].on)
    else:
        others = effective.union(_days_of(workspace, edition))
        bare = sorted({day for day in others if opening is not None and day > opening}.union({opening} if opening else ()))
    if point.selector is Selector.PUBLISHED:
        return tuple(Stage(edition=edition, day=day) for day in bare)
    wanted = [(event.on, event.title, replace(point, selector=Selector.EVENT, event=event.id)) for event in events]
    wanted += [(day, "", replace(point, selector=Selector.DATE, day=day)) for day in bare]
    texts = {(edition.applied, *edition.suspended): edition}
    found = []
    for day, title, at in wanted:
        text = workspace.edition(at)
        if text is not None:
            found.append(Stage(edition=texts.setdefault((text.applied, *text.suspended), text), day=day, title=title))
    return tuple(found)


def _days_of(workspace: Workspace, edition: Edition) -> Iterator[date]:
    """The days on which readings, papers and entries begin, and those after which they have ended."""
    after = timedelta(days=1)
    for readings in edition.readings.values():
        for reading in readings:
            yield from (day for day in (reading.since, reading.until and reading.until + after) if day is not None)
    for entry in (entry for car in workspace.cars for entry in car.entries if entry.body == edition.body.id):
        yield from (entry.since,) if entry.since is not None else ()
        yield from (waiver.until + after for waiver in entry.waivers)


def locate(library: Library, name: ClauseName, compare: Compare) -> Located | Fault | None:
    """The rule that a name means, in the course of its body: of all that ever had the number, the one that had it last.

    A fault where no body has such a rule, or several have; None where the workspace could not be opened.
    """
    workspace = library.workspace(name.revision)
    if workspace is None:
        return None
    named, clause = [name.body], name.clause
    if name.body not in workspace.bodies:
        if name.point is not None or name.revision:
            return _fault("unknown-edition", name, f"no body `{name.body}`", expected=_one_of(workspace.bodies))
        named, clause = _bodies_with(workspace, name.text), name.text
    if name.point is not None and name.point.season not in workspace.seasons(name.body):
        found = f"{name.body} has no season `{name.point.season}`"
        return _fault("unknown-edition", name, found, expected=_one_of(workspace.seasons(name.body)))
    if len(named) > 1:
        found = f"{' and '.join(named)} have a clause {clause}"
        return _fault("clause-of-several", name, found, remedy=f"name the body: `{named[0]} {clause}`")
    # Where none has it now or had it at a season's end, it may have stood until a bulletin.
    threads = []
    for body in named or workspace.bodies:
        editions = seasons(workspace, body, revision=name.revision)
        threads.append(Threads(course=course(workspace, editions, compare)))
        thread = threads[-1].find(body, clause, name.point)
        if thread is not None:
            return threads[-1], thread
    known = {number for one in threads for number in one.numbers}
    near = get_close_matches(clause, sorted(known), n=1)
    remedy = f"did you mean `{near[0]}`?" if near else "see the chapters under rulesets for the numbers there are"
    return _fault("unknown-clause", name, f"no clause `{clause}` in {_said(name, named)}", remedy=remedy)


def _fault(code: str, name: ClauseName, found: str, *, expected: str = "", remedy: str = "") -> Fault:
    place = Place(path="clause", line=1, column=1)
    return Fault(code=code, place=place, found=found, expected=expected, remedy=remedy, line_text=name.text)


def _said(name: ClauseName, named: Sequence[str]) -> str:
    return str(name.point) if name.point is not None else f"any season of {named[0]}" if named else "any body"


def _one_of(names: Sequence[str]) -> str:
    return f"one of: {', '.join(names) or 'none'}"


def with_recorders(library: Library, timeline: Timeline, revision: str = "") -> Timeline | Fault:
    """The timeline with who first recorded each reading, or the text where there is none: when all of its lines stood there.

    Who confirmed a reading is not one of its lines. A station whose lines no commit has yet stays without.
    """
    from rulewatch.store.history import first_recorded

    workspace = library.workspace(revision)
    if workspace is None:
        return timeline
    lines = [frozenset(_lines(workspace, station, revision)) for station in timeline.stations]
    found = first_recorded(library.root, f"{RULESETS}/{timeline.body.id}", frozenset().union(*lines), revision or "HEAD")
    if isinstance(found, Fault):
        return found
    order = {line: number for number, line in enumerate(found)}
    stations = [
        replace(station, recorded=found[max(wanted, key=order.__getitem__)]) if wanted and wanted <= found.keys() else station
        for station, wanted in zip(timeline.stations, lines, strict=True)
    ]
    return replace(timeline, stations=tuple(stations))


def _lines(workspace: Workspace, station: Station, revision: str) -> Iterator[tuple[str, str]]:
    """The lines of a station's readings, or of its text, each with its path below the workspace."""
    if station.clause is None:
        return
    for part in station.readings or (station.clause,):
        path = part.place.path.removeprefix(f"{revision}:")
        for line in workspace.lines(part.place, part.last_line):
            if line.strip() and not line.lstrip().startswith(("confirmed:", "```", "~~~")):
                yield path, line


def _bodies_with(workspace: Workspace, clause: str) -> list[str]:
    """The bodies whose newest edition has a clause; where none has, those that ever had it."""
    ever = {body: seasons(workspace, body) for body in workspace.bodies}
    for editions in ({body: found[-1:] for body, found in ever.items()}, ever):
        having = [body for body, found in editions.items() if any(clause in edition.by_id for edition in found)]
        if having:
            return having
    return []
