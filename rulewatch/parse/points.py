"""Points: where to read an edition from, as the command line takes them.

`BODY/SEASON`, with `@published`, `@YYYY-MM-DD` or `@event:ID` behind and `REV:` in front, or a file that ends in `.md`.
"""

from __future__ import annotations

import re
from dataclasses import replace
from datetime import date

from rulewatch.model.edition import Point, Selector
from rulewatch.model.fault import Fault, Source

# A body, season or event: letters of any script, digits, and - _ . + after the first.
NAME = re.compile(r"\w[\w.+-]*")
NAME_SIGNS = "letters, digits and - _ . +"
# An event's id holds neither : nor /, so that `main@event:saltmarsh/2026` is the revision `main@event`.
EVENT = re.compile(r"@event:(?P<id>[^:/]*)\Z")
# What git allows in names and in revisions made of them; spaces stand only in braces: `main@{2 days ago}`.
REVISION = re.compile(r"(?:[^\s{}?*\[\\]|\{[^{}]*\})+")
FORMS = "BODY/SEASON, BODY/SEASON@published, BODY/SEASON@YYYY-MM-DD, BODY/SEASON@event:ID, or a file that ends in .md"


def parse_point(text: str) -> Point | Fault:
    """Read a point. A fault's place is a column of the text itself (`point:1:7`).

    Nothing is looked up: whether the edition, the event or the revision is there is for the store to say.
    """
    return _Reader(text).point()


def is_name(text: str) -> bool:
    """Whether a text can name a body, a season or an event: it is one folder's name and nothing else."""
    return NAME.fullmatch(text) is not None and ".." not in text and not text.endswith((".md", "."))


class _Reader:
    """Takes a point apart from its end: the suffix, then the season and body, then the revision."""

    def __init__(self, text: str) -> None:
        self.text = text
        self.source = Source(path="point", text=text)

    def fault(self, code: str, column: int, found: str, *, expected: str = "", remedy: str = "") -> Fault:
        return self.source.fault(code, 1, column, found, expected=expected, remedy=remedy)

    def point(self) -> Point | Fault:
        if self.text.endswith(".md"):
            return self.file()
        match = EVENT.search(self.text)
        front = self.text[: match.start()] if match else self.text
        colon = front.rfind(":")
        revision = front[:colon] if colon >= 0 else ""
        if colon >= 0 and (fault := self.revision_fault(revision)):
            return fault
        edition, at, suffix = front[colon + 1 :].partition("@")
        start = colon + 2
        if fault := self.edition_fault(edition, start):
            return fault
        body, season = edition.split("/")
        point = Point(body=body, season=season, revision=revision)
        if match:
            if at:
                return self.fault("bad-point", start + len(edition), f"two of `@` in `{self.text}`", expected=FORMS)
            return self.at_event(point, match["id"], match.start("id") + 1)
        return self.at_suffix(point, suffix, start + len(edition)) if at else point

    def file(self) -> Point | Fault:
        bad = next((n for n, sign in enumerate(self.text) if ord(sign) < ord(" ")), None)
        if bad is not None:
            return self.fault("name-unsafe", bad + 1, f"the control character {self.text[bad]!r} in a file name")
        return Point(file=self.text)

    def revision_fault(self, revision: str) -> Fault | None:
        """What keeps a text from being handed to git as a revision; None where nothing does."""
        remedy = "name a commit, branch or tag"
        if not revision:
            return self.fault(
                "bad-point", 1, "nothing in front of the colon", expected="a git revision", remedy="leave `:` out"
            )
        if revision.startswith("-"):
            # git would take it for an option, and some options write files.
            return self.fault("unsafe-revision", 1, f"the revision `{revision}` begins with a dash", remedy=remedy)
        bad = next((n for n, sign in enumerate(revision) if not sign.isprintable()), None)
        if bad is None:
            match = REVISION.match(revision)
            bad = match.end() if match else 0
        if bad < len(revision):
            return self.fault("unsafe-revision", bad + 1, f"{revision[bad]!r} in the revision `{revision}`", remedy=remedy)
        if ".." in revision:
            column = revision.index("..") + 1
            return self.fault("unsafe-revision", column, f"a range, `{revision}`", expected="one revision", remedy=remedy)
        return None

    def edition_fault(self, edition: str, column: int) -> Fault | None:
        bad = next((n for n, sign in enumerate(edition) if not sign.isprintable()), None)
        if bad is not None:
            return self.fault("name-unsafe", column + bad, f"the character {edition[bad]!r} in a name", expected=NAME_SIGNS)
        parts = edition.split("/")
        if edition.startswith("/") or "\\" in edition or not {".", ".."}.isdisjoint(parts):
            return self.fault("name-unsafe", column, f"`{edition}` leads out of the rulesets", expected="BODY/SEASON")
        match parts:
            case [body, season] if body and season:
                if not is_name(body):
                    return self.fault("name-unsafe", column, f"`{body}`", expected=NAME_SIGNS)
                if not is_name(season):
                    return self.fault("name-unsafe", column + len(body) + 1, f"`{season}`", expected=NAME_SIGNS)
                return None
        return self.fault("bad-point", column, f"`{edition}`", expected=FORMS)

    def at_event(self, point: Point, event: str, column: int) -> Point | Fault:
        if not event:
            return self.fault("bad-point", column, "no event after `@event:`", expected="an event's id from edition.yaml")
        if not is_name(event):
            return self.fault("name-unsafe", column, f"{event!r}", expected=NAME_SIGNS)
        return replace(point, selector=Selector.EVENT, event=event)

    def at_suffix(self, point: Point, suffix: str, column: int) -> Point | Fault:
        if suffix == "published":
            return replace(point, selector=Selector.PUBLISHED)
        if not re.fullmatch(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", suffix):
            return self.fault("bad-point", column, f"{'@' + suffix!r}", expected="@published, @YYYY-MM-DD or @event:ID")
        try:
            day = date.fromisoformat(suffix)
        except ValueError:
            return self.fault("bad-date", column + 1, f"`{suffix}`", expected="a day of the calendar, YYYY-MM-DD")
        return replace(point, selector=Selector.DATE, day=day)
