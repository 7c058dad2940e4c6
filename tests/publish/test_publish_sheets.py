"""The two sheets that go along on paper: what stands on them, their cautions, and that an unknown is no pass there."""

from __future__ import annotations

import json
import re

import jsonschema
import pytest
from publish_example import ASSESSMENTS, SITE

from rulewatch.model.impact import Verdict
from rulewatch.publish.data import schema_bytes


def test_a_car_s_page_leads_to_its_sheets(pages):
    """From the title plate; a car that is entered nowhere has none."""
    links = {
        car: set(re.findall(r"(?:inspection|weight)/\w+\.html", str(pages[f"cars/{car}.html"].tags)))
        for car in ("curlew", "dunlin")
    }
    assert links["curlew"] == {"inspection/curlew.html", "weight/curlew.html"}
    assert links["dunlin"] == set()


def test_cautions_stand_on_both(files):
    """What is at stake, and who decides."""
    weight, inspection = (files[f"{kind}/curlew.html"].decode() for kind in ("weight", "inspection"))
    for page in (weight, inspection):
        assert "Loose ballast can kill" in page
        assert "inspectors decide" in page
    assert "No figure here of power, speed or pace is guidance for driving" in weight


def test_every_requirement_is_on_the_sheet_with_its_verdict(files):
    """As many of each verdict as the judgement found, those apart that do not apply; nothing that is unknown is called legal."""
    page = files["inspection/curlew.html"].decode()
    of_car = [one for one in ASSESSMENTS if one.car.id == "curlew"]
    shown = [
        finding
        for one in of_car
        for finding in one.findings
        if finding.clauses and (finding.applies or finding.verdict is not Verdict.LEGAL)
    ]
    rows = re.findall(r'<tr(?: class="told")?><th scope="row">.*?</tr>', page, re.DOTALL)
    unread = [finding for one in of_car for finding in one.findings if finding.sort == "unread"]
    assert len(rows) == len(shown) - len(unread)
    for word, verdict in (("Illegal", Verdict.ILLEGAL), ("Unknown", Verdict.UNKNOWN)):
        count = sum(one.verdict is verdict for one in shown if one not in unread)
        assert sum(f"{word}<" in row or f">{word}" in row for row in rows) == count


def test_weight_sheet_says_what_is_known(files):
    """What the scales will find, the ballast and where it goes, what is refused, and what is missing."""
    page = re.sub(r"<[^>]+>|\s+", " ", files["weight/curlew.html"].decode())
    for part in (
        "996.0 ± 2 kg at the scales: 4.0 kg under the minimum",
        "99.8 % chance of being under",
        "Suggested: 6 kg (13 lb)",
        "6 kg (13 lb) at seat floor",
        "Not at boot",
        "not known",
        "Rear axle raised by 400 mm: 481 ± 12 mm",
        "Not reckoned without how much fuel",
    ):
        assert part in re.sub(r"\s+", " ", page)


@pytest.mark.parametrize("name", ["inspection", "weigh"])
def test_the_same_as_data(files, name):
    """Beside the pages, by the published schemas."""
    schema = json.loads(schema_bytes(f"{name}.schema.json"))
    data = json.loads(files[f"data/{name}-curlew.json"])
    jsonschema.validate(data, schema)
    assert f"data/{name}-curlew.json" in files["how-to-read.html"].decode()
    assert SITE.day.isoformat() not in json.dumps(data)
