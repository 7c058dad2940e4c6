"""The words by which a rule bounds a number: "no wider than", "at least", "nicht überschreiten", and what they say."""

from __future__ import annotations

import re
from dataclasses import dataclass
from enum import StrEnum


class Says(StrEnum):
    """What is said of a number. The first four are keys of a range in a reading."""

    MIN = "min"
    MAX = "max"
    OVER = "over"
    UNDER = "under"
    EXACTLY = "exactly"
    TOLERANCE = "tolerance"
    BY = "by"  # how far something else is passed or altered
    ASIDE = "aside"  # how or where something is measured: it limits nothing


@dataclass(frozen=True, slots=True, kw_only=True)
class Cue:
    """What words say of a number, where they stand in the text that was looked at, and how plainly they say it, 0 to 1."""

    says: Says
    start: int
    end: int
    sure: float


UP = (
    r"more|greater|larger|bigger|higher|wider|longer|thicker|deeper|heavier|taller|louder|older|faster|further|farther|later|"
    r"mehr|größer\w*|höher\w*|breiter\w*|länger\w*|schwerer\w*|lauter\w*|älter\w*|dicker\w*|weiter|später|schneller"
)
DOWN = (
    r"less|fewer|smaller|lower|narrower|shorter|thinner|lighter|nearer|closer|slower|earlier|sooner|"
    r"weniger|kleiner\w*|niedriger\w*|geringer\w*|schmaler\w*|kürzer\w*|dünner\w*|leichter\w*|tiefer\w*|näher|früher"
)
FILL = r"(?:\s+[^\s.;,]+){0,2}?"  # "no part of it more, in total, than": two words between at most
COMPARED = re.compile(
    rf"\b(?:(?P<up>{UP})|(?P<down>{DOWN})){FILL}\s+(?:than|als)(?:\s+(?:a|about|the|um|etwa|total\s+of))?\s*\Z",
    re.IGNORECASE,
)
EXCEED = re.compile(
    r"\b(?:exceed\w*|surpass\w*|go\s+beyond|rise\s+above|überschreite\w*|übersteig\w*)(?:\s+\w+)?:?\s*\Z", re.IGNORECASE
)
FALL_SHORT = re.compile(
    r"\b(?:fall\w*\s+(?:below|short\s+of)|drop\w*\s+below|be\s+below|unterschreite\w*)(?:\s+\w+)?:?\s*\Z", re.IGNORECASE
)
OVER = re.compile(
    r"\b(?:over|above|exceeding|in\s+excess\s+of|beyond|über|oberhalb(?:\s+von)?|ab\s+mehr\s+als)\s*\Z", re.IGNORECASE
)
UNDER = re.compile(r"\b(?:under|below|unter|unterhalb(?:\s+von)?)\s*\Z", re.IGNORECASE)
MAX = re.compile(
    r"(?:\b(?:at\s+(?:the\s+)?most|max(?:imum|imal)?\b\.?(?:\s+(?:of|is|be|shall\s+be|von))?|up\s+to(?:\s+and\s+including)?|limited\s+to|restricted\s+to|"
    r"within|no\s+later\s+than|höchstens|höchstzulässig\w*|maximal\w*(?:\s+(?:von|beträgt))?|bis\s+(?:zu|zum|auf)|bis|"
    r"begrenzt\s+auf|beschränkt\s+auf|as\s+much\s+as)|≤|<=)(?:\s+(?:einschließlich|zu\s+einer\s+\w+\s+von|an?\s+\w+(?:\s+\w+)?\s+of))?:?\s*\Z",
    re.IGNORECASE,
)
MIN = re.compile(
    r"(?:\b(?:at\s+(?:the\s+)?(?:very\s+)?least|min(?:imum|imal)?\b\.?(?:\s+(?:of|is|be|shall\s+be|von))?|mindestens|wenigstens|minimal\w*|"
    r"nicht\s+unter|ab|from)|≥|>=)(?:\s+(?:an?\s+\w+\s+of))?:?\s*\Z",
    re.IGNORECASE,
)
MAX_AFTER = re.compile(
    r"[\s,(]*(?:or\s+(?:less|fewer|under|below|narrower|smaller|lower|lighter|thinner)|at\s+(?:the\s+)?most|max(?:imum|imal)?\b|oder\s+(?:weniger|darunter|kleiner)|"
    r"(?:nicht|nie)\s+(?:\w+\s+){0,3}?(?:überschr\w+|überst\w+|überrag\w+|hinaus\w+)|(?:may|shall|must|is|are|can)\s*not\s+be\s+exceeded|"
    r"(?:darf|dürfen)\s+(?:\w+\s+){0,4}?nicht\s+(?:überschritten|überstiegen))",
    re.IGNORECASE,
)
MIN_AFTER = re.compile(
    r"[\s,(]*(?:or\s+(?:more|greater|over|above|wider|higher|longer|thicker|larger|heavier)|at\s+(?:the\s+)?least|min(?:imum|imal)?\b|oder\s+(?:mehr|darüber|größer)|"
    r"(?:nicht|nie)\s+(?:\w+\s+){0,3}?unterschr\w+|(?:darf|dürfen)\s+(?:\w+\s+){0,4}?nicht\s+unterschritten)",
    re.IGNORECASE,
)
NEGATED = re.compile(
    r"\b(?:no|not|never|nor|none|neither|cannot|without|nicht|nie|niemals|kein\w*|weder|noch|ohne)\b", re.IGNORECASE
)
TOLERANCE = re.compile(
    r"(?:±|\+/[-−]|\+\s*or\s*[-−]|plus\s+or\s+minus|tolerance\s+(?:of|is|:)?|toleranz\s*(?:von|:)?|plus/minus)\s*(?:±|\+/[-−])?\s*\Z",
    re.IGNORECASE,
)
TOLERANCE_AFTER = re.compile(r"\s*(?:of\s+)?(?:tolerance|toleranz)\b", re.IGNORECASE)
ASIDE = re.compile(
    r"\b(?:measured|tested|checked|taken|gauged|weighed|recorded|gemessen|geprüft|ermittelt|bezogen)\b[^.;,]*\Z|"
    r"\b(?:at\s+a\s+(?:distance|speed|temperature|height|pressure)\s+of|from\s+a\s+distance\s+of|turning\s+at|running\s+at|"
    r"in\s+(?:einer|einem)\s+(?:abstand|entfernung|höhe)\s+von|bei\s+(?:einer|einem)\s+(?:temperatur|geschwindigkeit|druck|drehzahl)\s+von)\s*\Z",
    re.IGNORECASE,
)
GREATEST = re.compile(
    r"\b(?:maximum|greatest|largest|most|highest|widest|longest|heaviest|upper\s+limit|höchst\w*|größte\w*|maximale?\w*|zulässige\w*)\b",
    re.IGNORECASE,
)
LEAST = re.compile(
    r"\b(?:minimum|least|smallest|lowest|narrowest|shortest|lower\s+limit|mindest\w*|kleinste\w*|geringste\w*|minimale?\w*)\b",
    re.IGNORECASE,
)
EXACT = re.compile(r"\b(?:exactly|precisely|equal\s+to|genau|gleich)\s*\Z", re.IGNORECASE)
IS = re.compile(r"\b(?:shall|must|has\s+to|have\s+to|is|are|be|muss|müssen|beträgt|betragen)\b", re.IGNORECASE)
RANGE_OPENS = re.compile(r"\b(?:between|from|zwischen|von)\s*(?:einem?r?\s+\w+\s+von\s+)?\Z", re.IGNORECASE)
RANGE_JOINS = re.compile(r"\s*(?:\([^()]{0,24}\))?\s*(?:to|and|und|bis|–|-|−)\s*", re.IGNORECASE)
DASH = re.compile(r"\s*(?:–|-|−|to|bis)\s*", re.IGNORECASE)
TIMES = re.compile(r"\s*(?:×|x|X|by|mal)\s*")
BREAK = re.compile(r"[,:(]|\b(?:and|or|but|nor|und|oder|sowie|noch|sondern)\b", re.IGNORECASE)
AFTERWARDS = re.compile(
    r"\s*(?:each\s+|both\s+|wide\s+|long\s+)?(?:at|in|on|for|above|below|behind|beyond|across|to|von|am|an|über|vorn|hinten|vom|inside|in)\b[^,;.]{0,60}",
    re.IGNORECASE,
)
RULES = re.compile(r"\b(?:shall|must|may|can|will|darf|dürfen|muss|müssen|soll|sollen|kann|können)\b", re.IGNORECASE)
MODAL = re.compile(
    r"\b(?:is|are|has|have|adds?|carr(?:y|ies)|weighs?|needs?|ist|sind|beträgt|betragen|gilt|gelten|haben|hat)\b",
    re.IGNORECASE,
)
CONDITION_OPENS = re.compile(
    r"\b(?:where|if|when|unless|with|whose|having|of\s+(?:more|less|over|under|up)|built|that|which|who|for|in\s+cars|up\s+to|above|over|wider|"
    r"wenn|falls|sofern|soweit|bei|mit|deren|dessen|ab|bis|über|unter|für)\b",
    re.IGNORECASE,
)
CONDITION_AFTER = re.compile(
    r"\b(?:where|if|when|provided|unless|for\s+(?:cars?|vehicles?|engines?)|(?:on|in)\s+(?:cars?|vehicles?)|up\s+to\s+an?|wenn|falls|sofern|soweit)\b",
    re.IGNORECASE,
)
VERB_FIRST = re.compile(  # "Ist der höchste Punkt höher als …, so …": a condition without a word for it
    r"\s*(?:ist|sind|hat|haben|beträgt|betragen|lässt|lassen|über\w+|unter\w+|liegt|liegen|wird|werden)\b[^;.]*?,\s*(?:so|dann)\b",
    re.IGNORECASE,
)
PARALLEL = re.compile(  # "…, bei Krafträdern nicht tiefer als": the same again for others
    r"[\s,]*(?:(?:und|oder|and|or|sowie)\s+)?(?:bei|für|an|for|in|on)\b[^,;.]*\Z|[\s,]*(?:bei|für|an|for|in|on)\b[^;.]*,[^,;.]{0,24}\Z",
    re.IGNORECASE,
)
WORD_NUMBERS = {
    word: number
    for words in (
        "one two three four five six seven eight nine ten eleven twelve",
        "eins zwei drei vier fünf sechs sieben acht neun zehn elf zwölf",
    )
    for number, word in enumerate(words.split(), 1)
} | {"single": 1, "ein": 1, "eine": 1, "einen": 1}
YEAR = re.compile(r"(?:19|20)\d\d")
AT_LEAST_BEHIND = re.compile(
    r"(?:\s+[^\W\d]+){1,3}?\s+(?:at\s+(?:the\s+)?|or\s+)(?P<way>least|most|more|fewer|less)\b", re.IGNORECASE
)
COUNTS = re.compile(r"\b(?:shall|must)\s+be\s*\Z", re.IGNORECASE)  # "the number of elements shall be one"
OF_SOME = re.compile(
    r"\b(?:mit|bei)\b[^,;.]*\bvon\s+(?:nicht\s+)?(?:mehr\s+als|weniger\s+als|über|unter|bis\s+zu|mindestens|höchstens)\s*\Z|"
    r"\b(?:deren|dessen|denen|wenn|sofern|soweit|falls)\b(?:(?!\b(?:darf|dürfen|muss|müssen|soll)\b)[^;.])*\Z",
    re.IGNORECASE,
)
HOLDS_FOR = re.compile(
    r"\b(?:gilt|gelten)\b[^;.]{0,40}?\b(?:für|bei)\b|\b(?:gilt|gelten)\s+als\b|\bdo(?:es)?\s+not\s+apply\b|\bappl(?:y|ies)\s+(?:only\s+)?to\b",
    re.IGNORECASE,
)
BY_BEFORE = re.compile(
    r"\b(?:um|by)\s+(?:(?:an?\s+\w+\s+of|up\s+to|at\s+most|no\s+more\s+than|not\s+more\s+than|bis\s+zu|höchstens|mehr\s+als|nicht\s+mehr\s+als)\s+)?\Z",
    re.IGNORECASE,
)
PASSED = re.compile(
    r"\b(?:exceed\w*|enlarg\w*|rais\w*|reduc\w*|increas\w*|lower\w*|mov\w*|alter\w*|überschr\w+|überst\w+|unterschr\w+|erhöh\w+|verringer\w+|ermäßig\w+)\b",
    re.IGNORECASE,
)
LIKE_THAT = re.compile(  # "a container of 45 ft length": what a thing is like
    r"\b(?:von|of)\s+\Z", re.IGNORECASE
)
SIZE_BEHIND = re.compile(r"\s*(?:länge|breite|höhe|tiefe|dicke|length|width|height|depth|thickness)\b", re.IGNORECASE)
REFERENCE = re.compile(  # in front of the number of a rule, not of an amount
    r"(?:§+|\b(?:Abs(?:atz|ätze\w?|\.)|S[aä]tz\w*|Nummern?|Nrn?\.|Artikels?|Art\.|Anlagen?|Anhang\w*|Ziffern?|Buchstaben?|Richtlinien?|Verordnung\w*|Norm\w*|Regelung\w*|Tabellen?|Klassen?|"
    r"clauses?|sections?|articles?|paragraphs?|rules?|appendix|appendices|annex(?:es)?|tables?|figures?|items?|chapters?|numbers?|no\.|standards?))"
    r"\s*(?:[A-Z]{1,5}\s*)?(?:[\d.,/-]+[a-z]?\s*(?:bis|und|oder|to|and|or|,)\s*)*\Z"
)
FORBIDDEN = re.compile(  # what is said of a thing of such a size: "… of more than 9 in are forbidden"
    r"\b(?:is|are)\s+(?:\w+\s+)?(?:forbidden|prohibited|banned|not\s+(?:permitted|allowed))\b|"
    r"\b(?:ist|sind)\s+(?:\w+\s+)?(?:unzulässig|verboten|nicht\s+(?:zulässig|erlaubt|gestattet))\b",
    re.IGNORECASE,
)
PERMITTED = re.compile(
    r"\b(?:is|are)\s+(?:permitted|allowed|admitted)\b|\b(?:ist|sind)\s+(?:zulässig|erlaubt|gestattet)\b", re.IGNORECASE
)
OF_ITSELF = re.compile(r"\b(?:of|mit|von|with)\b[^,;.]*\Z", re.IGNORECASE)
OF_OTHERS = re.compile(r"\b(?:for|on|in|at|bei|für|an|auf|in)\b[^,;.]*\Z", re.IGNORECASE)
MEASURE_BEHIND = re.compile(r"\s*(?:breit|hoch|hohe|lang|tief|dick|stark|wide|high|long|thick|deep)\w{0,2}\b", re.IGNORECASE)
RELATIVE = re.compile(r",\s*(?:die|der|das|deren|dessen|welche\w?|that|which|whose)\b", re.IGNORECASE)
NUMBER_WORD = re.compile(rf"\b(?:{'|'.join(WORD_NUMBERS)})\b", re.IGNORECASE)


