"""Cars: what each is made of, how that is known, and where it is entered."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field
from datetime import date
from fractions import Fraction

from rulewatch.model.balance import Balance
from rulewatch.model.fault import Place
from rulewatch.model.job import Job
from rulewatch.model.option import Build
from rulewatch.model.pace import Pace
from rulewatch.model.quantity import Amount
from rulewatch.model.reading import Scalar, Test


@dataclass(frozen=True, slots=True, kw_only=True)
class Measurement:
    """How a value was taken.

    `u` is the expanded uncertainty of the instrument (k = 2), in any unit of the quantity's dimension. `readings` has the
    repeated readings of each instance, where more than one was taken; the value stated is then their mean.
    """

    on: date
    by: str = ""
    u: Amount | None = None
    evidence: tuple[str, ...] = ()
    readings: tuple[tuple[Amount, ...], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Stated:
    """What a car states of a quantity or component.

    `values` has one value per instance (left, right), each of which must comply; it is empty where only presence is stated.
    `present` is False for `absent`, True otherwise. `standard` means: as the model's reference sheet has it. `conditions` are
    what a value holds under (`driver: yes`), whether it was measured or only declared.
    """

    subject: str
    place: Place = field(compare=False)
    values: tuple[Scalar, ...] = ()
    present: bool = True
    standard: bool = False
    measurement: Measurement | None = None
    conditions: tuple[tuple[str, str], ...] = ()
    fixed: bool = False


@dataclass(frozen=True, slots=True, kw_only=True)
class Waiver:
    """An official paper that replaces one clause's limits for one car until a day.

    `season` says whose rule book the clause's number is from; empty for every season's.
    """

    clause: str
    limits: tuple[Test, ...]
    until: date
    paper: str
    place: Place = field(compare=False)
    season: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """A car in a class of a body, within dates where given."""

    body: str
    class_name: str
    place: Place = field(compare=False)
    since: date | None = None
    until: date | None = None
    waivers: tuple[Waiver, ...] = ()

    def covers(self, day: date) -> bool:
        """Whether the entry holds on a day."""
        return (self.since is None or self.since <= day) and (self.until is None or day <= self.until)


@dataclass(frozen=True, slots=True, kw_only=True)
class Option:
    """An alteration that the crew could make: what it is, and what the car would state with it, by quantity or component.

    `build` is what doing it takes and gives.
    """

    id: str
    what: str
    alter: Mapping[str, Stated]
    place: Place = field(compare=False)
    build: Build = field(default_factory=Build)
    note: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Car:
    """A car: identity, entries, and its spec by quantity or component.

    `standard` and `homologated` are the reference sheets of its model, in the same form as the spec. `number` is the one it
    starts under, `model` what it was built from; both are as people write them. `options` are what the crew thinks of altering,
    `jobs` the work on it. `balance` is how it stands on its wheels, `pace` what its lap times are reckoned from.
    """

    id: str
    name: str
    place: Place = field(compare=False)
    entries: tuple[Entry, ...] = ()
    spec: Mapping[str, Stated] = field(default_factory=dict)
    standard: Mapping[str, Stated] = field(default_factory=dict)
    homologated: Mapping[str, Stated] = field(default_factory=dict)
    note: str = ""
    number: str = ""
    model: str = ""
    options: tuple[Option, ...] = ()
    jobs: tuple[Job, ...] = ()
    balance: Balance | None = None
    pace: Pace | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Person:
    """Someone of the crew. `hours` is what they give in a week; `off` are spans of days, both ends included."""

    id: str
    name: str
    skills: tuple[str, ...] = ()
    hours: Fraction | None = None
    off: tuple[tuple[date, date], ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Crew:
    """The people, what they share, and their own probability below which a legal value counts as at risk.

    `equipment` says how many there are of each. `budget` is the money of each month, written YYYY-MM, in `currency`.
    """

    people: Mapping[str, Person] = field(default_factory=dict)
    equipment: Mapping[str, int] = field(default_factory=dict)
    budget: Mapping[str, Fraction] = field(default_factory=dict)
    currency: str = ""
    p: str = "0.95"
