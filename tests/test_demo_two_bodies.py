"""The second body of the demo and the car that runs in both: which clause shows what, and what is left open on purpose."""

from __future__ import annotations

from collections import Counter
from datetime import date
from fractions import Fraction
from pathlib import Path

import pytest

from rulewatch import pipeline
from rulewatch.assess.verdicts import judge
from rulewatch.library import Library
from rulewatch.model.change import Change, Comparison, Effect, Kind
from rulewatch.model.edition import Point
from rulewatch.model.impact import Assessment, Impact, Outcome, Verdict
from rulewatch.model.site import ImpactReport, SiteInput
from rulewatch.parse.points import parse_point

ROOT = Path(__file__).parents[1]
TODAY = date(2026, 11, 25)
CAR, BODY, OTHER = "dunlin", "five-lakes", "saltmarsh"
IN_SPRING, IN_SUMMER = date(2027, 5, 8), date(2027, 7, 10)  # the opening meeting, and the first after the change of class

MOVED, RENUMBERED, REWORDED = Kind.MOVE, Kind.RENUMBERING, Kind.SUBSTITUTION
INSERTED, REPEALED, SPLIT = Kind.INSERTION, Kind.REPEAL, Kind.SPLIT

# Every change from 2026 to 2027 with their bulletins that is more than another letter or number; the old and the new numbers.
CHANGES = {
    ("", "A.3.2"): {INSERTED},
    ("B.3.2", "B.3.2"): {REWORDED},
    ("C.1.2", "C.1.2"): {REWORDED},
    ("C.3.1", "C.3.1"): {REWORDED},
    ("C.5.2", "C.4.2"): {RENUMBERED, REWORDED},
    ("C.4", "K.1"): {MOVED},
    ("D.2.5", "D.2.5"): {REWORDED},
    ("D.2.7", "D.2.7 D.2.8"): {SPLIT},
    ("E.2.1", "E.2.1"): {REWORDED},
    ("E.3.2", "E.3.2"): {REWORDED},
    ("E.3.4", "E.3.4"): {REWORDED},
    ("E.4.3", "F.1.3"): {MOVED},
    ("F.2.4", ""): {REPEALED},
    ("F.3.3", "F.3.3"): {REWORDED},
    ("", "F.3.5"): {INSERTED},
    ("G.1.2", "G.1.2"): {REWORDED},
    ("G.2.3", "G.2.3"): {REWORDED},
    ("H.1.4", "H.1.4"): {REWORDED},
    ("", "H.1.5"): {INSERTED},
    ("H.2.1", "H.2.1"): {REWORDED},
    ("H.2.3", ""): {REPEALED},
    ("H.3.3", "H.3.3"): {REWORDED},
    ("H.5.1", "H.5.1"): {REWORDED},
    ("Chapter J", "Chapter J"): {REWORDED},
    ("J.1.3", "J.1.3"): {REWORDED},
    ("", "J.1.5"): {INSERTED},
    ("J.3", "K.2"): {MOVED},
    ("", "Chapter K"): {INSERTED},
    ("", "K.1.3"): {INSERTED},
    ("K.1.1", "L.1.1"): {RENUMBERED, REWORDED},
    ("K.2.2", "L.2.2"): {RENUMBERED, REWORDED},
    ("L.2.3", "M.2.3"): {RENUMBERED, REWORDED},
    ("Annex 1/2", "Annex 1/2"): {REWORDED},
}

