"""Places where it is doubtful what the book says: numbers that are missing, come twice or out of order, headings without one."""

from __future__ import annotations

import re
from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence
from typing import NamedTuple

from rulewatch.intake.document import Spot
from rulewatch.intake.structure_parts import At, Contents, Draft, Item, Part, What
from rulewatch.model.clause import fold
from rulewatch.parse.labels import AS_ANNEX, AS_NAMED, AS_NUMBER

FEW = 3  # unnumbered headings that are doubtful whatever the number of the others
OF_HEADINGS = 4  # of so many numbered headings one may be without: more are a habit of the book
JUMPS = 3  # gaps in one count from which they may be its habit
FIRST = ("0", "1", "01", "a", "A")
RARE = 20  # numbered headings for each number of their depth in running text, from which that is only named there
AGAIN = 3  # clauses in a row whose numbers come again: a count that begins again, not a misprint
NEAR = 4  # blocks within which a count goes on
FIRST_WORDS = 60
MOST_MISSING = 3  # numbers that are named one by one
PIECES = re.compile(r"(\d+)([A-Za-z]*)\Z")


class Count(NamedTuple):
    """A count that a clause goes on with, how its numbers are written (empty for a relative one), and how far it has come."""

    key: tuple[object, ...]
    form: str
    number: int


def mark_doubts(draft: Draft, contents: Iterable[Contents], notes: Iterable[Item]) -> None:
    """Put a doubtful place behind each item at which something is not as it should be. The parts must have their ids."""
    told: dict[int, list[tuple[Spot, str]]] = defaultdict(list)
    opens = {id(item.owner): item for item in draft.items if item.what is What.OPENS}
    for part, why in (*_in_counts(draft), *_twice(draft.parts)):
        told[id(opens[id(part)])].append((part.spot, why))
    for item in _without_number(draft.items):
        text = item.passage.text if item.passage else ""
        told[id(item)].append((item.spot, f"a heading without a number: “{_first_words(text)}”"))
    for item, spot, why in (*_refused(draft), *_not_found(draft, contents), *_lost(draft, notes)):
        told[id(item)].append((spot, why))
    draft.items = [
        one for item in draft.items for one in (item, *(_doubt(item, spot, why) for spot, why in told.get(id(item), ())))
    ]


def _doubt(item: Item, spot: Spot, why: str) -> Item:
    return Item(what=What.DOUBT, owner=item.owner, spot=spot, at=item.at, why=why)


def _first_words(text: str) -> str:
    folded = fold(text)
    return folded if len(folded) <= FIRST_WORDS else folded[:FIRST_WORDS].rsplit(" ", 1)[0] + " …"


# --- Counts -----------------------------------------------------------------------------------------------------------


def _count(part: Part) -> Count | None:
    """The count that a clause goes on with; None where its number has no single one."""
    node, label = part.node, part.node.label
    if node.step is not None:
        return Count((node.parent, label.style, node.step.script), "", node.step.ordinal)
    if label.form is AS_ANNEX or not label.parts:
        return None
    match = PIECES.match(label.parts[-1])
    if match is None:
        return None
    above = ".".join(label.parts[:-1])
    named = label.core[: label.core.find(label.parts[0])] if label.form is AS_NAMED else ""
    form = f"{named}{above}{'.' if above else ''}{{}}"
    return Count((node.annex, label.style, label.parts[:-1]), form, int(match[1]))


def _in_counts(draft: Draft) -> Iterator[tuple[Part, str]]:
    """Numbers that are missing, and those that come out of order."""
    counts: dict[tuple[object, ...], list[tuple[Part, Count]]] = defaultdict(list)
    for part in draft.parts:
        count = _count(part)
        if count is not None:
            counts[count.key].append((part, count))
    for row in counts.values():
        found = list(_steps(row, draft))
        gaps = [why for _, why in found]
        if len(gaps) >= JUMPS and 2 * len(gaps) > len(row):
            numbers = ", ".join(part.node.label.printed for part, _ in row[:MOST_MISSING])
            yield row[0][0], f"the numbers here go in jumps: {numbers}{', …' if len(row) > MOST_MISSING else ''}"
        else:
            yield from found


def _steps(row: Sequence[tuple[Part, Count]], draft: Draft) -> Iterator[tuple[Part, str]]:
    """The odd steps of a count. Struck numbers are not missing, and come in any order."""
    struck = {count.number for part, count in row if part.node.label.struck}
    last, before = 0, ""
    for part, count in row:
        label, printed = part.node.label, part.node.label.printed
        if label.struck:
            continue
        missing = [number for number in range(last + 1, count.number) if number not in struck]
        if missing and (before or label.form is not AS_NUMBER or len(label.parts) > 1):
            yield part, _missing(count, missing, before, printed, draft)
        elif count.number < last:
            yield part, f"{printed} comes behind {before}"
        last, before = count.number, printed


def _missing(count: Count, numbers: Sequence[int], before: str, printed: str, draft: Draft) -> str:
    where = f"between {before} and {printed}" if before else f"in front of {printed}"
    if not count.form:
        return f"{len(numbers)} missing {where}" if before else f"the count begins with {printed}"
    names = [count.form.format(number) for number in numbers]
    shown = ", ".join(names[:MOST_MISSING]) + (", …" if len(names) > MOST_MISSING else "")
    maybe = next((refused for refused in draft.refused if refused.number in names), None)
    hint = f"; what looks like {maybe.number} stands on {maybe.spot}" if maybe else ""
    return f"{shown} {'is' if len(names) == 1 else 'are'} missing {where}{hint}"


