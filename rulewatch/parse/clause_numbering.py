"""Where each label belongs: its parent, and whether it fits the numbering around it.

A whole number finds its parent by its parts (4.2.1 under 4.2), a relative one by the count that it goes on with, by its
column, and by which kinds of count the document has shown to stand under which.
"""

from __future__ import annotations

import re
from dataclasses import dataclass, field

from rulewatch.model.clause import natural_order
from rulewatch.parse.labels import AS_ANNEX, AS_NAMED, AS_NUMBER, AS_RELATIVE, IN_HEADING, LONGEST_DECIMAL, Label, Setting, Step

NEAR = 3  # columns by which the items of one list may be out of line


@dataclass(slots=True, eq=False)
class Node:
    """A clause in the making: its label, its parent, and how its id joins the parent's."""

    label: Label
    parent: Node | None
    annex: Node | None  # the innermost annex around it
    column: int
    level: int  # of its heading, else 0
    step: Step | None = None
    children: int = 0
    id: str = ""

    @property
    def kind(self) -> tuple[str, str]:
        """The kind of count: bracket style and script."""
        return self.label.style, self.step.script if self.step else ""

    def make_id(self) -> str:
        """The id from the label and the parent's id, which must be made before."""
        core = self.label.core
        if self.label.form is not AS_RELATIVE:
            return core if self.annex is None or names_annex(self.label, self.annex) else f"{self.annex.id}/{core}"
        if self.parent is None or self.parent is self.annex:
            core = f"({core})" if self.label.style == "()" else core
            return f"{self.annex.id}/{core}" if self.annex else core
        return f"{self.parent.id}({core})"


def _may_end(annex: Node, level: int) -> bool:
    """Whether a heading of a level could end an annex, where its number goes on outside of it."""
    return bool(level) and (not annex.level or level <= annex.level)


def names_annex(label: Label, annex: Node) -> bool:
    """Whether a number begins with the letter of the annex around it, as A.1 in Annex A does.

    2.1 in Annex 2 does not: numbers begin again in an annex, and the main part may have a 2.1 of its own.
    """
    designator = annex.label.core.split(" ")[-1]
    return label.parts[:1] == (designator,) and not designator.isdigit()


