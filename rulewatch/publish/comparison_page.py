"""Season against season: what changed, chapter by chapter, in words and in effect."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from rulewatch.model.change import DOUBTFUL, SURE, Change, Comparison, Effect, Touch, ValueChange
from rulewatch.model.impact import Impact
from rulewatch.publish import links
from rulewatch.publish.atlas import Atlas, Book
from rulewatch.publish.cautions import cautions_for
from rulewatch.publish.change_parts import ChangeGroup, ChangeView, ImpactLine, MaskedView, TouchStep, ValueView
from rulewatch.publish.clause_text import opening_words
from rulewatch.publish.effect_views import Effects
from rulewatch.publish.front import comparison_brief
from rulewatch.publish.page_model import ComparePage
from rulewatch.publish.page_parts import Cell, ClauseLink, Frame
from rulewatch.publish.reading_words import reread_words
from rulewatch.publish.room import amount_words, impact_room, moved_words
from rulewatch.publish.rules_parts import ClassRow
from rulewatch.publish.wording import words_of
from rulewatch.publish.words import EFFECTS, KINDS, OUTCOMES, count_words, day_words, listed, tie_words


def compare_page(atlas: Atlas, comparison: Comparison) -> ComparePage:
    """The page of one comparison."""
    page = _Builder(atlas, comparison)
    changed = comparison.changed
    unchanged = [change for change in comparison.changes if not change.kinds]
    used = [name for name in EFFECTS if any(name in change.effects.values() for change in changed)]
    return ComparePage(
        frame=page.frame(),
        kinds=comparison_brief(atlas, page.path, comparison).kinds,
        effects=tuple(EFFECTS[name] for name in used),
        rows=tuple(_class_rows(atlas, comparison, used)),
        whole=tuple(page.effects.whole(comparison)),
        masked=tuple(page.masked(changed)),
        groups=tuple(page.groups(changed)),
        touched=tuple(page.view(each) for each in unchanged if each.touched_by and not each.reinterpreted),
        reinterpreted=tuple(page.view(each) for each in unchanged if each.reinterpreted),
        data=links.relative(page.path, data_path("compare", comparison)),
    )


def data_path(what: str, comparison: Comparison) -> str:
    """The file that holds a comparison, or its impacts, as data."""
    return f"data/{what}-{links.comparison_name(comparison)}.json"


def impact_line(atlas: Atlas, page: str, impact: Impact) -> ImpactLine:
    """What a change does to one entry, with the link from a page to the car."""
    entry, anchor = impact.entry, atlas.impact_anchor(impact)
    return ImpactLine(
        car=atlas.car_names.get(impact.car, impact.car),
        entry=atlas.class_title(entry.body, entry.class_name),
        what=atlas.site.vocabulary.in_sentence(impact.subject) if impact.subject else "",
        href=links.relative(page, links.car_page(impact.car), anchor) if anchor else "",
        term=OUTCOMES[impact.outcome],
        room=impact_room(impact),
    )


class _Builder:
    """Builds the parts of one comparison's page."""

    def __init__(self, atlas: Atlas, comparison: Comparison) -> None:
        self.atlas, self.comparison = atlas, comparison
        self.path = links.comparison_page(comparison)
        self.old, self.new = atlas.book(comparison.old), atlas.book(comparison.new)
        anchors = atlas.change_anchors[links.comparison_name(comparison)]
        self.effects = Effects(atlas=atlas, path=self.path, body=comparison.new.body.id, link=self.link)
        self.anchors = {id(change): anchor for change, anchor in zip(comparison.changes, anchors, strict=True)}

    def frame(self) -> Frame:
        comparison, old, new = self.comparison, self.old, self.new
        texts = [clause.text for change in comparison.changed for clause in (*change.new, *change.old)]
        cells = [
            Cell(label="Old", value=_dated(old), href=links.relative(self.path, old.page) if old.published else ""),
            Cell(label="New", value=_dated(new), href=links.relative(self.path, new.page) if new.published else ""),
            Cell(label="Changed", value=f"{len(comparison.changed)} of {count_words(len(comparison.changes), 'clause')}"),
        ]
        if new.edition.applied:
            cells.append(Cell(label="With bulletins", value=listed([each.number for each in new.edition.applied])))
        return self.atlas.frame(
            self.path,
            f"{new.edition.body.name}: {old.season} against {new.season}",
            crumbs=((self.atlas.site.title, links.FRONT),),
            cells=cells,
            cautions=cautions_for((), texts),
        )

    def groups(self, changes: Iterable[Change]) -> Iterator[ChangeGroup]:
        """Changes by the chapter they stand in now; repeals where the old chapter of that name or title is."""
        titles: dict[str, list[ChangeView]] = {}
        for change in changes:
            titles.setdefault(self.chapter_title(change), []).append(self.view(change))
        anchors = links.Anchors()
        for title, views in titles.items():
            yield ChangeGroup(title=title, anchor=anchors.take(f"chapter-{links.slug(title)}"), changes=tuple(views))

    def chapter_title(self, change: Change) -> str:
        if change.new:
            return self.new.chapter_titles[change.new[0].chapter]
        name = change.old[0].chapter
        return self.new.chapter_titles.get(name) or self.old.chapter_titles[name]

    def view(self, change: Change) -> ChangeView:
        shown, words = (change.new or change.old)[0], words_of(change)
        read_before, read_now = self.reread(change) if change.reinterpreted else ("", "")
        return ChangeView(
            anchor=self.anchors[id(change)],
            old=tuple(self.old.link(self.path, clause.id) for clause in change.old),
            new=tuple(self.new.link(self.path, clause.id) for clause in change.new),
            heading=shown.heading or ("" if words else opening_words(shown, 60)),
            kinds=tuple(KINDS[kind] for kind in KINDS if kind in change.kinds),
            wording_only=change.wording_only,
            effects=tuple(self.effects.of(change)),
            doubt=_doubt(change.certainty),
            doubtful=change.certainty < DOUBTFUL,
            settled=change.settled,
            words=words,
            values=tuple(_value(value) for value in change.values),
            read_before=read_before,
            read_now=read_now,
            touched_by=tuple(tuple(self.steps(touch)) for touch in change.touched_by),
            impacts=tuple(impact_line(self.atlas, self.path, each) for each in self.atlas.impacts_on(self.comparison, change)),
        )

    def reread(self, change: Change) -> tuple[str, str]:
        """How a clause was read before and is read now."""
        return reread_words(change, self.comparison.old, self.comparison.new, self.atlas.site.vocabulary)

    def steps(self, touch: Touch) -> Iterator[TouchStep]:
        """The way back to what changed; a clause that was repealed leads into the old book."""
        vocabulary = self.atlas.site.vocabulary
        for clause, reason in zip(reversed(touch.path[:-1]), reversed(touch.reasons), strict=True):
            about = vocabulary.in_sentence(reason.about) if vocabulary.knows(reason.about) else reason.about
            yield TouchStep(words=tie_words(reason, about), clause=self.link(clause))

    def link(self, clause: str) -> ClauseLink:
        """The link to a clause as it stands; one that was repealed leads into the old book."""
        return (self.new if clause in self.new.clauses else self.old).link(self.path, clause)

    def masked(self, changes: Iterable[Change]) -> Iterator[MaskedView]:
        """The changes that do something else inside the whole book than alone, with that effect only."""
        for change in changes:
            effects = tuple(each for each in self.effects.of(change, cars=False) if each.inside is not None)
            if effects:
                words = opening_words((change.new or change.old)[0], 60)
                link = ClauseLink(number=change.key, words=words, href=f"#{self.anchors[id(change)]}")
                yield MaskedView(change=link, effects=effects)


def _dated(book: Book) -> str:
    published = book.edition.header.published
    title = book.edition.header.title or book.title
    return f"{title}, published {day_words(published)}" if published else title


def _doubt(certainty: float) -> str:
    """How sure a pairing is, in words; nothing where it is as good as certain."""
    if certainty >= SURE:
        return ""
    percent = f"{round(certainty * 100)} % sure"
    return percent if certainty >= DOUBTFUL else f"{percent} that these belong together: look at both"


def _class_rows(atlas: Atlas, comparison: Comparison, used: Sequence[Effect]) -> Iterator[ClassRow]:
    for name in comparison.new.classes:
        counts = Counter(change.effects.get(name) for change in comparison.changed)
        yield ClassRow(name=atlas.class_title(comparison.new.body.id, name), counts=tuple(counts[effect] for effect in used))


def _value(value: ValueChange) -> ValueView:
    if value.delta is None:
        delta = ""
    elif not value.delta.number:
        delta = "the same size"
    else:
        delta = moved_words(value.delta)
    return ValueView(
        old=amount_words(value.old) if value.old else "", new=amount_words(value.new) if value.new else "", delta=delta
    )