NOT_PASSED = re.compile(
    r"(?:nicht|nie)\s+(?:\w+\s+){0,4}?(?:überschreit\w+|übersteig\w+|überschritten|unterschreit\w+|unterschritten)",
    re.IGNORECASE,
)
NOT_PASSED_BEHIND = re.compile(r"\bnot\s+be\s+exceeded|nicht\s+(?:über|unter)schritten")
GOES_ON = re.compile(r"\s*,?\s*(?:or|and|oder|und|bzw\.?)\b", re.IGNORECASE)
AND = re.compile(r"\b(?:and|or|und|oder)\b|,", re.IGNORECASE)
AND_OF = re.compile(r"\s*(?:and|und)?\s*(?:of|von|in)?\s*", re.IGNORECASE)


def cue_before(here: str, *, denied_before: bool) -> Cue | None:
    """What the words in front of a number say, `here` being the text up to it; None where they say nothing plainly.

    `denied_before` tells whether a comparison of the sentence was denied already, and this one goes on with it.
    """
    if match := TOLERANCE.search(here):
        return Cue(says=Says.TOLERANCE, start=match.start(), end=len(here), sure=1.0)
    if match := COMPARED.search(here):
        return _bounding(here, match, is_up=bool(match["up"]), denied_before=denied_before)
    for pattern, is_up in ((EXCEED, True), (FALL_SHORT, False)):
        if match := pattern.search(here):
            return _bounding(here, match, is_up=is_up, denied_before=denied_before)
    for pattern, says in ((MAX, Says.MAX), (MIN, Says.MIN), (EXACT, Says.EXACTLY)):
        if match := pattern.search(here):
            return Cue(says=says, start=match.start(), end=len(here), sure=0.95)
    return None


