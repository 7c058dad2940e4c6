"""Faults: what is wrong with an input, and where, as values.

An expected fault is never an exception. A parser goes on after one, so that a run reports every fault at once.
"""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from functools import cached_property


@dataclass(frozen=True, slots=True, kw_only=True, order=True)
class Place:
    """A place in a file. Lines and columns count from 1; line 0 means the file as a whole."""

    path: str
    line: int = 0
    column: int = 0

    def __str__(self) -> str:
        """`path:line:column`, shortened where a part is not known."""
        parts = [self.path, *(str(n) for n in (self.line, self.column) if n)]
        return ":".join(parts)


@dataclass(frozen=True, slots=True, kw_only=True)
class Fault:
    """One thing that is wrong: what was found, what was expected, and what to do about it.

    `code` is one of `CODES`; `line_text` is the source line, shown with a caret under `place.column`. A warning does not
    make the input unusable.
    """

    code: str
    place: Place
    found: str
    expected: str = ""
    remedy: str = ""
    line_text: str = field(default="", compare=False)
    warning: bool = False

    @property
    def message(self) -> str:
        """What was found, what was expected; what to do: one line without the place."""
        text = self.found
        if self.expected:
            text += f", expected {self.expected}"
        if self.remedy:
            text += f"; {self.remedy}"
        return text

    def __str__(self) -> str:
        """`path:line:column: CODE message`, then the source line and a caret where they are known."""
        head = f"{self.place}: {self.code} {self.message}"
        if not self.line_text:
            return head
        shown, caret = window(self.line_text, self.place.column)
        return f"{head}\n    {shown}\n    {caret}"


