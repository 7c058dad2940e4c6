"""Points as the command line takes them."""

from datetime import date

import pytest

from rulewatch.model.edition import Point, Selector
from rulewatch.model.fault import Fault
from rulewatch.parse.points import parse_point

POINTS = {
    "saltmarsh/2027": Point(body="saltmarsh", season="2027"),
    "saltmarsh/2027@published": Point(body="saltmarsh", season="2027", selector=Selector.PUBLISHED),
    "saltmarsh/2027@2027-05-01": Point(body="saltmarsh", season="2027", selector=Selector.DATE, day=date(2027, 5, 1)),
    "saltmarsh/2027@event:round-1": Point(body="saltmarsh", season="2027", selector=Selector.EVENT, event="round-1"),
    "five-lakes/2026-27": Point(body="five-lakes", season="2026-27"),
    "HEAD~2:saltmarsh/2027": Point(body="saltmarsh", season="2027", revision="HEAD~2"),
    "v1.0::saltmarsh/2027": Point(body="saltmarsh", season="2027", revision="v1.0:"),
    "main@{2 days ago}:saltmarsh/2027@published": Point(
        body="saltmarsh", season="2027", revision="main@{2 days ago}", selector=Selector.PUBLISHED
    ),
    "main@{2026-11-20 10:00:00}:saltmarsh/2027@2027-05-01": Point(
        body="saltmarsh",
        season="2027",
        revision="main@{2026-11-20 10:00:00}",
        selector=Selector.DATE,
        day=date(2027, 5, 1),
    ),
    "HEAD^{/fix: rims}:saltmarsh/2027@event:round-1": Point(
        body="saltmarsh", season="2027", revision="HEAD^{/fix: rims}", selector=Selector.EVENT, event="round-1"
    ),
    "main@event:saltmarsh/2027": Point(body="saltmarsh", season="2027", revision="main@event"),
    "crew/winter:saltmarsh/2027": Point(body="saltmarsh", season="2027", revision="crew/winter"),
    "old.md": Point(file="old.md"),
    "/home/crew/books/2027: final.md": Point(file="/home/crew/books/2027: final.md"),
    "../books/2027.md": Point(file="../books/2027.md"),
    "HEAD:saltmarsh/2027.md": Point(file="HEAD:saltmarsh/2027.md"),
}

FAULTS = {
    "": "point:1:1: bad-point ``",
    "saltmarsh": "point:1:1: bad-point `saltmarsh`",
    "saltmarsh/": "point:1:1: bad-point `saltmarsh/`",
    "saltmarsh/2027/aero": "point:1:1: bad-point `saltmarsh/2027/aero`",
    ":saltmarsh/2027": "point:1:1: bad-point nothing in front of the colon",
    "saltmarsh/2027@": "point:1:15: bad-point '@', expected @published",
    "saltmarsh/2027@publishd": "point:1:15: bad-point '@publishd', expected @published",
    "saltmarsh/2027@2027-5-1": "point:1:15: bad-point '@2027-5-1'",
    "saltmarsh/2027@2027-02-30": "point:1:16: bad-date `2027-02-30`, expected a day of the calendar, YYYY-MM-DD",
    "saltmarsh/2027@event:": "point:1:22: bad-point no event after `@event:`",
    "saltmarsh/2027@event:a b": "point:1:22: name-unsafe 'a b'",
    "saltmarsh/2027@published@event:a": "point:1:15: bad-point two of `@`",
    "--output=x:saltmarsh/2027": "point:1:1: unsafe-revision the revision `--output=x` begins with a dash",
    "-:saltmarsh/2027": "point:1:1: unsafe-revision the revision `-` begins with a dash",
    "two words:saltmarsh/2027": "point:1:4: unsafe-revision ' ' in the revision",
    "HEAD@{1:saltmarsh/2027": "point:1:6: unsafe-revision '{' in the revision",
    "v1*:saltmarsh/2027": "point:1:3: unsafe-revision '*' in the revision",
    "v1\n:saltmarsh/2027": "point:1:3: unsafe-revision '\\n' in the revision",
    "a@{\x1b}:saltmarsh/2027": "point:1:4: unsafe-revision '\\x1b' in the revision",
    "v1..v2:saltmarsh/2027": "point:1:3: unsafe-revision a range, `v1..v2`, expected one revision",
    "../2027": "point:1:1: name-unsafe `../2027` leads out of the rulesets",
    "saltmarsh/..": "point:1:1: name-unsafe `saltmarsh/..` leads out of the rulesets",
    "/etc/passwd": "point:1:1: name-unsafe `/etc/passwd` leads out of the rulesets",
    "HEAD:../2027": "point:1:6: name-unsafe `../2027` leads out of the rulesets",
    "saltmarsh\\x/2027": "point:1:1: name-unsafe `saltmarsh\\x/2027` leads out of the rulesets",
    "salt marsh/2027": "point:1:1: name-unsafe `salt marsh`, expected letters, digits",
    "saltmarsh/.git": "point:1:11: name-unsafe `.git`, expected letters, digits",
    "saltmarsh/20\n27": "point:1:13: name-unsafe the character '\\n' in a name",
    "bo\0ok.md": "point:1:3: name-unsafe the control character '\\x00' in a file name",
}


@pytest.mark.parametrize("text", POINTS)
def test_every_form_of_a_point_is_read(text):
    """A revision ends at the last colon in front of the body; what ends in .md is a file whatever else it holds."""
    assert parse_point(text) == POINTS[text]


@pytest.mark.parametrize("text", FAULTS)
def test_what_is_no_point_is_a_fault_at_its_column(text):
    """Each fault points at the column that is wrong and says why."""
    found = parse_point(text)
    assert isinstance(found, Fault)
    assert str(found).startswith(FAULTS[text])
