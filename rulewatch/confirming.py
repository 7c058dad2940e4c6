"""What waits for a person's word on a reading, one step after the other, and writing down what the person said.

Each decision is written at once, into the chapter or bulletin that the clause stands in; nothing of it is kept elsewhere.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property
from pathlib import Path

from rulewatch import courses
from rulewatch.assess.concerns import Concerns
from rulewatch.assess.topics import Topics
from rulewatch.compare.comparison import compare_editions
from rulewatch.compare.proposals import for_clause, made_for
from rulewatch.compare.wording import difference
from rulewatch.intake.suggest import Surroundings, suggest
from rulewatch.model.change import Change, Comparison, Mark
from rulewatch.model.clause import Clause
from rulewatch.model.edition import Edition, Point, Selector
from rulewatch.model.fault import Fault, Place
from rulewatch.model.proposal import Proposal
from rulewatch.model.reading import Confirmation, Reading
from rulewatch.model.result import Result
from rulewatch.model.splice import Splice
from rulewatch.model.stated_numbers import stated_numbers
from rulewatch.model.step import Block, Offer, Step
from rulewatch.parse.block_edits import asking, confirmed_by, new_block, with_numbers
from rulewatch.parse.block_writing import Rules, held_in, read_block, with_blocks
from rulewatch.parse.reading_lines import block_lines
from rulewatch.parse.splicing import spliced_bytes
from rulewatch.parse.yaml_text import scalar
from rulewatch.store.folder import FolderTree
from rulewatch.store.tree import decode
from rulewatch.store.updating import update_file
from rulewatch.workspace import Workspace

BULLETINS = "/bulletins/"
NOTHING_MOVED = "no number of it moved with the text"


class Desk:
    """An edition on the table, as its files were when it was laid there: what is open in it, and writing decisions."""

    def __init__(self, root: Path, edition: Point) -> None:
        self.root, self.point = root, edition
        self.workspace = Workspace(FolderTree(root))
        self._books: dict[Point, _Book] = {}

    # --- What is open -----------------------------------------------------------------------------------------------------

    def steps(self, clauses: Collection[str] = ()) -> Result[tuple[Step, ...]]:
        """Every step of the edition: what the crew's cars are subject to first, then what their options hang on, then the rest.

        What waits for an answer of the officials comes last of all. Within each, those of the whole book in its order; then those of texts that hold on some days or at some events only.
        Of clauses that are named every reading is given, and of others none. Fault: unknown-clause.
        """
        edition = self.workspace.edition(self.point)
        cars = self.workspace.cars
        if edition is None or any(not fault.warning for fault in self.workspace.faults):
            return Result(value=None, faults=self.workspace.faults)
        seen: set[Place] = set()
        found: list[Step] = []
        for text in self._texts(edition):
            fresh = [clause for clause in text.clauses if clause.place not in seen]
            seen.update(clause.place for clause in fresh)
            wanted = [one for one in fresh if (one.id in clauses if clauses else _is_open(one, text))]
            if wanted:
                found += self._book(text).steps(wanted, everything=bool(clauses))
        unknown = [name for name in clauses if all(step.clause.id != name for step in found)]
        faults = [_unknown(name, edition) for name in unknown]
        order = sorted(found, key=lambda step: (step.asked, step.concern.rank if cars else 0))
        return Result(value=tuple(order), faults=(*self.workspace.faults, *faults))

    def _texts(self, book: Edition) -> Iterator[Edition]:
        """The edition with every bulletin, and then as it was published, on the days of its bulletins, and at its events."""
        yield book
        point = book.point
        points = [replace(point, selector=Selector.PUBLISHED)]
        points += [replace(point, selector=Selector.DATE, day=day) for day in sorted({one.effective for one in book.applied})]
        points += [replace(point, selector=Selector.EVENT, event=event.id) for event in book.header.events]
        applied = {book.applied}
        for each in points:
            edition = self.workspace.edition(each)
            if edition is not None and edition.applied not in applied:
                applied.add(edition.applied)
                yield edition

    def _book(self, edition: Edition) -> _Book:
        """One text of the edition against the whole book before."""
        if edition.point not in self._books:
            season = edition.header.previous
            old = self.workspace.edition(Point(body=self.point.body, season=season)) if season else None
            self._books[edition.point] = _Book(edition=edition, old=old, workspace=self.workspace)
        return self._books[edition.point]

    # --- What could stand there -------------------------------------------------------------------------------------------

    def offer(self, step: Step) -> Offer:
        """What could stand in the place of a step's reading, the numbers that moved replaced; or what an unread clause suggests."""
        if step.reading is None:
            return self._suggested(step)
        if step.proposal is None:
            return Offer()
        proposal = step.proposal
        if not proposal.replacements:
            return Offer(doubts=proposal.doubts, why_not=proposal.turned or NOTHING_MOVED)
        block = with_numbers(step.block, step.reading, proposal.replacements)
        return Offer(blocks=(block,), readings=(self._read(block, step),), doubts=proposal.doubts)

    def _suggested(self, step: Step) -> Offer:
        found = suggest(step.clause, self._books[step.point].around)
        blocks = tuple(tuple(one.block.rstrip("\n").split("\n")) for one in found.readings)
        return Offer(
            blocks=blocks,
            readings=tuple(self._read(block, step) for block in blocks),
            origins=tuple(dict.fromkeys((origin.part, origin.words) for one in found.readings for origin in one.origins)),
            doubts=tuple(dict.fromkeys(doubt for one in found.readings for doubt in one.doubts)),
            why_not=found.why_not,
            nearest=found.nearest,
        )

    def _read(self, block: Block, step: Step) -> Reading | None:
        return read_block(block, step.clause.id, self.workspace.vocabulary)

    def asking(self, step: Step, question: str) -> Block | None:
        """A step's reading with a question for the officials; None where it has one.

        Under an unread clause that is a reading of its own, which takes note of the numbers of the text.
        """
        if step.reading is not None:
            return asking(step.block, question)
        body = self._books[step.point].edition.body
        numbers = dict.fromkeys(one.amount.plain for one in stated_numbers(step.clause.plain, body).unused(()))
        noted = (f"noted: [{', '.join(numbers)}]",) if numbers else ()
        return new_block(f"ask: {scalar(question)}", *noted)

    # --- Writing ----------------------------------------------------------------------------------------------------------

    def write(self, step: Step, blocks: Sequence[Block], confirmation: Confirmation | None) -> tuple[Fault, ...]:
        """Put blocks in the place of a step's reading, or under its clause, confirmed where a confirmation is given.

        Nothing is written where anything would be wrong, and that is given; so too where clause or reading are not any more
        as the step has them.
        """
        if confirmation is not None:
            signed = [confirmed_by(block, confirmation) for block in blocks]
            if any(block is None for block in signed):
                found = "the confirmation cannot be added without rewriting the reading"
                remedy = "write the reading in lines of `key: value`, without braces around all of it"
                return (Fault(code="edit-failed", place=step.clause.place, found=found, remedy=remedy),)
            blocks = [block for block in signed if block is not None]
        body = self.workspace.body(self.point.body)
        header = self.workspace.header(self.point.body, self.point.season)
        if body is None or header is None:
            return self.workspace.faults
        rules = Rules(vocabulary=self.workspace.vocabulary, body=body, header=header, bulletin=BULLETINS in step.path)
        if composed := self._composed(step, rules):
            return (composed,)
        faults: tuple[Fault, ...] = ()

        def edit(data: bytes) -> bytes | Fault:
            nonlocal faults
            source = decode(step.path, data)
            if isinstance(source, Fault):
                return source
            found = with_blocks(source, step.spot, blocks, rules)
            faults = tuple(one for one in found if isinstance(one, Fault))
            return faults[0] if faults else spliced_bytes(data, (one for one in found if isinstance(one, Splice)))

        result = update_file(FolderTree(self.root), step.path, edit)
        return faults or ((result,) if isinstance(result, Fault) else ())

    def _composed(self, step: Step, rules: Rules) -> Fault | None:
        """The fault of a clause whose text stands in no file as it is, because an instruction of a bulletin changed words in it."""
        known = self.workspace.sources[step.path]
        if any((one.clause.id, one.clause.digest) == (step.clause.id, step.clause.digest) for one in held_in(known, rules)[0]):
            return None
        number = self._books[step.point].edition.amended_by.get(step.clause.id, "")
        bulletin = f"bulletin {number}" if number else "a bulletin"
        line = f"confirmed: {{by: NAME, on: DAY, text: {step.clause.digest}}}"
        return Fault(
            code="edit-failed",
            place=step.clause.place if step.reading is None else step.reading.place,
            found=f"the words of {step.clause.id} come from an instruction of {bulletin}, and a decision on them cannot be written from here yet",
            remedy=f"write the reading under the instruction, with `{line}`",
        )


