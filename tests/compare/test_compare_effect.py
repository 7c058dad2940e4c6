"""The effect of a change per class, from readings on both sides."""

from __future__ import annotations

import pytest
from support import BODY, confirm

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.change import Effect
from rulewatch.model.edition import Point

OTHERS = "## 9.1 Flags are obeyed by every driver at all times.\n\n## 9.2 The paddock closes at ten in the evening.\n\n"


@pytest.fixture
def effect(memory_workspace):
    """The effect for silhouette-b of one clause's change from one text and reading to another, both confirmed."""

    def decided(old: str, new: str, *, header: str = "", confirmed: bool = True) -> tuple[Effect, str]:
        files = {"rulesets/saltmarsh/body.yaml": BODY}
        for season, text in (("2026", old), ("2027", new)):
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n{header}"
            files[f"rulesets/saltmarsh/{season}/01-rules.md"] = text + OTHERS
        workspace = memory_workspace(files)
        before, after = (workspace.edition(Point(body="saltmarsh", season=season)) for season in ("2026", "2027"))
        assert workspace.faults == ()
        comparison = compare_editions(*(confirm(edition) if confirmed else edition for edition in (before, after)))
        (change,) = comparison.changed
        return change.effects["silhouette-b"], change.why["silhouette-b"]

    return decided


def rule(text: str, reading: str = "") -> str:
    """Clause 5.2 with a text and, if given, a reading."""
    block = f"\n```reading\n{reading}\n```\n" if reading else ""
    return f"## 5.2 Rims are judged as follows: {text}\n{block}\n"


def limit(text: str, constraint: str, more: str = "") -> str:
    """Clause 5.2 with a limit on the rear rims."""
    return rule(text, f"limit: {{wheels.rear.rim_width: {constraint}}}{more}")


