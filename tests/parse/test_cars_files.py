"""car.yaml and crew.yaml."""

from datetime import date
from fractions import Fraction

import pytest

from rulewatch.model.car import Crew, Entry, Measurement, Person, Stated
from rulewatch.model.fault import Place, Source
from rulewatch.model.quantity import find_unit
from rulewatch.model.reading import Range
from rulewatch.model.vocabulary import Component, Quantity, ValueKind, Vocabulary
from rulewatch.parse.cars import parse_car, parse_crew
from rulewatch.parse.vocabulary import packaged_vocabulary


def quantity(name, kind=ValueKind.AMOUNT, unit=None, choices=()):
    """A quantity of the vocabulary; its component is what stands before its last dot."""
    component, system = name.rpartition(".")[0], name.partition(".")[0]
    return Quantity(
        name=name, kind=kind, label=name, component=component, system=system, unit=unit and find_unit(unit), choices=choices
    )


def vocabulary():
    """A few properties of every kind."""
    quantities = (
        quantity("car.built", ValueKind.DATE),
        quantity("car.weight", unit="kg"),
        quantity("wheels.rear.rim_width", unit="mm"),
        quantity("wheels.rear.count"),
        quantity("aero.rear_wing.span", unit="mm"),
        quantity("gearbox.kind", ValueKind.CHOICE, choices=("manual", "sequential")),
        quantity("gearbox.reverse", ValueKind.CHOICE, choices=("yes", "no")),
        quantity("engine.donor", ValueKind.TEXT),
    )
    names = ("car", "wheels", "wheels.rear", "aero", "aero.rear_wing", "gearbox", "engine")
    return Vocabulary(
        quantities={each.name: each for each in quantities},
        components={name: Component(name=name, label=name, system=name.partition(".")[0]) for name in names},
    )


def car(text):
    """The car that a text gives, and what is told of its faults."""
    found, faults = parse_car(Source(path="car.yaml", text=text), "marram", vocabulary=vocabulary())
    return found, told(faults)


def spec(text):
    """What a spec states, and what is told of its faults; the text's lines are those of the spec, from line 3 on."""
    lines = "".join(f"  {line}\n" for line in text.splitlines())
    found, faults = car(f"name: Marram\nspec:\n{lines}")
    return found.spec, faults


def told(faults):
    """Line, column, code and message of each fault."""
    return [f"{each.place.line}:{each.place.column} {each.code} {each.message}" for each in faults]


ANYWHERE = Place(path="car.yaml")


# --- The car ----------------------------------------------------------------------------------------------------------


def test_a_car_has_a_name_entries_and_sheets():
    """Every key of the format, in its usual form."""
    found, faults = car(
        """name: Marram
note: Front engine, built by the crew.
number: 07
model: dune coupe
entries:
  - {body: saltmarsh, class: silhouette-b}
  - {body: five-lakes, class: open, from: 2027-03-01, until: 2027-10-31}
spec: {aero.rear_wing: standard}
standard: {aero.rear_wing: absent, wheels.rear.rim_width: 8 in}
homologated: {car.weight: 1010 kg}
"""
    )
    assert faults == []
    assert (found.id, found.name, found.number, found.model) == ("marram", "Marram", "07", "dune coupe")
    assert found.note == "Front engine, built by the crew."
    assert found.entries == (
        Entry(body="saltmarsh", class_name="silhouette-b", place=ANYWHERE),
        Entry(body="five-lakes", class_name="open", since=date(2027, 3, 1), until=date(2027, 10, 31), place=ANYWHERE),
    )
    assert found.spec["aero.rear_wing"].standard
    assert not found.standard["aero.rear_wing"].present
    assert str(found.standard["wheels.rear.rim_width"].values[0]) == "8 in"
    assert str(found.homologated["car.weight"].values[0]) == "1010 kg"


