"""Writing that is whole at any moment, whoever kills the program and whenever."""

from __future__ import annotations

import fcntl
import os
import random
import signal
import subprocess
import sys
import time
from pathlib import Path

import pytest

from rulewatch.model.fault import Fault
from rulewatch.store.writing import BUILDS, swap_folder, write_file, write_folder

SITE = {"index.html": b"front", "cars/a.html": b"a", "data/x/y.json": b"{}"}


def content(folder: Path) -> dict[str, bytes]:
    """All files below a folder, by path."""
    return {file.relative_to(folder).as_posix(): file.read_bytes() for file in folder.rglob("*") if file.is_file()}


def names(folder: Path) -> set[str]:
    """The names in a folder."""
    return {entry.name for entry in folder.iterdir()}


def test_a_file_is_written_with_its_folders_and_nothing_beside_it(tmp_path):
    """The part file is gone after."""
    assert write_file(tmp_path / "cars/a/jobs.yaml", b"jobs: []\n") is None
    assert content(tmp_path) == {"cars/a/jobs.yaml": b"jobs: []\n"}


def test_a_file_that_is_replaced_keeps_its_permissions(tmp_path):
    """A file that only its owner may read stays so."""
    file = tmp_path / "crew.yaml"
    file.write_text("old")
    file.chmod(0o640)
    assert write_file(file, b"new") is None
    assert (file.read_bytes(), file.stat().st_mode & 0o777) == (b"new", 0o640)


def test_a_file_that_cannot_be_written_is_a_fault_and_leaves_all_as_it_was(tmp_path):
    """Here a folder stands in the way, and a file where a folder should be."""
    (tmp_path / "folder/inner").mkdir(parents=True)
    (tmp_path / "file").write_text("x")
    for target in (tmp_path / "folder", tmp_path / "file/below"):
        fault = write_file(target, b"new")
        assert isinstance(fault, Fault)
        assert str(fault).startswith(f"{target}: file-unwritable ")
    assert content(tmp_path) == {"file": b"x"}
    assert names(tmp_path) == {"folder", "file"}


def test_a_full_disk_leaves_the_old_content(tmp_path, monkeypatch):
    """The write that fails is the one beside."""

    def full(_handle: int) -> None:
        raise OSError(28, "No space left on device")

    (tmp_path / "site").mkdir()
    assert write_file(tmp_path / "a.yaml", b"old") is None
    assert swap_folder(tmp_path / "site/public", SITE) is None
    monkeypatch.setattr(os, "fsync", full)
    for fault in (
        write_file(tmp_path / "a.yaml", b"new"),
        swap_folder(tmp_path / "site/public", {"index.html": b"new"}),
        write_folder(tmp_path / "new", SITE),
    ):
        assert isinstance(fault, Fault)
        assert fault.found == "no space left on device"
    assert (tmp_path / "a.yaml").read_bytes() == b"old"
    assert content(tmp_path / "site/public") == SITE
    assert names(tmp_path) == {"a.yaml", "site"}
    assert len(names(tmp_path / "site" / BUILDS)) == 2, "one build and the lock"


def test_a_new_folder_appears_with_everything_in_it(tmp_path):
    """A folder that is not there, or stands there empty, is filled."""
    (tmp_path / "empty").mkdir()
    for name in ("new", "empty", "deep/er"):
        assert write_folder(tmp_path / name, SITE) is None
        assert content(tmp_path / name) == SITE
    assert names(tmp_path) == {"new", "empty", "deep"}


def test_a_folder_with_something_in_it_is_not_touched(tmp_path):
    """Nor is a file, or a link."""
    (tmp_path / "used").mkdir()
    (tmp_path / "used/x").write_text("x")
    (tmp_path / "file").write_text("x")
    (tmp_path / "link").symlink_to("elsewhere")
    for name in ("used", "file", "link"):
        assert str(write_folder(tmp_path / name, SITE)) == (
            f"{tmp_path / name}: file-unwritable something is there already; name a folder that is new or empty"
        )
    assert content(tmp_path) == {"used/x": b"x", "file": b"x"}


def test_a_site_replaces_the_one_before_and_leaves_one_build(tmp_path):
    """`public` is a relative link, so that the folder above can be moved; files of the old site are gone."""
    public = tmp_path / "site/public"
    assert swap_folder(public, SITE | {"old.html": b"old"}) is None
    assert swap_folder(public, SITE) is None
    assert content(public) == SITE
    assert not Path(public.readlink()).is_absolute()
    assert names(tmp_path / "site") == {"public", BUILDS}
    assert names(tmp_path / "site" / BUILDS) == {"lock", Path(public.readlink()).name}
    (tmp_path / "site").rename(tmp_path / "moved")
    assert content(tmp_path / "moved/public") == SITE


