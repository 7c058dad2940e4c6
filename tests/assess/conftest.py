"""A car and a book in a few lines, read as from files and judged."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, replace
from datetime import date

import pytest

from rulewatch.assess.verdicts import judge
from rulewatch.model.car import Car
from rulewatch.model.edition import Edition, Point
from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.impact import Assessment
from rulewatch.model.reading import Confirmation
from rulewatch.workspace import Workspace

DAY = date(2027, 4, 10)


@dataclass(frozen=True, kw_only=True)
class MemoryTree:
    """Files by path."""

    contents: Mapping[str, str]
    root_name: str = "memory"

    def files(self, folder: str = "") -> tuple[str, ...]:
        """Every path below a folder."""
        return tuple(sorted(path for path in self.contents if not folder or path.startswith(f"{folder}/")))

    def read(self, path: str) -> Source | Fault:
        """One file."""
        if path not in self.contents:
            return Fault(code="file-missing", place=Place(path=path), found="not there")
        return Source(path=path, text=self.contents[path])

    def exists(self, path: str) -> bool:
        """Whether there is such a file."""
        return path in self.contents


def confirm(edition: Edition, *, but: tuple[str, ...] = ()) -> Edition:
    """The edition with every reading confirmed against its text, but those of some clauses."""
    digests = {clause.id: clause.digest for clause in edition.clauses}
    readings = {
        name: tuple(
            replace(one, confirmed=None if name in but else Confirmation(by="ina", on=DAY, text=digests[name])) for one in found
        )
        for name, found in edition.readings.items()
    }
    return replace(edition, readings=readings)


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
def case() -> Callable[..., Case]:
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
        workspace = Workspace(
            MemoryTree(
                contents={
                    "rulesets/saltmarsh/body.yaml": "name: Saltmarsh Circuit Club\nclasses: {silhouette-b: Silhouette B, touring-c: Touring C}\n",
                    "rulesets/saltmarsh/2027/edition.yaml": f"title: Rules 2027\neffective: 2027-01-01\n{header}",
                    "rulesets/saltmarsh/2027/01-rules.md": rules,
                    "cars/heron/car.yaml": (
                        "name: Heron\n"
                        f"entries: [{{body: saltmarsh, class: silhouette-b{f', waivers: {waivers}' if waivers else ''}}}]\n"
                        + "".join(f"{name}: {sheet}\n" for name, sheet in sheets.items() if sheet != "{}")
                    ),
                }
            )
        )
        edition = workspace.edition(Point(body="saltmarsh", season="2027"))
        car = workspace.car("heron")
        assert workspace.faults == ()
        assert edition is not None
        assert car is not None
        return Case(workspace=workspace, edition=confirm(edition, but=unconfirmed), car=car)

    return made


def clause(number: str, text: str, *readings: str) -> str:
    """A clause with its readings, each one line or more of YAML."""
    blocks = "".join(f"\n```reading\n{reading}\n```\n" for reading in readings)
    return f"## {number} {text}\n{blocks}\n"
