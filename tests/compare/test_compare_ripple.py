"""Ripple: which clauses a change reaches, by which way, and which it does not."""

from __future__ import annotations

import pytest
from support import clause

from rulewatch.compare.comparison import compare_editions
from rulewatch.compare.ripple import MOST_STEPS
from rulewatch.compare.terms import defined, uses, words
from rulewatch.model.edition import Point

NOISE = "The exhaust noise is measured at half a metre from the outlet."
TYRES = "Tyres are marked by the inspectors before the first practice."


@pytest.fixture
def touched(memory_workspace):
    """What is touched between two books, each given as Markdown: for each clause its ways, as words."""

    def made(old: str, new: str) -> dict[str, list[str]]:
        files = {"rulesets/saltmarsh/body.yaml": "name: Saltmarsh Circuit Club\nclasses: [silhouette-b]\n"}
        for season, book in (("2026", old), ("2027", new)):
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n"
            files[f"rulesets/saltmarsh/{season}/01.md"] = book
        workspace = memory_workspace(files)
        before, after = (workspace.edition(Point(body="saltmarsh", season=season)) for season in ("2026", "2027"))
        assert [str(fault) for fault in workspace.faults if not fault.warning] == []
        return {
            change.key: [
                " ".join(
                    part
                    for name, reason in zip(touch.path, (*touch.reasons, None), strict=True)
                    for part in (name, f"<{reason.tie.value[0]}:{reason.about}>" if reason else "")
                    if part
                )
                for touch in change.touched_by
            ]
            for change in compare_editions(before, after).touched
        }

    return made


def test_a_reference_touches(touched):
    """A clause that refers to a reworded one is touched; one that refers to nothing is not, and no changed one is."""
    rest = clause("1.2", "Rims are measured as in 1.1.") + clause("1.3", NOISE)
    found = touched(
        clause("1.1", "The width is taken at the bead seats.") + rest,
        clause("1.1", "The width is taken outside the flanges.") + rest,
    )
    assert found == {"1.2": ["1.1 <r:> 1.2"]}


def test_wording_alone_touches_nothing(touched):
    """A change of words that changes nothing reaches nobody."""
    rest = clause("1.2", "Rims are measured as in 1.1.") + clause("1.3", NOISE)
    old, new = (clause("1.1", f"The width is taken at the {seats}.") for seats in ("'bead' seats", "‘bead’ seats"))
    assert touched(old + rest, new + rest) == {}


def test_a_definition_touches_those_who_use_its_term(touched):
    """A term in a chapter of definitions, and one that `means` something anywhere, reach whoever uses them, plural or not."""
    book = (
        clause("1", "Definitions")
        + clause("1.1", "Rear wing\n\nA rear wing is a part with the section of an aerofoil {} the window.")
        + clause("2.1", "“Free device” means a part whose make is {} open.")
        + clause("2.2", "No car shall have two rear wings.")
        + clause("2.3", "Free devices may be painted.")
        + clause("2.4", TYRES)
    )
    found = touched(book.format("behind", "left"), book.format("above", "declared"))
    assert found == {"2.2": ["1.1 <d:Rear wing> 2.2"], "2.3": ["2.1 <d:Free device> 2.3"]}


def test_a_repealed_definition_touches_too(touched):
    """What used a term that is no longer defined is touched by the clause that is gone."""
    head, rest = clause("1", "Definitions"), clause("2.2", "No car shall have two rear wings.") + clause("2.4", TYRES)
    found = touched(head + clause("1.1", "Rear wing\n\nA part with the section of an aerofoil.") + rest, head + rest)
    assert found == {"2.2": ["1.1 <d:Rear wing> 2.2"]}


def test_a_quantity_touches_what_is_conditioned_on_it_or_bound_by_it(touched):
    """A limit of a quantity reaches readings with a condition on it, on a part of it, or a bound worked out from it."""
    book = (
        (
            clause("3.1", "A wing is at most {} wide.", "limit: {{aero.rear_wing.width: {{max: {}}}}}")
            + clause(
                "3.2", "A wide wing costs 20 kg.", "when: {{aero.rear_wing.width: {{over: 1 m}}}}\nweight: {{add: 20 kg}}\n"
            )
            + clause("3.3", NOISE, "concerns: event")
        )
        .replace("over: 1 m", "over: 1000 mm")
        .replace("A wide wing", "Over 1000 mm a wing")
    )
    found = touched(book.format("1400 mm", "1400 mm"), book.format("1300 mm", "1300 mm"))
    assert found == {"3.2": ["3.1 <q:aero.rear_wing.width> 3.2"]}


