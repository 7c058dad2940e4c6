"""The pieces of a book as chapters in Markdown, one file for each chapter."""

from __future__ import annotations

import re
import unicodedata
from collections.abc import Collection, Iterable, Sequence
from dataclasses import dataclass, field

from rulewatch.intake.document import Spot
from rulewatch.intake.numbering_style import DEEPEST
from rulewatch.intake.structure_contents import NAME
from rulewatch.intake.structure_looks import is_title
from rulewatch.intake.structure_markdown import BULLET, inline, paragraph, table, wrapped
from rulewatch.intake.structure_parts import Item, Part, What
from rulewatch.model.clause import fold
from rulewatch.parse.clause_numbering import Node
from rulewatch.parse.clause_reader import DOUBTFUL
from rulewatch.parse.labels import AS_ANNEX, AS_NUMBER, AS_RELATIVE, IN_HEADING, read_label

SECTIONS = ("§", "article", "art.", "artikel", "rule", "regel", "règle", "regulation", "clause", "paragraph", "section", "sec.")
DEEPEST_CUT = 2  # level of the headings at which files are cut at most
LONGEST_NAME = 40
STEP = 8  # columns by which the items of a list stand further in than the list around them, where that must be shown
FRONT, RULES = "00-front.md", "rules"
NOT_A_LETTER = re.compile(r"[^a-z0-9]+")
LETTERS = str.maketrans({"ä": "ae", "ö": "oe", "ü": "ue", "ß": "ss", "æ": "ae", "ø": "o", "œ": "oe", "ł": "l"})


@dataclass(frozen=True, slots=True, kw_only=True)
class DoubtfulLine:
    """A doubtful place as it stands in a chapter: the line of its block, from 1."""

    line: int
    clause: Part | None
    file: int
    spot: Spot
    why: str


@dataclass(slots=True, kw_only=True)
class Chapter:
    """One file: its name, its title as printed, its text, and its doubtful places.

    `words` are what each of its clauses must give back when the text is read.
    """

    name: str
    title: str
    text: str = ""
    words: dict[Part, str] = field(default_factory=dict)
    doubts: list[DoubtfulLine] = field(default_factory=list)


def chapters(items: Sequence[Item], title: str, stepped: Collection[Node] = ()) -> list[Chapter]:
    """The files of a book. What stands in front of the first chapter has one of its own, unless it is the title alone.

    `stepped` are the clauses whose lists are set in steps, since without that a sentence that goes on behind a list would fall to
    another item.
    """
    heads = _starts(items, title)
    starts = heads or [0]
    front = items[: starts[0]]
    found = []
    if not all(_is_known(item, title) for item in front):
        found.append(_written(Chapter(name=FRONT, title=title), front, stepped))
    width = max(2, len(str(len(starts))))
    for number, (start, end) in enumerate(zip(starts, [*starts, len(items)][1:], strict=True), start=1):
        headed = bool(heads) and items[start].level > 0
        shown = fold(_heading(items[start])) if headed else title
        name = _slug(items[start], shown) if headed else RULES
        found.append(_written(Chapter(name=f"{number:0{width}d}-{name}.md", title=shown), items[start:end], stepped))
    return found


def _starts(items: Sequence[Item], title: str) -> list[int]:
    """Where files begin: at the headings of chapters and annexes, or at those of sections where no higher ones hold the first clause.

    Where no heading holds it, a file begins with the first clause itself: it is nothing that stands in front of a book.
    """
    first = next((number for number, item in enumerate(items) if item.what is What.OPENS), len(items))
    level = _cut(items[first:])
    starts = [number for number in range(first, len(items)) if begins_chapter(items[number], level=level)]
    if not starts or starts[0] > first:
        wide = [number for number in range(first, len(items)) if begins_chapter(items[number], level=level, sections=True)]
        starts = wide if wide[:1] == [first] else starts
    if starts and starts[0] > first:
        while first and items[first - 1].what is What.HEADING and not _is_known(items[first - 1], title):
            first -= 1
        starts = [first, *starts]
    return starts


def _is_known(item: Item, title: str) -> bool:
    """Whether an item in front of a book is its title, or that of its contents pages."""
    if item.owner is not None or item.passage is None:
        return False
    text = fold(item.passage.text)
    return text == title or (item.what is What.HEADING and NAME.match(text) is not None)


def _cut(items: Sequence[Item]) -> int:
    """The level of the headings that begin files: the highest that has a numbered one, or several."""
    for level in range(1, DEEPEST_CUT + 1):
        heads = [item for item in items if begins_chapter(item, level=level)]
        if len(heads) > 1 or any(item.what is What.OPENS for item in heads):
            return level
    return 1


def begins_chapter(item: Item, *, level: int, sections: bool = False) -> bool:
    """Whether a heading of at most this level begins a file. Within an annex none does; a section of a law only with `sections`."""
    if not 0 < item.level <= level or item.what not in {What.OPENS, What.HEADING}:
        return False
    if item.what is What.HEADING or item.owner is None:
        return item.owner is None or (item.owner.node.annex is None and item.owner.node.label.form is not AS_ANNEX)
    node = item.owner.node
    return node.annex is None and (sections or node.label.style not in SECTIONS or node.label.form is AS_ANNEX)


