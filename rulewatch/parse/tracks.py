"""Tracks of the calendar: `rulesets/tracks/NAME.yaml`."""

from __future__ import annotations

from rulewatch.model.fault import Fault, Source
from rulewatch.model.quantity import Amount, usual_unit
from rulewatch.model.track import Part, Track
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.fields import Fields, described, open_fields
from rulewatch.parse.nodes import ListNode, MapNode, Node, read_yaml
from rulewatch.parse.values import ReadingContext, read_amount_of

FEWEST = 4  # points that enclose a lap with a bend to each side
LONGEST = 100_000  # metres
ALTITUDES = (-500, 9000)  # metres, within the standard atmosphere's lowest layer
TEMPERATURES = (223, 333)  # kelvins: from −50 °C to 60 °C


def parse_track(source: Source, track: str, *, vocabulary: Vocabulary) -> tuple[Track | None, tuple[Fault, ...]]:
    """A track from its file; `track` is its id, the file's name. None where there is no lap to read."""
    node, faults = read_yaml(source)
    context = ReadingContext(source=source, faults=list(faults), vocabulary=vocabulary)
    if node is None and faults:
        return None, faults
    optional = ("parts", "centreline", "altitude", "temperature", "note")
    fields = open_fields(node, context, "a track", required=("name",), optional=optional)
    if fields is None:
        return None, tuple(context.faults)
    if fields.has("parts") is fields.has("centreline"):
        found = "a track with both `parts` and `centreline`" if fields.has("parts") else "a track without a lap"
        context.fault("missing-key", fields.place, found, expected="either `parts` or `centreline`")
    fields.text("note")
    parts = tuple(one for item in fields.items("parts") if (one := _read_part(item, context)) is not None)
    points = tuple(at for item in fields.items("centreline") if (at := _read_point(item, context)) is not None)
    if fields.has("centreline") and len(points) < FEWEST:
        context.fault("wrong-value", fields.place_of("centreline"), f"{len(points)} points", expected=f"at least {FEWEST}")
    lap = Track(
        id=track,
        name=fields.text("name") or track,
        parts=parts,
        points=points,
        altitude=_within(fields, "altitude", "length", ALTITUDES, context),
        temperature=_within(fields, "temperature", "temperature", TEMPERATURES, context),
        place=fields.place,
    )
    return (None if context.faults and any(not one.warning for one in context.faults) else lap), tuple(context.faults)


def _read_part(node: Node, context: ReadingContext) -> Part | None:
    straight = isinstance(node, MapNode) and node.get("straight") is not None
    part = open_fields(node, context, "a part", required=("straight",) if straight else ("radius", "turn"))
    if part is None:
        return None
    if straight:
        length = _positive(part, "straight", "length", context)
        return Part(length=length) if length is not None else None
    radius, turn = _positive(part, "radius", "length", context), _positive(part, "turn", "angle", context)
    return Part(radius=radius, turn=turn) if radius is not None and turn is not None else None


def _read_point(node: Node, context: ReadingContext) -> tuple[Amount, Amount] | None:
    if not isinstance(node, ListNode) or len(node.items) != len(("x", "y")):
        context.fault("wrong-type", node, f"{described(node)} for a point", expected="two lengths, such as [120 m, -45.5 m]")
        return None
    unit = usual_unit("length")
    x, y = (read_amount_of(item, unit, "a point", context, sought=False) if unit else None for item in node.items)
    return (x, y) if x is not None and y is not None else None


def _amount(fields: Fields, key: str, measure: str, context: ReadingContext) -> Amount | None:
    node, unit = fields.get(key), usual_unit(measure)
    return read_amount_of(node, unit, f"`{key}`", context, sought=False) if node is not None and unit is not None else None


def _within(fields: Fields, key: str, measure: str, ends: tuple[int, int], context: ReadingContext) -> Amount | None:
    amount = _amount(fields, key, measure, context)
    if amount is not None and not ends[0] <= amount.base <= ends[1]:
        expected = "−500 m to 9000 m" if measure == "length" else "about −50 °C to 60 °C"
        context.fault("wrong-value", fields.place_of(key), f"`{amount}` for `{key}`", expected=expected)
        return None
    return amount


def _positive(fields: Fields, key: str, measure: str, context: ReadingContext) -> Amount | None:
    amount = _amount(fields, key, measure, context)
    if amount is None:
        return None
    if amount.number <= 0 or amount.base > LONGEST:
        context.fault(
            "wrong-value",
            fields.place_of(key),
            f"`{amount}` for `{key}`",
            expected="more than nothing, and no more than 100 km",
        )
        return None
    return amount
