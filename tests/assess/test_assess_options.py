"""Openings and closings: options of the crew's, and parts that the car lacks, between two books."""

from __future__ import annotations

import pytest
from support import clause

from rulewatch.assess.options import altered
from rulewatch.model.car import Car, Stated
from rulewatch.model.fault import Place
from rulewatch.model.impact import PRECEDENCE, Impact, Outcome, Verdict

AT = Place(path="car.yaml")
WIDE = "{wide: {what: Rims of 11 in, alter: {wheels.rear.rim_width: 11 in}}}"
WING = "{wing: {what: A rear wing, alter: {aero.rear_wing: present}}}"
CAR = "{wheels.rear.rim_width: 9 in, aero.splitter: present, aero.rear_wing: absent}"


def rim(most: str, more: str = "") -> str:
    """A limit on the rim."""
    return clause("5.1", f"Rims are at most {most} wide.", f"{more}limit: {{wheels.rear.rim_width: {{max: {most}}}}}")


def told(impacts: tuple[Impact, ...]) -> list[tuple[str, Outcome]]:
    """What became of which option, of every impact."""
    return [(effect.option or effect.what, effect.outcome) for impact in impacts for effect in impact.options]


@pytest.mark.parametrize(
    ("old", "new", "outcome"),
    [("10 in", "11 in", Outcome.OPENING), ("11 in", "10 in", Outcome.CLOSING)],
)
def test_option_that_a_limit_lets_in_or_keeps_out(change, old, new, outcome):
    """The change of the limit opens or closes it; the car itself is legal on both sides."""
    impacts = change(rim(old), rim(new), CAR, options=WIDE)
    assert told(impacts) == [("wide", outcome)]
    (impact,) = impacts
    assert impact.outcome is outcome
    assert impact.also == (Outcome.ROOMIER,) if outcome is Outcome.OPENING else (Outcome.TIGHTER,)
    assert {impact.before.verdict, impact.after.verdict} == {Verdict.LEGAL, Verdict.ILLEGAL}
    assert "Rims of 11 in: " in impact.why
    assert impact.job.endswith(" wide (5.1)") or impact.job == "Strike wide from the options (5.1)"


@pytest.mark.parametrize(("old", "new"), [("10 in", "10.5 in"), ("11 in", "12 in"), ("10 in", "9.5 in")])
def test_option_that_stays_as_it_is_says_nothing(change, old, new):
    """Forbidden or allowed on both sides."""
    assert told(change(rim(old), rim(new), CAR, options=WIDE)) == []


def test_option_that_waits_for_a_reading_is_to_be_read(change):
    """Nobody confirmed that it is allowed now, so it is not told to be."""
    (impact,) = change(rim("10 in"), rim("11 in"), CAR, options=WIDE, unconfirmed=("5.1",))
    assert impact.outcome is Outcome.READ
    assert told((impact,)) == [("wide", Outcome.READ)]


def test_opening_tells_what_it_adds_to_the_weight(change):
    """The penalty of a new freedom stands beside it."""
    weight = clause("3.1", "A car weighs at least 900 kg.", "weight: {minimum: 900 kg}")
    adds = clause("3.2", "Rims over 10 in add 20 kg.", "when: {wheels.rear.rim_width: {over: 10 in}}\nweight: {add: 20 kg}")
    spec = CAR.replace("}", ", car.weight: 950 kg}")
    impacts = change(rim("10 in") + weight, rim("11 in") + weight + adds, spec, options=WIDE)
    (opening,) = (one for one in impacts if one.outcome is Outcome.OPENING)
    assert "the minimum weight becomes 920 kg instead of 900 kg" in opening.why


def test_opening_tells_what_else_it_would_break(change):
    """Another limit that holds only with the alteration is named with its clause."""
    narrow = clause(
        "5.2",
        "With rear rims over 10 in, front rims are at most 8 in wide.",
        "when: {wheels.rear.rim_width: {over: 10 in}}\nlimit: {wheels.front.rim_width: {max: 8 in}}",
    )
    spec = CAR.replace("}", ", wheels.front.rim_width: 9 in}")
    (opening,) = (one for one in change(rim("10 in"), rim("11 in") + narrow, spec, options=WIDE) if one.options)
    assert "it would break 5.2: Front rim width: 9 in, must be at most 8 in" in opening.why


FORBIDDEN = clause("6.1", "A rear wing is not permitted.", "limit: {aero.rear_wing: absent}")
PERMITTED = clause(
    "6.1",
    "A rear wing is permitted, at most 1500 mm wide.",
    "limit: {aero.rear_wing.width: {max: 1500 mm}}",
)


def test_part_that_the_car_lacks_is_an_opening_with_its_limits(change):
    """The car has other parts of that system, so that the crew may want to know."""
    permitted = PERMITTED.replace("limit: {", "allow: {aero.rear_wing: present}\nlimit: {")
    (impact,) = change(FORBIDDEN, permitted, CAR)
    assert told((impact,)) == [("Rear wing", Outcome.OPENING)]
    assert impact.outcome is Outcome.OPENING
    assert impact.why.endswith("now it is, with rear wing width at most 1500 mm")
    assert impact.job == "See whether the car should have it: rear wing (6.1)"


