"""A car and a book in a few lines, read as from files and judged."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass
from datetime import date

import pytest
from support import BODY, confirm

from rulewatch.assess.verdicts import judge
from rulewatch.model.car import Car
from rulewatch.model.edition import Edition, Point
from rulewatch.model.impact import Assessment
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
    ) -> Case:
        sheets = {"spec": spec, "standard": standard, "homologated": homologated}
        workspace = memory_workspace(
            {
                "rulesets/saltmarsh/body.yaml": BODY,
                "rulesets/saltmarsh/2027/edition.yaml": f"title: Rules 2027\neffective: 2027-01-01\n{header}",
                "rulesets/saltmarsh/2027/01-rules.md": rules,
                "cars/heron/car.yaml": (
                    "name: Heron\n"
                    f"entries: [{{body: saltmarsh, class: silhouette-b{f', waivers: {waivers}' if waivers else ''}}}]\n"
                    + "".join(f"{name}: {sheet}\n" for name, sheet in sheets.items() if sheet != "{}")
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