# What is left open on purpose: the code, the file, and what it is about.
OPEN = {
    ("unmeasured", "cars/dunlin/car.yaml", "brakes.ducts.diameter"),
    ("unconfirmed", "rulesets/five-lakes/2027/04-d-structure.md", "D.2.5"),
    ("unread", "rulesets/five-lakes/2027/10-k-electrics.md", "K.1.3"),
    ("unanswered", "rulesets/five-lakes/2027/11-l-mass.md", "L.1.3"),
    ("draft", "rulesets/five-lakes/2027/bulletins/3.md", "bulletin 3"),
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
    """The comparison of the two books of the second body."""
    (one,) = (each for each in everything.comparisons if each.new.body.id == BODY)
    return one


@pytest.fixture(scope="module")
def reports(everything: SiteInput) -> dict[date | None, ImpactReport]:
    """What the season of the second body does to its car, by the day from which it holds; None for the season's beginning."""
    return {report.on: report for report in everything.impacts if report.comparison.new.body.id == BODY and not report.draft}


def numbers(change: Change) -> tuple[str, str]:
    """The old and the new numbers of a change, each in a row."""
    old, new = (" ".join(clause.id for clause in side) for side in (change.old, change.new))
    return old, new


def change_of(comparison: Comparison, new: str) -> Change:
    """The change that gave the clause of a new number."""
    return next(change for change in comparison.changes if new in numbers(change)[1].split())


def about(report: ImpactReport, clause: str) -> Impact:
    """The impact that a clause of the new book has, or an old one of a repeal."""
    (found,) = (one for one in report.impacts if clause in (one.new or one.old) and one.car == CAR)
    return found


def judged(text: str, class_name: str, day: date) -> Assessment:
    """The car's entry in a class, judged on a day by the book at a point."""
    point = parse_point(text)
    assert isinstance(point, Point)
    with Library(ROOT) as library:
        workspace, edition = library.workspace(), library.edition(point)
        assert workspace is not None
        assert edition is not None
        car = workspace.car(CAR)
        assert car is not None
        (entry,) = (one for one in car.entries if (one.body, one.class_name) == (edition.body.id, class_name))
        return judge(edition, car, entry, day, workspace.vocabulary)


# --- The book ---------------------------------------------------------------------------------------------------------


def test_exactly_the_open_points_that_it_is_meant_to_show(everything: SiteInput) -> None:
    """Of the open points of this body and its car none is missing and none is there by mistake."""
    points = [fault for fault in everything.open_points if BODY in fault.place.path or CAR in fault.place.path]
    named = {name for _, _, name in OPEN}
    found = {(fault.code, fault.place.path, next((name for name in named if name in fault.found), "")) for fault in points}
    # What the other body asks of the car is left to the tests of that body.
    found = {one for one in found if one[0] != "unmeasured" or one[2]}
    assert found == OPEN


@pytest.mark.parametrize("season", ["2026", "2027"])
def test_each_season_has_the_size_of_a_real_book(everything: SiteInput, season: str) -> None:
    """80 to 120 clauses that say something, in eleven or twelve chapters and two annexes."""
    (edition,) = (one for one in everything.editions if (one.body.id, one.header.season) == (BODY, season))
    rules = [one.id for one in edition.clauses if edition.readings.get(one.id) or one in edition.unread]
    assert 80 <= len(rules) <= 120
    chapters = Counter(name.partition("/")[0] if "/" in name else name[0] for name in rules)
    assert "".join(chapters) == {"2026": "ABCDEFGHJKL", "2027": "ABCDEFGHJKLM"}[season] + "Annex 1Annex 2"


def test_every_change_is_found_with_its_kinds(comparison: Comparison) -> None:
    """Pairing gives exactly the changes that were written into the second season, and nothing but letters and numbers else."""
    found = {numbers(change): set(change.kinds) for change in comparison.changed}
    assert {pair: kinds for pair, kinds in found.items() if kinds != {RENUMBERED}} == CHANGES


def test_two_chapters_have_another_letter(comparison: Comparison) -> None:
    """Electrical equipment took the letter K, so that what was K is L, and what was L is M, clause by clause."""
    renumbered = dict(numbers(change) for change in comparison.changed if RENUMBERED in change.kinds)
    for old in comparison.old.clauses:
        if old.id[:2] in {"K.", "L."}:
            assert renumbered[old.id] == {"K": "L", "L": "M"}[old.id[0]] + old.id[1:]
    assert (renumbered["Chapter K"], renumbered["Chapter L"]) == ("Chapter L", "Chapter M")


def test_what_moved_brought_its_clauses_along(comparison: Comparison) -> None:
    """Electrical isolation and electronics went into the new chapter with all that stood under them."""
    went = dict(numbers(change) for change in comparison.changed)
    assert {old: went[old] for old in ("C.4.1", "C.4.2", "J.3.1", "J.3.2", "J.3.3")} == {
        "C.4.1": "K.1.1",
        "C.4.2": "K.1.2",
        "J.3.1": "K.2.1",
        "J.3.2": "K.2.2",
        "J.3.3": "K.2.3",
    }


def test_no_pair_is_in_doubt(comparison: Comparison) -> None:
    """None waits for a person, though whole chapters changed their letter."""
    assert [numbers(change) for change in comparison.changes if change.old and change.new and change.certainty < 0.7] == []


@pytest.mark.parametrize(
    ("new", "class_name", "alone", "in_book"),
    [
        ("B.3.2", "light-coupe", Effect.TIGHTENED, Effect.TIGHTENED),
        ("B.3.2", "grand-tourer", Effect.SAME, Effect.SAME),
        ("C.3.1", "saloon", Effect.TIGHTENED, Effect.TIGHTENED),  # a safety rule with a date
        ("C.4.2", "saloon", Effect.TIGHTENED, Effect.TIGHTENED),  # the exemption that was narrowed
        ("E.3.2", "light-coupe", Effect.TIGHTENED, Effect.TIGHTENED),
        ("G.1.2", "grand-tourer", Effect.LOOSENED, Effect.LOOSENED),
        ("G.1.2", "light-coupe", Effect.LOOSENED, Effect.SAME),  # masked
        ("G.2.3", "saloon", Effect.TIGHTENED, Effect.TIGHTENED),  # no permission any more
        ("H.1.4", "light-coupe", Effect.TIGHTENED, Effect.TIGHTENED),
        ("H.1.4", "grand-tourer", Effect.LOOSENED, Effect.LOOSENED),
        ("H.1.5", "grand-tourer", Effect.LOOSENED, Effect.LOOSENED),  # opened in the closed inside of the engine
        ("J.1.5", "light-coupe", Effect.TIGHTENED, Effect.TIGHTENED),
        ("J.1.5", "grand-tourer", Effect.SAME, Effect.SAME),
        ("K.1.3", "saloon", Effect.UNREAD, Effect.UNREAD),
        ("D.2.5", "saloon", Effect.UNREAD, Effect.UNREAD),
    ],
)
def test_effects(comparison: Comparison, new: str, class_name: str, alone: Effect, in_book: Effect) -> None:
    """What a change means for a class, by the clause alone and in the whole book."""
    change = change_of(comparison, new)
    assert (change.effects[class_name], change.in_book.get(class_name, change.effects[class_name])) == (alone, in_book)


def test_a_wider_rim_is_masked_by_the_limit_of_the_class(comparison: Comparison) -> None:
    """12 in for all do nothing in Light Coupé, where B.3.3 has a limit of its own."""
    assert change_of(comparison, "G.1.2").masked_by["light-coupe"] == ("B.3.3",)


def test_a_split_and_moves_change_no_rule(comparison: Comparison) -> None:
    """The feet of the cage have a number of their own, and the clearance stands in another chapter: the same cars are legal."""
    for new in ("D.2.8", "F.1.3", "K.1.1", "K.2.1"):
        assert set(change_of(comparison, new).effects.values()) <= {Effect.SAME}


def test_the_millimetres_govern(everything: SiteInput) -> None:
    """Rims of 10½ in are 266.7 mm, and too wide where the book prints "10½ in (265 mm)"."""
    (edition,) = (one for one in everything.editions if (one.body.id, one.header.season) == (BODY, "2027"))
    (reading,) = edition.readings["B.3.3"]
    assert {str(number.value) for number in reading.numbers} == {"265 mm"}
    (clause,) = (one for one in edition.clauses if one.id == "B.3.3")
    assert "10½ in (265 mm)" in clause.text


# --- What the season does to the car ----------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("clause", "outcome"),
    [
        ("B.3.2", Outcome.TIGHTER),
        ("C.1.2", Outcome.TIGHTER),
        ("C.4.2", Outcome.BREACH),  # built in 2013, it has to have a fuel cell now
        ("D.2.5", Outcome.READ),
        ("E.2.1", Outcome.CLOSING),
        ("F.1.3", Outcome.NONE),
        ("F.2.4", Outcome.ROOMIER),
        ("F.3.3", Outcome.ROOMIER),
        ("F.3.5", Outcome.MEASURE),
        ("H.1.4", Outcome.CLOSING),
        ("H.1.5", Outcome.OPENING),
        ("H.2.1", Outcome.OPENING),
        ("H.3.3", Outcome.BREACH),
        ("K.1.3", Outcome.READ),
    ],
)
def test_outcomes_of_the_winter(reports: dict[date | None, ImpactReport], clause: str, outcome: Outcome) -> None:
    """At the opening meeting the car runs in Light Coupé, and the new book does this to it there."""
    assert about(reports[None], clause).outcome is outcome


