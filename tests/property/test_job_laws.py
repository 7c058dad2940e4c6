"""Laws of job lists: nothing is kept twice, and a job stays with its cause however a book is renumbered and shuffled."""

from __future__ import annotations

import tempfile
from pathlib import Path

from five_seasons import read
from hypothesis import given, settings
from hypothesis import strategies as st
from winters import JOBS, winters

from rulewatch import pipeline
from rulewatch.model.site import Worklist

# The costly part is a workspace on disk; the laws are about which number a rule has, of which few books show much.
RUN = settings(max_examples=25, deadline=None, derandomize=True)

QUANTITIES = {
    "engine.exhaust.noise": ("The exhaust noise is at most {}, taken half a metre behind the outlet.", "98 dB(A)", "95 dB(A)"),
    "wheels.rear.rim_width": ("No rear rim is wider than {} from bead seat to bead seat.", "11 in", "9 in"),
    "car.width": ("The bodywork spans at most {} at its widest point, mirrors folded.", "1950 mm", "1850 mm"),
    "car.track_rear": ("Between the middles of the rear wheels there are at most {} on level ground.", "1650 mm", "1550 mm"),
    "engine.oil.catch_tank.capacity": ("Breathers lead into a tank of metal that holds at least {} in all.", "2 L", "3 L"),
    "fuel.octane": ("Petrol from a public pump is used, with an octane number of at most {}.", "100 RON", "95 RON"),
}
LEAST = {"engine.oil.catch_tank.capacity"}
SPEC = """engine.exhaust.noise: 96 dB(A)
  wheels.rear.rim_width: [10 in, 10 in]
  car.width: 1900 mm
  car.track_rear: 1600 mm
  engine.oil.catch_tank.capacity: 2.5 L
  fuel.octane: 98 RON"""


def rule(number: str, quantity: str, *, tight: bool) -> str:
    """A rule on a quantity, as it was or tighter than the car."""
    words, wide, narrow = QUANTITIES[quantity]
    limit = narrow if tight else wide
    side = "min" if quantity in LEAST else "max"
    return read(number, words.format(limit), f"limit: {{{quantity}: {{{side}: {limit}}}}}")


@st.composite
def numberings(draw: st.DrawFn) -> dict[str, str]:
    """A number for each rule, in the order of a book: any chapter, any place in it."""
    chapters = draw(st.lists(st.integers(1, 9), min_size=len(QUANTITIES), max_size=len(QUANTITIES)))
    order = draw(st.permutations(sorted(QUANTITIES)))
    counts: dict[int, int] = {}
    numbers = {}
    for chapter, quantity in sorted(zip(chapters, order, strict=True), key=lambda pair: pair[0]):
        counts[chapter] = counts.get(chapter, draw(st.integers(0, 3))) + 1
        numbers[quantity] = f"{chapter}.{counts[chapter]}"
    return numbers


def book(numbers: dict[str, str], *, tight: bool) -> str:
    """The rules by their numbers."""
    return "".join(rule(number, quantity, tight=tight) for quantity, number in numbers.items())


def worklist(files: dict[str, str], *, keep: bool = False) -> tuple[Worklist, str]:
    """The work list of a workspace, and what its car's list holds after."""
    with tempfile.TemporaryDirectory() as folder:
        for name, text in files.items():
            file = Path(folder, name)
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text)
        result = pipeline.worklist(Path(folder), keep=keep)
        assert result.wrong == ()
        assert result.value is not None
        file = Path(folder, JOBS)
        return result.value, file.read_text() if file.exists() else ""


@RUN
@given(numberings(), numberings(), numberings())
def test_a_job_stays_with_its_cause_through_shuffles_and_new_numbers(first, second, third):
    """Each job that the first change caused is found at its own rule two books later, and no other is suggested for it."""
    kept, jobs = worklist(winters({"2025": book(first, tight=False), "2026": book(second, tight=True)}, spec=SPEC), keep=True)
    assert sum(len(one.added) for one in kept.kept) == len(QUANTITIES)
    books = {"2025": book(first, tight=False), "2026": book(second, tight=True), "2027": book(third, tight=True)}
    later, after = worklist(winters(books, spec=SPEC, jobs=jobs), keep=True)
    assert {
        task.job.cause.quantity: (task.trail.season, task.trail.clause) for task in later.tasks if task.job.cause and task.trail
    } == {quantity: ("2027", number) for quantity, number in third.items()}
    assert len(later.tasks) == len(QUANTITIES)
    assert (later.kept, after) == ((), jobs)


@RUN
@given(numberings(), numberings(), st.sets(st.sampled_from(sorted(QUANTITIES))), st.booleans())
def test_what_is_kept_is_kept_once(old, new, loose, in_lines):
    """A second run writes nothing, whatever was on the list, and whatever was loosened or tightened."""
    rules = "".join(rule(number, quantity, tight=quantity not in loose) for quantity, number in new.items())
    jobs = "# our own\n- what: Clutch\n" if in_lines else "[{what: Clutch}]"
    files = winters({"2026": book(old, tight=False), "2027": rules}, spec=SPEC, jobs=jobs)
    first, text = worklist(files, keep=True)
    assert bool(first.kept) == (text != jobs)
    second, again = worklist({**files, JOBS: text}, keep=True)
    assert (second.kept, again) == ((), text)
