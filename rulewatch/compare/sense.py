"""Words that turn the sense of a rule: may and must not, at least and at most. Where they changed, a number proves nothing.

The list is common practice of drafting in English and German, without a source; it is there to warn, and proves nothing either.
"""

from __future__ import annotations

import re
from collections import Counter

# Comparatives by which side of a number they lie on.
MORE = (
    "more|greater|larger|bigger|higher|wider|longer|thicker|heavier|taller|deeper|older|later|faster|louder|stronger|farther|"
    "further|mehr|größer|höher|breiter|länger|dicker|schwerer|später|älter|lauter|tiefer"
)
LESS = (
    "less|fewer|smaller|lower|narrower|shorter|thinner|lighter|younger|earlier|slower|closer|nearer|weniger|kleiner|niedriger|"
    "schmaler|kürzer|dünner|leichter|früher|jünger|leiser|geringer"
)
NOT = r"(?:not|no|never|nicht|kein\w*)"
# From the longest phrase to the single word: each takes its words away from those behind it.
SIGNS: tuple[tuple[str, re.Pattern[str]], ...] = tuple(
    (sign, re.compile(rf"(?<!\w)(?:{words})(?!\w)", re.IGNORECASE))
    for sign, words in (
        (
            "at most",
            rf"{NOT}(?:\s\w+){{0,2}}\s(?:{MORE})|{NOT}\s(?:to\s|be\s)?exceed(?:ing)?|nicht\süberschreite[nt]|{NOT}\s(?:\w+\s)?(?:above|over|after|über)",
        ),
        (
            "at least",
            rf"{NOT}(?:\s\w+){{0,2}}\s(?:{LESS})|nicht\sunterschreite[nt]|{NOT}\s(?:\w+\s)?(?:below|under|before|unter)",
        ),
        ("at most", r"at most|up to(?: and including)?|maximum|max\.?|at the most|höchstens|maximal|bis zu"),
        ("at least", r"at least|minimum|min\.?|at the least|mindestens|minimal"),
        ("above", rf"(?:{MORE})(?:\s(?:than|als))?|above|over|exceed(?:s|ing)?|after|über|überschreite[nt]|nach"),
        ("below", rf"(?:{LESS})(?:\s(?:than|als))?|below|under|before|unter|unterschreite[nt]|vor"),
        ("not", rf"{NOT}|none|neither|nor|without|forbidden|prohibited|banned|ohne|verboten|unzulässig|untersagt"),
        ("may", r"may|permitted|allowed|free|can|darf|dürfen|zulässig|erlaubt|gestattet|freigestellt|kann|können"),
        ("only", r"only|alone|solely|exclusively|nur|allein|ausschließlich"),
        ("except", r"except(?:ing)?|unless|other than|save|apart from|außer|ausgenommen|es sei denn"),
    )
)


def signs_of(text: str) -> Counter[str]:
    """How often each kind of such words stands in a text."""
    found: Counter[str] = Counter()
    rest = text
    for sign, pattern in SIGNS:
        rest, count = pattern.subn("|", rest)
        found[sign] += count
    return +found


def turned(old: str, new: str) -> str:
    """What of these words changed between two texts, in words; empty where nothing did."""
    before, after = signs_of(old), signs_of(new)
    went, came = sorted(before - after), sorted(after - before)
    if not (went or came):
        return ""
    said = [f"“{sign}” went" for sign in went] + [f"“{sign}” came" for sign in came]
    return f"the sense may have turned ({', '.join(said)})"


SENTENCE_ENDS = re.compile(r"(?<=[.;!?])\s+(?=[^\s\da-z]|\(|\d)")


def sentence_at(text: str, at: int) -> str:
    """The sentence that a place of a text is in."""
    start, end = 0, len(text)
    for match in SENTENCE_ENDS.finditer(text):
        if match.end() <= at:
            start = match.end()
        else:
            end = match.start()
            break
    return text[start:end]


def sentences(text: str) -> list[str]:
    """A text cut into its sentences."""
    return [sentence for sentence in SENTENCE_ENDS.split(text) if sentence.strip()]


def only_in(text: str, other: str) -> list[str]:
    """The sentences of a text that another does not have."""
    theirs = set(sentences(other))
    return [sentence for sentence in sentences(text) if sentence not in theirs]
