"""Applying one bulletin to the text in force: its new texts and its instructions, in the order that their numbers ask for.

Numbers mean the text in force just before the bulletin. So first comes what acts upon what is there, in the order of the
bulletin; then all renumbering at once; then what acts upon renumbered clauses; and last what is new, parents before children.
What cannot be done is a fault at its place in the bulletin, and is left out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import replace

from rulewatch.model.clause import natural_order
from rulewatch.model.edition import Bulletin
from rulewatch.model.instruction import Act, Amendment, Extent, Instruction, Target, Where
from rulewatch.parse.renumbering import redesignate, resolved
from rulewatch.parse.text_in_force import TextInForce, first_words, in_place_of
from rulewatch.parse.wording_acts import change_words

RESERVED = "[Reserved]"
WORDS = {Act.REPLACE_WORDS, Act.INSERT_WORDS, Act.STRIKE_WORDS}
LATER = {Act.ADD, Act.REDESIGNATE, Act.SPLIT, Act.JOIN}
Does = Callable[[TextInForce, Instruction, list[str], Bulletin], list[str]]


def apply_bulletin(text: TextInForce, bulletin: Bulletin) -> None:
    """Every new text and instruction of a bulletin."""
    before = text.numbers
    instructions = [each for each in bulletin.instructions if _corrects(each, text, bulletin)]
    targets = _targets(text, instructions, bulletin) if instructions else {}
    for amendment in bulletin.amendments:
        if amendment.number in before and text.change(amendment, bulletin):
            text.note(bulletin, amendment.number)
    if instructions:
        _follow(text, instructions, targets, bulletin)
    _add(text, [each for each in bulletin.amendments if each.number not in before], instructions, bulletin)


def _follow(text: TextInForce, instructions: list[Instruction], targets: Mapping[int, list[str]], bulletin: Bulletin) -> None:
    """What instructions ask of clauses that are there: before they are renumbered, this itself, and behind it."""
    for each in instructions:
        if each.act not in LATER and not _is_renumbered(each):
            _carry_out(text, each, targets.get(id(each), []), bulletin)
    redesignate(text, [each for each in instructions if each.act is Act.REDESIGNATE], bulletin)
    for each in instructions:
        if each.act not in LATER and _is_renumbered(each):
            _carry_out(text, each, resolved(text, each.targets), bulletin)
    for each in instructions:
        if each.act in {Act.SPLIT, Act.JOIN}:
            _reshape(text, each, targets.get(id(each), []), bulletin)


def _is_renumbered(instruction: Instruction) -> bool:
    return any(each.renumbered for each in instruction.targets)


def _corrects(instruction: Instruction, text: TextInForce, bulletin: Bulletin) -> bool:
    """Whether the bulletin that an instruction corrects is in force before it, and amended what it corrects."""
    number = instruction.corrects
    if not number:
        return True
    touched = {clause for clause, found in text.touched.items() if number in found}
    if number == bulletin.number or not touched:
        known = ", ".join(sorted({one for found in text.touched.values() for one in found}, key=natural_order))
        remedy = f"in force before it: {known}" if known else "no bulletin is in force before it"
        text.fault("bulletin-unknown", instruction, f"corrects bulletin {number}, which amends nothing before it", remedy)
        return False
    strange = [each for each in instruction.targets if each.number not in touched and each.named not in touched]
    if strange:
        remedy = f"it amends {', '.join(sorted(touched, key=natural_order))}"
        text.fault("bulletin-unknown", strange[0], f"bulletin {number} does not amend {strange[0].number}", remedy)
    return not strange


def _targets(text: TextInForce, instructions: list[Instruction], bulletin: Bulletin) -> dict[int, list[str]]:
    """The clauses that each instruction acts upon; one that is rewritten or taken out twice is a fault."""
    found: dict[int, list[str]] = {}
    whole = {each.number: each.place.line for each in bulletin.amendments}
    worded: dict[str, int] = {}
    for each in instructions:
        if each.act in {Act.ADD, Act.REDESIGNATE} or _is_renumbered(each):
            continue
        numbers = resolved(text, each.targets)
        if each.act not in {Act.SUSPEND, Act.LIFT}:
            others = whole if each.act in WORDS or each.extent is Extent.HEADING else {**worded, **whole}
            twice = next((number for number in numbers if number in others), "")
            if twice:
                remedy = "amend a clause once in a bulletin, or only words of it"
                text.fault("duplicate-clause", each, f"{twice} again (first on line {others[twice]})", remedy)
                continue
            seen = worded if each.act in WORDS or each.extent is Extent.HEADING else whole
            seen.update((number, each.place.line) for number in numbers)
        found[id(each)] = numbers
    return found


# --- What is there ----------------------------------------------------------------------------------------------------


def _carry_out(text: TextInForce, instruction: Instruction, numbers: list[str], bulletin: Bulletin) -> None:
    """One instruction upon clauses that are there."""
    there = text.numbers
    gone = [number for number in numbers if number not in there]
    if gone:
        found = f"{gone[0]} is taken out by the same bulletin"
        text.fault("bulletin-clause-missing", instruction, found, "leave one of the instructions out")
        return
    does = change_words if instruction.act in WORDS else DOES[instruction.act]
    if numbers:
        text.note(bulletin, *does(text, instruction, numbers, bulletin))


def _remove(text: TextInForce, instruction: Instruction, numbers: list[str], bulletin: Bulletin) -> list[str]:  # noqa: ARG001
    """Clauses with all that stands under them."""
    gone = list(dict.fromkeys(each for number in numbers for each in (number, *text.under(number))))
    for number in gone:
        text.drop(number)
    return gone


def _reserve(text: TextInForce, instruction: Instruction, numbers: list[str], bulletin: Bulletin) -> list[str]:
    """A number that stays, and says nothing any more; what stands under it goes."""
    gone = []
    for number in numbers:
        gone += _remove(text, instruction, text.under(number), bulletin)
        old = text.clause(number)
        clause = replace(
            old, text=RESERVED, heading="", marked="", place=instruction.place, last_line=instruction.last_line, container=False
        )
        text.put(clause, instruction.readings)
        text.suspended.pop(number, None)
    return [*gone, *numbers]


def _revise(text: TextInForce, instruction: Instruction, numbers: list[str], bulletin: Bulletin) -> list[str]:
    """A new text, of the clause alone or with its parts, or a new heading."""
    number = numbers[0]
    old = text.clause(number)
    if instruction.extent is Extent.HEADING:
        return change_words(text, instruction, numbers, bulletin)
    under = text.under(number)
    first, *parts = [replace(each, number=_true(each.number, instruction.targets[0], number)) for each in instruction.texts]
    given = {each.number for each in parts}
    left = [each for each in under if each not in given]
    if instruction.extent is Extent.CLAUSE and left:
        found = f"revises {number}, and does not say what becomes of {', '.join(left)} under it"
        remedy = f"say `Revise the text of {number}` to keep them, or `Revise {number} as a whole` to take them out"
        text.fault("bulletin-clause-left", instruction, found, remedy)
        return []
    clause = text.with_marks(replace(first, number=number))
    if clause is None:
        return []
    if not clause.heading and old.heading and clause is first.clause:
        above = f"{old.heading}\n\n"
        clause = replace(clause, text=above + clause.text, heading=old.heading, marked=clause.marked and above + clause.marked)
    text.put(in_place_of(old, clause), first.readings)
    gone = _remove(text, instruction, left, bulletin) if instruction.extent is Extent.WHOLE else []
    there = text.numbers
    for part in parts:
        if part.number in there and part.clause is not None:
            text.put(in_place_of(text.clause(part.number), part.clause), part.readings)
        else:
            text.insert(replace(part, clause=part.clause and replace(part.clause, id=part.number)), bulletin)
    return [number, *gone, *(each.number for each in parts)]


def _true(number: str, target: Target, now: str) -> str:
    """The number of a given part, where its clause is known under another form of its number (`Article 5`)."""
    return now + number.removeprefix(target.number)


def _suspend(text: TextInForce, instruction: Instruction, numbers: list[str], bulletin: Bulletin) -> list[str]:
    """Clauses with all that stands under them, out of force until a day."""
    until = instruction.until
    if until is not None and until <= bulletin.effective:
        found = f"suspended until {until}, which is not after {bulletin.effective}, from when the bulletin holds"
        text.fault("wrong-value", instruction, found, "correct one of the days")
        return []
    whole = [each for number in numbers for each in (number, *text.under(number))]
    text.suspended |= dict.fromkeys(whole, until)
    return whole


def _lift(text: TextInForce, instruction: Instruction, numbers: list[str], bulletin: Bulletin) -> list[str]:
    """The end of a suspension."""
    whole = [each for number in numbers for each in (number, *text.under(number))]
    out = text.suspended_on(bulletin.effective)
    for number in numbers:
        if number not in out:
            text.fault("bulletin-clause-missing", instruction, f"{number} is not suspended on {bulletin.effective}")
            return []
    for number in whole:
        text.suspended.pop(number, None)
    return whole


DOES: Mapping[Act, Does] = {
    Act.REMOVE: _remove,
    Act.RESERVE: _reserve,
    Act.REVISE: _revise,
    Act.SUSPEND: _suspend,
    Act.LIFT: _lift,
}


# --- What is new ------------------------------------------------------------------------------------------------------


def _add(text: TextInForce, amendments: list[Amendment], instructions: list[Instruction], bulletin: Bulletin) -> None:
    """New clauses: those of the base form, and those that instructions add, each under a number that is free."""
    asked = [(each, instruction) for instruction in instructions if instruction.act is Act.ADD for each in instruction.texts]
    new: list[tuple[Amendment, Instruction | None]] = [*((each, None) for each in amendments), *asked]
    last: dict[int, str] = {}
    for amendment, instruction in sorted(new, key=lambda each: natural_order(each[0].number)):
        named = _named(text, amendment, instruction)
        beside = None
        if instruction is not None and instruction.beside is not None and amendment.block == amendment.number:
            found = resolved(text, (instruction.beside,))
            if not found:
                continue
            beside = (instruction.where or Where.AFTER, last.get(id(instruction), found[0]))
            if instruction.where is Where.AFTER:
                last[id(instruction)] = named.number
        if instruction is not None and named.number in text.numbers:
            _taken(text, named, instruction)
        elif text.insert(named, bulletin, beside):
            text.note(bulletin, named.number)


def _named(text: TextInForce, amendment: Amendment, instruction: Instruction | None) -> Amendment:
    """A new clause under the number that it has in this book: `Article 6` where the others are called so."""
    target = next((each for each in (instruction.targets if instruction else ()) if each.number == amendment.block), None)
    if target is None or not target.named or amendment.clause is None:
        return amendment
    word = target.named.removesuffix(target.number)
    if not any(number.startswith(word) for number in text.numbers):
        return amendment
    number = word + amendment.number
    return replace(amendment, number=number, clause=replace(amendment.clause, id=number, label=number))


def _taken(text: TextInForce, amendment: Amendment, instruction: Instruction) -> None:
    target = next((each for each in instruction.targets if each.number == amendment.block), None)
    remedy = f"renumber it first, or say `Revise {amendment.number} to read:`"
    found = f"{amendment.number} is in force: {first_words(text.clause(amendment.number))}"
    text.fault("number-taken", target or amendment, found, remedy)


def _reshape(text: TextInForce, instruction: Instruction, numbers: list[str], bulletin: Bulletin) -> None:
    """One clause made into several, or several into one; what comes of them comes from all of them."""
    if not numbers:
        return
    if missing := [number for number in numbers if number not in text.numbers]:
        found = f"{missing[0]} is taken out or renumbered by the same bulletin"
        text.fault("bulletin-clause-missing", instruction, found, "leave one of the instructions out")
        return
    left = [each for number in numbers for each in text.under(number) if each not in numbers]
    if left:
        found = f"does not say what becomes of {', '.join(left)} under {', '.join(numbers)}"
        text.fault("bulletin-clause-left", instruction, found, "remove or renumber them first, by a bulletin of its own")
        return
    free = text.numbers - set(numbers)
    taken = next((each for each in instruction.texts if each.number in free), None)
    if taken is not None:
        _taken(text, taken, replace(instruction, targets=instruction.to))
        return
    origins = tuple(dict.fromkeys(origin for number in numbers for origin in text.origin(number)))
    at, first = text.index(numbers[0]), text.clause(numbers[0])
    for number in numbers:
        text.drop(number)
    for each in instruction.texts:
        if each.clause is None or (each.block == each.number and text.spot(each.number) is not None):
            done = text.insert(each, bulletin)
        else:  # nothing beside it is left to tell its place
            text.clauses.insert(at, replace(each.clause, parent=first.parent, chapter=first.chapter))
            text.give(each.number, each.readings)
            done = True
        if done and each.block == each.number:
            text.origins[each.number] = origins
        text.note(bulletin, each.number)
    text.note(bulletin, *numbers)
