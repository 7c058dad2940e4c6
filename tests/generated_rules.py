"""Generated pairs of books that differ in a clause or two, and a grid of cars that state everything.

Everything of a small vocabulary is stated, so that `assess` has an answer for each car: the check from outside for what
`compare` claims about all cars at once.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import date, timedelta
from fractions import Fraction
from functools import cached_property
from itertools import product
from random import Random

from hypothesis import strategies as st
from support import BODY, MemoryTree, confirm

from rulewatch.assess.verdicts import judge
from rulewatch.compare.comparison import compare_editions
from rulewatch.model.car import Car, Entry, Stated
from rulewatch.model.change import Change, Comparison
from rulewatch.model.edition import Edition, Point
from rulewatch.model.fault import Place
from rulewatch.model.impact import Finding, Sort, Verdict
from rulewatch.model.quantity import Amount, find_unit
from rulewatch.model.reading import Linear, MinimumWeight, Presence, Reading, Scalar, Sheet, Test
from rulewatch.model.vocabulary import Vocabulary, ancestors, within
from rulewatch.parse.vocabulary import packaged_vocabulary
from rulewatch.workspace import Workspace

CLASS = "silhouette-b"
DAY = date(2027, 4, 10)
HERE = Place(path="generated")

RIM, WING, SPLITTER = "wheels.rear.rim_width", "aero.rear_wing.width", "aero.splitter.projection"
LENGTHS = (RIM, WING, SPLITTER)
PARTS = ("aero.rear_wing", "aero.splitter")
CHOICES = {"engine.position": ("front", "mid", "rear")}
QUANTITIES = (*LENGTHS, *CHOICES, "engine.capacity", "car.weight", "car.built")


def small_vocabulary() -> Vocabulary:
    """The packaged vocabulary, cut down to what the generated books speak of."""
    whole = packaged_vocabulary()
    return Vocabulary(
        quantities={name: whole.quantities[name] for name in QUANTITIES},
        components={name: whole.components[name] for name in ("aero", *PARTS)},
    )


VOCABULARY = small_vocabulary()

# --- Books ------------------------------------------------------------------------------------------------------------

sizes = st.integers(min_value=1, max_value=4)
presences = st.sampled_from(["present", "absent"])
ends = st.sampled_from(["min", "max", "over", "under"])


@st.composite
def bounds(draw, subject: str):
    """A bound of a length: plain, as another quantity has it, in steps, or the greatest or least of two."""
    kind = draw(st.sampled_from(["plain", "plain", "plain", "other", "sheet", "steps", "several"]))
    if kind == "other":
        other = draw(st.sampled_from([name for name in LENGTHS if name != subject]))
        return f"{{of: {other}, rate: {draw(st.sampled_from(['50 %', '100 %']))}, plus: {draw(sizes)} cm}}"
    if kind == "sheet":
        return f"{{of: standard.{draw(st.sampled_from(LENGTHS))}, plus: {draw(sizes)} cm}}"
    if kind == "steps":
        steps = f"[2 L, {draw(sizes)} cm], [3 L, {draw(sizes)} cm]"
        return f"{{by: engine.capacity, steps: [{steps}{draw(st.sampled_from(['', ', [above, 2 cm]']))}]}}"
    if kind == "several":
        return f"{{{draw(st.sampled_from(['greatest', 'least']))}: [{draw(sizes)} cm, {{of: standard.{subject}}}]}}"
    return f"{draw(sizes)} cm"


@st.composite
def asked(draw, *, plain: bool = False):
    """A quantity or part with a constraint, in YAML flow style."""
    kind = draw(st.sampled_from(["length", "length", "length", "part", "choice", "listed", "day", "standard"]))
    if kind == "length":
        subject = draw(st.sampled_from(LENGTHS))
        bound = f"{draw(sizes)} cm" if plain else draw(bounds(subject))
        return f"{subject}: {{{draw(ends)}: {bound}}}"
    if kind == "part":
        return f"{draw(st.sampled_from(PARTS))}: {draw(presences)}"
    if kind == "choice":
        words = draw(st.lists(st.sampled_from(CHOICES["engine.position"]), min_size=1, max_size=3, unique=True))
        return f"engine.position: [{', '.join(words)}]"
    if kind == "listed":
        return f"{draw(st.sampled_from(LENGTHS))}: [{draw(sizes)} cm, {draw(sizes)} cm]"
    if kind == "day":
        return f"car.built: {{{draw(ends)}: 2026-01-0{draw(st.integers(min_value=1, max_value=3))}}}"
    return f"{draw(st.sampled_from([WING, SPLITTER, 'engine.position']))}: standard"


@st.composite
def conditions(draw, depth: int = 2):
    """A condition in YAML flow style."""
    kind = draw(st.sampled_from(["test", "test", "any", "not"] if depth else ["test"]))
    if kind == "not":
        return f"{{not: {draw(conditions(depth=depth - 1))}}}"
    if kind == "any":
        return f"{{any: [{draw(conditions(depth=depth - 1))}, {draw(conditions(depth=depth - 1))}]}}"
    return f"{{{draw(asked(plain=depth < 2))}}}"


@st.composite
def weights(draw):
    """A minimum weight, plain or in steps, with or without rounding."""
    steps = f"{{by: engine.capacity, steps: [[2 L, {draw(sizes)}00 kg], [3 L, {draw(sizes)}00 kg]]}}"
    minimum = draw(st.sampled_from([f"{draw(sizes)}00 kg", steps]))
    rounding = draw(st.sampled_from(["", ", round: {to: 50 kg, ties: up}", ", round: {to: 50 kg, at: each}"]))
    return f"weight: {{minimum: {minimum}{rounding}{draw(st.sampled_from(['', ', adders: compounded']))}}}"


@st.composite
def readings(draw, number: int, count: int):
    """One reading of clause `9.number` of `count`, in YAML."""
    kind = draw(st.sampled_from(["limit", "limit", "limit", "allow", "instead", "minimum", "adder", "nothing"]))
    if kind == "nothing":
        return "concerns: officials"
    lines = [f"when: {draw(conditions())}"] if draw(st.booleans()) else []
    if kind in {"limit", "instead"}:
        lines.append(f"limit: {{{draw(asked())}}}")
        of_a_length = any(f"{name}: {{" in lines[-1] for name in LENGTHS)
        lines += ["tolerance: ±5 mm"] if of_a_length and draw(st.integers(min_value=0, max_value=4)) == 0 else []
    if kind == "instead":
        other = draw(st.integers(min_value=1, max_value=count).filter(lambda each: each != number))
        lines.append(f"instead_of: ['9.{other}']")
    if kind == "allow":
        subject = draw(st.sampled_from([*PARTS, WING, SPLITTER]))
        allowed = draw(presences) if subject in PARTS else f"{{{draw(ends)}: {draw(sizes)} cm}}"
        lines.append(f"allow: {{{subject}: {allowed}}}")
    if kind == "minimum":
        lines.append(draw(weights()))
    if kind == "adder":
        lines.append(f"weight: {{add: {draw(st.sampled_from(['20 kg', '-20 kg', '10 %', '25 kg']))}}}")
    return "\n".join(lines)


class TwoBooks:
    """Two books that differ in some clauses, and what they say in a few lines, for a failing example to be read."""

    def __init__(self, old: Edition, new: Edition, says: str) -> None:
        self.old, self.new, self.says = old, new, says

    def __repr__(self) -> str:
        """Only what the books say."""
        return f"\n{self.says}\n"

    @cached_property
    def comparison(self) -> Comparison:
        """Both compared, as logic too."""
        return compare_editions(self.old, self.new, vocabulary=VOCABULARY)

    @cached_property
    def swapped(self) -> TwoBooks:
        """The new book as the old one."""
        return TwoBooks(old=self.new, new=self.old, says=self.says)


def edition(season: str, clauses: Mapping[int, tuple[str, str]], closed: str) -> Edition:
    """A book of clauses, each with a word of its text and the readings in YAML."""
    text = "".join(
        f"## 9.{number} Rule {number} {word}\n\n```reading\n{reading}\n```\n\n" for number, (word, reading) in clauses.items()
    )
    workspace = Workspace(
        MemoryTree(
            contents={
                "rulesets/saltmarsh/body.yaml": BODY,
                f"rulesets/saltmarsh/{season}/edition.yaml": f"title: Rules\neffective: 2027-01-01\n{closed}",
                f"rulesets/saltmarsh/{season}/01-rules.md": text,
            }
        )
    )
    found = workspace.edition(Point(body="saltmarsh", season=season))
    assert found is not None, workspace.faults
    unread = {"number-not-used", "reading-contradicts-text"}  # the texts here hold no numbers
    assert {fault.code for fault in workspace.faults} <= unread, workspace.faults
    return confirm(found)


@st.composite
def two_books(draw):
    """Two books of two to five clauses, one or two of which were reworded and may be read otherwise."""
    count = draw(st.integers(min_value=2, max_value=5))
    closed = draw(
        st.sampled_from(["", "closed: [aero]\n", "closed: [aero.rear_wing]\n", "closed: [{scope: aero, clause: '9.1'}]\n"])
    )
    old = {number: ("stays", draw(readings(number, count))) for number in range(1, count + 1)}
    new = dict(old)
    for number in draw(st.lists(st.integers(min_value=1, max_value=count), min_size=1, max_size=2, unique=True)):
        new[number] = ("is another one now", draw(readings(number, count)))
    says = "\n".join(f"9.{number}: {old[number][1]!r} -> {new[number][1]!r}" for number in old)
    return TwoBooks(old=edition("2026", old, closed), new=edition("2027", new, closed), says=f"{closed}{says}")


# --- Cars -------------------------------------------------------------------------------------------------------------


def amount(number: Fraction, unit: str) -> Amount:
    """An amount in a unit that is known."""
    found = find_unit(unit)
    assert found is not None
    return Amount(number=number, unit=found)


def sheet(values: Mapping[str, Scalar]) -> dict[str, Stated]:
    """Values as a car states them; nothing of what is under an absent part."""
    gone = {name for name in PARTS if values[name] == "absent"}
    found = {}
    for name, value in values.items():
        if gone.isdisjoint(ancestors(name)):
            stated = () if name in VOCABULARY.components else (value,)
            found[name] = Stated(subject=name, place=HERE, values=stated, present=value != "absent")
    return found


def car(values: Mapping[str, Scalar], standard: Mapping[str, Scalar], homologated: Mapping[str, Scalar] | None = None) -> Car:
    """A car of a model."""
    entry = Entry(body="saltmarsh", class_name=CLASS, place=HERE)
    return Car(
        id="heron",
        name="Heron",
        place=HERE,
        entries=(entry,),
        spec=sheet(values),
        standard=sheet(standard),
        homologated={} if homologated is None else sheet(homologated),
    )


def sheets(step: Fraction) -> dict[str, list[Scalar]]:
    """For each property, the values of the grid: on and between the numbers that rules speak of."""
    lengths: list[Scalar] = [amount(step * number, "cm") for number in range(1, int(5 / step))]
    return {
        **dict.fromkeys(LENGTHS, lengths),
        **{name: ["present", "absent"] for name in PARTS},
        "engine.position": list(CHOICES["engine.position"]),
        "engine.capacity": [amount(Fraction(number, 2), "L") for number in (3, 4, 5, 6, 7)],
        "car.weight": [
            amount(Fraction(number), "kg") for number in (80, 100, 120, 200, 220, 225, 300, 330, 345, 400, 450, 600)
        ],
        "car.built": [date(2025, 12, 31) + timedelta(days=number) for number in range(5)],
    }


def grid(count: int) -> list[Car]:
    """So many cars of the grid, the same in every run."""
    chance, values = Random(2027), sheets(Fraction(1, 2))  # noqa: S311 - no secret
    corners = [dict(zip(PARTS, each, strict=True)) for each in product(["present", "absent"], repeat=len(PARTS))]
    return [
        car(
            {**{name: chance.choice(each) for name, each in values.items()}, **corners[number % len(corners)]},
            {name: chance.choice(each) for name, each in values.items()},
            {name: chance.choice(each) for name, each in values.items()},
        )
        for number in range(count)
    ]


# --- Verdicts from outside --------------------------------------------------------------------------------------------


def verdict(book: Edition, one: Car, subjects: frozenset[str] | None = None) -> Verdict:
    """What `assess` says of a car; of closed scopes only some subjects, where given."""
    assessment = judge(book, one, one.entries[0], book.day or DAY, VOCABULARY)

    def counts(finding: Finding) -> bool:
        return finding.sort is not Sort.CLOSED or subjects is None or finding.subject in subjects

    return Verdict.every(finding.verdict for finding in assessment.findings if counts(finding))


def any_minimum() -> Reading:
    """A minimum weight of which nothing is known but that the model's sheet has it."""
    minimum = MinimumWeight(bound=Linear(of="car.weight", sheet=Sheet.HOMOLOGATED), place=HERE)
    return Reading(clause="0", place=HERE, last_line=0, minimum=minimum)


