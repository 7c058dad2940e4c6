"""The rules as they stand: the contents of an edition, and a page for each chapter with its clauses and our readings."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import partial

from rulewatch.model.change import Change, Effect, Lineage
from rulewatch.model.clause import Clause
from rulewatch.model.reading import Reading
from rulewatch.publish import links
from rulewatch.publish.atlas import Atlas, Book, Chapter
from rulewatch.publish.cautions import cautions_for
from rulewatch.publish.change_parts import EffectView, ImpactLine
from rulewatch.publish.clause_text import clause_html
from rulewatch.publish.comparison_page import impact_line
from rulewatch.publish.courses import Courses
from rulewatch.publish.effect_views import Effects
from rulewatch.publish.front import bulletin_brief, comparison_brief, countdowns, to_scale
from rulewatch.publish.page_model import ChapterPage, EditionPage
from rulewatch.publish.page_parts import Cell, ClauseLink, Frame, Link
from rulewatch.publish.reading_words import sentences
from rulewatch.publish.rules_parts import ChapterBrief, ClauseView, ReadingView
from rulewatch.publish.words import EFFECTS, KINDS, count_words, day_words

DEEPEST_HEADING = 6


def edition_page(atlas: Atlas, book: Book) -> EditionPage:
    """The contents of one edition."""
    comparison = atlas.comparison_into.get((book.body, book.season))
    edition = book.edition
    return EditionPage(
        frame=atlas.frame(
            book.page,
            edition.header.title or book.title,
            crumbs=((atlas.site.title, links.FRONT),),
            cells=tuple(_edition_cells(book)),
        ),
        chapters=tuple(_chapter_brief(atlas, book, chapter) for chapter in book.chapters),
        bulletins=tuple(bulletin_brief(atlas, book.page, edition, each) for each in (*edition.applied, *edition.drafts)),
        events=to_scale(countdowns(atlas, (book,))),
        comparisons=(comparison_brief(atlas, book.page, comparison),) if comparison else (),
    )


def chapter_pages(atlas: Atlas, book: Book, courses: Courses) -> Iterator[ChapterPage]:
    """The pages of an edition's chapters, in the order of the book, with their clauses' histories."""
    chapters = book.chapters
    builder = _Chapters(atlas, book, courses)
    for place, chapter in enumerate(chapters):
        before = chapters[place - 1] if place else None
        after = chapters[place + 1] if place + 1 < len(chapters) else None
        yield builder.page(chapter, before, after)


def _edition_cells(book: Book) -> Iterator[Cell]:
    header = book.edition.header
    yield Cell(label="Body", value=book.edition.body.name)
    yield Cell(label="Season", value=book.season)
    if header.published:
        yield Cell(label="Published", value=day_words(header.published))
    if header.effective:
        yield Cell(label="In force from", value=day_words(header.effective))
    yield Cell(label="Clauses", value=str(len(book.edition.clauses)))


def _chapter_brief(atlas: Atlas, book: Book, chapter: Chapter) -> ChapterBrief:
    return ChapterBrief(
        title=chapter.title,
        href=links.relative(book.page, links.chapter_page(book.body, book.season, chapter.name)),
        clauses=len(chapter.clauses),
        changed=sum((book.body, book.season, clause.id) in atlas.change_of for clause in chapter.clauses),
        unread=sum(is_unread(book, clause) for clause in chapter.clauses),
    )


def is_unread(book: Book, clause: Clause) -> bool:
    """Whether a clause says something that no confirmed reading covers. A heading alone says nothing."""
    if clause.container or clause.text.strip() == clause.heading.strip():
        return False
    readings = book.edition.readings.get(clause.id, ())
    return not readings or not all(reading.is_confirmed(clause.digest) for reading in readings)


class _Chapters:
    """Builds the chapter pages of one edition."""

    def __init__(self, atlas: Atlas, book: Book, courses: Courses) -> None:
        self.atlas, self.book, self.courses = atlas, book, courses
        self.comparison = atlas.comparison_into.get((book.body, book.season))
        classes = book.edition.body.classes
        self.classes: Mapping[str, str] = {name: classes.get(name, name) for name in book.edition.classes}

    def path(self, chapter: Chapter) -> str:
        return links.chapter_page(self.book.body, self.book.season, chapter.name)

    def page(self, chapter: Chapter, before: Chapter | None, after: Chapter | None) -> ChapterPage:
        path = self.path(chapter)
        return ChapterPage(
            frame=self.frame(path, chapter),
            clauses=tuple(self.clauses_of(path, chapter)),
            before=self.link(path, before),
            after=self.link(path, after),
        )

    def link(self, path: str, chapter: Chapter | None) -> Link | None:
        return Link(text=chapter.title, href=links.relative(path, self.path(chapter))) if chapter else None

    def frame(self, path: str, chapter: Chapter) -> Frame:
        book = self.book
        readings = [one for clause in chapter.clauses for one in book.edition.readings.get(clause.id, ())]
        subjects = [name for one in readings for name in one.subjects()]
        subjects += ["car.weight"] if any(one.minimum or one.adder for one in readings) else []
        unread = sum(is_unread(book, clause) for clause in chapter.clauses)
        return self.atlas.frame(
            path,
            chapter.title,
            crumbs=((self.atlas.site.title, links.FRONT), (book.title, book.page)),
            cells=(
                Cell(label="Book", value=book.title, href=links.relative(path, book.page)),
                Cell(label="Clauses", value=str(len(chapter.clauses))),
                Cell(label="Waiting", value=f"{count_words(unread, 'clause')} to read" if unread else "all read and confirmed"),
            ),
            cautions=cautions_for(subjects, [clause.text for clause in chapter.clauses]),
        )

    def clauses_of(self, path: str, chapter: Chapter) -> Iterator[ClauseView]:
        """The clauses with the levels of their headings: one below their parent's, and never a level left out."""
        levels: dict[str, int] = {}
        last = 1
        for place, clause in enumerate(chapter.clauses):
            above = levels.get(clause.parent, 1)
            levels[clause.id] = above
            titles_page = chapter.headed and place == 0
            level = 0
            if clause.heading and not titles_page:
                level = min(above + 1, last + 1, DEEPEST_HEADING)
                levels[clause.id] = last = level
            yield self.clause(path, clause, level, titles_page=titles_page)

    def clause(self, path: str, clause: Clause, level: int, *, titles_page: bool) -> ClauseView:
        book, edition = self.book, self.book.edition
        change = self.atlas.change_of.get((book.body, book.season, clause.id))
        place = self.atlas.change_anchor(self.comparison, (), (clause.id,)) if self.comparison else ""
        readings = tuple(self.reading(clause, one) for one in edition.readings.get(clause.id, ()))
        lineage = self.atlas.site.lineages.get((book.body, edition.header.season, clause.id))
        return ClauseView(
            id="" if titles_page else clause.id,
            anchor=links.clause_anchor(clause.id),
            level=level,
            heading="" if titles_page else clause.heading,
            text=clause_html(clause, partial(self.address, path)),
            container=not readings and not is_unread(book, clause),
            readings=readings,
            amended_by=edition.amended_by.get(clause.id, ""),
            changed=Link(
                text=f"since {self.atlas.book(self.comparison.old).season}",
                href=links.relative(path, links.comparison_page(self.comparison), place),
            )
            if change and self.comparison
            else None,
            kinds=tuple(KINDS[kind].word for kind in KINDS if change and kind in change.kinds),
            effects=tuple(self.effects(path, change)),
            lasting=links.lasting_anchor(lineage) if lineage else "",
            first=self.first_place(path, clause, lineage),
            now=self.courses.now(path, book, clause),
            course=self.courses.of(path, book, clause),
            referred_from=tuple(book.link(path, each) for each in book.referred_from.get(clause.id, ()) if each != clause.id),
            impacts=self.impact_lines(path, change),
        )

    def effects(self, path: str, change: Change | None) -> Iterator[EffectView]:
        """What a change does to classes; none where it leaves all of them as they were. The cars are on its own page."""
        if change is None or self.comparison is None:
            return
        old = self.atlas.book(self.comparison.old)

        def link(clause: str) -> ClauseLink:
            return (self.book if clause in self.book.clauses else old).link(path, clause)

        found = list(Effects(atlas=self.atlas, path=path, body=self.book.body, link=link).of(change, cars=False))
        if any(each.inside is not None or each.term is not EFFECTS[Effect.SAME] for each in found):
            yield from found

    def first_place(self, path: str, clause: Clause, lineage: Lineage | None) -> Link | None:
        """Where a rule first stood that had another number then."""
        if lineage is None or lineage.clause == clause.id:
            return None
        text = f"{lineage.clause} in {lineage.season}"
        first = self.atlas.by_season.get((self.book.body, lineage.season))
        return Link(text=text, href=first.href(path, lineage.clause) if first else "")

    def address(self, path: str, clause: str) -> str | None:
        return self.book.href(path, clause) or None

    def impact_lines(self, path: str, change: Change | None) -> tuple[ImpactLine, ...]:
        comparison = self.comparison
        if comparison is None or change is None:
            return ()
        return tuple(impact_line(self.atlas, path, each) for each in self.atlas.impacts_on(comparison, change))

    def reading(self, clause: Clause, reading: Reading) -> ReadingView:
        confirmed, state = self.confirmation(clause, reading)
        answer = reading.answered
        return ReadingView(
            sentences=sentences(reading, self.atlas.site.vocabulary, self.classes),
            confirmed=confirmed,
            state=state,
            question=reading.ask,
            answer=f"{answer.by}, {day_words(answer.on)}{f' ({answer.ref})' if answer.ref else ''}" if answer else "",
        )

    def confirmation(self, clause: Clause, reading: Reading) -> tuple[bool, str]:
        """Whether a reading counts as confirmed, and who says so or what stands against it."""
        done = reading.confirmed
        if done is None:
            return False, "Not confirmed by anyone yet; what it finds legal stays unknown."
        by = f"{self.atlas.person_name(done.by)}, {day_words(done.on)}"
        if not reading.is_confirmed(clause.digest):
            return False, f"Confirmed by {by}, but the text has changed since; what it finds legal stays unknown."
        return True, f"Confirmed by {by}."
