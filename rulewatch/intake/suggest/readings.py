"""From the sentences of a clause to readings: what has one scope goes into one reading."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from rulewatch.intake.suggest.additions import as_least_weight, with_exceptions, with_measuring, with_noted, with_tolerance
from rulewatch.intake.suggest.cues import PARALLEL, Says
from rulewatch.intake.suggest.draft import Draft, Item, merged
from rulewatch.intake.suggest.figures import Figure
from rulewatch.intake.suggest.limits import Page, carried_item, figure_items, refers_back
from rulewatch.intake.suggest.matters import find_dated
from rulewatch.intake.suggest.parts_and_choices import find_stated
from rulewatch.intake.suggest.relations import greater_of, in_steps, over_sheet, same_as_sheet, with_rate
from rulewatch.intake.suggest.scope import find_classes, find_days, read_condition
from rulewatch.intake.suggest.sentences import Stretch
from rulewatch.intake.suggest.vocabulary_index import SIDES
from rulewatch.intake.suggest.weight import WEIGHT, find_adder, find_steps, least_weight
from rulewatch.model.stated_numbers import StatedNumbers

NO_CONDITION = "the condition is not in the reading: “{}”"
LEAST_CERTAIN = 0.45  # what is less sure is not suggested
SEVERAL = "the clause has several values for {}: say for which cars each is"


@dataclass(frozen=True, slots=True, kw_only=True)
class _Scope:
    """For which cars one statement holds; two statements of one scope go into one reading."""

    classes: tuple[str, ...] = ()
    since: str = ""
    until: str = ""
    apart: str = ""
    when: tuple[tuple[str, str], ...] = ()


def find_drafts(page: Page, stated: StatedNumbers) -> tuple[Draft, ...]:
    """The readings that the sentences and tables of a clause give, in order, with every number with a unit used or noted."""
    found: list[Draft] = [*_tables(page, stated)]
    named: list[str] = []
    before = Draft()
    for number in range(len(page.sentences)):
        drafts = list(_sentence(page, stated, number, named, before, only_adders=bool(found) and found[0].weight != ()))
        found += drafts
        named += [name for draft in drafts for name in draft.classes]
        before = drafts[-1] if drafts else before
    found = [_sure_enough(draft) for draft in (*found, *find_dated(page))]
    drafts = [with_tolerance(page, as_least_weight(page, draft)) for draft in _joined([*_apart(found)])]
    drafts = [with_exceptions(page, with_measuring(page, draft)) for draft in drafts if draft.says_something]
    return with_noted(page, stated, drafts)


def _sure_enough(draft: Draft) -> Draft:
    """The draft without what is too little sure to be worth a person's look."""
    return replace(
        draft,
        allow=tuple(item for item in draft.allow if item.sure >= LEAST_CERTAIN),
        limit=tuple(item for item in draft.limit if item.sure >= LEAST_CERTAIN),
    )


# --- One sentence -----------------------------------------------------------------------------------------------------


def _sentence(
    page: Page, stated: StatedNumbers, number: int, named: Sequence[str], before: Draft, *, only_adders: bool
) -> Iterator[Draft]:
    """What one sentence says, each part with its scope."""
    sentence, around = page.sentences[number], page.around
    stretches = page.conditions[number]
    when, doubts = _conditions(page, number, stretches)
    classes, parts = find_classes(page.text, sentence, around, named)
    if not classes and before.classes and refers_back(page, number):
        classes = before.classes
    since, until, days = find_days(page.text, sentence)
    base = Draft(
        classes=classes, since=since, until=until, when=when, parts=(*parts, *days), sure=0.85 if doubts else 1.0, doubts=doubts
    )
    if adder := find_adder(page, number):
        if not when and (item := _supposed(before)):
            base = replace(base, when=(item,))
        sure = base.sure * (0.9 if base.when else 0.5)
        yield replace(base, weight=adder.lines, parts=(*base.parts, *adder.parts), sure=sure)
        return
    if only_adders:
        return
    yield from _limited(page, stated, number, base, named)
    for stated_item in find_stated(page, number, stretches):
        items = (stated_item.item,)
        yield replace(base, allow=items) if stated_item.key == "allow" else replace(base, limit=items)
    if item := same_as_sheet(page, number):
        yield replace(base, limit=(item,))