def test_a_waiver_replaces_limits_until_a_day():
    """It names the clause, the limits that hold instead, the day and the paper."""
    found, faults = car(
        """name: Marram
entries:
  - body: saltmarsh
    class: silhouette-b
    waivers:
      - {clause: 5.2.10, limit: {wheels.rear.rim_width: {max: 10.5 in}}, until: 2027-06-30, paper: "log book, page 11"}
"""
    )
    assert faults == []
    (waiver,) = found.entries[0].waivers
    assert (waiver.clause, waiver.until, waiver.paper) == ("5.2.10", date(2027, 6, 30), "log book, page 11")
    assert (waiver.place.line, waiver.place.column) == (6, 9)
    (limit,) = waiver.limits
    assert limit.subject == "wheels.rear.rim_width"
    assert isinstance(limit.constraint, Range)


# --- What is stated ---------------------------------------------------------------------------------------------------


def test_a_value_alone_is_declared():
    """Amounts keep their unit and digits; dates, words, texts and plain numbers are what the vocabulary says."""
    found, faults = spec(
        """car.built: 2018-05-12
car.weight: 1031.0 kg
wheels.rear.rim_width: 10¼ in
wheels.rear.count: 2
gearbox.kind: sequential
gearbox.reverse: true
engine.donor: "no"
"""
    )
    assert faults == []
    assert {name: stated.values for name, stated in found.items() if name not in {"car.weight", "wheels.rear.rim_width"}} == {
        "car.built": (date(2018, 5, 12),),
        "wheels.rear.count": found["wheels.rear.count"].values,
        "gearbox.kind": ("sequential",),
        "gearbox.reverse": ("yes",),
        "engine.donor": ("no",),
    }
    assert found["wheels.rear.count"].values[0].number == 2
    assert str(found["car.weight"].values[0]) == "1031.0 kg"
    assert found["wheels.rear.rim_width"].values[0].to(find_unit("mm")).number == Fraction("260.35")
    assert not any(stated.measurement or stated.fixed or stated.standard for stated in found.values())


def test_a_list_has_one_value_for_each_instance():
    """Alone, and as a measured value."""
    found, _ = spec("wheels.rear.rim_width: [10 in, 254 mm]")
    assert [str(value) for value in found["wheels.rear.rim_width"].values] == ["10 in", "254 mm"]
    found, faults = spec("wheels.rear.rim_width: {value: [10 in, 9 in], on: 2027-01-02}")
    assert ([str(value) for value in found["wheels.rear.rim_width"].values], faults) == (["10 in", "9 in"], [])


@pytest.mark.parametrize(
    ("readings", "values"),
    [
        ("[10.1 in, 10.2 in, 10.2 in]", ["≈10.17 in"]),
        ("[10 in, 254 mm]", ["10 in"]),
        ("[[10.1 in, 10.2 in], [9 in, 10 in]]", ["10.15 in", "9.5 in"]),
    ],
)
def test_repeated_readings_come_to_their_mean(readings, values):
    """In the unit of the first, shown with one place more; a list of lists has one for each instance."""
    found, faults = spec(f"wheels.rear.rim_width: {{readings: {readings}, u: 0.1 in, on: 2027-01-02}}")
    stated = found["wheels.rear.rim_width"]
    assert ([str(value) for value in stated.values], faults) == (values, [])
    assert len(stated.measurement.readings) == len(values)


@pytest.mark.parametrize(
    ("word", "present", "standard"), [("present", True, False), ("absent", False, False), ("standard", True, True)]
)
def test_components_and_quantities_have_states(word, present, standard):
    """Present, absent, or as the model has it."""
    for name in ("aero.rear_wing", "aero.rear_wing.span"):
        found, faults = spec(f"{name}: {word}")
        assert (found, faults) == ({name: Stated(subject=name, place=ANYWHERE, present=present, standard=standard)}, [])


def test_a_measured_value_says_how_it_is_known():
    """Day, person, expanded uncertainty in any unit of the dimension, conditions, evidence."""
    found, faults = spec(
        """car.weight:
  value: 1031 kg
  u: 4 lb
  on: 2026-10-31
  by: ansel
  with: {driver: yes, fuel: as finished}
  evidence: [scale slip 4, photo 17]
"""
    )
    assert faults == []
    measurement = found["car.weight"].measurement
    assert measurement == Measurement(
        on=date(2026, 10, 31),
        by="ansel",
        u=measurement.u,
        evidence=("scale slip 4", "photo 17"),
    )
    assert found["car.weight"].conditions == (("driver", "yes"), ("fuel", "as finished"))
    assert str(measurement.u) == "4 lb"


