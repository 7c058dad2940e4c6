"""`rulewatch confirm`: walk through what is open, or decide single clauses from a script."""

from __future__ import annotations

import signal
import sys
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date, datetime
from pathlib import Path
from typing import Any, NoReturn

import click

from rulewatch.cli import output
from rulewatch.cli.confirm_screen import concern_line, title
from rulewatch.cli.output import counted, fail, plain, print_faults, print_json, say
from rulewatch.confirming import Desk
from rulewatch.model.car import Crew
from rulewatch.model.edition import Point
from rulewatch.model.fault import Fault, Place
from rulewatch.model.reading import Confirmation
from rulewatch.model.step import Block, Step
from rulewatch.parse.points import parse_point
from rulewatch.publish.words import listed
from rulewatch.store.folder import FolderTree
from rulewatch.store.identity import git_user
from rulewatch.workspace import Workspace


@dataclass(frozen=True, slots=True, kw_only=True)
class Order:
    """One decision of the call: what to do, with which clause, and what was given for it (a file, a question)."""

    what: str
    clause: str
    given: str = ""


@click.command("confirm")
@click.argument("names", nargs=-1, metavar="[BODY/SEASON]... [CLAUSE]...")
@click.option("--list", "listing", is_flag=True, help="List what is open instead of walking through it.")
@click.option("--keep", multiple=True, metavar="CLAUSE", help="Keep the reading of a clause as it is: confirm it.")
@click.option(
    "--take", multiple=True, metavar="CLAUSE", help="Take what is proposed or suggested for a clause, and confirm it."
)
@click.option(
    "--reading",
    multiple=True,
    nargs=2,
    metavar="CLAUSE FILE",
    help="Put the reading in a file (- for standard input) in the place of a clause's, and confirm it.",
)
@click.option("--ask", multiple=True, nargs=2, metavar="CLAUSE TEXT", help="Keep a question for the officials with a clause.")
@click.option("--by", metavar="NAME", default="", help="Who decides: a name of cars/crew.yaml; the user of git if not given.")
@click.option(
    "--today",
    metavar="YYYY-MM-DD",
    type=click.DateTime(["%Y-%m-%d"]),
    help="The day of the decision; today if not given.",
)
@click.option("--json", "as_json", is_flag=True, help="With --list: JSON on stdout.")
@click.pass_obj
def command(
    root: Path,
    *,
    names: Sequence[str],
    listing: bool,
    keep: Sequence[str],
    take: Sequence[str],
    reading: Sequence[tuple[str, str]],
    ask: Sequence[tuple[str, str]],
    by: str,
    today: datetime | None,
    as_json: bool,
) -> None:
    """Walk through what is open: keep, take, edit, ask, skip.

    Each clause is shown with its old and new words, its reading, and what is proposed for it; a key decides. What the crew's
    cars are subject to comes first. Each decision is written at once, so that the walk can be left at any time.

    Without names, that is the newest season of each body. Clauses that are named are shown whether they are open or not;
    5.2.1:2 is the second reading of 5.2.1.
    """
    orders = [Order(what="keep", clause=name) for name in keep] + [Order(what="take", clause=name) for name in take]
    orders += [Order(what="reading", clause=name, given=file) for name, file in reading]
    orders += [Order(what="ask", clause=name, given=text) for name, text in ask]
    if listing and orders:
        raise click.UsageError("--list shows what is open, and decides nothing")
    if as_json and not listing:
        raise click.UsageError("--json goes with --list")
    workspace = Workspace(FolderTree(root))
    points, clauses = _named(names, workspace)
    if orders and clauses:
        raise click.UsageError("name the clause behind --keep, --take, --reading or --ask; before it only the edition")
    if listing:
        _list(_desks(root, points, clauses), as_json=as_json)
        return
    if not orders and not (sys.stdin.isatty() and sys.stdout.isatty()):
        raise click.UsageError("this is no terminal to walk in: see --list, and decide with --keep, --take, --reading or --ask")
    day = today.date() if today is not None else output.today()
    if orders:
        who = _signer(by, workspace.crew, root)
        _decide(_desks(root, points, sorted({order.clause for order in orders})), orders, who, day)
    else:
        _walk(root, _desks(root, points, clauses), _signer(by, workspace.crew, root, at_terminal=True), day)


