"""The effect of a change per class, from readings on both sides."""

from __future__ import annotations

import re
from dataclasses import replace

import pytest
from support import BODY, clause, confirm

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.change import Effect
from rulewatch.model.edition import Point

OTHERS = "## 9.1 Flags are obeyed by every driver at all times.\n\n## 9.2 The paddock closes at ten in the evening.\n\n"
WEIGHT = "## 9.3 No car weighs less than 800 kg.\n\n```reading\nweight: {minimum: 800 kg}\n```\n\n"


@pytest.fixture
def effect(memory_workspace):
    """The effect for silhouette-b of one clause's change from one text and reading to another, both confirmed."""

    def decided(
        old: str, new: str, *, header: str = "", new_header: str | None = None, but: tuple[str, ...] | None = ()
    ) -> tuple[Effect, str]:
        files = {"rulesets/saltmarsh/body.yaml": BODY}
        headers = (header, header if new_header is None else new_header)
        for season, text, more in zip(("2026", "2027"), (old, new), headers, strict=True):
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n{more}"
            files[f"rulesets/saltmarsh/{season}/01-rules.md"] = text + OTHERS + WEIGHT
        workspace = memory_workspace(files)
        before, after = (workspace.edition(Point(body="saltmarsh", season=season)) for season in ("2026", "2027"))
        assert workspace.faults == ()
        sides = (before, after) if but is None else (confirm(before, but=but), confirm(after, but=but))
        comparison = compare_editions(*sides)
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
    found, why = effect(limit("10 in", "{max: 10 in}"), limit("11 in", "{max: 11 in}"), but=None)
    assert found is Effect.UNREAD
    assert why == "the reading of 5.2 of 2026 is not confirmed"


def rims(constraint: str, more: str = "") -> str:
    """A reading that limits the rear rims."""
    return f"limit: {{wheels.rear.rim_width: {constraint}}}{more}"


def says(season: str, readings: tuple[str, ...], extra: str = "") -> str:
    """Clause 5.2 in the words of a season, with readings whose numbers stand in it."""
    numbers = re.findall(r"[±\d][-\d.]*(?: (?!of)[a-z%°]+)?", " ".join(readings))
    return clause("5.2", f"In the rules of {season} cars are judged so: {'; '.join(numbers)}.{extra}", *readings)


@pytest.fixture
def moved(effect):
    """The effect of a change between several readings on each side."""

    def decided(old: tuple[str, ...], new: tuple[str, ...], **more: str) -> Effect:
        found, why = effect(says("old", old), says("now", new), **more)
        assert why
        return found

    return decided


