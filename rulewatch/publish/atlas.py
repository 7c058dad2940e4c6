"""Where everything of a site is found: lookups over its input that every page builder shares."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from rulewatch.model.change import Change, Comparison
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition
from rulewatch.model.impact import PRECEDENCE, Assessment, Impact, Outcome
from rulewatch.model.site import ImpactReport, SiteInput
from rulewatch.publish import links
from rulewatch.publish.cautions import Caution
from rulewatch.publish.clause_text import opening_words
from rulewatch.publish.page_parts import Cell, ClauseLink, Frame, Link
from rulewatch.publish.reading_words import capital, labelled


@dataclass(frozen=True, kw_only=True)
class Chapter:
    """One chapter of an edition. `headed` tells that its first clause is its title and holds all others."""

    name: str
    title: str
    headed: bool
    clauses: tuple[Clause, ...]


@dataclass(frozen=True, kw_only=True)
class Book:
    """One edition, in chapters. One that is not published has no pages, so that nothing links to it."""

    edition: Edition
    published: bool = True

    @property
    def body(self) -> str:
        """The id of the body."""
        return self.edition.body.id

    @property
    def season(self) -> str:
        """The season as in addresses."""
        return links.season_name(self.edition.point)

    @property
    def title(self) -> str:
        """The body's name and the season."""
        return f"{self.edition.body.name} {self.season}"

    @property
    def page(self) -> str:
        """The contents page."""
        return links.edition_page(self.body, self.season)

    @cached_property
    def clauses(self) -> Mapping[str, Clause]:
        """The clauses by id."""
        return self.edition.by_id

    @cached_property
    def chapters(self) -> tuple[Chapter, ...]:
        """The chapters in the order of the book."""
        found: dict[str, list[Clause]] = {}
        for clause in self.edition.clauses:
            found.setdefault(clause.chapter, []).append(clause)
        return tuple(_chapter(name, tuple(clauses)) for name, clauses in found.items())

    @cached_property
    def chapter_titles(self) -> Mapping[str, str]:
        """The titles of the chapters by name."""
        return {chapter.name: chapter.title for chapter in self.chapters}

    @cached_property
    def referred_from(self) -> Mapping[str, tuple[str, ...]]:
        """For each clause, the ids of those that refer to it, in the order of the book."""
        found: dict[str, list[str]] = {}
        for clause in self.edition.clauses:
            for target in clause.references:
                found.setdefault(target, []).append(clause.id)
        return {target: tuple(ids) for target, ids in found.items()}

    def place_of(self, clause: str) -> tuple[str, str] | None:
        """The page and anchor of a clause, None where the edition does not have it."""
        known = self.clauses.get(clause)
        if known is None or not self.published:
            return None
        return links.chapter_page(self.body, self.season, known.chapter), links.clause_anchor(known.id)

    def href(self, page: str, clause: str) -> str:
        """The link from a page to a clause, empty where there is nothing to lead to."""
        place = self.place_of(clause)
        return links.relative(page, *place) if place else ""

    def link(self, page: str, clause: str) -> ClauseLink:
        """A clause by number and first words, with the link from a page."""
        known = self.clauses.get(clause)
        return ClauseLink(number=clause, words=opening_words(known) if known else "", href=self.href(page, clause))


def _chapter(name: str, clauses: tuple[Clause, ...]) -> Chapter:
    first = clauses[0]
    headed = bool(first.heading) and all(clause.parent for clause in clauses[1:])
    plain = capital(name.lstrip("0123456789").strip("-_. ").replace("-", " ").replace("_", " "))
    title = f"{first.id} {first.heading}" if headed else plain or name or "Rules"
    return Chapter(name=name, title=title, headed=headed, clauses=clauses)


