"""What speaks for each pair, and for each clause that is left over: the signs that a certainty is worked out from."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence

from rulewatch.compare.books import Books
from rulewatch.compare.certainty import AHEAD, BookSigns, LeftSigns, Signs
from rulewatch.compare.likeness import Profiles
from rulewatch.compare.outline import Outline
from rulewatch.model.change import Pairing

# How many siblings on each side may be taken for one that says the same.
NEAR = 4
# From so much likeness beyond chance on a clause has hardly changed.
HARDLY_CHANGED = 0.5

# A score and the pair that has it: how much speaks for it, an old clause, a new one.
Scored = tuple[float, int, int]
# An old clause and a new one.
Edge = tuple[int, int]


def judge(books: Books, scored: Sequence[Scored]) -> None:
    """Say of each pair what speaks for it; of the same words under the same number nothing more need be said."""
    pairs = {(o, n): books.score(o, n) for o, n in enumerate(books.new_of) if n >= 0 and (o, n) not in books.signs}
    ahead, alike_ahead, contest = lead(books, scored, pairs), lead_alike(books, scored, pairs), contests(books, scored, pairs)
    copies = Counter(books.old_profiles.texts) | Counter(books.new_profiles.texts)
    book = about(books)
    for o, n in pairs:
        books.signs[o, n] = Signs(
            alike=books.likeness(o, n),
            place=books.kinship.worth(o, n),
            ahead=ahead[o, n],
            alike_ahead=alike_ahead[o, n],
            contest=contest.get((o, n), 0.0),
            other=books.contrasts.measures_other(o, n),
            common=books.weights.shared(books.old_profiles[o].stems, books.new_profiles[n].stems) / books.weights.rare,
            twins=max(
                twins(books.old_profiles.texts, books.old_outline, o), twins(books.new_profiles.texts, books.new_outline, n)
            ),
            copies=max(copies[books.old_profiles.texts[o]], copies[books.new_profiles.texts[n]]),
            flock=books.kinship.is_flock(o, n),
            book=book,
        )


def about(books: Books) -> BookSigns:
    """What makes every claim about two books more or less sure."""
    clauses = min(len(books.old), len(books.new))
    kept = sum(signs is None for signs in books.signs.values())
    return BookSigns(clauses=clauses, kept=kept / max(clauses, 1))


def twins(texts: Sequence[str], outline: Outline, index: int) -> int:
    """How many of the siblings near a clause say the very same, itself included."""
    near = (outline.beside(index, step) for step in range(-NEAR, NEAR + 1))
    return sum(one >= 0 and texts[one] == texts[index] for one in near)


def lead(books: Books, scored: Sequence[Scored], chosen: Mapping[Edge, float]) -> dict[Edge, float]:
    """How far each pair is ahead of its best rival: another partner for one of the two that has nothing better itself."""
    ahead = dict.fromkeys(chosen, AHEAD)
    for score, _, mine, other in rivals(books, scored, chosen):
        if chosen.get(other, 0.0) <= score:
            ahead[mine] = min(ahead[mine], max(chosen[mine] - score, 0.0))
    return ahead


def lead_alike(books: Books, scored: Sequence[Scored], chosen: Collection[Edge]) -> dict[Edge, float]:
    """As `lead`, by likeness alone; below 0 where the place decided for the less like."""
    ahead = dict.fromkeys(chosen, AHEAD)
    for _, rival, mine, other in rivals(books, scored, chosen):
        alike = books.likeness(*rival)
        if other not in chosen or books.likeness(*other) <= alike:
            ahead[mine] = min(ahead[mine], books.likeness(*mine) - alike)
    return ahead


def contests(books: Books, scored: Sequence[Scored], chosen: Collection[Edge]) -> dict[Edge, float]:
    """How near a nearly identical rival comes by the words that differ: 0.5 for as near as the pair, 1 for no word."""
    differ = books.contrasts.of
    found: dict[Edge, float] = {}
    for _, rival, mine, other in rivals(books, scored, chosen):
        if books.likeness(*rival) >= HARDLY_CHANGED and (own := differ(*mine).total) > 0:
            theirs = differ(*rival).total
            if other not in chosen or differ(*other).total >= theirs:
                found[mine] = max(found.get(mine, 0.0), own / (own + theirs))
    return found


def rivals(books: Books, scored: Iterable[Scored], chosen: Collection[Edge]) -> Iterator[tuple[float, Edge, Edge, Edge]]:
    """Each other partner of one of a chosen pair: its score, itself, the pair, and what the other partner is paired with."""
    for score, o, n in scored:
        by_old, by_new = (o, books.new_of[o]), (books.old_of[n], n)
        if by_old != by_new:
            for mine, other in ((by_old, by_new), (by_new, by_old)):
                if mine in chosen:
                    yield score, (o, n), mine, other


def alone(
    books: Books, found: Iterable[Pairing], looked_at: Iterable[Scored]
) -> tuple[dict[int, LeftSigns], dict[int, LeftSigns]]:
    """The old and the new clauses that no pairing holds; the less sure, the more like another such one they are."""
    held = {("old", label) for one in found for label in one.old} | {("new", label) for one in found for label in one.new}
    repeals = {o: 0.0 for o, clause in enumerate(books.old) if ("old", clause.id) not in held}
    insertions = {n: 0.0 for n, clause in enumerate(books.new) if ("new", clause.id) not in held}
    for score, o, n in looked_at:
        if o in repeals and n in insertions:
            repeals[o], insertions[n] = max(repeals[o], score), max(insertions[n], score)

    book = about(books)

    def signs(best: Mapping[int, float], profiles: Profiles) -> dict[int, LeftSigns]:
        return {
            index: LeftSigns(best=score, says=profiles[index].weight / books.weights.rare, book=book)
            for index, score in best.items()
        }

    return signs(repeals, books.old_profiles), signs(insertions, books.new_profiles)