UP_TO_2, UP_TO_3 = ("\nwhen: {engine.capacity: {max: 2000 cc}}", "\nwhen: {engine.capacity: {max: 3000 cc}}")
OVER_2 = "\nwhen: {engine.capacity: {over: 2000 cc}}"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        # Claims of one condition count together.
        ((rims("{max: 10 in}"), rims("{max: 12 in}")), (rims("{max: 12 in}"), rims("{max: 10 in}")), Effect.SAME),
        ((rims("{max: 10 in}"), rims("{max: 12 in}")), (rims("{max: 11 in}"), rims("{max: 11 in}")), Effect.LOOSENED),
        ((rims("{max: 10 in}"), rims("{max: 12 in}")), (rims("{max: 10 in}"), rims("{max: 14 in}")), Effect.SAME),
        ((rims("[9 in, 10 in]"), rims("{max: 9 in}")), (rims("9 in"),), Effect.SAME),
        ((rims("{min: 8 in}"), rims("{min: 9 in, max: 12 in}")), (rims("{min: 9 in, max: 11 in}"),), Effect.TIGHTENED),
        ((rims("{over: 9 in}"), rims("{min: 9 in}")), (rims("{over: 9 in}"),), Effect.SAME),
        ((rims("{max: 9 in}"), rims("{min: 10 in}")), (rims("{max: 8 in}"), rims("{min: 10 in}")), Effect.UNDECIDED),
        (
            (rims("{max: 254 mm}", "\ntolerance: ±5 mm"), rims("{max: 255 mm}", "\ntolerance: ±1 mm")),
            (rims("{max: 255 mm}", "\ntolerance: ±1 mm"),),
            Effect.UNDECIDED,
        ),
        # What holds under another condition than before holds for others, if no car meets both.
        ((rims("{max: 10 in}", UP_TO_2),), (rims("{max: 10 in}", UP_TO_3),), Effect.UNDECIDED),
        ((rims("{max: 10 in}", UP_TO_2),), (rims("{max: 10 in}", OVER_2),), Effect.SHIFTED),
        # Where conditions may hold for one car, one limit may hide what became of another.
        (
            (rims("{max: 10 in}", UP_TO_2), rims("{max: 8 in}", UP_TO_3)),
            (rims("{max: 12 in}", UP_TO_2), rims("{max: 7 in}", UP_TO_3)),
            Effect.UNDECIDED,
        ),
        (
            (rims("{max: 10 in}", UP_TO_2), rims("{max: 8 in}", UP_TO_3)),
            (rims("{max: 12 in}", UP_TO_2), rims("{max: 8 in}", UP_TO_3)),
            Effect.UNDECIDED,
        ),
        (
            (rims("{max: 10 in}", UP_TO_2), rims("{max: 8 in}", UP_TO_3)),
            (rims("{max: 12 in}", UP_TO_2), rims("{max: 9 in}", UP_TO_3)),
            Effect.LOOSENED,
        ),
        (
            (rims("{max: 10 in}", UP_TO_2), rims("{max: 8 in}", OVER_2)),
            (rims("{max: 12 in}", UP_TO_2), rims("{max: 7 in}", OVER_2)),
            Effect.SHIFTED,
        ),
        (
            (rims("{max: 10 in}", UP_TO_2), rims("{max: 8 in}", OVER_2)),
            (rims("{max: 12 in}", UP_TO_2), rims("{max: 8 in}", OVER_2)),
            Effect.LOOSENED,
        ),
        # One of a condition of its own that came beside another is not left out.
        ((rims("{max: 10 in}"),), (rims("{max: 11 in}"), rims("{max: 8 in}", OVER_2)), Effect.UNDECIDED),
        # A condition on what is limited, or that the part is not there, may leave no car to limit.
        (
            (rims("{max: 10 in}", "\nwhen: {wheels.rear.rim_width: {over: 11 in}}"),),
            (rims("{max: 9 in}", "\nwhen: {wheels.rear.rim_width: {over: 11 in}}"),),
            Effect.UNDECIDED,
        ),
        (
            ("limit: {aero.rear_wing.chord: {max: 300 mm}}\nwhen: {aero.rear_wing: absent}",),
            ("limit: {aero.rear_wing.chord: {max: 200 mm}}\nwhen: {aero.rear_wing: absent}",),
            Effect.UNDECIDED,
        ),
        (
            ("limit: {aero.rear_wing: absent, aero.rear_wing.chord: {max: 300 mm}}",),
            ("limit: {aero.rear_wing: absent, aero.rear_wing.chord: {max: 200 mm}}",),
            Effect.UNDECIDED,
        ),
        (("limit: {aero.rear_wing: absent}",), ("limit: {aero.rear_wing: present}",), Effect.SHIFTED),
    ],
)
def test_claims_of_one_quantity(moved, old, new, expected):
    """Limits that hold together are met together; what may be hidden behind another limit is not claimed."""
    assert moved(old, new) is expected


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        (rims("10 in"), rims("{min: 10 in, max: 10 in}"), Effect.SAME),
        (rims("{min: 10 in, max: 10 in}"), rims("10 in"), Effect.SAME),
        (rims("{min: 10 in, max: 10 in}"), rims("[10 in, 11 in]"), Effect.LOOSENED),
        (rims("10 in"), rims("{under: 10 in}"), Effect.SHIFTED),
        (rims("10 in"), rims("{over: 10 in}"), Effect.SHIFTED),
        (rims("10 in"), rims("{min: 10 in}"), Effect.LOOSENED),
        (rims("{max: 10 in}"), rims("9 in"), Effect.TIGHTENED),
        ("limit: {car.built: {max: 2025-12-31}}", "limit: {car.built: {under: 2026-01-01}}", Effect.SAME),
        ("limit: {car.built: {max: 2025-12-31}}", "limit: {car.built: {under: 2025-12-31}}", Effect.TIGHTENED),
        ("limit: {car.built: {over: 2025-12-31}}", "limit: {car.built: {min: 2026-01-01}}", Effect.SAME),
        ("limit: {drivetrain.gearbox.gears: {max: 6}}", "limit: {drivetrain.gearbox.gears: {under: 7}}", Effect.UNDECIDED),
        ("limit: {drivetrain.gearbox.gears: {max: 6}}", "limit: {drivetrain.gearbox.gears: {max: 7}}", Effect.LOOSENED),
        ("limit: {drivetrain.gearbox.gears: [5, 6]}", "limit: {drivetrain.gearbox.gears: {min: 5, max: 6}}", Effect.UNDECIDED),
        ("limit: {car.weight: {max: 1200 kg}}", "limit: {car.weight: {min: 0 kg, max: 1200 kg}}", Effect.UNDECIDED),
    ],
)
def test_one_set_in_two_forms(moved, old, new, expected):
    """Equal sets of values are the same in whichever form; days are whole, and what may be counted is not guessed at."""
    assert moved((old,), (new,)) is expected


