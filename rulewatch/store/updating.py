"""Changing a file that people edit too: whole at any moment, one run at a time, and not over what was saved meanwhile."""

from __future__ import annotations

import fcntl
import os
import stat
import time
from collections.abc import Callable, Iterator
from contextlib import contextmanager, suppress
from pathlib import Path

from rulewatch.model.fault import Fault
from rulewatch.store.folder import FolderTree
from rulewatch.store.tree import BOUND, too_large
from rulewatch.store.writing import draft_of, in_the_way, put_down, settle, unwritable

PATIENCE = 10.0  # seconds that another run may take
TRIES = 20  # how often someone may save the file while it is worked on


def update_file(tree: FolderTree, path: str, edit: Callable[[bytes], bytes | Fault]) -> bool | Fault:
    """Put what `edit` makes of a file's content in its place; True where that is another content.

    `edit` is given nothing where there is no file yet, and is called again where someone saved the file meanwhile: it is
    looked at once more right before the rename. A symbolic link stays one, and who may read and write the file stays as it
    was. Faults: those of `edit`, name-unsafe, file-too-large, file-unwritable.
    """
    file = tree.real(path)
    if isinstance(file, Fault):
        return file
    try:
        with _alone(file.parent) as alone:
            if not alone:
                return in_the_way(file, "another run is writing here", "wait for it to end")
            _sweep(file)
            return _updated(file, path, edit)
    except OSError as error:
        return unwritable(file, error)


def _updated(file: Path, path: str, edit: Callable[[bytes], bytes | Fault]) -> bool | Fault:
    for _ in range(TRIES):
        old = _content(file)
        if old is not None and len(old) > BOUND:
            return too_large(path, len(old))
        new = edit(old or b"")
        if isinstance(new, Fault):
            return new
        if new == (old or b""):
            return False
        if file.exists() and not os.access(file, os.W_OK):
            return in_the_way(file, "the file may not be written", "see who owns it")
        if _replaced(file, old, new):
            return True
    return in_the_way(file, "someone keeps saving it", "close it in the editor, and try again")


def _replaced(file: Path, old: bytes | None, new: bytes) -> bool:
    """Whether a file got its new content; not where by then it holds something else than the old one."""
    draft = draft_of(file)
    try:
        if file.exists():
            put_down(draft, new, 0o600)  # nobody reads it who may not read the file
            _dress(draft, file.stat())
        else:
            put_down(draft, new)
        if _content(file) != old:
            draft.unlink()
            return False
        draft.replace(file)
        settle(file.parent)
    except OSError:
        with suppress(OSError):
            draft.unlink()
        raise
    return True


def _content(file: Path) -> bytes | None:
    """All of a file, up to a little more than it may hold; None where it is not there."""
    try:
        with file.open("rb") as stream:
            return stream.read(BOUND + 1)
    except FileNotFoundError:
        return None


def _dress(file: Path, like: os.stat_result) -> None:
    """Give a file the permissions of another, and its owner where that is allowed."""
    file.chmod(stat.S_IMODE(like.st_mode))
    with suppress(OSError):
        os.chown(file, like.st_uid, like.st_gid)
        file.chmod(stat.S_IMODE(like.st_mode))  # another owner takes some of them away


def _sweep(file: Path) -> None:
    """Remove what killed runs left beside a file; with the lock held, no other run is at work on it."""
    for left in file.parent.iterdir():
        if left.name.startswith(f".{file.name}.") and left.suffix == ".part":
            with suppress(OSError):
                left.unlink()


@contextmanager
def _alone(folder: Path) -> Iterator[bool]:
    """Whether no other run is changing a file of this folder; waits a while for one to end.

    The lock is on the folder's own handle, so that no file is left behind; the system lets go of it when a process ends.
    """
    handle = os.open(folder, os.O_RDONLY)
    try:
        until = time.monotonic() + PATIENCE
        while not (locked := _lock(handle)) and time.monotonic() < until:
            time.sleep(0.02)
        yield locked
    finally:
        os.close(handle)


def _lock(handle: int) -> bool:
    try:
        fcntl.flock(handle, fcntl.LOCK_EX | fcntl.LOCK_NB)
    except BlockingIOError:
        return False
    return True
