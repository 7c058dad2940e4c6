"""A published book taken in: from its bytes to the files of a new edition, with the readings of the season before in them.

    bytes → document (a reader for each format) → chapters of clauses (structure) → readings carried over → files, all or none

Nothing that is there is ever replaced, and nothing is written where something is wrong.
"""

from __future__ import annotations

import json
import re
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from rulewatch.carrying import carry
from rulewatch.intake.document import Document
from rulewatch.intake.numbering_style import parse_numbering
from rulewatch.intake.readers import read_book
from rulewatch.intake.structure import Structured, structure
from rulewatch.model.clause import natural_order
from rulewatch.model.edition import Point
from rulewatch.model.fault import Fault, Place, Source, in_order
from rulewatch.model.result import Result
from rulewatch.model.step import Carriage
from rulewatch.model.taken_in import DoubtfulEntry, LabelStyle, TakenChapter, TakenIn, Wish
from rulewatch.parse.clauses import parse_book
from rulewatch.parse.points import NAME_SIGNS, is_name
from rulewatch.store.folder import FolderTree
from rulewatch.store.published import read_published
from rulewatch.store.tree import shown
from rulewatch.store.writing import write_folder
from rulewatch.workspace import RULESETS, Workspace

YEAR = re.compile(r"(?:19|20)\d\d")
KEPT_KEYS = ("classes", "closed", "tolerance")  # what an edition.yaml says of its book, and the next book may say too
SHOWN_WORDS = 10

Progress = Callable[[str, int, int], None]  # the file, pages read, pages in all


