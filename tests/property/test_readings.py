"""Laws of readings: what is validly written is read as it was meant, and nothing that is written ever raises."""

import json
from datetime import date
from fractions import Fraction

from hypothesis import example, given, settings
from hypothesis import strategies as st

from rulewatch.model import reading as model
from rulewatch.model.edition import Body
from rulewatch.model.fault import CODES, Source
from rulewatch.model.quantity import NUMBER, Amount, digits, spellings
from rulewatch.model.reading import Fixed, Greatest, Least, Linear, OneOf, Presence, Range, Sheet, Steps
from rulewatch.model.vocabulary import ValueKind
from rulewatch.parse.clauses import ReadingBlock, parse_chapter
from rulewatch.parse.nodes import read_yaml
from rulewatch.parse.readings import parse_reading
from rulewatch.parse.text_check import check_against_text
from rulewatch.parse.vocabulary import packaged_vocabulary

SETTINGS = settings(max_examples=100, deadline=None, derandomize=True)

VOCABULARY = packaged_vocabulary()
OF_KIND = {kind: [each for each in VOCABULARY.quantities.values() if each.kind is kind] for kind in ValueKind}
UNITS = {unit.symbol: unit for unit in spellings().values() if unit.symbol}
DATES = st.dates(date(1950, 1, 1), date(2050, 12, 31))
PLACE = Source(path="r.md", text="").place(1)


def parse(text):
    """Parse a block that is a file of its own."""
    source = Source(path="r.md", text=text)
    block = ReadingBlock(clause="1", text=text, place=source.place(1), first_line=1, indent=0)
    return parse_reading(block, source, vocabulary=VOCABULARY)


# --- Each strategy gives the YAML and what it means -------------------------------------------------------------------


@st.composite
def amounts(draw, unit, low=-5000, high=5000):
    """An amount of a unit's dimension, in any unit of it."""
    number = Fraction(draw(st.integers(low * 100, high * 100)), draw(st.sampled_from([1, 10, 100])))
    alike = [each for each in UNITS.values() if each.dimension == unit.dimension] if unit.symbol else [unit]
    chosen = draw(st.sampled_from(alike))
    return json.dumps(f"{digits(number)} {chosen.symbol}".strip(), ensure_ascii=False), Amount(number=number, unit=chosen)


@st.composite
def values(draw, quantity):
    """A value of a quantity."""
    if quantity.kind is ValueKind.AMOUNT:
        return draw(amounts(quantity.unit or NUMBER))
    if quantity.kind is ValueKind.DATE:
        day = draw(DATES)
        return day.isoformat(), day
    if quantity.kind is ValueKind.CHOICE:
        word = draw(st.sampled_from(quantity.choices))
        return word, word
    text = draw(st.text("abc xyz:#{['\"", min_size=1).map(str.strip).filter(bool))
    return json.dumps(text), text


@st.composite
def bounds(draw, quantity, depth=2):
    """A bound of a quantity with numbers."""
    form = draw(st.sampled_from(["fixed", "of", "steps", "greatest", "least"] if depth else ["fixed", "of"]))
    if form == "of" and not (quantity.unit or NUMBER).offset:  # a share of a temperature means nothing, and is refused
        sheet = draw(st.sampled_from(Sheet))
        plus, amount = draw(amounts(quantity.unit or NUMBER))
        prefix = "" if sheet is Sheet.CAR else f"{sheet}."
        text = f"{{of: {prefix}{quantity.name}, rate: 90 %, plus: {plus}}}"
        return text, Linear(of=quantity.name, sheet=sheet, rate=Amount(number=Fraction(90), unit=UNITS["%"]), plus=amount)
    if form == "steps":
        by = draw(st.sampled_from([each for each in OF_KIND[ValueKind.AMOUNT] if each.unit is not None]))
        edges = sorted(
            draw(st.lists(amounts(by.unit), min_size=1, max_size=3, unique_by=lambda edge: edge[1].base)),
            key=lambda edge: edge[1].base,
        )
        inner = [draw(bounds(quantity, depth - 1)) for _ in edges]
        above = draw(st.none() | bounds(quantity, depth - 1))
        pairs = [f"[{edge}, {bound}]" for (edge, _), (bound, _) in zip(edges, inner, strict=True)]
        text = f"{{by: {by.name}, steps: [{', '.join([*pairs, *([f'[above, {above[0]}]'] if above else [])])}]}}"
        steps = tuple((edge, bound) for (_, edge), (_, bound) in zip(edges, inner, strict=True))
        return text, Steps(by=by.name, steps=steps, above=above[1] if above else None)
    if form in {"greatest", "least"}:
        inner = draw(st.lists(bounds(quantity, depth - 1), min_size=1, max_size=3))
        kind = Greatest if form == "greatest" else Least
        return f"{{{form}: [{', '.join(text for text, _ in inner)}]}}", kind(bounds=tuple(bound for _, bound in inner))
    text, value = draw(values(quantity))
    return text, Fixed(value=value)