def cut(
    book: Edition, from_book: Edition, behind: Mapping[str, tuple[Reading, ...]], clause: str, own: tuple[Reading, ...]
) -> Edition:
    """One clause of a book, with what stands behind it in another or the same."""
    clauses = (*(from_book.by_id.get(name) or replace(book.clauses[0], id=name) for name in behind), book.by_id[clause])
    return confirm(replace(book, clauses=clauses, readings={**behind, clause: own}))


def alone(books: TwoBooks, change: Change) -> tuple[list[tuple[Edition, Edition]], frozenset[str]]:
    """The changed clause by itself on both sides, and the subjects that it permits or closes.

    Behind an adder without a minimum stand the minimums of the other clauses, and behind what replaces others those: once as the
    old book has them, and once as the new one.
    """
    (clause,) = {each.id for each in (*change.old, *change.new)}
    own = [book.readings[clause] for book in (books.old, books.new)]
    pairs = []
    for surrounding in (books.old, books.new):
        behind = _behind(surrounding, clause, [one for side in own for one in side])
        before, after = (
            cut(book, surrounding, behind, clause, readings) for book, readings in zip((books.old, books.new), own, strict=True)
        )
        pairs.append((before, after))
    permitted = {subject for side in own for one in side for test in one.allows for subject in _covers(test)}
    closed = {
        name
        for scope in books.old.header.closed
        if scope.clause == clause
        for name in (*VOCABULARY.components, *VOCABULARY.quantities)
        if within(name, scope.scope)
    }
    return pairs, frozenset(permitted | closed)


