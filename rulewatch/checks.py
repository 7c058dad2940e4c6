"""What must hold across files, and what is open: plain lists of functions over values.

Each function takes everything that was read and gives faults: those of `FAULTS` are wrong, those of `OPEN` wait for someone.
"""

from __future__ import annotations

import difflib
from collections.abc import Callable, Collection, Iterator
from dataclasses import dataclass
from graphlib import CycleError, TopologicalSorter

from rulewatch.assess.circles import in_circles
from rulewatch.assess.displacement import mismatch
from rulewatch.assess.facts import Facts
from rulewatch.assess.staleness import stale_values
from rulewatch.assess.states import disagreement
from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.assess.words import in_a_row
from rulewatch.compare.proposals import for_clause
from rulewatch.model.car import Car, Crew, Entry, Waiver
from rulewatch.model.change import DOUBTFUL, Comparison
from rulewatch.model.edition import Edition, SettledPair
from rulewatch.model.fault import Fault, Place
from rulewatch.model.impact import Assessment, Need
from rulewatch.model.job import Cause
from rulewatch.model.proposal import Proposal
from rulewatch.model.reading import Reading
from rulewatch.model.stated_numbers import StatedNumbers, stated_numbers
from rulewatch.model.vocabulary import Vocabulary, within
from rulewatch.model.worklist import State, Task


@dataclass(frozen=True, slots=True, kw_only=True)
class Everything:
    """What the checks look at: every edition with all its bulletins, the newest comparisons, and the cars as judged."""

    vocabulary: Vocabulary
    editions: tuple[Edition, ...]
    comparisons: tuple[Comparison, ...] = ()
    settled: tuple[tuple[Comparison, SettledPair], ...] = ()
    cars: tuple[Car, ...] = ()
    crew: Crew
    tracks: Collection[str] = ()
    assessments: tuple[Assessment, ...] = ()
    tasks: tuple[Task, ...] = ()  # the jobs of the cars, with what became of their causes


Check = Callable[[Everything], Iterator[Fault]]


def _readings(everything: Everything) -> Iterator[tuple[Edition, Reading]]:
    for edition in everything.editions:
        for readings in edition.readings.values():
            for reading in readings:
                yield edition, reading


def _near(name: str, known: Collection[str]) -> str:
    near = difflib.get_close_matches(name, list(known), n=1)
    return f"did you mean `{near[0]}`?" if near else ""


# --- Faults -----------------------------------------------------------------------------------------------------------


def check_days(everything: Everything) -> Iterator[Fault]:
    """An edition has a day to be judged on, or no entry of its body would be judged at all."""
    for edition in everything.editions:
        if edition.day is None:
            found = f"{edition.point} has no date"
            yield Fault(code="edition-undated", place=edition.header.place, found=found, remedy="say when it is `effective`")


def check_tracks(everything: Everything) -> Iterator[Fault]:
    """The tracks that events name have their files; without one there is no pace on it, and everything else goes on."""
    for edition in everything.editions:
        for event in edition.header.events:
            if event.track and event.track not in everything.tracks and event.track_at is not None:
                remedy = _near(event.track, everything.tracks) or f"write rulesets/tracks/{event.track}.yaml"
                found = f"no track `{event.track}`"
                yield Fault(code="unknown-track", place=event.track_at, found=found, remedy=remedy, warning=True)


def check_reading_classes(everything: Everything) -> Iterator[Fault]:
    """A reading names only classes that its edition has."""
    for edition, reading in _readings(everything):
        for name in reading.classes or ():
            if name not in edition.classes:
                found = f"the class `{name}`, which {edition.point} does not have"
                yield Fault(
                    code="unknown-class", place=reading.place_of(name), found=found, remedy=_near(name, edition.classes)
                )


def check_replaced_clauses(everything: Everything) -> Iterator[Fault]:
    """What a reading replaces is there, and has something to be replaced: the clauses under it are not meant."""
    for edition, reading in _readings(everything):
        known = edition.by_id if reading.instead_of else {}
        for name in reading.instead_of:
            if name not in known:
                found = f"`instead_of` names {name}, which {edition.point} does not have"
                yield Fault(code="unknown-clause", place=reading.place_of(name), found=found, remedy=_near(name, known))
            elif not _has_limits(name, edition):
                yield Fault(
                    code="replaces-nothing",
                    place=reading.place_of(name),
                    found=f"`instead_of` names {name} of {edition.point}, which has no limit of its own",
                    remedy="name the clauses that have the limits, those under it one by one",
                    warning=True,
                )


