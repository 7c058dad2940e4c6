"""Laws of timelines, for all courses of a book: nothing is lost, and every number leads to one rule."""

from __future__ import annotations

from itertools import pairwise

from five_seasons import BALLAST, BOLTS, NOISE, NUTS, TYRES, files, threads, words
from hypothesis import given, settings
from hypothesis import strategies as st
from support import MemoryTree

from rulewatch.publish.scale import places, spaced
from rulewatch.workspace import Workspace

TEXTS = [NUTS, TYRES, NOISE, BALLAST, BOLTS, f"{BALLAST} {BOLTS}", NOISE.replace("half a metre", "one metre")]


@settings(max_examples=40, deadline=None, derandomize=True)
@given(st.lists(st.lists(st.sampled_from(range(len(TEXTS))), min_size=1, max_size=5, unique=True), min_size=1, max_size=5))
def test_every_clause_of_every_season_is_on_one_timeline(books):
    """Each clause stands at one station of one thread; a timeline's last state is the clause as it is now."""
    made = {
        str(2021 + season): {"01": "".join(words(f"1.{n}", TEXTS[text]) for n, text in enumerate(book, 1))}
        for season, book in enumerate(books)
    }
    found = threads(Workspace(MemoryTree(contents=files(made))))
    course = found.course
    assert sorted(found.at) == sorted((at, one.id) for at, edition in enumerate(course.editions) for one in edition.clauses)
    for thread in found.all:
        timeline = found.timeline(thread)
        for station, at in zip(timeline.stations, range(thread.first, thread.last + 2), strict=False):
            edition = course.editions[at]
            expected = edition.by_id[thread.numbers[at - thread.first]] if at <= thread.last else None
            assert station.clause == expected
            assert station.changed == bool(station.change and station.change.kinds)
            if station.change is not None:
                assert (station.clause or timeline.last) in (*station.change.new, *station.change.old)
            if expected is not None:
                assert found.find("saltmarsh", expected.id, course.points[at]) is thread
        assert all(len(line.values) == len(timeline.stations) for line in timeline.lines)
        still = thread.last == len(course.editions) - 1
        assert timeline.now.clause == (course.editions[-1].by_id[thread.numbers[-1]] if still else None)


@given(
    st.lists(st.one_of(st.none(), st.dates()), min_size=1, max_size=12),
    st.floats(min_value=0, max_value=0.2),
)
@settings(max_examples=100, deadline=None, derandomize=True)
def test_stations_stand_in_order_within_the_chart(days, least):
    """From the left end to before the right one, in order, and apart where that can be."""
    found = places(sorted(days) if None not in days else days, least)
    assert len(found) == len(days)
    assert found[0] == 0
    assert all(0 <= place < 1 or least == 0 for place in found)
    assert all(before <= after for before, after in pairwise(found))


@given(
    st.lists(st.tuples(st.floats(0, 100), st.floats(1, 60)), max_size=10),
    st.floats(10, 120),
)
@settings(max_examples=100, deadline=None, derandomize=True)
def test_labels_never_run_into_each_other(labels, room):
    """Each lies within the room, and none overlaps another."""
    wanted, widths = [place for place, _ in labels], [width for _, width in labels]
    found = sorted((place, place + widths[at]) for at, place in spaced(wanted, widths, room, gap=1))
    assert all(first >= 0 and last <= room + 1e-9 for first, last in found)
    assert all(before[1] + 1 <= after[0] for before, after in pairwise(found))
