"""Writing that is whole at any moment: beside first, then into place by one rename.

Whoever kills the program, or pulls the plug, finds the old content or the new, never a part.
"""

from __future__ import annotations

import fcntl
import os
import re
import secrets
import shutil
import stat
from collections.abc import Iterator, Mapping
from contextlib import contextmanager, suppress
from pathlib import Path

from rulewatch.model.fault import Fault, Place
from rulewatch.store.tree import shown, unsafe, why_unsafe

BUILDS = ".builds"
_BUILD = re.compile(r"build-[0-9a-f]{16}")


def write_file(file: Path, data: bytes) -> Fault | None:
    """Write a file beside its place, then put it there. Folders above it are made, and a symbolic link is replaced.

    Fault: file-unwritable.
    """
    beside = draft_of(file)
    try:
        file.parent.mkdir(parents=True, exist_ok=True)
        put_down(beside, data)
        if file.exists():
            beside.chmod(stat.S_IMODE(file.stat().st_mode))
        beside.replace(file)
        settle(file.parent)
    except OSError as error:
        with suppress(OSError):
            beside.unlink()
        return unwritable(file, error)
    return None


def write_folder(folder: Path, files: Mapping[str, bytes]) -> Fault | None:
    """Make a new folder with files, by path below it, all or nothing; it may stand there empty before.

    Faults: name-unsafe, file-unwritable.
    """
    if fault := _first_unsafe(files):
        return fault
    if folder.is_symlink() or (folder.exists() and (not folder.is_dir() or any(folder.iterdir()))):
        return in_the_way(folder, "something is there already", "name a folder that is new or empty")
    beside = draft_of(folder)
    try:
        folder.parent.mkdir(parents=True, exist_ok=True)
        _fill(beside, files)
        beside.replace(folder)
        settle(folder.parent)
    except OSError as error:
        shutil.rmtree(beside, ignore_errors=True)
        return unwritable(folder, error)
    return None


def swap_folder(target: Path, files: Mapping[str, bytes]) -> Fault | None:
    """Make `target` show exactly these files (by path below it), all at once.

    They are written to a new folder in `.builds` beside it; `target` is a symbolic link to the latest, replaced by one
    rename, and older ones are removed after. What stands at `target` and is not ours is never removed.
    Faults: name-unsafe, file-unwritable.
    """
    if fault := _first_unsafe(files) or _foreign(target):
        return fault
    builds = target.parent / BUILDS
    try:
        builds.mkdir(parents=True, exist_ok=True)
        with _alone(builds) as alone:
            if not alone:
                return in_the_way(target, "another run is writing here", "wait for it to end")
            build = builds / f"build-{secrets.token_hex(8)}"
            _fill(build, files)
            settle(builds)
            _point(target, build)
            _remove_others(target, build)
    except OSError as error:
        return unwritable(target, error)
    return None


def _point(target: Path, build: Path) -> None:
    """Let the link `target` point to a build, by one rename."""
    if target.is_dir() and not target.is_symlink():
        target.rmdir()  # it is empty: `_foreign` has looked
    link = draft_of(target)
    link.symlink_to(f"{BUILDS}/{build.name}", target_is_directory=True)
    link.replace(target)
    settle(target.parent)


def _remove_others(target: Path, build: Path) -> None:
    """Remove what earlier runs left, finished or killed; the site is up, so that nothing here can fail it."""
    for old in build.parent.iterdir():
        if old != build and _BUILD.fullmatch(old.name):
            shutil.rmtree(old, ignore_errors=True)
    for link in target.parent.glob(f".{target.name}.*.part"):
        if link.is_symlink():
            link.unlink(missing_ok=True)


def _foreign(target: Path) -> Fault | None:
    """The fault of a target that some person made."""
    if target.is_symlink():
        to = target.readlink()
        if to.parent == Path(BUILDS) and _BUILD.fullmatch(to.name):
            return None
        return in_the_way(target, f"a link to {shown(str(to))}, which was not made here", "move it away")
    if target.is_dir() and any(target.iterdir()):
        return in_the_way(target, "a folder with files that were not made here", "move it away")
    if target.exists() and not target.is_dir():
        return in_the_way(target, "a file", "move it away")
    return None


def _first_unsafe(files: Mapping[str, bytes]) -> Fault | None:
    """The fault of names that cannot all be written side by side on every file system."""
    taken: dict[str, str] = {}
    for path in files:
        if why := why_unsafe(path):
            return unsafe(path, why)
        other = taken.setdefault(path.casefold(), path)
        if other != path:
            return unsafe(path, f"it differs from `{shown(other)}` by capital letters only")
    for folded, path in taken.items():
        for above in map(str, Path(folded).parents):
            if above in taken:
                return unsafe(path, f"`{shown(taken[above])}` is a file and cannot be a folder too")
    return None


def _fill(folder: Path, files: Mapping[str, bytes]) -> None:
    """Write files into a folder that is not there yet; where that fails, nothing of it is left."""
    folders = {folder} | {folder / above for path in files for above in Path(path).parents}
    try:
        for each in sorted(folders):
            each.mkdir()
        for path, data in files.items():
            put_down(folder / path, data)
        for each in folders:
            settle(each)
    except OSError:
        shutil.rmtree(folder, ignore_errors=True)
        raise


def put_down(file: Path, data: bytes, mode: int = 0o666) -> None:
    """Write a file that is not there yet, down to the disk; `mode` is who may read and write it, less what the system masks."""
    with os.fdopen(os.open(file, os.O_WRONLY | os.O_CREAT | os.O_EXCL, mode), "wb") as stream:
        stream.write(data)
        stream.flush()
        os.fsync(stream.fileno())


def settle(folder: Path) -> None:
    """Bring a folder's list of names down to the disk."""
    handle = os.open(folder, os.O_RDONLY)
    try:
        os.fsync(handle)
    finally:
        os.close(handle)


@contextmanager
def _alone(builds: Path) -> Iterator[bool]:
    """Whether no other process is writing here; the system lets go of the lock when a process ends, however it does."""
    with (builds / "lock").open("ab") as lock:
        try:
            fcntl.flock(lock, fcntl.LOCK_EX | fcntl.LOCK_NB)
        except BlockingIOError:
            yield False
        else:
            yield True


def draft_of(path: Path) -> Path:
    """A hidden name in the same folder that no other run takes."""
    return path.with_name(f".{path.name}.{secrets.token_hex(8)}.part")


def unwritable(path: Path, error: OSError) -> Fault:
    """The fault of what the system refuses."""
    why = error.strerror or "it cannot be written"
    return in_the_way(path, why[0].lower() + why[1:], "see who owns the folder, and whether the disk is full")


def in_the_way(path: Path, found: str, remedy: str) -> Fault:
    """The fault of a place that something keeps from being written."""
    return Fault(code="file-unwritable", place=Place(path=shown(str(path))), found=found, remedy=remedy)