def bound(text: str, more: str = "") -> str:
    """A reading that bounds the rear rims from above."""
    return rims(f"{{max: {text}}}", more)


def steps(*parts: str) -> str:
    """A bound on the rear rims in steps of the engine's capacity."""
    return bound(f"{{by: engine.capacity, steps: [{', '.join(parts)}]}}")


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        # Bounds that are worked out from another quantity.
        (bound("{of: wheels.front.rim_width, plus: 1 in}"), bound("{of: wheels.front.rim_width, plus: 2 in}"), Effect.LOOSENED),
        (
            bound("{of: wheels.front.rim_width, rate: 1.1, plus: 1 in}"),
            bound("{of: wheels.front.rim_width, rate: 1.2, plus: 1 in}"),
            Effect.UNDECIDED,
        ),
        (
            bound("{of: standard.wheels.front.rim_width, plus: 1 in}"),
            bound("{of: homologated.wheels.front.rim_width, plus: 1 in}"),
            Effect.UNDECIDED,
        ),
        (steps("[2000 cc, 9 in]", "[above, 10 in]"), steps("[2000 cc, 9 in]", "[above, 11 in]"), Effect.LOOSENED),
        (steps("[2000 cc, 9 in]", "[above, 10 in]"), steps("[2000 cc, 9 in]"), Effect.UNDECIDED),
        (steps("[2000 cc, 9 in]"), steps("[2100 cc, 9 in]"), Effect.UNDECIDED),
        (
            bound("{least: [9 in, {of: wheels.front.rim_width}]}"),
            bound("{least: [10 in, {of: wheels.front.rim_width}]}"),
            Effect.UNDECIDED,
        ),
        (
            bound("{least: [9 in, {of: wheels.front.rim_width}]}"),
            bound("{least: [{of: wheels.front.rim_width}, 9 in]}"),
            Effect.SAME,
        ),
        # What the book grants: on both ends outwards; on a bound that is worked out it is not compared.
        (rims("{min: 9 in}", "\ntolerance: ±1 mm"), rims("{min: 9 in}", "\ntolerance: ±2 mm"), Effect.LOOSENED),
        (rims("{max: 9 in}", "\ntolerance: ±2 mm"), rims("{max: 9 in}", "\ntolerance: ±1 mm"), Effect.TIGHTENED),
        (rims("{max: 9 in}", "\ntolerance: ±1 mm"), rims("{max: 254 mm}", "\ntolerance: ±2 mm"), Effect.LOOSENED),
        (rims("standard", "\ntolerance: ±1 mm"), rims("standard", "\ntolerance: ±5 mm"), Effect.UNDECIDED),
        (
            steps("[2000 cc, 9 in]") + "\ntolerance: ±1 mm",
            steps("[2000 cc, 9 in]") + "\ntolerance: ±5 mm",
            Effect.UNDECIDED,
        ),
        (
            bound("{of: homologated.wheels.rear.rim_width}", "\ntolerance: ±1 mm"),
            bound("{of: homologated.wheels.rear.rim_width}", "\ntolerance: ±5 mm"),
            Effect.UNDECIDED,
        ),
    ],
)
def test_bounds(moved, old, new, expected):
    """Bounds of one shape compare where one is greater on every car, with what the book grants on them."""
    assert moved((old,), (new,)) is expected