@st.composite
def constraints(draw, quantity):
    """A constraint of a quantity."""
    form = draw(st.sampled_from(["value", "list", "presence", "range"]))
    if form == "presence":
        present = draw(st.booleans())
        return "present" if present else "absent", Presence(present=present)
    if form == "range" and quantity.kind is ValueKind.AMOUNT:
        key = draw(st.sampled_from(["min", "over", "max", "under"]))
        text, bound = draw(bounds(quantity))
        if key in {"min", "over"}:
            return f"{{{key}: {text}}}", Range(low=bound, low_strict=key == "over")
        return f"{{{key}: {text}}}", Range(high=bound, high_strict=key == "under")
    if form == "range" and quantity.kind is ValueKind.DATE:
        first, last = sorted(draw(st.tuples(DATES, DATES)))
        return f"{{min: {first}, max: {last}}}", Range(low=Fixed(value=first), high=Fixed(value=last))
    count = 1 if form != "list" else draw(st.integers(1, 3))
    several = [draw(values(quantity)) for _ in range(count)]
    text = several[0][0] if form != "list" else f"[{', '.join(text for text, _ in several)}]"
    return text, OneOf(values=tuple(value for _, value in several))


@st.composite
def mappings(draw):
    """A mapping of quantities and components to constraints, and its tests."""
    names = draw(
        st.lists(st.sampled_from([*VOCABULARY.quantities, *VOCABULARY.components]), min_size=1, max_size=3, unique=True)
    )
    texts, tests = [], []
    for name in names:
        quantity = VOCABULARY.quantities.get(name)
        present = draw(st.booleans())
        presence = ("present" if present else "absent", Presence(present=present))
        text, constraint = draw(constraints(quantity)) if quantity else presence
        texts.append(f"{name}: {text}")
        tests.append(model.Test(subject=name, constraint=constraint, place=PLACE))
    return f"{{{', '.join(texts)}}}", tuple(tests)


@st.composite
def conditions(draw, depth=2):
    """A condition, nested."""
    form = draw(st.sampled_from(["all", "any", "not"] if depth else ["all"]))
    if form == "any":
        parts = draw(st.lists(conditions(depth - 1), min_size=1, max_size=3))
        return f"{{any: [{', '.join(text for text, _ in parts)}]}}", model.Any(parts=tuple(part for _, part in parts))
    if form == "not":
        text, part = draw(conditions(depth - 1))
        return f"{{not: {text}}}", model.Not(part=part)
    text, tests = draw(mappings())
    return text, tests[0] if len(tests) == 1 else model.All(parts=tests)


@st.composite
def readings(draw):
    """The YAML of a reading, and what it must have of a few keys."""
    limit, limits = draw(mappings())
    lines, expected = [f"limit: {limit}"], {"limits": limits}
    if draw(st.booleans()):
        text, tests = draw(mappings())
        lines.append(f"allow: {text}")
        expected["allows"] = tests
    if draw(st.booleans()):
        text, condition = draw(conditions())
        lines.append(f"when: {text}")
        expected["when"] = condition
    if draw(st.booleans()):
        noted = draw(st.lists(amounts(UNITS["°C"]), min_size=1, max_size=3))
        lines.append(f"noted: [{', '.join(text for text, _ in noted)}]")
        expected["noted"] = tuple(amount for _, amount in noted)
    if draw(st.booleans()):
        text, bound = draw(bounds(VOCABULARY.quantities["car.weight"]))
        lines.append(f"weight: {{minimum: {text}}}")
        expected["minimum"] = bound
    return "\n".join(draw(st.permutations(lines))) + "\n", expected


# --- Laws -------------------------------------------------------------------------------------------------------------


@SETTINGS
@given(readings())
def test_what_is_validly_written_is_read_as_meant(written):
    """Every valid reading is read without a fault, and means what its parts mean."""
    text, expected = written
    reading, faults = parse(text)
    assert faults == ()
    found = {key: getattr(reading, key) for key in expected}
    if "minimum" in found:
        found["minimum"] = found["minimum"].bound
    assert found == expected


