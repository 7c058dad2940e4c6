"""The numbering of a book as a person states it, by examples of its labels, and as it is found."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable
from dataclasses import dataclass
from typing import NamedTuple

from rulewatch.model.fault import Fault, Place
from rulewatch.parse.clause_numbering import Outline, names_annex
from rulewatch.parse.labels import AS_ANNEX, AS_NAMED, AS_NUMBER, AS_RELATIVE, IN_HEADING, Label, bare_count, read_label

DEEPEST = 6


class Shape(NamedTuple):
    """What labels of one style have in common: their form, how they are parted or named, and what they begin to count in."""

    form: str
    style: str
    script: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Numbering:
    """Which labels begin clauses. Empty `stated` takes all that fit the numbering around them.

    `lone`: a lone number without full stop or bracket was stated. `offset` is by how much the headings of the file stand deeper than their numbers say.
    """

    stated: frozenset[Shape] = frozenset()
    lone: bool = False
    offset: int = 0

    def takes(self, label: Label) -> bool:
        """Whether a label is of the stated style. Annexes always are: in them numbers begin again."""
        return not self.stated or label.form is AS_ANNEX or any(shape in self.stated for shape in shapes(label))

    def level(self, label: Label, outline: Outline, stated: int) -> int:
        """The level of the heading of a clause: the depth of its number, in an annex one more."""
        annex = outline.annex_now()
        within = max(annex.level, 1) if annex and label.form is not AS_ANNEX else 0
        if label.form is AS_NUMBER:
            own = annex is not None and names_annex(label, annex)
            return min(len(label.parts) + within - own, DEEPEST)
        if label.form is AS_RELATIVE and not stated:
            above = max((node.level for node in outline.open if node.level and node.label.form is not AS_RELATIVE), default=0)
            return min(max(above + 1, within + 1), DEEPEST)
        return min(max(stated - self.offset, 1), DEEPEST)


def shapes(label: Label) -> tuple[Shape, ...]:
    """The shapes that a label may have; a short one may be read in several ways."""
    if label.form is AS_RELATIVE:
        found = tuple(Shape("relative", label.style, step.script) for step in label.steps)
        lone = label.style == "." and label.core.isdigit()
        return (*found, Shape("number", ".", "1")) if lone else found
    if label.form is AS_NAMED:
        return (Shape("named", label.style, ""),)
    if label.form is AS_ANNEX:
        return (Shape("annex", "", ""),)
    dotted = "." if "." in label.core or len(label.parts) == 1 else ""
    return (Shape("number", dotted, "1" if label.core[0].isdigit() else "A"),)


def parse_numbering(text: str) -> Numbering | Fault:
    """A style from examples of labels, parted by blanks or commas: `4.2.1 (a)`, `§ 36a, (2)`, `A.1`. Empty text states nothing.

    Fault: bad-numbering.
    """
    stated: set[Shape] = set()
    lone = False
    for example in filter(None, (part.strip() for part in re.split(r",|(?<![§\w])\s+|(?<=[\d.)])\s+", text))):
        label = read_label(f"{example} X", 0, IN_HEADING) or read_label(example, 0, IN_HEADING)
        if label is None or label.printed.rstrip(".:)") not in example:
            place = Place(path="--numbering", line=1, column=text.find(example) + 1)
            remedy = "give labels as the book prints them, such as `4.2.1, (a)` or `§ 36a, (2)`"
            return Fault(
                code="bad-numbering",
                place=place,
                found=f"`{example}`",
                expected="a label of a clause",
                remedy=remedy,
                line_text=text,
            )
        stated.update(shapes(label))
        lone = lone or bare_count(label)
    return Numbering(stated=frozenset(stated), lone=lone)


class Style(NamedTuple):
    """A style of label that a book has: one of its labels, and how many clauses have such."""

    example: str
    clauses: int


def styles(labels: Iterable[Label]) -> tuple[Style, ...]:
    """The styles of labels, the most frequent first."""
    counts = Counter[tuple[str, str, int]]()
    examples: dict[tuple[str, str, int], str] = {}
    for label in labels:
        shape = shapes(label)[0]
        key = (shape.form, shape.style, len(label.parts) if label.form is AS_NUMBER else 0)
        counts[key] += 1
        examples.setdefault(key, label.printed)
    return tuple(Style(examples[key], count) for key, count in counts.most_common())
