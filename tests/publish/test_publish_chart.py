"""Charts of a value over time: heights, words for those who hear them, and nothing that the page's policy would stop."""

from __future__ import annotations

import re
from datetime import date
from itertools import pairwise
from xml.etree import ElementTree as ET

import pytest
from publish_example import VOCABULARY, inch, kg, mm

from rulewatch.model.timeline import Fitting, Line, Sense
from rulewatch.publish.chart import line_chart, told

LABELS = ["2024", "Bulletin 2024-1", "2025", "2026"]
DAYS = [date(2024, 1, 1), date(2024, 7, 1), date(2025, 1, 1), date(2026, 1, 1)]


def line(*values) -> Line:
    """A limit with a value for each station."""
    return Line(subject="wheels.rear.rim_width", sense=Sense.MOST, classes=("silhouette-b",), values=values)


def drawn(*values, title: str = "Rim") -> ET.Element:
    """The picture, as a browser's parser would take it in a page."""
    return picture_of(line(*values), DAYS, title)


def picture_of(of: Line, days: list[date], title: str = "x") -> ET.Element:
    """The chart of a line."""
    found = ET.fromstring(str(line_chart(of, LABELS, days, title, VOCABULARY)))  # noqa: S314 - made here
    assert found.tag == "svg"
    return found


def heights(picture: ET.Element) -> dict[str, float]:
    """How far down the name of each value stands."""
    return {text.text: float(text.attrib["y"]) for text in picture.iter("text") if text.attrib.get("text-anchor") == "end"}


def test_amounts_stand_to_scale_whatever_their_units():
    """The greatest at the top; 254 mm is 10 in; the middle of a range is in the middle."""
    found = heights(drawn(inch("9"), inch("10"), mm("254"), inch("11")))
    assert list(found) == ["9 in", "10 in", "11 in"]
    assert found["11 in"] < found["10 in"] < found["9 in"]
    assert found["10 in"] - found["11 in"] == found["9 in"] - found["10 in"]


def test_names_of_near_values_never_overlap():
    """Values a hair apart have a row each."""
    found = sorted(heights(drawn(mm("100"), mm("100.1"), mm("100.2"), mm("500"))).values())
    assert min(after - before for before, after in pairwise(found)) >= 17


@pytest.mark.parametrize("values", [(inch("9"), kg("5"), None, inch("9")), (Fitting.FORBIDDEN, Fitting.PERMITTED, None, None)])
def test_what_has_no_common_scale_has_a_row_each(values):
    """Amounts of several dimensions, and words."""
    found = list(heights(drawn(*values)).values())
    assert [round(after - before) for before, after in pairwise(found)] == [17]


def test_a_point_begins_a_value_and_only_what_stands_has_an_arrow():
    """Three values are three points; one that ends with nothing after it has a bar and no arrow."""
    standing = drawn(inch("9"), inch("9"), inch("10"), inch("9"))
    assert len(list(standing.iter("circle"))) == 3
    classes = [path.attrib["class"] for path in standing.iter("path")]
    assert (classes.count("on"), classes.count("end")) == (1, 0)
    gone = [path.attrib["class"] for path in drawn(inch("9"), None, inch("10"), None).iter("path")]
    assert (gone.count("on"), gone.count("end")) == (0, 2)


def test_the_line_runs_from_station_to_station():
    """It begins at the first, steps where the value moves, and ends at the right edge where it stands."""
    (run,) = (
        path.attrib["d"]
        for path in drawn(inch("9"), inch("9"), inch("10"), inch("10")).iter("path")
        if path.attrib["class"] == "run"
    )
    assert re.fullmatch(r"M[\d.]+ [\d.]+H[\d.]+V[\d.]+H[\d.]+V[\d.]+H[\d.]+V[\d.]+H332", run)


def test_it_is_told_in_words():
    """Every value with where it begins, and where there is none."""
    picture = drawn(inch("9"), inch("9"), None, inch("10"), title="Rear rim width, at most")
    assert picture.attrib["role"] == "img"
    assert picture.attrib["aria-label"] == "Rear rim width, at most: 9 in from 2024, nothing from 2025, 10 in from 2026"
    assert (
        told(line(None, inch("9"), inch("9"), inch("9")), LABELS, VOCABULARY) == "nothing from 2024, 9 in from Bulletin 2024-1"
    )


def test_nothing_hostile_and_nothing_inline():
    """A label is text; no style stands in the picture, no script, no address; long names are cut."""
    text = str(line_chart(line(Fitting.REQUIRED), ['<script>"'], [None], '"><b>', VOCABULARY))
    assert "<script" not in text
    assert "<b>" not in text
    assert not re.search(r"\bstyle=|\bon\w+=|href", text)
    long = str(line_chart(line(inch("9")), ["W" * 90], [None], "x", VOCABULARY)).partition(">")[2]
    assert "W" * 15 not in long


def test_labels_of_seasons_go_before_those_of_bulletins():
    """Where there is no room for all, those of the seasons stay."""
    days = [date(2024, 1, 1), date(2024, 2, 1), date(2025, 1, 1), date(2026, 1, 1)]
    picture = picture_of(line(*[inch("9")] * 4), days)
    labels = {text.text for text in picture.iter("text") if "text-anchor" not in text.attrib}
    assert labels == {"2024", "2025", "2026"}
