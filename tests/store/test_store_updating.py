"""Changing a file that people edit too: nothing half written, nobody's work lost."""

from __future__ import annotations

import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rulewatch.model.fault import Fault, Place
from rulewatch.store import updating
from rulewatch.store.folder import FolderTree
from rulewatch.store.updating import update_file


def add(line: bytes):
    """An edit that adds a line."""
    return lambda content: content + line + b"\n"


def names(folder: Path) -> set[str]:
    """The names in a folder."""
    return {entry.name for entry in folder.iterdir()}


@pytest.fixture
def file(tmp_path):
    """A list in a workspace."""
    file = tmp_path / "jobs.yaml"
    file.write_bytes(b"one\n")
    return file


def test_a_file_gets_what_the_edit_makes_of_it(file):
    """And nothing is left beside it."""
    assert update_file(FolderTree(file.parent), "jobs.yaml", add(b"two")) is True
    assert file.read_bytes() == b"one\ntwo\n"
    assert names(file.parent) == {"jobs.yaml"}


def test_an_edit_that_changes_nothing_writes_nothing(file):
    """Not even the time of the file is another."""
    before = file.stat()
    assert update_file(FolderTree(file.parent), "jobs.yaml", lambda content: content) is False
    assert (file.stat().st_mtime_ns, file.stat().st_ino) == (before.st_mtime_ns, before.st_ino)


def test_a_file_that_is_not_there_begins_empty(tmp_path):
    """It is made where something is to be written, and not otherwise."""
    tree = FolderTree(tmp_path)
    assert update_file(tree, "jobs.yaml", lambda content: content) is False
    assert names(tmp_path) == set()
    assert update_file(tree, "jobs.yaml", add(b"one")) is True
    assert (tmp_path / "jobs.yaml").read_bytes() == b"one\n"


def test_a_fault_of_the_edit_leaves_the_file(file):
    """It is handed on."""
    fault = Fault(code="edit-failed", place=Place(path="jobs.yaml"), found="no")
    assert update_file(FolderTree(file.parent), "jobs.yaml", lambda _: fault) == fault
    assert file.read_bytes() == b"one\n"
    assert names(file.parent) == {"jobs.yaml"}


def test_permissions_stay(file):
    """Whoever could read and write the file still can, and nobody else."""
    file.chmod(0o640)
    assert update_file(FolderTree(file.parent), "jobs.yaml", add(b"two")) is True
    assert file.stat().st_mode & 0o7777 == 0o640


def test_a_link_stays_a_link(file):
    """The file that it leads to is changed."""
    (file.parent / "list.yaml").symlink_to("jobs.yaml")
    assert update_file(FolderTree(file.parent), "list.yaml", add(b"two")) is True
    assert (file.parent / "list.yaml").readlink() == Path("jobs.yaml")
    assert file.read_bytes() == b"one\ntwo\n"


def test_a_link_out_of_the_workspace_is_not_followed(tmp_path):
    """What it leads to is left alone."""
    (tmp_path / "other.yaml").write_bytes(b"mine\n")
    (tmp_path / "home").mkdir()
    (tmp_path / "home/jobs.yaml").symlink_to(tmp_path / "other.yaml")
    fault = update_file(FolderTree(tmp_path / "home"), "jobs.yaml", add(b"two"))
    assert isinstance(fault, Fault)
    assert fault.code == "name-unsafe"
    assert (tmp_path / "other.yaml").read_bytes() == b"mine\n"


def test_a_folder_that_is_not_there_is_a_fault(tmp_path):
    """A car without a folder has no list."""
    fault = update_file(FolderTree(tmp_path), "cars/marram/jobs.yaml", add(b"one"))
    assert isinstance(fault, Fault)
    assert fault.code == "file-unwritable"


def test_what_is_saved_meanwhile_is_read_again(file):
    """An editor saves twice while the list is worked on; all three have their line."""
    saved = [b"theirs\n", b"theirs again\n"]

    def edit(content: bytes) -> bytes:
        if saved:
            file.write_bytes(file.read_bytes() + saved.pop(0))
        return content + b"ours\n"

    assert update_file(FolderTree(file.parent), "jobs.yaml", edit) is True
    assert file.read_bytes() == b"one\ntheirs\ntheirs again\nours\n"