BUILT = "\nwhen: {car.built: {under: %s-01-01}}"


@pytest.mark.parametrize(
    ("old", "new", "expected"),
    [
        # What is replaced, dated or measured, and under which condition.
        (("instead_of: [9.3]" + BUILT % "2010",), ("instead_of: [9.3]" + BUILT % "2000",), Effect.UNDECIDED),
        (("instead_of: [9.3]" + BUILT % "2010",), ("instead_of: [9.3]" + BUILT % "2010",), Effect.SAME),
        (("instead_of: [9.3]" + BUILT % "2010",), ("concerns: officials",), Effect.UNDECIDED),
        (
            ("dated: [{item: safety.harness, life: 5 years, from: manufacture, until: day}]" + BUILT % "2010",),
            ("dated: [{item: safety.harness, life: 5 years, from: manufacture, until: day}]",),
            Effect.UNDECIDED,
        ),
        (
            ("dated: [{item: safety.harness, life: 5 years, from: manufacture, until: day}]",),
            ("dated: [{item: safety.harness, life: 3 years, from: manufacture, until: day}]",),
            Effect.UNDECIDED,
        ),
        (
            (rims("{max: 9 in}", "\nmeasured: {driver: yes}"),),
            (rims("{max: 9 in}", "\nmeasured: {driver: no}"),),
            Effect.UNDECIDED,
        ),
        (
            (rims("{max: 9 in}", "\nmeasured: {driver: yes}"), "limit: {car.width: {max: 1800 mm}}"),
            (rims("{max: 9 in}"), "limit: {car.width: {max: 1800 mm}}\nmeasured: {driver: yes}"),
            Effect.UNDECIDED,
        ),
        (
            (rims("{max: 9 in}", "\nuntil: 2026-12-31"), "limit: {car.width: {max: 1800 mm}}"),
            (rims("{max: 9 in}"), "limit: {car.width: {max: 1800 mm}}\nuntil: 2026-12-31"),
            Effect.UNDECIDED,
        ),
        (
            (rims("{max: 9 in}", "\nuntil: 2020-12-31"),),
            (rims("{max: 8 in}", "\nuntil: 2020-12-31"),),
            Effect.UNDECIDED,
        ),
        # Weights.
        (("weight: {minimum: 900 kg}\ntolerance: ±2 kg",), ("weight: {minimum: 900 kg}",), Effect.UNDECIDED),
        ((rims("10 in", "\ntolerance: ±1 mm"),), (rims("10 in"),), Effect.UNDECIDED),
        (("weight: {minimum: 900 kg, with: driver}",), ("weight: {minimum: 910 kg}",), Effect.UNDECIDED),
        (("weight: {minimum: 900 kg}",), ("weight: {minimum: 910 kg, with: driver}",), Effect.UNDECIDED),
        (("weight: {minimum: 800 kg}", "weight: {minimum: 900 kg}"), ("weight: {minimum: 850 kg}",), Effect.LOOSENED),
        (
            ("weight: {minimum: 900.2 kg, round: {to: 1 kg}}",),
            ("weight: {minimum: 900.4 kg, round: {to: 1 kg}}",),
            Effect.UNDECIDED,
        ),
        (
            ("weight: {minimum: 900 kg, round: {to: 1 kg}}",),
            ("weight: {minimum: 910 kg, round: {to: 1 kg}}",),
            Effect.TIGHTENED,
        ),
        (("concerns: officials",), ("weight: {add: 20 kg}",), Effect.TIGHTENED),
        (("concerns: officials",), ("weight: {add: -20 kg}",), Effect.LOOSENED),
        (("weight: {add: -20 kg}",), ("concerns: officials",), Effect.TIGHTENED),
        (("concerns: officials",), ("weight: {add: 0 kg}",), Effect.SAME),
        # A word more of a list, and a list that may be all that there is.
        (
            ("limit: {engine.induction.type: natural}",),
            ("limit: {engine.induction.type: [natural, turbocharged]}",),
            Effect.LOOSENED,
        ),
        (("limit: {engine.induction.type: natural}",), ("concerns: officials",), Effect.LOOSENED),
        (("limit: {engine.induction.type: [natural, turbocharged]}",), ("concerns: officials",), Effect.UNDECIDED),
    ],
)
def test_what_is_claimed(moved, old, new, expected):
    """A way is claimed only where it is true of the cars, whatever else of a reading changed."""
    assert moved(old, new) is expected


