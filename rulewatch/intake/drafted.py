"""Instructions recognised in the sentences of a published bulletin, such as `1. In Article 4.2, replace “60 mm” with “75 mm”`.

Only what reads as an instruction becomes one. A sentence that seems to be one and does not read is left as text with the reason,
for a person to look at; everything else is text.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from dataclasses import dataclass

from rulewatch.model.fault import Fault, Source
from rulewatch.model.instruction import Act, Extent, Instruction
from rulewatch.parse.instruction_clauses import VERBS
from rulewatch.parse.instruction_cursor import MASK, masked
from rulewatch.parse.instruction_forms import VERB_OF, begins_instruction, parse_instruction

# What counts the instructions of a bulletin: `1.`, `(2)`, `a)`, a dot or a dash; never the number of a clause, `5.3 is deleted`.
COUNT = re.compile(r"\s*(?:\(?(?:\d{1,2}|[a-z]|[ivx]{1,4})[.)]\s+(?=[A-Z“\"])|[•*–—-]\s+)")
# The end of a sentence behind which another instruction may begin; the dot of `5.3.` is one too.
ENDS = re.compile(r"[.;](?:\s+and)?\s+(?=[\w“\"§(])")
# What announces a new text that follows on the same line.
ANNOUNCES = re.compile(r"(?:read|follows|following(?:\s+text)?|end|beginning)\s*:\s*(?=\S)", re.IGNORECASE)
TELLING = re.compile(rf"\b(?:{'|'.join((*VERBS, *VERB_OF))})\b", re.IGNORECASE)
NUMBERED = re.compile(r"\d|\([a-z]\)")


@dataclass(frozen=True, slots=True, kw_only=True)
class Drafted:
    """A part of a paragraph: an instruction, the heading of a block, or text that goes with what stands before.

    `takes_text` tells of an instruction that what follows is its new text, up to the next instruction. `doubt` says why a text that
    seems to be an instruction was not taken for one.
    """

    text: str
    is_instruction: bool = False
    takes_text: bool = False
    doubt: str = ""


def drafted(text: str) -> tuple[Drafted, ...]:
    """The instructions and the other text of a paragraph, in order; one piece of text where there is no instruction in it."""
    paragraph = " ".join(text.split())
    count = COUNT.match(paragraph)
    pieces = list(_pieces(paragraph[count.end() :] if count else paragraph))
    if not any(piece.is_instruction or piece.doubt for piece in pieces):
        return (Drafted(text=paragraph),) if paragraph else ()
    return tuple(pieces)


def _pieces(text: str) -> Iterator[Drafted]:
    """The parts of a paragraph; behind an instruction that announces a text, all the rest is that text."""
    left = text
    while left:
        sentence, behind = _first(left)
        found = _instruction(sentence)
        if found is None:
            announced = ANNOUNCES.search(masked(left))
            head = left[: announced.end()].rstrip() if announced else ""
            found = _instruction(head) if head else None
            if found is not None and _takes_text(found) and announced:
                yield Drafted(text=_heading(head), is_instruction=True, takes_text=True)
                yield Drafted(text=_unquoted(left[announced.end() :]))
                return
            yield Drafted(text=sentence, doubt=_doubt(sentence))
        else:
            yield Drafted(text=_heading(sentence), is_instruction=True, takes_text=_takes_text(found))
        left = behind


def _first(text: str) -> tuple[str, str]:
    """The first sentence and what follows. A quotation belongs to one sentence, whatever it holds."""
    hidden = masked(text)
    for match in ENDS.finditer(hidden):
        behind = text[match.end() :]
        is_whole = _instruction(text[: match.start()]) is not None
        if is_whole or (begins_instruction(behind) and not behind[0].islower()):
            return text[: match.start()].strip(), behind.strip()
    return text.strip(), ""


def _instruction(sentence: str) -> Instruction | None:
    """What a sentence asks for, if it is one of ours."""
    if not sentence or not begins_instruction(sentence):
        return None
    found = parse_instruction(sentence, 1, 1, Source(path="bulletin", text=sentence))
    return None if isinstance(found, Fault) else found


def _takes_text(found: Instruction) -> bool:
    """Whether the words of an instruction are to follow, because it has none itself."""
    made = found.act in {Act.ADD, Act.SPLIT, Act.JOIN} or (found.act is Act.REVISE and found.extent is not Extent.HEADING)
    return found.words is None and (made or found.act is Act.INSERT_WORDS)


def _doubt(sentence: str) -> str:
    """Why a sentence that says what is done to a clause was not taken for an instruction; empty where it says no such thing."""
    hidden = masked(sentence)
    if begins_instruction(sentence):
        found = parse_instruction(sentence, 1, 1, Source(path="bulletin", text=sentence))
        return f"perhaps an instruction: {found.message}" if isinstance(found, Fault) and NUMBERED.search(hidden) else ""
    if TELLING.search(hidden) and (MASK in hidden or NUMBERED.search(hidden)) and re.search(r"\b(?:is|are|be)\b", hidden):
        return "perhaps an instruction, in words that no form of instructions has"
    return ""


def _heading(sentence: str) -> str:
    """An instruction as the heading of a block."""
    words = sentence.strip().rstrip(".;").strip()
    return words[:1].upper() + words[1:]


def _unquoted(text: str) -> str:
    """A new text without the quotation marks around all of it."""
    stripped = text.strip().rstrip(".") if text.strip().endswith(("”.", '".')) else text.strip()
    whole = masked(stripped)
    return stripped[1:-1].strip() if whole and set(whole) == {MASK} else text.strip()
