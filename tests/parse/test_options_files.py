"""Options under consideration, as `options.yaml` has them."""

from __future__ import annotations

from rulewatch.model.fault import Source
from rulewatch.parse.options import parse_options
from rulewatch.parse.vocabulary import packaged_vocabulary


def parse(text: str):
    """The options in a text, which has no fault."""
    options, faults = parse_options(Source(path="options.yaml", text=text), vocabulary=packaged_vocabulary())
    assert faults == ()
    return options


def test_an_option_says_what_the_car_would_state():
    """Values for each instance, presence, and what a value holds under."""
    (option,) = parse(
        "options:\n"
        "  wide:\n"
        "    what: Wide rears and a wing\n"
        "    note: from the swap list\n"
        "    alter:\n"
        "      wheels.rear.rim_width: [11 in, 11 in]\n"
        "      aero.rear_wing: present\n"
        "      aero.splitter: absent\n"
        "      car.weight: {value: 1036 kg, with: {driver: yes}}\n"
    )
    assert (option.id, option.what, option.note, option.place.line) == (
        "wide",
        "Wide rears and a wing",
        "from the swap list",
        2,
    )
    assert [str(value) for value in option.alter["wheels.rear.rim_width"].values] == ["11 in", "11 in"]
    assert option.alter["aero.rear_wing"].present
    assert not option.alter["aero.splitter"].present
    assert option.alter["car.weight"].conditions == (("driver", "yes"),)
    assert option.alter["car.weight"].measurement is None


def test_options_keep_their_order():
    """As people wrote them, which may be by how much they want them."""
    text = "options:\n  b: {what: B, alter: {car.width: 1 m}}\n  a: {what: A, alter: {car.width: 2 m}}\n"
    assert [option.id for option in parse(text)] == ["b", "a"]


def test_an_option_says_what_it_takes_and_gives():
    """Figures of one value or three; hours by skill; what is on hand costs nothing more; what it needs and excludes."""
    wing, rims = parse(
        "options:\n"
        "  wing:\n"
        "    what: A wing\n"
        "    alter: {aero.rear_wing: present}\n"
        "    mass: {low: 5 kg, likely: 6 kg, high: 8 kg}\n"
        "    at: [2.6 m, 0 m, 1.1 m]\n"
        "    power: -1 kW\n"
        "    grip: 2 %\n"
        "    cost: {low: 10, likely: 20, high: 40}\n"
        "    hours: {bodywork: {low: 2, likely: 3, high: 7}, welding: 1.5}\n"
        "    parts: [{what: Wing, cost: 300, lead: 3 weeks}, {what: Stays, cost: 50, on_hand: shelf}]\n"
        "    needs: rims\n"
        "  rims: {what: Rims, alter: {wheels.rear.rim_width: 10 in}, excludes: [wing]}\n"
    )
    build = wing.build
    assert build.mass is not None
    assert [float(one.base) for one in (build.mass.low, build.mass.likely, build.mass.high)] == [5, 6, 8]
    assert build.power is not None
    assert build.power.sure
    assert (build.money.low, build.money.likely, build.money.high, build.priced) == (310, 320, 340, True)
    assert (build.work, sorted(build.hours)) == (5.5, ["bodywork", "welding"])
    assert (build.needs, rims.build.excludes, rims.build.priced) == (("rims",), ("wing",), False)
