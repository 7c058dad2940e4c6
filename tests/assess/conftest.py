"""A car and a book in a few lines, read as from files and judged."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import pytest
from support import BODY, confirm

from rulewatch.assess.entries import judged_before
from rulewatch.assess.impact import impacts
from rulewatch.assess.topics import Topics
from rulewatch.assess.verdicts import judge
from rulewatch.compare.comparison import compare_editions
from rulewatch.model.car import Car
from rulewatch.model.edition import Edition, Point
from rulewatch.model.impact import Assessment, Impact
from rulewatch.workspace import Workspace

DAY = date(2027, 4, 10)


@dataclass(frozen=True, kw_only=True)
class Case:
    """One edition and one car, with the vocabulary that both were read with."""

    workspace: Workspace
    edition: Edition
    car: Car

    def judge(self, day: date = DAY) -> Assessment:
        """The car's first entry, judged."""
        return judge(self.edition, self.car, self.car.entries[0], day, self.workspace.vocabulary)


@pytest.fixture
def case(memory_workspace) -> Callable[..., Case]:
    """Make a case from rules in Markdown and a spec in YAML; every reading is confirmed unless named in `unconfirmed`."""

    def made(
        rules: str,
        spec: str,
        *,
        standard: str = "{}",
        homologated: str = "{}",
        header: str = "",
        waivers: str = "",
        unconfirmed: tuple[str, ...] = (),
        decision: str = "",
        balance: str = "",
    ) -> Case:
        sheets = {"spec": spec, "standard": standard, "homologated": homologated}
        workspace = memory_workspace(
            {
                "rulesets/saltmarsh/body.yaml": f"{BODY}\n{decision}\n",
                "rulesets/saltmarsh/2027/edition.yaml": f"title: Rules 2027\neffective: 2027-01-01\n{header}",
                "rulesets/saltmarsh/2027/01-rules.md": rules,
                "cars/heron/car.yaml": (
                    "name: Heron\n"
                    f"entries: [{{body: saltmarsh, class: silhouette-b{f', waivers: {waivers}' if waivers else ''}}}]\n"
                    + "".join(f"{name}: {sheet}\n" for name, sheet in sheets.items() if sheet != "{}")
                    + (f"balance: {balance}\n" if balance else "")
                ),
            }
        )
        edition = workspace.edition(Point(body="saltmarsh", season="2027"))
        car = workspace.car("heron")
        assert workspace.faults == ()
        assert edition is not None
        assert car is not None
        return Case(workspace=workspace, edition=confirm(edition, but=unconfirmed), car=car)

    return made


ENTRY = "{body: saltmarsh, class: silhouette-b}"


@pytest.fixture
def change(memory_workspace) -> Callable[..., tuple[Impact, ...]]:
    """The impacts on a car of a change from one book to another, every reading confirmed but those of the clauses named."""

    def made(
        old: str,
        new: str,
        spec: str,
        *,
        standard: str = "",
        header: str = "",
        headers: tuple[str, str] = ("", ""),
        entries: str = ENTRY,
        options: str = "",
        unconfirmed: tuple[str, ...] = (),
        unconfirmed_before: tuple[str, ...] = (),
    ) -> tuple[Impact, ...]:
        files = {"rulesets/saltmarsh/body.yaml": BODY}
        for season, text, own in (("2026", old, headers[0]), ("2027", new, headers[1])):
            title = f"title: Rules {season}\neffective: {season}-01-01\n"
            files[f"rulesets/saltmarsh/{season}/edition.yaml"] = f"{title}{header}{own}"
            files[f"rulesets/saltmarsh/{season}/01-rules.md"] = text
        sheet = f"standard: {standard}\n" if standard else ""
        files["cars/heron/car.yaml"] = f"name: Heron\nentries: [{entries}]\nspec: {spec}\n{sheet}"
        if options:
            files["cars/heron/options.yaml"] = f"options: {options}\n"
        workspace = memory_workspace(files)
        before, after = (workspace.edition(Point(body="saltmarsh", season=season)) for season in ("2026", "2027"))
        car = workspace.car("heron")
        assert workspace.faults == ()
        assert before is not None
        assert after is not None
        assert car is not None
        before, after = confirm(before, but=unconfirmed_before), confirm(after, but=unconfirmed)
        now = judge(after, car, car.entries[0], DAY, workspace.vocabulary)
        then = judged_before(before, now, workspace.vocabulary)
        return impacts(compare_editions(before, after), then, now, Topics(vocabulary=workspace.vocabulary), crew_p=0.95)

    return made
