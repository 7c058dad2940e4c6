"""An invented body of five seasons with a bulletin, whose rules move, split, loosen and tighten."""

from __future__ import annotations

from support import clause

from rulewatch.compare.comparison import compare_editions
from rulewatch.compare.threads import Threads
from rulewatch.courses import course, seasons
from rulewatch.model.clause import digest
from rulewatch.workspace import Workspace

NUTS = "Each wheel is held by no fewer than five nuts, or by one nut in the middle with a locking pin."
TYRES = "Tyres are marked by the inspectors before the first practice, and none is changed after."
NOISE = "The exhaust noise is measured half a metre behind the outlet with the engine at speed."
BALLAST = "Ballast is solid metal and lies on the floor of the car."
BOLTS = "Every piece of ballast is held by two steel bolts with a plate under each of their nuts."


def rims(number: str, width: str, *, classes: str = "") -> str:
    """The rule on rims, with its reading."""
    text = f"Rear rims\n\nA rear rim shall be no wider than {width}, measured between the bead seats."
    reading = f"limit: {{wheels.rear.rim_width: {{max: {width}}}}}"
    return read(number, text, f"classes: [{classes}]\n{reading}" if classes else reading)


def wing(number: str, *, allowed: bool) -> str:
    """The rule on wings: allowed in the closed chapter, or forbidden."""
    if allowed:
        return read(
            number, "Rear wing\n\nOne rear wing is permitted on every car, of any make.", "allow: {aero.rear_wing: present}"
        )
    return read(number, "Rear wing\n\nNo rear wing is permitted on any car, of any make.", "limit: {aero.rear_wing: absent}")


def read(number: str, text: str, reading: str) -> str:
    """A clause with a confirmed reading."""
    return clause(number, text, f"{reading}\nconfirmed: {{by: ina, on: 2023-02-01, text: {digest(text)}}}")


def words(number: str, text: str) -> str:
    """A clause that nobody has read."""
    return clause(number, text)


BOOKS = {
    "2023": {
        "05": words("5.1", f"{BALLAST} {BOLTS}") + words("5.2", "A fuel tank holds at most 60 l."),
        "06": rims("6.1", "9 in") + words("6.2", TYRES),
        "07": wing("7.1", allowed=False),
    },
    "2024": {
        "05": words("5.1", BALLAST) + words("5.2", BOLTS) + words("5.3", "A fuel tank holds at most 70 l."),
        "06": words("6.1", NUTS) + rims("6.2", "10 in") + words("6.3", TYRES),
        "07": wing("7.1", allowed=True),
    },
    "2025": {
        "05": words("5.1", BALLAST) + words("5.2", BOLTS) + words("5.3", "A fuel tank holds at most 70 l."),
        "06": words("6.1", NUTS) + rims("6.2", "11 in") + words("6.3", TYRES),
        "07": wing("7.1", allowed=True),
    },
    "2026": {
        "05": words("5.1", f"{BALLAST} {BOLTS}")
        + words("5.2", "A fuel tank holds at most 65 l.")
        + rims("5.3", "10 in", classes="silhouette-b")
        + rims("5.4", "11 in", classes="touring-c"),
        "06": words("6.1", NUTS) + words("6.2", TYRES),
        "07": wing("7.1", allowed=False),
    },
    "2027": {
        "05": words("5.1", f"{BALLAST} {BOLTS}") + words("5.2", "A fuel tank holds at most 65 l.") + rims("5.3", "12 in"),
        "06": words("6.1", NUTS),
        "07": wing("7.1", allowed=False) + words("7.2", NOISE),
    },
}
BULLETIN = "---\nnumber: 1\npublished: 2024-05-01\neffective: 2024-07-01\n---\n\n" + rims("6.2", "9.5 in")


def files(books: dict[str, dict[str, str]] = BOOKS) -> dict[str, str]:
    """The body's files by path."""
    found = {"rulesets/saltmarsh/body.yaml": "name: Saltmarsh Circuit Club\nclasses: [silhouette-b, touring-c]\n"}
    previous = ""
    for season, chapters in books.items():
        folder = f"rulesets/saltmarsh/{season}"
        before = f"previous: {previous}\n" if previous else ""
        found[f"{folder}/edition.yaml"] = f"title: Rules {season}\neffective: {season}-01-01\n{before}closed: [aero]\n"
        found |= {f"{folder}/{name}.md": text for name, text in chapters.items()}
        previous = season
    if books is BOOKS:
        found["rulesets/saltmarsh/2024/bulletins/1.md"] = BULLETIN
    return found


def threads(workspace: Workspace) -> Threads:
    """The body's rules by thread."""
    return Threads(course=course(workspace, seasons(workspace, "saltmarsh"), compare_editions))
