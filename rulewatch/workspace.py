"""A workspace read: from the files of a tree to values, each file once.

It knows which file holds what and nothing of what the values mean. Faults gather as files are read, so that a
command reports all of them together.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from datetime import date
from functools import cache, cached_property
from types import MappingProxyType

from rulewatch.model.car import Car, Crew, Option
from rulewatch.model.clause import Clause, DoubtfulPlace, natural_order
from rulewatch.model.edition import Body, Bulletin, BulletinStatus, Edition, EditionHeader, Point, Selector, SettledPair
from rulewatch.model.fault import Fault, Place, Source, in_order, with_lines
from rulewatch.model.job import Job
from rulewatch.model.reading import Reading
from rulewatch.model.site import SiteSettings
from rulewatch.model.track import Track
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.bulletins import parse_bulletin
from rulewatch.parse.cars import parse_car, parse_crew
from rulewatch.parse.clauses import Chapter, parse_book
from rulewatch.parse.consolidation import Consolidated, consolidate, select_bulletins, text_day
from rulewatch.parse.editions import check_previous, parse_body, parse_edition_header
from rulewatch.parse.jobs import parse_jobs
from rulewatch.parse.options import parse_options
from rulewatch.parse.pairs import parse_pairs
from rulewatch.parse.points import NAME_SIGNS, is_name
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.site import parse_site
from rulewatch.parse.text_check import check_against_text
from rulewatch.parse.tracks import parse_track
from rulewatch.parse.vocabulary import packaged_vocabulary, parse_vocabulary
from rulewatch.store.tree import Tree

RULESETS, CARS = "rulesets", "cars"
TRACKS = f"{RULESETS}/tracks"
# Text files, of which each ought to be read by something; a README explains a folder to people.
TEXT_FILE = re.compile(r"(?<!/README)\.(?:md|markdown|txt|ya?ml)$", re.IGNORECASE)


@dataclass(frozen=True, slots=True, kw_only=True)
class Published:
    """An edition as published, before any bulletin: its clauses and their readings."""

    clauses: tuple[Clause, ...]
    readings: Mapping[str, tuple[Reading, ...]]
    doubts: tuple[DoubtfulPlace, ...] = ()


class Workspace:
    """One reading of a workspace. Values are read when they are first asked for, and once; faults gather in `faults`."""

    def __init__(self, tree: Tree) -> None:
        self.tree = tree
        self._faults: list[Fault] = []
        self._sources: dict[str, Source] = {}
        # Memories of this reading alone, gone with it.
        self.body = cache(self._body)
        self.header = cache(self._header)
        self.published = cache(self._published)
        self.bulletins = cache(self._bulletins)
        self.settled = cache(self._settled)
        self.edition = cache(self._edition)
        self.car = cache(self._car)

    # --- Faults -------------------------------------------------------------------------------------------------------

    @property
    def faults(self) -> tuple[Fault, ...]:
        """What was found wrong so far, by place, each with its source line."""
        return self.with_lines(self._faults)

    def with_lines(self, faults: Iterable[Fault]) -> tuple[Fault, ...]:
        """Faults by place, each with the line that it points at in a file of this workspace."""
        return in_order(with_lines(faults, self._sources.values()))

    @property
    def sources(self) -> Mapping[str, Source]:
        """The files that have been read so far, by path."""
        return MappingProxyType(self._sources)

    def lines(self, place: Place, last_line: int) -> tuple[str, ...]:
        """The lines of a file of this workspace that has been read, from a place to a last line."""
        source = self._sources.get(place.path)
        return source.lines[max(place.line - 1, 0) : last_line] if source is not None else ()

    def _read(self, path: str) -> Source | None:
        if path in self._sources:
            return self._sources[path]
        found = self.tree.read(path)
        if isinstance(found, Fault):
            self._faults.append(found)
            return None
        self._sources[path] = self._sources[found.path] = found  # at a revision, places begin with its name
        return found

    # --- What there is ------------------------------------------------------------------------------------------------

    @cached_property
    def vocabulary(self) -> Vocabulary:
        """The packaged vocabulary, with the workspace's own quantities added."""
        packaged = packaged_vocabulary()
        path = f"{RULESETS}/vocabulary.yaml"
        source = self._read(path) if self.tree.exists(path) else None
        if source is None:
            return packaged
        vocabulary, faults = parse_vocabulary(source, packaged)
        self._faults += faults
        return vocabulary

    @cached_property
    def bodies(self) -> tuple[str, ...]:
        """The ids of the bodies: the folders with a `body.yaml`."""
        return self._folders(RULESETS, "body.yaml", holds=("edition.yaml",))

    def seasons(self, body: str) -> tuple[str, ...]:
        """A body's seasons from old to new: the folders with an `edition.yaml`."""
        return tuple(sorted(self._folders(f"{RULESETS}/{body}", "edition.yaml", holds=(".md",)), key=natural_order))

    def _folders(self, above: str, file: str, holds: tuple[str, ...] = ()) -> tuple[str, ...]:
        """The names of the folders right below one that hold a file.

        A folder without it that holds something which belongs to it, and a name that no command could take, are faults.
        """
        inside: dict[str, list[str]] = {}
        for path in self.tree.files(above):
            name, slash, rest = path.removeprefix(f"{above}/").partition("/")
            if slash:
                inside.setdefault(name, []).append(rest)
        for name, files in inside.items():
            at = Place(path=f"{above}/{name}")
            if file in files and not is_name(name):
                self._faults.append(Fault(code="name-unsafe", place=at, found=f"the name `{name}`", expected=NAME_SIGNS))
            elif file not in files and any(rest.endswith(holds) for rest in files):
                missing = Place(path=f"{above}/{name}/{file}")
                self._faults.append(
                    Fault(code="file-missing", place=missing, found=f"`{name}` has no `{file}`", remedy="write it")
                )
        return tuple(name for name, files in inside.items() if file in files and is_name(name))

    @cached_property
    def cars(self) -> tuple[Car, ...]:
        """Every car that could be read, by id."""
        return tuple(
            car
            for name in self._folders(CARS, "car.yaml", holds=("car.yml", "options.yaml", "jobs.yaml"))
            if (car := self.car(name)) is not None
        )

    @cached_property
    def crew(self) -> Crew:
        """The crew; an empty one where `crew.yaml` is not there."""
        path = f"{CARS}/crew.yaml"
        source = self._read(path) if self.tree.exists(path) else None
        if source is None:
            return Crew()
        crew, faults = parse_crew(source)
        self._faults += faults
        return crew or Crew()

    @cached_property
    def settings(self) -> SiteSettings:
        """What `site.yaml` says; nothing where it is not there."""
        path = "site/site.yaml"
        source = self._read(path) if self.tree.exists(path) else None
        if source is None:
            return SiteSettings()
        settings, faults = parse_site(source)
        self._faults += faults
        return settings

    @cached_property
    def tracks(self) -> Mapping[str, Track]:
        """Every track that could be read, by id."""
        found = {}
        for path in self.tree.files(TRACKS):
            name = path.removeprefix(f"{TRACKS}/").removesuffix(".yaml")
            source = self._read(path) if path == f"{TRACKS}/{name}.yaml" and is_name(name) else None
            if source is not None:
                track, faults = parse_track(source, name, vocabulary=self.vocabulary)
                self._faults += faults
                if track is not None:
                    found[name] = track
        return MappingProxyType(found)

    def unused(self) -> tuple[Fault, ...]:
        """Warnings of text files that nothing read: misnamed, misplaced, or of no use where they are."""
        return tuple(
            Fault(
                code="file-unused",
                place=Place(path=path),
                found="nothing reads this file",
                remedy="see where each file belongs in the docs on formats, or take it out of rulesets and cars",
                warning=True,
            )
            for folder in (RULESETS, CARS)
            for path in self.tree.files(folder)
            if path not in self._sources and TEXT_FILE.search(path)
        )

    # --- Bodies and editions ------------------------------------------------------------------------------------------

    def headers(self, body: str) -> dict[str, EditionHeader]:
        """What the `edition.yaml` files of a body say, by season from old to new; circles and gaps are faults."""
        found = {season: header for season in self.seasons(body) if (header := self.header(body, season)) is not None}
        self._faults += check_previous(found)
        return found

    def latest(self, body: str) -> str:
        """A body's newest season; empty where it has none."""
        seasons = self.seasons(body)
        return seasons[-1] if seasons else ""

    def _body(self, body: str) -> Body | None:
        source = self._read(f"{RULESETS}/{body}/body.yaml")
        if source is None:
            return None
        found, faults = parse_body(source, body)
        self._faults += faults
        return found

    def _header(self, body: str, season: str) -> EditionHeader | None:
        rules = self.body(body)
        source = self._read(f"{RULESETS}/{body}/{season}/edition.yaml")
        if source is None or rules is None:
            return None
        found, faults = parse_edition_header(source, body=rules, season=season, vocabulary=self.vocabulary)
        self._faults += faults
        return found

    def chapters(self, body: str, season: str) -> tuple[Source, ...]:
        """The files of an edition's own chapters, in the order of their names; those that could not be read are left out."""
        folder = f"{RULESETS}/{body}/{season}/"
        paths = [
            path
            for path in self.tree.files(folder.rstrip("/"))
            if path.endswith(".md") and "/" not in path.removeprefix(folder)
        ]
        return tuple(source for path in sorted(paths, key=natural_order) if (source := self._read(path)) is not None)

    def _published(self, body: str, season: str) -> Published:
        """The clauses and readings of an edition's own chapters."""
        chapter = parse_book(self.chapters(body, season))
        self._faults += chapter.faults
        return Published(clauses=chapter.clauses, readings=self._readings(chapter, body), doubts=chapter.doubts)

    def _readings(self, chapter: Chapter, body: str) -> dict[str, tuple[Reading, ...]]:
        """The readings under a chapter's clauses, each clause's checked against its text."""
        readings: dict[str, tuple[Reading, ...]] = {}
        unread: set[str] = set()
        for block in chapter.blocks:
            reading, faults = parse_reading(block, self._sources[block.place.path], vocabulary=self.vocabulary)
            self._faults += faults
            if reading is None:
                unread.add(block.clause)
            else:
                readings[block.clause] = (*readings.get(block.clause, ()), reading)
        for clause in chapter.clauses:
            if clause.id not in unread:
                self._check_text(clause, readings.get(clause.id, ()), body)
        return readings

    def _check_text(self, clause: Clause, readings: tuple[Reading, ...], body: str) -> None:
        rules = self.body(body)
        if rules is not None and readings:
            self._faults += check_against_text(readings, clause, body=rules, source=self._sources[clause.place.path])

    def _bulletins(self, body: str, season: str) -> tuple[Bulletin, ...]:
        found = []
        for path in self.tree.files(f"{RULESETS}/{body}/{season}/bulletins"):
            source = self._read(path) if path.endswith(".md") else None
            if source is None:
                continue
            bulletin, faults = parse_bulletin(source, vocabulary=self.vocabulary, header=self.header(body, season))
            known = len(self._faults)
            self._faults += faults
            if bulletin is not None:
                found.append(bulletin)
                for amendment in (*bulletin.amendments, *(text for each in bulletin.instructions for text in each.texts)):
                    if amendment.clause is not None:
                        self._check_text(amendment.clause, amendment.readings, body)
                if bulletin.status is BulletinStatus.DRAFT:  # it counts for nothing yet, so nothing else waits for it
                    self._faults[known:] = [replace(fault, warning=True) for fault in self._faults[known:]]
        return tuple(found)

    def _settled(self, body: str, season: str) -> tuple[SettledPair, ...]:
        path = f"{RULESETS}/{body}/{season}/pairs.yaml"
        source = self._read(path) if self.tree.exists(path) else None
        if source is None:
            return ()
        pairs, faults = parse_pairs(source)
        self._faults += faults
        return pairs

    def _edition(self, point: Point) -> Edition | None:
        """The book as it stands at a point of this workspace; None, with a fault, where there is none."""
        if fault := self._unknown(point):
            self._faults.append(fault)
            return None
        body, header = self.body(point.body), self.header(point.body, point.season)
        if body is None or header is None:
            return None
        published = self.published(point.body, point.season)
        applied, drafts = select_bulletins(self.bulletins(point.body, point.season), header, point)
        book = consolidate(published.clauses, published.readings, applied, day=text_day(point, header, applied))
        self._faults += book.faults
        self._check_reread(book, body.id)
        return Edition(
            point=point,
            header=header,
            body=body,
            clauses=book.clauses,
            readings=book.readings,
            day=judged_on(point, header, applied),
            applied=book.applied,
            drafts=drafts,
            amended_by=book.amended_by,
            doubts=published.doubts,
            suspended=book.suspended,
            origins=book.origins,
        )

    def _check_reread(self, book: Consolidated, body: str) -> None:
        """Check the readings that instructions gave against the text that these made, which only a consolidated book has."""
        clauses = {clause.id: clause for clause in book.clauses}
        for number in book.reread:
            self._check_text(clauses[number], book.readings.get(number, ()), body)

    def _unknown(self, point: Point) -> Fault | None:
        """The fault of a point that this workspace does not have."""
        at = Place(path="point", line=1, column=1)
        if point.body not in self.bodies:
            known = ", ".join(self.bodies) or "none"
            return Fault(
                code="unknown-edition",
                place=at,
                found=f"no body `{point.body}`",
                expected=f"one of: {known}",
                line_text=str(point),
            )
        seasons = self.seasons(point.body)
        if point.season not in seasons:
            found = f"{point.body} has no season `{point.season}`"
            return Fault(
                code="unknown-edition",
                place=at,
                found=found,
                expected=f"one of: {', '.join(seasons) or 'none'}",
                line_text=str(point),
            )
        header = self.header(point.body, point.season)
        if point.selector is Selector.EVENT and header is not None and point.event not in {event.id for event in header.events}:
            known = ", ".join(event.id for event in header.events) or "none"
            found = f"{point.body}/{point.season} has no event `{point.event}`"
            return Fault(code="unknown-event", place=at, found=found, expected=f"one of: {known}", line_text=str(point))
        return None

    def _car(self, name: str) -> Car | None:
        path = car_file(name)
        if not self.tree.exists(path):
            at = Place(path=path)
            self._faults.append(
                Fault(code="unknown-car", place=at, found=f"no car `{name}`", remedy="see the folders under cars")
            )
            return None
        source = self._read(path)
        if source is None:
            return None
        car, faults = parse_car(source, name, vocabulary=self.vocabulary)
        self._faults += faults
        return replace(car, options=self._options(name), jobs=self._jobs(name)) if car is not None else None

    def _options(self, car: str) -> tuple[Option, ...]:
        path = f"{CARS}/{car}/options.yaml"
        source = self._read(path) if self.tree.exists(path) else None
        if source is None:
            return ()
        options, faults = parse_options(source, vocabulary=self.vocabulary)
        self._faults += faults
        return options

    def _jobs(self, car: str) -> tuple[Job, ...]:
        path = jobs_file(car)
        source = self._read(path) if self.tree.exists(path) else None
        if source is None:
            return ()
        jobs, faults = parse_jobs(source, vocabulary=self.vocabulary)
        self._faults += faults
        return jobs


def car_file(car: str) -> str:
    """Where a car is described."""
    return f"{CARS}/{car}/car.yaml"


def jobs_file(car: str) -> str:
    """Where the jobs of a car are kept."""
    return f"{CARS}/{car}/jobs.yaml"


def judged_on(point: Point, header: EditionHeader, applied: tuple[Bulletin, ...]) -> date | None:
    """The day on which a point's date-bound readings are judged.

    The point's own day or event; else the season's first event, or the last bulletin that counts, whichever is later. An edition
    without any date is judged on the first day of the year in its season's name; without that, on no day.
    """
    if point.selector is Selector.DATE:
        return point.day
    if point.selector is Selector.EVENT:
        return next((event.on for event in header.events if event.id == point.event), None)
    first = min((event.on for event in header.events), default=None)
    days = [first or header.effective or header.published, *(bulletin.effective for bulletin in applied)]
    year = re.search(r"(?:19|20)\d\d", header.season)
    begins = date(int(year[0]), 1, 1) if year else None
    return max((day for day in days if day is not None), default=begins)
