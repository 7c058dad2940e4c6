"""Limits with numbers: each figure of a sentence with the quantity that the words around it speak of."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from rulewatch.intake.suggest.cues import Says
from rulewatch.intake.suggest.draft import Item, Part, write_amount
from rulewatch.intake.suggest.figures import Figure, find_figures
from rulewatch.intake.suggest.lists import hung_on_lead
from rulewatch.intake.suggest.scope import find_conditions, find_groups
from rulewatch.intake.suggest.sentences import Stretch, find_sentences
from rulewatch.intake.suggest.surroundings import Surroundings
from rulewatch.intake.suggest.vocabulary_index import SIDES, Match, Mention
from rulewatch.intake.suggest.words import MEASURE_NAMES
from rulewatch.model.clause import Clause
from rulewatch.model.stated_numbers import StatedNumbers
from rulewatch.model.vocabulary import ValueKind

LEAST_SCORE = 0.5  # below, no quantity is taken to be meant
CONFIDENT, MARGIN = 0.8, 0.12  # a score that is sure of itself, and the lead over the next that leaves no doubt
BESIDE, LOCAL, SENTENCE, OTHER_FIGURE = 1.0, 0.8, 0.6, 0.3  # how much a word counts by where it stands
BEFORE, FURTHER, HEADING, ABOVE, CHAPTER = 0.5, 0.25, 0.55, 0.3, 0.2
_REFERS_BACK = re.compile(
    r"\s*(?:and\s+)?(?:it|its|they|their|them|this|these|such|er|sie|es|ihre?|seine?|diese\w*|deren|dessen)\b", re.IGNORECASE
)
_POSSESSIVE = re.compile(r"\b(?:its|their|it|of\s+it|they|ihre?|seine?|deren|dessen)\b", re.IGNORECASE)
_FLAT = re.compile(
    r"\b(?:steel|aluminium|aluminum|glass|polycarbonate|plate|sheet|padding|foam|plywood|blech|stahl|platte)\b", re.IGNORECASE
)
_ROUND = re.compile(r"\b(?:bolts?|tubes?|pipes?|bore|holes?|eyes?|openings?|screws?|studs?|rohr|bohrung)\b", re.IGNORECASE)
_HEAD = re.compile(
    r"\b(?P<what>[^\W\d]+)\s+(?:of|von|is|beträgt)\s+(?:(?:at|mindestens|höchstens|maximal|least|most|not|no|nicht|more|less|mehr|weniger|than|als|about|etwa)\s+){0,3}\Z",
    re.IGNORECASE,
)
LENGTH = "[length]"
UNSAID = 0.7
LONGEST_HEADING = 80
ALIKE = 0.01  # two weights that are the same
_LEADS_ON = re.compile(r"[:,–-]\s*\Z")


@dataclass(frozen=True, kw_only=True)
class Page:
    """A clause being read: its plain text, its sentences with their figures and conditions, and the book around it."""

    clause: Clause
    text: str
    sentences: tuple[Stretch, ...]
    figures: tuple[tuple[Figure, ...], ...]
    conditions: tuple[tuple[Stretch, ...], ...]
    groups: tuple[tuple[Stretch, ...], ...]
    around: Surroundings
    far: tuple[Mention, ...] = field(default=())  # words of headings and of what leads to the clause

    @cached_property
    def words(self) -> tuple[Mention, ...]:
        """The words of the whole text, each beside itself."""
        return tuple(self.around.index.mentions(self.text, BESIDE))

    def between(self, start: int, end: int, weight: float = BESIDE) -> Iterator[Mention]:
        """The words of a stretch of the text."""
        for word in self.words:
            if start <= word.start < end:
                yield word if weight == BESIDE else replace(word, weight=weight)

    def mentions(self, number: int, figure: Figure) -> list[Mention]:
        """The words that may say what a figure of a sentence is about, nearer ones with more weight."""
        sentence = self.sentences[number]
        comma = max(self.text.rfind(sign, figure.left, figure.start) for sign in ",–(")
        spans = [(one.left, one.right) for one in self.figures[number] if (one.left, one.right) != (figure.left, figure.right)]
        apart = (*self.conditions[number], *self.groups[number])
        aside = [one for one in apart if not one.start <= figure.start < one.end]
        found = [*self.far, *self._sentences_before(number)]
        parts = self.around.index.part_words
        names_part = any(word.stem in parts for word in self.between(figure.left, figure.right))
        for word in self.between(sentence.start, sentence.end):
            weight = BESIDE if figure.left <= word.start < figure.right else SENTENCE
            if weight == BESIDE and word.start < comma:
                weight = LOCAL
            if any(start <= word.start < end for start, end in spans):
                is_subject = not names_part and word.start < figure.start and word.stem in parts | SIDES.keys()
                weight = SENTENCE if is_subject else OTHER_FIGURE  # "… of the lamp … and its highest point"
            if any(one.start <= word.start < one.end for one in aside):
                weight = OTHER_FIGURE
            found.append(replace(word, weight=weight))
        return found

    def sentence_mentions(self, number: int) -> list[Mention]:
        """All words of a sentence, with those around it."""
        sentence = self.sentences[number]
        return [*self.far, *self._sentences_before(number), *self.between(sentence.start, sentence.end)]

    def _sentences_before(self, number: int) -> Iterator[Mention]:
        """The words of the sentences before; of the last more where this one refers back to it."""
        sentence = self.sentences[number]
        refers = _REFERS_BACK.match(self.text, sentence.start) or _POSSESSIVE.search(self.text, sentence.start, sentence.end)
        names_part = self._names_part(number)
        for back, one in enumerate(reversed(self.sentences[:number])):
            is_topic = not names_part and self._names_part(number - 1 - back)
            names_part = names_part or is_topic  # what a sentence does not name is that of the last one that did
            for word in self.between(one.start, one.end, BEFORE if back == 0 and refers else FURTHER):
                is_part = is_topic and word.stem in self.around.index.part_words
                yield replace(word, weight=SENTENCE) if is_part else word

    def _names_part(self, number: int) -> bool:
        """Whether a sentence names a part of the car, wherever it stands in the vocabulary."""
        sentence = self.sentences[number]
        return any(word.stem in self.around.index.part_words for word in self.between(sentence.start, sentence.end))


def open_page(clause: Clause, around: Surroundings, stated: StatedNumbers) -> Page:
    """A clause with all that its sentences are cut into."""
    text = stated.text
    sentences = find_sentences(text, clause.heading)
    return Page(
        clause=clause,
        text=text,
        sentences=sentences,
        figures=tuple(tuple(hung_on_lead(text, sentence, find_figures(stated, sentence))) for sentence in sentences),
        conditions=tuple(find_conditions(text, sentence) for sentence in sentences),
        groups=tuple(find_groups(text, sentence) for sentence in sentences),
        around=around,
        far=far_mentions(clause, around),
    )


def far_mentions(clause: Clause, around: Surroundings) -> tuple[Mention, ...]:
    """The words of the clause's heading, of the headings above, of the lead that a list hangs on, and of the chapter's name."""
    index = around.index
    found = list(index.mentions(clause.heading, HEADING, own=False))
    for step, above in enumerate(around.above(clause)):
        heading = above.heading or (above.text.split("\n")[0] if len(above.text) < LONGEST_HEADING else "")
        found += index.mentions(
            heading, ABOVE if step else max(ABOVE, HEADING - 0.1 if not clause.heading else ABOVE), own=False
        )
        body = above.plain[len(above.heading) :].strip()
        if step == 0 and body and not clause.heading:
            found += index.mentions(body, SENTENCE if _LEADS_ON.search(body) else BEFORE, own=False)
    return (*found, *index.mentions(clause.chapter.replace("-", " "), CHAPTER, own=False))


def find_quantity(page: Page, number: int, figure: Figure) -> tuple[tuple[Match, ...], float]:
    """The quantities that a figure is about, two where both axles are meant, and how sure that is; none where none is near."""
    index = page.around.index
    mentions = page.mentions(number, figure)
    mentions += _unsaid(page, figure, mentions)
    if figure.joined or _is_first_of_profile(page, number, figure):
        mentions.append(Mention(stem="wall" if figure.joined else "diameter", weight=1.0))
        if figure.joined:
            mentions.append(Mention(stem="thickness", weight=1.0))
    matches = index.look_up(mentions, unit=figure.amount.unit)
    if not figure.amount.unit.symbol:
        matches = tuple(match for match in matches if _is_counted(page, figure, match))
    matches = tuple(match for match in matches if _measures_it(page, figure, match))
    if not matches or matches[0].score < LEAST_SCORE:
        return (), 0.0
    best = matches[0]
    both = _with_twin(page, best, matches, mentions)
    rival = next((match for match in matches if match not in both), None)
    lead = best.score - rival.score if rival else MARGIN
    sure = min(1.0, 0.5 + 0.5 * min(1.0, best.score / CONFIDENT)) * min(1.0, 0.6 + 0.4 * lead / MARGIN)
    return both, sure


def figure_items(page: Page, number: int, figure: Figure) -> tuple[Item, ...]:
    """The items that a figure of a sentence gives: one, two where both axles are meant, none where no quantity is near."""
    matches, sure = find_quantity(page, number, figure)
    return tuple(_item(page, figure, match, sure) for match in matches)


def carried_item(page: Page, figure: Figure, item: Item) -> Item:
    """The item of a figure that names no quantity of its own and goes on with that of the figure before."""
    bound = bound_written(page, figure)
    parts = (
        Part(
            path=f"{item.name} {figure.says.value}", start=min(figure.cue[0], figure.start), end=max(figure.cue[1], figure.end)
        ),
    )
    if item.range:
        return Item(name=item.name, range=((figure.says.value, bound),), parts=parts, sure=item.sure * 0.9)
    return Item(name=item.name, value=bound, parts=parts, sure=item.sure * 0.9)


def refers_back(page: Page, number: int) -> bool:
    """Whether a sentence goes on about what the one before was about: "It shall …"."""
    return _REFERS_BACK.match(page.text, page.sentences[number].start) is not None


def bound_written(page: Page, figure: Figure) -> str:
    """The number of a figure as a reading writes it."""
    return write_amount(figure.amount, page.around.edition.body.numbers)


def _item(page: Page, figure: Figure, match: Match, sure: float) -> Item:
    bound = bound_written(page, figure)
    key = "" if figure.says is Says.EXACTLY else str(figure.says.value)
    named = [Part(path=match.name, start=word.start, end=word.end) for word in match.words]
    parts = (
        *named,
        Part(path=f"{match.name} {key}".strip(), start=min(figure.cue[0], figure.start), end=max(figure.cue[1], figure.end)),
    )
    return Item(
        name=match.name,
        value="" if key else bound,
        range=((key, bound),) if key else (),
        parts=parts,
        sure=round(sure * figure.sure, 3),
    )


def _with_twin(page: Page, best: Match, matches: Sequence[Match], mentions: Sequence[Mention]) -> tuple[Match, ...]:
    """The best match, and the same quantity of the other axle where the text speaks of neither or of both."""
    twin = page.around.index.by_name[best.name].twin
    other = next((match for match in matches if match.name == twin), None)
    if other is None:
        return (best,)
    said = [max((one.weight for one in mentions if one.stem == side), default=0.0) for side in SIDES]
    if abs(said[0] - said[1]) > ALIKE:
        return (best,)
    first, second = sorted((best, other), key=lambda match: "rear" in match.name)
    return first, second


def _measures_it(page: Page, figure: Figure, match: Match) -> bool:
    """Whether a quantity is what the words right in front of a figure measure: "a radius of 5 mm" is no width."""
    head = _HEAD.search(page.text, max(figure.left, figure.start - 80), figure.start)
    if head is None:
        return True
    said = {mention.stem for mention in page.around.index.mentions(head["what"], BESIDE)} & MEASURE_NAMES
    entry = page.around.index.by_name[match.name]
    return not said or not entry.measures or bool(said & {word for form in entry.forms for word in form})


def _unsaid(page: Page, figure: Figure, mentions: Sequence[Mention]) -> Iterator[Mention]:
    """The measure that a text leaves out because the thing has one that matters: steel of 3 mm is thick, a bolt across."""
    if figure.amount.unit.dimension != LENGTH or any(one.stem in MEASURE_NAMES and one.weight >= SENTENCE for one in mentions):
        return
    near = page.text[figure.left : figure.right]
    if _FLAT.search(near):
        yield Mention(stem="thickness", weight=UNSAID)
    elif _ROUND.search(near):
        yield Mention(stem="diameter", weight=UNSAID)


def _is_first_of_profile(page: Page, number: int, figure: Figure) -> bool:
    """Whether a figure is the first of `45 mm × 2.5 mm`."""
    figures = page.figures[number]
    index = figures.index(figure)
    return index + 1 < len(figures) and figures[index + 1].joined


def _is_counted(page: Page, figure: Figure, match: Match) -> bool:
    """Whether a plain number counts what a quantity names: one of its words stands close behind the number, or it is a ratio."""
    behind = page.text[figure.end : figure.end + 40]
    before = page.text[max(figure.left, figure.start - 40) : figure.start]
    entry = page.around.index.by_name[match.name]
    own = {word for form in entry.forms for word in form} - MEASURE_NAMES
    own = own - {word for form in entry.above for word in form} or own
    near = {
        mention.stem
        for text in ((behind,) if figure.in_words and behind.strip(" .") else (behind, before))
        for mention in page.around.index.mentions(text, 1)
    }
    kind = page.around.vocabulary.quantities[match.name]
    return bool(near & own) or (not figure.in_words and kind.kind is ValueKind.AMOUNT and not kind.whole)