def _is_open(clause: Clause, edition: Edition) -> bool:
    """Whether a clause waits for a reading, or one of its readings for somebody's word."""
    readings = edition.readings.get(clause.id, ())
    if readings:
        return not all(reading.is_confirmed(clause.digest) for reading in readings)
    return not edition.only_holds(clause)


def _unknown(name: str, edition: Edition) -> Fault:
    place = Place(path="clause", line=1, column=1)
    return Fault(code="unknown-clause", place=place, found=f"{edition.point} has no clause {name}", line_text=name)


@dataclass(frozen=True, kw_only=True)
class _Book:
    """One text of an edition, held against the book before."""

    edition: Edition
    old: Edition | None
    workspace: Workspace

    @cached_property
    def comparison(self) -> Comparison | None:
        """What became of the clauses of the book before; without what that means for a car."""
        if self.old is None:
            return None
        settled = self.workspace.settled(self.edition.header.body, self.edition.header.season)
        return compare_editions(self.old, self.edition, settled)

    @cached_property
    def changes(self) -> Mapping[str, Change]:
        """The change of each new clause, the first of several."""
        found: dict[str, Change] = {}
        for change in self.comparison.changes if self.comparison is not None else ():
            for clause in change.new:
                found.setdefault(clause.id, change)
        return found

    @cached_property
    def around(self) -> Surroundings:
        """What suggestions are made in."""
        return Surroundings(edition=self.edition, vocabulary=self.workspace.vocabulary)

    @cached_property
    def concerns(self) -> Concerns:
        """What hangs on each clause."""
        return Concerns(
            edition=self.edition,
            cars=self.workspace.cars,
            stages=courses.stages(self.workspace, self.edition),
            topics=Topics(vocabulary=self.workspace.vocabulary),
        )

    def steps(self, clauses: Sequence[Clause], *, everything: bool) -> Iterator[Step]:
        """The steps of clauses: those that wait, or all."""
        for clause in clauses:
            readings = self.edition.readings.get(clause.id, ())
            if not readings:
                yield self.step(clause)
                continue
            proposals = for_clause(clause, self.edition, self.comparison)
            for number, reading in enumerate(readings, start=1):
                if everything or not reading.is_confirmed(clause.digest):
                    step = self.step(clause, reading)
                    block = block_lines(reading, self.workspace.sources[reading.place.path])
                    proposal: Proposal | None = proposals.get(reading.place)
                    yield replace(step, number=number, count=len(readings), block=block, proposal=proposal)

    def step(self, clause: Clause, reading: Reading | None = None) -> Step:
        """The step of one reading, or of a clause without any."""
        change = self.changes.get(clause.id)
        made = made_for(reading, change, self.old) if reading is not None else None
        old = (made,) if made is not None else change.old if change is not None else ()
        return Step(
            point=self.edition.point,
            clause=clause,
            reading=reading,
            before=old,
            words=self.words(clause, old),
            concern=self.concerns.of(clause),
        )

    def words(self, clause: Clause, old: Sequence[Clause]) -> tuple[tuple[Mark, str], ...]:
        """What changed of the words; all of them kept where the clause is new."""
        if not old:
            return ((Mark.KEEP, clause.plain),)
        renumbered = self.comparison.renumbered if self.comparison is not None else {}
        return difference("\n".join(one.plain for one in old), clause.plain, renumbered).words
