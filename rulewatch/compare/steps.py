"""A value that goes by steps, taken apart: one course of values for each range in which it held the same all along."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import All, Bound, Condition, Fixed, Range, Steps, Test
from rulewatch.model.timeline import Fitting, Value, value_key

Course = tuple[Value | None, ...]


def taken_apart(values: Course, when: Condition | None, place: Place) -> Iterator[tuple[Course, Condition | None]]:
    """The courses of a value with the conditions under which they hold; the value itself where it has no steps.

    Beyond the last step nothing is allowed; a range in which that was so throughout is left out. Values that go by steps of
    different quantities stay whole.
    """
    steps = [value for value in values if isinstance(value, Steps)]
    if not steps or len({each.by for each in steps}) > 1 or not all(_is_simple(value) for value in values):
        yield values, when
        return
    edges = {edge.base: edge for each in steps for edge, _ in each.steps}
    ends: list[Amount | None] = [edges[base] for base in sorted(edges)]
    low: Amount | None = None
    for high, course in _merged([(high, tuple(_at(value, high) for value in values)) for high in (*ends, None)]):
        if any(value not in {None, Fitting.FORBIDDEN} for value in course):
            yield course, _within(steps[0].by, low, high, when, place)
        low = high


def _is_simple(value: Value | None) -> bool:
    return value is None or isinstance(value, Amount | Steps)


def _merged(ranges: Sequence[tuple[Amount | None, Course]]) -> Iterator[tuple[Amount | None, Course]]:
    """Ranges by their upper ends, neighbours with the same course as one."""
    for at, (high, course) in enumerate(ranges):
        following = ranges[at + 1][1] if at + 1 < len(ranges) else None
        if following is None or list(map(value_key, course)) != list(map(value_key, following)):
            yield high, course


def _at(value: Value | None, high: Amount | None) -> Value | None:
    """A value in the range that ends at an edge, None for the range beyond all."""
    if not isinstance(value, Steps):
        return value
    bound = next((bound for edge, bound in value.steps if high is not None and high.base <= edge.base), value.above)
    return Fitting.FORBIDDEN if bound is None else plain(bound)


def plain(bound: Bound) -> Value:
    """A bound as a value: what is fixed as itself."""
    return bound.value if isinstance(bound, Fixed) else bound


def _within(by: str, low: Amount | None, high: Amount | None, when: Condition | None, place: Place) -> Condition | None:
    if low is None and high is None:
        return when
    ends = Range(
        low=Fixed(value=low) if low is not None else None,
        low_strict=low is not None,
        high=Fixed(value=high) if high is not None else None,
    )
    test = Test(subject=by, constraint=ends, place=place)
    return test if when is None else All(parts=(test, when))