def _has_limits(clause: str, edition: Edition) -> bool:
    """Whether a clause limits, permits, weighs or closes anything by itself."""
    closes = any(scope.clause == clause for scope in edition.header.closed)
    readings = edition.readings.get(clause, ())
    return closes or any(one.limits or one.allows or one.minimum or one.adder or one.instead_of for one in readings)


def check_replacement_circles(everything: Everything) -> Iterator[Fault]:
    """No clause is read in place of itself, by whatever way; where conditions may keep them apart, that is for someone to see."""
    for edition in everything.editions:
        for name in edition.classes:
            readings = [one for found in edition.readings.values() for one in found if one.instead_of]
            readings = [one for one in readings if one.classes is None or name in one.classes]
            replaces: dict[str, set[str]] = {}
            for reading in readings:
                replaces.setdefault(reading.clause, set()).update(reading.instead_of)
            circles = in_circles(replaces)
            around = [one for one in readings if any((one.clause, other) in circles for other in one.instead_of)]
            kept_apart = any(one.when is not None or one.since is not None or one.until is not None for one in around)
            for reading in around:
                others = ", ".join(other for other in reading.instead_of if (reading.clause, other) in circles)
                yield Fault(
                    code="replacement-circle",
                    place=reading.place_of(next(other for other in reading.instead_of if (reading.clause, other) in circles)),
                    found=f"{reading.clause} of {edition.point} stands in place of {others}, which comes back to it",
                    remedy="see which of them rules; none is taken to lift the other's limits",
                    warning=kept_apart,
                )


def check_closing_clauses(everything: Everything) -> Iterator[Fault]:
    """The clause that closes a scope is there, in the edition as published or amended."""
    for edition in everything.editions:
        known = edition.by_id
        for scope in edition.header.closed:
            if scope.clause and scope.clause not in known:
                found = f"{scope.scope} is closed by {scope.clause}, which {edition.point} does not have"
                yield Fault(code="unknown-clause", place=scope.place, found=found, remedy=_near(scope.clause, known))


def check_settled_pairs(everything: Everything) -> Iterator[Fault]:
    """A pairing that a person settled names clauses that are there."""
    for comparison, pair in everything.settled:
        for ids, edition in ((pair.old, comparison.old), (pair.new, comparison.new)):
            known = edition.by_id
            for name in ids:
                if name not in known:
                    found = f"{name}, which {edition.point} does not have"
                    yield Fault(code="unknown-clause", place=pair.place, found=found, remedy=_near(name, known))


def check_entries(everything: Everything) -> Iterator[Fault]:
    """Cars are entered in bodies and classes that are there."""
    classes: dict[str, set[str]] = {}
    for edition in everything.editions:
        classes.setdefault(edition.body.id, set()).update(edition.classes)
    for car in everything.cars:
        for entry in car.entries:
            if entry.body not in classes:
                found = f"{car.id} is entered with the body `{entry.body}`, which is not there"
                yield Fault(code="unknown-edition", place=entry.place, found=found, remedy=_near(entry.body, classes))
            elif entry.class_name not in classes[entry.body]:
                found = f"{car.id} is entered in `{entry.class_name}`, a class that {entry.body} does not have"
                yield Fault(
                    code="unknown-class", place=entry.place, found=found, remedy=_near(entry.class_name, classes[entry.body])
                )


def check_waivers(everything: Everything) -> Iterator[Fault]:
    """A waiver is for a clause that its season's edition has, or some edition of its body where it names no season.

    It replaces what that clause says of the quantities that it names, so it should say something of them.
    """
    for car, entry, waiver in _waivers(everything):
        editions = [edition for edition in everything.editions if edition.body.id == entry.body]
        meant = [edition for edition in editions if waiver.season in {"", edition.header.season}]
        known = {clause.id for edition in meant for clause in edition.clauses}
        if not editions:
            continue
        if waiver.clause not in known:
            which = f"{entry.body}/{waiver.season}" if waiver.season else f"no edition of {entry.body}"
            found = f"a waiver of {waiver.clause}, which {which} {'does not have' if waiver.season else 'has'}"
            yield Fault(code="unknown-clause", place=waiver.place, found=found, remedy=_near(waiver.clause, known))
            continue
        for test in waiver.limits:
            if not any(_speaks_of(waiver.clause, test.subject, edition) for edition in meant):
                found = (
                    f"a waiver of {car.id} limits {test.subject}, of which {waiver.clause} says nothing that it could replace"
                )
                remedy = "name the clause that limits it, or correct the quantity"
                yield Fault(code="replaces-nothing", place=waiver.place, found=found, remedy=remedy, warning=True)


