"""How long the effects of a class of 300 clauses take to work out, every one of them changed: `python tests/bench/bench_effects.py`.

Limits that intervals decide, limits under conditions, steps, permissions in a closed scope, and adders to a minimum weight with rounding.
First without a car to stay near to, then with three that state every length. The time does not count parsing and pairing; it is given
as processor time, too, since other work on the machine does not count in that.
"""

from __future__ import annotations

import sys
import time
from collections import Counter
from dataclasses import replace
from fractions import Fraction
from pathlib import Path

sys.path.insert(0, str(Path(__file__).parents[1]))

from support import BODY, MemoryTree, confirm

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.car import Car, Entry, Stated
from rulewatch.model.change import Comparison
from rulewatch.model.edition import Edition, Point
from rulewatch.model.fault import Place
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.parse.vocabulary import packaged_vocabulary
from rulewatch.workspace import Workspace

HERE = Place(path="generated")
MILLIMETRE, KILOGRAM, CUBIC_CENTIMETRE = (find_unit(name) for name in ("mm", "kg", "cc"))
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


def car(number: int) -> Car:
    """One of the crew's cars: every length between 40 and 100 mm, and heavy enough."""
    stated = {
        name: Amount(number=Fraction(40 + (place * 37 + number * 61) % 60), unit=MILLIMETRE)
        for place, (name, quantity) in enumerate(packaged_vocabulary().quantities.items())
        if quantity.unit is not None and quantity.unit.dimension == MILLIMETRE.dimension
    }
    stated["car.weight"] = Amount(number=Fraction(1250 + 40 * number), unit=KILOGRAM)
    stated["engine.capacity"] = Amount(number=Fraction(1900 + 500 * number), unit=CUBIC_CENTIMETRE)
    return Car(
        id=f"car-{number}",
        name=f"Car {number}",
        place=HERE,
        entries=(Entry(body="saltmarsh", class_name="silhouette-b", place=HERE),),
        spec={name: Stated(subject=name, place=HERE, values=(value,)) for name, value in stated.items()},
    )


def measure(old: Edition, new: Edition, cars: tuple[Car, ...]) -> None:
    """Print the time of the effects alone, and what they came to."""
    plain, (comparison, took, worked) = timed(old, new)[1], timed(old, new, vocabulary=packaged_vocabulary(), cars=cars)
    effects = Counter(effect.value for change in comparison.changed for effect in change.effects.values())
    inside = Counter(effect.value for change in comparison.changed for effect in change.in_book.values())
    shown = sum(len(found) for change in comparison.changed for found in change.witness.values())
    sys.stdout.write(
        f"{len(comparison.changed)} changed clauses, {len(cars)} cars: effects in {took - plain:.2f} s, "
        f"{worked:.2f} s of processor time with pairing and wording\n"
        f"alone {dict(effects)}; in the book {dict(inside)}; {shown} witnesses; the class "
        f"{comparison.classes['silhouette-b'].effect}\n"
    )


def timed(old: Edition, new: Edition, **more: object) -> tuple[Comparison, float, float]:
    """A comparison, its time, and its processor time."""
    start, worked = time.perf_counter(), time.process_time()
    found = compare_editions(replace(old), new, **more)  # type: ignore[arg-type]
    return found, time.perf_counter() - start, time.process_time() - worked


def main() -> None:
    """Measure without cars and with three."""
    old, new = edition("2026", grown=0), edition("2027", grown=1)
    measure(old, new, ())
    measure(old, new, tuple(map(car, range(3))))


if __name__ == "__main__":
    main()
