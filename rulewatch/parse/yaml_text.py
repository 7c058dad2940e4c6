"""Text as our YAML files have it, in one line."""

from __future__ import annotations

import re

# Text that means itself in YAML without quotes, wherever it stands.
PLAIN = re.compile(r"[A-Za-z][A-Za-z0-9._/()-]*(?: [A-Za-z0-9._/()-]+)*")
WORDS_OF_YAML = re.compile(r"(?:true|false|yes|no|on|off|null|y|n)", re.IGNORECASE)
SHOWN = re.compile(r"[ !#-\[\]-~\xa0-\u1fff\u2010-\u2027\u2030-\u205f\u2070-\ud7ff\ue000-\ufdcf\ufdf0-\ufefe\uff01-\uffef]")
BEYOND_FOUR_DIGITS = 0x10000  # YAML 1.2.2, 5.7


def scalar(text: str) -> str:
    """A text as YAML takes it, in one line: as it is where it can only mean itself, else between quotation marks."""
    if PLAIN.fullmatch(text) and not WORDS_OF_YAML.fullmatch(text):
        return text
    return f'"{"".join(sign if SHOWN.fullmatch(sign) else _escape(sign) for sign in text)}"'


def _escape(sign: str) -> str:
    if sign in '"\\':
        return f"\\{sign}"
    return f"\\u{ord(sign):04x}" if ord(sign) < BEYOND_FOUR_DIGITS else f"\\U{ord(sign):08x}"