def _bounding(here: str, match: re.Match[str], *, is_up: bool, denied_before: bool) -> Cue:
    """What a comparison in front of a number says, from the word on that denies it."""
    denials = [found.start() for found in NEGATED.finditer(here, 0, match.start())]
    says = _compared(is_up=is_up, negated=denied_before or bool(denials))
    return Cue(says=says, start=denials[-1] if denials else match.start(), end=len(here), sure=1.0)


def cue_behind(rest: str, *, in_words: bool) -> Cue | None:
    """What the words behind a number say, `rest` being the text from its end on."""
    if match := TOLERANCE_AFTER.match(rest):
        return Cue(says=Says.TOLERANCE, start=match.start(), end=match.end(), sure=0.9)
    for pattern, says in ((MAX_AFTER, Says.MAX), (MIN_AFTER, Says.MIN)):
        if match := pattern.match(rest):
            return Cue(says=says, start=match.start(), end=match.end(), sure=0.95)
    if in_words and (match := AT_LEAST_BEHIND.match(rest)):
        says = Says.MIN if match["way"].lower() in {"least", "more"} else Says.MAX
        return Cue(says=says, start=match.start("way"), end=match.end(), sure=0.95)
    if match := NOT_PASSED.search(rest):
        says = Says.MIN if "unter" in match[0].lower() else Says.MAX
        return Cue(says=says, start=match.start(), end=match.end(), sure=0.95)
    return None


