"""Which underlined and coloured words of a DOCX are marked as new, and which only look so."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rulewatch.intake.drafts import DraftBlock, DraftLine, Look


def without_looks(drafts: Iterable[DraftBlock], *, tracked: bool) -> None:
    """Take away the looks that mark nothing.

    In a book with tracked changes those alone are marks. Else the words of a heading that is underlined as a whole are not
    new, and neither are bold and underlined words with which a paragraph begins: they are its title.
    """
    for draft in drafts:
        if tracked:
            for line in draft.all_lines():
                line.pieces = [(text, _bare(look)) for text, look in line.pieces]
        elif draft.level and all(look.underlined for text, look in _words(draft.lines)):
            for line in draft.lines:
                line.pieces = [(text, _bare(look)) for text, look in line.pieces]
        elif draft.lines:
            _untitle(draft.lines[0])


def _untitle(line: DraftLine) -> None:
    """Take the underlining from the bold words with which a line begins."""
    for at, (text, look) in enumerate(line.pieces):
        if text.strip() and not (look.bold and look.underlined):
            return
        line.pieces[at] = (text, look._replace(underlined=False))


def _bare(look: Look) -> Look:
    return look._replace(underlined=False, colour="")


def _words(lines: Iterable[DraftLine]) -> Iterator[tuple[str, Look]]:
    """The pieces that hold words."""
    return ((text, look) for line in lines for text, look in line.pieces if text.strip())
