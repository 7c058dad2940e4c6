"""What the published site is made from: results only, already worked out for one day."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date

from rulewatch.model.car import Car, Crew
from rulewatch.model.change import Comparison, Lineage
from rulewatch.model.edition import Body, Edition, Stage
from rulewatch.model.fault import Fault
from rulewatch.model.impact import Assessment, Impact
from rulewatch.model.inspection import InspectionSheet
from rulewatch.model.timeline import Timeline
from rulewatch.model.together import Together
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.model.weighing import BalanceSheet
from rulewatch.model.worklist import Kept, Task


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteSettings:
    """What `site.yaml` says: what the site is called, and where it will be; both may be empty."""

    title: str = ""
    base: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class ImpactReport:
    """What the changes of one comparison do to every entry of its body, in any order.

    A season has one for its book against the season before, and one for each day on which the text is another than on the
    car's day before: then `stage` is that day with its text. A `draft` tells what would be, if the drafts came. `judged` are the
    entries as they stand then.
    """

    comparison: Comparison
    impacts: tuple[Impact, ...]
    stage: Stage | None = None
    draft: bool = False
    judged: tuple[Assessment, ...] = ()

    @property
    def on(self) -> date | None:
        """The day from which it holds; None for the season's beginning."""
        return self.stage.day if self.stage is not None else None


@dataclass(frozen=True, slots=True, kw_only=True)
class Worklist:
    """What the changes do, each impact with the job that answers it; the jobs of each car; and what was added to their files.

    `together` has the cars that are entered more than once, their entries side by side.
    """

    reports: tuple[ImpactReport, ...]
    tasks: tuple[Task, ...]
    vocabulary: Vocabulary
    together: tuple[Together, ...] = ()
    kept: tuple[Kept, ...] = ()
    crew: Crew = field(default_factory=Crew)


@dataclass(frozen=True, slots=True, kw_only=True)
class SiteInput:
    """Everything that the site shows, and nothing that it would have to look up.

    `day` is the day the site is for; nothing else tells it the time. `base` is the site's own address, printed on paper so
    that a sheet says where it came from; empty where it has none. `editions` holds each body's editions from old to new, the
    newest two at least where there are two; `comparisons` those of consecutive editions, old to new, and `impacts` those of the
    newest season, by date.
    `lineages` names the rule that each clause is, by body, season and number.
    `timelines` has one for each rule to which anything ever happened.
    `assessments` has one for each entry, at its body's newest edition. `open_points` is what `verify` finds open.
    `tasks` are the jobs of each car, those of its own list and then what the changes suggest beside them. `inspections` has a sheet
    for each entry's next event, `balances` the weight sheet of each car.
    """

    title: str
    day: date
    vocabulary: Vocabulary
    base: str = ""
    bodies: tuple[Body, ...] = ()
    editions: tuple[Edition, ...] = ()
    comparisons: tuple[Comparison, ...] = ()
    cars: tuple[Car, ...] = ()
    assessments: tuple[Assessment, ...] = ()
    impacts: tuple[ImpactReport, ...] = ()
    lineages: Mapping[tuple[str, str, str], Lineage] = field(default_factory=dict)
    timelines: tuple[Timeline, ...] = ()
    open_points: tuple[Fault, ...] = ()
    together: tuple[Together, ...] = ()
    crew: Crew = field(default_factory=Crew)
    tasks: tuple[Task, ...] = ()
    inspections: tuple[InspectionSheet, ...] = ()
    balances: tuple[BalanceSheet, ...] = ()