def _heading(item: Item) -> str:
    parts = [one.text for one in (item.passage, item.title) if one is not None]
    return " ".join(parts)


def _slug(item: Item, shown: str) -> str:
    """The words of a title as part of a file name; an annex keeps its number, a chapter has it in front already."""
    label = item.owner.node.label if item.owner and item.what is What.OPENS else None
    if label is not None and label.form in {AS_NUMBER, AS_RELATIVE}:
        shown = shown.removeprefix(label.printed)
    plain = unicodedata.normalize("NFKD", shown.lower().translate(LETTERS)).encode("ascii", "ignore").decode()
    words = NOT_A_LETTER.sub("-", plain).strip("-")
    if len(words) > LONGEST_NAME:
        words = words[: LONGEST_NAME + 1].rpartition("-")[0] or words[:LONGEST_NAME]
    return words or "chapter"


# --- Items ------------------------------------------------------------------------------------------------------------


def _written(chapter: Chapter, items: Iterable[Item], stepped: Collection[Node]) -> Chapter:
    """The chapter with the text of its items."""
    lines: list[str] = []
    words: dict[Part, list[str]] = {}
    for item in items:
        if lines:
            lines.append("")
        if item.what is What.DOUBT:
            chapter.doubts.append(
                DoubtfulLine(line=len(lines) + 1, clause=item.owner, file=item.at.file, spot=item.spot, why=item.why)
            )
            lines += [f"```{DOUBTFUL}", f"{item.spot}: {item.why}", "```"]
            continue
        found, said = _lines(item)
        inside = _inside(item, stepped)
        lines += [inside + line for line in found]
        if item.owner is not None and item.what is not What.HEADING:
            words.setdefault(item.owner, []).append(said)
        elif item.owner is not None:
            words.setdefault(item.owner, []).append("\n".join(found))
    chapter.text = "\n".join(lines) + "\n"
    chapter.words = {part: "\n\n".join(said) for part, said in words.items()}
    return chapter


def list_of(node: Node) -> tuple[Node | None, int]:
    """The clause whose list a clause is an item of, and how many lists deep; the clause itself and 0 where it is no item."""
    depth = 0
    at: Node | None = node
    while at is not None and at.label.form is AS_RELATIVE and not at.level:
        at = at.parent
        depth += 1
    return at, depth


def _inside(item: Item, stepped: Collection[Node]) -> str:
    """The blanks in front of the lines of an item of a list that is set in steps: its number, or its other words behind that."""
    root, depth = list_of(item.owner.node) if item.owner is not None else (None, 0)
    if root not in stepped or not depth or item.level:
        return ""
    return " " * (STEP * (depth if item.what is not What.OPENS else depth - 1) - (item.what is not What.OPENS))


def _lines(item: Item) -> tuple[list[str], str]:
    """The lines of an item, and what of them is text of its clause."""
    if item.what is What.TABLE and item.table is not None:
        found = table(item.table.rows, item.notes)
        return found, "\n".join(found)
    text = inline(item.passage.runs, item.notes) if item.passage is not None else ""
    if item.what is What.OPENS and item.owner is not None:
        return _opening(item, item.owner, _unbulleted(text))
    if item.what is What.HEADING:
        heading = f"{'#' * item.level} {one_line(text)}"
        return [heading], heading
    if item.what is What.NOTE:
        text = f"[^{item.why}]: {one_line(text)}"
        return wrapped(text), text
    text = paragraph(text)
    return wrapped(text), text


def _opening(item: Item, part: Part, text: str) -> tuple[list[str], str]:
    """The beginning of a clause: a heading, a paragraph, or its number in a heading and its words below."""
    text = one_line(text)
    if item.title is not None:
        text = f"{text} {one_line(inline(item.title.runs, item.notes))}"
    label = read_label(text, 0, IN_HEADING)
    said = label.carry + text[label.end :] if label is not None and label.core == part.node.label.core else text
    if part.alone:
        heading = f"{'#' * (part.level or DEEPEST)} {part.node.label.printed}"
        said = paragraph(said)
        return [heading, "", *wrapped(said)] if said else [heading], said
    if part.level:
        return [f"{'#' * part.level} {text}"], said
    return wrapped(text), said


def _unbulleted(text: str) -> str:
    return BULLET.sub("", text, count=1) if BULLET.match(text) else text


def one_line(text: str) -> str:
    """A text with every run of white space as one blank."""
    return fold(text)


def front_title(items: Sequence[Item]) -> str:
    """The title of a book; empty where there is none.

    It is the first heading in front of its first clause that names no contents page, or a first line that reads as a title.
    """
    for number, item in enumerate(items):
        if item.owner is not None or item.what is What.OPENS:
            break
        text = fold(item.passage.text) if item.passage else ""
        first_line = number == 0 and item.what is What.WORDS and is_title(text, 1)
        if text and (first_line or (item.what is What.HEADING and not NAME.match(text))):
            return text
    return ""