def test_part_of_a_system_that_the_car_does_not_have_is_no_opening(change):
    """A crew with no part of a system is not told of every part that it could have."""
    permitted = PERMITTED.replace("limit: {", "allow: {aero.rear_wing: present}\nlimit: {")
    impacts = change(FORBIDDEN, permitted, "{wheels.rear.rim_width: 9 in, aero.rear_wing: absent}")
    assert [impact.outcome for impact in impacts] == [Outcome.NONE]


def test_option_takes_the_place_of_the_part_that_it_brings(change):
    """What the crew thinks of already is told once, as its option."""
    permitted = PERMITTED.replace("limit: {", "allow: {aero.rear_wing: present}\nlimit: {")
    assert told(change(FORBIDDEN, permitted, CAR, options=WING)) == [("wing", Outcome.OPENING)]


def test_option_of_a_new_entry_is_neither_opened_nor_closed(change):
    """Where the car was not entered before, nothing was forbidden to it."""
    late = "{body: saltmarsh, class: silhouette-b, from: 2027-01-01}"
    assert told(change(rim("10 in"), rim("11 in"), CAR, options=WIDE, entries=late)) == []


def test_closed_scope_that_goes_opens_an_option_that_no_clause_names(change):
    """`edition.yaml` closes scopes; where one opens there, no clause changed, and that is said."""
    option = "{splitter: {what: No splitter, alter: {aero.splitter: absent}}}"
    rules = clause("6.2", "Text.", "concerns: event")
    impacts = change(
        rules, rules, CAR, options=option, standard="{aero.splitter: present}", headers=("closed: [aero.splitter]\n", "")
    )
    (impact,) = (one for one in impacts if one.options)
    assert impact.outcome is Outcome.OPENING
    assert impact.why.startswith("no change of a clause accounts for this: No splitter: was not allowed")


def test_altered_car_keeps_no_part_of_what_it_loses_and_has_the_whole_of_what_it_gains():
    """What becomes absent takes its values away; a value of an absent part brings the part."""

    def stated(name: str, *, present: bool = True) -> Stated:
        return Stated(subject=name, place=AT, present=present)

    car = Car(
        id="heron",
        name="Heron",
        place=AT,
        spec={name: stated(name) for name in ("aero.splitter", "aero.splitter.projection", "car.width")}
        | {"aero.rear_wing": stated("aero.rear_wing", present=False)},
    )
    without = altered(car, {"aero.splitter": stated("aero.splitter", present=False)})
    assert set(without.spec) == {"aero.splitter", "car.width", "aero.rear_wing"}
    assert not without.spec["aero.splitter"].present
    winged = altered(car, {"aero.rear_wing.width": stated("aero.rear_wing.width")})
    assert "aero.rear_wing" not in winged.spec
    assert "aero.rear_wing.width" in winged.spec


UNREAD = clause("6.2", "No rear wing may be used in this class.")
FREED = PERMITTED.replace("limit: {", "allow: {aero.rear_wing: present}\nlimit: {")


@pytest.mark.parametrize("options", [WING, ""])
def test_unread_clause_that_names_the_part_keeps_its_opening_waiting(change, options):
    """One clause opens the part, another that nobody read may forbid it: that one is to be read first."""
    impacts = change(FORBIDDEN, FREED + UNREAD, CAR, options=options)
    assert [outcome for _, outcome in told(impacts)] == [Outcome.READ]
    (impact,) = (one for one in impacts if one.options)
    assert impact.why.endswith("whether it is allowed now waits for a confirmed reading of 6.2")
    assert impact.job == "Read the clause and confirm what it says (6.2)"


def test_unread_clause_about_a_part_that_an_option_brings_is_to_be_read(change):
    """The car lacks the part, but the crew thinks of fitting it."""
    same = clause("5.2", "Be tidy.", "concerns: paperwork")
    new = same + UNREAD
    assert [one.outcome for one in change(same, new, CAR, options=WING)] == [Outcome.READ]
    assert [one.outcome for one in change(same, new, CAR)] == [Outcome.NONE]


def test_unconfirmed_reading_of_another_quantity_does_not_settle_what_the_words_name(change):
    """Whoever read it may have overlooked what it says of the part."""
    other = clause("6.2", "No rear wing; splitters up to 60 mm.", "limit: {aero.splitter.projection: {max: 60 mm}}")
    confirmed, unconfirmed = (change(FORBIDDEN, FREED + other, CAR, options=WING, unconfirmed=but) for but in ((), ("6.2",)))
    assert told(confirmed) == [("wing", Outcome.OPENING)]
    assert [outcome for _, outcome in told(unconfirmed)] == [Outcome.READ]


