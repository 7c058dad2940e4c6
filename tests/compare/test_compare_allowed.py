"""Effects as logic, where intervals do not decide: what is counted, what stands behind a clause, and books that are hard to decide."""

from __future__ import annotations

from datetime import date
from itertools import combinations

import pytest
from support import BODY, clause, confirm

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.change import Change, Comparison, Effect
from rulewatch.model.edition import Point
from rulewatch.parse.vocabulary import packaged_vocabulary

CLASS = "silhouette-b"
GEARS, RIM = "drivetrain.gearbox.gears", "wheels.rear.rim_width"


@pytest.fixture
def compared(memory_workspace):
    """Two books, each of clauses `9.1` and on with one reading each, compared as logic; every clause that differs was reworded."""

    def comparison(old: list[str], new: list[str]) -> Comparison:
        files = {"rulesets/saltmarsh/body.yaml": BODY}
        for season, readings in (("2026", old), ("2027", new)):
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\neffective: {season}-01-01\n"
            files[f"rulesets/saltmarsh/{season}/01.md"] = "".join(
                clause(
                    f"9.{place}", f"Rule {place}{'' if old[place - 1 :][:1] == new[place - 1 :][:1] else f' of {season}'}", one
                )
                for place, one in enumerate(readings, 1)
            )
        workspace = memory_workspace(files)
        editions = [confirm(workspace.edition(Point(body="saltmarsh", season=season))) for season in ("2026", "2027")]
        return compare_editions(*editions, vocabulary=workspace.vocabulary)

    return comparison


@pytest.fixture
def changed(compared):
    """The only change between two such books."""

    def change(old: list[str], new: list[str]) -> Change:
        (one,) = compared(old, new).changed
        return one

    return change


SWAPPED = {Effect.LOOSENED: Effect.TIGHTENED, Effect.TIGHTENED: Effect.LOOSENED}


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        ("{max: 6}", "{under: 7}", Effect.SAME),
        ("{over: 5}", "{min: 6}", Effect.SAME),
        ("{max: 6}", "{max: 6.5}", Effect.SAME),
        ("[5, 6]", "{over: 4, under: 7}", Effect.SAME),
        ("6", "{over: 5, under: 7}", Effect.SAME),
        ("{max: 6}", "{under: 8}", Effect.LOOSENED),
        ("{over: 5, under: 7}", "[5, 6]", Effect.LOOSENED),
        ("{min: 5.5}", "{over: 6}", Effect.TIGHTENED),
        ("[4, 6]", "{over: 4, under: 7}", Effect.SHIFTED),
    ],
)
def test_what_is_counted_is_whole(changed, old, new, expected):
    """Between 6 gears and 7 there are none, so that up to 6 is under 7; and no car is shown that has 6.5."""
    for sides, effect in (((old, new), expected), ((new, old), SWAPPED.get(expected, expected))):
        change = changed(*([f"limit: {{{GEARS}: {each}}}"] for each in sides))
        assert (change.effects[CLASS], change.in_book[CLASS]) == (effect, effect)
        shown = [witness.values[GEARS].number for witness in change.witness.get(CLASS, ())]
        assert shown or effect is Effect.SAME
        assert all(number.denominator == 1 for number in shown)


def test_what_is_counted_under_a_condition(changed):
    """A condition on what is counted, and a bound that hangs on it, know of whole numbers too."""
    limit = f"limit: {{{RIM}: {{max: 10 in}}}}\nwhen: {{{GEARS}: %s}}"
    assert changed([limit % "{over: 5}"], [limit % "{min: 6}"]).effects[CLASS] is Effect.SAME
    assert changed([limit % "{over: 5}"], [limit % "{min: 5}"]).effects[CLASS] is Effect.TIGHTENED
    half = f"limit: {{{GEARS}: {{max: {{of: brakes.circuits, rate: 50 %%, plus: %s}}}}}}"
    change = changed([half % "2"], [half % "2.5"])
    assert change.effects[CLASS] is Effect.LOOSENED
    assert {witness.values[GEARS].number.denominator for witness in change.witness[CLASS]} == {1}


def test_a_number_that_is_not_counted(changed):
    """A ratio may lie between whole numbers."""
    ratio = "limit: {drivetrain.differential.final_drive: %s}"
    assert changed([ratio % "{max: 11}"], [ratio % "{under: 12}"]).effects[CLASS] is Effect.LOOSENED


OLD_CARS = "when: {car.built: {under: %s-01-01}}"


@pytest.mark.parametrize(
    ("old", "new", "alone"),
    [("2010", "2000", Effect.TIGHTENED), ("2000", "2010", Effect.LOOSENED)],
)
def test_what_stands_instead_of_another_is_judged_with_it(changed, old, new, alone):
    """Fewer cars may do without a limit: the clause that lets them is tighter by itself, though it asks nothing."""
    rim = f"limit: {{{RIM}: {{max: 10 in}}}}"
    change = changed(*([rim, f"instead_of: ['9.1']\n{OLD_CARS % year}"] for year in (old, new)))
    assert (change.effects[CLASS], change.in_book[CLASS]) == (alone, alone)


