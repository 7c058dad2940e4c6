"""Two editions compared over the whole book: pairs, kinds of change, wording, values and effects."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Mapping, Sequence
from dataclasses import dataclass
from typing import TYPE_CHECKING

from rulewatch.compare.direct import Editions
from rulewatch.compare.effect import Decided, effects, reread_only, shared_classes, unread_clauses
from rulewatch.compare.pairing import pair
from rulewatch.compare.reinterpretation import reread
from rulewatch.compare.ripple import rippled
from rulewatch.compare.told import told_pairs
from rulewatch.compare.wording import difference, value_changes
from rulewatch.model.car import Car
from rulewatch.model.change import Change, ClassEffect, Comparison, Effect, Kind, Pairing
from rulewatch.model.clause import Clause, natural_order
from rulewatch.model.edition import Edition, SettledPair
from rulewatch.model.vocabulary import Vocabulary

if TYPE_CHECKING:
    from rulewatch.compare.allowed import Allowed


@dataclass(frozen=True, kw_only=True)
class _Book:
    """Both editions' clauses by id, and what became of the numbers and chapters of the old one."""

    old: Mapping[str, Clause]
    new: Mapping[str, Clause]
    renumbered: Mapping[str, str]
    chapters: Mapping[str, str]
    origins: Mapping[str, str]  # the old chapter that most of a new one comes from


def compare_editions(
    old: Edition,
    new: Edition,
    settled: Sequence[SettledPair] = (),
    *,
    vocabulary: Vocabulary | None = None,
    cars: Sequence[Car] = (),
    whole: bool = True,
    closely: Collection[str] | None = None,
) -> Comparison:
    """Compare two editions, clause by clause, unchanged ones included.

    `settled` pairs win over those that bulletins tell, and these over computed ones. With a vocabulary, what readings allow is
    compared as logic too, and unless `whole` is off classes as a whole; witnesses stay near to the cars. Where `closely` names
    clauses, of changes to others only the effect alone is told, without witnesses.
    """
    pairings = pair(old.clauses, new.clauses, (*settled, *told_pairs(old, new, settled)))
    book = _book(old, new, pairings)
    editions = Editions(old=old, new=new, renumbered=book.renumbered)
    allowed = None
    if vocabulary is not None:
        from rulewatch.compare.allowed import Allowed  # all that logic needs, for which plain books have no readings

        allowed = Allowed(old, new, pairings, vocabulary, cars)
    changes = tuple(_change(pairing, book, editions, allowed, closely) for pairing in pairings)
    classes = _classes(changes, editions, allowed) if allowed is not None and whole else {}
    return Comparison(old=old, new=new, changes=rippled(changes, old, new), classes=classes, vocabulary=vocabulary)


def _classes(changes: Sequence[Change], editions: Editions, allowed: Allowed) -> dict[str, ClassEffect]:
    """What all changes together do to each class; changed clauses that nobody read are named."""
    missing = {*unread_clauses(editions.old)}, {*unread_clauses(editions.new)}
    unread = tuple(
        dict.fromkeys(
            clause.id
            for change in changes
            if change.kinds and not change.wording_only
            for side, ids in zip((change.old, change.new), missing, strict=True)
            for clause in side
            if clause.id in ids
        )
    )
    reread = [change for change in changes if change.reinterpreted and change.old and change.new]
    return {name: allowed.whole(name, unread, reread) for name in shared_classes(editions.old, editions.new)}


def _book(old: Edition, new: Edition, pairings: Sequence[Pairing]) -> _Book:
    old_by_id, new_by_id = old.by_id, new.by_id
    renumbered = {pairing.old[0]: pairing.new[0] for pairing in pairings if pairing.old and pairing.new}
    # A chapter's file may have got another name; where most of its clauses went is the same chapter.
    went = [(old_by_id[before].chapter, new_by_id[after].chapter) for before, after in renumbered.items()]
    return _Book(
        old=old_by_id,
        new=new_by_id,
        renumbered=renumbered,
        chapters=_mostly(went),
        origins=_mostly((after, before) for before, after in went),
    )


def _mostly(pairs: Iterable[tuple[str, str]]) -> dict[str, str]:
    """For each first part of pairs the second that it has most often."""
    votes: dict[str, Counter[str]] = {}
    for one, other in pairs:
        votes.setdefault(one, Counter())[other] += 1
    return {one: counted.most_common(1)[0][0] for one, counted in votes.items()}


