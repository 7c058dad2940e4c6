"""Where ballast goes: the best there is, by trying every distribution; mass and moments are what they were."""

from __future__ import annotations

from fractions import Fraction
from itertools import product

from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.assess.gravity import Frame, Load, on_scales, with_load
from rulewatch.decide.ballast import deviations, distribute
from rulewatch.model.balance import BallastPlace, Corner, Position, Targets
from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount, find_unit

FRAME = Frame(wheelbase=Fraction("2.474"), track_front=Fraction("1.566"), track_rear=Fraction("1.581"))
HERE = Place(path="car.yaml")


def mm(number):
    """A length."""
    return Amount(number=Fraction(number), unit=find_unit("mm"))


def kg(number):
    """A mass."""
    return Amount(number=Fraction(number), unit=find_unit("kg"))


def place(name, behind, left, most):
    """A place for ballast on the floor."""
    return BallastPlace(id=name, at=Position(behind=mm(behind), left=mm(left), above=mm(200)), most=kg(most), place=HERE)


loads = st.integers(1500, 3500).map(lambda tenths: Fraction(tenths, 10))
shares = st.none() | st.integers(40, 60).map(lambda percent: Fraction(percent, 100))
places = st.lists(st.tuples(st.integers(-600, 3200), st.integers(-800, 800), st.integers(0, 12)), min_size=1, max_size=4).map(
    lambda found: [place(f"p{index}", *each) for index, each in enumerate(found)]
)


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    corners=st.tuples(loads, loads, loads, loads),
    where=places,
    pieces=st.integers(0, 10),
    piece=st.sampled_from([Fraction(1), Fraction(2), Fraction("2.5"), Fraction("2.26796185")]),
    targets=st.builds(Targets, front=shares, left=shares, cross=shares),
)
def test_no_distribution_is_nearer(corners, where, pieces, piece, targets):
    """Against every distribution that the places take: the sum of the distances from the targets is the least."""
    base = on_scales("bare", dict(zip(Corner, corners, strict=True)), Fraction(0), FRAME, None)
    found = distribute(base, where, pieces=pieces, piece=piece, frame=FRAME, targets=targets)
    most = [int(each.most.base // piece) for each in where]
    possible = [counts for counts in product(*(range(min(top, pieces) + 1) for top in most)) if sum(counts) == pieces]
    if not possible:
        assert found is None
        return
    far = deviations(base, where, pieces=pieces, piece=piece, frame=FRAME, targets=targets)
    best = min(sum(abs(one.at(counts)) for one in far) for counts in possible)
    assert found in possible
    assert sum(abs(one.at(found)) for one in far) - best <= Fraction(1, 10**6)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(
    corners=st.tuples(loads, loads, loads, loads),
    mass=st.integers(-50, 120),
    at=st.tuples(st.integers(-900, 3400), st.integers(-900, 900), st.integers(50, 1200)),
)
def test_mass_and_moments_are_conserved(corners, mass, at):
    """What a load adds to mass and moments is what it has; the wheels bear it, and balance it."""
    base = on_scales("bare", dict(zip(Corner, corners, strict=True)), Fraction(0), FRAME, Fraction("0.5"))
    behind, left, above = (Fraction(number, 1000) for number in at)
    found = with_load(base, Load(what="load", mass=Fraction(mass), at=(behind, left, above)), FRAME)
    assert found.mass == base.mass + mass == sum(found.corners.values())
    for moment, lever in (("behind", behind), ("left", left), ("height", above)):
        assert getattr(found, moment) * found.mass == getattr(base, moment) * base.mass + lever * mass
    again = on_scales("again", found.corners, Fraction(0), FRAME, found.height)
    assert (again.behind, again.left) == (found.behind, found.left)


def test_a_load_whose_place_is_not_known():
    """The mass is known, how it stands is not."""
    base = on_scales("bare", dict.fromkeys(Corner, Fraction(250)), Fraction(0), FRAME, None)
    found = with_load(base, Load(what="driver", mass=Fraction(80)), FRAME)
    assert (found.mass, found.corners, found.front, found.behind) == (1080, None, None, None)
