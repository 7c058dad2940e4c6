"""A published PDF into a `Document`.

The pages are read in a process of their own (`pdf_book`): a file can be made so that the library that decodes it does not end, takes all
memory, or breaks down, and only a process can be stopped. It sends back how far it is, and at last the document.
"""

from __future__ import annotations

import pickle
import struct
import subprocess
import sys
import threading
from collections.abc import Callable
from dataclasses import dataclass, field
from pathlib import Path
from typing import IO, Any, cast

from rulewatch.intake.document import Document
from rulewatch.intake.pdf_page import USUAL, Bounds
from rulewatch.intake.pdf_remarks import fault
from rulewatch.model.fault import Fault

Progress = Callable[[int, int], None]

# The other process finds our modules where this one did, behind its own.
_CHILD = "import sys; sys.path.append(sys.argv[1]); from rulewatch.intake.pdf import answer; answer()"
_LENGTH = struct.Struct("<Q")


def read_pdf(data: bytes, path: str, *, progress: Progress | None = None, bounds: Bounds = USUAL) -> Document:
    """The book's blocks in reading order, with the page and line of each; lines are counted as they are read, heads left out.

    `path` is named in faults. `progress` is told how many pages of how many are read. Nothing is raised for a bad file: what
    could not be read, or was left out, is in the document's faults.
    """
    if len(data) > bounds.size:
        found = f"the PDF is {len(data) / 1e6:,.0f} MB"
        return Document(
            blocks=(), faults=(fault("book-too-large", path, found, expected=f"at most {bounds.size / 1e6:,.0f} MB"),)
        )
    call = [sys.executable, "-P", "-c", _CHILD, str(Path(__file__).parents[2])]
    with subprocess.Popen(call, stdin=subprocess.PIPE, stdout=subprocess.PIPE) as child:  # noqa: S603 - our own
        watch = _Watch(child=child, seconds=bounds.seconds)
        try:
            document = _asked(child, (data, path, bounds), progress, watch)
        finally:
            watch.end()
            child.kill()
    return document or Document(blocks=(), faults=(watch.fault(path),), pages=watch.pages)


@dataclass(kw_only=True)
class _Watch:
    """Stops a process that says nothing for so many seconds."""

    child: subprocess.Popen[bytes]
    seconds: float
    page: int = 0
    pages: int = 0
    late: bool = False
    _timer: threading.Timer | None = field(default=None, init=False)

    def begin(self) -> None:
        """Count the seconds from now; while the last page is behind us, not at all."""
        self.end()
        if not self.pages or self.page < self.pages:
            self._timer = threading.Timer(self.seconds, self._stop)
            self._timer.daemon = True
            self._timer.start()

    def end(self) -> None:
        """Count no more."""
        if self._timer:
            self._timer.cancel()

    def _stop(self) -> None:
        self.late = True
        self.child.kill()

    def fault(self, path: str) -> Fault:
        """Why there is no document."""
        where = f"page {self.page + 1} of the PDF" if self.pages else "the PDF"
        why = (
            f"took longer than {self.seconds:g} seconds to decode" if self.late else "cannot be decoded: the attempt broke down"
        )
        return fault(
            "book-damaged", path, f"{where} {why}", remedy="fetch it again from the body, or ask it for a plainer file"
        )


def _asked(
    child: subprocess.Popen[bytes], question: tuple[bytes, str, Bounds], progress: Progress | None, watch: _Watch
) -> Document | None:
    """The document that the other process makes; None where it ends before."""
    to_child, from_child = cast("IO[bytes]", child.stdin), cast("IO[bytes]", child.stdout)
    watch.begin()
    try:
        pickle.dump(question, to_child)
        to_child.close()
    except BrokenPipeError:
        return None
    while (answer := _received(from_child)) is not None:
        if isinstance(answer, Document):
            return answer
        watch.page, watch.pages = answer
        watch.begin()
        if progress:
            progress(watch.page, watch.pages)
    return None


def _received(source: IO[bytes]) -> Any:
    head = source.read(_LENGTH.size)
    if len(head) < _LENGTH.size:
        return None
    (length,) = _LENGTH.unpack(head)
    body = source.read(length)
    return pickle.loads(body) if len(body) == length else None  # noqa: S301 - from the process that we started


def answer() -> None:
    """What the other process does: read a book from its standard input, send how far it is and then the document to its output."""
    from rulewatch.intake.pdf_book import read_pages

    data, path, bounds = pickle.load(sys.stdin.buffer)  # noqa: S301 - from the process that started us
    _hold(bounds.memory)
    _send(read_pages(data, path, lambda page, pages: _send((page, pages)), bounds))


def _send(what: object) -> None:
    body = pickle.dumps(what)
    sys.stdout.buffer.write(_LENGTH.pack(len(body)) + body)
    sys.stdout.buffer.flush()


def _hold(memory: int) -> None:
    """Keep this process from taking more memory than that, where the system can."""
    try:
        import resource
    except ImportError:  # not on Windows
        return
    resource.setrlimit(resource.RLIMIT_AS, (memory, memory))