def _named(names: Sequence[str], workspace: Workspace) -> tuple[list[Point], list[str]]:
    """The editions and clauses that a call names. A clause's number may have a stroke too: an edition is one of a known body."""
    points: list[Point] = []
    clauses: list[str] = []
    for name in names:
        point = parse_point(name) if name.partition("/")[0] in workspace.bodies else None
        if isinstance(point, Fault):
            print_faults([point])
            fail(1)
        if point is None:
            clauses.append(name)
        else:
            points.append(Point(body=point.body, season=point.season))
            if str(points[-1]) != str(point):
                raise click.UsageError(
                    f"{point} is a part of {points[-1]}: name the whole edition, which is decided as a whole"
                )
    newest = [Point(body=body, season=season) for body in workspace.bodies if (season := workspace.latest(body))]
    if not points and not newest:
        raise click.UsageError("there is no edition here")
    return points or newest, clauses


@dataclass(frozen=True, slots=True, kw_only=True)
class Laid:
    """An edition on the desk with its steps."""

    desk: Desk
    steps: tuple[Step, ...]


def _desks(root: Path, points: Sequence[Point], names: Sequence[str]) -> list[Laid]:
    """The editions with what is open in each, or with the clauses that are named; one that is in none of them ends the call."""
    found: list[Laid] = []
    missing: dict[str, list[Point]] = {}
    wrong: dict[Fault, None] = {}
    clauses = list(dict.fromkeys(bare for name in names if (bare := _split(name)[0])))
    for point in points:
        desk = Desk(root, point)
        result = desk.steps(clauses)
        for fault in result.wrong:
            if fault.code == "unknown-clause" and fault.place.path == "clause":
                missing.setdefault(fault.line_text, []).append(point)
            else:
                wrong[fault] = None
        found.append(Laid(desk=desk, steps=result.value or ()))
    for name, where in missing.items():
        if len(where) == len(points):
            told = f"no clause `{name}` in {listed(list(map(str, where)), 'or')}"
            wrong[Fault(code="unknown-clause", place=Place(path=name), found=told)] = None
    if wrong:
        print_faults(wrong)
        fail(len(wrong))
    return found


def _split(name: str) -> tuple[str, int]:
    """A clause and which of its readings: 0 for all."""
    front, sign, number = name.rpartition(":")
    return (front, int(number)) if sign and front and number.isdecimal() else (name, 0)


# --- Who --------------------------------------------------------------------------------------------------------------


def _signer(by: str, crew: Crew, root: Path, *, at_terminal: bool = False) -> str:
    """Whose word it is: one of the crew, by id or full name; where there is no crew, any name."""
    name = by or git_user(root)
    if not crew.people:
        if not name:
            raise click.UsageError("say whose word it is with --by")
        return name
    for id_, person in crew.people.items():
        if name.casefold() in (id_.casefold(), person.name.casefold()):
            return id_
    if by or not at_terminal:
        known = ", ".join(crew.people)
        told = f"`{plain(name)}` is not one of the crew" if name else "it is not known whose word it is"
        raise click.UsageError(f"{told}: say --by with one of {known}")
    return str(click.prompt("Who decides?", type=click.Choice(list(crew.people), case_sensitive=False)))


# --- The walk ---------------------------------------------------------------------------------------------------------


def _walk(root: Path, laid: Sequence[Laid], by: str, day: date) -> None:
    from rulewatch.cli.confirm_walk import Stop, TerminalHands, Walk

    stops = [Stop(desk=one.desk, step=step) for one in laid for step in one.steps]
    stops.sort(key=lambda stop: (stop.step.asked, stop.step.concern.rank))
    if not stops:
        say("Nothing is open.")
        return
    signal.signal(signal.SIGTERM, _end)  # so that the terminal is left as it was
    Walk(root=root, stops=stops, hands=TerminalHands(), by=by, day=day).run()


def _end(number: int, _: Any) -> NoReturn:
    raise SystemExit(128 + number)


# --- From a script ----------------------------------------------------------------------------------------------------


