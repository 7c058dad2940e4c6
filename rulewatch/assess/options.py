"""Options: what became of an alteration that the crew could make, and of a part that the car could have, between two books.

Each is tried: the car is judged as if it were done. Only what the rules say of the altered quantities and components decides
whether it is allowed; what it brings with it elsewhere (more weight, another limit that the car would break) is told beside.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass

from rulewatch.assess.facts import Facts
from rulewatch.assess.rulings import Ruling, Standing, altered, ruling
from rulewatch.assess.subjects import WEIGHT, Context, spoken
from rulewatch.assess.verdicts import judge
from rulewatch.assess.words import in_a_row
from rulewatch.compare.keys import condition_subjects
from rulewatch.model.car import Car, Stated
from rulewatch.model.change import Change
from rulewatch.model.impact import Finding, OptionEffect, Outcome, Verdict
from rulewatch.model.vocabulary import Vocabulary, ancestors, within

# What a standing before and after come to; nothing for the others.
OUTCOMES = {
    (Standing.FORBIDDEN, Standing.FREE): Outcome.OPENING,
    (Standing.WAITS, Standing.FREE): Outcome.OPENING,
    (Standing.FREE, Standing.FORBIDDEN): Outcome.CLOSING,
    (Standing.WAITS, Standing.FORBIDDEN): Outcome.CLOSING,
    (Standing.FORBIDDEN, Standing.WAITS): Outcome.READ,
    (Standing.FREE, Standing.WAITS): Outcome.READ,
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Idea:
    """An alteration to try: an option of the crew's, or a part that the car lacks; then `option` is empty."""

    option: str = ""
    what: str
    alter: Mapping[str, Stated]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """An idea held against both books, where what they say of it differs.

    `subjects` are the quantities and components on which that hangs, `old` and `new` the clauses that speak of them.
    """

    before: Ruling
    after: Ruling
    subjects: tuple[str, ...]
    effect: OptionEffect

    @property
    def old(self) -> tuple[str, ...]:
        """The clauses of the old book."""
        return self.before.clauses(self.subjects)

    @property
    def new(self) -> tuple[str, ...]:
        """The clauses of the new book."""
        return self.after.clauses(self.subjects)

    @property
    def waits(self) -> Finding | None:
        """The finding of a clause that must be read or answered first; None where nothing waits."""
        waiting = (one for one in self.after.deciding if one.clauses)
        return next(waiting, None) if self.effect.outcome is Outcome.READ else None

    @property
    def waits_for(self) -> tuple[str, str] | None:
        """That clause, and what it speaks of."""
        return (self.waits.clauses[0], self.waits.subject) if self.waits is not None else None

    def causes(self, changes: Iterable[Change], context: Context) -> tuple[Change, ...]:
        """The changes that brought it: of the clauses that forbade it, else of those that do now, or that must be read."""
        speaking = [
            change
            for change in changes
            if any(_related(name, own) for name in _spoken_of(change, context) for own in self.subjects)
        ]
        old, new = set(self.old), set(self.new)
        of_old = tuple(change for change in speaking if old & {clause.id for clause in change.old})
        of_new = tuple(change for change in speaking if new & {clause.id for clause in change.new})
        return (of_old or of_new) if self.before.standing is Standing.FORBIDDEN else (of_new or of_old)


def tried(context: Context) -> Iterator[Tried]:
    """Every idea of which the two books say different things. Only those are tried of which a change can speak.

    A part is left out where an option that brings it is told: that is the same news. An option that stays forbidden tells nothing.
    """
    if not context.before.entered:
        return
    named = {name for change in context.comparison.changed for name in _spoken_of(change, context)}
    everything = _differs_otherwise(context)

    def told(ideas: Iterable[Idea]) -> Iterator[tuple[Idea, Tried]]:
        for idea in ideas:
            if everything or any(_related(name, own) for name in named for own in idea.alter):
                found = _tried(idea, context)
                if found is not None:
                    yield idea, found

    options = tuple(told(_options(context.after.car)))
    offered = {name for idea, _ in options for name in idea.alter}
    yield from (found for _, found in (*options, *told(_parts(named - offered, context))))


# --- What is tried ----------------------------------------------------------------------------------------------------


def _options(car: Car) -> Iterator[Idea]:
    for option in car.options:
        yield Idea(option=option.id, what=option.what, alter=option.alter)


