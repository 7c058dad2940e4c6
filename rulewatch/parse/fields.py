"""Fields: the mappings of our YAML files, read key by key, with a fault at the exact place of whatever is wrong.

Every format is read the same way: `open_fields` says which keys there are and reports the others at once; then each key is
asked for by the type that it should have. A getter gives None (or an empty text or list) for a key that is not there, and
also after a fault, which it has reported by then.
"""

from __future__ import annotations

import difflib
import re
from collections.abc import Collection, Iterable
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import TypeVar

from rulewatch.model.fault import Fault, Place, Source
from rulewatch.parse.nodes import ListNode, MapNode, Node, ScalarNode

Word = TypeVar("Word", bound=StrEnum)

LONGEST_NAME = 80
YES, NO = frozenset({"yes", "true"}), frozenset({"no", "false"})


@dataclass(frozen=True, slots=True, kw_only=True)
class Report:
    """The text being read, and the faults found in it so far; readers add to the list and go on."""

    source: Source
    faults: list[Fault]

    def fault(
        self, code: str, at: Node | Place, found: str, *, expected: str = "", remedy: str = "", warning: bool = False
    ) -> None:
        """Add a fault at a node or place of the source."""
        place = at if isinstance(at, Place) else at.place
        self.faults.append(
            self.source.fault(code, place.line, place.column, found, expected=expected, remedy=remedy, warning=warning)
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Fields:
    """One mapping and its report. `name` says what it is, in messages: `confirmed`, `edition.yaml`."""

    node: MapNode
    report: Report
    name: str

    @property
    def place(self) -> Place:
        """Where the mapping begins."""
        return self.node.place

    def has(self, key: str) -> bool:
        """Whether the key stands there, with or without a value."""
        return self.node.get(key) is not None

    def get(self, key: str) -> Node | None:
        """The value of a key as a node."""
        return self.node.get(key)

    def place_of(self, key: str) -> Place:
        """Where a key's value stands; the mapping's place without it."""
        node = self.node.get(key)
        return node.place if node else self.place

    def text(self, key: str) -> str:
        """A text, on one line or several."""
        node = self.get(key)
        return (read_text(node, self.report, key) or "") if node else ""

    def day(self, key: str) -> date | None:
        """A date written YYYY-MM-DD."""
        node = self.get(key)
        return read_date(node, self.report, key) if node else None

    def integer(self, key: str, *, least: int = 0) -> int | None:
        """A whole number, at least `least`."""
        node = self.get(key)
        return read_integer(node, self.report, key, least=least) if node else None

    def yes_no(self, key: str) -> bool | None:
        """`yes` or `no` (`true` and `false` are taken too)."""
        node = self.get(key)
        return read_yes_no(node, self.report, key) if node else None

    def word(self, key: str, words: type[Word]) -> Word | None:
        """One of the words of an enumeration."""
        node = self.get(key)
        text = read_word(node, self.report, key, [word.value for word in words]) if node else None
        return words(text) if text else None

    def choice(self, key: str, words: Collection[str]) -> str:
        """One of a few words."""
        node = self.get(key)
        return (read_word(node, self.report, key, words) or "") if node else ""

    def texts(self, key: str) -> tuple[str, ...]:
        """A list of texts; one alone is a list of one."""
        node = self.get(key)
        return read_texts(node, self.report, key) if node else ()

    def items(self, key: str) -> tuple[Node, ...]:
        """The nodes of a list; one that is not in a list is a list of one."""
        node = self.get(key)
        return read_items(node, self.report, key) if node else ()

    def fields(self, key: str, *, required: Iterable[str] = (), optional: Iterable[str] = ()) -> Fields | None:
        """A mapping with known keys."""
        node = self.get(key)
        return open_fields(node, self.report, key, required=required, optional=optional) if node else None

    def mapping(self, key: str) -> tuple[tuple[ScalarNode, Node], ...]:
        """The pairs of a mapping whose keys are names of the user's own."""
        node = self.get(key)
        mapping = read_mapping(node, self.report, key) if node else None
        return mapping.pairs if mapping else ()


def open_fields(
    node: Node | None,
    report: Report,
    name: str,
    *,
    required: Iterable[str] = (),
    optional: Iterable[str] = (),
    notes: bool = False,
) -> Fields | None:
    """A mapping whose keys are known. Reports a node that is no mapping (None), unknown keys and missing ones.

    With `notes`, people may keep keys of their own there: an unknown one is a warning.
    """
    mapping = read_mapping(node, report, name)
    if mapping is None:
        return None
    return fields_of(mapping, report, name, required=required, optional=optional, notes=notes)


def fields_of(
    mapping: MapNode,
    report: Report,
    name: str,
    *,
    required: Iterable[str] = (),
    optional: Iterable[str] = (),
    notes: bool = False,
) -> Fields:
    """The fields of a mapping. Reports unknown keys and missing ones."""
    needed = tuple(required)
    known = (*needed, *optional)
    for key, _ in mapping:
        if key.text not in known:
            found = f"`{shortened(key.text)}` in {name}"
            report.fault("unknown-key", key, found, remedy=offer(key.text, known), warning=notes)
    for key_name in needed:
        if mapping.key(key_name) is None:
            report.fault("missing-key", mapping, f"{name} without `{key_name}`", remedy=f"add `{key_name}:`")
    return Fields(node=mapping, report=report, name=name)


# --- Single values: what a node says as a text, a date, ... ----------------------------------------------------------


def read_mapping(node: Node | None, report: Report, name: str) -> MapNode | None:
    """A mapping with any keys."""
    if isinstance(node, MapNode):
        return node
    _wrong_type(node, report, name, "a mapping of keys to values")
    return None


def read_text(node: Node, report: Report, name: str) -> str | None:
    """A text that is not empty, without white space at its ends."""
    if not isinstance(node, ScalarNode) or node.empty or not node.text.strip():
        _wrong_type(node, report, name, "a text")
        return None
    return node.text.strip()


def read_date(node: Node, report: Report, name: str) -> date | None:
    """A date written YYYY-MM-DD."""
    expected = "a date such as 2027-05-01"
    if not isinstance(node, ScalarNode) or node.empty:
        _wrong_type(node, report, name, expected)
        return None
    if re.fullmatch(r"\d{4}-\d{2}-\d{2}", node.text, re.ASCII):
        try:
            return date.fromisoformat(node.text)
        except ValueError:
            expected = "a day that the calendar has"
    report.fault("bad-date", node, f"`{shortened(node.text)}` for `{name}`", expected=expected)
    return None


def read_integer(node: Node, report: Report, name: str, *, least: int = 0) -> int | None:
    """A whole number, at least `least`."""
    if not isinstance(node, ScalarNode) or not re.fullmatch(r"[-+]?\d{1,18}", node.text, re.ASCII):
        _wrong_type(node, report, name, "a whole number")
        return None
    number = int(node.text)
    if number < least:
        report.fault("wrong-value", node, f"`{shortened(node.text)}` for `{name}`", expected=f"at least {least}")
        return None
    return number


def read_yes_no(node: Node, report: Report, name: str) -> bool | None:
    """`yes` or `no`; `true` and `false` too, in any letter case."""
    text = node.text.lower() if isinstance(node, ScalarNode) else ""
    if text in YES or text in NO:
        return text in YES
    _wrong_type(node, report, name, "yes or no")
    return None


def read_word(node: Node, report: Report, name: str, words: Collection[str]) -> str | None:
    """One of a list of words."""
    expected = one_of(words)
    if not isinstance(node, ScalarNode) or node.empty:
        _wrong_type(node, report, name, expected)
        return None
    if node.text in words:
        return node.text
    near = nearest(node.text, words)
    remedy = f"did you mean `{near}`?" if near else ""
    report.fault("wrong-value", node, f"`{shortened(node.text)}` for `{name}`", expected=expected, remedy=remedy)
    return None


def read_items(node: Node, report: Report, name: str) -> tuple[Node, ...]:
    """The items of a list that is not empty; a value that is no list counts as a list of one."""
    if isinstance(node, ListNode):
        if not node.items:
            report.fault("wrong-value", node, f"an empty list for `{name}`", remedy=f"leave `{name}` out, or fill it")
        return node.items
    if isinstance(node, ScalarNode) and node.empty:
        _wrong_type(node, report, name, "a list")
        return ()
    return (node,)


def read_texts(node: Node, report: Report, name: str) -> tuple[str, ...]:
    """A list of texts; one alone is a list of one."""
    texts = (read_text(item, report, name) for item in read_items(node, report, name))
    return tuple(text for text in texts if text is not None)


def _wrong_type(node: Node | None, report: Report, name: str, expected: str) -> None:
    at = node if node is not None else report.source.place(1)
    report.fault("wrong-type", at, f"{described(node)} for `{name}`", expected=expected)


def described(node: Node | None) -> str:
    """What stands at a node, for a message."""
    if isinstance(node, MapNode):
        return "a mapping"
    if isinstance(node, ListNode):
        return "a list"
    return "nothing" if node is None or node.empty or not node.text.strip() else f"`{shortened(node.text)}`"


# --- Messages ---------------------------------------------------------------------------------------------------------


def nearest(name: str, known: Iterable[str]) -> str:
    """The known name that looks most like the given one; empty where none looks like it."""
    if len(name) > LONGEST_NAME:  # no name of ours, and slow to compare
        return ""
    found = difflib.get_close_matches(name, list(known), n=1, cutoff=0.6)
    return found[0] if found else ""


def offer(name: str, known: Collection[str]) -> str:
    """The remedy for a name that is not known: the nearest one, else all of them."""
    near = nearest(name, known)
    return f"did you mean `{near}`?" if near else f"known here: {', '.join(known)}"


def one_of(words: Collection[str]) -> str:
    """`a, b or c`."""
    *first, last = words
    return f"{', '.join(first)} or {last}" if first else last


def shortened(text: str, width: int = 60) -> str:
    """A text on one line, cut where it is longer than `width`."""
    folded = " ".join(text.split())
    return folded if len(folded) <= width else folded[: width - 1] + "…"