def _waivers(everything: Everything) -> Iterator[tuple[Car, Entry, Waiver]]:
    return ((car, entry, waiver) for car in everything.cars for entry in car.entries for waiver in entry.waivers)


def check_renumbered_waivers(everything: Everything) -> Iterator[Fault]:
    """A waiver that still runs names its clause by the number that it has now: it does not go with the rule to another."""
    for car, entry, waiver in _waivers(everything):
        for comparison in everything.comparisons:
            new = comparison.new
            runs = new.day is not None and waiver.until >= new.day
            if new.body.id != entry.body or not runs or waiver.season not in {"", comparison.old.header.season}:
                continue
            became = next((one.new for one in comparison.changes if any(old.id == waiver.clause for old in one.old)), ())
            numbers = tuple(clause.id for clause in became)
            said = _any_said(waiver, waiver.clause, comparison.old)
            still = not waiver.season and _any_said(waiver, waiver.clause, new)
            if numbers and waiver.clause not in numbers and said and not still:
                which = in_a_row(numbers)
                found = (
                    f"a waiver of {car.id} names {waiver.clause}, which is {which} in {new.point}: it counts for nothing there"
                )
                remedy = f"see whether the paper still holds, then name {which} and its `season`"
                yield Fault(code="replaces-nothing", place=waiver.place, found=found, remedy=remedy, warning=True)


def _any_said(waiver: Waiver, clause: str, edition: Edition) -> bool:
    return any(_speaks_of(clause, test.subject, edition) for test in waiver.limits)


def _speaks_of(clause: str, subject: str, edition: Edition) -> bool:
    """Whether a clause says something of a subject that a waiver could stand in the stead of."""
    if any(scope.clause == clause and within(subject, scope.scope) for scope in edition.header.closed):
        return True
    readings = edition.readings.get(clause, ())
    weighs = subject == WEIGHT and any(one.minimum or one.adder for one in readings)
    return weighs or any(subject in one.subjects() for one in readings)


def check_options(everything: Everything) -> Iterator[Fault]:
    """An option leaves alone what the car cannot alter."""
    for car in everything.cars:
        for option in car.options:
            for name, stated in option.alter.items():
                if name in car.spec and car.spec[name].fixed:
                    found = f"the option `{option.id}` alters {name}, which {car.id} states as fixed"
                    yield Fault(code="wrong-value", place=stated.place, found=found, remedy="correct one of the two")


def check_capacities(everything: Everything) -> Iterator[Fault]:
    """A car's capacity is what its bore, stroke and cylinders make of it, as far as the measurements can tell."""
    for car in everything.cars:
        found = mismatch(Facts(car=car, vocabulary=everything.vocabulary))
        if found is not None:
            what = f"{car.id} states {found.stated}, and its bore, stroke and cylinders come to {found.reckoned}"
            place = car.spec["engine.capacity"].place if "engine.capacity" in car.spec else car.place
            remedy = "correct the one that is wrong"
            yield Fault(code="values-disagree", place=place, found=what, remedy=remedy, warning=True)


def check_weights(everything: Everything) -> Iterator[Fault]:
    """The weight that the spec states and the sum of the corners agree, where both are of one day and one state."""
    for car in everything.cars:
        found = disagreement(Facts(car=car, vocabulary=everything.vocabulary))
        if found is not None and car.balance is not None and car.balance.weighed is not None:
            what = f"{car.id} weighs {found[0]} by its spec, and {found[1]} by its corners on the same day"
            remedy = "correct the one that is wrong"
            yield Fault(code="values-disagree", place=car.balance.weighed.place, found=what, remedy=remedy, warning=True)