def _supposed(before: Draft) -> Item | None:
    """What the sentence before permits, as the condition of what its part adds: "… are permitted. They add 1 %"."""
    item = next(iter((*before.allow, *before.limit)), None)
    if item is None or item.range or not before.allow:
        return None
    return item


def _conditions(page: Page, number: int, stretches: Sequence[Stretch]) -> tuple[tuple[Item, ...], tuple[str, ...]]:
    """The conditions of a sentence as items, and in words those that could not be read."""
    items: list[Item] = []
    doubts: list[str] = []
    figures = [figure for figure in page.figures[number] if figure.conditional and not figure.of_item]
    for figure in figures:
        items += figure_items(page, number, figure)[:1]
    for stretch in stretches:
        if any(stretch.start <= figure.start < stretch.end for figure in figures):
            continue
        read = read_condition(page.text, stretch, page.around)
        items += read
        if not read:
            doubts.append(NO_CONDITION.format(" ".join(page.text[stretch.start : stretch.end].split())))
    return merged(items), tuple(doubts)


def _limited(page: Page, stated: StatedNumbers, number: int, base: Draft, named: Sequence[str]) -> Iterator[Draft]:
    """The limits of a sentence, each with the classes and days that stand beside its own figure."""
    pairs = _related(page, stated, number, _bounded(page, number))
    names = [item.name for _, items in pairs for item in items]
    if len(set(names)) < len(names):
        base = _scope_before(page, number, pairs[0][0], base)
    for index, (figure, items) in enumerate(pairs):
        own = base
        if len(set(names)) < len(names):
            following = pairs[index + 1][0].left if index + 1 < len(pairs) else page.sentences[number].end
            own = _own_scope(page, figure, max(following, figure.right), base, named)
        yield replace(own, limit=items)


def _bounded(page: Page, number: int) -> list[tuple[Figure, tuple[Item, ...]]]:
    """The figures of a sentence that bound something, with their items; one without a name of its own goes on with the last."""
    found: list[tuple[Figure, tuple[Item, ...]]] = []
    for figure in page.figures[number]:
        if figure.conditional or figure.says in {Says.TOLERANCE, Says.ASIDE}:
            continue
        last = found[-1] if found else None
        if last and _is_parallel(page, last[0], figure):
            found.append((figure, tuple(carried_item(page, figure, item) for item in last[1])))
            continue
        items = figure_items(page, number, figure)
        if not items and found and found[-1][0].amount.unit == figure.amount.unit and found[-1][0].says is figure.says:
            items = tuple(carried_item(page, figure, item) for item in found[-1][1])
        if items:
            found.append((figure, items))
    return found


def _is_parallel(page: Page, last: Figure, figure: Figure) -> bool:
    """Whether a figure says of other cars what the one before says: "at least 3.0 m, bei Zügen mindestens 2,5 m"."""
    between = page.text[last.end : figure.start]
    return (
        last.says is figure.says
        and last.amount.unit.dimension == figure.amount.unit.dimension
        and PARALLEL.match(between) is not None
        and not any(
            word.stem in page.around.index.part_words | SIDES.keys()
            for word in page.between(last.end, max(figure.start, figure.right))
        )
    )


def _scope_before(page: Page, number: int, first: Figure, base: Draft) -> Draft:
    """The scope without what the sentence says behind its first figure, which may be for that figure alone."""
    stretch = Stretch(start=page.sentences[number].start, end=first.start)
    classes, parts = find_classes(page.text, stretch, page.around)
    since, until, days = find_days(page.text, stretch)
    return replace(base, classes=classes, since=since, until=until, parts=(*parts, *days))


