"""Which clauses the numbers of an instruction mean, and renumbering: all of a bulletin's at once, with what stands under them."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import date

from rulewatch.model.clause import Clause, natural_order
from rulewatch.model.edition import Bulletin
from rulewatch.model.instruction import Instruction, Target
from rulewatch.model.reading import Reading
from rulewatch.parse.number_parts import NumberParts
from rulewatch.parse.text_in_force import TextInForce, first_words


def resolved(text: TextInForce, targets: Sequence[Target]) -> list[str]:
    """The numbers in force that targets mean, ranges and what stands under them gone through; none, with a fault, where one is not."""
    found: list[str] = []
    known = text.numbers
    for target in targets:
        number = _known(target, known)
        last = number and target.through and _known(replace(target, number=target.through, named=""), known)
        if not number or (target.through and not last):
            missing = target.through if number else target.number
            text.fault("bulletin-clause-missing", target, f"{missing} is not in force", text.offer(missing))
            return []
        numbers = _between(text, number, last) if last else [number]
        found += [each for one in numbers for each in ((one, *text.under(one)) if target.deep else (one,))]
    return list(dict.fromkeys(found))


def _known(target: Target, known: set[str]) -> str:
    """The number as the book has it: with the word in front (`Article 5`), or without."""
    return next((each for each in (target.named, target.number) if each and each in known), "")


def _between(text: TextInForce, first: str, last: str) -> list[str]:
    """A clause and its next ones of the same parent, up to another."""
    siblings = [clause.id for clause in text.clauses if clause.parent == text.clause(first).parent]
    start, end = siblings.index(first), siblings.index(last) if last in siblings else -1
    return siblings[start : end + 1] if start <= end else [first, last]


def redesignate(text: TextInForce, instructions: Sequence[Instruction], bulletin: Bulletin) -> None:
    """Give clauses their new numbers, all at once: what is renumbered itself makes room for another."""
    moves: dict[str, str] = {}
    for instruction in instructions:
        moves |= _moves(text, instruction)
    moves = _possible(text, moves, instructions)
    if not moves:
        return
    whole = _whole(text, moves)
    kept = {number: _taken_out(text, number) for number in whole}
    for number in sorted(whole, key=lambda each: natural_order(whole[each])):
        one = kept[number]
        clause = one.clause
        parent = "" if number in moves else whole.get(clause.parent, "")
        spot = text.spot(whole[number]) if not parent else (text.end_of(parent), parent, text.clause(parent).chapter)
        index, above, chapter = spot or (len(text.clauses), "", clause.chapter)
        new = replace(clause, id=whole[number], label=_label(clause, whole[number]), parent=above, chapter=chapter)
        text.clauses.insert(index, new)
        text.give(new.id, one.readings)
        text.origins[new.id] = one.origin
        text.touched[new.id] = set(one.touched)
        if one.is_suspended:
            text.suspended[new.id] = one.until
        text.note(bulletin, new.id)
        text.amended_by.setdefault(number, bulletin.number)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Moving:
    """A clause on its way to another number, with what is known of it."""

    clause: Clause
    readings: tuple[Reading, ...]
    origin: tuple[str, ...]
    touched: frozenset[str]
    is_suspended: bool
    until: date | None


def _taken_out(text: TextInForce, number: str) -> _Moving:
    found = _Moving(
        clause=text.clause(number),
        readings=text.readings.get(number, ()),
        origin=text.origin(number),
        touched=frozenset(text.touched.pop(number, ())),
        is_suspended=number in text.suspended,
        until=text.suspended.get(number),
    )
    text.drop(number)
    return found


def _moves(text: TextInForce, instruction: Instruction) -> dict[str, str]:
    """The old and new numbers of one instruction; those of a range are counted on."""
    found: dict[str, str] = {}
    for target, to in zip(instruction.targets, instruction.to, strict=True):
        numbers = resolved(text, (target,))
        if not numbers:
            continue
        if len(numbers) == 1:
            found[numbers[0]] = _with_name(numbers[0], to)
            continue
        new = list(_counted(to.number, to.through or to.number))
        if len(new) != len(numbers):
            listed = ", ".join(numbers)
            text.fault(
                "bad-instruction", to, f"{len(new)} new numbers for {len(numbers)} clauses ({listed})", "name each of them"
            )
            continue
        found |= dict(zip(numbers, new, strict=True))
    return found


def _with_name(old: str, to: Target) -> str:
    """A new number with the word in front that the old one has."""
    word = old.partition(" ")[0]
    return f"{word} {to.number}" if " " in old and "/" not in old and " " not in to.number else to.number


def _counted(first: str, last: str) -> Iterator[str]:
    """The numbers from one to another that differ from it in the last part: 4.4, 4.5, 4.6; (b), (c)."""
    one, other = NumberParts.of(first), NumberParts.of(last)
    start, end = one.last, other.last
    stem, tail = first[: len(first) - len(start) - len(one.signs[1])], one.signs[1]
    if start.isdigit() and end.isdigit():
        yield from (f"{stem}{number}{tail}" for number in range(int(start), min(int(end), int(start) + 999) + 1))
    elif len(start) == len(end) == 1:
        yield from (f"{stem}{chr(letter)}{tail}" for letter in range(ord(start), ord(end) + 1))


def _possible(text: TextInForce, moves: dict[str, str], instructions: Sequence[Instruction]) -> dict[str, str]:
    """The moves whose new numbers are free, or get free by another; the rest are faults."""
    at = {to.number: to for instruction in instructions for to in instruction.to}
    whole = _whole(text, moves)
    staying = text.numbers - whole.keys()
    all_new = Counter(whole.values())
    for old, new in moves.items():
        where = at.get(new) or instructions[0]
        numbers = [whole[each] for each in (old, *text.under(old))]
        taken = next((each for each in numbers if each in staying), "")
        twice = next((each for each in numbers if all_new[each] > 1), "")
        if taken:
            found = f"{taken} is in force: {first_words(text.clause(taken))}"
            text.fault("number-taken", where, found, "renumber or remove it too")
        elif twice:
            text.fault("number-taken", where, f"two clauses are to be {twice}", "give each a number of its own")
        elif text.spot(new) is None:
            found = f"nothing that {new} could stand under or beside is in force"
            text.fault("bulletin-clause-missing", where, found, text.offer(new))
        else:
            continue
        return _possible(text, {one: to for one, to in moves.items() if one != old}, instructions)
    return moves


def _whole(text: TextInForce, moves: Mapping[str, str]) -> dict[str, str]:
    """The old and new numbers of all that moves, in the order of the text: the clauses and what stands under them."""
    moving = {each for number in moves for each in (number, *text.under(number))}
    return {clause.id: _moved(clause.id, moves) for clause in text.clauses if clause.id in moving}


def _moved(number: str, moves: Mapping[str, str]) -> str:
    """A number after the moves: its own, or that of the nearest clause above that moves, with what stands behind it."""
    above = max((old for old in moves if number == old or number.startswith(old)), key=len, default="")
    return moves[above] + number.removeprefix(above) if above else number


def _label(clause: Clause, number: str) -> str:
    """What is printed in front of a clause under its new number."""
    if clause.id in clause.label:
        return clause.label.replace(clause.id, number)
    old, new = NumberParts.of(clause.id).last, NumberParts.of(number).last
    return clause.label.replace(old, new)
