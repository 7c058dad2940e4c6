"""The work of a job: hours in three points, parts with their waits, hours booked."""

from __future__ import annotations

import re
from collections.abc import Callable
from fractions import Fraction

from rulewatch.model.work import Booked, Estimate, Part
from rulewatch.parse.fields import Fields, Report, described, open_fields
from rulewatch.parse.nodes import MapNode, Node, ScalarNode

_Reader = Callable[[Node], Fraction | None]

SOME_HOURS = "hours of work, such as 2.5"
MONEY = "a plain number, such as 120"
HOURS = "hours of work, such as 2.5, or {low: 2, likely: 3, high: 6}"
WAIT = "a wait such as 10 days or 3 weeks, or {low: 2 weeks, likely: 3 weeks, high: 6 weeks}"
NUMBER = re.compile(r"\d{1,9}(?:\.\d{1,3})?", re.ASCII)
DAYS = {"day": 1, "days": 1, "week": 7, "weeks": 7}
PART_KEYS = ("lead", "on_hand", "order", "order_by", "ordered", "expected", "arrived", "paid", "cost")


def read_hours(part: Fields, key: str) -> Estimate | None:
    """Hours of work: one figure, or three."""
    return _read_estimate(part, key, _hours, HOURS)


def read_money(part: Fields, key: str) -> Estimate | None:
    """A sum of the crew's own money: one figure, or three."""
    return _read_estimate(part, key, _hours, f"{MONEY}, or {{low: 100, likely: 120, high: 180}}")


def read_number(node: Node | None, report: Report, name: str, expected: str) -> Fraction | None:
    """A plain number, not below 0; None where there is no node."""
    number = _hours(node) if node is not None else None
    if node is not None and number is None:
        report.fault("wrong-value", node, f"{described(node)} for `{name}`", expected=expected)
    return number


def read_parts(part: Fields) -> tuple[Part, ...]:
    """What a job waits for; one that does not say what it is is left out, with a fault."""
    found = (_read_part(item, part.report) for item in part.items("parts"))
    return tuple(one for one in found if one is not None)


def read_booked(part: Fields) -> tuple[Booked, ...]:
    """Hours booked: a number, or entries with day and person."""
    found = []
    for item in part.items("booked"):
        hours = _hours(item)
        if hours is not None:
            found.append(Booked(hours=hours))
        elif isinstance(item, MapNode):
            inner = open_fields(item, part.report, "booked", required=("hours",), optional=("on", "by"), notes=True)
            number = read_number(inner.get("hours"), part.report, "hours", SOME_HOURS) if inner is not None else None
            if inner is not None and number is not None:
                by = inner.texts("by") if inner.has("by") else ()
                found.append(Booked(hours=number, on=inner.day("on"), by=by))
        else:
            expected = f"{SOME_HOURS}, or {{hours: 2.5, on: …, by: …}}"
            part.report.fault("wrong-value", item, f"{described(item)} for `booked`", expected=expected)
    return tuple(found)


def _read_part(node: Node, report: Report) -> Part | None:
    part = open_fields(node, report, "a part", required=("what",), optional=PART_KEYS, notes=True)
    what = part.text("what") if part is not None else ""
    if part is None or not what:
        return None
    return Part(
        what=what,
        lead=_read_estimate(part, "lead", _days, WAIT),
        on_hand=part.text("on_hand"),
        order=part.day("order"),
        order_by=part.day("order_by"),
        ordered=part.day("ordered"),
        expected=part.day("expected"),
        arrived=part.day("arrived"),
        paid=part.day("paid"),
        cost=read_number(part.get("cost"), report, "cost", MONEY),
        place=node.place,
    )


def _read_estimate(part: Fields, key: str, read: _Reader, expected: str) -> Estimate | None:
    node = part.get(key)
    if node is None:
        return None
    one = read(node)
    if one is not None:
        return Estimate.exactly(one)
    if not isinstance(node, MapNode):
        part.report.fault("wrong-value", node, f"{described(node)} for `{key}`", expected=expected)
        return None
    inner = open_fields(node, part.report, key, required=("low", "likely", "high"), notes=True)
    values = [_point(inner, name, read, expected) for name in ("low", "likely", "high")] if inner is not None else [None]
    low, likely, high = (values * 3)[:3]
    if low is None or likely is None or high is None:
        return None
    if not low <= likely <= high:
        found = f"low {float(low):g}, likely {float(likely):g}, high {float(high):g}"
        part.report.fault("wrong-value", node, f"{found} for `{key}`", expected="three that do not fall")
        return None
    return Estimate(low=low, likely=likely, high=high)


def _point(inner: Fields, name: str, read: _Reader, expected: str) -> Fraction | None:
    node = inner.get(name)
    value = read(node) if node is not None else None
    if node is not None and value is None:
        inner.report.fault("wrong-value", node, f"{described(node)} for `{name}`", expected=expected.partition(", or {")[0])
    return value


def _hours(node: Node) -> Fraction | None:
    text = node.text.strip() if isinstance(node, ScalarNode) else ""
    return Fraction(text) if NUMBER.fullmatch(text) else None


def _days(node: Node) -> Fraction | None:
    number, _, unit = (node.text.strip() if isinstance(node, ScalarNode) else "").partition(" ")
    return Fraction(number) * DAYS[unit.strip()] if NUMBER.fullmatch(number) and unit.strip() in DAYS else None
