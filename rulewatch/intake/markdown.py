"""A published Markdown file into a document: headings, numbered items, pipe tables, footnotes, marks of new and struck words.

Blocks are found as in our own chapters (indented text is never code), so that both read the same text alike.
"""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from rulewatch.intake.document import Block, Document, Kind, Spot
from rulewatch.intake.drafts import DEEPER, PLAIN, DraftBlock, DraftLine, Flow, finished
from rulewatch.intake.encoding import decoded, too_large
from rulewatch.intake.html import html_document
from rulewatch.intake.html_tables import LARGEST
from rulewatch.intake.markdown_inline import Inline
from rulewatch.intake.remarks import Remarks, Topic
from rulewatch.model.fault import Fault, Place
from rulewatch.parse.clause_blocks import Block as Piece
from rulewatch.parse.clause_blocks import read_blocks

MOST_LINES = 500_000
LONGEST_FRONT = 200  # lines of front matter
FRONT_KEY = re.compile(r"[A-Za-z_][\w-]*\s*:|\s|#|-\s|\Z")
REGION = re.compile(r"\s{0,3}<(table\b|script\b|style\b|nav\b|!--)", re.IGNORECASE)
FAILURES = 5  # searches for the end of a piece of HTML that may fail; then no more are made
LEADING = re.compile(r"[\s>]*")
DELIMITER = re.compile(r"\|?[ \t]*:?-+:?[ \t]*(?:\|[ \t]*:?-+:?[ \t]*)*\|?\Z")
CELL = re.compile(r"(?:\\.|[^|\\])*+", re.DOTALL)
NOTE = re.compile(r"\[\^([^\]\s]{1,20})\]:\s*")
DEFINITION = re.compile(r" {0,3}\[([^\]^\[]{1,200})\]:[ \t]*(<[^<>]*>|\S+)[ \t]*(?:\"[^\"]*\"|'[^']*'|\([^()]*\))?[ \t]*\Z")

FRONT = Topic(code="left-out", one="piece of front matter", many="pieces of front matter")
COMMENTS = Topic(code="left-out", one="comment", many="comments")


def read_markdown(data: bytes, path: str, stated: str = "") -> Document:
    """The document of a Markdown file. `stated` is its encoding, where a person knows it."""
    text, faults = decoded(data, path, stated)
    lines = text.split("\n")
    if len(lines) > MOST_LINES:
        fault = too_large(path, f"{len(lines):,} lines", f"at most {MOST_LINES:,}")
        return Document(blocks=(), faults=(*faults, fault))
    reader = _Reader(lines, path)
    blocks, more = reader.document()
    if not any(block.lines or block.rows for block in blocks) and not faults:
        faults = (Fault(code="book-empty", place=Place(path=path), found="no text in this file"),)
    return Document(blocks=blocks, faults=(*faults, *more))


