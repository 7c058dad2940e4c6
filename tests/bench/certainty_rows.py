"""What the pairing saw of every pair, part and left-over clause that it made, and whether each is right."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from pathlib import Path

from bench.generated_books import generated
from bench.open_texts import Case

from rulewatch.compare.books import Books
from rulewatch.compare.certainty import LeftSigns, PartSigns, Signs, of_left_over, of_pair, of_part
from rulewatch.compare.judgement import alone, judge
from rulewatch.compare.pairing import find_parts, gather, keep_order, pair_alike, pair_unchanged

SORTS = ("pair", "part", "left over")


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """One thing that was claimed: what sort, the signs as the model takes them, the certainty given, and whether it is right."""

    sort: str
    signs: tuple[float, ...]
    said: float
    right: bool


def rows(case: Case) -> Iterator[Row]:
    """Every claim about a case, but for the same words under the same number, which are certain."""
    books = Books(case.old, case.new)
    pair_unchanged(books)
    scored = pair_alike(books)
    keep_order(books)
    judge(books, scored)
    old, new = [clause.id for clause in case.old], [clause.id for clause in case.new]
    for (o, n), signs in books.signs.items():
        if signs is not None:
            yield from claim(case, (old[o], new[n]), signs)
    splits, joins = find_parts(books)
    for part in splits:
        yield from claim(case, (old[part.whole], new[part.part]), part.signs)
    for part in joins:
        yield from claim(case, (old[part.part], new[part.whole]), part.signs)
    if case.known is None:
        repeals, insertions = alone(books, gather(books, splits, joins), scored)
        paired_old, paired_new = ({pair[side] for pair in case.truth} for side in (0, 1))
        for o, left in repeals.items():
            yield row(left, right=old[o] not in paired_old)
        for n, left in insertions.items():
            yield row(left, right=new[n] not in paired_new)


def claim(case: Case, pair: tuple[str, str], signs: Signs | PartSigns) -> Iterator[Row]:
    """One pair, if the truth can say whether it is right."""
    if case.judged([pair]):
        yield row(signs, right=pair in case.truth)


def row(signs: Signs | PartSigns | LeftSigns, *, right: bool) -> Row:
    """A claim with the certainty that is given for it today."""
    match signs:
        case Signs():
            return Row(sort=SORTS[0], signs=signs.row(), said=of_pair(signs), right=right)
        case PartSigns():
            return Row(sort=SORTS[1], signs=signs.row(), said=of_part(signs), right=right)
        case LeftSigns():
            return Row(sort=SORTS[2], signs=signs.row(), said=of_left_over(signs), right=right)


def generated_rows(words: str, seeds: Iterable[int], folder: Path) -> list[Row]:
    """The claims about generated books of one source of words."""
    return [one for seed in seeds for one in rows(generated(words, seed, folder))]