@dataclass(frozen=True, kw_only=True)
class Atlas:
    """A site's input with its lookups."""

    site: SiteInput

    @cached_property
    def books(self) -> tuple[Book, ...]:
        """All editions, in the order of the input."""
        return tuple(Book(edition=edition) for edition in self.site.editions)

    @cached_property
    def by_season(self) -> Mapping[tuple[str, str], Book]:
        """The books by body and season."""
        return {(book.body, book.season): book for book in self.books}

    def book(self, edition: Edition) -> Book:
        """The book of an edition: the site's own where it has pages here."""
        own = Book(edition=edition, published=False)
        return self.by_season.get((own.body, own.season), own)

    def season_book(self, edition: Edition) -> Book:
        """The book of an edition's season, for an edition that is a day of it."""
        return self.by_season.get((edition.body.id, edition.header.season)) or self.book(edition)

    @cached_property
    def newest(self) -> Mapping[str, Book]:
        """The last edition of each body."""
        return {book.body: book for book in self.books}

    @cached_property
    def comparison_into(self) -> Mapping[tuple[str, str], Comparison]:
        """The comparison that leads to an edition, by body and season."""
        return {(c.new.body.id, links.season_name(c.new.point)): c for c in self.site.comparisons}

    @cached_property
    def change_anchors(self) -> Mapping[str, tuple[str, ...]]:
        """For each comparison, by name, the anchors of its changes on its page; repeals go by their old number."""
        return {links.comparison_name(each): tuple(_anchors(each)) for each in self.site.comparisons}

    def change_anchor(self, comparison: Comparison, old: Sequence[str], new: Sequence[str]) -> str:
        """The anchor of the change that clauses of either side came by, empty where there is none on this site.

        A number that was repealed and given to another rule leads to two changes; the new side tells them apart.
        """
        name = links.comparison_name(comparison)
        keys = [(name, True, clause) for clause in new] or [(name, False, clause) for clause in old]
        return next((anchor for key in keys if (anchor := self._change_anchors_by_key.get(key))), "")

    @cached_property
    def _change_anchors_by_key(self) -> Mapping[tuple[str, bool, str], str]:
        found: dict[tuple[str, bool, str], str] = {}
        for comparison in self.site.comparisons:
            name = links.comparison_name(comparison)
            for change, anchor in zip(comparison.changes, self.change_anchors[name], strict=True):
                if change.kinds:
                    for clause in change.new or change.old:
                        found.setdefault((name, bool(change.new), clause.id), anchor)
        return found

    @cached_property
    def _impacts_by_clause(self) -> Mapping[tuple[str, str, str], tuple[Impact, ...]]:
        """The impacts, of any outcome but none, by comparison, side and clause."""
        found: dict[tuple[str, str, str], list[Impact]] = {}
        for report in self.site.impacts:
            shown = self.shown(report)
            name = links.comparison_name(shown) if shown is not None else ""
            for impact in report.impacts if not report.draft else ():
                if impact.outcome is not Outcome.NONE:
                    for side, ids in (("old", self.old_ids(report, impact)), ("new", impact.new)):
                        for clause in ids:
                            found.setdefault((name, side, clause), []).append(impact)
        return {key: tuple(impacts) for key, impacts in found.items()}

    def impacts_on(self, comparison: Comparison, change: Change) -> list[Impact]:
        """The impacts, of any outcome but none, to which a change contributes, in order of outcome."""
        name = links.comparison_name(comparison)
        keys = [(name, "old", clause.id) for clause in change.old] + [(name, "new", clause.id) for clause in change.new]
        found = {id(impact): impact for key in keys for impact in self._impacts_by_clause.get(key, ())}
        return in_order(found.values())

    @cached_property
    def change_of(self) -> Mapping[tuple[str, str, str], Change]:
        """The change that a clause of a newer edition came by, where it changed; by body, season and id."""
        return {
            (comparison.new.body.id, links.season_name(comparison.new.point), clause.id): change
            for comparison in self.site.comparisons
            for change in comparison.changed
            for clause in change.new
        }

    def assessments_of(self, car: str) -> tuple[Assessment, ...]:
        """The assessments of one car, in the order of the input."""
        return tuple(each for each in self.site.assessments if each.car.id == car)

    def shown(self, report: ImpactReport) -> Comparison | None:
        """The comparison with a page here that leads to a report's season, None where there is none."""
        new = report.comparison.new
        return self.comparison_into.get((new.body.id, new.header.season))

    def old_ids(self, report: ImpactReport, impact: Impact) -> tuple[str, ...]:
        """The clauses of an impact's old side in the season before; none where its old side is a day of the same season."""
        old, new = report.comparison.old, report.comparison.new
        return impact.old if old.header.season != new.header.season else ()

    def impacts_of(self, assessment: Assessment) -> Iterator[tuple[ImpactReport, tuple[Impact, ...]]]:
        """For each report on the entry's body what is said of this entry, in order of outcome: the newest season first, by date.

        A day of a season and its drafts are left out where they say nothing of it.
        """
        entry = (assessment.car.id, assessment.entry)
        for comparison in reversed(self.site.comparisons):
            for report in self.site.impacts if comparison.new.body.id == assessment.entry.body else ():
                if self.shown(report) is not comparison:
                    continue
                impacts = tuple(in_order(impact for impact in report.impacts if (impact.car, impact.entry) == entry))
                telling = any(impact.outcome is not Outcome.NONE for impact in impacts)
                if telling or not (report.draft or report.stage):
                    yield report, impacts

    def impact_anchor(self, impact: Impact) -> str:
        """The anchor of an impact on its car's page, empty where it is about an entry that is not shown.

        It is made of the entry and the first clause.
        """
        return self._impact_anchors.get(id(impact), "")

    @cached_property
    def _impact_anchors(self) -> Mapping[int, str]:
        found: dict[int, str] = {}
        for car in self.site.cars:
            taken = links.Anchors()
            for assessment in self.assessments_of(car.id):
                entry = links.entry_anchor(assessment.entry)
                for _, impacts in self.impacts_of(assessment):
                    for impact in impacts:
                        clause = links.clause_anchor(next(iter((*impact.new, *impact.old)), ""))
                        found[id(impact)] = taken.take(f"{entry}--{clause}")
        return found

    @cached_property
    def car_names(self) -> Mapping[str, str]:
        """The names of the cars by id."""
        return {car.id: car.name or car.id for car in self.site.cars}

    def class_title(self, body: str, class_name: str) -> str:
        """A class's title, or its id where the body does not name it."""
        titles = next((each.classes for each in self.site.bodies if each.id == body), {})
        return titles.get(class_name, class_name)

    def body_name(self, body: str) -> str:
        """A body's name, or its id where it is not among the site's."""
        return next((each.name for each in self.site.bodies if each.id == body), body)

    def entry_title(self, body: str, class_name: str) -> str:
        """An entry in words: body and class."""
        return f"{self.body_name(body)}, {self.class_title(body, class_name)}"

    def person_name(self, person: str) -> str:
        """A person's name, or the id where the crew does not have one."""
        known = self.site.crew.people.get(person)
        return known.name if known else person

    def label(self, subject: str) -> str:
        """The label of a quantity or component, as the beginning of a line."""
        return capital(self.site.vocabulary.label(subject))

    def in_words(self, text: str) -> str:
        """A text with the labels of the quantities and components that it names: `car.weight` becomes `weight of the car`."""
        return labelled(text, self.site.vocabulary)

    def frame(
        self,
        path: str,
        heading: str,
        *,
        crumbs: Sequence[tuple[str, str]] = (),
        cells: Sequence[Cell] = (),
        cautions: Sequence[Caution] = (),
    ) -> Frame:
        """What all pages have in common. `crumbs` are texts with the pages they lead to."""
        base = self.site.base.rstrip("/")
        return Frame(
            path=path,
            heading=heading,
            site=self.site.title,
            style=links.relative(path, links.STYLE),
            front=links.relative(path, links.FRONT),
            nav=tuple(self._nav(path)),
            crumbs=tuple(Link(text=text, href=links.relative(path, target)) for text, target in crumbs),
            cells=tuple(cells),
            cautions=tuple(cautions),
            day=self.site.day,
            address=f"{base}/{path}" if base else "",
        )

    def _nav(self, path: str) -> Iterator[Link]:
        for text, target, anchor in (
            ("Cars", links.FRONT, "cars"),
            ("Changes", links.FRONT, "changes"),
            ("Rules", links.FRONT, "rules"),
            ("Open", links.OPEN_POINTS, ""),
            ("Key", links.HOW_TO_READ, ""),
        ):
            yield Link(text=text, href=links.relative(path, target, anchor), current=path == target and not anchor)


def _anchors(comparison: Comparison) -> Iterator[str]:
    taken = links.Anchors()
    for change in comparison.changes:
        anchor = links.clause_anchor(change.key)
        yield taken.take(anchor if change.new else f"o{anchor}")


def in_order(impacts: Iterable[Impact]) -> list[Impact]:
    """Impacts by precedence of their outcome, and as they came within one."""
    return sorted(impacts, key=lambda impact: PRECEDENCE.index(impact.outcome))