def test_the_winter_makes_the_car_too_light(reports: dict[date | None, ImpactReport]) -> None:
    """The greater minimum of L.1.1 and the greater addition of J.1.3 are one breach, which names both."""
    (weight,) = (one for one in reports[None].impacts if one.subject == "car.weight")
    assert (weight.new, weight.outcome) == (("J.1.3", "L.1.1"), Outcome.BREACH)


def test_the_class_is_changed_before_the_gearbox_is_forbidden(reports: dict[date | None, ImpactReport]) -> None:
    """From July on Light Coupé has no dog gearbox. By then the car is a Grand Tourer, so that this is no breach."""
    told = [one for report in reports.values() for one in report.impacts if "J.1.5" in one.new]
    assert {one.outcome for one in told} <= {Outcome.NONE}
    assert judged("five-lakes/2027", "light-coupe", date(2027, 6, 30)).of_clauses(["J.1.5"])[0].verdict is Verdict.ILLEGAL


def test_the_tightened_safety_rule_counts_from_its_date(reports: dict[date | None, ImpactReport]) -> None:
    """4.0 kg of agent are enough at the opening meeting, and no longer at the summer meeting."""
    assert about(reports[IN_SUMMER], "C.3.1").outcome is Outcome.BREACH
    agent = "safety.extinguishing_system.content"
    in_spring = judged("five-lakes/2027@2027-05-08", "light-coupe", IN_SPRING).about([agent])
    assert Verdict.every(one.verdict for one in in_spring) is Verdict.LEGAL


