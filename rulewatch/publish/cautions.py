"""The cautions of a page, by what it reports on. Where life may hang on it, the page says who decides and who may do the work."""

from __future__ import annotations

import re
from collections.abc import Iterable
from dataclasses import dataclass

from rulewatch.model.vocabulary import within

ALWAYS = (
    "The official book and the event's inspectors decide. This site is a crew's own reading of the rules, and may be wrong."
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Caution:
    """A caution, and what calls for it: parts of the car (as in the vocabulary), or words of the rule text."""

    topic: str
    text: str
    scopes: tuple[str, ...]
    words: re.Pattern[str]


def _words(*stems: str) -> re.Pattern[str]:
    return re.compile(rf"\b(?:{'|'.join(stems)})", re.IGNORECASE)


CAUTIONS: tuple[Caution, ...] = (
    Caution(
        topic="Safety equipment and fuel",
        text="Work for qualified people. Legal here means that a number or a date fits the rule, "
        "not that the part protects anyone.",
        scopes=("safety", "fuel", "driver", "cockpit"),
        words=_words(
            "safety",
            "harness",
            r"(?<!bead )seats?\b",
            "belt",
            "helmet",
            "fire",
            "extinguish",
            "fuel",
            "cut-?off",
            "master switch",
        ),
    ),
    Caution(
        topic="Structure",
        text="Designed, made and judged by qualified people. Do not cut, drill or weld on the word of this page.",
        scopes=("cage", "chassis", "towing"),
        words=_words("cage", "roll", "structur", "weld", "chassis", "frame", "tub", "mounting"),
    ),
    Caution(
        topic="Weight and ballast",
        text="Loose ballast can kill: mount it as the book says and have it inspected. The scales at the event decide.",
        scopes=("ballast", "car.weight"),
        words=_words("ballast", "minimum weight", "weigh"),
    ),
    Caution(
        topic="Speed",
        text="No figure here of power, speed or pace is guidance for driving.",
        scopes=("engine.power", "car.speed", "car.power_to_weight"),
        words=_words("speed", "power", "pace", "lap time"),
    ),
)


def cautions_for(subjects: Iterable[str], texts: Iterable[str] = ()) -> tuple[Caution, ...]:
    """The cautions that subjects (quantities, components) or rule texts call for, in the order of the table."""
    names, passages = tuple(dict.fromkeys(subjects)), tuple(texts)
    return tuple(
        caution
        for caution in CAUTIONS
        if any(within(name, scope) for name in names for scope in caution.scopes)
        or any(caution.words.search(passage) for passage in passages)
    )
