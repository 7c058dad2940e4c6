"""Laws of suggestions: any text can be asked about, and what is suggested follows its numbers and its words of bounding."""

from __future__ import annotations

from dataclasses import replace

from hypothesis import given, settings
from hypothesis import strategies as st

from rulewatch.intake.suggest import Suggestion, Surroundings, suggest
from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_chapter
from rulewatch.parse.vocabulary import packaged_vocabulary
from rulewatch.plain_book import plain_edition

LAWS = settings(deadline=None, max_examples=100, derandomize=True)
BASE = Surroundings(edition=plain_edition(Source(path="x.md", text="1 x"), "x.md")[0], vocabulary=packaged_vocabulary())
AT_MOST = ("shall not exceed {}", "shall be no more than {}", "must be at most {}", "is limited to {}", "shall be {} or less")
AT_LEAST = ("shall be no less than {}", "must be at least {}", "shall be {} or more", "shall not be less than {}")
SAID = ("The wheelbase", "The car's wheelbase", "Wheelbase: the wheelbase")
SOME = (
    "the wheelbase shall not exceed 2,400 mm or be between 10 in and (254 mm) ± 5 % per cc : ; . , – * where if is forbidden no "
    "darf nicht 2,5 t überschreiten bei Anhängern müssen mit zwei Leuchten ausgerüstet sein kein mehr als § 3 Absatz 2 um"
)
WORDS = st.sampled_from(SOME.split())


def suggested(text: str) -> tuple[str, Suggestion]:
    """A clause's text and what is suggested for it."""
    clause = parse_chapter(Source(path="book.md", text=f"1.1 {text}\n")).clauses[0]
    edition = replace(BASE.edition, clauses=(clause,))
    return clause.text, suggest(clause, around_of(edition))


def around_of(edition):
    """The surroundings of one clause, with the vocabulary that is prepared already."""
    around = Surroundings(edition=edition, vocabulary=BASE.vocabulary)
    around.__dict__["index"] = BASE.index  # what is prepared for a vocabulary serves every book
    return around


@LAWS
@given(st.lists(WORDS, min_size=1, max_size=40))
def test_any_text_gets_an_answer_that_shows_its_words(words):
    """Whatever the text, there is a reading with words of the clause behind it, or a reason; and asking twice gives the same."""
    text, found = suggested("Text " + " ".join(words))
    assert bool(found.readings) != bool(found.why_not)
    for one in found.readings:
        assert 0 < one.certainty <= 1
        assert all(text[each.start : each.end] == each.words for each in one.origins)
    assert suggested("Text " + " ".join(words))[1] == found


@LAWS
@given(st.sampled_from(SAID), st.integers(100, 9999), st.booleans(), st.data())
def test_a_limit_has_the_number_and_the_side_that_the_words_say(said, number, upper, data):
    """The usual words for at most give `max` and those for at least `min`, with the number as it is printed."""
    form = data.draw(st.sampled_from(AT_MOST if upper else AT_LEAST))
    _, found = suggested(f"{said} {form.format(f'{number} mm')}.")
    key = "max" if upper else "min"
    assert [one.yaml for one in found.readings] == [f"limit: {{car.wheelbase: {{{key}: {number} mm}}}}"]


@LAWS
@given(st.integers(100, 4000), st.integers(1, 4000))
def test_the_ends_of_a_range_do_not_depend_on_their_order(low, more):
    """Between a and b is the same as between b and a."""
    high = low + more
    one = suggested(f"The wheelbase shall be between {low} mm and {high} mm.")[1]
    other = suggested(f"The wheelbase shall be between {high} mm and {low} mm.")[1]
    wanted = f"limit: {{car.wheelbase: {{min: {low} mm, max: {high} mm}}}}"
    assert [each.yaml for each in (*one.readings, *other.readings)] == [wanted, wanted]
