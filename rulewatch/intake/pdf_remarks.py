"""What is said of a PDF besides its text: one warning for each kind of thing, with every page that has it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import NamedTuple

from rulewatch.intake.document import Block, Mark
from rulewatch.model.fault import Fault, Place

_SAMPLE = 60  # characters of the words that a warning shows
LOOK = "look at the page itself"
FURNITURE = ("heads, feet and page numbers were left out", "")
SIDEWAYS = ("text that runs another way than the page’s was left out", "")
UNSEEN = ("text that the page does not show was left out", "")
RECOGNISED = ("the words were recognised by a machine on a picture of the page", "check every word against the picture")
SILENT = ("no text", LOOK)
UNKNOWN = ("the file does not say which letters some of its signs are; words may be wrong or missing", LOOK)
BY_LOOK = (
    "words that are underlined or in a colour of their own were taken for inserted",
    "check that the body marks new words so",
)
ACROSS = ("the page may have two columns, and was read across", "compare the order of its words with the page")
PICTURED = ("a picture or drawing, which was not read", LOOK)


def fault(code: str, path: str, found: str, *, expected: str = "", remedy: str = "", warning: bool = False) -> Fault:
    """A fault of the file as a whole; its text names the page where there is one."""
    return Fault(code=code, place=Place(path=path), found=found, expected=expected, remedy=remedy, warning=warning)


class Remark(NamedTuple):
    """A warning about pages: its code, what is said of them and what to do, and the first words that it is about."""

    code: str
    pages: Sequence[int]
    said: tuple[str, str]
    sample: Iterable[str] = ()

    def fault(self, path: str) -> Fault:
        """As it is reported."""
        words = " ".join(" ".join(self.sample).split())
        shown = f": “{words[:_SAMPLE]}{'…' * (len(words) > _SAMPLE)}”" if words else ""
        found, remedy = self.said
        return fault(self.code, path, f"{ranges(self.pages)}: {found}{shown}", remedy=remedy, warning=True)


def inserted(blocks: Iterable[Block]) -> Remark:
    """What is said of the words that count as inserted because of how they look."""
    lines = [
        line for block in blocks for line in (*block.lines, *(line for row in block.rows for cell in row for line in cell))
    ]
    found = [(line.spot.page, run.text) for line in lines for run in line.runs if run.mark is Mark.INSERTED]
    return Remark("marks-by-look", [page for page, _ in found], BY_LOOK, [text for _, text in found[:_SAMPLE]])


def ranges(pages: Iterable[int]) -> str:
    """Page numbers as a person writes them: `page 3`, `pages 3, 5–8, 12`."""
    found: list[list[int]] = []
    for page in sorted(set(pages)):
        if found and page == found[-1][-1] + 1:
            found[-1] = [found[-1][0], page]
        else:
            found.append([page, page])
    parts = [str(first) if first == last else f"{first}–{last}" for first, last in found]
    single = len(found) == 1 and found[0][0] == found[0][1]
    return ("page " if single else "pages ") + ", ".join(parts)
