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
from collections.abc import Iterable, Sequence

from rulewatch.compare.books import Books, by_text
from rulewatch.compare.candidates import by_number, by_place, by_words, said
from rulewatch.compare.certainty import of_left_over, of_part
from rulewatch.compare.judgement import HARDLY_CHANGED, Scored, alone, judge
from rulewatch.compare.outline import Family
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
    keep_order(books)
    judge(books, looked_at)
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
            found.append(Pairing(old=one.old, new=one.new, certainty=1.0, settled=not one.by_bulletin))
    return found


def pair_unchanged(books: Books) -> None:
    """Pair equal texts where nothing else can be meant."""
    free_old, free_new = books.free()
    theirs = by_text(books.new_profiles.texts, free_new)
    for text, ours in by_text(books.old_profiles.texts, free_old).items():
        match = theirs.get(text, [])
        if [books.old[o].id for o in ours] == [books.new[n].id for n in match]:
            for o, n in zip(ours, match, strict=True):
                # What repeats in every chapter is known by what it stands under.
                if len(ours) == 1 or same_place(books, o, n):
                    books.take(o, n)
                    books.signs[o, n] = None
        elif len(ours) == len(match) == 1 and tells(books, ours[0], match[0]):
            books.take(ours[0], match[0])


def same_place(books: Books, o: int, n: int) -> bool:
    """Whether what stands above two clauses says the same, under the same numbers."""
    above, over = books.old_outline.parent[o], books.new_outline.parent[n]
    if above < 0 or over < 0:
        return above == over
    old, new = books.old[above], books.new[over]
    return (
        old.id == new.id
        and books.old_profiles.texts[above] == books.new_profiles.texts[over]
        and same_place(books, above, over)
    )


def tells(books: Books, o: int, n: int) -> bool:
    """Whether two equal texts under different numbers need no look at their places.

    They do where the text says little; where it names a number, which may have got another meaning; and where, far from each
    other, one of them is hardly changed under its own number: then the other may be a copy of it.
    """
    old, new = books.old[o], books.new[n]
    if len(books.old_profiles[o].words) < TELLING or old.references:
        return False
    if old.parent == new.parent:
        return True
    at_new, at_old = books.new_outline.at.get(old.id, -1), books.old_outline.at.get(new.id, -1)
    return not (at_new >= 0 and books.likeness(o, at_new) >= HARDLY_CHANGED) and not (
        at_old >= 0 and books.likeness(at_old, n) >= HARDLY_CHANGED
    )


def pair_alike(books: Books) -> list[Scored]:
    """Pair what changed, in rounds, until a round changes nothing; give every pair that was looked at.

    A round after the first asks again only around what the one before changed: nothing else can have got another score.
    """
    free_old, free_new = books.free()
    pool = set(free_new)
    likely = by_words(said(books.old_profiles, free_old), said(books.new_profiles, free_new), books.weights)
    fresh = dict.fromkeys((*likely, *by_number(books, free_old, pool)), 0.0)
    scores: dict[tuple[int, int], float] = {}
    near: list[tuple[int, int]] = []
    around_old, around_new = set(free_old), pool
    for _ in range(ROUNDS):
        if books.kinship.learn_chapters():
            around_old = set(free_old)
        fresh |= dict.fromkeys(by_place(books, [o for o in free_old if o in around_old], pool), 0.0)
        near += [pair for pair in fresh if pair not in scores and books.likeness(*pair) >= HARDLY_CHANGED]
        scores, fresh = fresh | scores, {}
        before, books.claimed = books.claimed, books.contrasts.claims(near, books.new_of, books.old_of)
        for o, n in scores:
            if o in around_old or n in around_new or before.get((o, n)) != books.claimed.get((o, n)):
                scores[o, n] = books.score(o, n)
        partners = [books.release(o) for o in free_old]
        take_best(books, ((score, o, n) for (o, n), score in scores.items()))
        changed = [(o, was) for o, was in zip(free_old, partners, strict=True) if books.new_of[o] != was]
        if not changed:
            break
        around_old, around_new = books.kinship.around(changed)
    return [(score, o, n) for (o, n), score in scores.items()]


def take_best(books: Books, scored: Iterable[Scored]) -> None:
    """Make pairs of the best scores over the whole book first.

    Exchanging partners afterwards where two pairs would gain by it was tried, and found nothing on any text.
    """
    for _, o, n in sorted((-score, o, n) for score, o, n in scored if score >= ENOUGH):
        if books.new_of[o] < 0 and books.old_of[n] < 0:
            books.take(o, n)


def keep_order(books: Books) -> None:
    """Equal texts that went from one set of siblings to another went in their order."""
    old_texts, new_texts = books.old_profiles.texts, books.new_profiles.texts
    equal: defaultdict[tuple[str, Family, Family], list[int]] = defaultdict(list)
    for o, n in enumerate(books.new_of):
        if n >= 0 and (o, n) not in books.signs and old_texts[o] == new_texts[n]:
            equal[old_texts[o], books.old_outline.family[o], books.new_outline.family[n]].append(o)
    for row in equal.values():
        for o, n in zip(row, sorted(books.new_of[o] for o in row), strict=True):
            books.take(o, n)


def find_parts(books: Books) -> tuple[list[Part], list[Part]]:
    """What is left over and is a part of something: splits, then joins."""
    free_old, free_new = books.free()
    old = Side(profiles=books.old_profiles, outline=books.old_outline, partner=books.new_of)
    new = Side(profiles=books.new_profiles, outline=books.new_outline, partner=books.old_of)
    return parts(old, new, free_new, books.weights), parts(new, old, free_old, books.weights)


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
        more, fewer = split_into.get(o, ()), joined_from.get(n, ())
        if more or not fewer:
            found.append(pairing(books, [o], [n, *(one.part for one in more)], books.certainty(o, n), more))
        if fewer:
            found.append(pairing(books, [o, *(one.part for one in fewer)], [n], books.certainty(o, n), fewer))
    return found


def pairing(books: Books, old: list[int], new: list[int], certainty: float, found: Sequence[Part]) -> Pairing:
    """A pairing of clauses by index; a chain is as sure as its weakest link."""
    return Pairing(
        old=tuple(books.old[o].id for o in sorted(old)),
        new=tuple(books.new[n].id for n in sorted(new)),
        certainty=min((certainty, *(of_part(one.signs) for one in found))),
    )


def left_over(books: Books, found: Iterable[Pairing], looked_at: Iterable[Scored]) -> list[Pairing]:
    """A repeal or an insertion for each clause that no pairing holds."""
    repeals, insertions = alone(books, found, looked_at)
    return [
        *(Pairing(old=(books.old[o].id,), new=(), certainty=of_left_over(signs)) for o, signs in repeals.items()),
        *(Pairing(old=(), new=(books.new[n].id,), certainty=of_left_over(signs)) for n, signs in insertions.items()),
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
