"""The made books, each printed once for all tests of a run."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache

import made_books
import pytest
from made_books import Book
from printed_books import CHROMIUM, by_chromium, by_reportlab

BOOKS: dict[str, Callable[[], Book]] = {
    "one column": lambda: made_books.book(seed=1, chapters=14),
    "two columns": lambda: made_books.book(seed=2, chapters=20, columns=2, colours=True),
}

made = cache(lambda name: BOOKS[name]())


@cache
def _printed(name: str, producer: str) -> bytes:
    if producer == "reportlab":
        pytest.importorskip("reportlab", reason="reportlab is in the dev extra")
        return by_reportlab(made(name))
    if not CHROMIUM:
        pytest.skip("no Chromium on this machine to print with")
    return by_chromium(made(name))


@pytest.fixture(scope="session")
def printed_book() -> Callable[[str, str], tuple[Book, bytes]]:
    """A made book (a name of `BOOKS`) and its PDF by a producer (`chromium` or `reportlab`)."""
    return lambda name, producer: (made(name), _printed(name, producer))