@dataclass(frozen=True, slots=True, kw_only=True)
class Book:
    """What was read of the published files, by their names, in their order."""

    names: tuple[str, ...]
    documents: tuple[Document, ...]

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What the readers had to say."""
        return tuple(fault for document in self.documents for fault in document.faults)


def take_in(root: Path, files: Sequence[Path], wish: Wish, *, progress: Progress | None = None) -> Result[TakenIn]:
    """Make a new edition of the files of a published book, and carry the readings of the season before into it.

    Faults: those of the readers, bad-numbering, no-clauses, edition-there, previous-missing, edition-undated, those of the
    previous edition, file-unwritable. With any that is more than a warning nothing is written.
    """
    workspace = Workspace(FolderTree(root))
    numbering = parse_numbering(wish.numbering)
    faults = [*_asked(workspace, wish), *([numbering] if isinstance(numbering, Fault) else [])]
    if faults or isinstance(numbering, Fault):
        return Result(value=None, faults=in_order((*faults, *workspace.faults)))
    book = read(files, progress)
    if any(not fault.warning for fault in book.faults):
        return Result(value=None, faults=in_order(book.faults))
    found = structure(book.documents, numbering)
    if not found.clauses:
        remedy = "look whether it is a rule book; if it is, give labels as it prints them: --numbering '4.2.1, (a)'"
        fault = Fault(code="no-clauses", place=Place(path=book.names[0]), found="no clause in the whole book", remedy=remedy)
        return Result(value=None, faults=in_order((*book.faults, fault)))
    season = _Season(workspace=workspace, wish=wish, book=found)
    sources, carriage = season.carried()
    warnings = (*book.faults, *_joined(found, book.names[0]))
    wrong = tuple(fault for fault in workspace.faults if not fault.warning)
    if not wrong and not wish.dry:
        unwritten = _write(root, season.files(sources), wish, workspace)
        wrong = (unwritten,) if unwritten is not None else ()
    value = replace(season.taken(sources, book), carriage=carriage)
    return Result(value=None if wrong else value, faults=in_order((*warnings, *wrong)))


def read(files: Sequence[Path], progress: Progress | None = None) -> Book:
    """Read the files of a book, each by the reader of its format; one that cannot be read has its fault for all that it says."""
    documents = []
    for file in files:
        data = read_published(file)
        name = shown(str(file))
        if isinstance(data, Fault):
            documents.append(Document(blocks=(), faults=(data,)))
            continue
        tell = _told(name, progress) if progress is not None else None
        documents.append(read_book(data, name, progress=tell))
    return Book(names=tuple(shown(str(file)) for file in files), documents=tuple(documents))


def _told(name: str, progress: Progress) -> Callable[[int, int], None]:
    return lambda done, pages: progress(name, done, pages)


# --- What is asked ----------------------------------------------------------------------------------------------------


def _asked(workspace: Workspace, wish: Wish) -> Iterator[Fault]:
    """What is wrong with where the book is to go."""
    at = Place(path="intake")
    for name in (wish.body, wish.season):
        if not is_name(name):
            yield Fault(code="name-unsafe", place=at, found=f"the name `{name}`", expected=NAME_SIGNS)
            return
    there = Place(path=f"{RULESETS}/{wish.body}/{wish.season}")
    if workspace.tree.exists(there.path):
        remedy = "name another season, or move that folder away first"
        yield Fault(code="edition-there", place=there, found=f"{wish.body}/{wish.season} is there already", remedy=remedy)
    if wish.body not in workspace.bodies and workspace.tree.exists(f"{RULESETS}/{wish.body}"):
        found = f"a folder of {wish.body} without its body.yaml"
        yield Fault(code="file-missing", place=Place(path=f"{RULESETS}/{wish.body}/body.yaml"), found=found, remedy="write it")
    if wish.previous and wish.previous not in workspace.seasons(wish.body):
        known = ", ".join(workspace.seasons(wish.body)) or "none"
        found = f"{wish.body} has no season `{wish.previous}`"
        yield Fault(code="previous-missing", place=at, found=found, expected=f"one of: {known}")
    if not (wish.published or wish.effective or YEAR.search(wish.season)):
        found = f"neither a date nor a year in the name of the season {wish.season}"
        yield Fault(code="edition-undated", place=at, found=found, remedy="say when it holds: --effective 2027-01-01")


# --- The season -------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class _Season:
    """The new edition in the making."""

    workspace: Workspace
    wish: Wish
    book: Structured

    @property
    def folder(self) -> str:
        """Where its files go."""
        return f"{RULESETS}/{self.wish.body}/{self.wish.season}"

    @property
    def point(self) -> Point:
        """The new edition's own."""
        return Point(body=self.wish.body, season=self.wish.season)

    @property
    def title(self) -> str:
        """As a person states it, else as the book prints it."""
        return self.wish.title or self.book.title or f"Rules {self.wish.season}"

    @property
    def previous(self) -> str:
        """The season before: as stated, else the latest that is earlier; empty where there is none."""
        if self.wish.previous or self.wish.body not in self.workspace.bodies:
            return self.wish.previous
        own = natural_order(self.wish.season)
        return max(
            (one for one in self.workspace.seasons(self.wish.body) if natural_order(one) < own), key=natural_order, default=""
        )

    def carried(self) -> tuple[tuple[Source, ...], Carriage | None]:
        """The chapters, with the readings of the season before under their clauses."""
        sources = tuple(Source(path=f"{self.folder}/{one.name}", text=one.text) for one in self.book.chapters)
        if not self.previous:
            return sources, None
        old = Point(body=self.wish.body, season=self.previous)
        edition = self.workspace.edition(old)
        if edition is None:
            return sources, None
        found = carry(edition, self.workspace.sources, sources)
        texts = tuple(replace(source, text=found.chapters.get(source.path, source.text)) for source in sources)
        return texts, Carriage(old=old, new=self.point, carried=found, written=tuple(found.chapters))

    def files(self, sources: Sequence[Source]) -> dict[str, bytes]:
        """The files of the edition, by their names in its folder."""
        chapters = {source.path.removeprefix(f"{self.folder}/"): source.text.encode() for source in sources}
        return {"edition.yaml": self.header().encode(), **chapters}

    def header(self) -> str:
        """The text of edition.yaml, with what the season before said of its book as comments."""
        wish = self.wish
        lines = [f"title: {json.dumps(self.title, ensure_ascii=False)}"]
        lines += [f"published: {wish.published}"] if wish.published else []
        lines += [f"effective: {wish.effective}"] if wish.effective else []
        lines += [f"previous: {json.dumps(self.previous)}"] if self.previous else []
        kept = list(self._kept())
        if kept:
            lines += ["", f"# {self.previous} said this of its book. Take the signs away from what still holds.", *kept]
        return "\n".join([*lines, ""])

    def _kept(self) -> Iterator[str]:
        source = self.workspace.sources.get(f"{RULESETS}/{self.wish.body}/{self.previous}/edition.yaml")
        keeping = False
        for line in source.lines if source is not None and self.previous else ():
            if line[:1].strip() and not line.startswith("#"):
                keeping = line.partition(":")[0].strip() in KEPT_KEYS
            if keeping and line.strip() and not line.startswith("#"):
                yield f"# {line}"

    def taken(self, sources: Sequence[Source], book: Book) -> TakenIn:
        """What came of it, for people."""
        read_back = parse_book(sources)
        counts: dict[str, int] = {}
        for clause in read_back.clauses:
            counts[clause.place.path] = counts.get(clause.place.path, 0) + 1
        new_body = self.wish.body not in self.workspace.bodies
        names = ["edition.yaml", *(source.path.removeprefix(f"{self.folder}/") for source in sources)]
        return TakenIn(
            point=self.point,
            title=self.title,
            files=(
                *([f"{RULESETS}/{self.wish.body}/body.yaml"] if new_body else []),
                *(f"{self.folder}/{name}" for name in names),
            ),
            chapters=tuple(
                TakenChapter(path=source.path, title=chapter.title, clauses=counts.get(source.path, 0))
                for source, chapter in zip(sources, self.book.chapters, strict=True)
            ),
            styles=tuple(LabelStyle(example=style.example, clauses=style.clauses) for style in self.book.styles),
            doubts=tuple(self._doubts(sources, book.names)),
            pages=sum(document.pages for document in book.documents),
            contents=sum(len(contents.entries) for contents in self.book.contents),
            tables=self.book.tables,
            notes=self.book.notes,
            struck=self.book.struck,
            inserted=self.book.inserted,
            made_body=new_body,
            dry=self.wish.dry,
        )

    def _doubts(self, sources: Sequence[Source], names: Sequence[str]) -> Iterator[DoubtfulEntry]:
        """The doubtful places, where they stand now that readings are between the clauses."""
        marked = [doubt for chapter in self.book.chapters for doubt in chapter.doubts]
        for doubt, found in zip(marked, parse_book(sources).doubts, strict=True):
            yield DoubtfulEntry(
                path=found.place.path,
                line=found.place.line,
                clause=found.clause,
                book=names[doubt.file],
                page=doubt.spot.page,
                book_line=doubt.spot.line,
                why=doubt.why,
            )