def loose_cue(whole: str, here: str) -> Cue:
    """What is said where no words of bounding stand beside a number: `whole` is the sentence up to it, `here` its own part.

    The places are those in `whole`, below zero where no words say it.
    """
    offset = len(whole) - len(here)
    for pattern, is_up in ((OVER, True), (UNDER, False)):
        if match := pattern.search(here):
            negated = NEGATED.search(here, 0, match.start()) is not None
            return Cue(says=_compared(is_up=is_up, negated=negated), start=offset + match.start(), end=len(whole), sure=0.9)
    if match := ASIDE.search(here):
        return Cue(says=Says.ASIDE, start=offset + match.start(), end=len(whole), sure=0.9)
    for pattern, says in ((GREATEST, Says.MAX), (LEAST, Says.MIN)):
        if found := list(pattern.finditer(whole)):
            return Cue(says=says, start=found[-1].start(), end=found[-1].end(), sure=0.8)
    match = IS.search(whole)
    if match:
        return Cue(says=Says.EXACTLY, start=match.start(), end=match.end(), sure=0.6)
    return Cue(says=Says.EXACTLY, start=-1, end=-1, sure=0.3)


def lead_cue(lead: str) -> Cue | None:
    """What the lead of a list says of the numbers in its items, with the places in it; None where it says nothing."""
    if match := NOT_PASSED.search(lead):
        says = Says.MIN if "unter" in match[0].lower() else Says.MAX
        return Cue(says=says, start=match.start(), end=match.end(), sure=0.95)
    plain = cue_before(lead.rstrip(": \n"), denied_before=False)
    if plain is not None:
        return plain
    for pattern, says in ((GREATEST, Says.MAX), (LEAST, Says.MIN)):
        if found := list(pattern.finditer(lead)):
            return Cue(says=says, start=found[-1].start(), end=found[-1].end(), sure=0.85)
    return None


def goes_on(here: str) -> bool:
    """Whether a part of a sentence only goes on with what was denied before it: "or higher than"."""
    return GOES_ON.match(here) is not None and not MODAL.search(here) and not RULES.search(here)


def _compared(*, is_up: bool, negated: bool) -> Says:
    if negated:
        return Says.MAX if is_up else Says.MIN
    return Says.OVER if is_up else Says.UNDER