def _behind(book: Edition, clause: str, own: Sequence[Reading]) -> dict[str, tuple[Reading, ...]]:
    """What the other clauses of a book put behind the readings of a change."""
    replaced = {name for one in own for name in one.instead_of}
    adds = any(one.adder for one in own) and not any(one.minimum for one in own)
    behind: dict[str, tuple[Reading, ...]] = {}
    for name, found in book.readings.items():
        kept = [one for one in found if name in replaced or (adds and one.minimum)]
        if name != clause and kept:
            behind[name] = tuple(
                replace(one, limits=one.limits if name in replaced else (), allows=(), adder=None, instead_of=())
                for one in kept
            )
    if adds and not any(one.minimum for found in behind.values() for one in found):
        behind["0"] = (any_minimum(),)
    return behind


def _covers(test: Test) -> Iterator[str]:
    yield test.subject
    if isinstance(test.constraint, Presence) and test.constraint.present:
        yield from (name for name in (*VOCABULARY.components, *VOCABULARY.quantities) if within(name, test.subject))


def with_change(books: TwoBooks, change: Change) -> Edition:
    """The old book in which only one change was made."""
    (clause,) = {each.id for each in (*change.old, *change.new)}
    return replace(
        books.old,
        clauses=tuple(books.new.by_id[clause] if each.id == clause else each for each in books.old.clauses),
        readings={**books.old.readings, clause: books.new.readings[clause]},
    )


def stated_car(values: Mapping[str, Scalar]) -> Car:
    """A witness as a car; what it leaves open is filled in, on both sides alike."""
    filling: dict[str, Scalar] = {
        **{name: amount(Fraction(1), "cm") for name in LENGTHS},
        **dict.fromkeys(PARTS, "present"),
        "engine.position": "front",
        "engine.capacity": amount(Fraction(1), "L"),
        "car.weight": amount(Fraction(10_000), "kg"),
        "car.built": date(2026, 1, 1),
    }
    own = {name: value for name, value in values.items() if not name.startswith(("standard.", "homologated."))}
    theirs = {
        prefix: {name.removeprefix(f"{prefix}."): value for name, value in values.items() if name.startswith(f"{prefix}.")}
        for prefix in ("standard", "homologated")
    }
    return car({**filling, **own}, {**filling, **theirs["standard"]}, {**filling, **theirs["homologated"]})