@pytest.mark.parametrize(
    ("name", "why"),
    [
        ("../index.html", "an empty part, `.` or `..` in the path"),
        ("/index.html", "not a path inside the workspace"),
        ("a\x00b", "a backslash or a control character in a name"),
        ("INDEX.html", "it differs from `index.html` by capital letters only"),
        ("index.html/x", "`index.html` is a file and cannot be a folder too"),
    ],
)
def test_names_that_do_not_fit_into_one_folder_everywhere_are_refused(tmp_path, name, why):
    """A system that takes capital letters for small ones would lose one of two files; nothing is written then."""
    for fault in (
        swap_folder(tmp_path / "public", {"index.html": b"", name: b""}),
        write_folder(tmp_path / "new", {"index.html": b"", name: b""}),
    ):
        assert isinstance(fault, Fault)
        assert (fault.code, fault.found) == ("name-unsafe", why)
    assert names(tmp_path) == set()


def test_what_a_person_put_in_the_way_of_the_site_is_not_removed(tmp_path):
    """A folder with files, a file, and a link to somewhere else; an empty folder is replaced."""
    (tmp_path / "folder").mkdir()
    (tmp_path / "folder/mine.txt").write_text("mine")
    (tmp_path / "file").write_text("mine")
    (tmp_path / "link").symlink_to("folder")
    (tmp_path / "empty").mkdir()
    found = {name: swap_folder(tmp_path / name, SITE) for name in ("folder", "file", "link", "empty")}
    assert {name: str(fault).removeprefix(f"{tmp_path / name}: ") for name, fault in found.items()} == {
        "folder": "file-unwritable a folder with files that were not made here; move it away",
        "file": "file-unwritable a file; move it away",
        "link": "file-unwritable a link to folder, which was not made here; move it away",
        "empty": "None",
    }
    assert (tmp_path / "folder/mine.txt").read_text() == "mine"
    assert content(tmp_path / "empty") == SITE


def test_only_builds_are_removed_from_the_folder_of_builds(tmp_path):
    """What was left by a run that was killed goes; what a person put there stays."""
    builds = tmp_path / BUILDS
    (builds / "build-0123456789abcdef/half").mkdir(parents=True)
    (builds / "kept").mkdir()
    (tmp_path / ".public.0123456789abcdef.part").symlink_to("x")
    assert swap_folder(tmp_path / "public", SITE) is None
    assert names(builds) == {"kept", "lock", (tmp_path / "public").readlink().name}
    assert names(tmp_path) == {"public", BUILDS}


WRITER = """
import sys
from pathlib import Path
from rulewatch.store.writing import swap_folder
n = int(sys.argv[2])
print("begin", flush=True)
while True:
    n += 1
    assert swap_folder(Path(sys.argv[1]), {f"part/{i}.txt": str(n).encode() for i in range(20)}) is None
    print(n, flush=True)
"""


def test_the_site_is_whole_whenever_the_writer_is_killed(tmp_path):
    """Twelve runs are killed at random moments; each time the site is one complete build, no older than the last said done."""
    public = tmp_path / "public"
    moments = random.Random(4)  # noqa: S311 - the moments need no secrecy, only variety
    done = 0
    for _ in range(12):
        with subprocess.Popen([sys.executable, "-c", WRITER, public, str(done)], stdout=subprocess.PIPE, text=True) as writer:
            assert writer.stdout is not None
            assert writer.stdout.readline() == "begin\n"
            time.sleep(moments.uniform(0, 0.1))
            writer.send_signal(signal.SIGKILL)
            done = max([done, *(int(line) for line in writer.stdout.read().split())])
        if public.exists() or done:
            found = content(public)
            assert len(found) == 20
            assert len(set(found.values())) == 1
            assert int(found["part/0.txt"]) in {done, done + 1}
            done = int(found["part/0.txt"])
    assert done, "at least one run finished a build"
    assert swap_folder(public, SITE) is None
    assert content(public) == SITE
    assert names(tmp_path) == {"public", BUILDS}


def test_two_writers_do_not_take_each_other_s_builds_away(tmp_path):
    """While one holds the lock, the other is told to wait and writes nothing."""
    assert swap_folder(tmp_path / "public", SITE) is None
    with (tmp_path / BUILDS / "lock").open("ab") as first:
        fcntl.flock(first, fcntl.LOCK_EX)
        before = names(tmp_path / BUILDS)
        assert str(swap_folder(tmp_path / "public", {})) == (
            f"{tmp_path / 'public'}: file-unwritable another run is writing here; wait for it to end"
        )
        assert names(tmp_path / BUILDS) == before
    assert swap_folder(tmp_path / "public", {}) is None
    assert content(tmp_path / "public") == {}
