"""Files of PSPLIB, the project scheduling problem library (Kolisch and Sprecher 1997, EJOR 96, 205-216), as networks."""

from __future__ import annotations

import re

from rulewatch.decide.network import Activity, Mode, Network


def read_sm(text: str) -> tuple[Network, int]:
    """The network of a single-mode file, and the length of its critical path as the file states it (`MPM-Time`)."""
    stated = int(re.search(r"^pronr\..*\n(.*)$", text, re.MULTILINE).group(1).split()[-1])
    following = {name: rest for name, _, _, *rest in _rows(text, "PRECEDENCE RELATIONS:\n.*\n")}
    demands = {name: list(map(int, rest)) for name, _, *rest in _rows(text, "REQUESTS/DURATIONS:\n.*\n-+\n")}
    capacities = map(int, re.search(r"^RESOURCEAVAILABILITIES:\n.*\n(.*)$", text, re.MULTILINE).group(1).split())
    activities = tuple(
        Activity(
            id=name,
            modes=(
                Mode(
                    duration=demands[name][0],
                    uses={f"R{place}": amount for place, amount in enumerate(demands[name][1:], 1) if amount},
                ),
            ),
            after=tuple(before for before, rest in following.items() if name in rest),
        )
        for name in following
    )
    return Network(activities=activities, capacities={f"R{place}": most for place, most in enumerate(capacities, 1)}), stated


def _rows(text: str, head: str) -> list[list[str]]:
    return [line.split() for line in re.search(head + r"((?:[ \t]*\d.*\n)+)", text).group(1).splitlines()]
