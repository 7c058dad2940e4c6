"""The printed lines of a paragraph joined into running words, with their marks: hyphens at line ends, ligatures, hidden characters."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace

from rulewatch.intake.document import Block, Line, Mark, Run, Spot

LIGATURES = str.maketrans(
    {
        "ﬀ": "ff",
        "ﬁ": "fi",
        "ﬂ": "fl",
        "ﬃ": "ffi",
        "ﬄ": "ffl",
        "ﬅ": "st",
        "ﬆ": "st",
        "\u2011": "-",
        "\t": " ",
        "\u2028": " ",
        "\u2029": " ",
    }
)
# Of no width, or turning the direction of writing; the soft hyphen is looked at first.
UNSEEN = re.compile("[\0-\b\n-\x1f\x7f\u061c\u180e\u200b-\u200f\u202a-\u202e\u2060-\u206f\ufeff\ufff9-\ufffb]")
SOFT = "\u00ad"
HYPHENS = ("-", "\u2010", SOFT)
WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")
LAST_WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*\Z")
FIRST_WORD = re.compile(r"[^\W\d_]+(?:-[^\W\d_]+)*")
SUSPENDED = {"and", "or", "to", "und", "oder", "bis", "sowie", "et", "ou", "y", "o", "e", "en", "of"}
KEPT_BEHIND, KEPT_BEFORE = {"self", "non", "anti", "ex"}, {"free", "proof"}  # words that English joins with a hyphen
SHORTEST_PART = 3  # letters of a word that may be half of a compound
CLOSING = "\"”“»'’)]"


@dataclass(frozen=True, slots=True, kw_only=True)
class Passage:
    """Running words and where they begin. `unsure` are the words that were joined, or kept apart, on no evidence."""

    runs: tuple[Run, ...]
    spot: Spot
    unsure: tuple[str, ...] = ()

    @property
    def text(self) -> str:
        """The words alone."""
        return "".join(run.text for run in self.runs)

    @property
    def unfinished(self) -> bool:
        """Whether the words break off within a sentence."""
        text = self.text.rstrip().rstrip(CLOSING)
        return bool(text) and text[-1] not in ".!?:;"

    def behind(self, offset: int) -> Passage:
        """The words from an offset on."""
        return replace(self, runs=tuple(cut(self.runs, offset)))


def cut(runs: Iterable[Run], offset: int) -> Iterator[Run]:
    """Runs without so many characters at their beginning."""
    for run in runs:
        if offset < len(run.text):
            yield replace(run, text=run.text[offset:]) if offset else run
        offset = max(offset - len(run.text), 0)


def plain_run(run: Run) -> Run:
    """A run of letters as they are typed: no ligatures, nothing that does not show."""
    text = run.text.translate(LIGATURES)
    return replace(run, text=UNSEEN.sub("", text))


class Joiner:
    """Joins lines. It knows every word of the book, which tells how a word is written that a line end has parted."""

    def __init__(self, blocks: Iterable[Block]) -> None:
        self.words: Counter[str] = Counter()
        for block in blocks:
            self._count(block.lines)
            for row in block.rows:
                for cell in row:
                    self._count(cell)

    def _count(self, lines: Sequence[Line]) -> None:
        parted = False
        for line in lines:
            text = line.text.translate(LIGATURES).casefold()
            words = WORD.findall(text.replace(SOFT, ""))
            goes_on = text.rstrip().endswith(HYPHENS)
            self.words.update(words[1 if parted else 0 : len(words) - 1 if goes_on else None])
            parted = goes_on

    def joined(self, lines: Sequence[Line]) -> Passage:
        """The words of lines as one paragraph."""
        spot = lines[0].spot if lines else Spot()
        return self.continued(Passage(runs=(), spot=spot), lines)

    def continued(self, before: Passage, lines: Sequence[Line]) -> Passage:
        """A paragraph with more lines behind it."""
        runs, unsure = list(before.runs), list(before.unsure)
        for line in lines:
            own = [shown for run in line.runs if (shown := plain_run(run)).text]
            if own:
                own[0] = replace(own[0], text=own[0].text.lstrip())
            own = [run for run in own if run.text]
            if own and runs:
                self._join(runs, own, unsure)
            runs += own
        whole = tuple(replace(run, text=run.text.replace(SOFT, "")) for run in _together(runs))
        return replace(before, runs=whole, unsure=tuple(unsure))

    def _join(self, runs: list[Run], own: Sequence[Run], unsure: list[str]) -> None:
        """Make the end of the words so far fit those that follow: a space, or none, or a word made whole."""
        while runs and not (text := runs[-1].text.rstrip()):
            runs.pop()
        if not runs:
            return
        last = replace(runs[-1], text=text)
        ahead = "".join(run.text for run in own)
        said = "".join(run.text for run in runs[-3:-1]) + text
        if not text.endswith(HYPHENS):
            gap = "" if text.endswith("/") and not said.endswith(" /") else " "
            runs[-1] = last
            if gap:
                _add_space(runs, own[0])
            return
        keep, space, sure = self._parted(said, ahead)
        if not keep:
            last = replace(last, text=text[:-1])
        elif text.endswith(SOFT):
            last = replace(last, text=text[:-1] + "-")
        if not sure:
            word = LAST_WORD.search(said[:-1])
            follows = FIRST_WORD.match(ahead)
            unsure.append(f"{word[0] if word else ''}{'-' if keep else ''}{follows[0] if follows else ''}")
        runs[-1] = last
        if space:
            _add_space(runs, own[0])

    def _parted(self, said: str, ahead: str) -> tuple[bool, bool, bool]:
        """Whether a hyphen at a line end stays, whether a space follows it, and whether that is sure."""
        before, after = LAST_WORD.search(said[:-1]), FIRST_WORD.match(ahead)
        if said.endswith(SOFT):
            return False, False, True
        if said[:-1].endswith((" ", "-")) or (before is None and said[-2:-1].isspace()):
            return True, True, True
        if before is None or after is None:
            return True, False, True
        if after[0].casefold() in SUSPENDED:
            return True, True, True
        if after[0][0].isupper() and not before[0].isupper():
            return True, False, True
        return self._known(before[0].casefold(), after[0].casefold())

    def _known(self, before: str, after: str) -> tuple[bool, bool, bool]:
        """The same of two halves of small letters, by how the book writes the word elsewhere."""
        whole, parted = self.words[before + after], self.words[f"{before}-{after}"]
        if whole or parted:
            return parted > whole, False, True
        last, first = before.rpartition("-")[2], after.partition("-")[0]
        whole, parted = self.words[last + first], self.words[f"{last}-{first}"]
        if whole or parted:
            return parted > whole, False, True
        if last in KEPT_BEHIND or first in KEPT_BEFORE:
            return True, False, True
        both = min(len(last), len(first)) >= SHORTEST_PART and self.words[last] and self.words[first]
        return bool(both), False, False


def _add_space(runs: list[Run], ahead: Run) -> None:
    """A space between two lines; it is marked only where both sides are."""
    last = runs[-1]
    if last.mark is Mark.NONE or last.mark is ahead.mark:
        runs[-1] = replace(last, text=last.text + " ")
    else:
        runs.append(Run(text=" ", size=last.size))


def _together(runs: Iterable[Run]) -> Iterator[Run]:
    """Runs that have the same mark and height as one; other looks are not kept apart."""
    found: Run | None = None
    for run in runs:
        if found is not None and (found.mark, found.raised, found.bold) == (run.mark, run.raised, run.bold):
            found = replace(found, text=found.text + run.text)
            continue
        if found is not None:
            yield found
        found = run
    if found is not None:
        yield found
