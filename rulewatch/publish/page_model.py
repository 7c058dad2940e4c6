"""What each kind of page shows, as values made of the parts in `page_parts`."""

from __future__ import annotations

from dataclasses import dataclass

from rulewatch.publish.car_parts import EntryView, PastRow, TogetherRow
from rulewatch.publish.change_parts import ChangeGroup, ChangeView, MaskedView, WholeView
from rulewatch.publish.front_parts import BodyBrief, BulletinBrief, CarBrief, ComparisonBrief, Countdown
from rulewatch.publish.job_parts import TaskSection, TaskView
from rulewatch.publish.page_parts import Frame, Link, OpenGroup, Tally
from rulewatch.publish.rules_parts import ChapterBrief, ClassRow, ClauseView
from rulewatch.publish.sheet_parts import BalanceView, OutlookView, SheetView
from rulewatch.publish.words import Term


@dataclass(frozen=True, slots=True, kw_only=True)
class FrontPage:
    """The front page."""

    frame: Frame
    countdowns: tuple[Countdown, ...]
    cars: tuple[CarBrief, ...]
    bulletins: tuple[BulletinBrief, ...]
    comparisons: tuple[ComparisonBrief, ...]
    bodies: tuple[BodyBrief, ...]
    open_count: int
    open_href: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ComparePage:
    """Two editions compared. `whole` is what all changes together do, `masked` those that do something else alone.

    `touched` did not change but hang on what did; `reinterpreted` changed in our reading only.
    """

    frame: Frame
    kinds: tuple[Tally, ...]
    effects: tuple[Term, ...]
    rows: tuple[ClassRow, ...]
    whole: tuple[WholeView, ...]
    masked: tuple[MaskedView, ...]
    groups: tuple[ChangeGroup, ...]
    touched: tuple[ChangeView, ...]
    reinterpreted: tuple[ChangeView, ...]
    data: str


@dataclass(frozen=True, slots=True, kw_only=True)
class ChapterPage:
    """One chapter. The first clause's heading is the page's own where it is the chapter's title."""

    frame: Frame
    clauses: tuple[ClauseView, ...]
    before: Link | None
    after: Link | None


@dataclass(frozen=True, slots=True, kw_only=True)
class EditionPage:
    """The contents of one edition."""

    frame: Frame
    chapters: tuple[ChapterBrief, ...]
    bulletins: tuple[BulletinBrief, ...]
    events: tuple[Countdown, ...]
    comparisons: tuple[ComparisonBrief, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class CarPage:
    """One car."""

    frame: Frame
    note: str
    entries: tuple[EntryView, ...]
    together: tuple[TogetherRow, ...]
    past: tuple[PastRow, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class JobPage:
    """The jobs of one car. `suggested` tells that some follow from a change and are not on its list."""

    frame: Frame
    sections: tuple[TaskSection, ...]
    declined: tuple[TaskView, ...]
    done: tuple[TaskView, ...]
    suggested: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class InspectionPage:
    """The inspection sheets of one car, one for each entry."""

    frame: Frame
    sheets: tuple[SheetView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeightPage:
    """The weight sheet of one car: how it stands on its wheels, and what the scales of each entry's inspection will find."""

    frame: Frame
    balance: BalanceView
    outlooks: tuple[OutlookView, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenPage:
    """What waits for a person."""

    frame: Frame
    groups: tuple[OpenGroup, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class HowToReadPage:
    """The words of the site explained."""

    frame: Frame
    verdicts: tuple[Term, ...]
    outcomes: tuple[Term, ...]
    effects: tuple[Term, ...]
    kinds: tuple[Term, ...]
    data: tuple[Link, ...]


Page = (
    FrontPage
    | ComparePage
    | ChapterPage
    | EditionPage
    | CarPage
    | JobPage
    | InspectionPage
    | WeightPage
    | OpenPage
    | HowToReadPage
)
