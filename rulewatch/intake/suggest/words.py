"""Words as they are matched with the vocabulary: English and German, without their endings, one form for one meaning.

`wider`, `wide`, `width`, `breit` and `Breite` are all `width`, since a rule says "no wider than" of what a vocabulary calls a
width. These meanings are those of measuring; which part of a car a word names is for the vocabulary to say.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Iterator
from dataclasses import dataclass
from functools import lru_cache

WORD = re.compile(r"[^\W\d_]+(?:['’][^\W\d_]+)?")
SHORTEST_PART = 3  # letters of one part of a joined German word

# What is measured: the first word stands for all in its line.
MEASURES_OF_A_THING = """
width wide wider widest narrow narrower narrowest breite breit breiter breiten breiteste schmal schmaler schmaler
height high higher highest low lower lowest tall taller höhe hoch höher höhen hohe hohen niedriger above
length long longer longest short shorter länge lang länger langen kurz kürzer
depth deep deeper tiefe tief tiefer
thickness thick thicker thickest thin thinner gauge dicke dick dicker dünn dünner stärke
weight weigh weighs weighed mass masses heavy heavier heaviest light lighter gewicht gewichte masse schwer schwerer wiegt wiegen
diameter diameters across dia durchmesser
capacity hold holds contain contains holding volume content fassungsvermögen inhalt volumen fasst
projection project projects projecting protrude protrudes extend extends beyond überstand hervorstehen hinausragen vorstehen
overhang overhangs behind überhang
noise loud louder loudest sound geräusch laut lauter lautstärke
angle inclined inclination angles winkel neigung
radius radii radien halbmesser
pressure pressures druck
power output leistung
speed geschwindigkeit
area surface surfaces fläche
distance apart abstand
clearance freiheit clear clears
count number anzahl zahl
ratio verhältnis
"""
# Spelled in two ways, or of one meaning in this trade.
SAME_WORD = """
tyre tire tires tyres reifen
centre center
carburettor carburetor
aluminium aluminum
calliper caliper
colour color
fibre fiber
grey gray
bush bushing
front forward vorn vorne vorder vordere vorderen vorderer foremost
rear back hinten hinter hintere hinteren hinterer heck rearmost
side seite seitlich seitliche
vehicle automobile fahrzeug kraftfahrzeug wagen kfz car
gauge measure
"""
ENGLISH_STOPS = """
a an the of for on in at to with and or by from be is are was shall must may can its it their his her this that these those as
any each every no not than more less most least such other which where when if so but out up each one all only own same
has have had been into over under between without within per part parts kind type number date
"""
GERMAN_STOPS = """
der die das des dem den ein eine einer eines einem einen und oder von vom zu zur zum mit auf in im an am bei für als ist sind
darf dürfen muss müssen soll sollen nicht kein keine nur sein werden wird nach aus über unter bis je sowie auch sich
"""
STOPS = frozenset(ENGLISH_STOPS.split()) | frozenset(GERMAN_STOPS.split())
LENGTHS = frozenset(
    ["width", "height", "length", "depth", "thickness", "diameter", "projection", "overhang", "radius", "distance", "clearance"]
)
MEASURE_NAMES = frozenset(line.split()[0] for line in MEASURES_OF_A_THING.splitlines() if line)
_MEANINGS = {
    word: line.split()[0] for table in (SAME_WORD, MEASURES_OF_A_THING) for line in table.splitlines() for word in line.split()
}
_ENGLISH_ENDINGS = re.compile(r"(?:['’]s|(?<=ss|sh|ch)es|(?<=[xz])es|(?<=[^s])s)$")
_GERMAN_ENDINGS = re.compile(r"(?<=....)(?:ern|en|er|es|em|e|n|s)$")
_UMLAUTS = str.maketrans({"ä": "a", "ö": "o", "ü": "u", "ß": "s", "é": "e"})
_LINKS = ("s", "es", "n", "en", "")


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A word of a text without its ending, and where it stands: `text[start:end]`."""

    stem: str
    start: int
    end: int


@lru_cache(maxsize=16384)
def stem(word: str) -> str:
    """A word's form for comparison: its meaning where it is one of measuring, else without its ending."""
    low = word.lower()  # and not folded: `Maße` are sizes, `Masse` is a mass
    if low in _MEANINGS:
        return _MEANINGS[low]
    low = _ENGLISH_ENDINGS.sub("", low)
    if low in _MEANINGS:
        return _MEANINGS[low]
    low = low[:-3] + "y" if low.endswith("ie") and len(low) > SHORTEST_PART + 1 else low
    plain = _GERMAN_ENDINGS.sub("", low)
    return plain.translate(_UMLAUTS)


def find_words(text: str, start: int = 0, end: int | None = None) -> Iterator[Word]:
    """The words of a stretch of text that can name something, in order; joined English words (`anti-roll`) one by one."""
    for match in WORD.finditer(text, start, len(text) if end is None else end):
        if match[0].casefold() not in STOPS:
            yield Word(stem=stem(match[0]), start=match.start(), end=match.end())


def stems(text: str) -> tuple[str, ...]:
    """The words of a short text, each once."""
    return tuple(dict.fromkeys(word.stem for word in find_words(text)))


@lru_cache(maxsize=16384)
def parts(word: str, known: Collection[str]) -> tuple[str, ...]:
    """A joined German word as the known words that it is made of: `felgenbreit` is `felg` and `width`; else the word alone."""
    if word in known or len(word) < 2 * SHORTEST_PART + 2:
        return (word,)
    for cut in range(SHORTEST_PART, len(word) - SHORTEST_PART + 1):
        head, tail = word[:cut], stem(word[cut:])
        if tail not in known and tail not in MEASURE_NAMES:
            continue
        for link in _LINKS:
            front = stem(head.removesuffix(link)) if link and head.endswith(link) else stem(head)
            if front in known:
                return (front, tail)
    return (word,)
