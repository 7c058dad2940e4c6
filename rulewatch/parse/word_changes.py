"""Changes of words within a clause: its text with marks on what was struck and inserted, and the text that is left."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from rulewatch.model.clause import Clause, fold
from rulewatch.model.fault import Place
from rulewatch.model.instruction import EACH, LAST, ONLY, Where
from rulewatch.model.marks import INSERTED, STRUCK, has_marks, in_force, marked_at

CLOSES = (".", ",", ";", ":", "!", "?", ")", "]")  # no blank stands in front of these


@dataclass(frozen=True, slots=True, kw_only=True)
class Edit:
    """Words of a text in force, from `start` to `end`, and what stands in their place; nothing is struck where both are one."""

    start: int
    end: int
    words: str = ""


def chosen(found: Sequence[tuple[int, int]], occurrence: int) -> list[tuple[int, int]]:
    """Of the places where words stand those that are meant; none where what is said does not fit."""
    if occurrence == EACH:
        return list(found)
    if occurrence == LAST:
        return list(found[-1:])
    if occurrence == ONLY:
        return list(found) if len(found) == 1 else []
    return list(found[occurrence - 1 : occurrence])


def beside(spans: Sequence[tuple[int, int]], words: str, where: Where) -> list[Edit]:
    """Words put before or after others, with the blank that a person would leave."""
    if where is Where.BEFORE:
        return [Edit(start=start, end=start, words=f"{words} ") for start, _ in spans]
    gap = "" if words.startswith(CLOSES) else " "
    return [Edit(start=end, end=end, words=f"{gap}{words}") for _, end in spans]


def at_an_end(clause: Clause, words: str, where: Where) -> Edit:
    """Words put at the beginning of a clause's text, below its heading, or at its end: in the last paragraph, or as new ones."""
    own = "\n\n" in words or words.lstrip().startswith(("|", "-", "*", ">", "#"))
    if where is Where.END:
        gap = "\n\n" if own or _ends_apart(clause) else "" if words.startswith(CLOSES) else " "
        return Edit(start=len(clause.text), end=len(clause.text), words=f"{gap}{words}")
    below = len(clause.heading) + len(clause.text[len(clause.heading) :]) - len(clause.text[len(clause.heading) :].lstrip())
    return Edit(start=below, end=below, words=f"{words}\n\n" if own else f"{words} ")


def _ends_apart(clause: Clause) -> bool:
    """Whether the last line of a text is its heading or a row of a table, which no sentence goes on."""
    last = clause.text.rstrip().rpartition("\n")[2]
    return last.startswith("|") or fold(clause.text) == fold(clause.heading)


def edited(clause: Clause, edits: Sequence[Edit], place: Place, last_line: int, *, marked: bool) -> Clause:
    """A clause after changes of its words. Its text is marked where marks can show them, with those before where `marked`."""
    text = clause.text
    plain = text
    for edit in sorted(edits, key=lambda each: each.start, reverse=True):
        plain = _spliced(plain, edit)
    shown = clause.shown if marked else text
    signs = any(sign in text or sign in edit.words for sign in (STRUCK, INSERTED) for edit in edits)
    for edit in sorted(edits, key=lambda each: each.start, reverse=True):
        shown = _with_marks(shown, text, edit)
    if signs or not has_marks(shown) or fold(in_force(shown)) != fold(plain):
        shown = ""
    text = in_force(shown) if shown else plain
    heading = _heading(clause, plain, edits)
    return replace(
        clause,
        text=text,
        marked=shown,
        heading=heading if fold(text).startswith(fold(heading)) and text.startswith(heading) else "",
        place=place,
        last_line=last_line,
    )


def _heading(clause: Clause, plain: str, edits: Sequence[Edit]) -> str:
    """The heading of a clause, with the changes of its own words."""
    if not clause.heading:
        return ""
    end = len(clause.heading)
    moved = sum(len(each.words) - (each.end - each.start) for each in edits if each.end <= end and each.start < end)
    return plain.lstrip()[: end + moved].strip() if moved or plain[:end] != clause.heading else clause.heading


def _spliced(text: str, edit: Edit) -> str:
    """A text with words replaced, or taken out with the blank that they leave over."""
    left, right = text[: edit.start], text[edit.end :]
    if not edit.words and (not left or left[-1].isspace() or right[:1] in CLOSES):
        stripped = left.rstrip(" ")
        left = stripped if right[:1] in {"", *CLOSES} or right[:1].isspace() else left
        right = right if left != "" else right.lstrip()
    return f"{left}{edit.words}{right}"


def _with_marks(shown: str, text: str, edit: Edit) -> str:
    """A text with its marks, and those of one more change; changes are marked from the last to the first."""
    start = marked_at(shown, edit.start) if shown != text else edit.start
    end = start + edit.end - edit.start
    old, words = shown[start:end], edit.words
    lead, tail = words[: len(words) - len(words.lstrip())], words[len(words.rstrip()) :]
    parts = [f"{INSERTED}{part.strip()}{INSERTED}" for part in words.strip().split("\n\n")] if words.strip() else []
    come = lead + "\n\n".join(parts) + tail
    gone = f"{STRUCK}{old}{STRUCK}" if old else ""
    apart = bool(gone and come) and not shown[:start][-1:].strip()
    return f"{shown[:start]}{gone}{' ' if apart else ''}{come}{shown[end:]}"
