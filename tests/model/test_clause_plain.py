"""The text of a clause as a reader sees it. Source: CommonMark 0.31.2, 2.4 Backslash escapes, 2.5 Entity references."""

from __future__ import annotations

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from rulewatch.model.clause import plain, written_at


@pytest.mark.parametrize(
    ("text", "read"),
    [
        (r"vom 1\.5 mm", "vom 1.5 mm"),
        (r"a \a \\ b", "a \\a \\ b"),
        ("5&nbsp;mm &amp; 3 &#8722; 2 &#x3c; 4", "5\u00a0mm & 3 − 2 < 4"),
        ("R&D; &nosuch; & alone", "R&D; &nosuch; & alone"),
    ],
)
def test_plain(text, read):
    """Escaped signs and entities are the signs that they stand for; anything else stays."""
    assert plain(text) == read


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.text(alphabet="ab1.\\;&#x2amp<*", max_size=20))
def test_a_library_reads_escapes_alike(text):
    """markdown-it-py, a CommonMark implementation, gives the same signs where no emphasis or code is involved."""
    if any(sign in text for sign in "*<`[") or "#" in text:
        return
    inline = MarkdownIt("commonmark").parseInline(text)[0].children or []
    shown = "".join(token.content for token in inline if token.type in {"text", "text_special"})
    assert plain(text) == shown


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.text(alphabet="ab1.\\;&amp", max_size=20))
def test_each_sign_is_found_where_it_is_written(text):
    """What stands before a sign in the plain text is the plain text of what stands before it as written."""
    read = plain(text)
    for offset in range(len(read) + 1):
        assert plain(text[: written_at(text, offset)]) == read[:offset]
