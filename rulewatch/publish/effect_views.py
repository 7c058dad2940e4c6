"""What a change does to classes as pages show it: alone, inside the whole book and with what masks it, and the cars that show it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass
from datetime import date

from rulewatch.model.car import Car
from rulewatch.model.change import Change, Comparison, Witness
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Scalar, Sheet
from rulewatch.publish import links
from rulewatch.publish.atlas import Atlas
from rulewatch.publish.change_parts import EffectView, WholeView, WitnessPart, WitnessView
from rulewatch.publish.effect_words import EffectGroup, Showing, effect_groups, showings, whole_groups, whole_witnesses
from rulewatch.publish.page_parts import ClauseLink, Link
from rulewatch.publish.room import amount_words
from rulewatch.publish.words import EFFECTS, day_words, listed

MOST_SAID = 4  # of what a witness has; the data has it all
SHEETS = (Sheet.STANDARD, Sheet.HOMOLOGATED)


@dataclass(frozen=True, kw_only=True)
class Effects:
    """Makes the views of one page about one body; `link` leads from the page to a clause."""

    atlas: Atlas
    path: str
    body: str
    link: Callable[[str], ClauseLink]

    def of(self, change: Change, *, cars: bool = True) -> Iterator[EffectView]:
        """The effects of a change, classes with the same effect for the same reason together; with `cars` that show them."""
        for group in effect_groups(change):
            shown = showings(change.witness, group.classes) if cars else ()
            yield self.group(group, tuple(change.effects), shown)

    def group(self, group: EffectGroup, every: Sequence[str], shown: Iterable[Showing] = ()) -> EffectView:
        """One effect with the classes that it is the same for."""
        return EffectView(
            term=EFFECTS[group.effect],
            classes=self.classes(group.classes, every),
            why=self.atlas.in_words(group.why),
            inside=EFFECTS[group.in_book] if group.in_book is not None else None,
            masks=tuple(map(self.link, group.masked_by)),
            witnesses=tuple(self.witness(one, group.classes) for one in shown),
        )

    def whole(self, comparison: Comparison) -> Iterator[WholeView]:
        """What all changes together do, classes with the same effect together."""
        for group in whole_groups(comparison):
            yield WholeView(
                term=EFFECTS[group.effect],
                classes=self.classes(group.classes, tuple(comparison.classes)),
                witnesses=tuple(
                    self.witness(one, group.classes) for one in showings(whole_witnesses(comparison.classes), group.classes)
                ),
                unread=tuple(map(self.link, group.unread)),
            )

    def classes(self, names: Sequence[str], every: Sequence[str]) -> str:
        """The titles of classes in a row, `all classes` where it is all of several."""
        if len(names) == len(every) > 1:
            return "all classes"
        return listed([self.atlas.class_title(self.body, name) for name in names])

    def witness(self, showing: Showing, among: Sequence[str]) -> WitnessView:
        """A car that shows an effect; its classes are named where the effect is that of several."""
        one = showing.witness
        like = next((car for car in self.atlas.site.cars if car.id == one.car), None)
        said, supposed = ([name for name in names if name in one.values] for names in (one.differs, one.supposed))
        return WitnessView(
            car=self.car(one.car),
            parts=tuple(self.part(one, name, like) for name in said[:MOST_SAID]),
            more=len(said[MOST_SAID:]),
            supposed=tuple(self.has(name, one.values[name]) for name in supposed),
            gained=one.gained,
            masked=showing.masked,
            classes=self.classes(showing.classes, ()) if len(among) > 1 else "",
        )

    def car(self, car: str) -> Link:
        """A car of the crew by its name."""
        known = car in self.atlas.car_names
        return Link(
            text=self.atlas.car_names.get(car, car), href=links.relative(self.path, links.car_page(car)) if known else ""
        )

    def part(self, witness: Witness, name: str, like: Car | None) -> WitnessPart:
        """One thing that a witness has, with what the crew's car has instead."""
        return WitnessPart(text=self.has(name, witness.values[name]), own=_own(like, name) if like is not None else "")

    def has(self, name: str, value: Scalar) -> str:
        """`rear rim width 10.5 in`, `rear wing`, `no rear wing`."""
        sheet = next((sheet for sheet in SHEETS if name.startswith(f"{sheet}.")), None)
        label = self.atlas.site.vocabulary.in_sentence(name.removeprefix(f"{sheet}."))
        label = f"{sheet} {label}" if sheet else label
        if value in {"present", "yes"}:
            return label
        return f"no {label}" if value in {"absent", "no"} else f"{label} {_value(value)}"


def _own(car: Car, name: str) -> str:
    """What a car states of a quantity, of several instances each; empty for a part as such."""
    if any(name.startswith(f"{sheet}.") for sheet in SHEETS):
        return ""  # a model's sheet is nobody's to alter, and a witness keeps to it
    stated = car.spec.get(name)
    return listed(list(dict.fromkeys(map(_value, stated.values)))) if stated is not None else ""


def _value(value: Scalar) -> str:
    if isinstance(value, Amount):
        return amount_words(value)
    return day_words(value) if isinstance(value, date) else value
