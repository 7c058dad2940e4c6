r"""Words that a body shows as struck or inserted: `~~struck~~` and `++inserted++` in rule text.

A mark is a pair of the same sign within a paragraph, an item, a heading or a cell of a table, over several lines if need be,
with no blank beside its inner ends. Behind a backslash (`\~~`), in code, or without its other half a sign is text. Marks may
stand within each other: what was inserted and then struck is struck.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise

STRUCK, INSERTED = "~~", "++"
SIGNS = (STRUCK, INSERTED)
# An escaped sign, a run of backticks, or a sign of exactly two characters.
SIGN = re.compile(r"\\[!-/:-@\[-`{-~]|`+|(?<!~)~~(?!~)|(?<!\+)\+\+(?!\+)")
FENCE = re.compile(r"[\s>]*(`{3,}|~{3,})")
# A line that begins something of its own, so that no mark goes on into it.
BEGINS = re.compile(r"[\s>]*(?:#{1,6}\s|[-*+]\s|\d{1,9}[.)]\s|\|)")
CELL_ENDS = re.compile(r"(?<!\\)\|")
STANDS_FOR = (True, False, True)  # which of `~~old~~ ++new++` are marked
CLOSES = re.compile(r"[.,;:!?)\]](?!\d)")  # no blank stands in front of these


@dataclass(frozen=True, slots=True, kw_only=True)
class Segment:
    """A run of a text under the same marks, without their signs; `start` is where it stands in the text as written."""

    text: str
    start: int
    struck: bool = False
    inserted: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pair:
    """Two signs that belong together, by their places in the text."""

    sign: str
    opens: int
    closes: int


def has_marks(text: str) -> bool:
    """Whether any words of a text are marked."""
    return bool(_pairs(text))


def mark_edges(text: str) -> tuple[tuple[int, int], ...]:
    """Where the signs of marks stand in a text, in order, each with 1 where a mark begins and -1 where it ends."""
    return tuple(sorted(edge for pair in _pairs(text) for edge in ((pair.opens, 1), (pair.closes, -1))))


def segments(text: str) -> tuple[Segment, ...]:
    """A text cut where its marks begin and end, in order."""
    depth = dict.fromkeys(SIGNS, 0)
    found: list[Segment] = []
    begun = 0
    for at, step in (*mark_edges(text), (len(text), 0)):
        sign = text[at : at + 2]
        if begun < at:
            struck, inserted = depth[STRUCK] > 0, depth[INSERTED] > 0
            found.append(Segment(text=text[begun:at], start=begun, struck=struck, inserted=inserted))
        if sign:
            depth[sign] += step
        begun = at + len(sign)
    return tuple(found)


def in_force(text: str) -> str:
    """The text in force: without what is struck, and what is inserted as plain words."""
    return "".join(part for part, _ in _kept(text, _is_in_force)) if _may_hold(text) else text


def before(text: str) -> str:
    """The text as it was: without what is inserted, and what is struck as plain words."""
    return "".join(part for part, _ in _kept(text, _was_before)) if _may_hold(text) else text


def marked_at(text: str, offset: int) -> int:
    """Where a character of the text in force stands in the text with its marks."""
    if not _may_hold(text):
        return offset
    ends, starts, length = [], [], 0
    for part, start in _kept(text, _is_in_force):
        ends.append(length)
        starts.append(start)
        length += len(part)
    if not ends:
        return 0
    piece = bisect_right(ends, min(offset, length)) - 1
    return starts[piece] + offset - ends[piece]


def literal(text: str) -> str:
    """A text whose own signs are no marks: `~~` and `++` behind a backslash."""
    return SIGN.sub(lambda match: f"\\{match[0]}" if match[0] in SIGNS else match[0], text)


def _is_in_force(segment: Segment) -> bool:
    return not segment.struck


def _was_before(segment: Segment) -> bool:
    return not segment.inserted


def _may_hold(text: str) -> bool:
    return STRUCK in text or INSERTED in text


# --- What is left when words go ---------------------------------------------------------------------------------------


def _kept(text: str, keeps: Callable[[Segment], bool]) -> list[tuple[str, int]]:
    """The segments that are kept, with where each begins in the text; blanks are those that a person would leave."""
    kept: list[tuple[str, int]] = []
    gap = False
    found = segments(text)
    for number, segment in enumerate(found):
        if not keeps(segment):
            gap = True
            continue
        if number >= len(STANDS_FOR) and gap and _stands_for(found[number - len(STANDS_FOR) : number]):
            _strip(kept)
        part = (segment.text, segment.start)
        kept.append(_joined(kept, part) if gap else part)
        gap = False
    if gap:
        _strip(kept)
    return [part for part in kept if part[0]]


def _stands_for(three: Sequence[Segment]) -> bool:
    """Whether the last of three runs stands in the place of the first, with a blank between them that is neither's."""
    return three[1].text == " " and tuple(bool(one.struck or one.inserted) for one in three) == STANDS_FOR