def _twice(parts: Sequence[Part]) -> Iterator[tuple[Part, str]]:
    """Numbers that come again; of a count that begins again only the first."""
    first: dict[str, Part] = {}
    in_a_row = 0
    for part in parts:
        known = part if part.node.label.struck else first.setdefault(part.node.id, part)
        if known is part:
            in_a_row = 0
            continue
        in_a_row += 1
        if in_a_row == 1:
            yield part, f"the number {part.node.id} comes again; first on {known.spot}"


def demoted(parts: Sequence[Part]) -> set[At]:
    """Where labels stand that are rather text: lone numbers that come again, and lone numbers of a count that has no beginning.

    Where several in a row come again, a count begins again, and they stay clauses; so do all that are headings.
    """
    small = _against_habit(parts)
    first: dict[str, Part] = {}
    runs: list[list[Part]] = [[]]
    standing = (part for part in parts if part.at not in small and not part.node.label.struck)
    for part in sorted(standing, key=lambda part: not part.level):
        if first.setdefault(part.node.id, part) is part:
            runs.append([])
        else:
            runs[-1].append(part)
    again = (part for run in runs if len(run) < AGAIN or all(part.node.step is not None for part in run) for part in run)
    return {part.at for part in (*again, *_strays(parts)) if not part.level} | small


def _against_habit(parts: Sequence[Part]) -> set[At]:
    """Where sections and chapters stand in running text, in a book that gives them headings: they are only named there."""
    kinds: dict[tuple[object, ...], list[Part]] = defaultdict(list)
    for part in parts:
        label = part.node.label
        if label.form in {AS_NAMED, AS_ANNEX}:
            kinds[part.node.annex is None or label.form is AS_ANNEX, label.form, label.style].append(part)
        elif label.form is AS_NUMBER or (part.level and label.core.isdigit()):
            kinds[part.node.annex is None, AS_NUMBER, len(label.parts)].append(part)
    found: set[At] = set()
    for (*_, form, kind), row in kinds.items():
        text = [part for part in row if not part.level]
        few = len(text) * (1 if form is not AS_NUMBER or kind == 1 else RARE)
        if len(row) - len(text) >= max(AGAIN, few):
            found.update(part.at for part in text)
    return found


def _strays(parts: Sequence[Part]) -> Iterator[Part]:
    """Whole numbers such as S3 or 27.4 in whose count few others stand, which does not begin at its beginning, and under no clause."""
    known = {(part.node.annex, part.node.label.parts) for part in parts}
    counts: dict[tuple[object, ...], list[Part]] = defaultdict(list)
    for part in parts:
        if part.node.label.form is AS_NUMBER:
            counts[part.node.annex, part.node.label.parts[:-1]].append(part)
    for (annex, above), row in counts.items():
        if above and len(row) < AGAIN and (annex, above) not in known and row[0].node.label.parts[-1] not in FIRST:
            yield from row


# --- Headings, labels that were not taken, contents, notes ------------------------------------------------------------


def _without_number(items: Sequence[Item]) -> list[Item]:
    """Headings without a number behind the first clause, where the book numbers nearly all."""
    bare = [item for item in items if item.what is What.HEADING and item.owner is not None]
    numbered = sum(item.what is What.OPENS and item.level > 0 for item in items)
    return bare if len(bare) <= max(FEW, numbered // OF_HEADINGS) and numbered else []


def _refused(draft: Draft) -> Iterator[tuple[Item, Spot, str]]:
    """Lines that begin with what looks like a number that no clause has."""
    ids = {part.node.label.core for part in draft.parts}
    counted = {(part.node.annex, part.node.label.core) for part in draft.parts}
    last: At | None = None
    for refused in draft.refused:
        row = last is not None and refused.again and refused.at.file == last.file and refused.at.block <= last.block + NEAR
        last = refused.at if refused.again else last
        item = _before(draft.items, refused.at)
        known = (refused.annex, refused.number) in counted if refused.lone else refused.number in ids
        if item is None or row or (known and not refused.again):
            continue
        if refused.lone:
            why = "which goes on with the numbers here; it was taken for text, since lone numbers count no clauses here"
        elif not refused.again:
            why = "which does not go on with the numbers here; it was taken for text"
        else:
            why = "which comes twice or does not fit here; it was taken for text, and so was what counts on with it"
        yield item, refused.spot, f"a line begins with {refused.number}, {why}"


def _not_found(draft: Draft, contents: Iterable[Contents]) -> Iterator[tuple[Item, Spot, str]]:
    """Entries of contents pages whose clause or heading was not found, each behind what stands in front of its place."""
    ids = {part.node.id: part for part in draft.parts}
    headings = {fold(item.passage.text).casefold() for item in draft.items if item.what is What.HEADING and item.passage}
    opens = {id(item.owner): item for item in draft.items if item.what is What.OPENS}
    for each in contents:
        last: Item | None = next(iter(draft.items), None)
        for entry in each.entries:
            if entry.id and entry.id in ids:
                last = opens[id(ids[entry.id])]
            elif last is not None and (
                entry.id or (entry.title and not entry.label and entry.title.casefold() not in headings)
            ):
                name = f"{entry.label} {_first_words(entry.title)}".strip()
                yield last, entry.spot, f"the contents name “{name}”, which was not found in the book"


def _lost(draft: Draft, notes: Iterable[Item]) -> Iterator[tuple[Item, Spot, str]]:
    """Footnotes that nothing calls; they are kept where they stand."""
    for note in notes:
        item = _before(draft.items, note.at)
        if item is None or note.passage is None:
            continue
        draft.items.insert(draft.items.index(item) + 1, note)
        note.what, note.owner = What.WORDS, item.owner
        yield note, note.spot, "a footnote that nothing calls"


def _before(items: Sequence[Item], at: At) -> Item | None:
    """The last item that begins at or before a place."""
    return next((item for item in reversed(items) if item.at <= at and item.what is not What.NOTE), next(iter(items), None))
