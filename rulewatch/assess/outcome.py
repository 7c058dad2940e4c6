"""Outcomes: what a verdict before and one after make for an entry, which finding decides, and the reason in words."""

from __future__ import annotations

from collections.abc import Sequence
from fractions import Fraction

from rulewatch.model.impact import Finding, Need, Outcome, Verdict
from rulewatch.model.quantity import Amount


def outcomes(
    before: Verdict,
    after: Verdict,
    *,
    margin_before: Amount | None = None,
    margin_after: Amount | None = None,
    needs: frozenset[Need] = frozenset(),
) -> tuple[Outcome, ...]:
    """The outcomes of a verdict before and after, most important first; none where nothing changed for the car.

    No margin on one side means that nothing bounds the car there.
    """
    if after is Verdict.ILLEGAL:
        return (Outcome.STILL_IN_BREACH if before is Verdict.ILLEGAL else Outcome.BREACH,)
    if after is Verdict.UNKNOWN:
        read = [Outcome.READ] if needs & {Need.READ, Need.ASK} else []
        return tuple([Outcome.MEASURE, *read] if Need.MEASURE in needs or not read else read)
    if before is not Verdict.LEGAL:
        return (Outcome.CURED,)
    return _moved(margin_before, margin_after)


def _moved(before: Amount | None, after: Amount | None) -> tuple[Outcome, ...]:
    if before is None or after is None:
        return () if before is after else (Outcome.TIGHTER if before is None else Outcome.ROOMIER,)
    if before.span == after.span:
        return ()
    return (Outcome.TIGHTER if after.span < before.span else Outcome.ROOMIER,)


def whole(findings: Sequence[Finding]) -> Verdict:
    """The verdict of several findings together."""
    return Verdict.every(finding.verdict for finding in findings)


def least_room(findings: Sequence[Finding]) -> Amount | None:
    """The smallest room to any bound that applies."""
    margins = [finding.margin for finding in findings if finding.applies and finding.margin is not None]
    return min(margins, key=lambda margin: margin.span, default=None)


def decisive(findings: Sequence[Finding]) -> Finding | None:
    """The finding that decides the verdict: the worst, then one that applies, then the one with the least room."""
    order = (Verdict.ILLEGAL, Verdict.UNKNOWN, Verdict.LEGAL)

    def rank(finding: Finding) -> tuple[int, bool, bool, Fraction]:
        margin = finding.margin
        return order.index(finding.verdict), not finding.applies, margin is None, Fraction(0) if margin is None else margin.span

    return min(findings, key=rank, default=None)


def reason(outcome: Outcome, before: Sequence[Finding], after: Sequence[Finding]) -> str:
    """The deciding finding's reason, with both margins where there is room on both sides."""
    deciding = decisive(after) or decisive(before)
    text = deciding.why if deciding is not None else "no rule speaks of it any more"
    if outcome in {Outcome.TIGHTER, Outcome.ROOMIER}:
        old, new = ("no limit" if margin is None else str(margin) for margin in (least_room(before), least_room(after)))
        return f"{text}; margin before: {old}, now: {new}"
    if outcome is Outcome.CURED and (was := decisive(before)) is not None:
        return f"{text}; before: {was.why}"
    return text
