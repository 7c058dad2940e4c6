"""Laws of making chapters: what was found is read back, every word comes out, and a chapter taken in again stays as it is."""

from __future__ import annotations

import re

from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.intake.document import Block, Document, Kind, Line, Mark, Run, Spot
from rulewatch.intake.markdown import read_markdown
from rulewatch.intake.numbering_style import Numbering
from rulewatch.intake.structure import structure
from rulewatch.model.clause import plain

WORDS = st.sampled_from(
    [
        "rims",
        "shall",
        "be",
        "10",
        "in",
        "(a)",
        "5.2",
        "1.",
        "*",
        "#",
        "~~",
        "++",
        "<b>",
        "a_b",
        "|",
        "[1]",
        "§",
        "2.5 mm",
        "Annex A",
        "-",
    ]
)
MARKS = st.sampled_from([Mark.NONE, Mark.NONE, Mark.STRUCK, Mark.INSERTED])
LABELS = st.sampled_from(
    ["5", "5.1", "5.2", "5.2.1", "(a)", "(b)", "(i)", "1.", "2.", "a)", "b)", "§ 3", "Appendix A", "1.1", ""]
)


@st.composite
def blocks(draw):
    """A paragraph or heading as a reader gives it: perhaps a label, and words, some of them marked."""
    label = draw(LABELS)
    said = draw(st.lists(WORDS, min_size=1, max_size=6))
    runs = [Run(text=f"{label} " if label else ""), *(Run(text=f"{text} ", mark=draw(MARKS)) for text in said)]
    end = draw(st.sampled_from([".", "", ":", ","]))
    return tuple(run for run in (*runs, Run(text=f"end{end}")) if run.text), draw(st.sampled_from([0, 0, 0, 1, 2, 3]))


def document(parts) -> Document:
    """Blocks one below the other."""
    return Document(
        blocks=tuple(
            Block(
                kind=Kind.TEXT,
                spot=Spot(line=number),
                lines=(Line(runs=runs, spot=Spot(line=number)),),
                level=level,
            )
            for number, (runs, level) in enumerate(parts, start=1)
        )
    )


def words(text: str) -> list[str]:
    """The words of a text that is Markdown, without what only makes it one."""
    bare = re.sub(r"(?<!\\)(?:~~|\+\+)|^#+ |^- ", " ", text, flags=re.MULTILINE)
    return re.findall(r"\w+", plain(bare))


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.lists(blocks(), min_size=1, max_size=10))
def test_every_clause_that_is_found_is_read_back(parts):
    """The chapters that are written give the clauses that they hold, with their numbers."""
    taken = structure([document(parts)], Numbering())
    found = {clause.id.partition("#")[0] for clause in taken.clauses}
    for chapter in taken.chapters:
        assert {part.node.id for part in chapter.words if not part.node.label.struck} <= found


@settings(max_examples=100, deadline=None, derandomize=True)
@given(st.lists(blocks(), min_size=1, max_size=10))
def test_no_word_is_lost_or_added(parts):
    """Besides the marks of doubtful places, the chapters have the words of the book in their order, the title aside."""
    taken = structure([document(parts)], Numbering())
    text = "\n".join(re.sub(r"^```doubtful\n.*?\n```$", "", one.text, flags=re.MULTILINE | re.DOTALL) for one in taken.chapters)
    expected = re.findall(r"\w+", " ".join("".join(run.text for run in runs) for runs, _ in parts))
    title = re.findall(r"\w+", plain(taken.title))
    found = words(text)
    assert found in (expected, expected[len(title) :])


@st.composite
def books(draw):
    """A book that is numbered as books are: chapters, sections, items, each with a few words, some marked."""

    def said(front: str, *, title: bool = False):
        words = [Run(text=f"{text} ", mark=draw(MARKS)) for text in draw(st.lists(WORDS, min_size=1, max_size=5))]
        return (Run(text=f"{front} Rules "), *words, Run(text="here" if title else "here."))

    made = []
    for chapter in range(1, draw(st.integers(1, 3)) + 1):
        made.append((said(f"{chapter}", title=True), 1))
        for section in range(1, draw(st.integers(0, 4)) + 1):
            made.append((said(f"{chapter}.{section}"), draw(st.sampled_from([0, 2]))))
            made += [(said(f"({letter})"), 0) for letter in "abc"[: draw(st.integers(0, 3))]]
    return made


@settings(max_examples=100, deadline=None, derandomize=True)
@given(books())
def test_a_book_taken_in_again_stays_as_it_is(parts):
    """Its chapters, read as published Markdown, give the same clauses again, with the same words and marks."""
    first = structure([document(parts)], Numbering())
    again = structure([read_markdown(chapter.text.encode(), "x.md") for chapter in first.chapters], Numbering())
    assert len(first.clauses) == len(parts)
    assert [(one.id, plain(one.text), plain(one.shown)) for one in again.clauses] == [
        (one.id, plain(one.text), plain(one.shown)) for one in first.clauses
    ]
    assert [chapter.name for chapter in again.chapters] == [chapter.name for chapter in first.chapters]