def check_beginnings(everything: Everything) -> Iterator[Fault]:
    """No life of an item begins after the season in which it is used."""
    for one in everything.assessments:
        last = max((one.edition.header.last_day(event.on) for event in one.edition.header.events), default=one.day)
        for finding in one.findings:
            if finding.since is not None and finding.since > last:
                label = everything.vocabulary.in_sentence(finding.subject)
                what = f"{label} of {one.car.id} is of {finding.since}, after the last event of {one.edition.header.season}"
                remedy = "correct the day"
                yield Fault(code="values-disagree", place=one.car.place, found=what, remedy=remedy, warning=True)


def check_bulletin_numbers(everything: Everything) -> Iterator[Fault]:
    """A draft has a number of its own, or nobody knows which paper is meant."""
    for edition in everything.editions:
        final = {bulletin.number: bulletin for bulletin in edition.applied}
        for draft in edition.drafts:
            if draft.number in final:
                found = f"bulletin `{draft.number}` again, as in {final[draft.number].place.path}"
                yield Fault(code="wrong-value", place=draft.place, found=found, remedy="give the draft a number of its own")


def check_people(everything: Everything) -> Iterator[Fault]:
    """Whoever confirmed a reading or measured a value is one of the crew, where there is a crew."""
    people = everything.crew.people
    for _, reading in _readings(everything) if people else ():
        by = reading.confirmed.by if reading.confirmed is not None else ""
        if by and by not in people:
            yield Fault(
                code="unknown-person", place=reading.place_of(by), found=f"confirmed by `{by}`", remedy=_near(by, people)
            )
    for car in everything.cars if people else ():
        for stated in car.spec.values():
            by = stated.measurement.by if stated.measurement is not None else ""
            if by and by not in people:
                yield Fault(code="unknown-person", place=stated.place, found=f"measured by `{by}`", remedy=_near(by, people))
        for job in car.jobs:
            decided = (job.decision.by,) if job.decision is not None else ()
            booked = (by for one in job.booked for by in one.by)
            for by in dict.fromkeys((*job.by, *job.can, *decided, *booked, *(job.done.by if job.done is not None else ()))):
                if by and by not in people:
                    found = f"`{by}` in the job `{job.name}`"
                    yield Fault(code="unknown-person", place=job.place, found=found, remedy=_near(by, people))


def check_means(everything: Everything) -> Iterator[Fault]:
    """A job asks for skills and equipment that the crew has, where there is a crew."""
    crew = everything.crew
    skills = {skill for person in crew.people.values() for skill in person.skills}
    for car in everything.cars if crew.people else ():
        for job in car.jobs:
            for code, names, known in (
                ("unknown-skill", job.skills, skills),
                ("unknown-equipment", job.equipment, set(crew.equipment)),
            ):
                for name in names:
                    if name not in known:
                        found = f"`{name}` in the job `{job.name}`"
                        yield Fault(code=code, place=job.place, found=found, remedy=_near(name, known))


def check_order(everything: Everything) -> Iterator[Fault]:
    """A job comes after jobs of its own car, and none comes after itself, round however many corners."""
    for car in everything.cars:
        by_id = {job.id: job for job in car.jobs if job.id}
        for job in car.jobs:
            for before in job.after:
                if before not in by_id:
                    found = f"the job `{job.name}` comes after `{before}`"
                    yield Fault(code="unknown-job", place=job.place, found=found, remedy=_near(before, by_id))
        try:
            TopologicalSorter({name: set(job.after) for name, job in by_id.items()}).prepare()
        except CycleError as error:
            circle = error.args[1]
            found = " before ".join(f"`{name}`" for name in circle)
            yield Fault(code="jobs-in-circle", place=by_id[circle[-1]].place, found=found, remedy="take one `after` out")


def check_due_events(everything: Everything) -> Iterator[Fault]:
    """A job that is due for an event names one of a season of a body that its car is entered in."""
    known = {event.id for edition in everything.editions for event in edition.header.events}
    for task in everything.tasks:
        if isinstance(task.job.due, str) and task.due is None:
            found = f"the job `{task.job.name}` of {task.car} is due for `{task.job.due}`, which is no event of its rule books"
            remedy = _near(task.job.due, known) or "name an event of edition.yaml, or a day"
            yield Fault(code="unknown-event", place=task.job.place, found=found, remedy=remedy)


# --- Open points ------------------------------------------------------------------------------------------------------


def _open(code: str, place: Place, found: str, remedy: str) -> Fault:
    return Fault(code=code, place=place, found=found, remedy=remedy, warning=True)


