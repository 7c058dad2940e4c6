"""`make demo` on a machine that lacks something says what, and how to get it."""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
from pathlib import Path

import pytest

ROOT = Path(__file__).parents[1]
PLAIN = ("sh", "rm", "printf", "echo", "cat")

pytestmark = pytest.mark.skipif(shutil.which("make") is None, reason="there is no make on this machine")


@pytest.fixture
def make(tmp_path):
    """Run make in a copy of the project's outline, on a machine that has only what is put into its `bin`."""
    for name in ("Makefile", "pyproject.toml"):
        shutil.copy(ROOT / name, tmp_path)
    (tmp_path / "bin").mkdir()
    for tool in PLAIN:
        (tmp_path / "bin" / tool).symlink_to(str(shutil.which(tool)))

    def run(**programs: str) -> str:
        for name, script in programs.items():
            program = tmp_path / "bin" / name.replace("_", ".")
            program.write_text(f"#!/bin/sh\n{script}\n")
            program.chmod(0o755)
        command = [str(shutil.which("make")), "demo"]
        done = subprocess.run(
            command, cwd=tmp_path, env={"PATH": str(tmp_path / "bin")}, capture_output=True, text=True, check=False
        )
        assert done.returncode == 2
        assert not (tmp_path / ".venv").exists()
        return done.stderr

    return run


def test_without_git_it_says_how_to_get_git(make):
    """For both systems."""
    said = make(python3=f'exec {sys.executable} "$@"')
    assert said.startswith("rulewatch needs git, and there is none here. To get it:\n")
    assert "sudo apt-get install git\n" in said
    assert "xcode-select --install\n" in said


def test_without_python_it_says_how_to_get_python(make):
    """And what it found: nothing."""
    said = make(git="exit 0")
    assert said.startswith(
        "rulewatch needs Python 3.11 or later with its venv module, and there is none here.\nFound: no Python at all\n"
    )
    assert "sudo apt-get install python3 python3-venv\n" in said
    assert "brew install python" in said
    assert "make demo PYTHON=/path/to/python3\n" in said


def test_an_old_python_and_one_without_venv_are_told_apart(make):
    """Each that was tried is named, with what is wrong with it."""
    old = 'case "$2" in *print*) echo 3.9;; *) exit 1;; esac'
    bare = 'case "$2" in *print*) echo 3.11;; *ensurepip*) exit 1;; esac'
    said = make(git="exit 0", python3=old, python3_11=bare)
    assert (
        "Found: python3 is 3.9; python3.11 is 3.11; it cannot make environments (on Debian: python3-venv is missing);\n" in said
    )


def test_an_installed_environment_is_used_again(tmp_path):
    """Nothing is installed while pyproject.toml stays as it is; a folder that was moved is installed anew."""
    for name in ("Makefile", "pyproject.toml"):
        shutil.copy(ROOT / name, tmp_path)
    (tmp_path / ".venv/bin").mkdir(parents=True)
    (tmp_path / ".venv/bin/python").symlink_to(sys.executable)
    ready = tmp_path / ".venv/ready"

    def plan() -> str:
        plain = {"PATH": os.environ["PATH"]}  # without the options of a make that runs these tests
        done = subprocess.run(
            ["make", "--dry-run", "test"], cwd=tmp_path, env=plain, capture_output=True, text=True, check=True
        )
        return done.stdout

    ready.write_text(str(tmp_path))
    assert "pip install" not in plan()
    os.utime(tmp_path / "pyproject.toml", (2**31 - 1, 2**31 - 1))
    assert "pip install" in plan()
    os.utime(tmp_path / "pyproject.toml", (0, 0))
    assert "pip install" not in plan()
    ready.write_text("/elsewhere")
    assert "pip install" in plan()
    assert not ready.exists()
