"""The wording of a change as it is printed: runs of text, inserted or repealed or neither."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from itertools import pairwise

from rulewatch.model.change import Change, Kind, Mark
from rulewatch.model.clause import Clause, fold

Run = tuple[str, str]  # what became of it, or "", and the text

TAGS = {
    Mark.KEEP: "",
    Mark.DROP: "del",
    Mark.ADD: "ins",
    Mark.LEFT: "left",
    Mark.CAME: "came",
    Mark.OLD_NUMBER: "old-number",
    Mark.NEW_NUMBER: "new-number",
}
TABLE_LINE = re.compile(r"^\s*\|", re.MULTILINE)


def words_of(change: Change) -> tuple[Run, ...]:
    """The runs of a change's wording as pages show them; the whole text of what is new or repealed.

    Where the words are the same (renumbered, moved) there is nothing to show.
    """
    runs = marked_words(change)
    return tuple((TAGS[mark], text) for mark, text in runs) if any(mark is not Mark.KEEP for mark, _ in runs) else ()


def marked_words(change: Change) -> tuple[tuple[Mark, str], ...]:
    """The wording without the heading that stands above it; blank lines part paragraphs, and a table has a line for each row."""
    runs = [(mark, _folded(text)) for mark, text in _runs(change) if text]
    if any(TABLE_LINE.search(clause.text) for clause in (*change.old, *change.new)):
        runs = [(mark, _rows(text)) for mark, text in runs]
        runs[-1:] = [(mark, text.rstrip(" ·")) for mark, text in runs[-1:]]
    return tuple(_spaced(_below_heading(runs, change))) if runs else ()


def body_lines(clause: Clause) -> tuple[str, ...]:
    """A clause without its heading as lines that are to be folded: its paragraphs in a row, and each row of a table."""
    text = clause.folded.removeprefix(fold(clause.heading)).strip()
    rows = _rows(text).strip(" ·") if TABLE_LINE.search(clause.text) else text
    return tuple(filter(None, (line.strip() for line in rows.split("\n"))))


def _runs(change: Change) -> list[tuple[Mark, str]]:
    if change.words:
        return list(change.words)
    if Kind.INSERTION in change.kinds:
        return [(Mark.ADD, _text(change.new))]
    if Kind.REPEAL in change.kinds:
        return [(Mark.DROP, _text(change.old))]
    return []


def _text(clauses: Iterable[Clause]) -> str:
    return "\n\n".join(clause.text.strip() for clause in clauses)


def _folded(text: str) -> str:
    """White space as in print: blank lines part paragraphs, any other is one blank."""
    # Single blanks, nearly all there is, stay as they are.
    return re.sub(r"\s{2,}|[^\S ]", lambda found: "\n\n" if found.group().count("\n") > 1 else " ", text)


def _rows(text: str) -> str:
    """The rows of a Markdown table on lines of their own, its rules left out, its cells parted by a dot.

    In a folded text a row ends where two bars meet, and the first begins after the end of a sentence.
    """
    text = re.sub(r"(?<=[.:;]) \|", "\n|", text)
    text = re.sub(r"\s*\|[-:|\s]*-[-:|\s]*\|\s*|\s*\|\s*\|\s*", "\n", text)
    text = re.sub(r"[ \t]*\|[ \t]*", " · ", text)
    return re.sub(r"(?<=\n)[ ·]+|[ ·]+(?=\n)", "", text)


def _below_heading(runs: list[tuple[Mark, str]], change: Change) -> list[tuple[Mark, str]]:
    """The runs without the heading in front, where the first run has it whole: it stands in the margin already."""
    heading, (mark, first) = fold((change.new or change.old)[0].heading), runs[0]
    found = re.match(r"\s*" + r"\s+".join(map(re.escape, heading.split())) + r"\s+", first) if heading else None
    return [(mark, first[found.end() :]), *runs[1:]] if found else runs


def _spaced(runs: list[tuple[Mark, str]]) -> Iterator[tuple[Mark, str]]:
    """Runs with a blank between what was repealed and what replaces it, which the text itself does not have."""
    runs = [run for run in runs if run[1]]
    for (mark, text), (next_mark, following) in pairwise([*runs, (Mark.KEEP, "")]):
        yield mark, text
        if {mark, next_mark} == {Mark.ADD, Mark.DROP} and not text[-1].isspace() and not following[0].isspace():
            yield Mark.KEEP, " "
