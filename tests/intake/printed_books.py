"""The producers of `made_books`: the same book printed by a browser and by a drawing library."""

from __future__ import annotations

import html
import io
import shutil
import subprocess
import tempfile
from collections.abc import Iterator
from pathlib import Path

from made_books import INSERTED, STRUCK, Book, Clause, Note, Piece, Table

CHROMIUM = shutil.which("chromium") or shutil.which("chromium-browser") or shutil.which("google-chrome")

STYLE = """
@page { size: A4; margin: 22mm 20mm 24mm; @bottom-center { content: "%(foot)s – page " counter(page); font: 8pt serif } }
@page :right { @top-left { content: "%(head)s"; font: 8pt serif } }
@page :left { @top-right { content: "%(title)s"; font: 8pt serif } }
@page :first { @top-left { content: none } @bottom-center { content: none } }
body { font: %(size)spt/1.35 "DejaVu Serif", serif; text-align: %(align)s; margin: 0; hyphens: manual }
h1 { font-size: 20pt; margin-top: 80mm; text-align: left }
h2 { font-size: 15pt; break-before: page; column-span: all; text-align: left }
h3 { font-size: 11pt; margin: 12pt 0 4pt; text-align: left; break-after: avoid }
p { margin: 0 0 5pt } p.item { margin-left: 18pt; text-indent: -18pt }
p.toc { display: flex; margin: 0; text-align: left } p.toc i { flex: 1; overflow: hidden; white-space: nowrap; height: 1.35em }
main { columns: %(columns)s; column-gap: 8mm; column-fill: auto }
table { border-collapse: collapse; margin: 6pt 0; text-align: left } td, th { padding: 2pt 6pt } .ruled td, .ruled th { border: 0.6pt solid #333 }
thead { display: table-header-group } tr { break-inside: avoid }
sup { font-size: 65%%; line-height: 0 } .notes { border-top: 0.5pt solid #000; font-size: 7pt; margin-top: 12pt; padding-top: 3pt }
.notes p { margin: 0 } ins { %(ins)s } del { %(del)s }
"""


def by_chromium(book: Book) -> bytes:
    """The book as the browser prints it; `CHROMIUM` must not be None. Footnotes stand small at the end of their chapter."""
    assert CHROMIUM
    with tempfile.TemporaryDirectory() as folder:
        page = Path(folder, "book.html")
        page.write_text(as_html(book), encoding="utf-8")
        printed = Path(folder, "book.pdf")
        call = [CHROMIUM, "--headless", "--no-sandbox", "--disable-gpu", f"--user-data-dir={folder}/profile"]
        call += ["--no-pdf-header-footer", f"--print-to-pdf={printed}", page.as_uri()]
        subprocess.run(call, check=True, capture_output=True, timeout=180)
        return printed.read_bytes()


def as_html(book: Book) -> str:
    """The book as a page for the browser."""
    looks = {
        "foot": book.foot,
        "head": book.head,
        "title": book.title,
        "columns": book.columns,
        "size": 10 if book.columns == 1 else 9,
        "align": "left" if book.columns == 1 else "justify",
        "ins": "color: #0033cc; text-decoration: none" if book.colours else "text-decoration: underline",
        "del": "color: #cc0000; text-decoration: line-through" if book.colours else "text-decoration: line-through",
    }
    dots = " ." * 200
    parts = [f"<h1>{_safe(book.title)}</h1>", "<h2>Contents</h2>"]
    parts += [
        f"<p class=toc><span>{_safe(number)} {_safe(heading)}</span><i>{dots}</i><span>{page}</span></p>"
        for number, heading, page in book.contents
    ]
    for chapter in book.chapters:
        parts.append(f"<h2>{_safe(chapter.title)}</h2><main>")
        parts += [_clause_html(clause) for clause in chapter.clauses[1:]]
        notes = [clause.note for clause in chapter.clauses if clause.note]
        if notes:
            shown = "".join(f"<p><sup>{note.sign}</sup> {_safe(note.text)}</p>" for note in notes)
            parts.append(f"<div class=notes>{shown}</div>")
        parts.append("</main>")
    return f"<!doctype html><html lang=en><meta charset=utf-8><title>Rules</title><style>{STYLE % looks}</style>{''.join(parts)}</html>"


