"""The parts that pages are made of, as values: everything a template needs, worked out, in the order in which it is shown.

Texts are plain (templates escape them); only fields of type `Markup` hold HTML, made by `clause_text`. A `href` is relative
to the page it stands on; an empty one means that there is nothing to lead to.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from markupsafe import Markup

from rulewatch.publish.cautions import Caution
from rulewatch.publish.weight_words import WeightSide
from rulewatch.publish.words import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class Link:
    """A text that leads somewhere. `current` marks the page itself in a row of links."""

    text: str
    href: str = ""
    current: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Cell:
    """One cell of a page's title plate."""

    label: str
    value: str
    href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Frame:
    """What all pages have in common. `crumbs` lead down to the page, which is not one of them."""

    path: str
    heading: str
    site: str
    style: str
    front: str
    nav: tuple[Link, ...]
    crumbs: tuple[Link, ...]
    cells: tuple[Cell, ...]
    cautions: tuple[Caution, ...]
    day: date
    address: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Tally:
    """How often a word of a closed list came up."""

    term: Term
    count: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ClauseLink:
    """A clause by number and first words."""

    number: str
    words: str = ""
    href: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Countdown:
    """An event ahead or under way, `when` in words. `days` is 0 from its first day on; `length` is that of its line, in steps of 5 %."""

    title: str
    body: str
    on: date
    days: int
    when: str
    length: int = 100
    track: str = ""
    cars: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class BriefItem:
    """One thing that matters about an entry."""

    term: Term
    what: str
    why: str
    href: str
    clauses: tuple[ClauseLink, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryBrief:
    """An entry on the front page: its standing, the most pressing items, and how many more there are."""

    title: str
    season: str
    href: str
    standing: tuple[Tally, ...]
    tallies: tuple[Tally, ...]
    items: tuple[BriefItem, ...]
    more: int


@dataclass(frozen=True, slots=True, kw_only=True)
class CarBrief:
    """A car on the front page."""

    name: str
    href: str
    entries: tuple[EntryBrief, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BulletinBrief:
    """A bulletin and what it amends."""

    body: str
    season: str
    number: str
    title: str
    published: date
    effective: date
    draft: bool
    in_force: bool
    events: tuple[str, ...]
    amended: tuple[ClauseLink, ...]
    repealed: tuple[ClauseLink, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparisonBrief:
    """A comparison in one line."""

    title: str
    href: str
    changed: int
    total: int
    kinds: tuple[Tally, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BodyBrief:
    """A body with its editions, the newest first."""

    name: str
    editions: tuple[Link, ...]


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


@dataclass(frozen=True, slots=True, kw_only=True)
class ClassRow:
    """How many changes have each effect for a class, in the order of the page's `effects`."""

    name: str
    counts: tuple[int, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReadingView:
    """One reading in words. `state` says who confirmed it, or why it does not count as confirmed."""

    sentences: tuple[str, ...]
    confirmed: bool
    state: str
    question: str
    answer: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChartView:
    """A value over time: what it is, and its picture."""

    title: str
    picture: Markup


@dataclass(frozen=True, slots=True, kw_only=True)
class StationView:
    """A row of a clause's history: when, under which number, what became of it, what it says, and who confirmed that."""

    label: str
    since: str
    number: Link
    state: str
    values: tuple[str, ...]
    effects: tuple[EffectView, ...]
    confirmed: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CourseView:
    """A clause's history: the values that moved as charts, and everything as a table behind them, with how usual that is.

    `outlook` says, where the rule was loosened last, how long such freedoms last.
    """

    summary: str
    charts: tuple[ChartView, ...]
    stations: tuple[StationView, ...]
    habits: tuple[str, ...]
    outlook: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ClauseView:
    """One clause as it stands. `level` is its heading's, 0 for a clause without one.

    `lasting` is an anchor that stays with the rule through all its numbers; `first` says where it stood under its first one,
    and `now` where the rule of an older book stands today. `effects` are those of the change since the season before, and
    `course` is its history, on the newest page that it has.
    """

    id: str
    anchor: str
    level: int
    heading: str
    text: Markup
    container: bool
    readings: tuple[ReadingView, ...]
    amended_by: str
    changed: Link | None
    kinds: tuple[str, ...]
    effects: tuple[EffectView, ...]
    lasting: str
    first: Link | None
    now: Link | None
    course: CourseView | None
    referred_from: tuple[ClauseLink, ...]
    impacts: tuple[ImpactLine, ...]

    @property
    def bare(self) -> bool:
        """Whether nothing but an anchor is left, because the page's title says all that the clause says."""
        return not (self.id or self.text or self.readings or self.changed or self.referred_from)


@dataclass(frozen=True, slots=True, kw_only=True)
class ChapterBrief:
    """One chapter in an edition's contents."""

    title: str
    href: str
    clauses: int
    changed: int
    unread: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpactView:
    """One impact in full. `kept` is what the crew has said in the matter already."""

    anchor: str
    term: Term
    what: str
    why: str
    on: str
    old: tuple[ClauseLink, ...]
    new: tuple[ClauseLink, ...]
    before: str
    after: str
    also: str
    job: str
    kept: str
    href: str
    weights: tuple[WeightSide, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingView:
    """One finding: what it is about, the car's value, the bound, the room between, and why unless the row says it all."""

    what: str
    note: str
    value: str
    bound: str
    room: str
    clauses: tuple[ClauseLink, ...]
    why: str
    shows_why: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class FindingGroup:
    """The findings of one verdict."""

    term: Term
    anchor: str
    findings: tuple[FindingView, ...]
    folded: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightRow:
    """One line of the weight's build-up; `note` is what the clause adds, where that is no mass."""

    label: str
    note: str
    clause: ClauseLink
    amount: str
    total: str
    certain: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightView:
    """The minimum weight, the car's, and what follows, in words; `reasons` where the verdict rests on more than the sum."""

    rows: tuple[WeightRow, ...]
    minimum: str
    car: str
    term: Term
    result: str
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class ReportView:
    """What the changes of one comparison do to an entry; `idle` are those without effect."""

    title: str
    draft: bool
    href: str
    impacts: tuple[ImpactView, ...]
    idle: tuple[ImpactView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryView:
    """One entry of a car."""

    title: str
    season: str
    anchor: str
    dates: str
    waivers: tuple[str, ...]
    standing: tuple[Tally, ...]
    reports: tuple[ReportView, ...]
    groups: tuple[FindingGroup, ...]
    weight: WeightView | None


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskView:
    """One job. `cause` says of a rule that stands no longer, or is not found, what it was; `clause` leads to one that stands."""

    what: str
    term: Term | None
    suggested: bool
    ask: bool
    late: bool
    due: str
    details: tuple[str, ...]
    clause: ClauseLink | None
    cause: str
    said: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskGroup:
    """The jobs under one heading."""

    title: str
    anchor: str
    tasks: tuple[TaskView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TaskSection:
    """The same jobs under headings of one sort."""

    title: str
    anchor: str
    groups: tuple[TaskGroup, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenGroup:
    """Open points of one sort: where, and what."""

    term: Term
    anchor: str
    points: tuple[tuple[str, Markup], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TogetherSide:
    """What one entry's book says of a quantity or an option."""

    entry: str
    term: Term
    words: str
    clauses: tuple[ClauseLink, ...]
    tighter: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TogetherRow:
    """One quantity or option of a car that is entered more than once, with what each book says of it."""

    what: str
    sides: tuple[TogetherSide, ...]