@pytest.mark.parametrize(
    ("old", "new", "headers", "expected"),
    [
        # The scope is closed on one side only, or closed there otherwise.
        ("{aero.rear_wing: present}", None, ("closed: [aero]\n", ""), Effect.UNDECIDED),
        (None, "{aero.rear_wing: present}", ("closed: [aero]\n", ""), Effect.SAME),
        (None, "{aero.rear_wing: present}", ("", "closed: [aero]\n"), Effect.UNDECIDED),
        # What the book grants is granted on limits alone.
        (
            "{aero.rear_wing.chord: {max: 200 mm}}",
            "{aero.rear_wing.chord: {max: 20 cm}}",
            ("closed: [aero]\n", "closed: [aero]\ntolerance: ±2 mm\n"),
            Effect.SAME,
        ),
        (
            "{aero.rear_wing.chord: {max: 200 mm}}",
            "{aero.rear_wing.chord: {max: 300 mm}}",
            ("closed: [aero]\n",),
            Effect.LOOSENED,
        ),
        # A part that is permitted with everything under it hides what is said of a part of it.
        (
            "{aero.rear_wing: present, aero.rear_wing.chord: {max: 200 mm}}",
            "{aero.rear_wing: present, aero.rear_wing.chord: {max: 300 mm}}",
            ("closed: [aero]\n",),
            Effect.UNDECIDED,
        ),
        # The clause closes another scope than before.
        (None, None, ("", "closed: [{scope: aero, clause: 5.2}]\n"), Effect.UNDECIDED),
        (None, None, ("closed: [{scope: aero, clause: 5.2}]\n", ""), Effect.UNDECIDED),
        (
            None,
            None,
            ("closed: [{scope: aero.rear_wing, clause: 5.2}]\n", "closed: [{scope: aero, clause: 5.2}]\n"),
            Effect.UNDECIDED,
        ),
        (None, None, ("closed: [{scope: aero, clause: 5.2}]\n",), Effect.SAME),
    ],
)
def test_closed_scopes(moved, old, new, headers, expected):
    """Permissions count in a scope that both books close alike; a clause that closes another than before decides nothing."""
    before, after = ((f"allow: {allows}" if allows else "concerns: officials",) for allows in (old, new))
    assert moved(before, after, header=headers[0], new_header=headers[-1]) is expected


