"""A small site's input by hand: two seasons of an invented body, a bulletin, two invented cars."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

from rulewatch.assess.inspection import inspection_sheet
from rulewatch.compare.threads import Threads
from rulewatch.model.balance import Axle, Corner, Raised
from rulewatch.model.car import Car, Crew, Entry, Person, Waiver
from rulewatch.model.change import (
    Change,
    ClassEffect,
    Comparison,
    Effect,
    Kind,
    Mark,
    Reason,
    Tie,
    Touch,
    ValueChange,
    Witness,
)
from rulewatch.model.clause import Clause, digest
from rulewatch.model.edition import (
    Body,
    Bulletin,
    BulletinStatus,
    Edition,
    EditionHeader,
    Event,
    Point,
    Selector,
)
from rulewatch.model.fault import Fault, Place
from rulewatch.model.impact import (
    Assessment,
    Finding,
    Impact,
    Need,
    Outcome,
    Side,
    Sort,
    Verdict,
    WeightLine,
    WeightSheet,
)
from rulewatch.model.instruction import Amendment
from rulewatch.model.quantity import Amount, Unit
from rulewatch.model.reading import (
    Answer,
    Confirmation,
    Fixed,
    MinimumWeight,
    Presence,
    Range,
    Reading,
    Test,
    WeightAdder,
)
from rulewatch.model.site import ImpactReport, SiteInput
from rulewatch.model.timeline import Course
from rulewatch.model.vocabulary import Component, Quantity, ValueKind, Vocabulary
from rulewatch.model.weighing import AtSpeed, BalanceSheet, Height, Outlook, Placed, Standing

PLACE = Place(path="rulesets/saltmarsh/2027/05-wheels.md", line=3, column=1)
INCH = Unit(symbol="in", dimension="[length]", factor=Fraction(254, 10000))
MILLIMETRE = Unit(symbol="mm", dimension="[length]", factor=Fraction(1, 1000))
KILOGRAM = Unit(symbol="kg", dimension="[mass]", factor=Fraction(1))
DAY = date(2027, 1, 12)


def inch(number: str) -> Amount:
    """Inches."""
    return Amount(number=Fraction(number), unit=INCH)


def mm(number: str) -> Amount:
    """Millimetres."""
    return Amount(number=Fraction(number), unit=MILLIMETRE)


def kg(number: str) -> Amount:
    """Kilograms."""
    return Amount(number=Fraction(number), unit=KILOGRAM)


VOCABULARY = Vocabulary(
    quantities={
        name: Quantity(
            name=name, kind=ValueKind.AMOUNT, label=label, component=name.rpartition(".")[0], system=name.split(".")[0]
        )
        for name, label in {
            "wheels.rear.rim_width": "Rear rim width",
            "wheels.front.rim_width": "Front rim width",
            "aero.rear_wing.span": "Rear wing span",
            "aero.splitter.length": "Splitter length",
            "car.weight": "Weight of the car",
            "safety.harness.made": "Harness date of manufacture",
            "car.ground_clearance": "Ground clearance",
        }.items()
    },
    components={
        "aero.rear_wing": Component(name="aero.rear_wing", label="Rear wing", system="aero"),
        "safety.harness": Component(name="safety.harness", label="Harness", system="safety"),
    },
)

BODY = Body(
    id="saltmarsh",
    name="Saltmarsh Circuit Club",
    classes={"silhouette-b": "Silhouette B", "silhouette-a": "Silhouette A", "open-saloon": "Open Saloon"},
    place=PLACE,
)

TEXTS_2026 = {
    "03-weights": {
        "3": "# Weights",
        "3.1": "# Minimum weight The car shall weigh no less than 980 kg, as finished, with the driver on board.",
        "3.2": "# Additions\n\nThe following are added to the minimum weight of 3.1:",
        "3.2(a)": "a rear wing: 15 kg;",
        "3.2(b)": "a sequential gearbox: 2.5 % of the minimum weight.",
    },
    "05-wheels": {
        "5": "# Wheels and tyres",
        "5.1": "# Wheels",
        "5.1.1": "# Front rims\n\nA front rim shall be no wider than 9 in (228.6 mm).",
        "5.1.2": "# Rear rims A rear rim shall be no wider than 10.5 in (266.7 mm), measured between the bead seats.",
        "5.2": "# Wheel nuts\n\nEach wheel shall be held by no fewer than five nuts, or by one centre nut with a locking pin.",
    },
    "06-aerodynamics": {
        "6": "# Aerodynamic devices",
        "6.1": "Only what this chapter permits may be fitted or altered.",
        "6.2": "# Splitter\n\nA front splitter may extend no more than 60 mm beyond the outline of the body seen from above (see 6.1).",
        "6.4": "# Air ducts\n\nDucts for brake cooling are free up to 100 mm in diameter.",
    },
    "08-safety": {
        "8": "# Safety equipment",
        "8.1": "# Harness\n\nThe harness shall be attached at no fewer than six points and shall be no more than 5 years old.",
        "8.2": "# Cut-off\n\nA master switch shall stop the engine and cut all circuits.",
    },
}

TEXTS_2027 = {
    "03-weights": {
        "3": "# Weights",
        "3.1": "# Minimum weight The car shall weigh no less than 1,000 kg, as finished, with the driver on board.",
        "3.2": "# Additions\n\nThe following are added to the minimum weight of 3.1:",
        "3.2(a)": "a rear wing as in 6.3: 15 kg;",
        "3.2(b)": "a sequential gearbox: 2.5 % of the minimum weight.",
    },
    "05-wheels": {
        "5": "# Wheels and tyres",
        "5.1": "# Wheels",
        "5.1.1": "# Front rims\n\nA front rim shall be no wider than 9 in (228.6 mm).",
        "5.1.2": "# Rear rims A rear rim shall be no wider than 10 in (254 mm), measured between the bead seats.\n\n"
        "| tyre | rim |\n|:-----|----:|\n| 225 | 8 in |\n| 245 | 10 in |",
        "5.3": "# Wheel nuts\n\nEach wheel shall be held by no fewer than five nuts, or by one centre nut with a locking pin.",
    },
    "06-aerodynamics": {
        "6": "# Aerodynamic devices",
        "6.1": "Only what this chapter permits may be fitted or altered.",
        "6.2": "# Splitter\n\nA front splitter may extend no more than 75 mm beyond the outline of the body seen from above (see 6.1).",
        "6.3": "# Rear wing\n\nOne rear wing is permitted. Its span shall be no more than 1,400 mm. It counts for 3.2(a).",
    },
    "08-safety": {
        "8": "# Safety equipment",
        "8.1": "# Harness\n\nThe harness shall be attached at no fewer than six points and shall be no more than 5 years old. "
        "Its mountings shall be sufficient.",
        "8.2": "# Cut-off\n\nA master switch shall stop the engine and cut all circuits.",
    },
}

PARENTS = {"3.2(a)": "3.2", "3.2(b)": "3.2", "5.1.1": "5.1", "5.1.2": "5.1"}
REFERENCES = {"3.2": ("3.1",), "3.2(a)": ("6.3",), "6.2": ("6.1",), "6.3": ("3.2(a)",)}


def clause(id_: str, text: str, chapter: str, known: frozenset[str] = frozenset()) -> Clause:
    """A clause; a text that begins with `# ` has its heading there."""
    heading = text.partition("\n")[0].removeprefix("# ") if text.startswith("# ") else ""
    parent = PARENTS.get(id_, id_.partition(".")[0] if "." in id_ else "")
    return Clause(
        id=id_,
        label=id_,
        text=text.removeprefix("# "),
        heading=heading,
        parent=parent,
        chapter=chapter,
        place=PLACE,
        last_line=9,
        references=tuple(each for each in REFERENCES.get(id_, ()) if each in known),
    )


def clauses_of(texts: dict[str, dict[str, str]]) -> tuple[Clause, ...]:
    """All clauses of a book."""
    known = frozenset(id_ for chapter in texts.values() for id_ in chapter)
    return tuple(clause(id_, text, chapter, known) for chapter, all_ in texts.items() for id_, text in all_.items())


def reading(id_: str, text: str | None, **parts: object) -> Reading:
    """A reading of a clause, confirmed against a text unless that is None."""
    confirmed = None if text is None else Confirmation(by="mara", on=date(2026, 11, 20), text=digest(text))
    return Reading(clause=id_, place=PLACE, last_line=9, confirmed=confirmed, **parts)  # type: ignore[arg-type]


def at_most(subject: str, bound: Amount) -> Test:
    """A limit."""
    return Test(subject=subject, constraint=Range(high=Fixed(value=bound)), place=PLACE)


def edition(season: str, texts: dict[str, dict[str, str]], **parts: object) -> Edition:
    """An edition of the body."""
    clauses = clauses_of(texts)
    found = {each.id: each for each in clauses}
    rim = inch("10.5") if season == "2026" else inch("10")
    readings = {
        "3.1": (
            reading(
                "3.1", found["3.1"].text, minimum=MinimumWeight(bound=Fixed(value=kg("1000")), with_driver=True, place=PLACE)
            ),
        ),
        "3.2(a)": (
            reading(
                "3.2(a)",
                found["3.2(a)"].text,
                when=Test(subject="aero.rear_wing", constraint=Presence(present=True), place=PLACE),
                adder=WeightAdder(amount=kg("15"), place=PLACE),
            ),
        ),
        "5.1.1": (reading("5.1.1", found["5.1.1"].text, limits=(at_most("wheels.front.rim_width", inch("9")),)),),
        "5.1.2": (
            reading(
                "5.1.2",
                found["5.1.2"].text,
                classes=("silhouette-b", "silhouette-a"),
                limits=(at_most("wheels.rear.rim_width", rim),),
            ),
        ),
        "6.2": (reading("6.2", "an older text", allows=(at_most("aero.splitter.length", mm("75")),)),),
        "8.1": (
            reading(
                "8.1",
                None,
                limits=(Test(subject="safety.harness", constraint=Presence(present=True), place=PLACE),),
                ask="What counts as a sufficient mounting?",
                answered=Answer(on=date(2026, 12, 2), by="the technical office", ref="letter 14") if season == "2027" else None,
            ),
        ),
    }
    return Edition(
        point=Point(body="saltmarsh", season=season),
        header=EditionHeader(
            body="saltmarsh",
            season=season,
            title=f"Technical Rules {season}",
            published=date(int(season) - 1, 11, 15),
            effective=date(int(season), 1, 1),
            previous="2026" if season == "2027" else "",
            place=PLACE,
            events=(
                Event(
                    id="first-light",
                    title="First Light Meeting",
                    on=date(2027, 3, 20),
                    until=date(2027, 3, 21),
                    track="Eelgrass Ring",
                ),
                Event(id="ebb", title="Ebb Tide Races", on=date(2027, 5, 8), track="Long Sluice"),
            )
            if season == "2027"
            else (),
        ),
        body=BODY,
        clauses=clauses,
        readings=readings,
        **parts,  # type: ignore[arg-type]
    )


BULLETIN = Bulletin(
    number="2027-1",
    title="Splitters and air ducts",
    published=date(2026, 12, 18),
    effective=date(2027, 2, 1),
    place=PLACE,
    amendments=(
        Amendment(number="6.2", place=PLACE, clause=clause("6.2", TEXTS_2027["06-aerodynamics"]["6.2"], "06-aerodynamics")),
        Amendment(number="6.4", place=PLACE),
    ),
)
DRAFT = Bulletin(
    number="2027-2",
    title="Wheel nuts",
    published=date(2027, 1, 8),
    effective=date(2027, 6, 1),
    status=BulletinStatus.DRAFT,
    place=PLACE,
    amendments=(Amendment(number="5.3", place=PLACE, clause=clause("5.3", TEXTS_2027["05-wheels"]["5.3"], "05-wheels")),),
)

OLD = edition("2026", TEXTS_2026)
NEW = edition("2027", TEXTS_2027, applied=(BULLETIN,), drafts=(DRAFT,), amended_by={"6.2": "2027-1"}, day=date(2027, 3, 20))


def change(old: tuple[str, ...], new: tuple[str, ...], *kinds: Kind, **parts: object) -> Change:
    """A change between the two seasons by ids."""
    certainty = parts.pop("certainty", 1.0)
    return Change(
        old=tuple(OLD.by_id[each] for each in old),
        new=tuple(NEW.by_id[each] for each in new),
        kinds=kinds,
        certainty=certainty,  # type: ignore[arg-type]
        **parts,  # type: ignore[arg-type]
    )


def every(effect: Effect, why: str = "") -> dict[str, object]:
    """The same effect for every class."""
    return {"effects": dict.fromkeys(BODY.classes, effect), "why": dict.fromkeys(BODY.classes, why) if why else {}}


def same(id_: str) -> Change:
    """An unchanged clause."""
    return change((id_,), (id_,), **every(Effect.SAME))


def rims(car: str, width: str, **parts: object) -> Witness:
    """A car that is lost by its rims."""
    given: dict[str, object] = {
        "gained": False,
        "alone": True,
        "in_book": True,
        "differs": ("wheels.rear.rim_width",),
        "values": {"wheels.rear.rim_width": inch(width), "aero.rear_wing": "absent"},
        "says": f"a car like {car} with rear rim width {width} in" if car else f"a car with rear rim width {width} in",
    }
    return Witness(car=car, **{**given, **parts})  # type: ignore[arg-type]


CHANGES = (
    same("3"),
    change(
        ("3.1",),
        ("3.1",),
        Kind.SUBSTITUTION,
        words=(
            (Mark.KEEP, "Minimum weight The car shall weigh no less than "),
            (Mark.DROP, "980"),
            (Mark.ADD, "1,000"),
            (Mark.KEEP, " kg, as finished, with the driver on board."),
        ),
        values=(ValueChange(old=kg("980"), new=kg("1000"), delta=kg("20")),),
        **every(Effect.TIGHTENED, "the minimum weight rose by 20 kg"),
    ),
    same("3.2"),
    change(
        ("3.2(a)",),
        ("3.2(a)",),
        Kind.SUBSTITUTION,
        words=((Mark.KEEP, "a rear wing"), (Mark.ADD, " as in 6.3"), (Mark.KEEP, ": 15 kg;")),
        **every(Effect.SAME, "both readings say the same"),
    ),
    same("3.2(b)"),
    same("5"),
    same("5.1"),
    same("5.1.1"),
    change(
        ("5.1.2",),
        ("5.1.2",),
        Kind.SUBSTITUTION,
        words=(
            (Mark.KEEP, "Rear rims A rear rim shall be no wider than "),
            (Mark.DROP, "10.5 in (266.7 mm)"),
            (Mark.ADD, "10 in (254 mm)"),
            (Mark.KEEP, ", measured between the bead seats."),
        ),
        values=(
            ValueChange(old=inch("10.5"), new=inch("10"), delta=inch("-0.5")),
            ValueChange(old=mm("266.7"), new=mm("254"), delta=mm("-12.7")),
        ),
        effects={"silhouette-b": Effect.TIGHTENED, "silhouette-a": Effect.TIGHTENED, "open-saloon": Effect.SAME},
        why={
            "silhouette-b": "the most allowed fell from 10.5 in to 10 in",
            "silhouette-a": "the most allowed fell from 10.5 in to 10 in",
            "open-saloon": "the clause does not apply to this class",
        },
        in_book={"silhouette-b": Effect.TIGHTENED, "silhouette-a": Effect.SAME, "open-saloon": Effect.SAME},
        masked_by={"silhouette-a": ("5.3", "6.4")},
        witness={
            "silhouette-b": (rims("curlew", "10.25", supposed=("aero.rear_wing",)),),
            "silhouette-a": (rims("", "10.5", in_book=False),),
        },
        settled=True,
    ),
    change(("5.2",), ("5.3",), Kind.RENUMBERING, certainty=0.97, **every(Effect.SAME)),
    same("6"),
    replace(
        same("6.1"),
        touched_by=(
            Touch(
                path=("6.4", "6.2", "6.1"),
                reasons=(
                    Reason(tie=Tie.DEFINITION, about="air duct"),
                    Reason(tie=Tie.QUANTITY, about="aero.splitter.length"),
                ),
            ),
        ),
    ),
    change(
        ("6.2",),
        ("6.2",),
        Kind.SUBSTITUTION,
        words=(
            (Mark.KEEP, "Splitter A front splitter may extend no more than "),
            (Mark.DROP, "60"),
            (Mark.ADD, "75"),
            (Mark.KEEP, " mm beyond the outline of the body seen from above (see 6.1)."),
        ),
        values=(ValueChange(old=mm("60"), new=mm("75"), delta=mm("15")),),
        **every(Effect.LOOSENED, "the most permitted rose from 60 mm to 75 mm"),
    ),
    change((), ("6.3",), Kind.INSERTION, **every(Effect.UNREAD, "6.3 has no reading")),
    change(("6.4",), (), Kind.REPEAL, **every(Effect.UNREAD, "6.4 was never read")),
    same("8"),
    change(
        ("8.1",),
        ("8.1",),
        Kind.SUBSTITUTION,
        certainty=0.91,
        words=(
            (
                Mark.KEEP,
                "Harness The harness shall be attached at no fewer than six points and shall be no more than 5 years old.",
            ),
            (Mark.ADD, " Its mountings shall be sufficient."),
        ),
        **every(Effect.UNDECIDED, "the reading asks a question"),
    ),
    replace(same("8.2"), reinterpreted=("limits.wheels.rear.rim_width: 10 in → 254 mm",)),
)
COMPARISON = Comparison(
    old=OLD,
    new=NEW,
    changes=CHANGES,
    classes={
        "silhouette-b": ClassEffect(effect=Effect.TIGHTENED, witnesses=(rims("curlew", "10.25"),), unread=("6.3", "6.4")),
        "silhouette-a": ClassEffect(effect=Effect.SAME, unread=("6.3", "6.4")),
    },
)

ENTRY_B = Entry(
    body="saltmarsh",
    class_name="silhouette-b",
    place=PLACE,
    waivers=(
        Waiver(clause="5.1.1", limits=(), until=date(2027, 6, 30), paper="Letter 9 of the technical office", place=PLACE),
    ),
)
ENTRY_SALOON = Entry(body="saltmarsh", class_name="open-saloon", place=PLACE, since=date(2027, 4, 1))
CARS = (
    Car(
        id="curlew",
        name="Curlew",
        place=PLACE,
        entries=(ENTRY_B, ENTRY_SALOON),
        note="Spaceframe under a saloon outline; built in the crew's own shed.",
    ),
    Car(id="plover", name="Plover", place=PLACE, entries=(ENTRY_B,)),
    Car(id="dunlin", name="Dunlin", place=PLACE),
)


def impact(car: str, entry: Entry, id_: str, outcome: Outcome, *sides: Side, **parts: object) -> Impact:
    """What the change that leads to a clause, or away from it, does."""
    found = next(each for each in CHANGES if id_ in {one.id for one in (*each.new, *each.old)})
    old, new = tuple(one.id for one in found.old), tuple(one.id for one in found.new)
    return Impact(
        car=car, entry=entry, old=old, new=new, outcome=outcome, before=sides[0], after=sides[1], change=found, **parts
    )  # type: ignore[arg-type]


def side(verdict: Verdict, margin: Amount | None = None) -> Side:
    """One side."""
    return Side(verdict=verdict, alone=verdict, margin=margin)


IMPACTS = (
    impact(
        "curlew", ENTRY_B, "5.3", Outcome.NONE, side(Verdict.LEGAL), side(Verdict.LEGAL), why="only its number or place changed"
    ),
    impact(
        "curlew",
        ENTRY_B,
        "5.1.2",
        Outcome.BREACH,
        side(Verdict.LEGAL, inch("0.25")),
        side(Verdict.ILLEGAL, inch("-0.25")),
        why="Rear rim width is 10.25 in, at most 10 in",
        subject="wheels.rear.rim_width",
        job="Bring Rear rim width to at most 10 in (5.1.2)",
        also=(Outcome.TIGHTER,),
    ),
    impact(
        "curlew",
        ENTRY_B,
        "3.1",
        Outcome.TIGHTER,
        side(Verdict.LEGAL, kg("32")),
        side(Verdict.LEGAL, kg("12")),
        why="Weight of the car is 1027 kg, at least 1015 kg",
        subject="car.weight",
        job="Check Weight of the car again: less room than before (3.1)",
    ),
    impact(
        "curlew",
        ENTRY_B,
        "6.3",
        Outcome.READ,
        side(Verdict.UNKNOWN),
        side(Verdict.UNKNOWN),
        why="6.3 has no reading",
        job="Read 6.3 and confirm what it says",
    ),
    impact(
        "curlew",
        ENTRY_B,
        "8.1",
        Outcome.MEASURE,
        side(Verdict.LEGAL),
        side(Verdict.UNKNOWN),
        why="Harness date of manufacture is not stated",
        subject="safety.harness.made",
        job="Measure Harness date of manufacture (8.1)",
    ),
    impact(
        "plover",
        ENTRY_B,
        "6.2",
        Outcome.CURED,
        side(Verdict.ILLEGAL, mm("-8")),
        side(Verdict.LEGAL, mm("7")),
        why="Splitter length is 68 mm, at most 75 mm (before: at most 60 mm)",
        subject="aero.splitter.length",
    ),
    impact(
        "plover",
        ENTRY_B,
        "6.4",
        Outcome.STILL_IN_BREACH,
        side(Verdict.ILLEGAL),
        side(Verdict.ILLEGAL),
        why="Nothing permits what is fitted",
    ),
)

ASSESSMENTS = (
    Assessment(
        car=CARS[0],
        entry=ENTRY_B,
        edition=NEW,
        day=date(2027, 3, 20),
        findings=(
            Finding(
                sort=Sort.LIMIT,
                subject="wheels.rear.rim_width",
                clauses=("5.1.2",),
                verdict=Verdict.ILLEGAL,
                alone={"5.1.2": Verdict.ILLEGAL},
                why="10.25 in is more than 10 in",
                margin=inch("-0.25"),
                value="10.25 in",
                bound="at most 10 in",
            ),
            Finding(
                sort=Sort.LIMIT,
                subject="wheels.front.rim_width",
                clauses=("5.1.1",),
                verdict=Verdict.LEGAL,
                alone={"5.1.1": Verdict.LEGAL},
                why="9 in is at most 9 in",
                margin=inch("0"),
                value="9 in",
                bound="at most 9 in",
            ),
            Finding(
                sort=Sort.CLOSED,
                subject="aero.splitter.length",
                clauses=("6.1", "6.2"),
                verdict=Verdict.UNKNOWN,
                alone={"6.2": Verdict.UNKNOWN},
                why="a reading that counts is not confirmed",
                margin=mm("15"),
                value="60 mm",
                bound="at most 75 mm",
                needs=frozenset({Need.READ}),
            ),
            Finding(
                sort=Sort.LIMIT,
                subject="safety.harness.made",
                clauses=("8.1",),
                verdict=Verdict.UNKNOWN,
                alone={"8.1": Verdict.UNKNOWN},
                why="not stated",
                needs=frozenset({Need.MEASURE}),
                missing=("safety.harness.made",),
            ),
            Finding(
                sort=Sort.WEIGHT,
                subject="car.weight",
                clauses=("3.1", "3.2(a)"),
                verdict=Verdict.LEGAL,
                alone={"3.1": Verdict.LEGAL},
                why="1027 kg is at least 1015 kg",
                margin=kg("12"),
                value="1027 kg",
                bound="at least 1015 kg",
            ),
            Finding(
                sort=Sort.LIMIT,
                subject="aero.rear_wing.span",
                clauses=("6.3",),
                verdict=Verdict.LEGAL,
                alone={"6.3": Verdict.LEGAL},
                why="the car has no rear wing",
                applies=False,
            ),
        ),
        weight=WeightSheet(
            lines=(
                WeightLine(clause="3.1", label="Minimum weight", amount=kg("1000"), total=kg("1000")),
                WeightLine(clause="3.2(a)", label="Rear wing", amount=kg("15"), total=kg("1015"), certain=False),
            ),
            least=kg("1000"),
            greatest=kg("1015"),
            car=kg("1027"),
        ),
    ),
    Assessment(car=CARS[0], entry=ENTRY_SALOON, edition=NEW, day=date(2027, 3, 20), findings=()),
    Assessment(
        car=CARS[1],
        entry=ENTRY_B,
        edition=NEW,
        day=date(2027, 3, 20),
        findings=(
            Finding(
                sort=Sort.WEIGHT,
                subject="car.weight",
                clauses=("3.1",),
                verdict=Verdict.UNKNOWN,
                alone={"3.1": Verdict.UNKNOWN},
                why="the weight was taken without the driver",
                value="1003 kg",
                bound="at least 1000 kg",
                needs=frozenset({Need.MEASURE}),
            ),
        ),
        weight=WeightSheet(
            lines=(WeightLine(clause="3.1", label="Minimum weight", amount=kg("1000"), total=kg("1000")),),
            least=kg("1000"),
            greatest=kg("1000"),
            car=kg("1003"),
        ),
    ),
)

OPEN = (
    Fault(
        code="unknown-clause",
        place=PLACE,
        found="no reading of 6.3",
        remedy="write one below it",
        warning=True,
    ),
    Fault(
        code="missing-key",
        place=Place(path="cars/curlew/car.yaml"),
        found="Harness date of manufacture is not stated",
        warning=True,
    ),
)

THREADS = Threads(
    course=Course(
        points=tuple(replace(each.point, selector=Selector.PUBLISHED) for each in (OLD, NEW)),
        editions=(OLD, NEW),
        comparisons=(COMPARISON,),
    )
)
CORNERS = {
    Corner.FRONT_LEFT: Fraction(262),
    Corner.FRONT_RIGHT: Fraction(255),
    Corner.REAR_LEFT: Fraction(238),
    Corner.REAR_RIGHT: Fraction(241),
}
STANDING = Standing(what="at the scales", mass=Fraction(996), u=Fraction(1), corners=CORNERS)
BALANCES = (
    BalanceSheet(
        car=CARS[0],
        crew_p=Fraction("0.95"),
        states=(replace(STANDING, what="as weighed"), Standing(what="at the start", mass=Fraction(1024), u=Fraction(2))),
        heights=(
            Height(
                height=Fraction("0.481"),
                u=Fraction("0.006"),
                of=Raised(axle=Axle.REAR, lift=mm("400"), other=kg("541"), place=PLACE),
            ),
        ),
        at_speed=(
            AtSpeed(
                what="as weighed",
                speed=Amount(
                    number=Fraction(180), unit=Unit(symbol="km/h", dimension="[length] [time]^-1", factor=Fraction(5, 18))
                ),
                front=Fraction(541),
                rear=Fraction(603),
            ),
        ),
        outlooks=(
            Outlook(
                assessment=ASSESSMENTS[0],
                sheet=ASSESSMENTS[0].weight,
                minimum=Fraction(1000),
                standing=STANDING,
                under=0.998,
                turned_away=0.001,
                needed=Fraction(4),
                suggested=Fraction(6),
                margin=Fraction(2),
                placed=Placed(
                    loads={"seat floor": Fraction(6)},
                    standing=replace(STANDING, what="with ballast placed", mass=Fraction(1002)),
                    refused=(("boot", "Ballast position: boot floor, must be passenger floor, 3.5"),),
                ),
                notes=("the scales of the inspection are taken for true: state what is known of them",),
            ),
        ),
        notes=("not reckoned without how much fuel was in the car when it was weighed",),
    ),
)

SITE = SiteInput(
    title="Curlew Shed",
    day=DAY,
    vocabulary=VOCABULARY,
    bodies=(BODY,),
    editions=(OLD, NEW),
    comparisons=(COMPARISON,),
    cars=CARS,
    assessments=ASSESSMENTS,
    impacts=(ImpactReport(comparison=COMPARISON, impacts=IMPACTS),),
    timelines=tuple(each for each in map(THREADS.timeline, THREADS.all) if each.has_history),
    open_points=OPEN,
    crew=Crew(people={"mara": Person(id="mara", name="Mara Holm")}),
    inspections=tuple(inspection_sheet(one, VOCABULARY, 0.95) for one in ASSESSMENTS),
    balances=BALANCES,
)