def open_doubtful_places(everything: Everything) -> Iterator[Fault]:
    """Places of which intake was not sure what the published book says."""
    for edition in everything.editions:
        for doubt in edition.doubts:
            under = f" under {doubt.clause}" if doubt.clause else ""
            found = f"a doubtful place{under} of {edition.point}: {doubt.why}"
            yield _open("doubtful-place", doubt.place, found, "look into the published book, then take the block away")


def open_unread(everything: Everything) -> Iterator[Fault]:
    """Clauses without a reading."""
    for edition in everything.editions:
        for clause in edition.unread:
            found = f"{clause.id} of {edition.point} has no reading"
            yield _open("unread", clause.place, found, "write one, or say what it `concerns` if not the car")


def open_unconfirmed(everything: Everything) -> Iterator[Fault]:
    """Readings that nobody confirmed against the text as it stands, with the numbers in which the two differ by now."""
    for edition in everything.editions:
        comparison = next((one for one in everything.comparisons if one.new.point == edition.point), None)
        for clause in edition.clauses:
            readings = edition.readings.get(clause.id, ())
            waiting = [reading for reading in readings if not reading.is_confirmed(clause.digest)]
            stated = stated_numbers(clause.plain, edition.body) if waiting else None
            outdated = any(reading.is_outdated(clause.digest) for reading in waiting)
            proposals = for_clause(clause, edition, comparison) if outdated else {}
            for reading in waiting:
                was = "was confirmed against another text" if reading.confirmed is not None else "is not confirmed"
                behind = _behind(reading, readings, stated) if stated and reading.is_outdated(clause.digest) else ""
                found = f"the reading of {clause.id} of {edition.point} {was}{behind}"
                remedy = f"{_proposed(proposals.get(reading.place))}check it with `rulewatch confirm`, or write `confirmed: {{by: …, on: …, text: {clause.digest}}}`"
                yield _open("unconfirmed", reading.place, found, remedy)


def _proposed(proposal: Proposal | None) -> str:
    """What is proposed for a reading, in words; empty where nothing is."""
    if proposal is None:
        return ""
    if proposal.turned:
        return f"{proposal.turned}: "
    moves = in_a_row(tuple(dict.fromkeys(f"`{one}`" for one in proposal.replacements)))
    return f"{moves} is proposed: " if moves else ""


def _behind(reading: Reading, beside: tuple[Reading, ...], stated: StatedNumbers) -> str:
    """Which numbers of a reading its clause no longer says, and which it says now that no reading has, in words."""
    lost = dict.fromkeys(f"`{number.value}`" for number in reading.numbers if stated.lacks(number))
    came = dict.fromkeys(f"`{number.amount}`" for number in stated.unused(amount for one in beside for amount in one.amounts))
    told = [f"no longer says {in_a_row(tuple(lost))}"] if lost else []
    told += [f"now says {in_a_row(tuple(came))}"] if came else []
    return f": the clause {' and '.join(told)}" if told else ""


def open_unanswered(everything: Everything) -> Iterator[Fault]:
    """Questions to the officials without an answer."""
    for edition, reading in _readings(everything):
        if reading.is_open:
            found = f"asked on {reading.clause} of {edition.point}: {reading.ask}"
            yield _open("unanswered", reading.place, found, "write `answered: {on: …, by: …, ref: …}` when the answer is there")


def open_unmeasured(everything: Everything) -> Iterator[Fault]:
    """Values that a verdict waits for, by car."""
    for car in everything.cars:
        missing: dict[str, list[str]] = {}
        for assessment in everything.assessments:
            for finding in assessment.findings if assessment.car.id == car.id else ():
                for name in finding.missing if Need.MEASURE in finding.needs else ():
                    missing.setdefault(name, []).extend(finding.clauses)
        stale = {name: f"was {why}" for name, why in stale_values(car).items()}
        for name, clauses in missing.items():
            asked = ", ".join(dict.fromkeys(clauses)) or "a closed scope"
            stated = car.spec.get(name)
            place = stated.place if stated is not None else car.place
            quantity = everything.vocabulary.quantities.get(name)
            how = quantity.how[:1].lower() + quantity.how[1:].rstrip(".") if quantity is not None else ""
            what = "is not stated" if stated is None else stale.get(name) or "was measured under other conditions"
            found = f"{name} of {car.id} {what} (asked by {asked})"
            yield _open("unmeasured", place, found, how or "state it in car.yaml")


