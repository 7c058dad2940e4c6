"""What tests write in few words: a workspace in memory, a clause with its readings, readings that are confirmed."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from datetime import date

from rulewatch.model.edition import Edition
from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.reading import Confirmation

BODY = "name: Saltmarsh Circuit Club\nclasses: {silhouette-b: Silhouette B, touring-c: Touring C}\n"


@dataclass(frozen=True, kw_only=True)
class MemoryTree:
    """Files by path, without a disk."""

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


def clause(number: str, text: str, *readings: str) -> str:
    """A clause with its readings, each one line or more of YAML."""
    blocks = "".join(f"\n```reading\n{reading}\n```\n" for reading in readings)
    return f"## {number} {text}\n{blocks}\n"


def confirm(edition: Edition, *, but: tuple[str, ...] = ()) -> Edition:
    """The edition with every reading confirmed against its clause's text, but those of some clauses."""

    def confirmation(clause_id: str) -> Confirmation | None:
        return None if clause_id in but else Confirmation(by="ina", on=date(2027, 1, 1), text=edition.by_id[clause_id].digest)

    readings = {
        name: tuple(replace(one, confirmed=confirmation(name)) for one in found) for name, found in edition.readings.items()
    }
    return replace(edition, readings=readings)
