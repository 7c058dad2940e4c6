"""The demo: the workspace that the project ships is without faults, and shows what it is there to show."""

from __future__ import annotations

import re
import shlex
import shutil
from datetime import date
from pathlib import Path

import pytest
from click.testing import CliRunner

from rulewatch import cli, pipeline
from rulewatch.assess.verdicts import judge
from rulewatch.library import Library
from rulewatch.model.change import Change, Comparison, Effect, Kind
from rulewatch.model.edition import Point
from rulewatch.model.impact import Assessment, Impact, Outcome, Verdict
from rulewatch.model.site import SiteInput
from rulewatch.parse.points import parse_point

ROOT = Path(__file__).parents[1]
START = ROOT / "rulewatch" / "data" / "start"
TODAY = date(2026, 11, 25)
BODY = "saltmarsh"  # the second body and its car are in test_demo_two_bodies.py

MOVED, RENUMBERED, REWORDED = Kind.MOVE, Kind.RENUMBERING, Kind.SUBSTITUTION
JOINED, SPLIT, INSERTED, REPEALED = Kind.JOIN, Kind.SPLIT, Kind.INSERTION, Kind.REPEAL

# Every change from 2026 to 2027 with its bulletin: the old numbers, the new ones, and the kinds.
CHANGES = {
    ("", "1.2"): {INSERTED},
    ("1.2", "1.3"): {RENUMBERED},
    ("1.3", "1.4"): {RENUMBERED},
    ("1.4", "1.5"): {RENUMBERED},
    ("2.1(b)", "2.1(b)"): {REWORDED},
    ("3.1", "3.1"): {REWORDED},
    ("5.3", "3.4"): {MOVED},
    ("3.4", "3.5 3.6"): {RENUMBERED, SPLIT},
    ("4.1", "4.1"): {REWORDED},
    ("4.2", "4.2"): {REWORDED},
    ("4.3", "4.3"): {REWORDED},
    ("4.4", ""): {REPEALED},
    ("4.5", "4.4"): {RENUMBERED, REWORDED},
    ("", "4.5"): {INSERTED},
    ("5.4 5.5", "5.3"): {RENUMBERED, JOINED},
    ("", "6.1"): {INSERTED},
    ("6.1", "6.2"): {RENUMBERED, REWORDED},
    ("6.2", "6.3"): {RENUMBERED, REWORDED},
    ("6.3", "6.4"): {RENUMBERED, REWORDED},
    ("6.4", "6.5"): {RENUMBERED, REWORDED},
    ("6.5", "6.6"): {RENUMBERED, REWORDED},
    ("", "6.7"): {INSERTED},
    ("7.1", "7.1"): {REWORDED},
    ("7.2", "7.2"): {REWORDED},
    ("7.3", "7.3"): {REWORDED},
    ("7.4", "7.4"): {REWORDED},
    ("8.6", "8.6"): {REWORDED},
    ("8.7", "8.7"): {REWORDED},
}

# What the changes do to each car, by the new numbers (a repeal's by the old ones); the weight's own impact apart.
# Whatever is not named here is without effect.
OUTCOMES = {
    "marram": {
        "2.1(b)": Outcome.ROOMIER,
        "3.5 3.6": Outcome.READ,
        "4.3": Outcome.BREACH,
        "4.5": Outcome.TIGHTER,
        "6.3": Outcome.CURED,
        "6.5": Outcome.TIGHTER,
        "7.2": Outcome.ROOMIER,
        "7.3": Outcome.OPENING,
        "7.4": Outcome.MEASURE,
        "8.6": Outcome.READ,
        "8.7": Outcome.READ,
    },
    "samphire": {
        "3.5 3.6": Outcome.READ,  # it carries no ballast, but the question about it is open
        "4.1": Outcome.CURED,
        "4.2": Outcome.BREACH,
        "4.3": Outcome.TIGHTER,
        "4.5": Outcome.BREACH,
        "6.1": Outcome.MEASURE,
        "6.3": Outcome.ROOMIER,
        "6.5": Outcome.TIGHTER,
        "6.7": Outcome.CLOSING,  # the option of tyre warmers
        "7.2": Outcome.STILL_IN_BREACH,
        "7.3": Outcome.CURED,
        "7.4": Outcome.MEASURE,
        "8.6": Outcome.READ,
        "8.7": Outcome.READ,
    },
}
WEIGHT = {"marram": Outcome.TIGHTER, "samphire": Outcome.BREACH}
# What a day of the season does by itself: the waiver is over at the last event.
BY_DAY = {"marram": {"8.2 2027-10-02": Outcome.BREACH}, "samphire": {}}

