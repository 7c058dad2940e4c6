"""What holds for everything that is suggested: it parses, its numbers are those of the text, and it says where it came from."""

from __future__ import annotations

from pathlib import Path

import pytest

from rulewatch.intake.suggest import Suggestion, Surroundings, suggest
from rulewatch.library import Library
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition, Point
from rulewatch.model.fault import Fault, Place, Source
from rulewatch.model.reading import Reading
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.clauses import ReadingBlock
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.text_check import check_against_text

ROOT = Path(__file__).parents[2]
BOOKS = (("saltmarsh", "2025"), ("saltmarsh", "2026"), ("saltmarsh", "2027"), ("five-lakes", "2026"), ("five-lakes", "2027"))


def read(suggestion: Suggestion, clause: Clause, edition: Edition, vocabulary: Vocabulary) -> tuple[list[Reading], list[Fault]]:
    """The readings of a suggestion as the program reads them under the clause, and what is wrong with them."""
    text = clause.text + "".join(f"\n\n{one.block}" for one in suggestion.readings)
    source = Source(path="suggested.md", text=text)
    readings, faults, position = [], [], len(clause.text)
    for one in suggestion.readings:
        position = text.index(one.block, position)
        first = text.count("\n", 0, position) + 2
        place = Place(path=source.path, line=first - 1, column=1)
        block = ReadingBlock(clause=clause.id, text=one.yaml + "\n", place=place, first_line=first, indent=0)
        reading, found = parse_reading(block, source, vocabulary=vocabulary)
        readings += [reading] if reading else []
        faults += found
    checked = () if faults else check_against_text(readings, clause, body=edition.body, source=source)
    return readings, [*faults, *checked]


@pytest.fixture(scope="module")
def demo():
    """The demo's editions, each with its vocabulary."""
    with Library(ROOT) as library:
        workspace = library.workspace()
        yield {
            (body, season): (library.edition(Point(body=body, season=season)), workspace.vocabulary) for body, season in BOOKS
        }


@pytest.mark.parametrize("book", BOOKS, ids="/".join)
def test_what_is_suggested_parses_and_has_the_numbers_of_its_text(demo, book):
    """A suggestion that a person takes as it is gives no fault."""
    edition, vocabulary = demo[book]
    around = Surroundings(edition=edition, vocabulary=vocabulary)
    wrong = {}
    for clause in edition.clauses:
        _, faults = read(suggest(clause, around), clause, edition, vocabulary)
        if faults:
            wrong[clause.id] = [str(fault) for fault in faults]
    assert not wrong


@pytest.mark.parametrize("book", BOOKS, ids="/".join)
def test_a_suggestion_shows_the_words_it_came_from_or_says_why_there_is_none(demo, book):
    """Every reading has words of the clause behind it; a clause without one has a reason."""
    edition, vocabulary = demo[book]
    around = Surroundings(edition=edition, vocabulary=vocabulary)
    for clause in edition.clauses:
        suggestion = suggest(clause, around)
        assert bool(suggestion.readings) != bool(suggestion.why_not), clause.id
        for one in suggestion.readings:
            assert one.origins, clause.id
            assert 0 < one.certainty <= 1
            for origin in one.origins:
                assert clause.text[origin.start : origin.end] == origin.words
                assert origin.words.strip()