def test_what_cannot_be_altered_is_fixed():
    """On a declared value and on a measured one."""
    found, faults = spec(
        """car.weight: {value: 1031 kg, fixed: true}
wheels.rear.rim_width: {value: 10 in, on: 2027-01-02, fixed: yes}
wheels.rear.count: {value: 2, on: 2027-01-02, fixed: no}
"""
    )
    assert faults == []
    assert [stated.fixed for stated in found.values()] == [True, True, False]
    assert [stated.measurement is None for stated in found.values()] == [True, False, False]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        (
            "wheels.rear.rim_witdh: 10 in",
            "3:3 unknown-quantity `wheels.rear.rim_witdh` is not in the vocabulary; did you mean `wheels.rear.rim_width`?",
        ),
        (
            "wheels.rear.rim_width: 10 kg",
            "3:26 wrong-dimension `10 kg` is a mass, expected a length for wheels.rear.rim_width",
        ),
        ("wheels.rear.rim_width: 10", "3:26 unit-missing `10` without a unit, expected a length for wheels.rear.rim_width; write `10 mm` if that is meant"),
        ("wheels.rear.rim_width: 13,5 in", "3:26 decimal-comma `13,5 in` has a decimal comma; write `13.5 in`"),
        ("gearbox.kind: manaul", "3:17 wrong-value `manaul` for `gearbox.kind`, expected manual or sequential; did you mean `manual`?"),
        ("car.built: May 2018", "3:14 bad-date `May 2018` for `car.built`, expected a date such as 2027-05-01"),
        ("aero.rear_wing: 1500 mm", "3:19 wrong-value `1500 mm` for `aero.rear_wing`, expected present, absent or standard"),
        ("wheels.rear.rim_width: []", "3:26 wrong-value an empty list for `wheels.rear.rim_width`; leave `wheels.rear.rim_width` out, or fill it"),
        ("car.weight: {value: 1031 kg}", "3:15 missing-key a mapping without `on`; add the day of the measurement as `on:`, or write the value alone"),
        ("car.weight: {value: 1031 kg, u: 2 kg}", "3:35 missing-key `u` without `on`; add the day of the measurement as `on:`, or write the value alone"),
        ("car.weight: {value: 1031 kg, by: ansel, fixed: true}", "3:36 missing-key `by` without `on`; add the day of the measurement as `on:`, or write the value alone"),
        ("car.weight: {on: 2027-01-02}", "3:15 missing-key car.weight without `value`; add `value:`"),
        ("car.weight: {value: 1031 kg, on: 2027-01-02, unc: 2 kg}", "3:48 unknown-key `unc` in car.weight; known here: value, on, with, fixed, u, by, evidence"),
        ("car.weight: {value: 1031 kg, on: 2027-01-02, u: 2 mm}", "3:51 wrong-dimension `2 mm` is a length, expected a mass for u"),
        ("car.weight: {value: 1031 kg, on: 2027-01-02, u: -2 kg}", "3:51 wrong-value `-2 kg` for `u`, expected nothing or more"),
        ("gearbox.kind: {value: manual, on: 2027-01-02, u: 2 kg}", "3:52 wrong-value an uncertainty of `gearbox.kind`; leave `u` out: it is no amount"),
        ("car.weight: {value: 1031 kg, readings: [1031 kg, 1032 kg], on: 2027-01-02}", "3:16 unknown-key `value` in car.weight; known here: readings, on, with, fixed, u, by, evidence"),
        ("gearbox.kind: {readings: [manual, manual], on: 2027-01-02}", "3:28 wrong-value readings of `gearbox.kind`; state a `value`: it is no amount"),
        ("car.weight: {readings: [1031 kg, 10 mm], on: 2027-01-02}", "3:36 wrong-dimension `10 mm` is a length, expected a mass for car.weight"),
        ("car.weight: {readings: [1031 kg, 1032 kg]}", "3:15 missing-key car.weight without `on`; add `on:`"),
        ("car.weight: {value: 1031 kg, on: 2.1.2027}", "3:36 bad-date `2.1.2027` for `on`, expected a date such as 2027-05-01"),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_value_is_told_and_leaves_it_unknown(text, expected):
    """The fault points at the value or name; the quantity counts as not stated."""
    found, faults = spec(text)
    assert (found, faults) == ({}, [expected])


