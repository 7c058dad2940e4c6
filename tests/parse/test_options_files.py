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
