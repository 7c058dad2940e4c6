"""Outcomes: what a verdict before and one after make for an entry, which finding decides, and the reason in words."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from datetime import date
from fractions import Fraction

from rulewatch.model.impact import Finding, Need, Outcome, Sort, Verdict
from rulewatch.model.quantity import Amount, digits

PLACES = 3  # decimals that anyone can measure in a garage


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """The room that findings leave: a margin, or none where nothing bounds the car, or where what does has no measure.

    `ends` is the last day of the first life that is over; a car's dates are the same on both sides, so another day comes of the rule.
    """

    margin: Amount | None = None
    bounded: bool = False
    ends: date | None = None

    def like(self, other: Room) -> str:
        """As a reason has it, in the unit of another margin where that has one."""
        if self.margin is None and self.ends is not None:
            return f"good until {self.ends}"
        if self.margin is None:
            return "without a measure" if self.bounded else "no limit"
        unit = other.margin.unit if other.margin is not None else self.margin.unit
        return f"{digits(self.margin.span / unit.factor, PLACES)} {unit.symbol}".strip()


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """Whether a legal value is nearer to its limit than its measurement can tell, before and now."""

    before: bool = False
    now: bool = False


NO_RISK = Risk()


def outcomes(
    before: Verdict,
    after: Verdict,
    *,
    had: Room = Room(),
    has: Room = Room(),
    needs: frozenset[Need] = frozenset(),
    risk: Risk = NO_RISK,
) -> tuple[Outcome, ...]:
    """The outcomes of a verdict before and after, most important first; none where nothing changed for the car."""
    if after is Verdict.ILLEGAL:
        return (Outcome.STILL_IN_BREACH if before is Verdict.ILLEGAL else Outcome.BREACH,)
    if after is Verdict.UNKNOWN:
        read = [Outcome.READ] if needs & {Need.READ, Need.ASK} else []
        return tuple([Outcome.MEASURE, *read] if Need.MEASURE in needs or not read else read)
    found = (Outcome.CURED,) if before is not Verdict.LEGAL else _moved(had, has)
    return (Outcome.AT_RISK, *found) if risk.now and (found or not risk.before) else found


def _moved(had: Room, has: Room) -> tuple[Outcome, ...]:
    """More or less room; a bound without a measure is neither more nor less than another."""
    before, after = had.margin, has.margin
    if before is not None and after is not None:
        return () if before.span == after.span else (Outcome.TIGHTER if after.span < before.span else Outcome.ROOMIER,)
    if before is None and after is not None and not had.bounded:
        return (Outcome.TIGHTER,)
    if before is not None and after is None and not has.bounded:
        return (Outcome.ROOMIER,)
    return _moved_end(had, has)


def _moved_end(had: Room, has: Room) -> tuple[Outcome, ...]:
    """A shorter or longer life; one where there was nothing, or nothing any more where there was one."""
    before, after = (room.ends or (None if room.bounded else date.max) for room in (had, has))
    if before is None or after is None or before == after:
        return ()
    return (Outcome.TIGHTER if after < before else Outcome.ROOMIER,)


def whole(findings: Sequence[Finding]) -> Verdict:
    """The verdict of several findings together."""
    return Verdict.every(finding.verdict for finding in findings)


def room(findings: Sequence[Finding]) -> Room:
    """The smallest room to any bound that applies."""
    applying = [finding for finding in findings if finding.applies]
    margins = [finding.margin for finding in applying if finding.margin is not None]
    ends = [finding.ends for finding in applying if finding.sort is Sort.DATED and finding.ends is not None]
    return Room(
        margin=min(margins, key=lambda margin: margin.span, default=None),
        bounded=bool(applying),
        ends=min(ends, default=None),
    )


def at_risk(findings: Sequence[Finding], crew_p: float) -> bool:
    """Whether a value that is legal conforms with less probability than the crew asks for."""
    legal = (finding.doubt for finding in findings if finding.verdict is Verdict.LEGAL)
    return any(doubt is not None and doubt.p < crew_p for doubt in legal)


def behind(outcome: Outcome, findings: Sequence[Finding]) -> Finding | None:
    """The finding that decides an outcome: of what is at risk the one whose measurement leaves most open, else the decisive one."""
    if outcome is not Outcome.AT_RISK:
        return decisive(findings)
    return min(findings, key=lambda finding: finding.doubt.p if finding.doubt is not None else 1.0, default=None)


def decisive(findings: Sequence[Finding]) -> Finding | None:
    """The finding that decides the verdict: the worst, then one that applies, then the one with the least room."""
    order = (Verdict.ILLEGAL, Verdict.UNKNOWN, Verdict.LEGAL)

    def rank(finding: Finding) -> tuple[int, bool, bool, Fraction]:
        margin = finding.margin
        return order.index(finding.verdict), not finding.applies, margin is None, Fraction(0) if margin is None else margin.span

    return min(findings, key=rank, default=None)


def reason(outcome: Outcome, before: Sequence[Finding], after: Sequence[Finding]) -> str:
    """The deciding finding's reason, with both margins where there is room on both sides."""
    found = behind(outcome, after)
    text = found.why if found is not None else "no rule speaks of it any more"
    if outcome is Outcome.AT_RISK and found is not None and found.doubt is not None:
        return f"{text}; by how it was measured, {100 * found.doubt.p:.0f} % sure"
    if outcome in {Outcome.TIGHTER, Outcome.ROOMIER}:
        had, has = room(before), room(after)
        what = "margin " if had.margin is not None or has.margin is not None else ""
        return f"{text}; {what}before: {had.like(has)}, now: {has.like(has)}"
    if outcome is Outcome.CURED and (was := decisive(before)) is not None:
        return f"{text}; before: {was.why}"
    return text
