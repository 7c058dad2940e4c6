"""One file through the commits that changed it: one `log` over its path, and its content from the open `cat-file`.

Nothing is checked out, and no renaming is followed. Of branches only the first line is followed: what came by a merge is told as
of the merge, so that each state follows from the one before it.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from rulewatch.model.alteration import FileState
from rulewatch.model.fault import Fault, Source
from rulewatch.model.timeline import Recorded
from rulewatch.store.revision import commit_of, folder_within, open_repository
from rulewatch.store.tree import BOUND, decode

if TYPE_CHECKING:
    from git import Repo

MOST = 1000  # of a longer history the newest commits; a car's file has some dozens
_LOG = (
    "--format=%x01%H%x00%an%x00%as%x00",
    "--raw",
    "--no-abbrev",
    "-z",
    "-m",
    "--first-parent",
    "--no-color",
    "--no-renames",
    "--no-show-signature",
)
_HEAD = re.compile(rb"\x01([0-9a-f]{40,64})\0([^\0]*)\0(\d{4}-\d\d-\d\d)\0")
_MARKS = 5
_REGULAR = {"100644", "100755"}


def file_states(root: Path, path: str) -> tuple[FileState, ...] | Fault:
    """A file as each commit left it, from old to new, places in it named `COMMIT:path`; at most the newest 1,000.

    Commits that took it away, or left what is no text of a fit size, are passed over. Faults: no-repository, unknown-revision.
    """
    with open_repository(root) as repo:
        if isinstance(repo, Fault):
            return repo
        commit = commit_of(repo, root, "HEAD")
        if isinstance(commit, Fault):
            return commit
        whole = f"{folder_within(repo, root)}{path}"
        output = repo.git.log(*_LOG, f"--max-count={MOST}", commit, "--", whole, stdout_as_string=False)
        return tuple(reversed(list(_states(repo, output, path))))


def _states(repo: Repo, output: bytes, path: str) -> Iterator[FileState]:
    heads = list(_HEAD.finditer(output))
    for head, end in zip(heads, (*(each.start() for each in heads[1:]), len(output)), strict=True):
        name, by, on = head.groups()
        raw = output[head.end() : end]
        recorded = Recorded(by=by.decode("utf-8", "replace"), on=date.fromisoformat(on.decode()), commit=name.decode())
        # `:old-mode new-mode old-blob new-blob status`, a NUL, the path.
        marks = raw.lstrip(b"\0\n").split(b"\0", 1)[0].decode("ascii", "replace").split()
        if len(marks) == _MARKS and marks[1] in _REGULAR:
            source = _content(repo, marks[3], f"{name[:10].decode()}:{path}")
            if source is not None:
                yield FileState(recorded=recorded, source=source)


def _content(repo: Repo, blob: str, name: str) -> Source | None:
    try:
        if repo.git.get_object_header(blob)[2] > BOUND:
            return None
        source = decode(name, repo.git.get_object_data(blob)[3])
    except (ValueError, OSError):
        repo.git.clear_cache()  # some versions of git end over an object that is not there
        return None
    return source if isinstance(source, Source) else None
