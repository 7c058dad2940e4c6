"""A workspace as it lies on disk."""

from __future__ import annotations

import os
import stat
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from rulewatch.model.fault import Fault, Place, Source
from rulewatch.store.tree import BOUND, decode, missing, shown, too_large, unsafe, why_unsafe


@dataclass(frozen=True, slots=True)
class FolderTree:
    """The files below a folder.

    A symbolic link to a file is followed as long as it stays inside the workspace; a link to a folder is not.
    """

    root: Path

    @property
    def root_name(self) -> str:
        """The folder as it was given."""
        return shown(str(self.root))

    def files(self, folder: str = "") -> tuple[str, ...]:
        """See `Tree`. A link to a folder is listed like a file, so that reading it tells why it is refused."""
        if folder and (why_unsafe(folder) or self._why_outside(folder)):
            return ()
        return tuple(sorted(self._walk(folder)))

    def read(self, path: str) -> Source | Fault:
        """See `Tree`."""
        if why := why_unsafe(path) or self._why_outside(path):
            return unsafe(path, why)
        return read_file(self.root / path, path)

    def exists(self, path: str) -> bool:
        """See `Tree`."""
        return not (why_unsafe(path) or self._why_outside(path)) and (self.root / path).exists()

    def real(self, path: str) -> Path | Fault:
        """Where a file of the workspace really lies, be it there or not, for writing. Fault: name-unsafe."""
        if why := why_unsafe(path) or self._why_outside(path):
            return unsafe(path, why)
        return Path(os.path.realpath(self.root / path))

    def _walk(self, folder: str) -> Iterator[str]:
        for here, folders, names in os.walk(self.root / folder):
            above = Path(here).relative_to(self.root)
            folders[:] = [name for name in folders if not name.startswith(".")]
            links = [name for name in folders if (Path(here) / name).is_symlink()]
            for name in (*names, *links):
                if not name.startswith("."):
                    yield (above / name).as_posix()

    def _why_outside(self, path: str) -> str:
        """What is wrong with the links on the way to a path, in words; empty where nothing is."""
        root = Path(os.path.realpath(self.root))
        named, real = root / path, Path(os.path.realpath(root / path))
        if not real.is_relative_to(root):
            return "a symbolic link that leads out of the workspace"
        if Path(os.path.realpath(named.parent)) != named.parent or (named.is_symlink() and named.is_dir()):
            return "a symbolic link to a folder"
        return ""


def read_file(file: Path, name: str) -> Source | Fault:
    """The text of one file, wherever it lies; `name` is what messages call it. Faults as `Tree.read`, but for names."""
    try:
        found = file.stat()
        if not stat.S_ISREG(found.st_mode):
            return _unreadable(name, "not a file")
        if found.st_size > BOUND:
            return too_large(name, found.st_size)
        with file.open("rb") as stream:
            data = stream.read(BOUND + 1)
    except (FileNotFoundError, NotADirectoryError):
        return missing(shown(name))
    except OSError as error:
        return _unreadable(name, error.strerror or "it cannot be read")
    return decode(name, data) if len(data) <= BOUND else too_large(name, len(data))


def _unreadable(name: str, why: str) -> Fault:
    return Fault(
        code="file-unreadable", place=Place(path=shown(name)), found=why[0].lower() + why[1:], expected="a file to read"
    )
