"""Published words in Markdown that reads as they were published: signs that Markdown would take for its own are escaped.

A line is broken only where the next word could begin nothing: no label, no list, no heading.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterable, Sequence

from rulewatch.intake.document import Line, Mark, Run
from rulewatch.parse.labels import AS_ANNEX, AS_NAMED, IN_ITEM, IN_TEXT, read_label

WIDTH = 120
SIGNS = {Mark.NONE: "", Mark.STRUCK: "~~", Mark.INSERTED: "++"}
# Signs of Markdown within a line. An underscore within a word is none, nor is a star or an underscore between blanks.
INLINE = re.compile(
    r"\\(?=[!-/:-@\[-`{-~])"
    r"|`"
    r"|\*(?!(?<=\s\*)\s)(?!(?<=\d\*)\d)"
    r"|(?<![^\W_])_|_(?![^\W_])"
    r"|<(?=[A-Za-z/!?])"
    r"|&(?=#\d|#[xX]|[A-Za-z][A-Za-z0-9]{1,31};)"
    r"|\[(?=[^\[\]]*\](?:\(|\[|:))"
    r"|~(?=~)|(?<=~)~|\+(?=\+)|(?<=\+)\+"
)
# What begins a block: a heading, a list, a quotation, a table, a rule, a fence, an indented line of them.
BEGINS = re.compile(
    r"(?P<count>\d{1,9})(?P<close>[.)])(?=\s|$)|(?P<sign>#{1,6}(?=\s|$)|[-+*](?=\s|$)|>|\||(?:=+|-{2,}|~{3,})\s*$)"
)
SAFE = re.compile(r"[^\W\d_]{2,}(?![.)])(?=\W|$)")
NAMES = re.compile(r"§+|[^\W\d_]+\.?")
BLANKS = re.compile(r"[ \n\r\t\f\v]+")
BULLET = re.compile(r"(?:[-*•‣▪◦·●○■–—]|\\[-*])\s+(?=\S)")
EDGES = re.compile(r"\A\\?[~+]|\\?[~+]\Z")
SUPERIOR = str.maketrans("0123456789+-n", "⁰¹²³⁴⁵⁶⁷⁸⁹⁺⁻ⁿ")
CALLED = re.compile(r"\[(\d{1,3}|[*†‡]{1,3})\]")
RAISED_DIGITS = re.compile(r"[0-9+\-n−]+\Z")


def inline(runs: Iterable[Run], calls: Iterable[str] = (), *, cell: bool = False) -> str:
    """Runs as Markdown: marks as `~~…~~` and `++…++`, calls of notes as `[^1]`, other raised figures as superior ones."""
    called = frozenset(calls)
    parts: list[tuple[str, Mark]] = []
    for run in runs:
        text = shown(run, called)
        if cell:
            text = text.replace("|", "\\|")
        if parts and parts[-1][1] is run.mark:
            parts[-1] = (parts[-1][0] + text, run.mark)
        else:
            parts.append((text, run.mark))
    return "".join(_marked(text, mark) for text, mark in parts)


def shown(run: Run, called: Collection[str]) -> str:
    """The words of a run, escaped; calls of notes, raised or in square brackets, as `[^1]`."""
    text = run.text
    bare = text.strip()
    if run.raised and bare:
        if bare.strip("()[]") in called:
            return text.replace(bare, f"[^{bare.strip('()[]')}]")
        if RAISED_DIGITS.match(bare):
            return text.replace("−", "-").translate(SUPERIOR)
    text = INLINE.sub(_escaped, text)
    return CALLED.sub(lambda call: f"[^{call[1]}]" if call[1] in called else call[0], text) if called else text


def _escaped(match: re.Match[str]) -> str:
    return f"\\{match[0]}"


def _marked(text: str, mark: Mark) -> str:
    """Words between the signs of their mark, with no blank beside the signs' inner ends."""
    sign, words = SIGNS[mark], text.strip()
    if not sign or not words:
        return text
    before, after = text[: len(text) - len(text.lstrip())], text[len(text.rstrip()) :]
    words = EDGES.sub(lambda edge: f"&#{ord(edge[0][-1])};", words)  # beside a sign of the same kind it would spoil that
    return f"{before}{sign}{words}{sign}{after}"


def paragraph(text: str, *, labelled: bool = False) -> str:
    """A paragraph in one line, as `wrapped` takes it; words without a label are kept from being taken for one."""
    text = BLANKS.sub(" ", text).strip()
    if labelled:
        return text
    bullet = BULLET.match(text)
    return f"- {kept_text(text[bullet.end() :])}" if bullet else kept_text(text)


def kept_text(text: str) -> str:
    """Words that begin a paragraph and must begin nothing else."""
    match = BEGINS.match(text)
    if match:
        at = match.start("close") if match["close"] else 0
        text = f"{text[:at]}\\{text[at:]}"
    label = read_label(text, 0, IN_TEXT) or read_label(text, 0, IN_ITEM)
    if label is None:
        return text
    if label.form is AS_NAMED or label.form is AS_ANNEX:
        name = NAMES.match(text)
        at = name.end() if name else 0
        return f"{text[:at]}&#32;{text[at:].lstrip()}" if text[at : at + 1].isspace() else f"&#{ord(text[0])};{text[1:]}"
    for at, sign in enumerate(text[: label.end]):
        if sign in ".()":
            return f"{text[:at]}\\{text[at:]}"
    return f"&#{ord(text[0])};{text[1:]}"


def wrapped(text: str, width: int = WIDTH) -> list[str]:
    """A paragraph's words in lines, broken only before words that begin nothing."""
    lines: list[str] = []
    line = ""
    words = text.split(" ")
    for number, word in enumerate(words):
        if not line:
            line = word
        elif len(line) + 1 + len(word) <= width or not _may_begin_line(words, number):
            line = f"{line} {word}"
        else:
            lines.append(line)
            line = word
    return [*lines, line] if line else lines


def _may_begin_line(words: Sequence[str], number: int) -> bool:
    """Whether a line may be broken before a word."""
    word = words[number]
    if not SAFE.match(word):
        return False
    ahead = " ".join(words[number : number + 4])
    return (
        read_label(ahead, 0, IN_TEXT) is None
        and read_label(f"{word} {' '.join(words[number + 1 : number + 2])}", 0, IN_TEXT) is None
    )


def table(rows: Sequence[Sequence[Sequence[Line]]], calls: Iterable[str] = ()) -> list[str]:
    """A pipe table; the first row is its head. Lines within a cell are joined, rows are filled up to the widest."""
    calls = tuple(calls)
    cells = [[" ".join(inline(line.runs, calls, cell=True).strip() for line in cell).strip() for cell in row] for row in rows]
    columns = max((len(row) for row in cells), default=0)
    if not columns:
        return []
    full = [[*row, *[""] * (columns - len(row))] for row in cells]
    lines = [f"| {' | '.join(row)} |" for row in full]
    return [re.sub(r" {2,}", " ", lines[0]), f"|{' --- |' * columns}", *(re.sub(r" {2,}", " ", line) for line in lines[1:])]