def _clause_html(clause: Clause) -> str:
    tags = {STRUCK: "del", INSERTED: "ins"}
    words = " ".join(f"<{tags[p.mark]}>{_safe(p.text)}</{tags[p.mark]}>" if p.mark else _safe(p.text) for p in clause.pieces)
    if clause.note:
        words += f"<sup>{clause.note.sign}</sup>"
    if clause.level == 2:
        made = f"<h3>{clause.number} {_safe(clause.heading)}</h3><p>{words}</p>"
    else:
        made = f"<p class={'item' if clause.level == 4 else 'text'}>{clause.number} {words}</p>"
    if clause.table:
        head, *body = (
            "".join(f"<{tag}>{_safe(cell)}</{tag}>" for cell in row)
            for row, tag in zip(clause.table.rows, ["th", *["td"] * len(clause.table.rows)], strict=False)
        )
        rows = "".join(f"<tr>{row}</tr>" for row in body)
        made += f"<table class={'ruled' if clause.table.ruled else 'open'}><thead><tr>{head}</tr></thead><tbody>{rows}</tbody></table>"
    return made


def _safe(text: str) -> str:
    return html.escape(text).replace("|", "&shy;")


def by_reportlab(book: Book) -> bytes:
    """The book drawn line by line: heads that alternate, footnotes at the foot of their column, broken and justified lines."""
    return _Press(book).print()


