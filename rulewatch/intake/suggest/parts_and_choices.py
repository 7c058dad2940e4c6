"""Rules without a number: a part that is forbidden, permitted or required, and words of a list of choices."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from enum import StrEnum

from rulewatch.intake.suggest.draft import Item, Part
from rulewatch.intake.suggest.limits import ALIKE, BESIDE, Page
from rulewatch.intake.suggest.sentences import Stretch
from rulewatch.intake.suggest.vocabulary_index import Match, Mention
from rulewatch.intake.suggest.words import find_words
from rulewatch.model.vocabulary import Quantity, ValueKind

LEAST_CHOICE_SCORE = 0.55
SIDE_WORDS = frozenset({"front", "rear", "side", "mid"})  # where something is, more often than which kind it is
CLEAR_LEAD = 0.08
APART = 14  # letters that the words of one name may be apart
_FORBIDS = re.compile(
    r"\b(?:is|are)\s+(?:\w+\s+)?(?:forbidden|prohibited|banned|excluded|not\s+(?:permitted|allowed|admitted|accepted))\b|"
    r"\b(?:shall|must|may)\s+not\s+(?:be\s+(?:used|fitted|carried|installed|mounted|present)|have|carry|use)\b|"
    r"\b(?:shall|must)\s+be\s+(?:absent|removed|disconnected)\b|\b(?:shall|must)\s+have\s+no(?:ne\b|\s+(?!more|less|fewer|\w+er\b))|"
    r"\b(?:ist|sind)\s+(?:\w+\s+)?(?:unzulässig|verboten|nicht\s+(?:zulässig|erlaubt|gestattet))\b|"
    r"\bdürfen?\s+(?:\w+\s+){0,4}?nicht\s+(?:verwendet|angebracht|verbaut|eingebaut)\b",
    re.IGNORECASE,
)
_NONE_OF = re.compile(
    r"\bno\s+(?P<what>[^,.;]{3,60}?)\s+(?:is|are|may|shall\s+be)\s+(?:permitted|allowed|fitted|used)\b", re.IGNORECASE
)
_PERMITS = re.compile(
    r"\b(?:is|are)\s+(?:\w+\s+)?(?:permitted|allowed|admitted|free|optional|authori[sz]ed)\b|"
    r"\bmay\s+(?:be\s+(?:used|fitted|carried|replaced|installed|mounted)|have|carry|use)\b(?!\s+(?:until|for)\b)|"
    r"\b(?:ist|sind)\s+(?:\w+\s+)?(?:zulässig|erlaubt|gestattet|freigestellt|frei)\b|"
    r"\bdürfen?\s+(?:\w+\s+){0,4}?(?:verwendet|angebracht|verbaut)\s+werden\b",
    re.IGNORECASE,
)
_REQUIRES = re.compile(
    r"\b(?:shall|must)\s+(?:each\s+)?be\s+(?:fitted|present|carried|installed|mounted|in\s+place)\b|\b(?:shall|must|has\s+to|have\s+to)\s+(?:have|carry|be\s+(?:fitted|equipped)\s+with)\b|"
    r"\b(?:is|are)\s+(?:compulsory|mandatory|obligatory|required)\b|"
    r"\bm[uü]ss(?:en)?\b(?:(?!\bsein\b)[^;.])*?\bmit\s+(?P<with>[^;.]{3,90}?)\s+(?:ausgerüstet|versehen|ausgestattet)\s+sein\b|"
    r"\bm[uü]ss(?:en)?\b[^;.]{0,60}?\b(?P<has>(?:eine?n?|zwei|drei|vier|fünf|sechs|mindestens)\s[^;.\d]{3,60}?)\s+(?:haben|führen|aufweisen|mitführen)\b|"
    r"\bm[uü]ss(?:en)?\s+(?P<is>[^;.]{0,90}?)\s*(?:vorhanden|angebracht|eingebaut)\s+sein\b|"
    r"\b(?:ist|sind)\s+(?P<needs>[^;.]{0,60}?)\s*\b(?:vorgeschrieben|erforderlich|anzubringen|mitzuführen)\b",
    re.IGNORECASE,
)
_NEW_THING = re.compile(r"\b(?:eine?[nms]?|zwei|drei|vier|fünf|sechs|mindestens|je)\b", re.IGNORECASE)
_PLACE = re.compile(
    r"\b(?:in|on|at|behind|for|with|that|which|whose|from|between|under|inside|until|durch|bei|mit|hinter)\b", re.IGNORECASE
)
_SOME_OF = re.compile(
    r"\b(?:that|which|whose|with|of|by|for|or\s+more|more\s+than|two|three|four|der|die|das|mit|deren)\b(?=\s+\w)",
    re.IGNORECASE,
)
_ASKS = re.compile(r"\b(?:shall|must|has\s+to|is|are|only|nur|muss|müssen|ist|sind)\b", re.IGNORECASE)
_NOT = re.compile(r"\b(?:not|never|no|nicht|kein\w*|nie)\b", re.IGNORECASE)
_MADE_OF = re.compile(r"\b(?:of|aus|made\s+from)\s+(?:an?\s+)?\Z", re.IGNORECASE)
_HAS = re.compile(r"\b(?:has|have)\s+(?:an?|one|two)\b", re.IGNORECASE)
_ONLY = re.compile(r"\b(?:only|alone|nur|ausschließlich)\b", re.IGNORECASE)


class Wants(StrEnum):
    """What a sentence says of a part."""

    PRESENT = "present"
    ABSENT = "absent"
    PERMITTED = "permitted"


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What a sentence says of a part or a choice, to be put under `limit` or `allow`."""

    key: str
    item: Item


