"""Words of an instruction sought in the text of a clause: where they stand, and what is nearest to them where they do not.

Found are whole words. White space counts as one blank, and quotation marks and dashes as those of their kind, since offices
type them as they like; every other sign must be the same.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import SequenceMatcher
from functools import cache

from rulewatch.model.marks import INSERTED, STRUCK

ALIKE = ("'’‘‛′", '"“”„«»″', "-‐‑‒–—−")
PIECE = re.compile(r"\w+(?:[.,'’-]\w+)*|[^\w\s]")
NEAR = 0.6  # likeness from which other words are offered
LONGEST_SEARCHED = 400  # pieces of a text that are gone through for the nearest words


def find_words(text: str, words: str) -> list[tuple[int, int]]:
    """Every place in a text where words stand, in order."""
    return [match.span() for match in _pattern(words).finditer(text)]


@cache
def _pattern(words: str) -> re.Pattern[str]:
    parts = [_loose(part) for part in words.split()]
    before = r"(?<!\w)(?<!\d[.,])" if re.match(r"\s*\w", words) else ""
    after = r"(?!\w)(?![.,]\d)" if re.search(r"\w\s*\Z", words) else ""
    return re.compile(before + r"\s+".join(parts) + after) if parts else re.compile(r"(?!)")


def _loose(part: str) -> str:
    """A word whose quotation marks and dashes may be others of their kind, and whose signs may stand behind a backslash."""
    return "".join(_sign(sign) for sign in part)


def _sign(sign: str) -> str:
    kind = next((each for each in ALIKE if sign in each), sign)
    written = f"[{re.escape(kind)}]"
    return sign if sign.isalnum() else rf"\\?{written}"


def same_words(one: str, other: str) -> bool:
    """Whether two texts are the same but for white space, quotation marks and dashes."""
    return re.fullmatch(r"\s+".join(_loose(part) for part in one.split()) or r"\s*", other.strip()) is not None


def nearest_words(text: str, words: str) -> str:
    """The words of a text that are most like others; empty where none are."""
    sought = [match[0] for match in PIECE.finditer(words)]
    pieces = list(PIECE.finditer(text))[:LONGEST_SEARCHED]
    matcher = SequenceMatcher(autojunk=False)
    matcher.set_seq2(words.casefold())
    best, found = NEAR, ""
    for start, end in _windows(len(pieces), len(sought)):
        part = text[pieces[start].start() : pieces[end - 1].end()]
        matcher.set_seq1(part.casefold())
        if matcher.real_quick_ratio() > best and matcher.quick_ratio() > best and matcher.ratio() > best:
            best, found = matcher.ratio(), part
    return " ".join(found.split())


def _windows(count: int, size: int) -> Iterator[tuple[int, int]]:
    """Runs of pieces about as long as what is sought, those of its very length first."""
    for length in (size, size + 1, size - 1, size + 2):
        if 0 < length <= count:
            yield from ((start, start + length) for start in range(count - length + 1))


def difference(asked: str, there: str) -> str:
    """Words asked for beside those that are there: what only the first has is `~~so~~`, what only the text has `++so++`."""
    old, new = asked.split(), there.split()
    parts = []
    for tag, a, b, c, d in SequenceMatcher(a=old, b=new, autojunk=False).get_opcodes():
        gone, come = " ".join(old[a:b]), " ".join(new[c:d])
        if tag == "equal":
            parts.append(gone)
        else:
            parts += [f"{STRUCK}{gone}{STRUCK}"] if gone else []
            parts += [f"{INSERTED}{come}{INSERTED}"] if come else []
    return " ".join(parts)
