"""What tests of several rooms share: files in a folder, and a repository around them."""

from __future__ import annotations

import os
import subprocess
from collections.abc import Callable, Mapping
from pathlib import Path

import pytest
from support import MemoryTree

from rulewatch.workspace import Workspace


@pytest.fixture
def put(tmp_path: Path) -> Callable[[Mapping[str, str | bytes]], Path]:
    """Write files into the test's own folder, by path below it; gives the folder."""

    def write(files: Mapping[str, str | bytes]) -> Path:
        for name, content in files.items():
            file = tmp_path / name
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(content.encode() if isinstance(content, str) else content)
        return tmp_path

    return write


@pytest.fixture
def run_git(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Callable[..., str]:
    """Run git in the test's own folder, untouched by the configuration of whoever runs the tests."""
    for name in [name for name in os.environ if name.startswith("GIT_")]:
        monkeypatch.delenv(name)
    monkeypatch.setenv("GIT_CONFIG_GLOBAL", os.devnull)
    monkeypatch.setenv("GIT_CONFIG_NOSYSTEM", "1")
    for who in ("AUTHOR", "COMMITTER"):
        monkeypatch.setenv(f"GIT_{who}_NAME", "Test")
        monkeypatch.setenv(f"GIT_{who}_EMAIL", "test@example.org")

    def run(*arguments: str) -> str:
        done = subprocess.run(["git", *arguments], cwd=tmp_path, check=True, capture_output=True, text=True)
        return done.stdout.strip()

    return run


@pytest.fixture(scope="session")
def memory_workspace() -> Callable[[Mapping[str, str]], Workspace]:
    """A workspace of files that are given by path."""
    return lambda files: Workspace(MemoryTree(contents=files))
