"""A car's entries in two books side by side."""

from __future__ import annotations

from collections.abc import Callable

import pytest
from support import BODY, clause, confirm

from rulewatch import courses
from rulewatch.assess.season import Season
from rulewatch.assess.together import together
from rulewatch.assess.topics import Topics
from rulewatch.compare.comparison import compare_editions
from rulewatch.model.edition import Point
from rulewatch.model.impact import Outcome, Verdict
from rulewatch.model.together import Together

BODIES = ("saltmarsh", "five-lakes")
OPTIONS = (
    "options:\n"
    "  wide: {what: Rims of 11 in, alter: {wheels.rear.rim_width: 11 in}}\n"
    "  wing: {what: A rear wing, alter: {aero.rear_wing: present}}\n"
)


def rim(most: str) -> str:
    """A limit on the rim."""
    return clause("5.1", f"Rims are at most {most} wide.", f"limit: {{wheels.rear.rim_width: {{max: {most}}}}}")


NO_WING = clause("6.1", "A rear wing is not permitted.", "limit: {aero.rear_wing: absent}")


@pytest.fixture
def side_by_side(memory_workspace) -> Callable[..., Together | None]:
    """A car of two bodies, each with a book before and a book now; the rims are 10 in wide, and there is no wing."""

    def made(*books: tuple[str, str], options: str = OPTIONS) -> Together | None:
        files = {"cars/heron/options.yaml": options} if options else {}
        entries = ", ".join(f"{{body: {body}, class: silhouette-b}}" for body, _ in zip(BODIES, books, strict=False))
        spec = "{wheels.rear.rim_width: 10 in, aero.rear_wing: absent}"
        files["cars/heron/car.yaml"] = f"name: Heron\nentries: [{entries}]\nspec: {spec}\n"
        for body, (old, new) in zip(BODIES, books, strict=False):
            files[f"rulesets/{body}/body.yaml"] = BODY
            for season, text in (("2026", old), ("2027", new)):
                files[f"rulesets/{body}/{season}/edition.yaml"] = f"title: Rules {season}\neffective: {season}-01-01\n"
                files[f"rulesets/{body}/{season}/05-wheels.md"] = text
        workspace = memory_workspace(files)
        reports = []
        for body, _ in zip(BODIES, books, strict=False):
            old, new = (workspace.edition(Point(body=body, season=season)) for season in ("2026", "2027"))
            assert old is not None
            assert new is not None
            season = Season(
                before=confirm(old),
                stages=courses.stages(workspace, confirm(new)),
                compare=courses.comparing(compare_editions),
                topics=Topics(vocabulary=workspace.vocabulary),
            )
            reports += season.reports(workspace.cars)
        (car,) = workspace.cars
        assert workspace.faults == ()
        return together(car, reports, (), workspace.vocabulary)

    return made


def test_tighter_of_two_limits_in_different_units(side_by_side):
    """10 in leave 0 mm under 254 mm and 25.4 mm under 11 in; what each book's season brought stands beside it."""
    found = side_by_side((rim("12 in"), rim("11 in")), (rim("254 mm"), rim("254 mm")))
    (quantity,) = found.quantities
    assert (quantity.subject, quantity.value, quantity.tighter) == ("wheels.rear.rim_width", "10 in", 1)
    first, second = quantity.marks
    assert (first.verdict, first.outcome, first.clauses) == (Verdict.LEGAL, Outcome.TIGHTER, ("5.1",))
    assert (second.verdict, second.outcome) == (Verdict.LEGAL, None)
    assert quantity.telling


def test_equal_room_has_no_tighter_side(side_by_side):
    """10 in and 254 mm are the same limit, and nothing is told of what is legal and as before."""
    found = side_by_side((rim("10 in"), rim("10 in")), (rim("254 mm"), rim("254 mm")))
    (quantity,) = found.quantities
    assert quantity.tighter is None
    assert not quantity.telling


def test_option_that_one_book_opens_and_the_other_forbids(side_by_side):
    """Where it is allowed by every book, it pays everywhere."""
    found = side_by_side((rim("10 in"), rim("11 in")), (rim("10 in") + NO_WING, rim("10 in")))
    wide, wing = found.options
    assert [(mark.says, mark.outcome) for mark in wide.marks] == [("allowed", Outcome.OPENING), ("forbidden", None)]
    assert not wide.pays_everywhere
    assert [(mark.says, mark.outcome) for mark in wing.marks] == [("allowed", None), ("allowed", Outcome.OPENING)]
    assert wing.pays_everywhere
    assert "must be at most 10 in, 5.1" in wide.marks[1].why


def test_quantity_of_one_book_alone_is_not_listed(side_by_side):
    """There is nothing to lay beside it."""
    found = side_by_side((rim("10 in"), rim("10 in")), (NO_WING, NO_WING), options="")
    assert found.quantities == ()


def test_car_of_one_entry_is_alone(side_by_side):
    """Side by side takes two."""
    assert side_by_side((rim("10 in"), rim("11 in"))) is None


def test_option_that_an_unread_clause_may_forbid_is_not_allowed(side_by_side):
    """A clause without a reading whose words name the part is an unknown, never a pass."""
    unread = clause("6.2", "Rear wings are forbidden.")
    found = side_by_side((rim("10 in"), rim("10 in")), (rim("10 in"), rim("10 in") + unread))
    assert found is not None
    (wing,) = (one for one in found.options if one.option == "wing")
    assert [mark.says for mark in wing.marks] == ["allowed", "waits"]
    assert wing.marks[1].why == "a confirmed reading of 6.2"
