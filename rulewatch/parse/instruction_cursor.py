"""A way through one sentence of an instruction: words, quotations and clause numbers, one after the other."""

from __future__ import annotations

import re
from collections.abc import Sequence
from functools import cache

from rulewatch.model.fault import Place
from rulewatch.model.instruction import Quote, Target
from rulewatch.parse.labels import ANNEXES

# Words between quotation marks, in the pairs that English and German print.
QUOTED = re.compile(r"“([^“”]+)”|\"([^\"]+)\"|„([^„“”]+)[“”]|«([^«»]+)»|‘([^‘’]+)’(?!\w)")
MASK = "\ue000"  # stands for each sign of a quotation while the sentence is read, so that no word in it is taken for ours
LISTS = r"(?:,?\s*(?:and|&)\s+|[,;]\s*)"
KIND = r"(?:(?:sub-?)?(?:clauses?|sections?|articles?|rules?|regulations?|paragraphs?|items?|points?|numbers?)|§+)"  # what numbers are called
RENUMBERED = r"(?:(?:newly|as)\s+)?(?:redesignated|renumbered)"
NUMBER = re.compile(
    rf"(?:(?:the|a|an|new|existing|following)\s+)*(?P<renumbered>{RENUMBERED}\s+)?(?:(?P<kind>{KIND})\s*)?"
    rf"(?P<number>(?:(?:{ANNEXES})\s+)?[^\s,;:{MASK}]+(?:\s(?:bis|ter|quater)\b)?)",
    re.IGNORECASE,
)
IS_NUMBER = re.compile(rf"(?i:{ANNEXES})\s|.*\d|[(]|[A-Za-z]\Z|[ivx]+\Z")
DEEP = r"(?:and|with)\s+(?:all|everything)\s+(?:that\s+(?:is|stands)\s+)?under\s+(?:it|them)"


@cache
def _compiled(pattern: str) -> re.Pattern[str]:
    return re.compile(rf"[\s,]*(?:{pattern})(?!\w)", re.IGNORECASE)