# What is left open on purpose: the code, the file, and what it is about.
OPEN = {
    ("unmeasured", "cars/marram/car.yaml", "car.ground_clearance"),
    ("unmeasured", "cars/samphire/car.yaml", "car.ground_clearance"),
    ("unmeasured", "cars/samphire/car.yaml", "wheels.centre_lock.spring"),
    ("unpaired", "rulesets/saltmarsh/2027/05-drivetrain.md", "5.4, 5.5"),
    ("unanswered", "rulesets/saltmarsh/2027/03-weights.md", "3.6"),
    ("unconfirmed", "rulesets/saltmarsh/2027/08-chassis.md", "8.6"),
    ("unread", "rulesets/saltmarsh/2027/08-chassis.md", "8.7"),
}


@pytest.fixture(scope="module")
def everything() -> SiteInput:
    """All of the demo, worked out for the day of its story."""
    result = pipeline.site(ROOT, TODAY)
    assert result.faults == ()
    assert result.value is not None
    return result.value


@pytest.fixture(scope="module")
def comparison(everything: SiteInput) -> Comparison:
    """The comparison of the first body's two books: 2026 with 2027."""
    (one,) = (each for each in everything.comparisons if each.new.body.id == BODY)
    return one


@pytest.fixture(scope="module")
def impacts(everything: SiteInput) -> dict[tuple[str, str], Impact]:
    """What each change does to each car, by the car and the new numbers, or the old ones of a repeal; the weight as `weight`.

    What a day brings and no change has that day behind its number.
    """
    reports = [report for report in everything.impacts if report.comparison.new.body.id == BODY]
    assert [report.on for report in reports] == [None, date(2027, 6, 19), date(2027, 10, 2)]

    def name(impact: Impact) -> str:
        clauses = " ".join(impact.new or impact.old)
        if impact.subject == "car.weight":
            return "weight"
        return clauses if impact.change is not None else f"{clauses} {impact.on}"

    told = (one for report in reports for one in report.impacts)
    return {(one.car, name(one)): one for one in told}


def numbers(change: Change) -> tuple[str, str]:
    """The old and the new numbers of a change, each in a row."""
    old, new = (" ".join(clause.id for clause in side) for side in (change.old, change.new))
    return old, new


def change_of(comparison: Comparison, new: str) -> Change:
    """The change that gave the clause of a new number."""
    return next(change for change in comparison.changes if new in numbers(change)[1].split())


def point(text: str) -> Point:
    """A point that is known to be one."""
    found = parse_point(text)
    assert isinstance(found, Point)
    return found


def assessment(everything: SiteInput, car: str) -> Assessment:
    """A car's one entry, judged by the new book."""
    (one,) = (each for each in everything.assessments if each.car.id == car)
    return one


# --- Faults and open points -------------------------------------------------------------------------------------------


def test_exactly_the_open_points_that_it_is_meant_to_show(everything: SiteInput) -> None:
    """Of the open points none is missing and none is there by mistake; those of the second body and its car apart."""
    points = [fault for fault in everything.open_points if not re.search("five-lakes|dunlin", fault.place.path)]
    left = {(fault.code, fault.place.path, name) for fault in points for name in [about(fault.found)]}
    assert left == OPEN
    assert len(points) == len(OPEN)


