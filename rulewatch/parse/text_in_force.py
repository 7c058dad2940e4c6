"""The text in force as it changes from bulletin to bulletin: what stands where, and what bulletins made of it."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import replace
from datetime import date

from rulewatch.model.clause import Clause, natural_order
from rulewatch.model.edition import Bulletin
from rulewatch.model.fault import Fault
from rulewatch.model.instruction import Amendment, Instruction, Quote, Suspension, Target, Where
from rulewatch.model.marks import INSERTED, STRUCK
from rulewatch.model.marks import before as before_marks
from rulewatch.model.reading import Reading
from rulewatch.parse.number_parts import NumberParts, counts_in_roman, form_of
from rulewatch.parse.word_search import difference, same_words

FIRST_WORDS = 8  # of a clause, as a fault shows it
MARGIN = 5  # words around a difference that a fault shows


class TextInForce:
    """Clauses in document order with their readings, and what became of them.

    `amended_by` names the last bulletin of each number, `touched` all of them. `origins` are the published numbers that a clause
    comes from, where that is not its own; one that a bulletin made has the bulletin and its number. `suspended` says until when
    a clause is out of force: here it stands as it will be again. `reread` are those whose readings an instruction gave.
    """

    def __init__(
        self,
        clauses: Sequence[Clause],
        readings: Mapping[str, Sequence[Reading]],
        *,
        suspended: Mapping[str, Suspension] | None = None,
        origins: Mapping[str, tuple[str, ...]] | None = None,
    ) -> None:
        self.suspended = {number: each.until for number, each in (suspended or {}).items()}
        whole = {number: each.clause for number, each in (suspended or {}).items()}
        self.clauses = [whole.get(clause.id, clause) for clause in clauses]
        self.readings = {clause: tuple(found) for clause, found in readings.items() if found}
        self.readings |= {number: each.readings for number, each in (suspended or {}).items() if each.readings}
        self.origins = dict(origins or {})
        self.amended_by: dict[str, str] = {}
        self.touched: dict[str, set[str]] = {}
        self.reread: list[str] = []
        self.faults: list[Fault] = []

    def fault(self, code: str, at: Amendment | Bulletin | Target | Quote | Instruction, found: str, remedy: str = "") -> None:
        """Something of a bulletin that cannot be done, at its place there."""
        self.faults.append(Fault(code=code, place=at.place, found=found, remedy=remedy))

    # --- What is in force ---------------------------------------------------------------------------------------------

    @property
    def numbers(self) -> set[str]:
        """The numbers in force, those of suspended clauses among them."""
        return {clause.id for clause in self.clauses}

    def clause(self, number: str) -> Clause:
        """The clause of a number that is in force."""
        return self.clauses[self.index(number)]

    def under(self, number: str) -> list[str]:
        """The numbers of all that stands under a clause, in order."""
        first = self.index(number)
        return [clause.id for clause in self.clauses[first + 1 : self.end_of(number)]]

    def origin(self, number: str) -> tuple[str, ...]:
        """The published numbers that a clause comes from."""
        return self.origins.get(number, (number,))

    def suspended_on(self, day: date | None) -> dict[str, Suspension]:
        """The clauses that are out of force on a day; with no day, all that were suspended."""
        return {
            number: Suspension(clause=self.clause(number), readings=self.readings.get(number, ()), until=until)
            for number, until in self.suspended.items()
            if until is None or day is None or until > day
        }

    # --- Changes ------------------------------------------------------------------------------------------------------

    def note(self, bulletin: Bulletin, *numbers: str) -> None:
        """Remember which bulletin amended numbers."""
        for number in numbers:
            self.amended_by[number] = bulletin.number
            self.touched.setdefault(number, set()).add(bulletin.number)

    def put(self, clause: Clause, readings: Sequence[Reading] | None = None) -> None:
        """Another text under a number that is in force; with its readings, or with those that it has."""
        self.clauses[self.index(clause.id)] = clause
        if readings is not None:
            self.give(clause.id, readings)

    def give(self, number: str, readings: Sequence[Reading]) -> None:
        """The readings of a clause from now on."""
        self.readings.pop(number, None)
        if readings:
            self.readings[number] = tuple(readings)

    def drop(self, number: str) -> None:
        """Take out one clause."""
        del self.clauses[self.index(number)]
        for what in (self.readings, self.suspended, self.origins):
            what.pop(number, None)

    def change(self, amendment: Amendment, bulletin: Bulletin) -> bool:
        """Replace or repeal a clause that is there, unless that would leave open what becomes of the clauses under it."""
        number = amendment.number
        index = self.index(number)
        if left := self.left(amendment, bulletin, [clause.id for clause in self.clauses[index + 1 : self.end_of(number)]]):
            does = "repeals" if amendment.clause is None else "gives a new text with parts of"
            found = f"{does} {number}, and does not say what becomes of {', '.join(left)} under it"
            self.fault("bulletin-clause-left", amendment, found, "give each of them its text or `repeal`")
            return False
        if amendment.clause is None:
            self.drop(number)
            return True
        clause = self.with_marks(amendment) if amendment.clause.marked else amendment.clause
        if clause is not None:
            self.clauses[index] = in_place_of(self.clauses[index], clause)
            self.give(number, amendment.readings)
        return clause is not None

    def with_marks(self, amendment: Amendment) -> Clause | None:
        """A new text; where it has marks, the words that are not inserted must be those in force, or there is a fault and None.

        Where it leaves out the heading, that stays.
        """
        old, clause = self.clause(amendment.number), amendment.clause
        if clause is None or not clause.marked:
            return clause
        was = before_marks(clause.marked)
        if same_words(was, old.text):
            return clause
        headless = old.text[len(old.heading) :].lstrip()
        if old.heading and not clause.heading and same_words(was, headless):
            above = old.text[: len(old.text) - len(headless)]
            return replace(clause, text=above + clause.text, marked=above + clause.marked, heading=old.heading)
        told = differing(was, old.text if clause.heading or not old.heading else headless)
        found = f"what is not inserted is not the text of {old.id} in force: {told}"
        self.fault("words-missing", amendment, found, "`~~so~~` is only in the bulletin, `++so++` only in the text in force")
        return None

    def left(self, amendment: Amendment, bulletin: Bulletin, under: Sequence[str]) -> list[str]:
        """Which clauses under an amended one the bulletin leaves open: a new text alone keeps them, one with parts does not."""
        if amendment.clause is None:
            repealed = {each.number for each in bulletin.amendments if each.clause is None}
            return [each for each in under if each not in repealed]
        with_parts = any(each.block == amendment.number != each.number for each in bulletin.amendments)
        named = {each.number for each in bulletin.amendments}
        return [each for each in under if each not in named] if with_parts else []

    def insert(self, amendment: Amendment, bulletin: Bulletin, beside: tuple[Where, str] | None = None) -> bool:
        """Add a clause where its number belongs, or beside another."""
        if amendment.clause is None:
            found = f"repeals {amendment.number}, which is not in force"
            self.fault("bulletin-clause-missing", amendment, found, self.offer(amendment.number))
            return False
        spot = self.spot(amendment.number) if beside is None else self.spot_beside(*beside)
        if spot is None:
            found = f"{amendment.number} is not in force, and nothing that it could stand under or beside"
            self.fault("bulletin-clause-missing", amendment, found, self.offer(amendment.number))
            return False
        index, parent, chapter = spot
        self.clauses.insert(index, replace(amendment.clause, parent=parent, chapter=chapter))
        self.give(amendment.number, amendment.readings)
        if any(amendment.number in found for found in self.origins.values()):  # it had another meaning before
            self.origins[amendment.number] = (f"{bulletin.number}: {amendment.number}",)
        return True

    def offer(self, number: str) -> str:
        """The clause whose number differs just in brackets, dots or letter case, as a remedy."""
        key = natural_order(number)
        same = next((clause.id for clause in self.clauses if natural_order(clause.id) == key), "")
        return f"did you mean {same}?" if same else "correct the number, or check the order of the bulletins"

    # --- Where a number belongs ---------------------------------------------------------------------------------------

    def index(self, number: str) -> int:
        """Where a clause stands among all."""
        return next(n for n, clause in enumerate(self.clauses) if clause.id == number)

    def spot_beside(self, where: Where, number: str) -> tuple[int, str, str]:
        """Index, parent and chapter before a clause, or behind it and all that stands under it."""
        clause = self.clause(number)
        return self.index(number) if where is Where.BEFORE else self.end_of(number), clause.parent, clause.chapter

    def spot(self, number: str) -> tuple[int, str, str] | None:
        """Index, parent and chapter of a new number; None where the text has neither a parent nor a sibling of it.

        Where a book begins its clauses with numbers of one form (5.1, 6.1 under chapters without a number), one of that form
        (9.1) stands among them, as the first of its chapter.
        """
        kin = self.kin(number)
        if kin is not None:
            return self.among(number, kin.parent)
        above = NumberParts.of(number).above
        parent = next((clause for clause in self.clauses if clause.id == above), None)
        if parent is not None:
            return self.end_of(parent.id), parent.id, parent.chapter
        form = form_of(number)
        return self.among(number, "") if any(not one.parent and form_of(one.id) == form for one in self.clauses) else None

    def kin(self, number: str) -> Clause | None:
        """A clause whose number differs in its last part only. 36a is beside 36, unless such letters stand under numbers."""
        label = NumberParts.of(number)
        labels = [(clause, NumberParts.of(clause.id)) for clause in self.clauses]
        kin = next((clause for clause, other in labels if other == label), None)
        if kin or not label.glued or any(other.glued and clause.parent == other.above for clause, other in labels):
            return kin
        beside = NumberParts.of(label.base)
        return next((clause for clause, other in labels if other == beside), None)

    def among(self, number: str, parent: str) -> tuple[int, str, str]:
        """The place behind the nearest preceding child of a parent, and all that stands under it.

        Where chapters have no number of their own, a new first clause of one (9.1 before 9.2) stands in it, not at the end of
        the one before.
        """
        children = [clause for clause in self.clauses if clause.parent == parent]
        label = NumberParts.of(number)
        siblings = [clause for clause in children if NumberParts.of(clause.id) == label]
        roman = counts_in_roman([clause.id for clause in siblings])
        key = natural_order(number, roman=roman)
        if not parent and label.above and siblings and key < natural_order(siblings[0].id, roman=roman):
            return self.index(siblings[0].id), parent, siblings[0].chapter
        earlier = [clause for clause in children if natural_order(clause.id, roman=roman) <= key]
        if not earlier:
            return self.index(children[0].id), parent, children[0].chapter
        nearest = max(earlier, key=lambda clause: natural_order(clause.id, roman=roman))
        return self.end_of(nearest.id), parent, nearest.chapter

    def end_of(self, number: str) -> int:
        """The index behind a clause and all that stands under it."""
        first = self.index(number)
        inside = {number}
        for index in range(first + 1, len(self.clauses)):
            if self.clauses[index].parent not in inside:
                return index
            inside.add(self.clauses[index].id)
        return len(self.clauses)


def in_place_of(old: Clause, new: Clause) -> Clause:
    """A new text where an old one stood, under its label."""
    return replace(new, id=old.id, label=old.label, parent=old.parent, chapter=old.chapter, container=old.container)


def differing(asked: str, there: str) -> str:
    """The first words in which two texts differ, with those around them."""
    words = difference(asked, there).split(" ")
    first = next((at for at, word in enumerate(words) if word.startswith((STRUCK, INSERTED))), 0)
    start = max(first - MARGIN, 0)
    shown = " ".join(words[start : first + 2 * MARGIN])
    return f"{'… ' if start else ''}{shown}{' …' if first + 2 * MARGIN < len(words) else ''}"


def first_words(clause: Clause) -> str:
    """The first words of a clause, by which a reader knows it."""
    words = clause.folded.split(" ")
    return " ".join(words[:FIRST_WORDS]) + (" …" if len(words) > FIRST_WORDS else "")