@pytest.mark.parametrize(
    ("old", "new", "effect_of_change"),
    [
        (limit("10 in", "{max: 10 in}"), limit("11 in", "{max: 11 in}"), Effect.LOOSENED),
        (limit("11 in", "{max: 11 in}"), limit("10 in", "{max: 10 in}"), Effect.TIGHTENED),
        (limit("10 in", "{max: 10 in}"), limit("254 mm", "{max: 254 mm}"), Effect.SAME),
        (limit("10 in", "{max: 10 in}"), limit("255 mm", "{max: 255 mm}"), Effect.LOOSENED),
        (limit("up to 10 in", "{max: 10 in}"), limit("under 10 in", "{under: 10 in}"), Effect.TIGHTENED),
        (limit("7 in", "{min: 7 in}"), limit("8 in", "{min: 8 in}"), Effect.TIGHTENED),
        (limit("7 to 10 in", "{min: 7 in, max: 10 in}"), limit("8 to 11 in", "{min: 8 in, max: 11 in}"), Effect.SHIFTED),
        (limit("7 to 10 in", "{min: 7 in, max: 10 in}"), limit("10 in", "{max: 10 in}"), Effect.LOOSENED),
        (limit("9 in", "9 in"), limit("9 in or 10 in", "[9 in, 10 in]"), Effect.LOOSENED),
        (limit("9 in or 10 in", "[9 in, 10 in]"), limit("8 in or 9 in", "[8 in, 9 in]"), Effect.SHIFTED),
        (limit("9 in or 10 in", "[9 in, 10 in]"), limit("10 in", "{max: 10 in}"), Effect.LOOSENED),
        (limit("10 in", "{max: 10 in}"), limit("10 in ±2 mm", "{max: 10 in}", "\ntolerance: ±2 mm"), Effect.LOOSENED),
        (
            limit("10 in with a wing", "{max: 10 in}", "\nwhen: {aero.rear_wing: present}"),
            limit("9 in with a wing", "{max: 9 in}", "\nwhen: {aero.rear_wing: present}"),
            Effect.TIGHTENED,
        ),
        (
            limit("10 in with a wing", "{max: 10 in}", "\nwhen: {aero.rear_wing: present}"),
            limit("10 in with a splitter", "{max: 10 in}", "\nwhen: {aero.splitter: present}"),
            Effect.UNDECIDED,
        ),
        (
            limit("10 in for touring", "{max: 10 in}", "\nclasses: [touring-c]"),
            limit("9 in for touring", "{max: 9 in}", "\nclasses: [touring-c]"),
            Effect.SAME,
        ),
        (rule("no word"), limit("10 in", "{max: 10 in}"), Effect.UNREAD),
        (limit("10 in", "{max: 10 in}"), rule("no word"), Effect.UNREAD),
        (
            rule("900 kg", "weight: {minimum: 900 kg}"),
            rule("910 kg", "weight: {minimum: 910 kg}"),
            Effect.TIGHTENED,
        ),
        (
            rule("add 2.5 %", "weight: {add: 2.5 %}"),
            rule("add 2 %", "weight: {add: 2 %}"),
            Effect.LOOSENED,
        ),
        (rule("add 20 kg", "weight: {add: 20 kg}"), rule("add 2 %", "weight: {add: 2 %}"), Effect.UNDECIDED),
        (
            rule(
                "up to 2000 cc 900 kg, up to 2500 cc 980 kg",
                "weight: {minimum: {by: engine.capacity, steps: [[2000 cc, 900 kg], [2500 cc, 980 kg]]}}",
            ),
            rule(
                "up to 2000 cc 900 kg, up to 2500 cc 970 kg",
                "weight: {minimum: {by: engine.capacity, steps: [[2000 cc, 900 kg], [2500 cc, 970 kg]]}}",
            ),
            Effect.LOOSENED,
        ),
        (
            rule(
                "up to 2000 cc 900 kg, up to 2500 cc 980 kg",
                "weight: {minimum: {by: engine.capacity, steps: [[2000 cc, 900 kg], [2500 cc, 980 kg]]}}",
            ),
            rule(
                "up to 2000 cc 910 kg, up to 2500 cc 970 kg",
                "weight: {minimum: {by: engine.capacity, steps: [[2000 cc, 910 kg], [2500 cc, 970 kg]]}}",
            ),
            Effect.UNDECIDED,
        ),
        (
            rule(
                "10 in, and 17 in across",
                "limit: {wheels.rear.rim_width: {max: 10 in}, wheels.rear.rim_diameter: {max: 17 in}}",
            ),
            rule(
                "11 in, and 16 in across",
                "limit: {wheels.rear.rim_width: {max: 11 in}, wheels.rear.rim_diameter: {max: 16 in}}",
            ),
            Effect.SHIFTED,
        ),
    ],
)
def test_effect(effect, old, new, effect_of_change):
    """What old and new readings allow is compared as sets of values, in any units."""
    assert effect(old, new)[0] is effect_of_change


def test_wider_limit_at_a_price_is_undecided(effect):
    """A limit that grows while cars that use it get heavier depends on itself; nothing is claimed."""
    old = limit("10 in", "{max: 10 in}")
    new = limit("11 in, and over 10 in add 20 kg", "{max: 11 in}") + (
        "```reading\nwhen: {wheels.rear.rim_width: {over: 10 in}}\nweight: {add: 20 kg}\n```\n\n"
    )
    assert effect(old, new)[0] is Effect.UNDECIDED


def test_permission_in_a_closed_scope(effect):
    """A permission loosens a closed scope; outside one it changes nothing."""
    old, new = rule("no wing", "concerns: officials"), rule("a wing is permitted", "allow: {aero.rear_wing: present}")
    assert effect(old, new, header="closed: [aero]\n")[0] is Effect.LOOSENED
    assert effect(old, new)[0] is Effect.SAME


def test_unconfirmed_reading_decides_nothing(effect):
    """A reading that nobody confirmed leaves the effect unread, and the reason says which."""
    found, why = effect(limit("10 in", "{max: 10 in}"), limit("11 in", "{max: 11 in}"), confirmed=False)
    assert found is Effect.UNREAD
    assert why == "the reading of 5.2 of 2026 is not confirmed"
