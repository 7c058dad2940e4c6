"""Who git says is at work here."""

from __future__ import annotations

import os
from pathlib import Path


def git_user(root: Path) -> str:
    """The name that git would give to a commit in a folder, from its environment or configuration; empty where it has none."""
    from git import Git
    from git.exc import GitError

    name = os.environ.get("GIT_AUTHOR_NAME", "")
    try:
        return name or str(Git(root).config("--get", "user.name")).strip()
    except (GitError, OSError):
        return ""