@pytest.mark.parametrize(
    "text",
    [
        "A rear diffuser may be used.",
        "A firewall shall part the cockpit from the aerodynamics.",  # a whole system, named beside a part
    ],
)
def test_unread_clause_of_another_part_keeps_nothing_waiting(change, text):
    """Only a clause whose words name the part, or nothing narrower than its system, may speak of it."""
    assert told(change(FORBIDDEN, FREED + clause("6.2", text), CAR, options=WING)) == [("wing", Outcome.OPENING)]


def test_option_that_stays_forbidden_does_not_hide_the_opening_of_its_part(change):
    """The wing that the crew thinks of is too wide; that the car could have one at all is told nevertheless."""
    wide = "{wing: {what: A wing of 1600 mm, alter: {aero.rear_wing: present, aero.rear_wing.width: 1600 mm}}}"
    (impact,) = change(FORBIDDEN, FREED, CAR, options=wide)
    assert told((impact,)) == [("Rear wing", Outcome.OPENING)]
    assert impact.why.endswith("now it is, with rear wing width at most 1500 mm")


@pytest.mark.parametrize(
    "more",
    [
        "# 7 Rear wing\n\n" + clause("7.1", "None is used at night."),
        clause("7.1", "The permission of 6.1 rests until further notice."),
    ],
)
def test_unread_clause_speaks_of_what_the_words_around_it_name(change, more):
    """Where it names no part itself, the heading above it and the clause that it refers to tell what it may forbid."""
    impacts = change(FORBIDDEN, FREED + more, CAR, options=WING)
    (impact,) = (one for one in impacts if one.options)
    assert impact.outcome is Outcome.READ
    assert impact.why.endswith("whether it is allowed now waits for a confirmed reading of 7.1")


def test_unread_clause_that_goes_did_not_open_what_another_forbade(change):
    """Its repeal is for someone to see by itself; the option hangs on the clause that forbade it."""
    impacts = change(
        FORBIDDEN + clause("6.3", "A rear wing is to be shown to the committee."), FREED + UNREAD, CAR, options=WING
    )
    assert [(impact.old, impact.outcome) for impact in impacts if impact.options] == [(("6.1",), Outcome.READ)]


# Limits before and after: on the width of the car, 1900 mm with 1 mm of standard uncertainty, and on the rear rim, 9 in wide; an option
# would make it 11 in wide. The first outcome is the one that counts, as the order of outcomes has it.
CLASHES = {
    Outcome.BREACH: ("1910 mm", "1890 mm"),
    Outcome.STILL_IN_BREACH: ("1895 mm", "1890 mm"),
    Outcome.AT_RISK: ("1910 mm", "1901 mm"),
    Outcome.CURED: ("1890 mm", "1910 mm"),
    Outcome.TIGHTER: ("1920 mm", "1910 mm"),
    Outcome.ROOMIER: ("1910 mm", "1920 mm"),
}


@pytest.mark.parametrize("of_option", [Outcome.OPENING, Outcome.CLOSING])
@pytest.mark.parametrize("of_car", CLASHES)
def test_clash_of_an_option_with_the_car_itself(change, of_car, of_option):
    """What one clause does to the car and to an option of the crew's: the graver counts, the other stands beside it."""
    rims = ("10 in", "11 in") if of_option is Outcome.OPENING else ("11 in", "10 in")

    def rule(width: str, rim: str) -> str:
        limits = f"car.width: {{max: {width}}}, wheels.rear.rim_width: {{max: {rim}}}"
        return clause("5.1", f"The width is at most {width}, that of rear rims {rim}.", f"limit: {{{limits}}}")

    spec = "{car.width: {value: 1900 mm, u: 2 mm, on: 2026-10-31, by: ina}, wheels.rear.rim_width: 9 in}"
    old, new = (rule(*each) for each in zip(CLASHES[of_car], rims, strict=True))
    (impact,) = change(old, new, spec, options=WIDE)
    first, second = sorted((of_car, of_option), key=PRECEDENCE.index)
    assert impact.outcome is first
    assert second in impact.also
    assert {first, second} <= {one.outcome for one in impact.each()}


@pytest.mark.parametrize("of_car", CLASHES)
def test_clash_of_a_reading_that_waits_with_the_car_itself(change, of_car):
    """Only what is illegal or must be measured is graver than what must be read; an unconfirmed reading makes no verdict legal."""
    old, new = (
        clause("5.1", f"The width is at most {most}.", f"limit: {{car.width: {{max: {most}}}}}") for most in CLASHES[of_car]
    )
    (impact,) = change(old, new, "{car.width: {value: 1900 mm, u: 2 mm, on: 2026-10-31, by: ina}}", unconfirmed=("5.1",))
    illegal = of_car in {Outcome.BREACH, Outcome.STILL_IN_BREACH}
    assert impact.outcome is (of_car if illegal else Outcome.READ)
    assert impact.also == ((Outcome.READ,) if illegal else ())
