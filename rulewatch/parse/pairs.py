"""Settled pairs: `pairs.yaml`, what a person has said about which clause became which."""

from __future__ import annotations

from rulewatch.model.edition import SettledPair
from rulewatch.model.fault import Fault, Source
from rulewatch.parse.fields import Fields, Report, open_fields, read_items, read_text
from rulewatch.parse.nodes import ListNode, ScalarNode, read_yaml


def parse_pairs(source: Source) -> tuple[tuple[SettledPair, ...], tuple[Fault, ...]]:
    """The pairings with the previous edition that a person has settled.

    An empty side, or one that is left out, says that the other has no counterpart. A clause is settled once.
    """
    node, faults = read_yaml(source)
    report = Report(source=source, faults=list(faults))
    if node is None:
        return (), faults
    found = []
    seen: dict[tuple[str, str], int] = {}
    for item in node.items if isinstance(node, ListNode) else read_items(node, report, "pairs.yaml"):
        part = open_fields(item, report, "a pair", optional=("old", "new", "note"))
        if part is None:
            continue
        sides = {side: _read_side(part, side, seen) for side in ("old", "new")}
        if not sides["old"] and not sides["new"]:
            report.fault("missing-key", item, "a pair without clauses", expected="`old`, `new`, or both")
        else:
            found.append(SettledPair(old=sides["old"], new=sides["new"], note=part.text("note"), place=item.place))
    return tuple(found), tuple(report.faults)


def _read_side(part: Fields, side: str, seen: dict[tuple[str, str], int]) -> tuple[str, ...]:
    """The clauses of one side; those that an earlier pair has settled are faults."""
    node = part.get(side)
    if node is None or (isinstance(node, ScalarNode) and node.empty):
        return ()
    found = []
    for item in node.items if isinstance(node, ListNode) else (node,):
        text = " ".join((read_text(item, part.report, side) or "").split())
        if (side, text) in seen:
            remedy = "keep one of the two"
            line = seen[side, text]
            part.report.fault("duplicate-key", item, f"the {side} clause `{text}` again (first on line {line})", remedy=remedy)
        elif text:
            seen[side, text] = item.place.line
            found.append(text)
    return tuple(found)