def about(found: str) -> str:
    """The quantity or clause of the list above that an open point speaks of."""
    return next((name for _, _, name in OPEN if f"{name} " in found), found)


def test_what_start_writes_is_without_faults_and_open_points() -> None:
    """A newcomer's workspace is in order before anything is changed in it."""
    result = pipeline.site(START, TODAY)
    assert result.faults == ()
    assert result.value is not None
    assert result.value.open_points == ()
    assert [one.verdict for one in result.value.assessments] == [Verdict.LEGAL]


def test_each_season_has_about_forty_rules(everything: SiteInput) -> None:
    """Chapter headings left out, both books are of the size that a newcomer can read."""
    rules = [
        sum(bool(edition.readings.get(clause.id)) or clause.id == "8.7" for clause in edition.clauses)
        for edition in everything.editions
        if edition.body.id == BODY
    ]
    assert rules == [44, 47]


# --- Kinds and effects of change --------------------------------------------------------------------------------------


def test_every_change_is_found_with_its_kinds(comparison: Comparison) -> None:
    """Pairing gives exactly the changes that were written into the second season."""
    assert {numbers(change): set(change.kinds) for change in comparison.changed} == CHANGES


def test_every_kind_of_change_occurs(comparison: Comparison) -> None:
    """Of the closed list of kinds, the demo shows each."""
    assert {kind for change in comparison.changed for kind in change.kinds} == set(Kind)


def test_a_number_is_used_again_for_another_rule(comparison: Comparison) -> None:
    """Six numbers of the new book belong to other rules than in the old one, and are not taken for the same."""
    used_again = [new for change in comparison.changed for new in numbers(change)[1].split() if new in comparison.old.by_id]
    assert [new for new in used_again if new not in numbers(change_of(comparison, new))[0].split()] == [
        *("1.2", "1.3", "1.4", "3.4", "4.4", "4.5", "5.3"),
        *("6.1", "6.2", "6.3", "6.4", "6.5"),
    ]


def test_quotation_marks_and_renumbered_references_are_wording_only(comparison: Comparison) -> None:
    """4.5 became 4.4 with other quotation marks, 6.2 and 7.1 follow the numbers that they refer to: no rule changed."""
    assert [numbers(change) for change in comparison.changed if change.wording_only] == [
        *(("4.5", "4.4"), ("6.1", "6.2"), ("7.1", "7.1")),
    ]


def test_another_unit_is_the_same_value(comparison: Comparison) -> None:
    """17 in became 431.8 mm, which moves no limit."""
    change = change_of(comparison, "6.4")
    (value,) = change.values
    assert value.old is not None
    assert value.new is not None
    assert value.old.same_value(value.new)
    assert set(change.effects.values()) == {Effect.SAME}


def test_settled_pairs_are_marked(comparison: Comparison) -> None:
    """7.3 and the split of 3.4 were settled by a person, and nothing else."""
    settled = [numbers(change) for change in comparison.changes if change.settled]
    assert settled == [("3.4", "3.5 3.6"), ("7.3", "7.3")]


@pytest.mark.parametrize(
    ("new", "effect"),
    [
        ("2.1(b)", Effect.LOOSENED),
        ("4.1", Effect.LOOSENED),  # a permission at the price of weight, as are 6.3 and 7.3
        ("4.2", Effect.TIGHTENED),
        ("4.3", Effect.TIGHTENED),
        ("4.5", Effect.TIGHTENED),
        ("5.3", Effect.SAME),
        ("6.3", Effect.LOOSENED),
        ("7.2", Effect.LOOSENED),
        ("7.3", Effect.LOOSENED),
        ("8.6", Effect.UNREAD),
        ("8.7", Effect.UNREAD),
    ],
)
def test_effects_for_the_class_of_the_first_car(comparison: Comparison, new: str, effect: Effect) -> None:
    """Limits that moved say which way; a clause without a confirmed reading says that it is unread."""
    assert change_of(comparison, new).effects["silhouette-b"] is effect