def window(line: str, column: int, width: int = 100) -> tuple[str, str]:
    """Cut a long source line around a column; give the shown part and the line with the caret under it."""
    start = 0 if len(line) <= width else max(0, min(column - width // 2, len(line) - width))
    shown = line[start : start + width].replace("\t", " ")
    return shown, " " * max(column - 1 - start, 0) + "^"


@dataclass(frozen=True, kw_only=True)
class Source:
    """A text and the path it came from; what parsers take instead of a file.

    Not slotted: the lines are split once, on first use.
    """

    path: str
    text: str

    @cached_property
    def lines(self) -> tuple[str, ...]:
        """The text's lines, split at line feeds only, so that numbers agree with every editor."""
        return tuple(line.removesuffix("\r") for line in self.text.split("\n"))

    def place(self, line: int, column: int = 1) -> Place:
        """A place in this text."""
        return Place(path=self.path, line=line, column=column)

    def fault(
        self, code: str, line: int, column: int, found: str, *, expected: str = "", remedy: str = "", warning: bool = False
    ) -> Fault:
        """A fault at a line and column of this text, with its source line."""
        text = self.lines[line - 1] if 0 < line <= len(self.lines) else ""
        return Fault(
            code=code,
            place=self.place(line, column),
            found=found,
            expected=expected,
            remedy=remedy,
            line_text=text,
            warning=warning,
        )


def in_order(faults: Iterable[Fault]) -> tuple[Fault, ...]:
    """Faults without repeats, by file and place."""
    return tuple(sorted(dict.fromkeys(faults), key=lambda f: (f.place, f.code, f.found)))


def with_lines(faults: Iterable[Fault], sources: Iterable[Source]) -> tuple[Fault, ...]:
    """The same faults, with the source line of those that know only their place."""
    lines = {source.path: source.lines for source in sources}
    return tuple(
        replace(fault, line_text=lines[fault.place.path][fault.place.line - 1])
        if not fault.line_text and 0 < fault.place.line <= len(lines.get(fault.place.path, ()))
        else fault
        for fault in faults
    )


CODES: dict[str, str] = {
    # Files
    "file-missing": "A file or folder that something refers to is not there.",
    "file-unreadable": "The file could not be read from disk.",
    "file-too-large": "A text file is larger than the bound (20 MB); a rule book in text is far smaller.",
    "not-utf8": "The file is not UTF-8 text.",
    "file-unwritable": "A file or folder could not be written, or something that was not made here is in the way.",
    "edit-failed": "Something could not be added to a file without touching what a person wrote; nothing was written.",
    "stale-decision": "A clause or its reading was changed after it was shown; nothing was written.",
    "nothing-to-take": "A clause has no reading to keep, nothing proposed or suggested to take, or has its question already.",
    "file-unused": "A text file in rulesets or cars that nothing reads, because of its name or place.",
    "unknown-track": "An event names a track that has no file under rulesets/tracks.",
    "edition-undated": "An edition without any date: no entry can be judged by it.",
    "name-unsafe": "A name leads out of the workspace, or is not usable as a file name.",
    # YAML
    "yaml-syntax": "The YAML does not parse.",
    "yaml-alias": "YAML anchors, aliases, tags and merge keys are not used here.",
    "yaml-depth": "The YAML is nested deeper than any of our formats.",
    "duplicate-key": "A key stands twice in one mapping.",
    "unknown-key": "A key that the format does not know.",
    "missing-key": "A key that the format needs is not there.",
    "decimal-comma": "YAML takes the decimal point only; a comma separates values.",
    "wrong-type": "A mapping, list or scalar stands where another was expected.",
    "wrong-value": "A value that the format does not allow here.",
    "bad-date": "Not a date of the form YYYY-MM-DD.",
    # Quantities
    "bad-amount": "Not a number with a unit.",
    "unit-missing": "A number without a unit, for a quantity that has one.",
    "unit-unknown": "A unit that is not known.",
    "wrong-dimension": "The unit measures something else than the quantity.",
    "unknown-quantity": "A quantity or component that is not in the vocabulary.",
    "name-taken": "A name that the vocabulary has already; a workspace adds to it and redefines nothing.",
    # Rule text
    "duplicate-clause": "A clause number is used twice in one edition.",
    "unknown-clause": "A clause number that the edition does not have.",
    "clause-of-several": "Several bodies have a clause of that number; the call must name one.",
    "reading-misplaced": "A reading that does not stand under a clause.",
    "reading-contradicts-text": "A number of the reading does not occur in its clause's text.",
    "number-not-used": "A number with a unit in a clause's text is neither used nor noted by its reading.",
    "unknown-class": "A class that the edition does not have.",
    "reading-misspelt": "A fenced block whose mark is nearly the word `reading`.",
    "reading-unclosed": "A reading block without a closing fence; it would swallow the clauses behind it.",
    "text-outside": "Text that stands under no clause number; it is not compared.",
    "hidden-character": "A character that does not show: of no width, or one that turns the direction of writing.",
    "raw-html": "HTML in rule text stays text and is not passed on.",
    "unsafe-link": "A link that is neither http(s), mailto nor an anchor; it stays text.",
    # Published books
    "book-damaged": "A published book that does not open, is cut off, or is not of the format that its name says.",
    "book-encrypted": "A published book that opens only with a password.",
    "book-too-large": "A published book beyond the bounds of what is read: size, pages, what it unpacks to, what it holds.",
    "book-scanned": "A published book of pictures of its pages, without text.",
    "page-unread": "A page that is damaged, or holds more than the bounds allow; what stands on it is missing.",
    "page-without-text": "A page that shows something but holds no text.",
    "picture": "A picture or drawing, which was not read; a person must look at it.",
    "text-hidden": "Text that a page holds but does not show, or shows sideways in a margin; it was left out.",
    "book-kind": "A file of a kind that is not taken in.",
    "book-empty": "A published book in which no text was found.",
    "encoding-guessed": "It is not certain which encoding a text has; letters beyond ASCII may be wrong.",
    "left-out": "Something that is no rule text, such as a script or a table of contents, and was left out.",
    "marks-by-look": "Words that were taken for inserted because of their look alone.",
    "bad-numbering": "Not labels of clauses, which tell by example how a book is numbered.",
    "no-clauses": "A published book in which nothing begins with the number of a clause.",
    "edition-there": "The season has an edition already; a book that is taken in never replaces one.",
    "bulletin-unread": "A bulletin that was taken in as text, since what looked like amendments in it does not read as such.",
    "joined-words": "Words that were parted at the ends of lines, and made whole without being sure how they are written.",
    "columns-unsure": "A page that may have two columns, and was read across.",
    "furniture": "Running heads, feet and page numbers, which were left out.",
    # Editions, bulletins, points
    "previous-missing": "The previous edition that an edition names is not there.",
    "previous-cycle": "Editions name each other as the previous one in a circle.",
    "bulletin-clause-missing": "A bulletin changes a clause that the text in force does not have.",
    "bulletin-clause-left": "A bulletin repeals or rewrites a clause and leaves open what becomes of the clauses under it.",
    "bulletin-unknown": "A bulletin corrects another that is not in force before it, or that does not amend what it corrects.",
    "bad-instruction": "An instruction of a bulletin in words that no form of instructions has.",
    "words-missing": "A bulletin changes words that the text in force does not have, or has more often than it says.",
    "number-taken": "A bulletin gives a clause a number that another clause in force has.",
    "replaces-nothing": "Something is read in place of a clause that says nothing of it.",
    "replacement-circle": "Clauses are read in place of each other, or one in place of itself.",
    "bad-point": "Not a point: BODY/SEASON, with @published, @YYYY-MM-DD or @event:ID behind and REV: in front, or a .md file.",
    "unknown-edition": "The workspace has no such body or season.",
    "unknown-event": "The edition has no such event.",
    "unknown-revision": "git does not know the revision.",
    "unsafe-revision": "A revision begins with a dash or holds characters that no revision has.",
    "not-a-workspace": "The folder has no rulesets folder.",
    "no-repository": "A revision was asked for, but the workspace is not under git.",
    # Cars
    "unknown-car": "The workspace has no such car.",
    "values-disagree": "Values of a car that cannot all be right, such as a capacity beside bore and stroke.",
    "stated-of-absent": "A car states a value of something that it states to be absent.",
    "unknown-person": "A person who is not in crew.yaml.",
    "unknown-option": "An option needs or excludes one that options.yaml does not have.",
    "unknown-skill": "A skill that nobody in crew.yaml has.",
    "unknown-equipment": "Equipment that is not in crew.yaml.",
    "unknown-job": "A job that comes after one which its car does not have.",
    "jobs-in-circle": "Jobs that wait for each other.",
    "class-gone": "A car is entered in a class that its body's newest edition does not have any more.",
    "event-of-several": "A job is due for an event that several bodies of its car have.",
    "cause-lost": "The cause of a job names a clause that no book has or had under that number.",
}
