"""Laws of the block structure: it is that of markdown-it, whichever of the two reads it.

Outside sources: markdown-it-py, with whose tokens every text is compared; and the examples of the CommonMark specification
(npm package commonmark-spec, CC BY-SA 4.0) where the environment variable RULEWATCH_COMMONMARK names a folder with one
folder a version (`0.31.2/spec.txt`), and the books under RULEWATCH_CORPORA.
"""

import os
import re
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from markdown_it import MarkdownIt

from rulewatch.parse.block_scan import DEEPEST, Kind, scan

KINDS = {
    "bullet_list_open": Kind.LIST,
    "ordered_list_open": Kind.LIST,
    "bullet_list_close": Kind.LIST_END,
    "ordered_list_close": Kind.LIST_END,
    "list_item_open": Kind.ITEM,
    "list_item_close": Kind.ITEM_END,
    "paragraph_open": Kind.PARAGRAPH,
    "heading_open": Kind.HEADING,
    "fence": Kind.FENCE,
}


def by_library(text):
    """What markdown-it makes of a whole text: each sign with what is told of it."""
    parser = MarkdownIt("commonmark", {"maxNesting": DEEPEST})
    parser.disable(["code", "html_block", "reference"])
    tokens = []
    parser.block.parse(text.replace("\0", "\ufffd"), parser, {}, tokens)
    for token in tokens:
        kind = KINDS.get(token.type)
        if kind in {Kind.LIST, Kind.LIST_END, Kind.ITEM_END}:
            yield (kind,)
        elif kind is Kind.ITEM:
            yield kind, token.map[0]
        elif kind is Kind.PARAGRAPH:
            yield kind, *token.map
        elif kind is Kind.HEADING:
            yield kind, *token.map, token.markup, token.tag
        elif kind is Kind.FENCE:
            yield kind, *token.map, token.markup, token.info, token.content


def by_scan(text):
    """The same as it is read here."""
    for sign in scan(text.split("\n")):
        if sign.kind in {Kind.LIST, Kind.LIST_END, Kind.ITEM_END}:
            yield (sign.kind,)
        elif sign.kind is Kind.ITEM:
            yield sign.kind, sign.first
        elif sign.kind is Kind.PARAGRAPH:
            yield sign.kind, sign.first, sign.end
        elif sign.kind is Kind.HEADING:
            yield sign.kind, sign.first, sign.end, sign.markup, f"h{sign.level}"
        else:
            yield sign.kind, sign.first, sign.end, sign.markup, sign.info, sign.content


INDENTS = ["", "", "", " ", "  ", "   ", "    ", "     ", "      ", "        ", "\t", " \t", "  \t "]
MARKERS = [
    "",
    "",
    "- ",
    "* ",
    "+ ",
    "1. ",
    "2. ",
    "1) ",
    "10. ",
    "-",
    "1.",
    "-   ",
    "*      ",
    "1234567890. ",
    "> ",
    ">",
    "-\t",
    "* * ",
]
BODIES = [
    *(
        "",
        "",
        "",
        "text",
        "text",
        "# title",
        "## ",
        "#",
        "#title",
        "####### x",
        "---",
        "- - -",
        "***",
        "===",
        "=",
        "--",
        "-",
        "_ _ _",
    ),
    *(
        "```",
        "```reading",
        "````",
        "~~~",
        "~~~ a `b`",
        "``` a`b",
        "```  ",
        "1.",
        "*",
        "+",
        "- a",
        "3) c",
        "<b>",
        "[a]: b",
        "\0",
    ),
    *("\v", "\xa0", "\r", "\f x", "\u2028", "   ", "\t", "==\t", "* *\t*", "#\ttitle"),
]
parts = st.builds("".join, st.tuples(*(st.sampled_from(each) for each in (INDENTS, MARKERS, BODIES))))
texts = st.lists(st.one_of(parts, parts, parts, st.text("-*+1.)>`~#=_ \tab", max_size=10)), max_size=16).map("\n".join)


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.lists(texts, min_size=20, max_size=20))
def test_blocks_of_any_text(several):
    """Whatever the text, its blocks are those that markdown-it finds in it."""
    for text in several:
        assert list(by_scan(text)) == list(by_library(text)), text


NESTED = {
    "items on one line": "- " * 60 + "x\n\ny",
    "items on lines": "\n".join(" " * (2 * n) + "- x" for n in range(60)) + "\n\n## 5 end",
    "too deep and then a quote": "1. " * 60 + "x\n\n> y\n\n# z",
    "a quote between": "- a\n\n> - b\n>   - c\n> d\n\n- e\n\t- f\n\ng",
    "nothing": "",
    "white space": " \n\t\n ",
}


@pytest.mark.parametrize("text", NESTED.values(), ids=NESTED.keys())
def test_blocks_of_deep_and_empty_texts(text):
    """The limit on depth, and texts without a block, are markdown-it's as well."""
    assert list(by_scan(text)) == list(by_library(text))


@pytest.mark.skipif("RULEWATCH_COMMONMARK" not in os.environ, reason="RULEWATCH_COMMONMARK names no folder")
def test_blocks_of_the_examples_of_commonmark():
    """Every example of every version of the specification at hand, and each specification as a whole."""
    for page in sorted(Path(os.environ["RULEWATCH_COMMONMARK"]).glob("*/spec.txt")):
        text = page.read_text(encoding="utf-8")
        examples = re.findall(r"^`{32} example\n(.*?)^\.\n", text, re.DOTALL | re.MULTILINE)
        assert len(examples) > 600
        for each in (text, *(example.replace("→", "\t") for example in examples)):
            assert list(by_scan(each)) == list(by_library(each)), each


@pytest.mark.skipif("RULEWATCH_CORPORA" not in os.environ, reason="RULEWATCH_CORPORA names no folder")
def test_blocks_of_published_books(monkeypatch):
    """Published books are read the same way, and without markdown-it."""
    books = sorted(Path(os.environ["RULEWATCH_CORPORA"]).glob("*/*.md"))
    assert len(books) >= 10
    texts = [book.read_text(encoding="utf-8") for book in books]
    expected = [list(by_library(text)) for text in texts]
    monkeypatch.setattr("rulewatch.parse.block_scan._Library.block", None)
    for book, text, signs in zip(books, texts, expected, strict=True):
        assert list(by_scan(text)) == signs, book
