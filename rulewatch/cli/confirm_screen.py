"""One clause on the terminal as a person must see it to decide: where it counts, its words, its reading, what could stand there."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from difflib import SequenceMatcher
from itertools import groupby

import click

from rulewatch.cli.change_text import Run, split_lines, styled_line
from rulewatch.cli.output import plain, say, width, wrapped
from rulewatch.model.change import Change, Mark
from rulewatch.model.clause import fold
from rulewatch.model.impact import Verdict
from rulewatch.model.reading import Reading
from rulewatch.model.step import Block, Concern, Offer, Step
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.publish.reading_words import sentences
from rulewatch.publish.wording import marked_words
from rulewatch.publish.words import listed

INDENT = "    "
GAP = "  "  # between two keys
CONFIRMED = "confirmed:"
TITLE_LESS = 24  # columns that a title leaves free, for the edition in front of it
PIECES = re.compile(r"\d[\w.,/]*(?: [^\W\d][\w()/²³]*)?|[\w.]+|\n|[^\S\n]+|[^\w\s]")  # an amount with its unit is one
MOST_NAMED = 4  # cars named in the head of a clause
VERDICTS = {Verdict.LEGAL: "legal", Verdict.ILLEGAL: "not legal", Verdict.UNKNOWN: "unknown"}


def print_step(step: Step, offer: Offer, vocabulary: Vocabulary, counted: str) -> None:
    """Print one clause in full; `counted` says where in the walk it stands."""
    _print_rule(f"{step.point}", counted)
    say(title(step), bold=True)
    click.echo(wrapped([(concern_line(step.concern), {"dim": True})], indent=""))
    _print_text(step)
    _print_reading(step, vocabulary)
    _print_offer(step, offer, vocabulary)


def title(step: Step) -> str:
    """The number of a clause with its heading, or with how it begins where it has none."""
    words = step.clause.heading or fold(step.clause.plain)
    whole = f"{step.name}  {words}".rstrip()
    room = width() - TITLE_LESS
    return whole if len(whole) <= room else f"{whole[: room - 1].rstrip()}…"


def _print_rule(left: str, right: str) -> None:
    bar = "─" * max(width() - len(left) - len(right) - 8, 2)
    click.secho(f"── {plain(left)} {bar} {plain(right)} ──", dim=True)


# --- Where it counts --------------------------------------------------------------------------------------------------


def concern_line(concern: Concern) -> str:
    """Whom a clause concerns, in one line."""
    classes: dict[str, dict[str, None]] = {}
    for touched in concern.cars:
        classes.setdefault(touched.car, {})[touched.class_name] = None
    cars: dict[tuple[str, ...], list[str]] = {}
    for car, entered in classes.items():
        cars.setdefault(tuple(entered), []).append(car)
    told = "; ".join(f"{_some(names)} in {listed(entered)}" for entered, names in cars.items())
    count = len(concern.options)
    options = "" if not count else "an option of the crew's" if count == 1 else f"{count} options of the crew's"
    if not told and not options:
        return "none of the crew's cars"
    unread = bool(concern.cars) and not any(touched.subject for touched in concern.cars)
    return f"{'may concern' if unread else 'concerns'} {'; '.join(filter(None, (told, options)))}"


def _some(names: Sequence[str]) -> str:
    more = len(names) - MOST_NAMED
    return listed([*names[:MOST_NAMED], f"{more} more"] if more > 0 else list(names))


def print_concern(concern: Concern, vocabulary: Vocabulary) -> None:
    """Print which cars and options a clause touches, and how they stand with what is confirmed now."""
    if not concern.cars and not concern.options:
        click.echo(wrapped([("No car of the crew is subject to this clause, and no option hangs on it.", {})]))
    rows = [(f"{one.car} in {one.class_name}", VERDICTS[one.verdict], one.why) for one in concern.cars]
    for (car, verdict, why), _ in groupby(rows):
        click.echo(wrapped([(f"{car}: ", {"bold": True}), (f"{verdict}. {why}", {})]))
    for car, what in concern.options:
        click.echo(wrapped([(f"{car}: ", {"bold": True}), (f"an option hangs on it: {what}", {})]))
    if concern.parts:
        parts = listed([vocabulary.in_sentence(name) for name in concern.parts])
        click.echo(wrapped([(f"Its words speak of: {parts}.", {})]))


# --- Its words --------------------------------------------------------------------------------------------------------


def _print_text(step: Step) -> None:
    click.echo()
    say(_text_title(step), bold=True)
    shown = Change(old=step.before, new=(step.clause,), kinds=(), certainty=1, words=step.words)
    for line in split_lines(marked_words(shown)):
        click.echo(wrapped(styled_line(line, whole=True), indent=INDENT))


def _text_title(step: Step) -> str:
    if not step.before:
        return "The text, new"
    old = listed([clause.id for clause in step.before])
    if all(mark is Mark.KEEP for mark, _ in step.words):
        return f"The text, as in {old} of the book before"
    return f"The text, and what changed since {old} of the book before"


# --- Its reading ------------------------------------------------------------------------------------------------------


def _print_reading(step: Step, vocabulary: Vocabulary) -> None:
    click.echo()
    if step.reading is None:
        say("No reading", bold=True)
        return
    say(_reading_title(step), bold=True)
    for line in shown_lines(step.block):
        _print_yaml([(Mark.KEEP, line)])
    _print_meaning(step.reading, vocabulary)
    if step.reading.ask:
        answer = "answered" if step.reading.answered is not None else "not answered yet"
        click.echo(wrapped([(f"Asked ({answer}): {step.reading.ask}", {})], indent=INDENT))


def shown_lines(block: Block) -> list[str]:
    """The lines of a block without its fences, and without the line of who confirmed it, which is told in words."""
    return [line for line in block[1:-1] if not line.startswith(CONFIRMED)]


def _print_yaml(line: list[Run]) -> None:
    """A line of a reading, wrapped at its own indent."""
    lead = len(whole := "".join(text for _, text in line)) - len(whole.lstrip())
    click.echo(wrapped(styled_line(line, whole=True), indent=INDENT + " " * lead))


def _reading_title(step: Step) -> str:
    confirmed = step.reading.confirmed if step.reading is not None else None
    if confirmed is None:
        return "The reading, which nobody has confirmed"
    told = f"by {confirmed.by} on {confirmed.on}"
    return f"The reading, confirmed {told}" if step.confirmed else f"The reading, confirmed {told} against another text"


def _print_meaning(reading: Reading | None, vocabulary: Vocabulary) -> None:
    """The reading in words; its classes by their ids, as the block has them."""
    told = " ".join(sentences(reading, vocabulary, {})) if reading is not None else ""
    if told:
        click.echo(wrapped([(f"That is: {told}", {"dim": True})], indent=INDENT))


# --- What could stand there -------------------------------------------------------------------------------------------


def _print_offer(step: Step, offer: Offer, vocabulary: Vocabulary) -> None:
    if offer.blocks:
        click.echo()
        say(
            "Proposed, as the numbers moved" if step.reading is not None else "Suggested, from the words of the clause",
            bold=True,
        )
        for block, reading in zip(offer.blocks, offer.readings, strict=True):
            for line in _against(step.block, block):
                _print_yaml(line)
            _print_meaning(reading, vocabulary)
    if offer.origins:
        click.echo(
            wrapped([("From: ", {}), ("; ".join(f"{part} ← “{words}”" for part, words in offer.origins), {})], indent=INDENT)
        )
    said = [] if offer.blocks or not offer.why_not else [f"Nothing is {_offered(step)}: {offer.why_not}."]
    said += [f"Look: {doubt}{'' if doubt.endswith('”') else '.'}" for doubt in offer.doubts]
    if offer.nearest:
        said.append(f"Near in the vocabulary: {', '.join(offer.nearest)}.")
    if said and not offer.blocks:
        click.echo()
    for one in said:
        click.echo(wrapped([(one, {})], indent=INDENT if offer.blocks else ""))


def _offered(step: Step) -> str:
    return "suggested" if step.reading is None else "proposed"


def _against(old: Block, new: Block) -> Iterator[list[Run]]:
    """The lines inside a new block, with what is other than in the old one marked; all of them kept where there is no old one."""
    if not old:
        yield from ([(Mark.KEEP, line)] for line in shown_lines(new))
        return
    words, others = (PIECES.findall("\n".join(shown_lines(block))) for block in (old, new))
    runs: list[Run] = []
    for kind, first, end, start, stop in SequenceMatcher(None, words, others, autojunk=False).get_opcodes():
        if kind == "equal":
            runs.append((Mark.KEEP, "".join(words[first:end])))
            continue
        runs += [(Mark.DROP, "".join(words[first:end])), (Mark.KEEP, " ")] if first < end else []
        runs += [(Mark.ADD, "".join(others[start:stop]))] if start < stop else []
    yield from split_lines(tuple(runs))


def key_lines(keys: Sequence[tuple[str, str]]) -> str:
    """The keys that do something here, in a line or two."""
    lines, used = [""], 0
    for key, word in keys:
        size = len(key) + 1 + len(word)
        if used + size > width():
            lines.append("")
            used = 0
        lines[-1] += f"{click.style(key, bold=True)} {word}{GAP}"
        used += size + len(GAP)
    return "\n".join(line.rstrip() for line in lines)
