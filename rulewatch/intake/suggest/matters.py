"""What a clause is about where it limits nothing on the car: papers, the driver, the event, the officials; and items with a life."""

from __future__ import annotations

import re
from collections.abc import Iterator

from rulewatch.intake.suggest.draft import Draft, Part
from rulewatch.intake.suggest.limits import BESIDE, Page

_LIFE = re.compile(
    r"\b(?P<years>\d{1,2}|one|two|three|four|five|six|seven|eight|nine|ten|twelve)\s+years?\b(?P<after>[^.;]{0,90})",
    re.IGNORECASE,
)
_NUMBERS = {
    word: index
    for index, word in enumerate(
        ["zero", "one", "two", "three", "four", "five", "six", "seven", "eight", "nine", "ten", "eleven", "twelve"]
    )
}
_SINCE = (
    ("manufacture", re.compile(r"\b(?:manufactur\w*|made|making|production|produced|herstell\w*)\b", re.IGNORECASE)),
    ("service", re.compile(r"\b(?:servic\w*|inspect\w*|check\w*|test\w*|prüfung|wartung)\b", re.IGNORECASE)),
    ("homologation", re.compile(r"\bhomologat\w*\b", re.IGNORECASE)),
    ("certificate", re.compile(r"\bcertificat\w*\b", re.IGNORECASE)),
)
_YEAR_END = re.compile(
    r"(?<!not to )\b(?:end\s+of\s+(?:the|that|its)\s+(?:\w+\s+)?year|31\s+december|year.s\s+end|ende\s+des\s+(?:kalender)?jahres)\b",
    re.IGNORECASE,
)
_NOT_YEAR_END = re.compile(r"\bnot\s+(?:to|until|at)\s+the\s+end\s+of\b", re.IGNORECASE)

# Words of a matter, in headings and sentences. Common practice of rule books, no source.
_WORDS = {
    "driver": (
        r"drivers?\s+(?:wears?|holds?|must|shall|is|are)|wears?|worn|competition\s+licen[cs]e|licen[cs]es?|medical|helmets?|suits?|gloves|overalls|"
        r"fahrer|lizenz|helm|schutzkleidung"
    ),
    "paperwork": (
        r"means|definition\w*|in\s+this\s+book|papers?|log\s*book|entry\s+form|certificate|letter|secretary|fees?|registration|register|"
        r"is\s+called|counts?\s+as|stated\s+in|measured\s+(?:from|between|as|at)|number\s+of\s+the\s+clause|chapter|closed|is\s+a|are\s+a|"
        r"antrag|bescheinigung|gebühr|im\s+sinne|gilt\s+als"
    ),
    "event": (
        r"races?|practice|qualifying|grid|start(?:s|ing)?|flags?|event|meeting|paddock|pit(?:\s*lane)?|results?|points?|lap|laps|"
        r"parc\s+ferm\w*|weighed|tows?|winner|rennen|training|startaufstellung"
    ),
    "officials": (
        r"inspectors?\s+(?:may|shall|can|check|decide|seal|draw|enter|read)|stewards?|officials?|committee|protests?|appeals?|penalt(?:y|ies)|disqualif\w*|"
        r"excluded|fine|seals?|club.s\s+own|protest|berufung|sportkommissar\w*|strafe"
    ),
}
_MATTERS = {name: re.compile(rf"\b(?:{words})\b", re.IGNORECASE) for name, words in _WORDS.items()}
HEADING_COUNTS = 2
BY_HEADING = "only the headings above it say so"


def find_matter(page: Page) -> Draft | None:
    """What a clause concerns, where its words point one way; None where they do not."""
    heading = f"{page.clause.heading} {' '.join(above.heading for above in page.around.above(page.clause))} {page.clause.chapter.replace('-', ' ')}"
    votes = {
        name: len(list(pattern.finditer(page.text))) + HEADING_COUNTS * len(list(pattern.finditer(heading)))
        for name, pattern in _MATTERS.items()
    }
    ranked = sorted(votes, key=lambda name: -votes[name])
    best, next_best = ranked[0], ranked[1]
    if votes[best] == 0 or votes[best] == votes[next_best]:
        return None
    parts = tuple(Part(path="concerns", start=match.start(), end=match.end()) for match in _MATTERS[best].finditer(page.text))
    doubts: tuple[str, ...] = ()
    if not parts:
        first = page.sentences[0] if page.sentences else None
        if first is None:
            return None
        parts, doubts = (Part(path="concerns", start=first.start, end=first.end),), (BY_HEADING,)
    lead = (votes[best] - votes[next_best]) / votes[best]
    return Draft(concerns=best, parts=parts, sure=round(0.35 + 0.35 * lead, 2), doubts=doubts)


def find_dated(page: Page) -> Iterator[Draft]:
    """Items with a life: "may be used for five years from the day of manufacture"."""
    index = page.around.index
    for number, sentence in enumerate(page.sentences):
        inside = page.text[sentence.start : sentence.end]
        life = _LIFE.search(inside)
        if life is None:
            continue
        ways = [(name, match.start()) for name, pattern in _SINCE if (match := pattern.search(inside))]
        near = [name for name, start in ways if start > life.start()] or [name for name, _ in ways]
        matches = [match for match in index.look_up([*page.sentence_mentions(number)]) if "." in match.name]
        said = {mention.stem for mention in page.sentence_mentions(number) if mention.weight >= BESIDE / 2}
        named = [match for match in matches if any(set(form) <= said for form in index.by_name[match.name].forms)]
        if not near or not named:
            continue
        years = life["years"].casefold()
        count = _NUMBERS.get(years) or int(years)
        until = "year-end" if _YEAR_END.search(inside) and not _NOT_YEAR_END.search(inside) else "day"
        text = f"{{item: {named[0].name}, life: {count} year{'s' if count > 1 else ''}, from: {near[0]}, until: {until}}}"
        part = Part(path="dated", start=sentence.start + life.start(), end=sentence.start + life.end("years"))
        yield Draft(dated=text, parts=(part,), sure=0.8)