def find_stated(page: Page, number: int, conditions: Sequence[Stretch]) -> Iterator[Stated]:
    """What a sentence says without numbers, its conditions left out."""
    choices = tuple(_choices(page, number, conditions))
    yield from choices
    if not choices:
        yield from _parts(page, number, conditions)


# --- Parts ------------------------------------------------------------------------------------------------------------


def _parts(page: Page, number: int, conditions: Sequence[Stretch]) -> Iterator[Stated]:
    """A part, or a quantity answered by yes or no, that is required, forbidden or permitted."""
    sentence = page.sentences[number]
    for pattern, wants in (
        (_NONE_OF, Wants.ABSENT),
        (_FORBIDS, Wants.ABSENT),
        (_PERMITS, Wants.PERMITTED),
        (_REQUIRES, Wants.PRESENT),
    ):
        match = pattern.search(page.text, sentence.start, sentence.end)
        if match is None:
            continue
        spot = Part(path="", start=match.start(), end=match.end())
        names = _named(page, number, match, conditions, wants)
        for name, words in names:
            yield from _wanted(page, name, words, wants, spot)
        if names:
            return


def _named(
    page: Page, number: int, verb: re.Match[str], conditions: Sequence[Stretch], wants: Wants
) -> list[tuple[str, tuple[Mention, ...]]]:
    """The parts that a sentence names whole, in front of its verb or, where the verb has an object, behind it."""
    sentence = page.sentences[number]
    has_object = re.search(r"\b(?:have|carry|with|none?|use|part|close|to)\Z", verb[0], re.IGNORECASE) is not None
    if verb.re is _NONE_OF:
        stretch = Stretch(start=verb.start("what"), end=verb.end("what"))
    elif has_object:
        stretch = Stretch(start=verb.end(), end=_object_end(page.text, verb.end(), sentence.end))
    else:
        stretch = _between(verb) or _subject(page.text, sentence.start, verb.start(), wants)
    index = page.around.index
    mentions = [
        mention
        for mention in index.mentions(page.text, BESIDE, stretch.start, stretch.end)
        if not any(one.start <= mention.start < one.end for one in conditions)
    ]
    said = {mention.stem for mention in mentions}
    found = [match for match in index.look_up(mentions) if index.is_part(match.name) and _is_named(page, match, said)]
    best = _most_telling(page, found, said)
    if not best and mentions:
        answers = [
            match
            for match in index.look_up(page.sentence_mentions(number), kind=ValueKind.CHOICE)
            if _is_answer(page, match, said)
        ]
        best = answers[:1]
    return [(match.name, match.words) for match in best]