def test_a_file_that_is_taken_away_meanwhile_begins_empty(file):
    """What was deleted does not come back."""

    def edit(content: bytes) -> bytes:
        file.unlink(missing_ok=True)
        return content + b"ours\n"

    assert update_file(FolderTree(file.parent), "jobs.yaml", edit) is True
    assert file.read_bytes() == b"ours\n"


def test_a_file_that_never_rests_is_left_alone(file):
    """After some tries it is a fault, and everything that was saved is there."""
    count = 0

    def edit(content: bytes) -> bytes:
        nonlocal count
        count += 1
        file.write_bytes(b"%d\n" % count)
        return content + b"ours\n"

    fault = update_file(FolderTree(file.parent), "jobs.yaml", edit)
    assert isinstance(fault, Fault)
    assert (fault.code, fault.found) == ("file-unwritable", "someone keeps saving it")
    assert file.read_bytes() == b"%d\n" % updating.TRIES
    assert names(file.parent) == {"jobs.yaml"}


ADDER = """
import sys
from pathlib import Path
from rulewatch.store.folder import FolderTree
from rulewatch.store.updating import update_file
name, count = sys.argv[2:]
for number in range(int(count)):
    line = f"{name} {number}\\n".encode()
    assert update_file(FolderTree(Path(sys.argv[1])), "jobs.yaml", lambda content: content + line * 50) is True
    print(number, flush=True)
"""


def adder(folder: Path, name: str, count: int) -> subprocess.Popen[str]:
    """A process that adds its lines to the list of a folder, fifty equal ones at a time."""
    return subprocess.Popen([sys.executable, "-c", ADDER, folder, name, str(count)], stdout=subprocess.PIPE, text=True)


def test_runs_at_once_lose_nothing(file):
    """Three processes add twenty times each, and every line is there, each one's in its order."""
    runs = [adder(file.parent, name, 20) for name in "abc"]
    for run in runs:
        with run:
            assert run.wait() == 0
    lines = file.read_text().splitlines()
    for name in "abc":
        assert [line for line in lines if line.startswith(name)] == [f"{name} {n}" for n in range(20) for _ in range(50)]
    assert names(file.parent) == {"jobs.yaml"}


def test_a_kill_leaves_the_old_file_or_the_new_one(file):
    """Twelve runs are killed at random moments; each time the file is whole and has all that was reported as written."""
    moments = random.Random(11)  # noqa: S311 - the moments need no secrecy, only variety
    reported = 0
    for number in range(12):
        with adder(file.parent, str(number), 10_000) as run:
            assert run.stdout is not None
            run.stdout.readline()
            time.sleep(moments.uniform(0, 0.1))
            run.send_signal(signal.SIGKILL)
            done = 1 + len(run.stdout.read().split())
        lines = file.read_text().splitlines()
        assert len(lines) % 50 == 1
        found = sum(line.startswith(f"{number} ") for line in lines) // 50
        assert found in {done, done + 1}
        reported += done
    assert reported > 12
    assert update_file(FolderTree(file.parent), "jobs.yaml", add(b"end")) is True
    assert names(file.parent) == {"jobs.yaml"}, "what killed runs left beside it is gone"


def test_a_killed_run_does_not_keep_others_waiting(file, monkeypatch):
    """A run that is stopped holds the others up, for a while; once it is killed they go on."""
    hold = "import fcntl, os, sys, time; fcntl.flock(os.open(sys.argv[1], os.O_RDONLY), fcntl.LOCK_EX); print(1, flush=True); time.sleep(60)"
    monkeypatch.setattr(updating, "PATIENCE", 0.1)
    with subprocess.Popen([sys.executable, "-c", hold, file.parent], stdout=subprocess.PIPE) as holder:
        assert holder.stdout is not None
        holder.stdout.readline()
        fault = update_file(FolderTree(file.parent), "jobs.yaml", add(b"two"))
        holder.kill()
    assert isinstance(fault, Fault)
    assert fault.found == "another run is writing here"
    assert update_file(FolderTree(file.parent), "jobs.yaml", add(b"two")) is True


@pytest.mark.skipif(os.geteuid() == 0, reason="root may write everything")
def test_a_file_that_may_not_be_written_is_left_alone(file):
    """It is no way round its permissions that the folder could be written."""
    file.chmod(0o444)
    fault = update_file(FolderTree(file.parent), "jobs.yaml", add(b"two"))
    assert isinstance(fault, Fault)
    assert fault.found == "the file may not be written"
