"""Instructions that change words of clauses: each word that they name must stand there, once or as often as is said."""

from __future__ import annotations

from rulewatch.model.clause import Clause
from rulewatch.model.edition import Bulletin
from rulewatch.model.instruction import ONLY, Act, Extent, Instruction, Quote, Where
from rulewatch.parse.text_in_force import TextInForce
from rulewatch.parse.word_changes import Edit, at_an_end, beside, chosen, edited
from rulewatch.parse.word_search import difference, find_words, nearest_words

MOST_PLACES = 3  # other clauses that have the words, as a fault names them
SHORT = 3  # words that are shown as they stand, not beside those that were sought


def change_words(text: TextInForce, instruction: Instruction, numbers: list[str], bulletin: Bulletin) -> list[str]:
    """Change words of every clause that an instruction names; the numbers of those that changed.

    Readings stay as they are, unless the instruction gives others: a new text leaves those that were confirmed unconfirmed.
    """
    changed = []
    deep = any(each.deep for each in instruction.targets)
    if (
        deep
        and instruction.sought is not None
        and not any(find_words(text.clause(one).text, instruction.sought.text) for one in numbers)
    ):
        _not_there(text, instruction.sought, text.clause(numbers[0]), bulletin)
        return []
    for number in numbers:
        clause = text.clause(number)
        edits = _edits(text, instruction, clause, bulletin, deep=deep)
        if not edits:
            continue
        marked = bulletin.number in text.touched.get(number, ())
        text.put(edited(clause, edits, instruction.place, instruction.last_line, marked=marked))
        if instruction.readings:
            text.give(number, instruction.readings)
            text.reread.append(number)
        changed.append(number)
    return changed


def _edits(text: TextInForce, instruction: Instruction, clause: Clause, bulletin: Bulletin, *, deep: bool) -> list[Edit]:
    """What changes in one clause; nothing, with a fault, where the words are not there or it is not clear which are meant."""
    sought, words = instruction.sought, instruction.words.text if instruction.words else ""
    if instruction.extent is Extent.HEADING:
        if not clause.heading:
            text.fault("words-missing", instruction, f"{clause.id} has no heading", f"say `Revise {clause.id} to read:`")
            return []
        return [Edit(start=0, end=len(clause.heading), words=words)]
    if sought is None:
        return [at_an_end(clause, words, instruction.where or Where.END)]
    found = find_words(clause.text, sought.text)
    if not found and deep:
        return []
    spans = chosen(found, instruction.occurrence)
    if not found:
        _not_there(text, sought, clause, bulletin)
    elif not spans:
        times = "once" if len(found) == 1 else f"{len(found)} times"
        remedy = f"say which: `the second “{sought.text}”`, or `each “{sought.text}”`" if instruction.occurrence == ONLY else ""
        text.fault("words-missing", sought, f"“{sought.text}” stands {times} in {clause.id}", remedy)
    if instruction.act is Act.INSERT_WORDS:
        return beside(spans, words, instruction.where or Where.AFTER)
    return [Edit(start=start, end=end, words=words) for start, end in spans]


def _not_there(text: TextInForce, sought: Quote, clause: Clause, bulletin: Bulletin) -> None:
    """The fault of words that a clause does not have: what is nearest there, and which other clauses have them."""
    near = nearest_words(clause.text, sought.text)
    found = f"“{sought.text}” is not in {clause.id} as in force on {bulletin.effective}"
    if near:
        told = f"“{near}”" if len(near.split()) <= SHORT else difference(sought.text, near)
        found += f"; nearest there: {told}"
    others = [each.id for each in text.clauses if each.id != clause.id and find_words(each.text, sought.text)]
    listed = ", ".join(others[:MOST_PLACES]) + (" and others" if len(others) > MOST_PLACES else "")
    remedy = f"{listed} has it" if len(others) == 1 else f"{listed} have it" if others else "copy the words of the text"
    text.fault("words-missing", sought, found, remedy)
