"""The forms of instructions that change words within a clause, which stand between quotation marks."""

from __future__ import annotations

from dataclasses import replace

from rulewatch.model.instruction import EACH, LAST, ONLY, Act, Instruction, Quote, Target, Where
from rulewatch.parse.instruction_cursor import MASK, Cursor

READS = (
    r"(?:(?:so\s+as|is)\s+to|to|shall|should)\s+read(?:\s+as\s+follows)?|(?:with|by)\s+the\s+following(?:\s+text)?|as\s+follows"
)
WORDS = r"the\s+(?:words?|phrase|text|expression|figures?|value|sentence)"
COUNTS = ("first", "second", "third", "fourth", "fifth", "sixth", "seventh", "eighth", "ninth", "tenth")
EVERY = r"each|every|all|both"
COUNTED = rf"the\s+(?:{'|'.join(COUNTS)}|last)"
OCCURS = r"(?:\s+(?:it|they|that\s+it)\s+(?:occurs?|appears?|stands?))?"
WHEREVER = (
    rf"(?:wherever{OCCURS}|(?:each|every)\s+time{OCCURS}|everywhere{OCCURS}|throughout(?!\s+\w)|in\s+(?:all|both)\s+places)"
)


def replace_words(cursor: Cursor, scope: tuple[Target, ...]) -> Instruction | None:
    """`Replace “old” with “new” in 5.2`, `Substitute “new” for “old”`, `For “old” substitute “new”`."""
    fronted = cursor.take(rf"for(?=\s*{MASK})") if cursor.sees(rf"for\s+{MASK}") else ""
    found = sought_words(cursor)
    if found is None:
        return None
    sought, occurrence = found
    if fronted:
        cursor.take("substitute|put")
        words = cursor.quote()
    else:
        targets = within(cursor, ())
        occurrence = behind(cursor, occurrence)
        joint = cursor.take("with|by|to|for")
        if not joint:
            return None
        cursor.take(WORDS)
        other = sought_words(cursor) if joint.casefold() == "for" else None
        words = cursor.quote() if other is None else sought
        sought, occurrence = other or (sought, occurrence)
        scope = targets or scope
    occurrence = behind(cursor, occurrence)
    targets = within(cursor, scope)
    occurrence = behind(cursor, occurrence)
    if words is None or not targets:
        return None
    return Instruction(
        act=Act.REPLACE_WORDS, place=cursor.line, sought=sought, words=words, occurrence=occurrence, targets=targets
    )


def insert_words(cursor: Cursor, scope: tuple[Target, ...], words: Quote | None) -> Instruction | None:
    """Words before or after others, or at an end of a text; without a quotation what stands under the sentence is added."""
    targets = () if words else within(cursor, (), "to|in")
    side = cursor.take(
        r"(?:at|to)\s+the\s+(?:end|beginning|start)|immediately\s+(?:before|after)|before|after|behind"
    ).casefold()
    if not side:
        return None
    if words is None and not targets:
        targets = within(cursor, scope)
    if "the" in side.split():
        where = Where.END if side.endswith("end") else Where.START
        targets = targets or within(cursor, scope, "of|to|in")
        words = words or cursor.quote_behind(READS)
        found = Instruction(act=Act.INSERT_WORDS, place=cursor.line, words=words, where=where, targets=targets)
        return found if targets else None
    beside = sought_words(cursor)
    if words is None or beside is None:
        return None
    occurrence = behind(cursor, beside[1])
    targets = within(cursor, targets or scope)
    return (
        Instruction(
            act=Act.INSERT_WORDS,
            place=cursor.line,
            sought=beside[0],
            words=words,
            occurrence=behind(cursor, occurrence),
            where=Where.BEFORE if side.endswith("before") else Where.AFTER,
            targets=targets,
        )
        if targets
        else None
    )


def sought_words(cursor: Cursor) -> tuple[Quote, int] | None:
    """Words that must be there, and which occurrence of them is meant."""
    before = cursor.at
    occurrence = ONLY
    if counted := cursor.take(COUNTED):
        occurrence = _count(counted)
    elif cursor.take(EVERY):
        occurrence = EACH
    cursor.take(r"occurrences?(?:\s+of)?")
    cursor.take(WORDS)
    cursor.take("words?")
    found = cursor.quote()
    if found is None:
        cursor.at = before
        return None
    return found, behind(cursor, occurrence)


def behind(cursor: Cursor, occurrence: int) -> int:
    """Which occurrence is meant, where that is said behind the words."""
    if cursor.take(WHEREVER):
        return EACH
    if counted := cursor.take(rf"(?:where\s+(?:it|they)\s+(?:occurs?|appears?)\s+)?{COUNTED}\s+(?:time|place){OCCURS}"):
        return _count(counted)
    return occurrence


def _count(words: str) -> int:
    return next((number for number, word in enumerate(COUNTS, 1) if word in words.casefold().split()), LAST)


def within(cursor: Cursor, scope: tuple[Target, ...], joint: str = "in|from|of") -> tuple[Target, ...]:
    """The clauses that words stand in: named here, or at the beginning of the sentence."""
    before = cursor.at
    deep = bool(cursor.take("throughout"))
    if deep or cursor.take(joint):
        cursor.take(r"the\s+text\s+of")
        targets = cursor.numbers()
        if targets:
            return tuple(replace(each, deep=each.deep or deep) for each in targets)
        cursor.at = before
    return scope
