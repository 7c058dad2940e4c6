"""How long the effects of a class of 300 clauses take to work out, every one of them changed: `python tests/bench/bench_effects.py`.

Limits that intervals decide, limits under conditions, steps, permissions in a closed scope, and adders to a minimum weight with rounding.
The time does not count parsing and pairing; the claim is under two seconds on two cores.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from dataclasses import replace
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from support import BODY, MemoryTree, confirm

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.edition import Edition, Point
from rulewatch.parse.vocabulary import packaged_vocabulary
from rulewatch.workspace import Workspace

CLAUSES = 300
SHARES = ("1 %", "1.5 %", "2 %", "2.5 %")


def reading(number: int, names: list[str], *, grown: int) -> str:
    """The reading of one clause; every fifth is not for intervals."""
    name, other = names[number % len(names)], names[(number * 7 + 3) % len(names)]
    size = 100 + number + grown
    match number % 10:
        case 0:
            return f"when: {{{other}: {{over: {number} mm}}}}\nlimit: {{{name}: {{max: {size} mm}}}}"
        case 5 if number % 20 == 5:
            return f"when: {{{name}: {{over: {number} mm}}}}\nweight: {{add: {SHARES[(number + grown) % 4]}}}"
        case 5:
            return (
                f"limit: {{{name}: {{max: {{by: engine.capacity, steps: [[2000 cc, {size} mm], [3000 cc, {size + 7} mm]]}}}}}}"
            )
        case 3:
            return f"allow: {{aero.splitter.projection: {{max: {size} mm}}}}"
    return f"limit: {{{name}: {{max: {size} mm}}}}"


def edition(season: str, *, grown: int) -> Edition:
    """A book of 300 clauses, all of one class."""
    lengths = [
        name
        for name, quantity in packaged_vocabulary().quantities.items()
        if quantity.unit is not None and quantity.unit.dimension == "[length]" and not name.startswith("aero.")
    ]
    text = "## 1 Weight\n\n```reading\nweight: {minimum: 900 kg, round: {to: 1 kg}}\n```\n\n" + "".join(
        f"## 2.{number} Rule {number} of {season}\n\n```reading\n{reading(number, lengths, grown=grown)}\n```\n\n"
        for number in range(1, CLAUSES + 1)
    )
    workspace = Workspace(
        MemoryTree(
            contents={
                "rulesets/saltmarsh/body.yaml": BODY,
                f"rulesets/saltmarsh/{season}/edition.yaml": "title: Rules\neffective: 2027-01-01\nclosed: [aero.splitter]\nclasses: [silhouette-b]\n",
                f"rulesets/saltmarsh/{season}/01-rules.md": text,
            }
        )
    )
    found = workspace.edition(Point(body="saltmarsh", season=season))
    assert found is not None, workspace.faults[:3]
    return confirm(found)


def main() -> None:
    """Print the time of the effects alone, and what they came to."""
    old, new = edition("2026", grown=0), edition("2027", grown=1)
    start = time.perf_counter()
    compare_editions(old, new)
    plain = time.perf_counter() - start
    start = time.perf_counter()
    comparison = compare_editions(replace(old), new, vocabulary=packaged_vocabulary())
    took = time.perf_counter() - start - plain
    effects = Counter(effect.value for change in comparison.changed for effect in change.effects.values())
    inside = Counter(effect.value for change in comparison.changed for effect in change.in_book.values())
    shown = sum(len(found) for change in comparison.changed for found in change.witness.values())
    effect = comparison.classes["silhouette-b"].effect
    sys.stdout.write(
        f"{len(comparison.changed)} changed clauses: effects in {took:.2f} s (pairing and wording: {plain:.2f} s)\n"
    )
    sys.stdout.write(f"alone {dict(effects)}; in the book {dict(inside)}; {shown} witnesses; the class {effect}\n")


if __name__ == "__main__":
    main()