def test_a_change_is_masked_by_another_clause(comparison: Comparison) -> None:
    """2.1(b) alone lets in more capacity, for which the old 3.1 had no minimum weight: in the whole book it does nothing."""
    change = change_of(comparison, "2.1(b)")
    assert change.effects["silhouette-b"] is Effect.LOOSENED
    assert change.in_book["silhouette-b"] is Effect.SAME
    assert "3.1" in change.masked_by["silhouette-b"]


def test_a_car_shows_each_effect(comparison: Comparison) -> None:
    """Of wider rims the witness is a car of the crew with half an inch more, and what is legal on neither side is not shown."""
    (witness,) = change_of(comparison, "6.3").witness["silhouette-a"]
    assert str(witness) == "a car like samphire with rear rim width 10.5 in was not legal and is"
    assert (witness.gained, witness.alone, witness.in_book) == (True, True, True)
    claims = {Effect.LOOSENED, Effect.TIGHTENED, Effect.SHIFTED}
    for change in comparison.changed:
        assert {name for name, effect in change.effects.items() if effect in claims} <= set(change.witness)


# --- Outcomes ---------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize("car", ["marram", "samphire"])
def test_every_change_has_its_outcome_for_each_car(
    comparison: Comparison, impacts: dict[tuple[str, str], Impact], car: str
) -> None:
    """Each change does to each car what it was written to do, or nothing."""
    expected = {new or old: OUTCOMES[car].get(new or old, Outcome.NONE) for old, new in map(numbers, comparison.changed)}
    found = {name: one.outcome for (whose, name), one in impacts.items() if whose == car}
    assert found == {**expected, **BY_DAY[car], "weight": WEIGHT[car]}


def test_every_outcome_of_a_change_occurs(impacts: dict[tuple[str, str], Impact]) -> None:
    """Between the two cars the demo shows every outcome that needs no probabilities."""
    later = {Outcome.AT_RISK}
    assert {one.outcome for one in impacts.values()} == set(Outcome) - later


def test_the_wing_is_allowed_at_a_price(everything: SiteInput) -> None:
    """870 kg, 1.5 % for the gearbox, 25 kg for the engine's place, 2.5 % for the wing: 929.8 kg, rounded to 930 kg."""
    sheet = assessment(everything, "samphire").weight
    assert sheet is not None
    assert [line.clause for line in sheet.lines if line.clause != "3.1"] == ["3.4", "4.1", "7.3"]
    assert (str(sheet.least), str(sheet.greatest), str(sheet.car)) == ("930 kg", "930 kg", "902 kg")


def test_wide_rims_are_allowed_at_a_price(impacts: dict[tuple[str, str], Impact]) -> None:
    """The minimum rose from 995 kg to 1025 kg, so that 6 kg are left of 36 kg."""
    weight = impacts["marram", "weight"]
    assert (str(weight.before.margin), str(weight.after.margin)) == ("36 kg", "6 kg")


def test_the_restrictor_is_legal_until_the_bulletin() -> None:
    """At the first event 33 mm still hold, and 0.5 mm of room is left; from May on the bulletin asks for 32 mm."""
    result = pipeline.impact(ROOT, old=point("saltmarsh/2026"), new=point("saltmarsh/2027@event:spring"), car="samphire")
    assert result.value is not None
    (report,) = result.value
    (restrictor,) = (one for one in report.impacts if one.new == ("4.2",))
    assert restrictor.outcome is Outcome.TIGHTER
    assert str(restrictor.after.margin) == "0.5 mm"


def test_an_older_car_keeps_its_cage(everything: SiteInput) -> None:
    """8.4 stands instead of 8.3 for a car built before 2020."""
    found = assessment(everything, "marram").about(["cage.main_hoop.tube_diameter"])
    assert [(one.clauses, one.applies, one.verdict) for one in found] == [
        (("8.3",), False, Verdict.LEGAL),
        (("8.4",), True, Verdict.LEGAL),
    ]