def test_one_meeting_has_a_limit_of_its_own(reports: dict[date | None, ImpactReport]) -> None:
    """Bulletin 2 asks for 94 dB(A) at the summer meeting alone; after it 96 dB(A) hold again."""
    (summer,) = judged("five-lakes/2027@event:summer", "grand-tourer", IN_SUMMER).about(["car.noise"])
    (closing,) = judged("five-lakes/2027@event:closing", "grand-tourer", date(2027, 9, 11)).about(["car.noise"])
    margins = [one.margin.number for one in (summer, closing) if one.margin is not None]
    assert margins == [Fraction("-3.2"), Fraction("-1.2")]
    assert about(reports[IN_SUMMER], "H.3.3").outcome is Outcome.STILL_IN_BREACH


def test_a_draft_widens_no_rim(comparison: Comparison) -> None:
    """Bulletin 3 is open for comment. The book has 265 mm for Light Coupé until it is final."""
    (clause,) = (one for one in comparison.new.clauses if one.id == "B.3.3")
    assert "265 mm" in clause.text
    assert [draft.number for draft in comparison.new.drafts] == ["3"]


# --- Between the two bodies -------------------------------------------------------------------------------------------


def least(text: str, class_name: str, day: date) -> str:
    """The least weight of the car at a point."""
    sheet = judged(text, class_name, day).weight
    assert sheet is not None
    assert sheet.least == sheet.greatest
    return str(sheet.least)


