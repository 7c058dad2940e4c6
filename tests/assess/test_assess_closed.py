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


def permit(number: str, reading: str, text: str = "A rear wing is permitted, of 1200 mm, 1400 mm or 1600 mm.") -> str:
    """A clause of a closed chapter that permits something."""
    return clause(number, text, f"{reading}\nnoted: [1200 mm, 1400 mm, 1600 mm]")


WIDE = "{aero.rear_wing: present, aero.rear_wing.width: 1300 mm, engine.turbo: TURBO}"


@pytest.mark.parametrize(
    ("turbo", "verdict"), [("present", Verdict.LEGAL), ("absent", Verdict.ILLEGAL), (None, Verdict.UNKNOWN)]
)
def test_permission_under_a_condition(case, turbo, verdict):
    """A permission counts where its condition holds; where that is unknown, what would tell is asked for."""
    rules = CLOSED + permit("6.2", "when: {engine.turbo: present}\nallow: {aero.rear_wing.width: {max: 1400 mm}}")
    spec = WIDE.replace("TURBO", turbo) if turbo else WIDE.replace(", engine.turbo: TURBO", "")
    finding = about(
        case(rules, spec, standard="{aero.rear_wing.width: 1000 mm}", header=HEADER).judge(), "aero.rear_wing.width"
    )
    assert finding.verdict is verdict
    if turbo is None:
        assert (finding.missing, finding.needs) == (("engine.turbo",), {Need.MEASURE})
        assert finding.why == "Rear wing is closed by 6.1; Rear wing width (1300 mm); not stated: turbocharger"
    assert ("6.2" in finding.clauses) is (verdict is not Verdict.ILLEGAL)


def test_permission_to_be_absent_is_for_that_part_alone(case):
    """That a part may be left off permits no value of what is under it."""
    rules = CLOSED + permit("6.2", "allow: {aero.rear_wing: absent}")
    spec = "{aero.rear_wing: present, aero.rear_wing.width: 1300 mm}"
    book = case(rules, spec, standard="{aero.rear_wing.width: 1000 mm}", header=HEADER).judge()
    assert about(book, "aero.rear_wing.width").verdict is Verdict.ILLEGAL


def test_permission_of_a_value_is_none_to_be_left_off(case):
    """Nor does a value that is permitted let the quantity's part go, where nothing above it is closed."""
    rules = CLOSED + permit("6.2", "allow: {aero.rear_wing.width: {max: 1400 mm}}")
    header = HEADER.replace("aero.rear_wing,", "aero.rear_wing.width,")
    book = case(rules, "{aero.rear_wing: absent}", standard="{aero.rear_wing.width: 1000 mm}", header=header).judge()
    assert about(book, "aero.rear_wing.width").verdict is Verdict.ILLEGAL


@pytest.mark.parametrize(
    ("car", "sheet", "verdict"),
    [
        ("[9 in, 9 in]", "9 in", Verdict.LEGAL),
        ("[9 in, 10 in]", "9 in", Verdict.ILLEGAL),
        ("[9 in, 10 in]", "[9 in, 10 in]", Verdict.LEGAL),
        ("[9 in, 9 in]", "[9 in, 10 in]", Verdict.ILLEGAL),
    ],
)
def test_every_instance_is_standard(case, car, sheet, verdict):
    """Every side must be as its own on the standard car; one value of the sheet is for all of them."""
    header = HEADER.replace("aero.rear_wing", "wheels.rear.rim_width")
    book = case(
        CLOSED, f"{{wheels.rear.rim_width: {car}}}", standard=f"{{wheels.rear.rim_width: {sheet}}}", header=header
    ).judge()
    assert about(book, "wheels.rear.rim_width").verdict is verdict


def test_margin_of_what_is_permitted(case):
    """What is standard has no margin; else the widest permission that is sure gives it, and an unconfirmed one does not."""
    rules = CLOSED + "".join(
        permit(number, f"allow: {{aero.rear_wing.width: {{max: {width} mm}}}}")
        for number, width in (("6.2", 1200), ("6.3", 1400), ("6.4", 1600))
    )

    def margin(width: str, *, unconfirmed: tuple[str, ...] = ()):
        spec = f"{{aero.rear_wing: present, aero.rear_wing.width: {width}}}"
        book = case(rules, spec, standard="{aero.rear_wing.width: 1000 mm}", header=HEADER, unconfirmed=unconfirmed)
        found = about(book.judge(), "aero.rear_wing.width").margin
        return found if found is None else str(found)

    assert margin("1000 mm") is None
    assert margin("1100 mm") == "500 mm"
    assert margin("1100 mm", unconfirmed=("6.4",)) == "300 mm"


def test_unknown_permission_has_no_margin(case):
    """A permission under an unknown condition gives no room, however wide it is."""
    rules = (
        CLOSED
        + permit("6.2", "allow: {aero.rear_wing.width: {max: 1200 mm}}")
        + permit("6.3", "when: {engine.turbo: present}\nallow: {aero.rear_wing.width: {max: 1600 mm}}")
    )
    spec = "{aero.rear_wing: present, aero.rear_wing.width: 1100 mm}"
    finding = about(
        case(rules, spec, standard="{aero.rear_wing.width: 1000 mm}", header=HEADER).judge(), "aero.rear_wing.width"
    )
    assert (finding.verdict, str(finding.margin)) == (Verdict.LEGAL, "100 mm")


