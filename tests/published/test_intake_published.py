"""Published books taken in as a whole, their clauses against their own lists of sections.

Debian Policy Manual: Debian's package debian-policy, GPL-2+, as text and as HTML; the environment variable RULEWATCH_POLICY
names the folder `usr/share/doc/debian-policy` of the unpacked package. German vehicle licensing regulation: an official work,
in the folder that RULEWATCH_CORPORA names.
"""

from __future__ import annotations

import gzip
import os
import re
from collections import Counter
from pathlib import Path

import pytest

from rulewatch.intake.html import read_html
from rulewatch.intake.markdown import read_markdown
from rulewatch.intake.numbering_style import Numbering
from rulewatch.intake.plain_text import read_plain_text
from rulewatch.intake.structure import Structured, structure

POLICY = Path(os.environ.get("RULEWATCH_POLICY", "/usr/share/doc/debian-policy"))
CORPORA = Path(os.environ.get("RULEWATCH_CORPORA", "none"))
needs_policy = pytest.mark.skipif(
    not (POLICY / "policy.txt.gz").is_file(), reason="RULEWATCH_POLICY does not name the folder of the Debian Policy Manual"
)
ENTRY = re.compile(r"^ *\* (\d+(?:\.\d+)*)\. \S", re.MULTILINE)
PAGE = re.compile(r'href="((?:ch|ap)-[\w-]+\.html|upgrading-checklist\.html)')


def policy() -> tuple[str, list[str]]:
    """The manual as text, and the numbers of the list of sections that it begins with."""
    text = gzip.decompress((POLICY / "policy.txt.gz").read_bytes()).decode()
    return text, ENTRY.findall(text[: text.index("\n1. About this manual\n*")])


def sections(taken: Structured) -> list[str]:
    """The numbers of the clauses that are no items of lists; the appendices begin at 1 again, and no heading says so."""
    return [clause.id.partition("#")[0] for clause in taken.clauses if "(" not in clause.id]


@needs_policy
def test_the_policy_manual_as_text():
    """Every section of its own list is a clause, in order and once; the list itself is left out."""
    text, listed = policy()
    taken = structure([read_plain_text(text.encode(), "policy.txt")], Numbering())
    assert sections(taken) == listed
    assert len(listed) == 338
    assert taken.title == "Debian Policy Manual"
    why = [doubt.why for chapter in taken.chapters for doubt in chapter.doubts]
    assert "the number 1 comes again; first on line 707" in why  # where the appendices begin


@needs_policy
def test_the_policy_manual_as_pages():
    """The same of its 23 pages of HTML, taken as one book."""
    folder = POLICY / "policy.html"
    names = dict.fromkeys(PAGE.findall((folder / "index.html").read_text()))
    assert len(names) == 23
    taken = structure([read_html((folder / name).read_bytes(), name) for name in names], Numbering())
    assert sections(taken) == policy()[1]


@pytest.mark.skipif(not CORPORA.is_dir(), reason="RULEWATCH_CORPORA does not name the folder of the texts")
@pytest.mark.parametrize(("edition", "count"), [("2012-07", 117), ("2021-07", 122)])
def test_vehicle_licensing(edition, count):
    """Every section that has a heading is a clause, in order, and nearly every word comes out; what does not is named."""
    text = (CORPORA / "vehicle-licensing" / f"stvzo-{edition}.md").read_text(encoding="utf-8")
    taken = structure([read_markdown(text.encode(), "stvzo.md")], Numbering())
    headings = re.findall(r"^#+ (§ \d+[a-z]?)(?= )", text, re.MULTILINE)
    assert [clause.id for clause in taken.clauses if re.fullmatch(r"§ \d+[a-z]?", clause.id)] == headings
    assert len(headings) == count
    words = Counter(re.findall(r"\w{2,}", text))
    kept = Counter(re.findall(r"\w{2,}", " ".join(chapter.text for chapter in taken.chapters)))
    assert (words - kept).total() < 0.02 * words.total()  # front matter, contents pages, the names of pictures' files
