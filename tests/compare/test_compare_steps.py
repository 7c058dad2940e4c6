"""Values that go by steps of another quantity, over time: each range of it has a course of its own."""

from __future__ import annotations

from rulewatch.compare.keys import condition_key
from rulewatch.compare.steps import taken_apart
from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.model.reading import All, Fixed, Linear, Presence, Range, Steps
from rulewatch.model.reading import Test as Requirement
from rulewatch.model.timeline import Fitting

PLACE = Place(path="03.md", line=1, column=1)
WING = Requirement(subject="aero.rear_wing", constraint=Presence(present=True), place=PLACE)


def kg(number: int) -> Amount:
    """Kilograms."""
    return Amount(number=number, unit=find_unit("kg"))


def cc(number: int) -> Amount:
    """Cubic centimetres."""
    return Amount(number=number, unit=find_unit("cc"))


def by_capacity(*steps: tuple[int, int], above: int | None = None) -> Steps:
    """A weight by engine capacity."""
    return Steps(
        by="engine.capacity",
        steps=tuple((cc(edge), Fixed(value=kg(value))) for edge, value in steps),
        above=Fixed(value=kg(above)) if above is not None else None,
    )


def between(low: int | None, high: int | None) -> object:
    """The condition of a range, as a key."""
    ends = Range(
        low=Fixed(value=cc(low)) if low is not None else None,
        low_strict=low is not None,
        high=Fixed(value=cc(high)) if high is not None else None,
    )
    return condition_key(Requirement(subject="engine.capacity", constraint=ends, place=PLACE))


def test_each_range_has_its_own_course() -> None:
    """A step that was put between two others cuts the range of the wider one; before it, that one's value held there."""
    found = list(
        taken_apart((by_capacity((2000, 860), (3500, 1040)), by_capacity((2000, 870), (3000, 1000), (3500, 1040))), None, PLACE)
    )
    assert [(course, condition_key(when)) for course, when in found] == [
        ((kg(860), kg(870)), between(None, 2000)),
        ((kg(1040), kg(1000)), between(2000, 3000)),
        ((kg(1040), kg(1040)), between(3000, 3500)),
    ]


def test_beyond_the_last_step_is_forbidden_and_not_free() -> None:
    """Where one book ends earlier than the other nothing was allowed; where both have ended, there is nothing to show."""
    (_, beyond) = list(taken_apart((by_capacity((2500, 980)), by_capacity((2500, 980), (3000, 1060))), None, PLACE))
    assert beyond[0] == (Fitting.FORBIDDEN, kg(1060))
    assert condition_key(beyond[1]) == between(2500, 3000)
    open_end = list(taken_apart((by_capacity((2500, 980), above=1000),), None, PLACE))
    assert [(course, condition_key(when)) for course, when in open_end] == [
        ((kg(980),), between(None, 2500)),
        ((kg(1000),), between(2500, None)),
    ]


def test_neighbours_alike_are_one_and_a_plain_value_is_one_step() -> None:
    """An edge that parts nothing is not told, and a value without steps holds in every range; None stays None."""
    ((course, when),) = taken_apart((by_capacity((2000, 900), (2500, 900), above=900), kg(950), None), WING, PLACE)
    assert course == (kg(900), kg(950), None)
    assert when == WING
    ranges = list(taken_apart((kg(900), by_capacity((2000, 950), above=990)), WING, PLACE))
    assert [course for course, _ in ranges] == [(kg(900), kg(950)), (kg(900), kg(990))]
    assert all(isinstance(when, All) and WING in when.parts for _, when in ranges)


def test_what_cannot_be_taken_apart_stays_whole() -> None:
    """Steps of two quantities, or a bound of another form beside them."""
    other = Steps(by="car.wheelbase", steps=((Amount(number=2500, unit=find_unit("mm")), Fixed(value=kg(900))),))
    for values in ((by_capacity((2000, 860)), other), (by_capacity((2000, 860)), Linear(of="engine.capacity"))):
        assert list(taken_apart(values, WING, PLACE)) == [(values, WING)]
