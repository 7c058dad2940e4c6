"""What a reader has to say about a book: one warning for each kind of thing, with how often and where, not one for each time."""

from __future__ import annotations

from dataclasses import dataclass, field

from rulewatch.intake.document import Spot
from rulewatch.model.fault import Fault, Place

SHOWN = 10  # places that a warning names
SAMPLE = 60  # characters of the first words that it shows


@dataclass(frozen=True, slots=True, kw_only=True)
class Topic:
    """A kind of remark: its code, its words for one and for several, what became of them, and what to do."""

    code: str
    one: str
    many: str
    fate: str = "left out"
    remedy: str = ""


@dataclass(slots=True, kw_only=True)
class _Tally:
    """How often something occurred, on which lines first, and its first words."""

    count: int = 0
    places: list[int] = field(default_factory=list)
    sample: str = ""


class Remarks:
    """The remarks on one book while it is read. `unit` is what its places are counted in: lines, paragraphs or pages."""

    def __init__(self, path: str, unit: str = "line") -> None:
        self.path, self.unit = path, unit
        self._tallies: dict[Topic, _Tally] = {}

    def at(self, spot: Spot) -> int:
        """The number of a spot in the unit of the book."""
        return spot.page if self.unit == "page" else spot.line

    def add(self, topic: Topic, line: int, sample: str = "", count: int = 1) -> None:
        """Note that something occurred on a line, with its words where there are any."""
        tally = self._tallies.setdefault(topic, _Tally())
        tally.count += count
        if len(tally.places) <= SHOWN and line not in tally.places:
            tally.places.append(line)
        tally.sample = tally.sample or " ".join(sample[: 10 * SAMPLE].split())[:SAMPLE]

    def warnings(self) -> tuple[Fault, ...]:
        """One warning a topic, in the order in which they first occurred; its place is the first of them."""
        return tuple(self._warning(topic, tally) for topic, tally in self._tallies.items())

    def _warning(self, topic: Topic, tally: _Tally) -> Fault:
        what = f"1 {topic.one} was" if tally.count == 1 else f"{tally.count} {topic.many} were"
        shown = ", ".join(map(str, tally.places[:SHOWN])) + (", …" if len(tally.places) > SHOWN else "")
        where = f"{self.unit}{'s' if len(tally.places) > 1 else ''} {shown}"
        begins = f": “{tally.sample}”" if tally.sample else ""
        place = Place(path=self.path, line=tally.places[0] if self.unit == "line" else 0)
        return Fault(
            code=topic.code, place=place, found=f"{what} {topic.fate} ({where}){begins}", remedy=topic.remedy, warning=True
        )