def test_a_clause_that_comes_instead_of_another(changed):
    """A wider limit in place of another loosens by itself, since the other is behind it."""
    rim = f"limit: {{{RIM}: {{max: 10 in}}}}"
    wider = f"instead_of: ['9.1']\nlimit: {{{RIM}: {{max: 11 in}}}}\n{OLD_CARS % 2010}"
    assert changed([rim, "concerns: officials"], [rim, wider]).effects[CLASS] is Effect.LOOSENED
    assert changed([rim, wider], [rim, "concerns: officials"]).effects[CLASS] is Effect.TIGHTENED


@pytest.mark.parametrize("swapped", [False, True])
def test_an_adder_is_judged_on_the_minimums_of_both_books(compared, swapped):
    """Where rounding hides an adder on the minimum of one book and not of the other, its clause moves in both directions of reading."""
    plain = ["weight: {minimum: 100 kg}", "concerns: officials"]
    rounded = ["weight: {minimum: 100 kg, round: {to: 50 kg}}", "weight: {add: 20 kg}"]
    sides = (rounded, plain) if swapped else (plain, rounded)
    change = next(one for one in compared(*sides).changed if one.key == "9.2")
    assert change.effects[CLASS] is (Effect.LOOSENED if swapped else Effect.TIGHTENED)


def test_a_book_that_is_too_hard_is_undecided_and_does_not_hang(compared):
    """Eleven quantities, no two alike, of ten values each: that there is no such car takes a solver ages, and it stops.

    The principle of pigeonholes has no short proof by resolution (Haken, The intractability of resolution, 1985; from memory).
    """
    lengths = [
        name for name, one in packaged_vocabulary().quantities.items() if one.unit is not None and one.unit.symbol == "mm"
    ]
    pigeons, holes = lengths[:11], range(1, 11)

    def listed(without: int = 0) -> str:
        return f"[{', '.join(f'{hole} cm' for hole in holes if hole != without)}]"

    rules = [f"limit: {{{pigeon}: {listed()}}}" for pigeon in pigeons] + [
        f"when: {{{one}: {hole} cm}}\nlimit: {{{other}: {listed(hole)}}}"
        for one, other in combinations(pigeons, 2)
        for hole in holes
    ]
    changing = f"when: {{{pigeons[0]}: 1 cm}}\nlimit: {{car.weight: {{max: %s kg}}}}"
    comparison = compared([changing % 900, *rules], [changing % 910, *rules])
    (change,) = comparison.changed
    assert (change.effects[CLASS], change.in_book[CLASS]) == (Effect.LOOSENED, Effect.UNDECIDED)
    assert comparison.classes[CLASS].effect is Effect.UNDECIDED


@pytest.mark.parametrize(("old", "new", "expected"), [("2010", "2012", Effect.TIGHTENED), ("2012", "2010", Effect.LOOSENED)])
def test_a_car_is_shown_that_was_built_between_two_days(changed, old, new, expected):
    """Where only the day moved until which cars must have been built, what was lost or gained is a car of the days between."""
    reading = f"when: {{car.built: {{under: %s-01-01}}}}\nlimit: {{{GEARS}: {{max: 5}}}}"
    change = changed([reading % old], [reading % new])
    assert change.effects[CLASS] is expected
    (shown,) = change.witness[CLASS]
    assert date(2010, 1, 1) <= shown.values["car.built"] < date(2012, 1, 1)
    assert shown.values[GEARS].number > 5


def test_the_effect_alone_needs_no_close_look(compared):
    """Of changes that are not looked at closely the effect alone is the same, and nothing else is told; the others are as ever."""
    old = [
        f"limit: {{{GEARS}: {{max: 6}}}}",
        f"limit: {{{RIM}: {{max: 10 in}}}}",
        "weight: {minimum: 900 kg}",
        "weight: {add: 2 %}",
    ]
    new = [
        f"limit: {{{GEARS}: {{max: 5.5}}}}",
        f"allow: {{{RIM}: {{max: 9 in}}}}",
        "weight: {minimum: 890 kg}",
        "weight: {add: 10 kg}",
    ]
    full = compared(old, new)
    short = compare_editions(full.old, full.new, vocabulary=full.vocabulary, closely={"9.3"}, whole=False)
    assert [change.effects for change in short.changed] == [change.effects for change in full.changed]
    assert [change.key for change in short.changed if change.in_book or change.witness] == ["9.3"]
    assert short.changed[2].in_book == full.changed[2].in_book
    assert full.classes
    assert not short.classes