class Cursor:
    """Goes through a sentence once, from the left. What does not follow leaves it where it is."""

    def __init__(self, text: str, columns: Sequence[int], line: Place, *, raw: str = "", scope: str = "") -> None:
        self.raw = raw or text
        self.text = masked(text) if not raw else text
        self.columns, self.line, self.scope = columns, line, scope
        self.at = 0

    def place(self, at: int | None = None) -> Place:
        """Where a sign of the sentence stands in its file."""
        at = self.at if at is None else at
        column = self.columns[at] if at < len(self.columns) else self.columns[-1] + 1 if self.columns else self.line.column
        return Place(path=self.line.path, line=self.line.line, column=column)

    def here(self) -> Place:
        """Where the next word stands."""
        gap = re.compile(r"[\s,]*").match(self.text, self.at)
        return self.place(gap.end() if gap else self.at)

    def rearrange(self, order: Sequence[int]) -> None:
        """Put the signs of the sentence into another order, and begin again; each keeps its place in the file."""
        self.text, self.raw = ("".join(text[at] for at in order) for text in (self.text, self.raw))
        self.columns = [self.columns[at] for at in order]
        self.at = 0

    @property
    def rest(self) -> str:
        """What has not been read yet, as written."""
        return self.raw[self.at :].strip(" ,.:")

    @property
    def done(self) -> bool:
        """Whether nothing is left."""
        return not self.rest

    def take(self, pattern: str) -> str:
        """The next words, if they are such; empty where they are not."""
        match = _compiled(pattern).match(self.text, self.at)
        if match is None:
            return ""
        self.at = match.end()
        return match[0].strip(" ,\t")

    def sees(self, pattern: str) -> bool:
        """Whether such words come next."""
        return _compiled(pattern).match(self.text, self.at) is not None

    def quote(self) -> Quote | None:
        """The next words, if they stand between quotation marks."""
        match = re.compile(rf"[\s,:]*({MASK}+)").match(self.text, self.at)
        if match is None:
            return None
        self.at = match.end()
        inside = self.raw[match.start(1) + 1 : match.end(1) - 1]
        return Quote(text=inside, place=self.place(match.start(1) + 1))

    def number(self) -> Target | None:
        """The next clause number; one that begins with a bracket continues the number that the sentence begins with."""
        gap = re.compile(r"[\s,]*").match(self.text, self.at)
        start = gap.end() if gap else self.at
        match = NUMBER.match(self.text, start)
        if match is None:
            return None
        number = plain_number(match["number"])
        if not number or not IS_NUMBER.match(number):
            return None
        self.at = match.end("number") - (len(match["number"]) - len(match["number"].rstrip(".:")))
        kind = (match["kind"] or "").removesuffix("s")
        if number.startswith("(") and self.scope:
            number = self.scope + number
        return Target(
            number=number,
            named=f"{kind[:1].upper()}{kind[1:]} {number}" if kind else "",
            renumbered=bool(match["renumbered"]),
            place=self.place(match.start("number")),
        )

    def numbers(self, *, opening: bool = False) -> tuple[Target, ...]:
        """One number, several, or ranges of them. Those that open a sentence end before a part: `In 5.2, (a) is deleted`."""
        found: list[Target] = []
        while True:
            before = self.at
            if found and not self._takes_separator():
                break
            target = self.number()
            if target is None or (opening and found and target.number.startswith("(")):
                self.at = before
                break
            if found and not self.scope:
                target = beside(target, found[-1])
            if found and found[-1].named and not target.named:
                named = f"{found[-1].named.split(' ')[0]} {target.number}"
                target = _with(target, named=named)
            found.append(self._extended(target))
        return tuple(found)

    def numbers_up_to(self, most: int) -> tuple[Target, ...]:
        """As many numbers as there are to be, and no more: others may follow that belong to something else."""
        found: list[Target] = []
        while len(found) < most and (not found or self._takes_separator()):
            target = self.number()
            if target is None:
                break
            found.append(self._extended(target))
        return tuple(found)

    def take_colon(self) -> bool:
        """Whether a colon comes next, which is taken."""
        match = re.compile(r"\s*:").match(self.text, self.at)
        self.at = match.end() if match else self.at
        return match is not None

    def quote_behind(self, pattern: str) -> Quote | None:
        """The next quotation, with such words in front or without."""
        self.take(pattern)
        return self.quote()

    def _takes_separator(self) -> bool:
        match = re.compile(LISTS, re.IGNORECASE).match(self.text, self.at)
        if match is None:
            return False
        self.at = match.end()
        return True

    def _extended(self, target: Target) -> Target:
        before = self.at
        if "–" in target.number:
            first, _, end = target.number.partition("–")
            return _with(target, number=plain_number(first), through=plain_number(end))
        if self.take(r"to|through"):
            last = self.number()
            if last is not None:
                return _with(target, through=last.number)
            self.at = before
        return _with(target, deep=True) if self.take(DEEP) else target


def _with(target: Target, *, number: str = "", named: str = "", through: str = "", deep: bool = False) -> Target:
    return Target(
        number=number or target.number,
        place=target.place,
        named=named or target.named,
        renumbered=target.renumbered,
        through=through or target.through,
        deep=deep or target.deep,
    )


def beside(target: Target, other: Target) -> Target:
    """A target of brackets alone, which takes what stands before as many brackets from another: `5.2(a)(1) and (2)`."""
    brackets = target.number.count("(")
    if not target.number.startswith("(") or other.number.count("(") < brackets:
        return target
    stem = other.number
    for _ in range(brackets):
        stem = stem[: stem.rindex("(")]
    return _with(target, number=stem + target.number)


def masked(text: str) -> str:
    """A sentence with its quotations masked, sign by sign."""
    return QUOTED.sub(lambda match: MASK * len(match[0]), text)


def plain_number(number: str) -> str:
    """A number as its id has it: without a full stop, or a bracket that was not opened."""
    number = " ".join(number.split()).rstrip(".:")
    return number[:-1] if number.endswith(")") and "(" not in number else number