@dataclass(slots=True)
class Outline:
    """The clauses that are open at a place, outermost first, and what the document has shown of its numbering."""

    open: list[Node] = field(default_factory=list)
    nested: set[tuple[tuple[str, str], tuple[str, str]]] = field(default_factory=set)
    last: dict[Node | None, Label] = field(default_factory=dict)  # the last whole number, by annex
    standing: dict[Node | None, Label] = field(default_factory=dict)  # the same of those that are not struck

    def place(self, label: Label, *, column: int, level: int, setting: Setting, strict: bool = False) -> Node | None:
        """The node for a label, opened; None where it does not fit, and so is no label. `strict`: only the very next fits."""
        node: Node | None
        if label.form is AS_ANNEX:
            node = self._annex(label, column, level)
        elif label.form is AS_NAMED:
            node = None if strict else self._named(label, column, level)
        elif label.form is AS_NUMBER:
            node = self._number(label, column, level, strict=strict or label.doubtful)
        else:
            node = self._relative(label, column, level, setting, strict=strict)
        if node is None:
            return None
        if node.parent is not None:
            node.parent.children += 1
        self.open.append(node)
        return node

    def close_to(self, level: int) -> Node | None:
        """Close what an unlabelled heading of a level ends; the clause that the text under it falls to."""
        while self.open and self.open[-1].label.form is not AS_ANNEX and not 0 < self.open[-1].level < level:
            self.open.pop()
        return self.open[-1] if self.open else None

    def annex_now(self) -> Node | None:
        """The innermost annex that is open."""
        return next((node for node in reversed(self.open) if node.label.form is AS_ANNEX), None)

    def _node(self, label: Label, column: int, level: int, step: Step | None = None) -> Node:
        parent = self.open[-1] if self.open else None
        return Node(label=label, parent=parent, annex=self.annex_now(), column=column, level=level, step=step)

    def _annex(self, label: Label, column: int, level: int) -> Node:
        for depth, node in enumerate(self.open):
            if node.label.form is AS_ANNEX and (node.label.style == label.style or 0 < node.level == level):
                del self.open[depth:]
                break
        while self.open and self.open[-1].label.form is not AS_ANNEX:
            self.open.pop()
        return self._node(label, column, level)

    def _named(self, label: Label, column: int, level: int) -> Node:
        for depth in range(len(self.open) - 1, -1, -1):
            node = self.open[depth]
            if node.label.form is AS_ANNEX and not _may_end(node, level):
                break
            if node.label.form is AS_NAMED and node.label.style == label.style:
                del self.open[depth:]
                return self._node(label, column, level)
        self._close_headings(level)
        return self._node(label, column, level)

    def _close_headings(self, level: int) -> None:
        """Close what a heading of a level ends, or, at level 0, everything but headings."""
        while self.open and self.open[-1].label.form is not AS_ANNEX:
            top = self.open[-1]
            if top.level and (not level or top.level < level):
                break
            self.open.pop()

    def _number(self, label: Label, column: int, level: int, *, strict: bool) -> Node | None:
        annex = self.annex_now()
        if annex is not None and _may_end(annex, level) and self._goes_on_outside(annex, label):
            del self.open[self.open.index(annex) :]
            annex = self.annex_now()
        if strict and not self._goes_on_in(annex, label):
            return None
        self.last[annex] = label
        if not label.struck:
            self.standing[annex] = label
        for depth in range(len(self.open) - 1, -1, -1):
            node = self.open[depth]
            if node is annex:
                break
            above = node.label.parts
            if above and len(above) < len(label.parts) and label.parts[: len(above)] == above:
                del self.open[depth + 1 :]
                return self._node(label, column, level)
        self._close_headings(level)
        while (
            self.open
            and (self.open[-1].label.form is AS_NUMBER or self.open[-1].label.form is AS_RELATIVE)
            and self._numbered(self.open[-1])
        ):
            self.open.pop()
        return self._node(label, column, level)

    @staticmethod
    def _numbered(node: Node) -> bool:
        """Whether a node counts in digits, so that a whole number that does not begin with it cannot stand under it."""
        return bool(node.label.parts) and node.label.parts[0][0].isdigit()

    def _goes_on_outside(self, annex: Node, label: Label) -> bool:
        outer = self.open[: self.open.index(annex)]
        outer_annex = next((node for node in reversed(outer) if node.label.form is AS_ANNEX), None)
        return self._goes_on_in(outer_annex, label)

    def _goes_on_in(self, annex: Node | None, label: Label) -> bool:
        """Whether a number is the next of an annex; behind struck ones it may also come in the place of the first of these."""
        last, standing = self.last.get(annex), self.standing.get(annex)
        return self._expected(label, last) or (last is not standing and self._expected(label, standing))

    @staticmethod
    def _expected(label: Label, last: Label | None) -> bool:
        """Whether a number is the very next, or in a run of numbers before small letters, where books misprint one."""
        if last is None or _is_next(label.parts, last.parts):
            return _is_next(label.parts, last.parts if last else None)
        alike = label.doubtful and last.doubtful and len(label.parts) == len(last.parts) > LONGEST_DECIMAL
        return alike and natural_order(label.core) > natural_order(last.core)

    def _relative(self, label: Label, column: int, level: int, setting: Setting, *, strict: bool) -> Node | None:
        for near in (True, False):
            for depth in range(len(self.open) - 1, -1, -1):
                node = self.open[depth]
                if node.label.form is AS_ANNEX:
                    break
                step = self._goes_on(label, node, column, near=near, strict=strict)
                if step is not None and bool(node.level) == bool(level):
                    del self.open[depth:]
                    return self._node(label, column, level, step)
        if strict:
            return None
        if label.style == ")" and len(label.parts) > 1:
            # 1a) that goes on with no count is a whole number.
            whole = Label(
                printed=label.printed, core=label.core, form=AS_NUMBER, end=label.end, parts=label.parts, carry=label.carry
            )
            return self._number(whole, column, level, strict=False)
        step = next((step for step in label.steps if step.ordinal == 1), None)
        if step is None:
            if not self._may_begin_late(label, setting):
                return None
            step = label.steps[0]
        self._descend(label, step, column, level)
        return self._node(label, column, level, step)

    @staticmethod
    def _may_begin_late(label: Label, setting: Setting) -> bool:
        """Whether a count may begin with this one, its first ones being repealed or elsewhere: (3), 3. but not (c), c."""
        return label.steps[0].script == "1" or (label.style == ")" and len(label.core) == 1) or setting is IN_HEADING

    @staticmethod
    def _goes_on(label: Label, node: Node, column: int, *, near: bool, strict: bool) -> Step | None:
        """The step by which a label goes on with an open count; None where it does not."""
        if node.step is None or node.label.style != label.style:
            return None
        if near and abs(column - node.column) > NEAR:
            return None
        for step in label.steps:
            if step.follows(node.step) or (node.label.struck and step == node.step):
                return step
        if strict:
            return None
        if any(step.ordinal == 1 and step.script != node.step.script for step in label.steps):
            return None
        # Later, with a gap; or, in line with it, the same or an earlier one again.
        found = (step for step in label.steps if step.script == node.step.script and (near or step.after(node.step)))
        return next(found, None)

    def _descend(self, label: Label, step: Step, column: int, level: int) -> None:
        """Close what a new count does not stand under, and keep in mind what it stands under."""
        if level:
            self._close_headings(level)
        kind = (label.style, step.script)
        while self.open:
            top = self.open[-1]
            if top.step is None or top.level:
                break
            if top.column <= column + NEAR and (kind, top.kind) not in self.nested:
                break
            self.open.pop()
        if self.open and self.open[-1].step is not None:
            self.nested.add((self.open[-1].kind, kind))


def _is_next(parts: tuple[str, ...], last: tuple[str, ...] | None) -> bool:
    """Whether a number is the very next after the last: 4.2.4, 4.2.3A, 4.2.3.1, 4.3, 4.3.1 or 5 after 4.2.3."""
    if last is None:
        return parts[-1] in {"0", "1", "01"}
    if parts[:-1] == last and parts[-1] in {"0", "1", "01"}:
        return True
    for depth in range(len(last)):
        if parts[:depth] != last[:depth] or len(parts) <= depth:
            return False
        if _next_part(last[depth], parts[depth]):
            return all(part in {"0", "1", "01"} for part in parts[depth + 1 :])
    return False


def _next_part(last: str, part: str) -> bool:
    """Whether one part of a number is the next: 4 after 3, 3A after 3, b after a."""
    if last.isdigit() and part.isdigit():
        return int(part) == int(last) + 1
    digits, letters = re.match(r"(\d*)([A-Za-z]*)", part).groups()  # type: ignore[union-attr]
    last_digits, last_letters = re.match(r"(\d*)([A-Za-z]*)", last).groups()  # type: ignore[union-attr]
    if digits != last_digits:
        return bool(digits and last_digits) and int(digits) == int(last_digits) + 1 and not letters
    return len(letters) == 1 and (ord(letters) == ord(last_letters) + 1 if len(last_letters) == 1 else letters.lower() == "a")