def test_the_least_weight_is_reckoned_one_upon_the_other() -> None:
    """1,930 lb and 1 % are 1,949 lb; 1,975 lb and 1.5 % are 2,005 lb; in Grand Tourer, 1,980 lb and 1.5 % are 2,010 lb."""
    assert least("five-lakes/2026", "light-coupe", date(2026, 9, 12)) == "1949 lb"
    assert least("five-lakes/2027@2027-05-08", "light-coupe", IN_SPRING) == "2005 lb"
    assert least("five-lakes/2027", "grand-tourer", IN_SUMMER) == "2010 lb"


def test_the_weight_is_enough_for_one_body_only() -> None:
    """904 kg comply with saltmarsh's 900 kg, and fall short of five-lakes' 2,005 lb, which are 909.5 kg."""
    ours = judged("five-lakes/2027@2027-05-08", "light-coupe", IN_SPRING).about(["car.weight"])
    theirs = judged("saltmarsh/2027", "silhouette-b", IN_SPRING).about(["car.weight"])
    assert Verdict.every(one.verdict for one in ours) is Verdict.ILLEGAL
    assert Verdict.every(one.verdict for one in theirs) is Verdict.LEGAL


@pytest.mark.parametrize(("season", "tighter"), [("2026", OTHER), ("2027", BODY)])
def test_the_tighter_limit_comes_now_from_the_one_now_from_the_other(season: str, tighter: str) -> None:
    """Of the splitter saltmarsh left less in 2026, and five-lakes leaves less in 2027."""
    day = date(int(season), 5, 8)
    margins = {}
    for body, class_name in ((BODY, "light-coupe"), (OTHER, "silhouette-b")):
        found = judged(f"{body}/{season}", class_name, day).about(["aero.splitter.projection"])
        margins[body] = min(one.margin.base for one in found if one.margin is not None and one.applies)
    assert min(margins, key=lambda body: margins[body]) == tighter


def test_the_waiver_of_the_one_body_ends_before_its_last_event(everything: SiteInput) -> None:
    """Saltmarsh's paper lets the frame be 4 mm too long until the end of August; five-lakes has no such limit."""
    car = next(one for one in everything.cars if one.id == CAR)
    assert car.spec["car.wheelbase"].fixed
    for day, verdict in ((date(2027, 8, 31), Verdict.LEGAL), (date(2027, 9, 1), Verdict.ILLEGAL)):
        found = judged("saltmarsh/2027", "silhouette-b", day).about(["car.wheelbase"])
        assert Verdict.every(one.verdict for one in found) is verdict
    assert judged("five-lakes/2027", "grand-tourer", IN_SUMMER).about(["car.wheelbase"]) == ()


def test_an_option_opens_with_the_one_and_closes_with_the_other(everything: SiteInput) -> None:
    """A splitter of 58 mm is what saltmarsh allows from 2027 on, and what five-lakes no longer allows."""
    told = [one for report in everything.impacts for one in report.impacts if one.car == CAR and "long-splitter" in one.job]
    assert {(one.entry.body, one.outcome) for one in told} == {(OTHER, Outcome.OPENING), (BODY, Outcome.CLOSING)}


def test_what_is_closed_in_the_one_class_opens_with_the_other(reports: dict[date | None, ImpactReport]) -> None:
    """Pistons for 11.9 are no longer allowed in Light Coupé, and allowed again when the car is a Grand Tourer."""
    told = [(on, one.outcome) for on, report in reports.items() for one in report.impacts if "high-pistons" in one.job]
    assert told == [(None, Outcome.CLOSING), (IN_SUMMER, Outcome.OPENING)]


def test_reground_camshafts_open_at_a_price(reports: dict[date | None, ImpactReport]) -> None:
    """1 % on 1,975 lb, and 1.5 % for the gearbox on that: 2,025 lb instead of 2,005 lb."""
    opening = about(reports[None], "H.1.5")
    assert "the minimum weight becomes 2025 lb instead of 2005 lb" in opening.why