def _joined(kept: list[tuple[str, int]], part: tuple[str, int]) -> tuple[str, int]:
    """A segment behind a gap, with the blanks on both sides of it brought down to one."""
    text, start = part
    words = text.lstrip()
    right = text[: len(text) - len(words)]
    left = _blanks_behind(kept)
    if left is None:  # the text begins here
        return words, start + len(right)
    if not right:
        if "\n" not in left and CLOSES.match(words):
            _strip(kept)
        return part
    if "\n" not in right:
        return (words, start + len(right)) if left else part
    _strip(kept)
    lines, indent = max(left.count("\n"), right.count("\n")), right.rindex("\n") + 1
    return "\n" * lines + text[indent:], start + indent - lines


def _blanks_behind(kept: list[tuple[str, int]]) -> str | None:
    """The blanks at the end of what is kept so far; None where nothing is."""
    whole = ""
    for text, _ in reversed(kept):
        whole = text + whole
        if whole.strip():
            return whole[len(whole.rstrip()) :]
    return None


def _strip(kept: list[tuple[str, int]]) -> None:
    """Take the blanks off the end of what is kept."""
    while kept:
        text, start = kept.pop()
        if text := text.rstrip():
            kept.append((text, start))
            return


# --- Pairs of signs ---------------------------------------------------------------------------------------------------


def _pairs(text: str) -> list[_Pair]:
    if not _may_hold(text):
        return []
    return [pair for start, end in _units(text) for pair in _pairs_within(text, start, end)]


def _units(text: str) -> Iterator[tuple[int, int]]:
    """The parts of a text that no mark goes beyond: paragraphs, headings, items, cells. What is fenced is none."""
    begun: int | None = None
    at = 0
    fence = ""
    for line in text.split("\n"):
        end = at + len(line)
        mark = FENCE.match(line)
        ends = bool(fence or mark) or not line.strip() or BEGINS.match(line) is not None
        if ends and begun is not None:
            yield begun, at
            begun = None
        if fence:
            fence = "" if mark and mark[1].startswith(fence) else fence
        elif mark:
            fence = mark[1]
        elif line.lstrip(" \t>").startswith("|"):
            edges = [at, *(at + bar.end() for bar in CELL_ENDS.finditer(line)), end]
            yield from pairwise(edges)
        elif line.lstrip(" \t>").startswith("#") and ends:
            yield at, end
        elif line.strip() and begun is None:
            begun = at
        at = end + 1
    if begun is not None:
        yield begun, len(text)


def _pairs_within(text: str, start: int, end: int) -> Iterator[_Pair]:
    """The pairs of one unit, the inner ones first."""
    opened: list[tuple[str, int]] = []
    at = start
    while match := SIGN.search(text, at, end):
        at, sign = match.end(), match[0]
        if sign.startswith("`"):
            at = _behind_code(text, match, end)
        if sign not in SIGNS:
            continue
        depth = next((depth for depth in reversed(range(len(opened))) if opened[depth][0] == sign), None)
        if depth is not None and not text[match.start() - 1].isspace() and opened[depth][1] + len(sign) < match.start():
            yield _Pair(sign=sign, opens=opened[depth][1], closes=match.start())
            del opened[depth:]
        elif at < end and not text[at].isspace():
            opened.append((sign, match.start()))


def _behind_code(text: str, opening: re.Match[str], end: int) -> int:
    """The place behind a code span, or behind its backticks where nothing closes them."""
    closing = re.compile(rf"(?<!`){opening[0]}(?!`)").search(text, opening.end(), end)
    return closing.end() if closing else opening.end()