def _between(verb: re.Match[str]) -> Stretch | None:
    """What stands inside a German verb: "müssen mit … ausgerüstet sein"."""
    group = next((name for name, words in verb.groupdict().items() if words and words.strip()), None)
    if group is None:
        return None
    new = _NEW_THING.search(verb.string, verb.start(group), verb.end(group))
    start = verb.start(group) if group == "with" else new.start() if new else verb.end(group)
    return Stretch(start=start, end=verb.end(group))


def _subject(text: str, start: int, end: int, wants: Wants) -> Stretch:
    """What a verb is said of, without where it is; nothing where only some of it is forbidden: "a part that …"."""
    place = _PLACE.search(text, start, end)
    if wants is Wants.ABSENT and _SOME_OF.search(text, start, end):
        return Stretch(start=start, end=start)
    return Stretch(start=start, end=place.start() if place and text[start : place.start()].strip() else end)


def _object_end(text: str, start: int, end: int) -> int:
    """Where the object of a verb ends: before the next relative clause or full comma."""
    match = re.compile(r"\b(?:that|which|at|for|whose|der|die|das|from)\b|[.;]").search(text, start, end)
    return match.start() if match else end


def _is_named(page: Page, match: Match, said: set[str]) -> bool:
    """Whether one of a part's names is in the text whole."""
    return any(set(form) <= said and _is_together(form, match) for form in page.around.index.by_name[match.name].forms)


def _is_together(form: Sequence[str], match: Match) -> bool:
    """Whether the words of a name stand beside each other."""
    places = [word for word in match.words if word.stem in form]
    if not places:
        return False
    return max(word.end for word in places) - min(word.start for word in places) <= APART + sum(len(one) for one in form)


def _most_telling(page: Page, found: Sequence[Match], said: set[str]) -> list[Match]:
    """Of parts whose names lie in one another ("wing", "rear wing") the fullest; of one name in two parts neither."""
    index = page.around.index
    whole = {
        match.name: max((form for form in index.by_name[match.name].forms if set(form) <= said), key=len) for match in found
    }
    kept = [match for match in found if not any(set(whole[match.name]) < set(whole[other.name]) for other in found)]
    seen = [whole[match.name] for match in kept]
    return [match for match in kept if seen.count(whole[match.name]) == 1]


def _is_answer(page: Page, match: Match, said: set[str]) -> bool:
    """Whether a quantity is answered by yes or no, and its name is in the sentence whole."""
    quantity = page.around.vocabulary.quantities[match.name]
    if quantity.choices != ("yes", "no"):
        return False
    forms = page.around.index.by_name[match.name].forms
    return any(set(form) <= said and len(form) > 1 for form in forms)


def _wanted(page: Page, name: str, words: Sequence[Mention], wants: Wants, spot: Part) -> Iterator[Stated]:
    parts = (
        *(Part(path=name, start=word.start, end=word.end) for word in words),
        Part(path=name, start=spot.start, end=spot.end),
    )
    is_answer = name in page.around.vocabulary.quantities
    if wants is Wants.PERMITTED:
        if page.around.is_closed(name) or not page.around.edition.header.closed:
            yield Stated(key="allow", item=Item(name=name, value="yes" if is_answer else "present", parts=parts, sure=0.9))
        return
    value = ("yes" if wants is Wants.PRESENT else "no") if is_answer else wants.value
    yield Stated(key="limit", item=Item(name=name, value=value, parts=parts, sure=0.9))


# --- Choices ----------------------------------------------------------------------------------------------------------