def _own_scope(page: Page, figure: Figure, end: int, base: Draft, named: Sequence[str]) -> Draft:
    """The scope that stands behind one figure of several: "1,960 mm in class A and 1,890 mm in the other classes"."""
    stretch = Stretch(start=figure.end, end=max(end, figure.end))
    classes, parts = find_classes(page.text, stretch, page.around, (*named, *base.classes))
    since, until, days = find_days(page.text, stretch)
    return replace(
        base,
        classes=classes or base.classes,
        since=since or ("" if until else base.since),
        until=until or ("" if since else base.until),
        parts=(*base.parts, *parts, *days),
    )


def _related(
    page: Page, stated: StatedNumbers, number: int, pairs: Sequence[tuple[Figure, tuple[Item, ...]]]
) -> list[tuple[Figure, tuple[Item, ...]]]:
    """The limits of a sentence, with those that belong to one reckoned bound put together."""
    found: list[tuple[Figure, tuple[Item, ...]]] = []
    used: set[int] = set()
    for index, (figure, items) in enumerate(pairs):
        if figure.start in used:
            continue
        rest = [(one, others[0]) for one, others in pairs[index + 1 :]]
        related = (
            in_steps(page, number, page.around.vocabulary.quantities[items[0].name])
            or greater_of(page, number, items[0], figure, rest)
            or with_rate(page, stated, number, items[0], figure)
        )
        if related:
            used |= {one.start for one in related.figures}
            found.append((figure, (related.item,)))
            continue
        over = tuple(item for one in items if (item := over_sheet(page, number, figure, one)))
        if over or figure.says is not Says.BY:
            found.append((figure, over or items))
    return found


# --- The whole clause -------------------------------------------------------------------------------------------------


def _tables(page: Page, stated: StatedNumbers) -> Iterator[Draft]:
    for table in find_steps(page, stated):
        base = Draft(classes=table.classes, parts=table.parts, sure=0.85)
        if table.name == WEIGHT:
            yield replace(base, weight=least_weight(page, table.bound))
        else:
            yield replace(base, limit=(Item(name=table.name, range=(("max", table.bound),), sure=0.7),))


def _joined(drafts: Sequence[Draft]) -> list[Draft]:
    """Readings of one scope as one; an adder stays by itself."""
    found: dict[object, Draft] = {}
    for index, draft in enumerate(drafts):
        scope = _Scope(
            classes=draft.classes,
            since=draft.since,
            until=draft.until,
            apart=draft.apart,
            when=tuple((one.name, one.written) for one in draft.when),
        )
        key: object = (scope, index) if draft.weight or draft.dated or draft.concerns else scope
        one = found.get(key)
        found[key] = draft if one is None else _both(one, draft)
    return list(found.values())


def _apart(drafts: Sequence[Draft]) -> Iterator[Draft]:
    """The drafts, where one quantity gets several values for one bound without saying for which cars: each value apart."""
    seen: dict[tuple[object, ...], str] = {}
    for draft in drafts:
        for item in draft.limit:
            key = (
                draft.classes,
                draft.since,
                draft.until,
                tuple(one.written for one in draft.when),
                item.name,
                tuple(end for end, _ in item.range),
            )
            first = seen.setdefault(key, item.written)
            if first == item.written:
                yield replace(draft, limit=(item,))
            else:
                yield replace(
                    draft,
                    limit=(item,),
                    apart=item.written,
                    sure=draft.sure * 0.7,
                    doubts=(*draft.doubts, SEVERAL.format(item.name)),
                )
        if not draft.limit or draft.allow:
            yield replace(draft, limit=())


def _both(one: Draft, other: Draft) -> Draft:
    return replace(
        one,
        allow=merged((*one.allow, *other.allow)),
        limit=merged((*one.limit, *other.limit)),
        parts=(*one.parts, *other.parts),
        sure=min(one.sure, other.sure),
        doubts=tuple(dict.fromkeys((*one.doubts, *other.doubts))),
    )
