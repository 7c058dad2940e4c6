"""What is not harmless in rule text: raw HTML, links that lead elsewhere than they should, characters that do not show.

Rule text is untrusted. It is never changed here; the text stays text, and pages escape it.
"""

from __future__ import annotations

import re
from bisect import bisect_right
from collections.abc import Iterator, Sequence
from itertools import accumulate

from rulewatch.model.fault import Fault, Source

LONGEST_SHOWN = 40
MOST = 100  # hazards of one kind that are listed one by one
SAFE_LINK = re.compile(r"(?i:https?://|mailto:|#)|\Z")
HTML = re.compile(
    r"<(?:/?[A-Za-z][A-Za-z0-9-]*(?:\s[^<>]*|/)?>|[A-Za-z][A-Za-z0-9-]*\s+[A-Za-z-]+\s*=|!--|!\[CDATA\[|![A-Za-z]|\?)"
)
LINK_WITHIN = re.compile(r"\]\(\s*<?(?P<inline>[^\s<>()]*)|<(?P<auto>[A-Za-z][A-Za-z0-9+.-]{1,31}:[^\s<>]*)>")
LINK = re.compile(LINK_WITHIN.pattern + r"|^[ \t>]*\[(?!\^)[^\]\n]+\]:\s*<?(?P<definition>[^\s<>]+)", re.MULTILINE)
HIDDEN = re.compile(
    "[\0-\b\v\x0e-\x1f\x7f\xad\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb\U000e0000-\U000e007f]"
)
WHAT = {"raw-html": "HTML", "unsafe-link": "a link", "hidden-character": "a character that does not show"}


def find_hazards(source: Source, *, skipped: int, fences: Sequence[range], counted: bool) -> Iterator[Fault]:
    """Warnings for hazards in a source, from a line on, outside the fences; one for each kind where `counted`."""
    lines = list(source.lines[skipped:])
    for fence in fences:
        lines[fence.start : fence.stop] = [""] * len(fence)
    text = "\n".join(lines)
    starts = [0, *accumulate(len(line) + 1 for line in lines)]
    for code, found in (("raw-html", _html(text)), ("unsafe-link", _links(text)), ("hidden-character", _hidden(text))):
        yield from _report(source, skipped, code, found, starts, most=1 if counted else MOST)


def _report(
    source: Source, skipped: int, code: str, found: Iterator[tuple[int, str]], starts: Sequence[int], *, most: int
) -> Iterator[Fault]:
    """The first ones each by itself, the last of them with the number of those that follow."""
    listed: list[tuple[int, str]] = []
    more = 0
    for hazard in found:
        if len(listed) < most:
            listed.append(hazard)
        else:
            more += 1
    for offset, what in listed:
        line = bisect_right(starts, offset) - 1
        also = f" and {more} more" if more and (offset, what) == listed[-1] else ""
        yield source.fault(
            code,
            skipped + line + 1,
            offset - starts[line] + 1,
            f"{WHAT[code]} `{what}`{also}",
            remedy=REMEDY[code],
            warning=True,
        )


REMEDY = {
    "raw-html": "it stays text",
    "unsafe-link": "it stays text; only http(s), mailto and # are linked",
    "hidden-character": "delete it if the published book does not need it",
}


def _html(text: str) -> Iterator[tuple[int, str]]:
    for match in HTML.finditer(text):
        yield match.start(), _short(match.group())


def _links(text: str) -> Iterator[tuple[int, str]]:
    for match in (LINK if "]:" in text else LINK_WITHIN).finditer(text):  # definitions cannot be passed over so quickly
        target = match[match.lastgroup] if match.lastgroup else ""
        if not SAFE_LINK.match(target):
            yield match.start(match.lastgroup or 0), _short(target)


def _hidden(text: str) -> Iterator[tuple[int, str]]:
    for match in HIDDEN.finditer(text):
        yield match.start(), f"U+{ord(match.group()):04X}"


def _short(text: str) -> str:
    folded = " ".join(text.split())
    return folded if len(folded) <= LONGEST_SHOWN else folded[: LONGEST_SHOWN - 1] + "…"