def test_system_that_is_absent(case):
    """A whole system stated absent does not empty its closed scope: each part that the standard car has is missed."""
    header = HEADER.replace("aero.rear_wing", "aero")
    book = case(CLOSED, "{aero: absent}", standard="{aero.rear_wing: present}", header=header).judge()
    assert about(book, "aero.rear_wing").verdict is Verdict.ILLEGAL
    assert {finding.verdict for finding in book.findings} == {Verdict.ILLEGAL, Verdict.UNKNOWN}
    assert all("." in finding.subject for finding in book.findings)


def test_under_what_is_absent_nothing_is_asked(case):
    """Of a part that is absent one finding tells all; what is under it has none of its own."""
    book = case(CLOSED, "{aero.rear_wing: absent}", standard="{aero.rear_wing: present}", header=HEADER).judge()
    assert [finding.subject for finding in book.findings] == ["aero.rear_wing"]


def test_permission_measured_otherwise(case):
    """A permission that asks how an amount is taken permits nothing for certain where it was taken otherwise."""
    rules = CLOSED + permit("6.2", "allow: {aero.rear_wing.width: {max: 1400 mm}}\nmeasured: {driver: yes}")
    spec = "{aero.rear_wing: present, aero.rear_wing.width: 1300 mm}"
    finding = about(
        case(rules, spec, standard="{aero.rear_wing.width: 1000 mm}", header=HEADER).judge(), "aero.rear_wing.width"
    )
    assert finding.verdict is Verdict.UNKNOWN
    assert finding.why.endswith("was taken with driver not stated (the book asks yes)")


def test_permission_that_is_replaced(case):
    """What stands in a permission's stead takes it away."""
    rules = (
        CLOSED
        + permit("6.2", "allow: {aero.rear_wing.width: {max: 1400 mm}}")
        + permit("6.3", "instead_of: ['6.2']\nallow: {aero.rear_wing.width: {max: 1200 mm}}")
    )
    spec = "{aero.rear_wing: present, aero.rear_wing.width: 1300 mm}"
    book = case(rules, spec, standard="{aero.rear_wing.width: 1000 mm}", header=HEADER)
    assert about(book.judge(), "aero.rear_wing.width").verdict is Verdict.ILLEGAL


@pytest.mark.parametrize(
    ("built", "verdict"), [("2005-01-01", Verdict.LEGAL), ("2015-01-01", Verdict.ILLEGAL), (None, Verdict.UNKNOWN)]
)
def test_closing_clause_that_is_replaced(case, built, verdict):
    """Whoever is free of the clause that closes a scope is free in it; where that is unknown, so is the verdict."""
    rules = CLOSED + clause(
        "6.9",
        "Cars built before 2010-01-01 are free of 6.1.",
        "when: {car.built: {under: 2010-01-01}}\ninstead_of: ['6.1']",
    )
    spec = "{aero.rear_wing: present" + (f", car.built: {built}}}" if built else "}")
    finding = about(case(rules, spec, standard="{aero.rear_wing: absent}", header=HEADER).judge(), "aero.rear_wing")
    assert finding.verdict is verdict
    assert finding.applies is (verdict is not Verdict.LEGAL)


@pytest.mark.parametrize("of", ["6.1", "6.2"])
def test_waiver_in_a_closed_scope(case, of):
    """A paper on the clause that closes or permits lets the car have what it names, and no more."""
    rules = CLOSED + permit("6.2", "allow: {aero.rear_wing.width: {max: 1200 mm}}")
    waivers = f"[{{clause: '{of}', limit: {{aero.rear_wing.width: {{max: 1400 mm}}}}, until: 2027-06-30, paper: W-1}}]"
    for width, verdict in (("1300 mm", Verdict.LEGAL), ("1500 mm", Verdict.ILLEGAL)):
        spec = f"{{aero.rear_wing: standard, aero.rear_wing.width: {width}}}"
        book = case(rules, spec, standard="{aero.rear_wing.width: 1000 mm}", header=HEADER, waivers=waivers).judge()
        assert Verdict.every(one.verdict for one in book.about(["aero.rear_wing.width"])) is verdict


def test_standard_sheet_does_not_imply_presence(case):
    """A part stated to be standard says nothing of the part above it; a stated part under it overrides it."""
    header = HEADER.replace("aero.rear_wing", "aero")
    spec = "{aero.rear_wing.end_plates: standard}"
    book = case(CLOSED, spec, header=header).judge()
    assert about(book, "aero.rear_wing").missing == ("aero.rear_wing",)
    for part in ("aero", "aero.rear_wing"):
        spec = f"{{{part}: standard, aero.rear_wing.gurney: present}}"
        book = case(CLOSED, spec, standard="{aero.rear_wing: absent}", header=HEADER).judge()
        assert about(book, "aero.rear_wing").verdict is Verdict.ILLEGAL


@pytest.mark.parametrize(("part", "verdict"), [("aero.rear_wing", Verdict.LEGAL), ("aero.splitter", Verdict.ILLEGAL)])
def test_waiver_that_permits_a_part(case, part, verdict):
    """A paper by which a part may be there permits all that is under it, as a clause that allows it would; and no other part."""
    waivers = f"[{{clause: '1', limit: {{{part}: present}}, until: 2027-06-30, paper: W-1}}]"
    book = case(
        "# 1 Bodywork\n\nNothing of the bodywork may be altered.\n",
        "{aero: standard, aero.rear_wing.width: 1410 mm, aero.rear_wing.chord: 300 mm}",
        standard="{aero: present, aero.rear_wing: absent, aero.splitter: absent}",
        header="closed: [{scope: aero, clause: '1'}]\n",
        waivers=waivers,
    ).judge()
    about = [one for one in book.findings if one.subject in {"aero.rear_wing", "aero.rear_wing.width", "aero.rear_wing.chord"}]
    assert Verdict.every(one.verdict for one in about) is verdict