def _choices(page: Page, number: int, conditions: Sequence[Stretch]) -> Iterator[Stated]:
    """A quantity with choices, some of which a sentence names."""
    sentence = page.sentences[number]
    asks = _ASKS.search(page.text, sentence.start, sentence.end)
    forbids = _FORBIDS.search(page.text, sentence.start, sentence.end)
    permits = _PERMITS.search(page.text, sentence.start, sentence.end)
    if not asks and not permits:
        return
    mentions = page.sentence_mentions(number)
    spoken = [
        one
        for one in page.around.index.mentions(page.text, BESIDE, sentence.start, sentence.end)
        if not _within(one, conditions)
    ]
    if any(_MADE_OF.search(page.text[max(sentence.start, one.start - 14) : one.start]) for one in spoken):
        mentions.append(Mention(stem="material", weight=BESIDE))
    best: list[tuple[float, Match, tuple[str, ...], tuple[Mention, ...]]] = []
    for match in page.around.index.look_up(mentions, kind=ValueKind.CHOICE)[:12]:
        quantity = page.around.vocabulary.quantities[match.name]
        named, words = _named_choices(quantity, spoken)
        if named and match.score >= LEAST_CHOICE_SCORE and quantity.choices != ("yes", "no"):
            best.append((match.score, match, named, words))
    if not best:
        return
    score, match, named, words = best[0]
    choices = page.around.vocabulary.quantities[match.name].choices
    start, end = min(one.start for one in words), max(one.end for one in words)
    verb = asks or permits
    denied = forbids or (verb and _NOT.search(page.text, verb.start(), start))
    if denied:
        named = tuple(one for one in choices if one not in named)
    if not named or len(named) == len(choices):
        return
    may_alter = page.around.is_closed(match.name) or not page.around.edition.header.closed
    key = "allow" if permits and not forbids and may_alter else "limit"
    if permits and key == "limit" and not forbids:
        return
    twins = _both_axles(page, match, mentions)
    for name in twins:
        parts = (Part(path=name, start=start, end=end),)
        value = named[0] if len(named) == 1 else f"[{', '.join(named)}]"
        lead = score - next((other for other, one, _, _ in best[1:] if one.name not in twins), 0.0)
        yield Stated(key=key, item=Item(name=name, value=value, parts=parts, sure=0.85 if lead > CLEAR_LEAD else 0.6))


def _within(mention: Mention, stretches: Sequence[Stretch]) -> bool:
    return any(one.start <= mention.start < one.end for one in stretches)


def _named_choices(quantity: Quantity, spoken: Sequence[Mention]) -> tuple[tuple[str, ...], tuple[Mention, ...]]:
    """The choices that a sentence names whole; of a last word alone ("aluminium") all that end in it."""
    said = {mention.stem for mention in spoken}
    stems = {choice: tuple(word.stem for word in find_words(choice)) for choice in quantity.choices}
    whole = {choice for choice, words in stems.items() if words and set(words) <= said and _stands_together(words, spoken)}
    whole = {one for one in whole if not any(set(stems[one]) < set(stems[other]) for other in whole)}
    used = {word for choice in whole for word in stems[choice]}
    open_choices = [words for choice, words in stems.items() if len(words) > 1 and choice not in whole]
    is_material = "material" in {word.stem for word in find_words(quantity.label)}
    partly = any(set(words[:-1]) & said for words in open_choices)
    tails = {words[-1] for words in open_choices if words[-1] in said - used} if is_material and not partly else set()
    if used | tails <= SIDE_WORDS:
        return (), ()
    named = tuple(choice for choice in quantity.choices if choice in whole or (stems[choice] and stems[choice][-1] in tails))
    words = {word for choice in named for word in stems[choice]}
    return named, tuple(mention for mention in spoken if mention.stem in words)


def _stands_together(words: Sequence[str], spoken: Sequence[Mention]) -> bool:
    """Whether the words of a choice stand near each other somewhere."""
    places = [[one.start for one in spoken if one.stem == word] for word in words]
    room = APART + sum(len(word) for word in words)
    return any(all(any(abs(other - first) <= room for other in place) for place in places) for first in places[0])


def _both_axles(page: Page, match: Match, mentions: Sequence[Mention]) -> tuple[str, ...]:
    """The quantity, with its twin on the other axle where the text names neither."""
    twin = page.around.index.by_name[match.name].twin
    quantities = page.around.vocabulary.quantities
    said = [max((one.weight for one in mentions if one.stem == side), default=0.0) for side in ("front", "rear")]
    alike = twin in quantities and quantities[twin].choices == quantities[match.name].choices
    return tuple(sorted((match.name, twin))) if alike and abs(said[0] - said[1]) <= ALIKE else (match.name,)
