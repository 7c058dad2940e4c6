"""What a workspace can be read from: a folder, or a revision of it.

Rule text and cars may come from strangers, so a name is looked at before it is used, a size before a file is read, and
nothing outside the workspace is opened.
"""

from __future__ import annotations

import re
from typing import Protocol

from rulewatch.model.fault import Fault, Place, Source

BOUND = 20_000_000  # bytes of one text file
LONGEST_NAME = 255  # bytes of one part of a path, as on the usual file systems

_CONTROL = re.compile(r"[\x00-\x1f\x7f-\x9f\u2028\u2029\u202a-\u202e\u2066-\u2069]")
_BOM = b"\xef\xbb\xbf"


class Tree(Protocol):
    """Read access to the files of a workspace. Every path is `/`-separated and counts from the workspace.

    Names that begin with a dot are not listed: they belong to git and to editors.
    """

    @property
    def root_name(self) -> str:
        """What to call the workspace in a message."""

    def files(self, folder: str = "") -> tuple[str, ...]:
        """The paths of all files anywhere below a folder, sorted; none where the folder is not there."""

    def read(self, path: str) -> Source | Fault:
        """The text of a file without byte order mark and with plain line feeds.

        Faults: name-unsafe, file-missing, file-unreadable, file-too-large, not-utf8.
        """

    def exists(self, path: str) -> bool:
        """Whether a file or folder of that name can be read."""


def why_unsafe(path: str) -> str:
    """What makes a path unusable inside a workspace, in words; empty where nothing does.

    Symbolic links are the trees' own business: only they can see them.
    """
    if not path or path.startswith("/"):
        return "not a path inside the workspace"
    if _CONTROL.search(path) or "\\" in path:
        return "a backslash or a control character in a name"
    if not _is_text(path):
        return "a name that is not UTF-8"
    parts = path.split("/")
    if any(part in {"", ".", ".."} for part in parts):
        return "an empty part, `.` or `..` in the path"
    if any(len(part.encode()) > LONGEST_NAME for part in parts):
        return f"a name longer than {LONGEST_NAME} bytes"
    return ""


def shown(name: str) -> str:
    """A name with whatever a terminal might obey, or could not print, written out as an escape."""
    printable = name.encode("utf-8", "backslashreplace").decode()
    return _CONTROL.sub(lambda found: found.group().encode("unicode_escape").decode(), printable)


def unsafe(path: str, why: str) -> Fault:
    """The fault of a name that is not used."""
    return Fault(code="name-unsafe", place=Place(path=shown(path)), found=why, remedy="rename it, or put a plain file there")


def missing(path: str) -> Fault:
    """The fault of a file that is not there."""
    return Fault(code="file-missing", place=Place(path=path), found="no such file", remedy="create it, or mend what names it")


def too_large(path: str, size: int) -> Fault:
    """The fault of a file above the bound."""
    return Fault(
        code="file-too-large",
        place=Place(path=path),
        found=f"{size / 1e6:.0f} MB of text",
        expected=f"at most {BOUND / 1e6:.0f} MB",
        remedy="split it into chapters, or take the pictures out",
    )


def decode(path: str, data: bytes) -> Source | Fault:
    """Bytes as UTF-8 text: a byte order mark is dropped, and a line may end as on Windows."""
    data = data.removeprefix(_BOM)
    try:
        return Source(path=path, text=data.decode().replace("\r\n", "\n"))
    except UnicodeDecodeError as error:
        return _not_utf8(path, data, error.start)


def _not_utf8(path: str, data: bytes, start: int) -> Fault:
    """The fault at the first byte that is not UTF-8, with its line as far as it can be shown."""
    line_start = data.rfind(b"\n", 0, start) + 1
    line_end = data.find(b"\n", start)
    line = data[line_start : line_end if line_end >= 0 else len(data)].rstrip(b"\r").decode("utf-8", "replace")
    column = len(data[line_start:start].decode()) + 1
    is_utf16 = data.startswith((b"\xff\xfe", b"\xfe\xff"))
    return Fault(
        code="not-utf8",
        place=Place(path=path, line=data.count(b"\n", 0, start) + 1, column=column),
        found="UTF-16 text" if is_utf16 else f"the byte 0x{data[start]:02X}",
        expected="UTF-8 text",
        remedy="save the file as UTF-8",
        line_text="" if is_utf16 else _CONTROL.sub("\N{REPLACEMENT CHARACTER}", line),
    )


def _is_text(name: str) -> bool:
    """Whether a file name from the system was UTF-8 (Python marks other bytes with surrogates)."""
    try:
        name.encode()
    except UnicodeEncodeError:
        return False
    return True