@pytest.mark.parametrize(("day", "verdict"), [(date(2027, 6, 30), Verdict.LEGAL), (date(2027, 7, 1), Verdict.ILLEGAL)])
def test_the_waiver_ends(day: date, verdict: Verdict) -> None:
    """The paper that lets one car be 12 mm too wide holds to its last day, and no longer."""
    with Library(ROOT) as library:
        workspace, edition = library.workspace(), library.edition(point("saltmarsh/2027"))
        assert workspace is not None
        assert edition is not None
        car = workspace.car("marram")
        assert car is not None
        (entry,) = car.entries
        width = judge(edition, car, entry, day, workspace.vocabulary).about(["car.width"])
    assert Verdict.every(one.verdict for one in width) is verdict


# --- The tutorial -----------------------------------------------------------------------------------------------------

# What the crew does to its files before each session that the tutorial shows as text: the file, what stood there, what is
# written instead. The sessions on the files as they are shipped are checked with the rest of the documentation.
SLIP = [("rulesets/saltmarsh/2027/04-engine.md", "{max: 95 dB(A)}", "{max: 97 dB(A)}")]
WINTER = [
    ("rulesets/saltmarsh/2027/04-engine.md", "{max: 97 dB(A)}", "{max: 95 dB(A)}"),
    ("cars/samphire/car.yaml", "  wheels.centre_lock: present\n", "  wheels.centre_lock: present\n  <spring>"),
    ("rulesets/saltmarsh/2027/03-weights.md", 'thicker bolts?"\n', 'thicker bolts?"\n<answer>'),
    (
        "rulesets/saltmarsh/2027/08-chassis.md",
        "limit: {safety.extinguishing_system.content: {min: 4.0 kg}}\nconfirmed: {by: ines, on: 2026-01-18, text: 6ac855ee}\n",
        "<gauge>",
    ),
    (
        "rulesets/saltmarsh/2027/08-chassis.md",
        "flame or liquid through.\n",
        "flame or liquid through.\n\n```reading\n<firewall>```\n",
    ),
    ("rulesets/saltmarsh/2027/pairs.yaml", "- {old: 7.3", "<pair>- {old: 7.3"),
]


def test_the_tutorial_tells_what_happens(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever does what the crew does sees what the crew sees."""
    monkeypatch.setenv("COLUMNS", "100")
    for folder in ("rulesets", "cars"):
        shutil.copytree(ROOT / folder, tmp_path / folder)
    shown = re.compile(r"^```(?:text|reading|yaml pairs\.yaml)\n(.*?)^```$", re.MULTILINE | re.DOTALL)
    blocks = shown.findall((ROOT / "docs/tutorial.md").read_text())
    written = {
        "spring": starting(blocks, "wheels.centre_lock.spring"),
        "answer": starting(blocks, "ask:").partition("\n")[2],
        "gauge": starting(blocks, "limit:\n  safety.extinguishing_system"),
        "firewall": starting(blocks, "limit:\n  chassis.firewall"),
        "pair": starting(blocks, "- {old: [5.4, 5.5]"),
    }
    sessions = [block for block in blocks if block.startswith("$ rulewatch ")]
    for edits, session in zip((SLIP, WINTER), sessions, strict=True):
        for name, old, new in edits:
            file = tmp_path / name
            text = file.read_text()
            assert text.count(old) == 1, (name, old)
            file.write_text(text.replace(old, re.sub(r"<(\w+)>\n?", lambda found: written[found[1]], new)))
        command, _, lines = session.partition("\n")
        printed = CliRunner().invoke(cli.cli, ["-C", str(tmp_path), *shlex.split(command)[2:]]).output
        for part in lines.split("…\n"):
            assert part in printed


def starting(blocks: list[str], words: str) -> str:
    """The one block that begins with some words."""
    (block,) = (each for each in blocks if each.startswith(words))
    return block