class _Reader:
    """The lines of a file, and what is known of all of them."""

    def __init__(self, lines: Sequence[str], path: str) -> None:
        self.lines = list(lines)
        self.path = path
        self.remarks = Remarks(path)
        self.faults: list[Fault] = []
        self.inline = Inline(self.remarks, self.definitions())

    def definitions(self) -> dict[str, str]:
        """The addresses that links name, by their names; their lines are blanked."""
        found: dict[str, str] = {}
        for at, line in enumerate(self.lines):
            match = DEFINITION.match(line) if line.lstrip()[:1] == "[" else None
            if match:
                found.setdefault(match[1], match[2])
                self.lines[at] = ""
        return found

    def document(self) -> tuple[tuple[Block, ...], tuple[Fault, ...]]:
        """The blocks, and what is to be said of them."""
        made: list[tuple[int, Block]] = []
        for first, end, name in self.regions():
            if name == "!--":
                self.remarks.add(COMMENTS, first + 1, " ".join(self.lines[first:end])[:200])
            else:
                inner = html_document("\n".join(self.lines[first:end]), self.path, first + 1)
                self.faults += [fault for fault in inner.faults if fault.code != "book-empty"]
                made += [(block.spot.line, block) for block in inner.blocks]
            self.lines[first:end] = [""] * (end - first)
        self.front_matter()
        drafts = [draft for piece in read_blocks(self.lines) for draft in self.drafts(piece)]
        made += [(block.spot.line, block) for block in finished(drafts, self.remarks)]
        made.sort(key=lambda each: each[0])
        return tuple(block for _, block in made), (*self.remarks.warnings(), *self.faults)

    def regions(self) -> Iterator[tuple[int, int, str]]:
        """Pieces of HTML of several lines: tables, scripts, styles, navigation and comments, by first line and line behind."""
        at, failures = 0, 0
        while at < len(self.lines):
            match = REGION.match(self.lines[at])
            end = self.region_end(at, match[1].lower()) if match and failures < FAILURES else 0
            if match and end:
                yield at, end, match[1].lower()
            elif match:
                failures += 1
            at = max(end, at + 1)

    def region_end(self, first: int, name: str) -> int:
        """The line behind the end of a piece of HTML; 0 where it never ends."""
        if name == "!--":
            return next((at + 1 for at in range(first, len(self.lines)) if "-->" in self.lines[at]), 0)
        depth = 0
        for at in range(first, len(self.lines)):
            line = self.lines[at].lower()
            depth += line.count(f"<{name}") - line.count(f"</{name}")
            if depth <= 0:
                return at + 1
        return 0

    def front_matter(self) -> None:
        """Blank what stands about the file before its text, between lines of dashes."""
        if self.lines[0].rstrip() != "---":
            return
        for at, line in enumerate(self.lines[1:LONGEST_FRONT], start=1):
            if line.rstrip() in {"---", "..."}:
                self.remarks.add(FRONT, 1, "; ".join(filter(None, self.lines[1:at])))
                self.lines[: at + 1] = [""] * (at + 1)
                return
            if not FRONT_KEY.match(line):
                return

    def drafts(self, piece: Piece) -> list[DraftBlock]:
        """The blocks of one piece of Markdown."""
        flow = Flow()
        indent = DEEPER * (piece.column // 2) / 2
        self.labels(piece, flow)
        if piece.info is not None:
            flow.add(piece.content, PLAIN._replace(keep=True), Spot(line=piece.first + 2), indent)
            flow.end()
        elif piece.level:
            self.inline.read(piece.title, flow, Spot(line=piece.first + 1), indent)
            flow.end(level=piece.level)
        else:
            self.paragraph(piece, flow, indent)
        flow.flush_label(Spot(line=piece.first + 1))
        return flow.blocks

    def labels(self, piece: Piece, flow: Flow) -> None:
        """The numbers of the items that begin with a piece."""
        line = self.lines[piece.first]
        for column in piece.ordered:
            flow.flush_label(Spot(line=piece.first + 1))
            flow.label = line[column:].split(maxsplit=1)[0]

    def paragraph(self, piece: Piece, flow: Flow, indent: float) -> None:
        """A paragraph, a footnote, or a paragraph with a table behind it."""
        spot = Spot(line=piece.first + 1)
        lines = [line[LEADING.match(line).end() :] for line in self.lines[piece.first : piece.end]]  # type: ignore[union-attr] # always matches
        lines[0] = self.lines[piece.first][piece.start :]
        table = next((at for at in range(len(lines) - 1) if _heads_table(lines[at], lines[at + 1])), len(lines))
        note = NOTE.match(lines[0])
        if note:
            lines[0] = f"{note[1]} {lines[0][note.end() :]}"
        if table:
            self.inline.read("\n".join(line.rstrip() for line in lines[:table]), flow, spot, indent)
            flow.end(kind=Kind.NOTE if note else Kind.TEXT)
        if table < len(lines):
            flow.blocks.append(self.table(lines[table:], piece.first + table + 1))

    def table(self, lines: Sequence[str], first: int) -> DraftBlock:
        """A pipe table: its head, the line of dashes, its rows, all as long as the longest."""
        numbered = [(first + at, line) for at, line in enumerate(lines) if at != 1]
        rows = [[self.cell(text, number) for text in _cells(line)] for number, line in numbered]
        width = max(map(len, rows))
        for row in rows if width * len(rows) <= LARGEST else ():
            row += [[] for _ in range(width - len(row))]
        return DraftBlock(kind=Kind.TABLE, spot=Spot(line=first), rows=rows)

    def cell(self, text: str, number: int) -> list[DraftLine]:
        """The lines of a cell."""
        flow = Flow()
        self.inline.read(text, flow, Spot(line=number), 0.0)
        flow.end()
        return [line for block in flow.blocks for line in block.lines]


def _heads_table(line: str, below: str) -> bool:
    """Whether a line is the head of a pipe table, by the line below it."""
    return "|" in line and "|" in below and bool(DELIMITER.match(below.strip())) and len(_cells(line)) == len(_cells(below))


def _cells(line: str) -> list[str]:
    """The cells of a row of a pipe table; a bar behind a backslash is a sign like any other."""
    line = line.strip()
    line = line.removeprefix("|")
    parts, at = [], 0
    while at <= len(line):
        match = CELL.match(line, at)
        end = match.end() if match else at
        if line[end : end + 1] == "\\":  # the last sign of all
            end = len(line)
        parts.append(line[at:end].replace("\\|", "|").strip())
        at = end + 1
    return parts[:-1] if len(parts) > 1 and not parts[-1] and line.endswith("|") else parts