def test_permissions_of_one_part(moved):
    """Several permissions of one part allow what any of them does."""
    sizes = [f"allow: {{aero.rear_wing.chord: {{max: {size} mm}}}}" for size in (100, 200, 120, 180)]
    assert moved(tuple(sizes[:2]), tuple(sizes[2:]), header="closed: [aero]\n") is Effect.TIGHTENED


def test_replaced_clause_under_its_new_number(memory_workspace):
    """A reading that replaces a clause still replaces the same one when that got another number."""
    replacing = rims("{max: 11 in}", "\ninstead_of: [%s]\nwhen: {car.built: {under: 2010-01-01}}")
    rest = "Rear rims, with their tyres off, are no wider between the seats of the beads than 10 in."
    files = {"rulesets/saltmarsh/body.yaml": BODY}
    for season, number, extra in (("2026", "5.1", ""), ("2027", "5.4", " The scrutineer may look.")):
        files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n"
        files[f"rulesets/saltmarsh/{season}/01-rules.md"] = clause(number, rest, rims("{max: 10 in}")) + says(
            "both", (replacing % number,), extra
        ).replace("5.2 ", "5.6 ")
    workspace = memory_workspace(files)
    editions = [confirm(workspace.edition(Point(body="saltmarsh", season=season))) for season in ("2026", "2027")]
    assert workspace.faults == ()
    (change,) = [change for change in compare_editions(*editions).changes if change.key == "5.6"]
    assert change.effects["silhouette-b"] is Effect.SAME


def test_one_confirmed_reading_is_not_enough(memory_workspace):
    """Every reading of a clause is confirmed, or its effect is unread."""
    files = {"rulesets/saltmarsh/body.yaml": BODY}
    for season, size in (("2026", 10), ("2027", 11)):
        files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n"
        readings = (rims(f"{{max: {size} in}}"), "limit: {car.width: {max: 1800 mm}}")
        files[f"rulesets/saltmarsh/{season}/01-rules.md"] = says("all", readings)
    workspace = memory_workspace(files)
    old, new = (confirm(workspace.edition(Point(body="saltmarsh", season=season))) for season in ("2026", "2027"))
    first, second = new.readings["5.2"]
    half = replace(new, readings={"5.2": (first, replace(second, confirmed=None))})
    (change,) = compare_editions(old, half).changed
    assert change.effects["silhouette-b"] is Effect.UNREAD


def test_open_question(moved):
    """A reading with a question that nobody has answered says nothing of the effect yet."""
    asking = rims("{max: 11 in}", "\nask: Is that between the seats of the beads?")
    assert moved((rims("{max: 10 in}"),), (asking,)) is Effect.UNREAD
    assert moved(("ask: What is a rim?",), ("ask: Which rim is meant by 5.2?",)) is Effect.UNREAD
    answered = f"{asking}\nanswered: {{on: 2026-12-01, by: Officials}}"
    assert moved((rims("{max: 10 in}"),), (answered,)) is Effect.LOOSENED


@pytest.mark.parametrize(("old", "new"), [("10 in", "12 in"), ("12 in", "10 in")])
def test_words_that_change_nothing_read_otherwise(memory_workspace, old, new):
    """A change of wording only leaves the rule as it is; another reading of it is reported as that."""
    files = {"rulesets/saltmarsh/body.yaml": BODY}
    for season, words, size in (("2026", "not 'beads', 10 in or 12 in", old), ("2027", "not ‘beads’, 10 in or 12 in", new)):
        files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"title: Rules {season}\n"
        files[f"rulesets/saltmarsh/{season}/01-rules.md"] = clause(
            "5.2", f"Rims, {words}", rims(f"{{max: {size}}}", "\nnoted: [10 in, 12 in]")
        )
    workspace = memory_workspace(files)
    editions = [confirm(workspace.edition(Point(body="saltmarsh", season=season))) for season in ("2026", "2027")]
    assert workspace.faults == ()
    (change,) = compare_editions(*editions).changed
    assert change.wording_only
    assert change.effects["silhouette-b"] is Effect.SAME
    assert change.reinterpreted
