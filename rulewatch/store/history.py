"""Who first recorded lines of a workspace's files: one pass over what each commit added, from the oldest on.

Only the lines that are asked for are kept, so that a long history costs time and no memory. No renaming is followed: a line
counts for the path that it stands in. What only a merge brought in is not seen.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from collections.abc import Set as AbstractSet
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from rulewatch.model.fault import Fault
from rulewatch.model.timeline import Recorded
from rulewatch.store.revision import commit_of, folder_within, open_repository

if TYPE_CHECKING:
    from git import Repo

# A line of a file: its path below the workspace, and its text.
Line = tuple[str, str]

_HUNK = re.compile(rb"@@ -\d+(?:,(?P<old>\d+))? \+\d+(?:,(?P<new>\d+))? @@")
# Whatever a repository's attributes or configuration would have run or changed in the output is off.
_LOG = (
    "--reverse",
    "--format=%x00%H%x00%an%x00%as",
    "-p",
    "-U0",
    "--no-color",
    "--no-ext-diff",
    "--no-textconv",
    "--no-renames",
    "--no-show-signature",
    "--src-prefix=a/",
    "--dst-prefix=b/",
)


def first_recorded(root: Path, folder: str, wanted: AbstractSet[Line], revision: str = "HEAD") -> dict[Line, Recorded] | Fault:
    """For lines of files below a folder, the commit up to a revision that first added them, in the order of the commits.

    Lines that no commit has are left out. Faults: no-repository, unknown-revision.
    """
    with open_repository(root) as repo:
        if isinstance(repo, Fault):
            return repo
        commit = commit_of(repo, root, revision)
        if isinstance(commit, Fault):
            return commit
        above = folder_within(repo, root)
        return _first(_added(_lines(repo, commit, f"{above}{folder}"), f"b/{above}".encode()), wanted)


def _lines(repo: Repo, commit: str, path: str) -> Iterator[bytes]:
    process = repo.git.log(*_LOG, commit, "--", path, as_process=True)
    yield from process.stdout
    process.wait()


def _added(output: Iterable[bytes], above: bytes) -> Iterator[tuple[Recorded, Line]]:
    """The lines that each commit added, from what `log -p -U0` prints."""
    commit: Recorded | None = None
    path, old, new = "", 0, 0
    for raw in output:
        line = raw.removesuffix(b"\n")
        if (old or new) and line[:1] in b"+-":
            if line[:1] == b"-":
                old -= 1
            else:
                new -= 1
                if commit is not None:
                    yield commit, (path, _text(line[1:]).removesuffix("\r"))
        elif line.startswith(b"\0"):
            name, by, on = (_text(part) for part in line[1:].split(b"\0"))
            commit = Recorded(by=by, on=date.fromisoformat(on), commit=name)
        elif line.startswith(b"+++ "):
            # git puts a tab behind a name with a space in it.
            path = _text(line[len(b"+++ ") :].removesuffix(b"\t").removeprefix(above))
        elif match := _HUNK.match(line):
            old, new = (int(match[side] or 1) for side in ("old", "new"))


def _text(part: bytes) -> str:
    return part.decode("utf-8", "replace")


def _first(added: Iterable[tuple[Recorded, Line]], wanted: AbstractSet[Line]) -> dict[Line, Recorded]:
    found: dict[Line, Recorded] = {}
    for commit, line in added:
        if line in wanted:
            found.setdefault(line, commit)
    return found
