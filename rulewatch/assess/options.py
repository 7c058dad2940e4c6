"""Options: what became of an alteration that the crew could make, and of a part that the car could have, between two books.

Each is tried: the car is judged as if it were done. Only what the rules say of the altered quantities and components decides
whether it is allowed; what it brings with it elsewhere (more weight, another limit that the car would break) is told beside.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from enum import Enum

from rulewatch.assess.facts import Facts
from rulewatch.assess.outcome import decisive
from rulewatch.assess.subjects import WEIGHT, Context, spoken
from rulewatch.assess.verdicts import judge, judge_only
from rulewatch.assess.words import in_a_row
from rulewatch.compare.keys import condition_subjects
from rulewatch.model.car import Car, Stated
from rulewatch.model.change import Change
from rulewatch.model.impact import Assessment, Finding, Need, OptionEffect, Outcome, Side, Verdict
from rulewatch.model.vocabulary import Vocabulary, ancestors, within


class Standing(Enum):
    """What a book says of an alteration."""

    FORBIDDEN = "forbidden"
    WAITS = "waits"  # for a reading, or an answer of the officials
    FREE = "free"  # perhaps within limits on values that nobody stated yet


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
class Ruling:
    """What one book asks of the altered quantities and components, if the alteration were made."""

    findings: tuple[Finding, ...]

    @property
    def standing(self) -> Standing:
        """Forbidden where anything is illegal; waiting where anything is unknown for want of a reading or an answer."""
        if any(finding.verdict is Verdict.ILLEGAL for finding in self.findings):
            return Standing.FORBIDDEN
        waits = any(finding.needs & {Need.READ, Need.ASK} for finding in self.unknown)
        return Standing.WAITS if waits else Standing.FREE

    @property
    def unknown(self) -> tuple[Finding, ...]:
        """What cannot be told yet."""
        return tuple(finding for finding in self.findings if finding.verdict is Verdict.UNKNOWN)

    @property
    def deciding(self) -> tuple[Finding, ...]:
        """The findings that make the standing; of what is free, all that apply."""
        worst = {Standing.FORBIDDEN: Verdict.ILLEGAL, Standing.WAITS: Verdict.UNKNOWN}.get(self.standing)
        return tuple(finding for finding in self.findings if finding.applies and worst in {None, finding.verdict})

    @property
    def clauses(self) -> tuple[str, ...]:
        """The clauses that make the standing."""
        return tuple(dict.fromkeys(clause for finding in self.deciding for clause in finding.clauses))

    @property
    def side(self) -> Side:
        """As one side of an impact."""
        verdict = Verdict.every(finding.verdict for finding in self.findings)
        alone = Verdict.every(one for finding in self.findings for one in finding.alone.values())
        found = decisive(self.findings)
        return Side(verdict=verdict, alone=alone, margin=found.margin if found is not None else None)


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """An idea held against both books, where what they say of it differs."""

    idea: Idea
    names: tuple[str, ...]
    before: Ruling
    after: Ruling
    effect: OptionEffect

    def comes_from(self, change: Change, context: Context) -> bool:
        """Whether a change speaks of what is altered, and its clauses are among those that decide."""
        new, old = ({clause.id for clause in side} for side in (change.new, change.old))
        if not (new & set(self.after.clauses) or old & set(self.before.clauses)):
            return False
        return any(_related(name, own) for name in _spoken_of(change, context) for own in self.names)


def tried(context: Context) -> Iterator[Tried]:
    """Every idea of which the two books say different things. Only those are tried of which a change can speak."""
    if not context.before.entered:
        return
    named = {name for change in context.comparison.changed for name in _spoken_of(change, context)}
    everything = _differs_otherwise(context)
    for idea in (*_options(context.after.car), *_parts(named, context)):
        if everything or any(_related(name, own) for name in named for own in idea.alter):
            found = _tried(idea, context)
            if found is not None:
                yield found


def altered(car: Car, alter: Mapping[str, Stated]) -> Car:
    """The car as it would state itself: what becomes absent takes all under it away, what comes brings what it is a part of."""
    gone = [name for name, stated in alter.items() if not stated.present]
    come = {above for name, stated in alter.items() if stated.present for above in ancestors(name)}
    kept = {
        name: stated
        for name, stated in car.spec.items()
        if not any(within(name, one) for one in gone) and (stated.present or name not in come)
    }
    return replace(car, spec={**kept, **alter})


# --- What is tried ----------------------------------------------------------------------------------------------------


def _options(car: Car) -> Iterator[Idea]:
    for option in car.options:
        yield Idea(option=option.id, what=option.what, alter=option.alter)


def _parts(named: set[str], context: Context) -> Iterator[Idea]:
    """The parts that a change names and the car lacks, each in a system that the car has; none that an option brings."""
    facts, car = context.facts, context.after.car
    components = facts.vocabulary.components
    systems = {components[above].system for name in car.spec for above in (name, *ancestors(name)) if _has(above, facts)}
    offered = {name for option in car.options for name in option.alter}
    for name in sorted(named & components.keys() - offered):
        lacks = facts.of(name).present is False and facts.absent_part(name) == name
        if "." in name and lacks and components[name].system in systems:
            yield Idea(what=facts.vocabulary.label(name), alter={name: Stated(subject=name, place=car.place)})


def _has(name: str, facts: Facts) -> bool:
    return name in facts.vocabulary.components and bool(facts.of(name).present)


def _spoken_of(change: Change, context: Context) -> Iterator[str]:
    """The quantities and components that the readings of a change limit, permit or ask about, on either side."""
    for clauses, side in context.sides(change):
        for reading in spoken([clause.id for clause in clauses], side):
            yield from reading.subjects()
            yield from condition_subjects(reading.when)
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
    return before.edition is after.edition or any(before.day <= day < after.day for day in days)


def _related(one: str, other: str) -> bool:
    return within(one, other) or within(other, one)


# --- What comes of it -------------------------------------------------------------------------------------------------


def _tried(idea: Idea, context: Context) -> Tried | None:
    car = altered(context.after.car, idea.alter)
    facts = Facts(car=car, vocabulary=context.facts.vocabulary)
    above = {part for name in idea.alter for part in ancestors(name) if "." in part}
    moved = sorted(part for part in above if facts.of(part).present is not context.facts.of(part).present)
    names = (*idea.alter, *moved)
    before, after = (_ruling(side, car, names, context.facts.vocabulary) for side in (context.before, context.after))
    outcome = OUTCOMES.get((before.standing, after.standing))
    if outcome is None or not (idea.option or outcome is Outcome.OPENING):  # nobody meant to fit what is now forbidden
        return None
    why = _why(outcome, before, after, context.facts.vocabulary)
    beside = _beside(after, car, context) if outcome is Outcome.OPENING else ()
    effect = OptionEffect(option=idea.option, what=idea.what, outcome=outcome, why="; ".join((f"{idea.what}: {why}", *beside)))
    return Tried(idea=idea, names=names, before=before, after=after, effect=effect)


def _ruling(side: Assessment, car: Car, names: Sequence[str], vocabulary: Vocabulary) -> Ruling:
    return Ruling(findings=judge_only(side, car, names, vocabulary))


def _why(outcome: Outcome, before: Ruling, after: Ruling, vocabulary: Vocabulary) -> str:
    """Why it was not allowed, or no longer is, and within what limits it is now."""
    match outcome:
        case Outcome.CLOSING:
            return f"no longer allowed ({_reasons(after)})"
        case Outcome.READ:
            return f"whether it is allowed waits ({_reasons(after)})"
        case _:
            was = "was not allowed" if before.standing is Standing.FORBIDDEN else "was not known to be allowed"
            limits = in_a_row(tuple(f"{vocabulary.in_sentence(one.subject)} {one.bound}" for one in after.unknown))
            return f"{was} ({_reasons(before)}); now it is{f', with {limits}' if limits else ''}"


def _reasons(ruling: Ruling) -> str:
    found = dict.fromkeys(f"{one.why}, {in_a_row(one.clauses)}" if one.clauses else one.why for one in ruling.deciding)
    return "; ".join(found)


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
