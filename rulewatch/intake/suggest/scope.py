"""For which cars a sentence speaks: classes, days of the season, and conditions on the car."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from rulewatch.intake.suggest.draft import Item, Part
from rulewatch.intake.suggest.sentences import Stretch
from rulewatch.intake.suggest.surroundings import Surroundings
from rulewatch.intake.suggest.words import find_words
from rulewatch.model.vocabulary import ValueKind

LEAST_SCORE = 0.45
_MONTHS = {
    name: number
    for names in (
        "january february march april may june july august september october november december",
        "januar februar märz april mai juni juli august september oktober november dezember",
    )
    for number, name in enumerate(names.split(), 1)
}
_DAY = re.compile(
    rf"(?P<day>\d{{1,2}})(?:st|nd|rd|th|\.)?\s+(?:of\s+)?(?P<month>{'|'.join(_MONTHS)}),?\s+(?P<year>\d{{4}})|"
    rf"(?P<month2>{'|'.join(_MONTHS)})\s+(?P<day2>\d{{1,2}}),?\s+(?P<year2>\d{{4}})|"
    r"(?P<iso>\d{4}-\d\d-\d\d)|(?P<d>\d{1,2})\.(?P<m>\d{1,2})\.(?P<y>\d{4})",
    re.IGNORECASE,
)
_UNTIL = re.compile(r"\b(?:until|till|up\s+to|through|bis(?:\s+zum)?)\s+(?:the\s+)?\Z", re.IGNORECASE)
_FROM = re.compile(r"\b(?:from|as\s+of|ab(?:\s+dem)?|vom|seit)\s+(?:the\s+)?\Z", re.IGNORECASE)
_BUILT = re.compile(r"\b(?:built|constructed|made|erstmals?\s+in\s+(?:den\s+)?verkehr|gebaut|hergestellt)\b", re.IGNORECASE)
_BEFORE = re.compile(r"\b(?:before|prior\s+to|vor(?:\s+dem)?)\s+(?:the\s+)?\Z", re.IGNORECASE)
_UP_TO = re.compile(r"\b(?:until|up\s+to|on\s+or\s+before|not\s+later\s+than|bis(?:\s+zum)?)\s+(?:the\s+)?\Z", re.IGNORECASE)
_AFTER = re.compile(r"\b(?:after|nach(?:\s+dem)?)\s+(?:the\s+)?\Z", re.IGNORECASE)
_SINCE = re.compile(r"\b(?:from|since|on\s+or\s+after|ab(?:\s+dem)?|seit(?:\s+dem)?)\s+(?:the\s+)?\Z", re.IGNORECASE)
_OTHERS = re.compile(
    r"\b(?:(?:the|all|any|every)\s+)?other\s+(?:cars?|classes|class)\b|\b(?:alle\s+)?(?:anderen|übrigen)\s+(?:klassen|fahrzeuge)\b",
    re.IGNORECASE,
)
_EXCEPT = re.compile(
    r"\b(?:except|but\s+not|other\s+than|außer|ausgenommen)\s+(?:for\s+|in\s+|on\s+|bei\s+)?(?:the\s+|class\s+)?\Z",
    re.IGNORECASE,
)
_ONLY_CONDITION = (
    r"\b(?:where|if|when|whenever|unless|provided\s+that|wenn|falls|sofern|soweit)\b",
    r"\b(?:car|cars|vehicle|vehicles|engine|engines|fahrzeuge?n?|motor(?:en)?)\s+(?:with|without|whose|having|that|which|of|ohne|mit|deren|dessen)\b",
)
_OPENS = re.compile("|".join(_ONLY_CONDITION), re.IGNORECASE)
_RULES = re.compile(r"\b(?:shall|must|may|is|are|adds?|carr(?:y|ies)|darf|dürfen|muss|müssen|soll(?:en)?)\b", re.IGNORECASE)
_GROUP = re.compile(
    r"(?:\A|[.,;:]\s*|\bund\s+|\bsowie\s+|\bjedoch\s+)(?P<what>(?:bei|für|an)\b[^;:]*?)"
    r"(?=\b(?:darf|dürfen|muss|müssen|soll|sollen|ist|sind|beträgt|betragen|gilt|gelten|mindestens|höchstens|nicht)\b|\d)",
    re.IGNORECASE,
)
_ABOARD = re.compile(
    r"\b(?:with|without|including|excluding|mit|ohne)\s+(?:the\s+|its\s+|a\s+)?(?:driver|fahrer)\b", re.IGNORECASE
)
_CLOSES = re.compile(r",|;|\Z")
_ABSENT = re.compile(r"\b(?:no|not|without|lacks?|ohne|kein\w*|nicht)\b", re.IGNORECASE)
_RELATIVE_VERB = re.compile(
    r"\b(?:that|which|whose|deren|dessen|die|das)\b[^,;]*?\b(?:is|are|has|have|was|were|ist|sind|hat|haben)\b", re.IGNORECASE
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Scope:
    """For which cars, and on which days of the season; `parts` are the words that say so.

    `unread` is the text of a condition that could not be read.
    """

    classes: tuple[str, ...] = ()
    since: str = ""
    until: str = ""
    when: tuple[Item, ...] = ()
    parts: tuple[Part, ...] = ()
    unread: str = ""


def find_classes(
    text: str, stretch: Stretch, around: Surroundings, named_before: Sequence[str] = ()
) -> tuple[tuple[str, ...], tuple[Part, ...]]:
    """The classes that a stretch of text names by their titles or as "other classes", in the edition's order."""
    inside = text[stretch.start : stretch.end]
    taken: list[tuple[int, int]] = []
    named: set[str] = set()
    left_out: set[str] = set()
    for name, title in around.class_titles.items():
        for match in re.finditer(rf"(?<!\w){re.escape(title)}(?:s|es|')?(?!\w)", inside):
            if any(start < match.end() and match.start() < end for start, end in taken):
                continue
            taken.append(match.span())
            (left_out if _EXCEPT.search(inside[: match.start()]) else named).add(name)
    if not named and not left_out:
        named, taken = _by_first_word(inside, around)
    if not named and not left_out and named_before and (others := _OTHERS.search(inside)):
        named, taken = set(around.edition.classes) - set(named_before), [others.span()]
    if left_out and not named:
        named = set(around.edition.classes) - left_out
    parts = tuple(Part(path="classes", start=stretch.start + start, end=stretch.start + end) for start, end in taken)
    ordered = tuple(name for name in around.edition.classes if name in named)
    return (ordered, parts) if 0 < len(ordered) < len(around.edition.classes) else ((), ())


