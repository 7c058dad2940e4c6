"""Published texts into documents, against their own lists of sections and against readers that the project did not write.

Debian Policy Manual: Debian's package debian-policy, GPL-2+, as text and as HTML; the environment variable RULEWATCH_POLICY
names the folder `usr/share/doc/debian-policy` of the unpacked package. CommonMark specification: see test_pairs_commonmark.py.
German vehicle licensing regulation: an official work, in the folder that RULEWATCH_CORPORA names.
"""

from __future__ import annotations

import gzip
import os
import re
from html.parser import HTMLParser
from pathlib import Path

import pytest

from rulewatch.intake.document import Document, Kind
from rulewatch.intake.html import read_html
from rulewatch.intake.markdown import read_markdown
from rulewatch.intake.plain_text import read_plain_text

POLICY = Path(os.environ.get("RULEWATCH_POLICY", "/usr/share/doc/debian-policy"))
COMMONMARK = Path(os.environ.get("RULEWATCH_COMMONMARK", "none"))
CORPORA = Path(os.environ.get("RULEWATCH_CORPORA", "none"))
needs_policy = pytest.mark.skipif(
    not (POLICY / "policy.txt.gz").is_file(), reason="RULEWATCH_POLICY does not name the folder of the Debian Policy Manual"
)
SECTION = re.compile(r"((?:[A-Z]|\d+)(?:\.\d+)*)\. ")


def said(document: Document, *, pictures: bool = True) -> str:
    """All words of a document in order, without the white space between them."""
    lines = [
        line
        for block in document.blocks
        if pictures or block.kind is not Kind.PICTURE
        for line in (*block.lines, *(line for row in block.rows for cell in row for line in cell))
    ]
    return squeezed("".join(line.text for line in lines))


def squeezed(text: str) -> str:
    """A text without white space."""
    return "".join(text.split())


def numbers(document: Document) -> list[str]:
    """The section numbers with which headings begin."""
    return [match[1] for block in document.blocks if block.level and (match := SECTION.match(block.text))]


class _Words(HTMLParser):
    """The words of the article of a page, by the standard library."""

    def __init__(self) -> None:
        super().__init__()
        self.depth, self.skipped, self.words = 0, 0, []

    def handle_starttag(self, tag, attrs):
        stated = dict(attrs)
        if tag == "div" and (self.depth or stated.get("class") == "body"):
            self.depth += 1
        self.skipped += tag == "a" and stated.get("class") == "headerlink"

    def handle_endtag(self, tag):
        self.depth -= tag == "div" and self.depth > 0
        self.skipped -= tag == "a" and self.skipped > 0

    def handle_data(self, data):
        if self.depth and not self.skipped:
            self.words.append(data)


@needs_policy
def test_policy_as_text():
    """Every section of the manual's own list is a heading, found once and in order, and no word is lost."""
    text = gzip.decompress((POLICY / "policy.txt.gz").read_bytes())
    document = read_plain_text(text, "policy.txt")
    listed = re.findall(
        r"^ *\* ((?:[A-Z]|\d+)(?:\.\d+)*)\. ", text.decode().partition("\n1. About this manual\n")[0], re.MULTILINE
    )
    assert len(listed) > 250
    assert numbers(document) == listed
    assert said(document) == squeezed(
        "\n".join(line for line in text.decode().split("\n") if not re.fullmatch(r"\s*([=*\-~^\"])\1{2,}", line))
    )
    assert document.faults == ()


@needs_policy
def test_policy_as_pages():
    """Every section that the first page lists is a heading of its page, of the level that the list shows."""
    index = (POLICY / "policy.html" / "index.html").read_text(encoding="utf-8")
    listed = re.findall(
        r'toctree-l(\d)"><a class="reference internal" href="([\w-]+\.html)[^"]*">((?:[A-Z]|\d+)(?:\.\d+)*)\. ', index
    )
    assert len(listed) > 250
    found = []
    for page in dict.fromkeys(page for _, page, _ in listed):
        document = read_html((POLICY / "policy.html" / page).read_bytes(), page)
        found += [
            (str(block.level), page, match[1])
            for block in document.blocks
            if block.level and (match := SECTION.match(block.text))
        ]
    assert found == listed


@needs_policy
def test_words_of_pages():
    """The words of each page are those that the standard library's reader finds in its article, in the same order."""
    checked = 0
    for page in sorted((POLICY / "policy.html").glob("*[a-z]-*.html")):
        text = page.read_text(encoding="utf-8")
        reader = _Words()
        reader.feed(text)
        document = read_html(text.encode(), page.name)
        assert squeezed("".join(reader.words)) in said(document, pictures=False), page.name
        checked += 1
    assert checked > 15


@pytest.mark.skipif(
    not (COMMONMARK / "0.31.2").is_dir(), reason="RULEWATCH_COMMONMARK does not name the folder of the specification"
)
@pytest.mark.parametrize("version", ["0.28.0", "0.31.2"])
def test_commonmark(version):
    """The 43 sections of the specification are headings; what stands in its fences is text."""
    text = (COMMONMARK / version / "spec.txt").read_bytes()
    document = read_markdown(text, "spec.md")
    outside = re.sub(rb"(?ms)^`{32} example.*?^`{32}$", b"", text).decode()
    listed = re.findall(r"^(#{1,3}) (.+)$", outside, re.MULTILINE)
    assert len(listed) == 43
    assert [("#" * block.level, block.text) for block in document.blocks if 0 < block.level <= 3] == listed


@pytest.mark.skipif(not CORPORA.is_dir(), reason="RULEWATCH_CORPORA does not name the folder of the texts")
@pytest.mark.parametrize("edition", ["2012-07", "2021-07"])
def test_vehicle_licensing(edition):
    """Every heading of a long official text is one, and hardly a word is lost."""
    text = (CORPORA / "vehicle-licensing" / f"stvzo-{edition}.md").read_text(encoding="utf-8")
    document = read_markdown(text.encode(), "stvzo.md")
    paragraphs = re.findall(r"^#+ (§ \d+[a-z]?)(?= )", text, re.MULTILINE)
    assert [
        match[0] for block in document.blocks if block.level and (match := re.match(r"§ \d+[a-z]?(?= )", block.text))
    ] == paragraphs
    words, read = (
        len(re.findall(r"\w+", text)),
        sum(len(re.findall(r"\w+", f"{block.label} {block.text}")) for block in document.blocks),
    )
    read += sum(
        len(re.findall(r"\w+", line.text)) for block in document.blocks for row in block.rows for cell in row for line in cell
    )
    assert abs(words - read) < 0.01 * words
    assert [fault for fault in document.faults if not fault.warning] == []