def test_one_faulty_value_leaves_its_neighbours():
    """Reading goes on, and all faults are told."""
    found, faults = spec("wheels.rear.rim_width: [10 in, 10 kg]\ncar.weight: 1031 kg\ngearbox.reverse: maybe")
    assert list(found) == ["car.weight"]
    assert [each.split()[0] for each in faults] == ["3:34", "5:20"]


def test_nothing_is_stated_under_what_is_absent():
    """A span of a wing that is not there is a contradiction; that the span is absent too is not."""
    _, faults = spec("aero: present\naero.rear_wing: absent\naero.rear_wing.span: 1500 mm")
    assert faults == [
        "5:3 stated-of-absent `aero.rear_wing.span` is stated, and `aero.rear_wing` is absent (line 4); correct one of the two"
    ]
    _, faults = spec("aero.rear_wing: present\naero: absent")
    assert faults == ["3:3 stated-of-absent `aero.rear_wing` is stated, and `aero` is absent (line 4); correct one of the two"]
    assert spec("aero.rear_wing: absent\naero.rear_wing.span: absent")[1] == []


def test_a_reference_sheet_says_what_the_model_has():
    """It cannot point at the standard itself; a contradiction within it is a fault as in the spec."""
    _, faults = car("name: x\nstandard: {aero.rear_wing: standard}\nhomologated: {aero: absent, aero.rear_wing: present}\n")
    assert faults == [
        "2:28 wrong-value `standard` in the sheet `standard`, expected what the model has",
        "3:29 stated-of-absent `aero.rear_wing` is stated, and `aero` is absent (line 3); correct one of the two",
    ]


# --- Faults of the file -----------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("", ["1:1 wrong-type nothing for `car.yaml`, expected a mapping of keys to values"]),
        ("spec: {}\n", ["1:1 missing-key car.yaml without `name`; add `name:`"]),
        ("name: x\ncorner_weights: {}\n", ["2:1 unknown-key `corner_weights` in car.yaml; known here: name, note, number, model, entries, spec, standard, homologated, balance, pace"]),
        ("name: x\nspec: [a]\n", ["2:7 wrong-type a list for `spec`, expected a mapping of keys to values"]),
        ("name: x\nentries: {body: a}\n", ["2:10 missing-key an entry without `class`; add `class:`"]),
        (
            "name: x\nentries:\n- {body: a, class: b, from: 2027-05-01, until: 2027-04-01}\n",
            ["3:48 wrong-value until 2027-04-01, from 2027-05-01, expected an end after the start"],
        ),
        (
            "name: x\nentries:\n- {body: a, class: b, until: 2027-05-01}\n- {body: a, class: b, from: 2027-05-01}\n",
            ["4:3 wrong-value the entry in b of a again; keep one, or give them dates that do not overlap"],
        ),
        (
            "name: x\nentries:\n- body: a\n  class: b\n  waivers:\n  - {clause: 5.1, limit: {car.weigth: {max: 1 kg}}, until: 2027-05-01, paper: p}\n",
            ["6:27 unknown-quantity `car.weigth` is not in the vocabulary; did you mean `car.weight`?"],
        ),
        (
            "name: x\nentries:\n- body: a\n  class: b\n  waivers:\n  - {clause: 5.1, limit: {car.weight: {max: 1 kg}}}\n",
            ["6:5 missing-key a waiver without `until`; add `until:`", "6:5 missing-key a waiver without `paper`; add `paper:`"],
        ),
    ],
)  # fmt: skip
def test_what_is_wrong_with_a_car_is_told_with_its_place(text, expected):
    """All faults of the file together."""
    assert car(text)[1] == expected