def _change(
    pairing: Pairing, book: _Book, editions: Editions, allowed: Allowed | None, closely: Collection[str] | None
) -> Change:
    old, new = editions.old, editions.new
    before, after = tuple(book.old[name] for name in pairing.old), tuple(book.new[name] for name in pairing.new)
    old_text, new_text = ("\n".join(clause.plain for clause in clauses) for clauses in (before, after))
    wording = difference(old_text, new_text, book.renumbered)
    kinds = _kinds(before, after, book, same_text=wording.same)
    if not kinds:
        otherwise = reread(old.readings.get(before[0].id, ()), new.readings.get(after[0].id, ()), book.renumbered)
        return Change(
            old=before, new=after, kinds=(), certainty=pairing.certainty, settled=pairing.settled, reinterpreted=otherwise
        )
    reworded = not wording.same and not wording.wording_only
    close = closely is None or any(name in closely for name in (*pairing.old, *pairing.new))
    decided = effects(before, after, editions, allowed, reworded=reworded, close=close)
    otherwise = () if reworded else _reread(before, after, editions, decided.values())
    if otherwise:
        decided = reread_only(editions)
    return Change(
        old=before,
        new=after,
        kinds=kinds,
        certainty=pairing.certainty,
        words=wording.words,
        values=value_changes(wording, new.body.numbers) if before and after and reworded else (),
        effects={name: one.effect for name, one in decided.items()},
        why={name: one.why for name, one in decided.items()},
        in_book={name: one.in_book for name, one in decided.items() if one.in_book is not None},
        masked_by={name: _now(one.masked_by, book) for name, one in decided.items() if one.masked_by},
        witness={name: one.witnesses for name, one in decided.items() if one.witnesses},
        wording_only=wording.wording_only and not wording.same,
        reinterpreted=otherwise,
        settled=pairing.settled,
    )


def _now(ids: Iterable[str], book: _Book) -> tuple[str, ...]:
    """Clauses of the old book by their new numbers, in order; those that were repealed keep theirs."""
    return tuple(sorted({book.renumbered.get(each, each) for each in ids}, key=natural_order))


def _reread(old: Sequence[Clause], new: Sequence[Clause], editions: Editions, decided: Iterable[Decided]) -> tuple[str, ...]:
    """What is read otherwise under words that say the same; of a split or join only where it allows other cars."""
    if len(old) != len(new) and all(one.effect in {Effect.SAME, Effect.UNDECIDED} for one in decided):
        return ()
    before, after = (
        [reading for clause in clauses for reading in edition.readings.get(clause.id, ())]
        for clauses, edition in ((old, editions.old), (new, editions.new))
    )
    return reread(before, after, editions.renumbered)


def _kinds(old: Sequence[Clause], new: Sequence[Clause], book: _Book, *, same_text: bool) -> tuple[Kind, ...]:
    """Every kind that is true of a pairing, in the order of `Kind`."""
    if not old:
        return (Kind.INSERTION,)
    if not new:
        return (Kind.REPEAL,)
    kinds = set()
    if len(new) > 1:
        kinds.add(Kind.SPLIT)
    elif len(old) > 1:
        kinds.add(Kind.JOIN)
    if old[0].id not in {clause.id for clause in new} and not (len(old) > 1 and new[0].id in {clause.id for clause in old}):
        kinds.add(Kind.MOVE if _moved(old[0], new[0], book) else Kind.RENUMBERING)
    elif _moved(old[0], new[0], book) and len(old) == len(new) == 1:
        kinds.add(Kind.MOVE)
    if not same_text and len(old) == len(new) == 1:
        kinds.add(Kind.SUBSTITUTION)
    return tuple(kind for kind in Kind if kind in kinds)


def _moved(old: Clause, new: Clause, book: _Book) -> bool:
    """Whether a clause stands under another parent or in another chapter than its old one's counterpart."""
    if old.parent in book.renumbered or new.parent:
        return book.renumbered.get(old.parent, "") != new.parent
    # A chapter that was cut in two goes on in both parts, under the numbers that it had.
    cut = old.id == new.id and book.origins.get(new.chapter) == old.chapter
    return not cut and book.chapters.get(old.chapter) != new.chapter
