"""Laws of reading: no name leads out, nothing reaches a terminal as a control character, and text comes through whole."""

from __future__ import annotations

import posixpath

from hypothesis import example, given, settings
from hypothesis import strategies as st

from rulewatch.model.fault import Fault, Source
from rulewatch.store.tree import decode, shown, unsafe, why_unsafe

ANY = st.text(st.characters(exclude_categories=()), max_size=40)
PATHS = st.lists(st.sampled_from(["..", ".", "", "a", "b.md", "/", "\x00", "..a", "\ud800"]), max_size=6).map("/".join)
RUN = settings(max_examples=100, deadline=None, derandomize=True)


@RUN
@given(st.one_of(PATHS, ANY))
def test_a_name_that_is_taken_stays_inside(path):
    """It is the same after its dots are resolved, and below the workspace."""
    if not why_unsafe(path):
        assert posixpath.normpath(f"/home/crew/{path}") == f"/home/crew/{path}"
        assert path.encode().decode() == path


@RUN
@given(ANY)
@example("\x1b]0;title\x07\u202egpj.md\n\udce9")
def test_a_name_in_a_message_prints(name):
    """Whatever stands in it, on one line and without a control character."""
    text = str(unsafe(name, "because"))
    assert text.encode()
    assert len(text.splitlines()) == 1
    assert not any(ord(sign) < 32 or 127 <= ord(sign) < 160 for sign in text)
    assert shown(shown(name)) == shown(name)


@RUN
@given(st.text(max_size=60))
def test_text_is_read_as_it_was_written(text):
    """But for line ends, which become plain, and one byte order mark."""
    plain = text.replace("\r\n", "\n")
    assert decode("a.md", text.encode()) == Source(path="a.md", text=plain.removeprefix("\ufeff"))
    assert decode("a.md", b"\xef\xbb\xbf" + text.encode()) == Source(path="a.md", text=plain)


@RUN
@given(
    st.text(max_size=40),
    st.sampled_from([b"\xff", b"\xc3(", b"\xe2\x82", b"\xed\xa0\x80", b"\xf8\x88\x80\x80\x80"]),
    st.text(max_size=9),
)
def test_the_first_byte_that_is_not_utf8_is_found(before, bad, after):
    """Its line and column count the characters before it."""
    fault = decode("a.md", before.encode() + bad + b"." + after.encode())
    assert isinstance(fault, Fault)
    lines = before.removeprefix("\ufeff").split("\n")
    assert (fault.code, fault.place.line, fault.place.column) == ("not-utf8", len(lines), len(lines[-1]) + 1)
