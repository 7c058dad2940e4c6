"""Networks and schedules against published ones."""

from __future__ import annotations

import os
import time
from pathlib import Path

import pytest
from psplib_files import read_sm

from rulewatch.decide.network import Activity, Mode, Network, span_of, times
from rulewatch.decide.schedule import shortest

CORPORA = os.environ.get("RULEWATCH_CORPORA", "")
FOLDER = Path(CORPORA) / "psplib-j30"

# PSPLIB, set j30: the proved optimum of each, from the library's list of optimal makespans.
OPTIMA = {
    "j301_1": 43,
    "j301_2": 47,
    "j301_4": 62,
    "j302_1": 38,
    "j303_1": 72,
    "j305_1": 53,
    "j309_1": 83,
    "j3010_1": 42,
    "j3017_1": 64,
    "j3025_1": 93,
    "j3029_1": 85,
    "j3048_10": 54,
}


def network(**activities: tuple[int, str]) -> Network:
    """Activities by id, each with its duration and what must precede it."""
    return Network(
        activities=tuple(
            Activity(id=name, modes=(Mode(duration=duration),), after=tuple(before.split()))
            for name, (duration, before) in activities.items()
        )
    )


@pytest.mark.skipif(not FOLDER.is_dir() or not CORPORA, reason="RULEWATCH_CORPORA has no psplib-j30")
@pytest.mark.parametrize("name", OPTIMA)
def test_psplib_instances_are_proved_optimal_in_a_minute(name):
    """The optimum of each, proved; without resources, the critical path is as long as the file says."""
    found, stated = read_sm((FOLDER / f"{name}.sm").read_text())
    assert span_of(found) == stated
    begun = time.perf_counter()
    schedule = shortest(found)
    assert time.perf_counter() - begun < 60
    assert (schedule.value, schedule.proved) == (OPTIMA[name], True)
    assert shortest(found) == schedule


def test_floats_of_a_construction_network():
    """C. Hendrickson, Project Management for Construction, chapter 10, table 10-2; the floats follow from its event times."""
    found = network(
        A=(4, ""), B=(3, ""), C=(8, "A"), D=(7, "A"), E=(9, "B C"), F=(12, "B C"), G=(2, "D E"), H=(5, "D E"), I=(6, "F G")
    )
    assert {
        name: (one.early_start, one.early_end, one.late_start, one.late_end, one.total_float, one.free_float)
        for name, one in times(found).items()
    } == {
        "A": (0, 4, 0, 4, 0, 0),
        "B": (0, 3, 9, 12, 9, 9),
        "C": (4, 12, 4, 12, 0, 0),
        "D": (4, 11, 15, 22, 11, 10),
        "E": (12, 21, 13, 22, 1, 0),
        "F": (12, 24, 12, 24, 0, 0),
        "G": (21, 23, 22, 24, 1, 1),
        "H": (21, 26, 25, 30, 4, 4),
        "I": (24, 30, 24, 30, 0, 0),
    }
    assert [name for name, one in times(found).items() if one.critical] == ["A", "C", "F", "I"]
    assert span_of(found) == 30


def test_slack_of_a_network_of_arcs():
    """B. Taylor, Introduction to Management Science, solutions of chapter 8: activities on the arcs between numbered events."""
    arcs = {"1-2": 7, "1-3": 10, "2-4": 6, "3-4": 5, "3-5": 4, "4-5": 3, "5-6": 2}
    found = network(
        **{
            arc: (duration, " ".join(before for before in arcs if before.split("-")[1] == arc.split("-")[0]))
            for arc, duration in arcs.items()
        }
    )
    assert {
        name: (one.early_start, one.early_end, one.late_start, one.late_end, one.total_float)
        for name, one in times(found).items()
    } == {
        "1-2": (0, 7, 2, 9, 2),
        "1-3": (0, 10, 0, 10, 0),
        "2-4": (7, 13, 9, 15, 2),
        "3-4": (10, 15, 10, 15, 0),
        "3-5": (10, 14, 14, 18, 4),
        "4-5": (15, 18, 15, 18, 0),
        "5-6": (18, 20, 18, 20, 0),
    }
