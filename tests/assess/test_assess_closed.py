"""Closed scopes: only what is standard or permitted."""

from __future__ import annotations

import pytest
from support import clause

from rulewatch.model.impact import Need, Sort, Verdict

HEADER = "closed: [{scope: aero.rear_wing, clause: '6.1'}]\n"
CLOSED = clause("6.1", "Only what chapter 6 permits may be altered.", "concerns: officials")
NARROW = CLOSED + clause("6.2", "A rear wing of at most 1200 mm is permitted.", "allow: {aero.rear_wing.width: {max: 1200 mm}}")
OPEN = CLOSED + clause("6.2", "A rear wing is permitted.", "allow: {aero.rear_wing: present}")


def about(assessment, subject):
    """The one finding about a subject."""
    (finding,) = [one for one in assessment.about([subject]) if one.sort is Sort.CLOSED]
    return finding


@pytest.mark.parametrize(
    ("rules", "car", "standard", "verdict"),
    [
        (CLOSED, "absent", "absent", Verdict.LEGAL),
        (CLOSED, "present", "absent", Verdict.ILLEGAL),
        (CLOSED, "absent", "present", Verdict.ILLEGAL),
        (CLOSED, "standard", None, Verdict.LEGAL),
        (CLOSED, "present", None, Verdict.UNKNOWN),
        (CLOSED, None, "absent", Verdict.UNKNOWN),
        (OPEN, "present", "absent", Verdict.LEGAL),
        (OPEN, None, "absent", Verdict.UNKNOWN),
    ],
)
def test_part(case, rules, car, standard, verdict):
    """A part may be there or not as on the standard car, or as permitted; what neither side states is unknown."""
    spec = f"{{aero.rear_wing: {car}}}" if car else "{}"
    sheet = f"{{aero.rear_wing: {standard}}}" if standard else "{}"
    assert about(case(rules, spec, standard=sheet, header=HEADER).judge(), "aero.rear_wing").verdict is verdict


@pytest.mark.parametrize(
    ("width", "verdict"),
    [("1100 mm", Verdict.LEGAL), ("1300 mm", Verdict.ILLEGAL), ("1500 mm", Verdict.LEGAL), (None, Verdict.UNKNOWN)],
)
def test_value(case, width, verdict):
    """A quantity keeps its standard value, or one that an allow names; that value is legal however odd."""
    spec = "{aero.rear_wing: present" + (f", aero.rear_wing.width: {width}}}" if width else "}")
    finding = about(
        case(NARROW, spec, standard="{aero.rear_wing.width: 1500 mm}", header=HEADER).judge(), "aero.rear_wing.width"
    )
    assert finding.verdict is verdict


def test_alone_and_in_the_book(case):
    """Of two permissions one is enough for the book; each alone is judged by itself."""
    rules = NARROW + clause("6.3", "Or one of 1600 mm.", "allow: {aero.rear_wing.width: 1600 mm}")
    finding = about(
        case(rules, "{aero.rear_wing.width: 1600 mm}", standard="{aero.rear_wing.width: 1500 mm}", header=HEADER).judge(),
        "aero.rear_wing.width",
    )
    assert finding.verdict is Verdict.LEGAL
    assert finding.alone == {"6.1": Verdict.ILLEGAL, "6.2": Verdict.ILLEGAL, "6.3": Verdict.LEGAL}


def test_unconfirmed_permission_permits_nothing_for_certain(case):
    """Relying on a permission that nobody confirmed is unknown, and says that it wants reading."""
    book = case(OPEN, "{aero.rear_wing: present}", standard="{aero.rear_wing: absent}", header=HEADER, unconfirmed=("6.2",))
    finding = about(book.judge(), "aero.rear_wing")
    assert (finding.verdict, finding.needs) == (Verdict.UNKNOWN, {Need.READ})


def test_permission_to_be_wide_is_none_to_be_left_off(case):
    """An allow on a value does not allow the part to be taken away."""
    book = case(NARROW, "{aero.rear_wing: absent}", standard="{aero.rear_wing: present}", header=HEADER)
    assert about(book.judge(), "aero.rear_wing").verdict is Verdict.ILLEGAL


def test_everything_of_the_scope_is_judged(case):
    """Every quantity and component of a part that is there gets a finding, stated or not; outside the scope none."""
    spec = "{aero.rear_wing: present, aero.rear_wing.end_plates: present, aero.rear_wing.gurney: present}"
    book = case(CLOSED, spec, header=HEADER)
    judged = {finding.subject for finding in book.judge().findings}
    known = {*book.workspace.vocabulary.components, *book.workspace.vocabulary.quantities}
    assert judged == {name for name in known if name == "aero.rear_wing" or name.startswith("aero.rear_wing.")}


def test_allow_outside_a_closed_scope_widens_nothing(case):
    """Where the book is open an allow neither permits nor forbids."""
    rules = clause("6.2", "A rear wing is permitted.", "allow: {aero.rear_wing: present}")
    assert case(rules, "{aero.rear_wing: absent}").judge().findings == ()


def test_a_part_that_nobody_stated_is_asked_for_once(case):
    """Whether the part is there comes first; what it measures is asked when it is."""
    (finding,) = case(CLOSED, "{}", header=HEADER).judge().findings
    assert (finding.subject, finding.missing) == ("aero.rear_wing", ("aero.rear_wing",))
