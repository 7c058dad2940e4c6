"""Addresses within the site: which file a page is, the anchors inside it, and the relative links between them.

Links are relative, so that the site works from a folder, from a server, and from any depth of either.
"""

from __future__ import annotations

import hashlib
import posixpath
import re
from urllib.parse import quote

from rulewatch.model.car import Entry
from rulewatch.model.change import Comparison, Lineage
from rulewatch.model.edition import Point, Selector
from rulewatch.model.impact import Verdict

FRONT = "index.html"
HOW_TO_READ = "how-to-read.html"
OPEN_POINTS = "open.html"
STYLE = "assets/site.css"

LONGEST_SLUG = 60
PLAIN_ID = re.compile(r"[A-Za-z0-9]+(?:\.[A-Za-z0-9]+)*(?:\([A-Za-z0-9]+\))*")


def slug(name: str) -> str:
    """A file name of small letters, digits, dots, dashes for any name; different names never share one.

    A name that had to be altered gets six digits of its digest behind it (also against file systems that fold case).
    """
    plain = re.sub(r"[^a-z0-9.]+", "-", name.lower()).strip("-.")[:LONGEST_SLUG]
    if plain == name and name:
        return name
    return f"{plain or 'x'}-{hashlib.sha256(name.encode()).hexdigest()[:6]}"


def season_name(point: Point) -> str:
    """The season of a point, with the part of its bulletins where not all of them count: `2027@published`."""
    if point.selector is Selector.ALL:
        return point.season
    return str(point).rpartition("/")[2]


def comparison_name(comparison: Comparison) -> str:
    """The name that a comparison's page and data have in common: `saltmarsh-2026-2027`."""
    old, new = season_name(comparison.old.point), season_name(comparison.new.point)
    parts = (comparison.new.body.id, old, new)
    name = "-".join(parts)
    return slug(name) if "-" not in old + new else f"{slug(name)}-{hashlib.sha256('/'.join(parts).encode()).hexdigest()[:6]}"


def comparison_page(comparison: Comparison) -> str:
    """The page of one comparison."""
    return f"compare/{comparison_name(comparison)}.html"


def edition_page(body: str, season: str) -> str:
    """The contents page of one edition."""
    return f"rules/{slug(body)}/{slug(season)}/index.html"


def chapter_page(body: str, season: str, chapter: str) -> str:
    """The page of one chapter. A chapter by the name of `index` gives way to the contents page."""
    name = slug(chapter)
    return f"rules/{slug(body)}/{slug(season)}/{'chapter-index' if name == 'index' else name}.html"


def car_page(car: str) -> str:
    """The page of one car."""
    return f"cars/{slug(car)}.html"


def job_page(car: str) -> str:
    """The page of one car's jobs."""
    return f"jobs/{slug(car)}.html"


def inspection_page(car: str) -> str:
    """The page of one car's inspection sheets."""
    return f"inspection/{slug(car)}.html"


def weight_page(car: str) -> str:
    """The page of one car's weight sheet."""
    return f"weight/{slug(car)}.html"


def clause_anchor(clause: str) -> str:
    """The anchor of a clause on its page: `4.2.1(a)` is `c-4_2_1-a`. Different ids never share one.

    An id of another form than numbers and letters with points and brackets gets six digits of its digest behind it.
    """
    if PLAIN_ID.fullmatch(clause):
        return "c-" + clause.replace(".", "_").replace("(", "-").replace(")", "")
    plain = re.sub(r"[^A-Za-z0-9_]+", "-", clause.replace(".", "_")).strip("-")[:LONGEST_SLUG]
    return f"c-{plain or 'x'}-{hashlib.sha256(clause.encode()).hexdigest()[:6]}"


def lasting_anchor(lineage: Lineage) -> str:
    """The anchor of a rule, whatever its number: the season and number under which it first stood."""
    return f"r-{slug(lineage.season)}-{clause_anchor(lineage.clause)}"


def entry_anchor(entry: Entry) -> str:
    """The anchor of one entry on its car's page; one that begins or ends within a season has its days in it."""
    days = [f"{day:%Y-%m-%d}" for day in (entry.since, entry.until) if day]
    return "--".join(["e", slug(entry.body), slug(entry.class_name), *days])


def verdict_anchor(entry: str, verdict: Verdict) -> str:
    """The anchor of the findings with one verdict under an entry's own anchor."""
    return f"{entry}--{verdict.value}"


class Anchors:
    """Hands out the anchors of one page, each once."""

    def __init__(self) -> None:
        self._taken: set[str] = set()

    def take(self, wanted: str) -> str:
        """The anchor wanted, with a number behind it where it is taken."""
        anchor, number = wanted, 1
        while anchor in self._taken:
            number += 1
            anchor = f"{wanted}-n{number}"
        self._taken.add(anchor)
        return anchor


def relative(page: str, target: str, anchor: str = "") -> str:
    """The link from one page to another, both given from the site's root; an anchor alone within one page."""
    end = f"#{anchor}" if anchor else ""
    if page == target and end:
        return end
    path = posixpath.relpath(target, posixpath.dirname(page) or ".")
    return quote(path, safe="/-._~") + end


def is_allowed(url: str) -> bool:
    """Whether a link out of rule text may be one: http(s), mailto, or an anchor. All others stay text."""
    plain = url.strip().lower()
    if any(ord(sign) < 0x21 for sign in plain):  # noqa: PLR2004 - control characters and blanks, which browsers skip
        return False
    return plain.startswith(("http://", "https://", "mailto:")) or (plain.startswith("#") and len(plain) > 1)