def test_what_is_said_of_a_part_reaches_what_depends_on_its_quantities(touched):
    """Whether a wing may be there reaches a reading with a condition on the wing's width."""
    book = clause("3.1", "Wings are {}.", "limit: {{aero.rear_wing: {}}}") + clause(
        "3.2", "Over 1000 mm a wing costs 20 kg.", "when: {{aero.rear_wing.width: {{over: 1000 mm}}}}\nweight: {{add: 20 kg}}"
    )
    found = touched(book.format("allowed on all cars", "present"), book.format("forbidden on all cars", "absent"))
    assert found == {"3.2": ["3.1 <q:aero.rear_wing.width> 3.2"]}


def test_ways_are_shortest_and_end(touched):
    """A chain of references is followed so far and no farther, circles end, and no way is longer than another."""
    chain = "".join(clause(f"1.{n}", f"Part number {n} is made as {n} in clause 1.{n - 1}.") for n in range(2, 8))
    circle = clause("1.8", "As in 1.9, and in 1.2.") + clause("1.9", "As in 1.8.")
    found = touched(
        clause("1.1", "Parts are round.") + chain + circle, clause("1.1", "Parts are square and flat.") + chain + circle
    )
    assert [len(found[f"1.{n}"][0].split(" <r:> ")) - 1 for n in range(2, 2 + MOST_STEPS)] == [1, 2, 3]
    assert found["1.8"] == ["1.1 <r:> 1.2 <r:> 1.8"]
    assert found["1.9"] == ["1.1 <r:> 1.2 <r:> 1.8 <r:> 1.9"]
    assert set(found) == {"1.2", "1.3", "1.4", "1.8", "1.9"}


def test_every_change_that_is_referred_to_is_named(touched):
    """A clause that refers to two changes has both ways; one farther off has one."""
    rest = clause("1.3", "As in 1.1 and 1.2.") + clause("1.4", "As in 1.3.")
    found = touched(
        clause("1.1", "Rims are round.") + clause("1.2", "Hubs are made of steel.") + rest,
        clause("1.1", "Rims are oval.") + clause("1.2", "Hubs are made of brass.") + rest,
    )
    assert found["1.3"] == ["1.1 <r:> 1.3", "1.2 <r:> 1.3"]
    assert found["1.4"] == ["1.1 <r:> 1.3 <r:> 1.4"]


def test_what_was_only_renumbered_is_touched_under_its_new_number(touched):
    """A clause that moved down by one still hangs on what changed, and a renumbered target by itself touches nothing."""
    found = touched(
        clause("1.1", "The width of rims is taken at the bead seats.") + clause("1.2", "Rims are measured as in clause 1.1."),
        clause("1.1", TYRES)
        + clause("1.2", "The width of rims is taken outside the bead seats.")
        + clause("1.3", "Rims are measured as in clause 1.2."),
    )
    assert found == {"1.3": ["1.2 <r:> 1.3"]}
    assert (
        touched(
            clause("1.1", NOISE) + clause("1.2", TYRES) + clause("1.3", "As in 1.2."),
            clause("1.1", NOISE) + clause("1.4", TYRES) + clause("1.5", "As in 1.4."),
        )
        == {}
    )


def test_terms_and_their_uses(memory_workspace):
    """Quoted, bold, headed and called terms; in other languages; the longest counts; headings outside do not define."""
    text = (
        clause("1", "Begriffsbestimmungen")
        + clause("1.1", "Felge\n\nDie Felge trägt den Reifen.")
        + clause("1.2", "General\n\nThis chapter is called the key, and nothing else.")
        + clause("2", "Aerodynamics")
        + clause("2.1", "„Luftleiter“ bedeutet ein Teil, das die Luft führt.")
        + clause("2.2", "**Side skirt** means a strip. Wings are free.")
        + clause("2.3", "Side skirts are made of the same stuff as a skirt.")
        + clause("2.4", "Felgen und Luftleiter sind frei; the KEY counts.")
    )
    workspace = memory_workspace(
        {
            "rulesets/saltmarsh/body.yaml": "name: S\nclasses: [a]\n",
            "rulesets/saltmarsh/2026/edition.yaml": "title: T\n",
            "rulesets/saltmarsh/2026/01.md": text,
        }
    )
    clauses = workspace.edition(Point(body="saltmarsh", season="2026")).clauses
    found = defined(clauses)
    assert found == {"1.1": ("Felge",), "1.2": ("key",), "2.1": ("Luftleiter",), "2.2": ("Side skirt",)}
    used = uses(clauses, ["Side skirt", "skirt", "Luftleiter", "key"])
    assert used["Side skirt"] == ("2.2", "2.3")
    assert used["skirt"] == ("2.3",)
    assert used["Luftleiter"] == ("2.1", "2.4")
    assert used["key"] == ("1.2", "2.4")
    assert words("Side-skirts, bodies & boss") == ("side-skirt", "body", "boss")