def _by_first_word(inside: str, around: Surroundings) -> tuple[set[str], list[tuple[int, int]]]:
    """Classes that share the first word of their titles, where the text says it of cars: "silhouette cars"."""
    for first in {title.split()[0] for title in around.class_titles.values() if " " in title}:
        match = re.search(rf"\b(?:on|in|for|of|an?)\s+{re.escape(first)}\s+cars?\b", inside, re.IGNORECASE)
        if match:
            return {name for name, title in around.class_titles.items() if title.split()[0] == first}, [match.span()]
    return set(), []


def find_days(text: str, stretch: Stretch) -> tuple[str, str, tuple[Part, ...]]:
    """The first and the last day on which a stretch of text holds, empty where it names none."""
    since = until = ""
    parts: list[Part] = []
    for start, end, day in _days(text, stretch):
        before = text[stretch.start : start]
        if _BUILT.search(before[-60:]):
            continue
        for path, pattern in (("until", _UNTIL), ("from", _FROM)):
            if found := pattern.search(before):
                until = until or (str(day) if path == "until" else "")
                since = since or (str(day) if path == "from" else "")
                parts.append(Part(path=path, start=stretch.start + found.start(), end=end))
                break
    if since and until and since > until:
        return "", "", ()  # two spans: each stands beside its own number
    return since, until, tuple(parts)


def find_groups(text: str, sentence: Stretch) -> tuple[Stretch, ...]:
    """The stretches that name the vehicles a German sentence is for, "Bei Anhängern …", or who is aboard: "with the driver"."""
    groups = [(match.start("what"), match.end()) for match in _GROUP.finditer(text, sentence.start, sentence.end)]
    aboard = [match.span() for match in _ABOARD.finditer(text, sentence.start, sentence.end)]
    return tuple(Stretch(start=start, end=end) for start, end in (*groups, *aboard))