def test_what_does_not_parse_gives_its_fault_alone():
    """Nothing else is told of a file that is no YAML."""
    assert car("name: [\n")[0] is None
    assert [each.split()[1] for each in car("name: [\n")[1]] == ["yaml-syntax"]
    assert crew("people: [\n")[0] is None
    assert [each.split()[1] for each in crew("people: [\n")[1]] == ["yaml-syntax"]
    assert crew("- mara\n") == (None, ["1:1 wrong-type a list for `crew.yaml`, expected a mapping of keys to values"])


def test_a_car_may_change_class_in_the_season():
    """Entries of one class that do not overlap, and of several classes at once, are fine."""
    _, faults = car(
        "name: x\nentries:\n- {body: a, class: b, until: 2027-05-01}\n- {body: a, class: b, from: 2027-05-02}\n- {body: a, class: c}\n"
    )
    assert faults == []


# --- The crew ---------------------------------------------------------------------------------------------------------


def crew(text):
    """The crew that a text gives, and what is told of its faults."""
    found, faults = parse_crew(Source(path="crew.yaml", text=text))
    return found, told(faults)


def test_the_crew_has_people_with_skills_and_time():
    """Every key of the format; days off are days or spans of them."""
    found, faults = crew(
        """people:
  mara: {name: Mara Fenwright, skills: [rules, welding], hours: 7.5, off: [2027-01-02, {from: 2027-02-01, until: 2027-02-14}]}
  ines: {name: Ines Haldrow}
equipment: [lift, {name: scales, count: 2}]
budget: {2027-01: 400}
currency: crowns
crew_p: 0.90
"""
    )
    assert faults == []
    assert found == Crew(
        people={
            "mara": Person(
                id="mara",
                name="Mara Fenwright",
                skills=("rules", "welding"),
                hours=Fraction(15, 2),
                off=((date(2027, 1, 2), date(2027, 1, 2)), (date(2027, 2, 1), date(2027, 2, 14))),
            ),
            "ines": Person(id="ines", name="Ines Haldrow"),
        },
        equipment={"lift": 1, "scales": 2},
        budget={"2027-01": Fraction(400)},
        currency="crowns",
        p="0.90",
    )


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("equipment: [lift]\n", ["1:1 missing-key crew.yaml without `people`; add `people:`"]),
        ("people: {mara: {}}\n", ["1:16 missing-key mara without `name`; add `name:`"]),
        ("people: {mara: Mara}\n", ["1:16 wrong-type `Mara` for `mara`, expected a mapping of keys to values"]),
        ("people: {mara: {name: M, hours: 8 h}}\n", ["1:33 wrong-value `8 h` for `hours`, expected hours in a week, such as 8"]),
        ("people: {mara: {name: M, hours: 169}}\n", ["1:33 wrong-value `169` for `hours`, expected hours in a week, such as 8"]),
        ("people: {mara: {name: M, off: {from: 2027-02-01, until: 2027-01-01}}}\n", ["1:57 wrong-value until 2027-01-01, from 2027-02-01, expected an end after the start"]),
        ("people: {}\ncrew_p: 1\n", ["2:9 wrong-value `1` for `crew_p`, expected a probability between 0 and 1, such as 0.95"]),
    ],
)  # fmt: skip
def test_what_is_wrong_with_the_crew_is_told_with_its_place(text, expected):
    """All faults of the file together."""
    assert crew(text)[1] == expected


def test_a_size_is_not_less_than_nothing():
    """A rim is not −7 in wide; what can be moved the other way may be less than nothing."""
    text = "name: M\nspec: {wheels.rear.rim_width: -7 in, wheels.rear.offset: -7 mm, suspension.front.camber: -2 °}\n"
    found, faults = parse_car(Source(path="car.yaml", text=text), "marram", vocabulary=packaged_vocabulary())
    assert [(fault.code, fault.found) for fault in faults] == [("wrong-value", "`-7 in` for wheels.rear.rim_width")]
    assert list(found.spec) == ["wheels.rear.offset", "suspension.front.camber"]
