"""A bulletin checked against the text that it amends, and the clauses as it makes them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import replace
from pathlib import Path

from rulewatch.compare.comparison import compare_editions
from rulewatch.library import Library
from rulewatch.model.amended import Amended, Later
from rulewatch.model.change import Comparison
from rulewatch.model.clause import natural_order
from rulewatch.model.edition import Bulletin, BulletinStatus, Edition, Point, Selector
from rulewatch.model.fault import Fault, Place, Source, in_order, with_lines
from rulewatch.model.result import Result
from rulewatch.parse.bulletins import parse_bulletin
from rulewatch.parse.consolidation import Consolidated, consolidate, in_order_of_force
from rulewatch.parse.text_check import check_against_text
from rulewatch.store.folder import read_file
from rulewatch.workspace import RULESETS, Workspace

BULLETINS = "bulletins"


def amend(root: Path, file: Path, of: Point | None = None) -> Result[Amended]:
    """What a bulletin does to the text in force on the day from which it holds.

    A file in the folder of an edition's bulletins amends that edition; of any other, `of` says which. What is wrong with the
    bulletin is told beside what the rest of it does.
    """
    with Library(root) as library:
        workspace = library.workspace()
        if workspace is None:
            return Result(value=None, faults=library.faults)
        own = _own_path(root, file)
        point = of or _point_of(own)
        if point is None:
            at = Place(path=str(file))
            remedy = "say which edition it amends: `--of BODY/SEASON`"
            return Result(
                value=None, faults=(Fault(code="bad-point", place=at, found="a file of no edition's bulletins", remedy=remedy),)
            )
        edition = workspace.edition(Point(body=point.body, season=point.season, selector=Selector.PUBLISHED))
        source = workspace.sources.get(own) or read_file(file, own or str(file))
        if edition is None or isinstance(source, Fault):
            return Result(value=None, faults=(*workspace.faults, *((source,) if isinstance(source, Fault) else ())))
        bulletin, faults = parse_bulletin(source, vocabulary=workspace.vocabulary, header=edition.header)
        if bulletin is None:
            return Result(value=None, faults=with_lines(faults, (source,)))
        return _Case(workspace=workspace, edition=edition, bulletin=bulletin, source=source).result(faults)


def _own_path(root: Path, file: Path) -> str:
    """The path of a file from the top of the workspace; empty where it is not in it."""
    try:
        return file.resolve().relative_to(root.resolve()).as_posix()
    except ValueError:
        return ""


def _point_of(path: str) -> Point | None:
    parts = path.split("/")
    match parts:
        case [top, body, season, folder, _] if (top, folder) == (RULESETS, BULLETINS):
            return Point(body=body, season=season)
        case _:
            return None


class _Case:
    """One bulletin among the others of its edition."""

    def __init__(self, *, workspace: Workspace, edition: Edition, bulletin: Bulletin, source: Source) -> None:
        self.workspace, self.edition, self.bulletin, self.source = workspace, edition, bulletin, source
        everything = in_order_of_force([*self._others(), bulletin])
        at = everything.index(bulletin)
        self.before, self.after = everything[:at], everything[at + 1 :]

    def _others(self) -> Iterator[Bulletin]:
        """The final bulletins that count where this one does."""
        for each in self.workspace.bulletins(self.edition.header.body, self.edition.header.season):
            counts = not each.events or set(each.events) & set(self.bulletin.events)
            if each.status is BulletinStatus.FINAL and counts and each.place.path != self.source.path:
                yield each

    def result(self, faults: Sequence[Fault]) -> Result[Amended]:
        old, new = self._text(self.before), self._text((*self.before, self.bulletin))
        found = [*faults, *(fault for fault in new.faults if fault not in old.faults), *self._check(new)]
        bare, full = self._text((*self.before, *self.after)), self._text((*self.before, self.bulletin, *self.after))
        found += [fault for fault in full.faults if fault not in bare.faults and fault.place.path != self.source.path]
        comparison = compare_editions(self._edition(old), self._edition(new))
        value = Amended(
            bulletin=self.bulletin,
            comparison=comparison,
            vocabulary=self.workspace.vocabulary,
            later=tuple(self._later(comparison)),
        )
        return Result(value=value, faults=in_order(with_lines(self.workspace.with_lines(found), (self.source,))))

    def _text(self, bulletins: Sequence[Bulletin]) -> Consolidated:
        last = max((each.effective for each in bulletins), default=self.bulletin.effective)
        return consolidate(self.edition.clauses, self.edition.readings, bulletins, day=max(last, self.bulletin.effective))

    def _edition(self, text: Consolidated) -> Edition:
        point = replace(self.edition.point, selector=Selector.DATE, day=self.bulletin.effective)
        return replace(
            self.edition,
            point=point,
            day=self.bulletin.effective,
            clauses=text.clauses,
            readings=text.readings,
            applied=text.applied,
            amended_by=text.amended_by,
            suspended=text.suspended,
            origins=text.origins,
        )

    def _check(self, text: Consolidated) -> Iterator[Fault]:
        """The bulletin's readings against the text that it makes."""
        given = {amendment.number for amendment in self.bulletin.amendments if amendment.clause is not None}
        given |= {each.number for instruction in self.bulletin.instructions for each in instruction.texts}
        for clause in text.clauses:
            readings = [one for one in text.readings.get(clause.id, ()) if one.place.path == self.source.path]
            if readings and (clause.id in given or clause.id in text.reread):
                yield from check_against_text(readings, clause, body=self.edition.body, source=self.source)

    def _later(self, comparison: Comparison) -> Iterator[Later]:
        changed = {clause.id for change in comparison.changed for clause in (*change.old, *change.new)}
        for bulletin in self.after:
            again = sorted(changed & bulletin.numbers, key=natural_order)
            if again:
                yield Later(bulletin=bulletin, clauses=tuple(again))
