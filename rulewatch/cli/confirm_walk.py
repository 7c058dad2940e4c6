"""The walk through what is open, one clause at a time: a key decides, and what is decided is written at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from datetime import date
from pathlib import Path
from typing import Protocol

import click

from rulewatch.cli.confirm_screen import key_lines, print_concern, print_step
from rulewatch.cli.editing import Draft, blocks_of, sheet, with_faults
from rulewatch.cli.output import counted, plain, print_faults, wrapped
from rulewatch.confirming import Desk
from rulewatch.model.fault import Fault
from rulewatch.model.reading import Confirmation
from rulewatch.model.step import Block, Offer, Step

HELP = {
    "k": "keep the reading as it is: you have held it against the text, and it says what the text says",
    "p": "take what is proposed or suggested, as it is shown",
    "e": "write the reading in your editor (EDITOR); what you save counts as confirmed by you",
    "a": "ask: keep a question for the officials with the clause, which stays unknown until they answer",
    "s": "skip it for now",
    "b": "go back to the clause before",
    "c": "show which cars and options it concerns, and how they stand",
    "?": "show this",
    "q": "leave; all that you decided is written already",
}
WORDS = {"k": "keep", "p": "take", "e": "edit", "a": "ask", "s": "skip", "b": "back", "c": "concerns", "?": "help", "q": "quit"}
ENDS = ("\x04", "")  # Ctrl-D; nothing more to come


class Hands(Protocol):
    """What a person does: presses keys, writes a line, edits a sheet."""

    def key(self) -> str:
        """The next key; empty where none will come any more."""
        ...

    def line(self, prompt: str) -> str:
        """A line of text, empty where the person thought better of it."""
        ...

    def edit(self, draft: Draft) -> str | None:
        """What the editor makes of a draft; None where it cannot be run."""
        ...


class TerminalHands:
    """A person at a terminal. A key that was pressed before a clause is shown does not count for it."""

    def key(self) -> str:
        """See `Hands`."""
        try:
            return click.getchar().lower()
        except (EOFError, OSError):
            return ""

    def line(self, prompt: str) -> str:
        """See `Hands`."""
        try:
            return str(click.prompt(prompt, default="", show_default=False)).strip()
        except click.Abort:
            click.echo()
            return ""

    def edit(self, draft: Draft) -> str | None:
        """See `Hands`."""
        return draft.edit()


@dataclass(slots=True, kw_only=True)
class Stop:
    """A clause on the way: where it lies, what could stand there once it was looked up, and what was done here."""

    desk: Desk
    step: Step
    offer: Offer | None = None
    done: str = ""


@dataclass(kw_only=True)
class Walk:
    """One person's way through the open clauses of one edition or several."""

    root: Path
    stops: list[Stop]
    hands: Hands
    by: str
    day: date
    at: int = 0
    tally: Counter[str] = field(default_factory=Counter)
    drafts: dict[str, Draft] = field(default_factory=dict)

    def run(self) -> None:
        """Go on until the last clause or until the person leaves; interrupted, it leaves as well."""
        try:
            self._walk()
        finally:
            self._leave()

    def _walk(self) -> None:
        shown: Stop | None = None
        while self.at < len(self.stops):
            stop = self.stops[self.at]
            if stop is not shown:
                self._show(stop)
                shown = stop
            key = self.hands.key()
            if key in ("q", *ENDS):
                return
            if self._press(key, stop):
                shown = None

    def _show(self, stop: Stop) -> None:
        if stop.offer is None:
            stop.offer = stop.desk.offer(stop.step)
        click.echo()
        print_step(stop.step, stop.offer, stop.desk.workspace.vocabulary, f"{self.at + 1} of {len(self.stops)}")
        click.echo()
        click.echo(key_lines([(key, WORDS[key]) for key in self._keys(stop)]))

    def _keys(self, stop: Stop) -> Iterator[str]:
        """The keys that do something with a clause."""
        offered = stop.offer is not None and bool(stop.offer.blocks)
        fits = {"k": stop.step.reading is not None and not stop.step.confirmed, "p": offered, "b": self.at > 0}
        fits["a"] = stop.step.reading is None or not stop.step.reading.ask
        yield from (key for key in WORDS if fits.get(key, True))

    def _press(self, key: str, stop: Stop) -> bool:
        """Do what a key says; whether a clause must be shown then."""
        actions: dict[str, Callable[[Stop], bool]] = {
            "k": self._keep,
            "p": self._take,
            "e": self._edit,
            "a": self._ask,
            "s": self._skip,
            "b": self._back,
            "c": self._concerns,
            "?": self._help,
        }
        action = actions.get(key)
        if action is None or key not in self._keys(stop):
            click.echo(self._nothing(key, stop))
            return False
        return action(stop)

    def _nothing(self, key: str, stop: Stop) -> str:
        """Why a key does nothing here."""
        if key == "k":
            return (
                "It is confirmed already."
                if stop.step.confirmed
                else "There is no reading to keep: take what is suggested, or edit."
            )
        why = {
            "p": "There is nothing to take here.",
            "a": "It has its question already: edit it.",
            "b": "This is the first one.",
        }
        return why.get(key, "That key does nothing: ? shows those that do.")

    # --- Deciding ---------------------------------------------------------------------------------------------------------

    def _keep(self, stop: Stop) -> bool:
        return self._write(stop, [stop.step.block], "kept")

    def _take(self, stop: Stop) -> bool:
        return self._write(stop, stop.offer.blocks if stop.offer is not None else (), "taken")

    def _ask(self, stop: Stop) -> bool:
        question = self.hands.line("Question for the officials (empty to leave it)")
        if not question:
            return False
        block = stop.desk.asking(stop.step, question)
        if block is None:
            click.echo("The question cannot be added to this reading by itself: edit it.")
            return False
        return self._write(stop, [block], "asked", sign=False)

    def _edit(self, stop: Stop) -> bool:
        """Edit until it is right, or until the person leaves it; what was written then is there the next time."""
        name = f"{stop.step.point} {stop.step.name}"
        fresh = sheet(stop.step, stop.offer or Offer())
        draft = self.drafts.get(name) or Draft(stop.step.name, fresh)
        self.drafts[name] = draft
        while True:
            text = self.hands.edit(draft)
            blocks = blocks_of(text) if text is not None else ()
            if text is None or not blocks or blocks == (stop.step.block,):
                self.drafts.pop(name).discard()
                if text is not None:
                    click.echo("The reading is left as it was.")
                return False
            faults = self._tried(stop, blocks, sign=True)
            if not faults:
                self.drafts.pop(name).discard()
                return self._went(stop, blocks, "edited")
            if _stale(faults):
                return self._again(stop, faults)
            print_faults(faults)
            draft.write(with_faults(text, faults))
            click.echo("Nothing is written yet: e edits it again, any other key leaves it for later.")
            if self.hands.key() != "e":
                return False

    def _write(self, stop: Stop, blocks: Sequence[Block], did: str, *, sign: bool = True) -> bool:
        faults = self._tried(stop, blocks, sign=sign)
        if not faults:
            return self._went(stop, blocks, did)
        if _stale(faults):
            return self._again(stop, faults)
        print_faults(faults)
        click.echo("Nothing is written: edit the reading, or skip it.")
        return False

    def _tried(self, stop: Stop, blocks: Sequence[Block], *, sign: bool) -> tuple[Fault, ...]:
        confirmation = Confirmation(by=self.by, on=self.day, text=stop.step.clause.digest) if sign else None
        return stop.desk.write(stop.step, blocks, confirmation)

    def _went(self, stop: Stop, blocks: Sequence[Block], did: str) -> bool:
        """Go on after a decision; the clause's other readings are counted anew where there are more of them or fewer."""
        stop.done = did
        self.tally[did] += 1
        click.echo(f"{did.capitalize()}: {stop.step.name}, written to {plain(stop.step.path)}.")
        more = len(blocks) - bool(stop.step.block)
        for other in self.stops if more else ():
            if other is not stop and other.step.spot.clause == stop.step.spot.clause and other.step.path == stop.step.path:
                number = other.step.number + more * (other.step.number > stop.step.number)
                other.step = replace(other.step, number=number, count=other.step.count + more)
        self.at += 1
        return True

    # --- Moving about -----------------------------------------------------------------------------------------------------

    def _skip(self, stop: Stop) -> bool:
        if not stop.done:
            stop.done = "skipped"
        self.at += 1
        return True

    def _back(self, _: Stop) -> bool:
        self.at -= 1
        if self.stops[self.at].done not in ("", "skipped"):
            self._refresh(self.stops[self.at])
        return True

    def _concerns(self, stop: Stop) -> bool:
        print_concern(stop.step.concern, stop.desk.workspace.vocabulary)
        return False

    def _help(self, _: Stop) -> bool:
        for key, what in HELP.items():
            lines = wrapped([(what, {})], indent=5 * " ")
            click.echo(f"  {click.style(key, bold=True)}  {lines.lstrip()}")
        return False

    def _again(self, stop: Stop, faults: Iterable[Fault]) -> bool:
        """Show a clause as it stands by now, after someone changed it; what was about to be written is not."""
        print_faults(faults)
        if not self._refresh(stop):
            self.at += 1
        return True

    def _refresh(self, stop: Stop) -> bool:
        """Read a clause anew; whether it is there."""
        desk = Desk(self.root, stop.desk.point)
        result = desk.steps([stop.step.clause.id])
        print_faults(result.wrong)
        fresh = [step for step in result.value or () if step.path == stop.step.path]
        same = [step for step in fresh if step.number == stop.step.number] or fresh[:1]
        if not same:
            click.echo(f"{stop.step.name} cannot be shown any more.")
            return False
        stop.desk, stop.step, stop.offer = desk, same[0], None
        return True

    def _leave(self) -> None:
        """Say what was done, what is left, and where to find what was begun."""
        open_yet = sum(stop.done in ("", "skipped", "asked") for stop in self.stops)
        parts = [f"{number} {did}" for did, number in self.tally.items()]
        click.echo()
        click.echo(f"{', '.join(parts) or 'Nothing decided'}; {counted(open_yet, 'clause')} still open.")
        for name, draft in self.drafts.items():
            click.echo(f"What you wrote for {plain(name)} is kept in {draft.file}.")


def _stale(faults: Iterable[Fault]) -> bool:
    return any(fault.code == "stale-decision" for fault in faults)
