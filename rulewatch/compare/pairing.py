"""Which clause of an old book became which clause of a new one, over the whole book at once.

The stages, in order:

1. what a person settled stands, and its clauses leave the pool;
2. what has not changed pairs: the same words under the same numbers, or words that stand once in each book;
3. the rest is paired in rounds: likeness of text and what the place says, the surest pairs first over the whole book; each
   round knows more of what became of parents, siblings and children than the one before;
4. what is left over is looked at as a part of something: a rule that was split, or several that were joined.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Mapping, Sequence

from rulewatch.compare.books import Books, by_text
from rulewatch.compare.candidates import around, by_number, by_place, by_words
from rulewatch.compare.certainty import of_left_over, of_pair
from rulewatch.compare.parts import Part, Side, parts
from rulewatch.model.change import Pairing
from rulewatch.model.clause import Clause
from rulewatch.model.edition import SettledPair

# How much likeness and place must say together before two clauses are one rule.
ENOUGH = 0.55
# Pairs change the place of others; the changes die out after a few rounds.
ROUNDS = 4
# Equal texts of fewer words repeat by chance ("Not used."), and need their place to agree.
TELLING = 5

# A score and the pair that has it: how much speaks for it, an old clause, a new one.
Scored = tuple[float, int, int]


def pair(old: Sequence[Clause], new: Sequence[Clause], settled: Sequence[SettledPair] = ()) -> tuple[Pairing, ...]:
    """Pair the clauses of two books.

    Every clause stands in exactly one pairing, save that a clause both split and joined stands in one for each. Pairings
    come in the order of the new book, repeals where the old book had them. A settled pair that names an unknown clause is
    left aside. The same input gives the same output on every run.
    """
    books = Books(old, new)
    found = settle(books, settled)
    pair_unchanged(books)
    looked_at = pair_alike(books)
    found += gather(books, *find_parts(books))
    found += left_over(books, found, looked_at)
    return in_order(books, found)


def settle(books: Books, settled: Iterable[SettledPair]) -> list[Pairing]:
    """The pairings that a person settled; their clauses leave the pool."""
    old_at, new_at = books.old_outline.at, books.new_outline.at
    found = []
    for one in settled:
        if all(label in old_at for label in one.old) and all(label in new_at for label in one.new):
            books.take_out([old_at[label] for label in one.old], [new_at[label] for label in one.new])
            found.append(Pairing(old=one.old, new=one.new, certainty=1.0, settled=True))
    return found


def pair_unchanged(books: Books) -> None:
    """Pair equal texts where nothing else can be meant."""
    free_old, free_new = books.free()
    theirs = by_text(free_new)
    for text, ours in by_text(free_old).items():
        match = theirs.get(text, [])
        if [books.old[o].id for o in ours] == [books.new[n].id for n in match]:
            for o, n in zip(ours, match, strict=True):
                books.take(o, n, 1.0)
        elif len(ours) == len(match) == 1 and len(free_old[ours[0]].words) >= TELLING:
            books.take(ours[0], match[0], of_pair(1.0, 1.0))


def pair_alike(books: Books) -> list[Scored]:
    """Pair what changed, in rounds, until a round changes nothing; give every pair that was looked at."""
    free_old, free_new = books.free()
    graph = dict.fromkeys((*by_words(free_old, free_new, books.weights), *by_number(books, free_old, free_new)))
    scored: list[Scored] = []
    for _ in range(ROUNDS):
        books.kinship.learn_chapters()
        graph.update(dict.fromkeys(by_place(books, free_old, free_new)))
        scored = [(books.score(o, n), o, n) for o, n in graph]
        before = [books.new_of[o] for o in free_old]
        for o in free_old:
            books.release(o)
        take_best(books, scored)
        if before == [books.new_of[o] for o in free_old]:
            break
    return scored


def take_best(books: Books, scored: Sequence[Scored]) -> None:
    """Make pairs of the best scores over the whole book first.

    Exchanging partners afterwards where two pairs would gain by it was tried, and found nothing on any text.
    """
    chosen: dict[tuple[int, int], float] = {}
    for score, o, n in sorted(scored, key=lambda one: (-one[0], one[1], one[2])):
        if score < ENOUGH:
            break
        if books.new_of[o] < 0 and books.old_of[n] < 0:
            books.take(o, n, 1.0)
            chosen[o, n] = score
    ahead = lead(books, scored, chosen)
    for (o, n), score in chosen.items():
        books.take(o, n, of_pair(score, ahead[o, n]))


def lead(books: Books, scored: Sequence[Scored], chosen: Mapping[tuple[int, int], float]) -> dict[tuple[int, int], float]:
    """How far each pair is ahead of its best rival: another partner for one of the two that has nothing better itself."""
    ahead = dict(chosen)
    for score, o, n in scored:
        by_old, by_new = (o, books.new_of[o]), (books.old_of[n], n)
        if by_old == by_new:
            continue
        for mine, other in ((by_old, by_new), (by_new, by_old)):
            if mine in chosen and chosen.get(other, 0.0) <= score:
                ahead[mine] = min(ahead[mine], max(chosen[mine] - score, 0.0))
    return ahead


def find_parts(books: Books) -> tuple[list[Part], list[Part]]:
    """What is left over and is a part of something: splits, then joins."""
    free_old, free_new = books.free()
    old = Side(profiles=books.old_profiles, outline=books.old_outline, partner=books.new_of)
    new = Side(profiles=books.new_profiles, outline=books.new_outline, partner=books.old_of)
    splits = parts(old, new, wholes_of(free_new, new, old, books), books.weights)
    joins = parts(new, old, wholes_of(free_old, old, new, books), books.weights)
    return splits, joins


def wholes_of(free: Iterable[int], came: Side, wholes: Side, books: Books) -> dict[int, list[int]]:
    """For each clause without a partner, those on the other side that it may be a part of."""
    found = {part: around(part, came, wholes) for part in free}
    few = {part: came.profiles[part] for part in found}
    for part, whole in by_words(few, dict(enumerate(wholes.profiles)), books.weights):
        found[part].append(whole)
    return found


def gather(books: Books, splits: Sequence[Part], joins: Sequence[Part]) -> list[Pairing]:
    """Every pair as a pairing, with the parts that belong to it."""
    split_into: defaultdict[int, list[Part]] = defaultdict(list)
    joined_from: defaultdict[int, list[Part]] = defaultdict(list)
    for one in splits:
        split_into[one.whole].append(one)
    for one in joins:
        joined_from[one.whole].append(one)
    found = []
    for o, n in enumerate(books.new_of):
        if n < 0:
            continue
        more, fewer = split_into.get(o, []), joined_from.get(n, [])
        if more or not fewer:
            found.append(pairing(books, [o], [n, *(one.part for one in more)], books.certainty[o, n], more))
        if fewer:
            found.append(pairing(books, [o, *(one.part for one in fewer)], [n], books.certainty[o, n], fewer))
    return found


def pairing(books: Books, old: list[int], new: list[int], certainty: float, found: Sequence[Part]) -> Pairing:
    """A pairing of clauses by index; a chain is as sure as its weakest link."""
    return Pairing(
        old=tuple(books.old[o].id for o in sorted(old)),
        new=tuple(books.new[n].id for n in sorted(new)),
        certainty=min(certainty, *(one.certainty for one in found)) if found else certainty,
    )


def left_over(books: Books, found: Iterable[Pairing], looked_at: Iterable[Scored]) -> list[Pairing]:
    """A repeal or an insertion for each clause that no pairing holds; the surer, the less like another such one it is."""
    held_old = {label for one in found for label in one.old}
    held_new = {label for one in found for label in one.new}
    repeals = {o: 0.0 for o, clause in enumerate(books.old) if clause.id not in held_old}
    insertions = {n: 0.0 for n, clause in enumerate(books.new) if clause.id not in held_new}
    for score, o, n in looked_at:
        if o in repeals and n in insertions:
            repeals[o], insertions[n] = max(repeals[o], score), max(insertions[n], score)
    return [
        *(Pairing(old=(books.old[o].id,), new=(), certainty=of_left_over(score)) for o, score in repeals.items()),
        *(Pairing(old=(), new=(books.new[n].id,), certainty=of_left_over(score)) for n, score in insertions.items()),
    ]


def in_order(books: Books, found: Iterable[Pairing]) -> tuple[Pairing, ...]:
    """Pairings in the order of the new book, each repeal behind the clause that it stood behind."""
    old_at, new_at = books.old_outline.at, books.new_outline.at
    first = {label: min(new_at[new] for new in one.new) for one in found if one.new for label in one.old}
    behind, last = {}, -1
    for clause in books.old:
        last = first.get(clause.id, last)
        behind[clause.id] = last

    def place(one: Pairing) -> tuple[int, int, int]:
        at = min((old_at[label] for label in one.old), default=-1)
        return (min(new_at[label] for label in one.new), 0, at) if one.new else (behind[one.old[0]], 1, at)

    return tuple(sorted(found, key=place))