def _parts(named: set[str], context: Context) -> Iterator[Idea]:
    """The parts of these names that the car lacks, each in a system that the car has."""
    facts, car = context.facts, context.after.car
    components = facts.vocabulary.components
    systems = {components[above].system for name in car.spec for above in (name, *ancestors(name)) if _has(above, facts)}
    for name in sorted(named & components.keys()):
        lacks = facts.of(name).present is False and facts.absent_part(name) == name
        if "." in name and lacks and components[name].system in systems:
            yield Idea(what=facts.vocabulary.label(name), alter={name: Stated(subject=name, place=car.place)})


def _has(name: str, facts: Facts) -> bool:
    return name in facts.vocabulary.components and bool(facts.of(name).present)


def _spoken_of(change: Change, context: Context) -> Iterator[str]:
    """The quantities and components that the readings of a change limit, permit or ask about, on either side.

    Of a clause without a confirmed reading, what its words name.
    """
    for clauses, side in context.sides(change):
        for reading in spoken([clause.id for clause in clauses], side):
            yield from reading.subjects()
            yield from condition_subjects(reading.when)
        for clause in clauses:
            readings = side.edition.readings.get(clause.id, ())
            if not readings or not all(reading.is_confirmed(clause.digest) for reading in readings):
                yield from context.topics.spoken_of(clause, side.edition.by_id)
        for scope in side.edition.header.closed:
            if scope.clause in {clause.id for clause in clauses}:
                yield scope.scope


def _differs_otherwise(context: Context) -> bool:
    """Whether the two sides differ in what stands in no clause: the class, closed scopes, tolerances, a paper, a reading's dates."""
    before, after = context.before, context.after
    headers = [(one.edition.header.closed, one.edition.header.tolerances) for one in (before, after)]
    if before.entry is not after.entry or headers[0] != headers[1]:
        return True
    days = {waiver.until for waiver in after.entry.waivers}
    return before.edition is after.edition or any(before.last_day <= day < after.last_day for day in days)


def _related(one: str, other: str) -> bool:
    return within(one, other) or within(other, one)


# --- What comes of it -------------------------------------------------------------------------------------------------


def _tried(idea: Idea, context: Context) -> Tried | None:
    before, after = (ruling(side, idea.alter, context.topics) for side in (context.before, context.after))
    outcome = OUTCOMES.get((before.standing, after.standing))
    forbidden = before.standing is Standing.FORBIDDEN
    if outcome is None or not (idea.option or forbidden or outcome is Outcome.OPENING):
        return None  # nobody meant to fit a part that was allowed all along
    why = _why(before, after, context.facts.vocabulary)
    beside = _beside(after, altered(context.after.car, idea.alter), context) if outcome is Outcome.OPENING else ()
    effect = OptionEffect(option=idea.option, what=idea.what, outcome=outcome, why="; ".join((f"{idea.what}: {why}", *beside)))
    deciding = before if forbidden else after
    subjects = tuple(dict.fromkeys(one.subject for one in deciding.deciding or before.deciding))
    return Tried(before=before, after=after, subjects=subjects, effect=effect)


def _why(before: Ruling, after: Ruling, vocabulary: Vocabulary) -> str:
    """Why it was not allowed, and within what limits it is now; or why it no longer is, or what it waits for."""
    was = f"was not allowed ({before.reasons}); " if before.standing is Standing.FORBIDDEN else ""
    match after.standing:
        case Standing.FORBIDDEN:
            return f"no longer allowed ({after.reasons})"
        case Standing.WAITS:
            return f"{was}whether it is allowed now waits for {after.reasons}"
        case Standing.FREE:
            was = was or f"was not known to be allowed, and waited for {before.reasons}; "
            unknown = (one for one in after.findings if one.verdict is Verdict.UNKNOWN)
            limits = in_a_row(tuple(dict.fromkeys(f"{vocabulary.in_sentence(one.subject)} {one.bound}" for one in unknown)))
            return f"{was}now it is{f', with {limits}' if limits else ''}"


def _beside(after: Ruling, car: Car, context: Context) -> Iterator[str]:
    """What the alteration would bring with it under the new book: more or less to weigh, and other limits broken."""
    base = context.after
    whole = judge(base.edition, car, base.entry, base.day, context.facts.vocabulary)
    least, most = (one.weight.greatest if one.weight is not None else None for one in (base, whole))
    if least is not None and most is not None and not least.same_value(most):
        yield f"the minimum weight becomes {most} instead of {least}"
    broken = {finding.subject for finding in base.findings if finding.verdict is Verdict.ILLEGAL}
    own = {finding.subject for finding in after.findings}
    for finding in whole.findings:
        if finding.verdict is Verdict.ILLEGAL and finding.subject not in {*broken, *own, WEIGHT}:
            yield f"it would break {in_a_row(finding.clauses)}: {finding.why}"