@SETTINGS
@given(readings())
def test_every_number_knows_where_it_is_written(written):
    """At the place of each number of a reading stands just that number."""
    text, _ = written
    reading, _ = parse(text)
    lines = text.split("\n")
    for number in reading.numbers:
        rest = lines[number.place.line - 1][number.place.column - 1 :]
        printed = number.value.printed if isinstance(number.value, Amount) else number.value.isoformat()
        assert rest.lstrip('"').replace('\\"', '"').startswith(printed)


@SETTINGS
@given(st.text() | st.text("{}[]:,-\n '\"#&*!|>%@`5 inkg.anyotwhlm?"))
@example("limit: {wheels.rear.rim_width: {max: 13,5 in}}")
@example("? {a: b}\n: c")
@example("weight: {minimum: {by: car.seats, steps: [[]]}}")
@example("weight: {minimum: {greatest: {least: {of: x}}}}")
@example("dated: [[], {}, 3]\nwhen: {any: {any: []}}\nmeasured: 3\nanswered: []\nconfirmed: x\nask: {}")
@example("limit: {car.weight: {min: {of: [car.weight], rate: {}, plus: []}}}")
@example("tolerance: [5 mm]\nlimit: {car.width: ~}\nweight: ~\nnoted: {a: b}")
def test_nothing_that_is_written_raises(text):
    """Any text in a reading block gives a reading or faults of known codes, each within the block."""
    reading, faults = parse(text)
    assert (reading is None) == bool(faults)
    lines = text.count("\n") + 1
    for fault in faults:
        assert fault.code in CODES
        assert 1 <= fault.place.line <= lines
        assert fault.place.column >= 1
        assert str(fault)


@SETTINGS
@given(readings(), st.data())
def test_no_slip_of_the_pen_raises(written, data):
    """A valid reading with characters taken out or put in is read, or is at fault."""
    text, _ = written
    for _ in range(data.draw(st.integers(1, 3))):
        at = data.draw(st.integers(0, len(text)))
        text = (
            text[:at]
            + data.draw(st.sampled_from(["", ",", "{", "]", ": ", "\n", "-", "x", "5", '"']))
            + text[at + data.draw(st.integers(0, 2)) :]
        )
    reading, faults = parse(text)
    assert (reading is None) == bool(faults)


def check(source):
    """The faults of the clauses of a source against its readings."""
    chapter = parse_chapter(source)
    body = Body(id="saltmarsh", name="Saltmarsh Circuit Club", classes={}, place=source.place(1))
    for clause in chapter.clauses:
        blocks = [block for block in chapter.blocks if block.clause == clause.id]
        found = [parse_reading(block, source, vocabulary=VOCABULARY)[0] for block in blocks]
        yield from check_against_text([each for each in found if each], clause, body=body, source=source)


WORDS = st.lists(
    st.sampled_from(
        ["10 in", "(254 mm)", "1,050 kg", "10¼", "two", "to", "per", "100 cc", "−3°", "2.5 per cent", "mm", ".", "\n"]
    )
    | st.text("0123456789.,/ inmkg()\"'%°-−¼x", max_size=6),
    max_size=12,
).map(" ".join)


@SETTINGS
@given(WORDS, readings())
def test_checking_against_any_text_never_raises(words, written):
    """Whatever a clause says, the check ends, and its faults stand in the file."""
    source = Source(path="r.md", text=f"1.1 {words}\n\n```reading\n{written[0]}```\n")
    assert all(1 <= fault.place.line <= len(source.lines) for fault in check(source))


@SETTINGS
@given(WORDS)
def test_the_remedy_for_unused_numbers_works(words):
    """What the fault tells to note is read as the number that it is about, and ends the fault."""
    text = f"1.1 {words}\n\n```reading\nask: is it so?\n```\n"
    before = list(check(Source(path="r.md", text=text)))
    noted = [fault.remedy.partition("noted: [")[2].partition("]`")[0] for fault in before]
    repaired = text.replace("ask: is it so?", f"ask: is it so?\nnoted: [{', '.join(noted)}]") if noted else text
    assert list(check(Source(path="r.md", text=repaired))) == []


@SETTINGS
@given(st.text() | st.text("{}[]:,-\n '\"#&*!|>%@`5 in.a\r\u2028\ufeff\x85"))
def test_yaml_never_raises(text):
    """Any text gives a tree, or faults whose places are in the text."""
    _, faults = read_yaml(Source(path="f.yaml", text=text))
    assert all(1 <= fault.place.line <= text.count("\n") + 1 for fault in faults)
    assert all(fault.place.column >= 1 for fault in faults)