class _Press:
    """Sets a book line by line. Lengths are in points, from the top of the page."""

    WIDTH, HEIGHT = 595.0, 842.0
    TOP, BOTTOM, SIDE, GUTTER = 72.0, 76.0, 58.0, 20.0

    def __init__(self, book: Book) -> None:
        from reportlab.pdfgen.canvas import Canvas

        self.book = book
        self.out = io.BytesIO()
        self.canvas = Canvas(self.out, pagesize=(self.WIDTH, self.HEIGHT), invariant=1)
        self.size = 10.0 if book.columns == 1 else 9.0
        self.leading = self.size * 1.25
        self.columns = book.columns
        self.column = 0
        self.page = 1
        self.top = self.y = self.TOP
        self.notes: list[tuple[Note, list[list[tuple[str, str]]]]] = []
        self.running = ""

    def print(self) -> bytes:
        """The whole book."""
        book = self.book
        self.columns = 1
        self.y = 260
        self.block([Piece(text=book.title)], size=20, bold=True, justify=False)
        self.turn("")
        self.block([Piece(text="Contents")], size=15, bold=True)
        for number, heading, page in book.contents:
            self.contents_line(f"{number} {heading}", str(page))
        for chapter in book.chapters:
            self.turn(chapter.title)
            self.columns = 1
            self.block([Piece(text=chapter.title)], size=15, bold=True)
            self.columns = book.columns
            self.y += 14
            self.top = self.y
            for clause in chapter.clauses[1:]:
                self.clause(clause)
        self.finish()
        self.canvas.save()
        return self.out.getvalue()

    def clause(self, clause: Clause) -> None:
        """One clause with its note and table."""
        if clause.level == 2:
            self.need(3 * self.leading + 16)
            self.y += 8
            self.block([Piece(text=f"{clause.number} {clause.heading}")], size=self.size + 1.5, bold=True)
            self.y += 2
            self.block(list(clause.pieces))
        else:
            first = Piece(text=clause.number)
            indent = 18 if clause.level == 4 else 0
            self.block([first, *clause.pieces], indent=indent, note=clause.note)
        self.y += 5
        if clause.table:
            self.table(clause.table)

    # Columns and pages

    @property
    def measure(self) -> float:
        return (self.WIDTH - 2 * self.SIDE - (self.columns - 1) * self.GUTTER) / self.columns

    @property
    def left(self) -> float:
        return self.SIDE + self.column * (self.measure + self.GUTTER)

    @property
    def floor(self) -> float:
        lines = sum(len(set_) for _, set_ in self.notes)
        return self.HEIGHT - self.BOTTOM - (lines * 8.5 + 12 if lines else 0)

    def need(self, height: float) -> None:
        """Go on in the next column or page where that height does not fit."""
        if self.y + height > self.floor:
            self.foot_notes()
            if self.column + 1 < self.columns:
                self.column += 1
                self.y = self.top
            else:
                self.turn(self.running)

    def turn(self, running: str) -> None:
        """A new page under a running head."""
        self.finish()
        self.canvas.showPage()
        self.page += 1
        self.column, self.running = 0, running
        self.top = self.y = self.TOP

    def finish(self) -> None:
        """What stands at the head and foot of a page."""
        self.foot_notes()
        if self.page == 1:
            return
        left = self.page % 2 == 0
        canvas = self.canvas
        canvas.setFillColorRGB(0, 0, 0)
        canvas.setFont("Times-Italic", 8)
        head = self.running if left else self.book.head
        y = self.HEIGHT - 40
        if left:
            canvas.drawString(self.SIDE, y, head or self.book.title)
            canvas.drawString(self.SIDE, 36, str(self.page))
        else:
            canvas.drawRightString(self.WIDTH - self.SIDE, y, head)
            canvas.drawRightString(self.WIDTH - self.SIDE, 36, str(self.page))
        canvas.drawCentredString(self.WIDTH / 2, 36, self.book.foot)
        canvas.setLineWidth(0.4)
        canvas.line(self.SIDE, y - 4, self.WIDTH - self.SIDE, y - 4)

    def foot_notes(self) -> None:
        """The notes of this column, under a short rule at its foot."""
        if not self.notes:
            return
        y = self.floor + 8
        self.canvas.setLineWidth(0.4)
        self.canvas.line(self.left, self.HEIGHT - y, self.left + 60, self.HEIGHT - y)
        for note, lines in self.notes:
            for n, line in enumerate(lines):
                y += 8.5
                if n == 0:
                    self.draw(note.sign, "Times-Roman", 5, self.left, y - 2)
                self.draw(" ".join(word for word, _ in line), "Times-Roman", 7, self.left + 6, y)
        self.notes = []

    # Lines

    def block(
        self,
        pieces: list[Piece],
        *,
        size: float = 0,
        bold: bool = False,
        indent: float = 0,
        note: Note | None = None,
        justify: bool = True,
    ) -> None:
        """A paragraph; `indent` is that of its lines after the first."""
        size = size or self.size
        font = "Times-Bold" if bold else "Times-Roman"
        words = [(word, piece.mark) for piece in pieces for word in piece.text.split()]
        lines = self.broken(words, font, size, self.measure, indent)
        for n, line in enumerate(lines):
            self.need(size * 1.25)
            last = n + 1 == len(lines)
            if last and note:
                set_ = self.broken([(word, "") for word in note.text.split()], "Times-Roman", 7, self.measure - 8, 0)
                if self.y + size * 1.25 + len(set_) * 8.5 + 12 > self.floor:
                    self.need(self.HEIGHT)
                self.notes.append((note, set_))
            self.y += size * 1.25
            x = self.left + (indent if n else 0)
            full = justify and not last and self.columns > 1
            end = self.words(line, font, size, x, self.left + self.measure - x if full else 0)
            if last and note:
                self.draw(note.sign, font, size * 0.6, end, self.y - size * 0.35)

    def broken(
        self, words: list[tuple[str, str]], font: str, size: float, measure: float, indent: float
    ) -> list[list[tuple[str, str]]]:
        """Words into lines; one that may be broken is, with a hyphen."""
        lines: list[list[tuple[str, str]]] = [[]]
        room = measure
        for word, mark in words:
            for part, more in self.fitting(word, font, size, room, measure - indent):
                lines[-1].append((part, mark))
                room -= self.wide(part, font, size) + self.wide(" ", font, size)
                if more:
                    lines.append([])
                    room = measure - indent
        return [line for line in lines if line]

    def fitting(self, word: str, font: str, size: float, room: float, whole: float) -> Iterator[tuple[str, bool]]:
        """A word in one or two parts; True where a line ends behind a part."""
        plain = word.replace("|", "")
        if self.wide(plain, font, size) <= room:
            yield plain, False
            return
        parts = word.split("|")
        for n in range(len(parts) - 1, 0, -1):
            start = "".join(parts[:n])
            start += "" if start.endswith("-") else "-"
            if len(start) > 3 and self.wide(start, font, size) <= room:
                yield start, True
                yield from self.fitting("|".join(parts[n:]), font, size, whole, whole)
                return
        yield "", True
        yield plain, False

    def words(self, line: list[tuple[str, str]], font: str, size: float, x: float, measure: float) -> float:
        """Draw a line from x, stretched to a measure; with the lines of its marks. Gives where it ends."""
        line = [(word, mark) for word, mark in line if word]
        space = self.wide(" ", font, size)
        natural = sum(self.wide(word, font, size) for word, _ in line) + space * (len(line) - 1)
        if measure and len(line) > 1:
            space += (measure - natural) / (len(line) - 1)
        for n, (word, mark) in enumerate(line):
            joined = n + 1 < len(line) and line[n + 1][1] == mark
            width = self.wide(word, font, size)
            self.mark(mark, x, width + (space if joined else 0), size)
            # Words of a stretched line are placed one by one, without a space between them.
            self.draw(word if measure or n + 1 == len(line) else word + " ", font, size, x, self.y)
            x += width + space
        self.canvas.setFillColorRGB(0, 0, 0)
        return x - space

    def mark(self, mark: str, x: float, width: float, size: float) -> None:
        """Set the colour of a mark's words and draw its line."""
        canvas, y = self.canvas, self.HEIGHT - self.y
        colour = {STRUCK: (0.8, 0, 0), INSERTED: (0, 0.2, 0.8)}.get(mark, (0, 0, 0)) if self.book.colours else (0, 0, 0)
        canvas.setFillColorRGB(*colour)
        canvas.setStrokeColorRGB(*colour)
        canvas.setLineWidth(size * 0.06)
        if mark == STRUCK:
            canvas.line(x, y + size * 0.26, x + width, y + size * 0.26)
        elif mark == INSERTED and not self.book.colours:
            canvas.line(x, y - size * 0.12, x + width, y - size * 0.12)
        canvas.setStrokeColorRGB(0, 0, 0)

    def draw(self, text: str, font: str, size: float, x: float, y: float) -> None:
        self.canvas.setFont(font, size)
        self.canvas.drawString(x, self.HEIGHT - y, text)

    @staticmethod
    def wide(text: str, font: str, size: float) -> float:
        from reportlab.pdfbase.pdfmetrics import stringWidth

        return float(stringWidth(text, font, size))

    def contents_line(self, text: str, page: str) -> None:
        """A line of the contents page with its leader."""
        self.need(self.leading)
        self.y += self.leading
        right = self.WIDTH - self.SIDE
        self.draw(text, "Times-Roman", self.size, self.SIDE, self.y)
        start = self.SIDE + self.wide(text, "Times-Roman", self.size) + 4
        dots = int((right - 20 - start) / self.wide(". ", "Times-Roman", self.size))
        self.draw(". " * dots, "Times-Roman", self.size, start, self.y)
        self.draw(page, "Times-Roman", self.size, right - self.wide(page, "Times-Roman", self.size), self.y)

    # Tables

    def table(self, table: Table) -> None:
        """A table; its head is drawn again where it goes on in another column."""
        widths = [0.15, 0.45, 0.25, 0.15]
        edges = [self.measure * sum(widths[:n]) for n in range(len(widths) + 1)]
        height = self.leading + 3
        self.need(3 * height)
        head, *body = table.rows
        self.row(head, edges, height, bold=True, ruled=table.ruled)
        for row in body:
            if self.y + height > self.floor:
                self.need(height)
                self.row(head, edges, height, bold=True, ruled=table.ruled)
            self.row(row, edges, height, bold=False, ruled=table.ruled)
        self.y += 10

    def row(self, cells: tuple[str, ...], edges: list[float], height: float, *, bold: bool, ruled: bool) -> None:
        top, bottom = self.HEIGHT - self.y, self.HEIGHT - self.y - height
        self.y += height
        for cell, edge in zip(cells, edges, strict=False):
            self.draw(cell, "Times-Bold" if bold else "Times-Roman", self.size - 1, self.left + edge + 3, self.y - 4)
        if ruled:
            self.canvas.setLineWidth(0.5)
            for y in (top, bottom):
                self.canvas.line(self.left, y, self.left + edges[-1], y)
            for edge in edges:
                self.canvas.line(self.left + edge, bottom, self.left + edge, top)
