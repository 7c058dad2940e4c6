"""Published books from disk, as bytes."""

from __future__ import annotations

import stat
from pathlib import Path

from rulewatch.model.fault import Fault, Place
from rulewatch.store.tree import shown

LARGEST = 200_000_000  # bytes; what a reader takes is less


def read_published(file: Path) -> bytes | Fault:
    """The bytes of a file that a body published, wherever it lies. Faults: file-missing, file-unreadable, book-too-large."""
    name = shown(str(file))
    try:
        found = file.stat()
        if not stat.S_ISREG(found.st_mode):
            return _unreadable(name, "not a file")
        if found.st_size > LARGEST:
            return _too_large(name, found.st_size)
        with file.open("rb") as stream:
            data = stream.read(LARGEST + 1)
    except (FileNotFoundError, NotADirectoryError):
        return Fault(code="file-missing", place=Place(path=name), found="no such file", remedy="look how it is called")
    except OSError as error:
        return _unreadable(name, error.strerror or "it cannot be read")
    return data if len(data) <= LARGEST else _too_large(name, len(data))


def _too_large(name: str, size: int) -> Fault:
    found = f"a file of {size / 1e6:,.0f} MB"
    return Fault(code="book-too-large", place=Place(path=name), found=found, expected=f"at most {LARGEST / 1e6:,.0f} MB")


def _unreadable(name: str, why: str) -> Fault:
    return Fault(code="file-unreadable", place=Place(path=name), found=why[0].lower() + why[1:], expected="a file to read")