def find_conditions(text: str, sentence: Stretch) -> tuple[Stretch, ...]:
    """The stretches of a sentence that say for which cars it holds: "where …", "a car with …"."""
    found: list[Stretch] = []
    for match in _OPENS.finditer(text, sentence.start, sentence.end):
        if found and match.start() < found[-1].end:
            continue
        rules = _RULES.search(text, sentence.start, sentence.end)
        stop = _closing(text, match, sentence)
        is_clause = match.re is _OPENS and re.match(
            r"where|if|when|unless|provided|wenn|falls|sofern|soweit", match[0], re.IGNORECASE
        )
        if (
            not is_clause
            and rules
            and rules.start() < match.start()
            and not re.search(
                r"\b(?:of|on|for|in|by|bei|an)\s+(?:an?\s+|any\s+)?\Z", text[sentence.start : match.start()], re.IGNORECASE
            )
        ):
            continue
        found.append(Stretch(start=match.start(), end=stop))
    return tuple(found)


def _closing(text: str, match: re.Match[str], sentence: Stretch) -> int:
    """Where a condition ends: at the next comma, or at the verb that rules."""
    comma = _CLOSES.search(text, match.end(), sentence.end)
    stop = comma.start() if comma and comma.start() > match.end() else sentence.end
    relative = _RELATIVE_VERB.match(text, match.end() - len(match[0].split()[-1]), stop)
    rules = _RULES.search(text, relative.end() if relative else match.end(), stop)
    return rules.start() if rules else stop


def read_condition(text: str, stretch: Stretch, around: Surroundings) -> tuple[Item, ...]:
    """A condition in words as items: days of building, parts that are there or not, words of a list."""
    built = tuple(_built(text, stretch, around))
    return built or tuple(_states(text, stretch, around))


def _built(text: str, stretch: Stretch, around: Surroundings) -> Iterator[Item]:
    """`built before 1 January 2026`."""
    name = "car.built"
    if name not in around.vocabulary.quantities:
        return
    for start, end, day in _days(text, stretch):
        before = text[stretch.start : start]
        if not _BUILT.search(before):
            continue
        ways = ((_BEFORE, "under"), (_UP_TO, "max"), (_AFTER, "over"), (_SINCE, "min"))
        key = next((key for pattern, key in ways if pattern.search(before)), "")
        if key:
            yield Item(
                name=name,
                range=((key, str(day)),),
                parts=(Part(path=f"{name} {key}", start=stretch.start, end=end),),
                sure=0.95,
            )


def _states(text: str, stretch: Stretch, around: Surroundings) -> Iterator[Item]:
    """Choices and parts that a condition names: "whose gearbox is sequential", "with a rear wing"."""
    index = around.index
    mentions = list(index.mentions(text, 1.0, stretch.start, stretch.end))
    said = {mention.stem for mention in mentions}
    absent = bool(_ABSENT.search(text, stretch.start, stretch.end))
    for match in index.look_up(mentions, kind=ValueKind.CHOICE)[:6]:
        quantity = around.vocabulary.quantities[match.name]
        for choice in quantity.choices:
            words = {word.stem for word in find_words(choice)}
            if words and words <= said and choice not in {"yes", "no"} and match.score > LEAST_SCORE:
                part = Part(path=match.name, start=stretch.start, end=stretch.end)
                yield Item(name=match.name, value=choice, parts=(part,), sure=0.8)
                return
    for match in index.look_up(mentions):
        form_said = any(set(form) <= said for form in index.by_name[match.name].forms)
        if form_said and "." in match.name:
            part = Part(path=match.name, start=stretch.start, end=stretch.end)
            yield Item(name=match.name, value="absent" if absent else "present", parts=(part,), sure=0.85)
            return


def _days(text: str, stretch: Stretch) -> Iterator[tuple[int, int, date]]:
    """The days that a stretch of text names, with their places."""
    for match in _DAY.finditer(text, stretch.start, stretch.end):
        try:
            if match["iso"]:
                day = date.fromisoformat(match["iso"])
            elif match["d"]:
                day = date(int(match["y"]), int(match["m"]), int(match["d"]))
            else:
                month = _MONTHS[(match["month"] or match["month2"]).casefold()]
                day = date(int(match["year"] or match["year2"]), month, int(match["day"] or match["day2"]))
        except ValueError:
            continue  # no such day
        yield match.start(), match.end(), day