def _list(laid: Sequence[Laid], *, as_json: bool) -> None:
    """What is open, in the order of the walk."""
    found = [(one.desk, step) for one in laid for step in one.steps]
    found.sort(key=lambda each: (each[1].asked, each[1].concern.rank))
    if as_json:
        from rulewatch.publish.confirm_data import steps_data

        print_json(steps_data([(step, desk.offer(step)) for desk, step in found]))
        return
    for desk, step in found:
        say(f"{step.point}  {title(step)}", bold=True)
        offer = desk.offer(step)
        said = [_state(step), concern_line(step.concern)]
        what = "suggested" if step.reading is None else "proposed"
        moved = step.proposal.replacements if step.proposal is not None else ()
        if offer.blocks:
            said.append(f"{what}: {', '.join(map(str, moved))}" if moved else f"a reading is {what}")
        elif offer.why_not:
            said.append(f"nothing is {what}: {offer.why_not}")
        for line in said:
            click.echo(output.wrapped([(line, {})]))
    say(f"{counted(len(found), 'reading or clause', 'readings and clauses')} open" if found else "Nothing is open.")


def _state(step: Step) -> str:
    if step.reading is None:
        return "no reading"
    if step.confirmed:
        return "confirmed"
    asked = ", and the officials have not answered yet" if step.asked else ""
    return f"{'not confirmed' if step.reading.confirmed is None else 'confirmed against another text'}{asked}"


def _decide(laid: Sequence[Laid], orders: Sequence[Order], by: str, day: date) -> None:
    """Carry out decisions one after the other; those that cannot be are told, and the others are written."""
    wrong = 0
    for order in orders:
        for desk, step in _meant(order, laid):
            blocks = _blocks(order, desk, step)
            sign = None if order.what == "ask" else Confirmation(by=by, on=day, text=step.clause.digest)
            faults = (blocks,) if isinstance(blocks, Fault) else desk.write(step, blocks, sign)
            if faults:
                print_faults(faults)
                wrong += len(faults)
            else:
                did = {"keep": "kept", "take": "taken", "reading": "written", "ask": "asked"}[order.what]
                say(f"{step.point} {step.name}: {did}, in {step.path}")
    if wrong:
        click.echo(f"{counted(wrong, 'fault')}: what they are about is not written", err=True)
        raise SystemExit(2)


def _meant(order: Order, laid: Sequence[Laid]) -> Iterator[tuple[Desk, Step]]:
    """The readings that a decision is about, in the text in force where there are several; one of several editions must be named."""
    clause, number = _split(order.clause)
    homes = [one for one in laid if any(step.clause.id == clause for step in one.steps)]
    if len(homes) > 1:
        where = " and ".join(str(one.desk.point) for one in homes)
        raise click.UsageError(f"{clause} is in {where}: name the edition before the options")
    for one in homes:
        steps = [step for step in one.steps if step.clause.id == clause]
        steps = [step for step in steps if step.point == steps[0].point]
        chosen = [step for step in steps if number in (0, step.number)]
        several = order.what in ("reading", "ask") and len(chosen) > 1
        if several or not chosen:
            raise click.UsageError(f"{clause} has {counted(len(steps), 'reading')}: name one, as {clause}:1")
        if order.what in ("keep", "take"):
            for step in chosen:
                if step.confirmed:
                    say(f"{step.point} {step.name}: confirmed already")
            chosen = [step for step in chosen if not step.confirmed]
        yield from ((one.desk, step) for step in chosen)


def _blocks(order: Order, desk: Desk, step: Step) -> Sequence[Block] | Fault:
    """What a decision puts in the place of a reading."""
    if order.what == "keep":
        return [step.block] if step.reading is not None else _impossible(step, "there is no reading to keep")
    if order.what == "take":
        offer = desk.offer(step)
        return offer.blocks or _impossible(step, f"nothing is offered{f': {offer.why_not}' if offer.why_not else ''}")
    if order.what == "ask":
        block = desk.asking(step, order.given)
        return [block] if block is not None else _impossible(step, "it has a question already, or is not written in lines")
    from rulewatch.cli.editing import blocks_of

    text = _text(order.given)
    return (blocks_of(text) or _impossible(step, f"{order.given} holds no reading")) if isinstance(text, str) else text


def _impossible(step: Step, found: str) -> Fault:
    told = f"{step.name}: {found}"
    return Fault(code="nothing-to-take", place=step.clause.place, found=told, remedy="give the reading with --reading")


def _text(file: str) -> str | Fault:
    if file == "-":
        return sys.stdin.read()
    try:
        return Path(file).read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        why = (error.strerror if isinstance(error, OSError) else "") or "not UTF-8 text"
        return Fault(code="file-unreadable", place=Place(path=file), found=why[0].lower() + why[1:], expected="a file to read")
