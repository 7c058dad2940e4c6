"""`rulewatch verify`: what is wrong, and what is still open."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable
from pathlib import Path

import click

from rulewatch import pipeline
from rulewatch.cli.output import counted, print_faults, print_json, say, today
from rulewatch.model.fault import Fault
from rulewatch.publish.data import verify_data


@click.command("verify")
@click.option("--strict", is_flag=True, help="End with status 1 if anything is open.")
@click.option("--json", "as_json", is_flag=True, help="JSON on stdout.")
@click.pass_obj
def command(root: Path, *, strict: bool, as_json: bool) -> None:
    """Find what is wrong, and what is still open.

    Wrong is what cannot be used as it is; open is what waits for someone: clauses that are unread, readings that are
    unconfirmed, questions that are unanswered, values that are unmeasured, pairs of clauses that are unsure.
    """
    result = pipeline.site(root, today(), timelines=False)
    # What a file with a fault leaves out is not open, it is wrong.
    faulty = {fault.place.path for fault in result.wrong}
    waiting = [
        point for point in (result.value.open_points if result.value is not None else ()) if point.place.path not in faulty
    ]
    warnings = [fault for fault in result.faults if fault.warning]
    if as_json:
        print_json(verify_data(result.wrong, warnings, waiting))
    else:
        _print(result.wrong, warnings, waiting)
    raise SystemExit(2 if result.wrong or result.value is None else 1 if strict and waiting else 0)


def _print(wrong: Iterable[Fault], warnings: Iterable[Fault], waiting: Iterable[Fault]) -> None:
    wrong, warnings, waiting = tuple(wrong), tuple(warnings), tuple(waiting)
    for title, faults in (("Wrong", wrong), ("Look at", warnings), ("Open", waiting)):
        if faults:
            say(title, bold=True)
            print_faults(faults, err=False)
            click.echo()
    kinds = Counter(fault.code for fault in waiting)
    parts = ", ".join(f"{number} {code}" for code, number in kinds.items())
    say(
        f"{counted(len(wrong), 'fault')}, {counted(len(warnings), 'warning')}, {len(waiting)} open"
        + (f" ({parts})" if parts else "")
    )
