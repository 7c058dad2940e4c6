"""Pairs that bulletins tell: of two texts of one season, which clause was renumbered, split or joined, and which was suspended."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rulewatch.model.edition import Edition, SettledPair


def told_pairs(old: Edition, new: Edition, settled: Sequence[SettledPair] = ()) -> tuple[SettledPair, ...]:
    """The pairs that need no guess; what a person settled otherwise is left to that.

    A clause that came under a number which another had has no counterpart, and neither has the one that had it and went.
    """
    if not (old.header.body and (old.header.body, old.header.season) == (new.header.body, new.header.season)):
        return ()
    if not (old.origins or new.origins or old.suspended or new.suspended):
        return ()
    taken = ({number for one in settled for number in one.old}, {number for one in settled for number in one.new})
    return tuple(one for one in _pairs(old, new) if not (taken[0] & {*one.old} or taken[1] & {*one.new}))


def _pairs(old: Edition, new: Edition) -> Iterator[SettledPair]:
    of_old, of_new = _by_origin(old), _by_origin(new)
    places = {clause.id: clause.place for clause in (*old.clauses, *new.clauses)}
    for number in {**old.by_id, **new.by_id}:
        before = _numbers(of_old, _origin(new, number)) if number in new.by_id else ()
        after = _numbers(of_new, _origin(old, number)) if number in old.by_id else ()
        if number in new.by_id and (before != (number,) or _is_stub(number, old, new)):
            back = {each for one in before for each in _numbers(of_new, _origin(old, one))}
            if len(before) > 1 or back == {number}:
                yield SettledPair(old=before, new=(number,), place=places[number], by_bulletin=True)
            elif not before and number in old.by_id:
                yield SettledPair(old=(), new=(number,), place=places[number], by_bulletin=True)
        if number in old.by_id and (len(after) > 1 or (not after and number in new.by_id)):
            yield SettledPair(old=(number,), new=after, place=places[number], by_bulletin=True)


def _is_stub(number: str, old: Edition, new: Edition) -> bool:
    """Whether a clause stands on one side only as a note that it is suspended or reserved."""
    return number in old.by_id and old.by_id[number].says_nothing != new.by_id[number].says_nothing


def _by_origin(edition: Edition) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for clause in edition.clauses:
        for origin in _origin(edition, clause.id):
            found.setdefault(origin, []).append(clause.id)
    return found


def _origin(edition: Edition, number: str) -> tuple[str, ...]:
    return edition.origins.get(number, (number,))


def _numbers(by_origin: dict[str, list[str]], origins: tuple[str, ...]) -> tuple[str, ...]:
    return tuple(dict.fromkeys(number for origin in origins for number in by_origin.get(origin, ())))