def open_classes(everything: Everything) -> Iterator[Fault]:
    """Entries in a class that the newest edition does not have any more."""
    newest = {edition.body.id: edition for edition in everything.editions}
    for car in everything.cars:
        for entry in car.entries:
            edition = newest.get(entry.body)
            had = any(entry.class_name in one.classes for one in everything.editions if one.body.id == entry.body)
            if edition is None or not had or entry.class_name in edition.classes:
                continue
            days = (edition.day, *(event.on for event in edition.header.events))
            if any(entry.covers(day) for day in days if day is not None):
                found = f"{car.id} is entered in `{entry.class_name}`, which is no class of {edition.point} any more"
                yield _open("class-gone", entry.place, found, "enter it in another class, or say how long this entry holds")


def open_drafts(everything: Everything) -> Iterator[Fault]:
    """Bulletins that are only proposed: they are checked, and nothing is judged by them."""
    for edition in everything.editions:
        for draft in edition.drafts:
            found = f"bulletin {draft.number} of {edition.point} is a draft for {draft.effective}, and counts for nothing yet"
            yield _open("draft", draft.place, found, "write `status: final` when it is issued, or take it away")


def open_unpaired(everything: Everything) -> Iterator[Fault]:
    """Pairs of clauses that are not sure enough to rely on."""
    for comparison in everything.comparisons:
        for change in comparison.changes:
            if change.old and change.new and not change.settled and change.certainty < DOUBTFUL:
                old, new = (", ".join(clause.id for clause in side) for side in (change.old, change.new))
                found = f"{old} of {comparison.old.point} became {new} of {comparison.new.point}, {change.certainty:.0%} sure"
                yield _open("unpaired", change.new[0].place, found, "settle it in pairs.yaml")


def open_lost_causes(everything: Everything) -> Iterator[Fault]:
    """Jobs whose cause is no clause that any book has or had."""
    for task in everything.tasks:
        cause = task.job.cause
        if task.lost and cause is not None and task.state is not State.DONE:
            found = f"the cause of the job `{task.job.name}` of {task.car} is not found: {cause.body}/{cause.season} has no {cause.clause}"
            known = {one.id for edition in everything.editions if _is_of(edition, cause) for one in edition.clauses}
            remedy = _near(cause.clause, known) or "name the clause by its number in that season, or take the cause out"
            yield _open("cause-lost", cause.place or task.job.place, found, remedy)


def _is_of(edition: Edition, cause: Cause) -> bool:
    return (edition.header.body, edition.header.season) == (cause.body, cause.season)


FAULTS: tuple[Check, ...] = (
    check_days,
    check_tracks,
    check_reading_classes,
    check_replaced_clauses,
    check_replacement_circles,
    check_closing_clauses,
    check_settled_pairs,
    check_entries,
    check_waivers,
    check_renumbered_waivers,
    check_options,
    check_capacities,
    check_weights,
    check_beginnings,
    check_bulletin_numbers,
    check_people,
    check_means,
    check_order,
    check_due_events,
)


def open_due_events(everything: Everything) -> Iterator[Fault]:
    """Jobs of the crew's own that are due for an event which several bodies of the car have in one year: the earlier is meant."""
    entered = {car.id: {entry.body for entry in car.entries} for car in everything.cars}
    for task in everything.tasks:
        name, due = task.job.due, task.due
        if not isinstance(name, str) or due is None or task.job.cause is not None or not task.state.waits:
            continue
        days = {
            edition.body.id: event.on
            for edition in everything.editions
            for event in edition.header.events
            if event.id == name and event.on.year == due.year and edition.body.id in entered[task.car]
        }
        if len(days) > 1:
            having = " and ".join(f"{body} ({day})" for body, day in days.items())
            found = f"the job `{task.job.name}` of {task.car} is due for `{name}`, which {having} have; the earlier is taken"
            yield _open("event-of-several", task.job.place, found, "write the day instead, or the cause of the job")


OPEN: tuple[Check, ...] = (
    open_doubtful_places,
    open_unread,
    open_unconfirmed,
    open_unanswered,
    open_unmeasured,
    open_classes,
    open_unpaired,
    open_drafts,
    open_lost_causes,
    open_due_events,
)


def run(checks: tuple[Check, ...], everything: Everything) -> tuple[Fault, ...]:
    """What a list of checks finds, in the order of the list."""
    return tuple(fault for check in checks for fault in check(everything))