def _joined(book: Structured, name: str) -> Iterator[Fault]:
    if book.joined:
        words = ", ".join(book.joined[:SHOWN_WORDS]) + (", …" if len(book.joined) > SHOWN_WORDS else "")
        count = len(book.joined)
        found = f"{count} words were" if count > 1 else "1 word was"
        yield Fault(
            code="joined-words",
            place=Place(path=name),
            found=f"{found} parted at line ends and nowhere else in the book: {words}",
            remedy="look whether they have a hyphen",
            warning=True,
        )


# --- Writing ----------------------------------------------------------------------------------------------------------


def _write(root: Path, files: Mapping[str, bytes], wish: Wish, workspace: Workspace) -> Fault | None:
    """Write the edition, and its body where that is new, all at once."""
    body = root / RULESETS / wish.body
    if wish.body in workspace.bodies:
        return write_folder(body / wish.season, files)
    return write_folder(
        body, {"body.yaml": _new_body(wish.body), **{f"{wish.season}/{name}": data for name, data in files.items()}}
    )


def _new_body(body: str) -> bytes:
    """A body.yaml of which only the form is right."""
    return (
        f"# Made by intake, which cannot know more: write its name, and its classes by short name and title.\n"
        f"name: {json.dumps(body, ensure_ascii=False)}\nclasses:\n  all: All cars\n"
    ).encode()
