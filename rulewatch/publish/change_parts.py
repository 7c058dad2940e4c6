"""What a page that compares two books is made of."""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.publish.page_parts import ClauseLink, Link
from rulewatch.publish.words import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class WitnessPart:
    """One thing that a witness has, and what the crew's car that it is like has instead, empty where that goes without saying."""

    text: str
    own: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WitnessView:
    """A car that shows an effect: which car of the crew it is like (no text for none), what it has otherwise, what is supposed.

    `more` counts what else it has. `masked` tells that it shows what the clause does alone, and not inside the whole book.
    `classes` are named where the effect is that of several.
    """

    car: Link
    parts: tuple[WitnessPart, ...]
    more: int
    supposed: tuple[str, ...]
    gained: bool
    masked: bool
    classes: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EffectView:
    """One effect with the classes that it is the same for, and cars that show it.

    `term` is that of the clause alone; `inside` that inside the whole book where it is another, because of the `masks`.
    """

    term: Term
    classes: str
    why: str
    inside: Term | None = None
    masks: tuple[ClauseLink, ...] = ()
    witnesses: tuple[WitnessView, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class WholeView:
    """What all changes together do to some classes; `unread` are the changed clauses that are left out, as nobody has read them."""

    term: Term
    classes: str
    witnesses: tuple[WitnessView, ...]
    unread: tuple[ClauseLink, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class MaskedView:
    """A change that does something else inside the whole book than alone."""

    change: ClauseLink
    effects: tuple[EffectView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ValueView:
    """A value that moved; an empty side where it came or went."""

    old: str
    new: str
    delta: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpactLine:
    """What a change does to one entry, in a line; `what` names the quantity where one decided it."""

    car: str
    entry: str
    what: str
    href: str
    term: Term
    room: str


@dataclass(frozen=True, slots=True, kw_only=True)
class TouchStep:
    """One step of the way by which a change reaches a clause: `refers to` 6.2. The last one is the clause that changed."""

    words: str
    clause: ClauseLink


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeView:
    """One change. `words` are runs of text, each with `ins`, `del` or nothing.

    `doubt` says how sure the pairing is, and `doubtful` that a person should look at it. `read_before` and `read_now` are not
    empty where it is read otherwise under the same words.
    """

    anchor: str
    old: tuple[ClauseLink, ...]
    new: tuple[ClauseLink, ...]
    heading: str
    kinds: tuple[Term, ...]
    wording_only: bool
    effects: tuple[EffectView, ...]
    doubt: str
    doubtful: bool
    settled: bool
    words: tuple[tuple[str, str], ...]
    values: tuple[ValueView, ...]
    read_before: str
    read_now: str
    touched_by: tuple[tuple[TouchStep, ...], ...]
    impacts: tuple[ImpactLine, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangeGroup:
    """The changes of one chapter."""

    title: str
    anchor: str
    changes: tuple[ChangeView, ...]
