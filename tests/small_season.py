"""A body with two seasons in few clauses, a car and a crew: what there is to confirm in the second one."""

from __future__ import annotations

import re

from support import BODY

from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_book

OLD, NEW = "rulesets/saltmarsh/2026", "rulesets/saltmarsh/2027"
CHAPTER = f"{NEW}/05-wheels.md"
RIM = "limit: {wheels.rear.rim_width: {max: 10 in}}"

BEFORE = """# 5 Wheels

## 5.1 Rear rims

A rear rim shall be no wider than 10 in.

```reading
# Ask the officials before Easter.
limit: {wheels.rear.rim_width: {max: 10 in}}   # at the bead seats
confirmed: …
```

## 5.2 Front rims

A front rim shall be no wider than 9 in.

```reading
limit: {wheels.front.rim_width: {max: 9 in}}
confirmed: …
```

## 5.3 Club flag

The flag shall be flown by the officials.

```reading
concerns: officials
confirmed: …
```
"""

# The same with what changed in winter: 5.1 is wider, 5.4 is new; 5.3 says the same of somebody else.
AFTER = (
    BEFORE.replace("wider than 10 in.", "wider than 11 in.").replace("by the officials", "by the marshals")
    + "\n## 5.4 Spacers\n\nWheel spacers are not permitted.\n"
)

CAR = """name: Marram
entries: [{body: saltmarsh, class: silhouette-b}]
spec:
  wheels.rear.rim_width: 10 in
  wheels.front.rim_width: 9 in
"""
OPTIONS = "- id: spacers\n  what: Wheel spacers of 10 mm\n  alter: {wheels.spacers: present}\n"
CREW = "people:\n  mara: {name: Mara Fenwright}\n  ines: {name: Ines Haldrow}\n"


def confirmed(text: str, like: str = "") -> str:
    """A chapter with every `confirmed: …` filled in, against its own text or that of the same clause in another chapter."""
    digests = {clause.id: clause.digest for clause in parse_book([Source(path="x.md", text=like or text)]).clauses}
    number, lines = "", []
    for line in text.split("\n"):
        found = re.match(r"#+ ([\d.]+)", line)
        number = found[1] if found else number
        lines.append(line.replace("…", f"{{by: mara, on: 2025-12-01, text: {digests.get(number, '')}}}"))
    return "\n".join(lines)


def season(after: str = AFTER, *, carried: bool = True) -> dict[str, str]:
    """The files; where nothing is `carried` yet, the new book has no readings."""
    chapter = confirmed(after, BEFORE) if carried else re.sub(r"\n```reading\n.*?\n```\n", "", after, flags=re.DOTALL)
    return {
        "rulesets/saltmarsh/body.yaml": BODY,
        f"{OLD}/edition.yaml": "title: Rules 2026\neffective: 2026-01-01\n",
        f"{OLD}/05-wheels.md": confirmed(BEFORE),
        f"{NEW}/edition.yaml": "title: Rules 2027\neffective: 2027-01-01\nprevious: 2026\n",
        CHAPTER: chapter,
        "cars/crew.yaml": CREW,
        "cars/marram/car.yaml": CAR,
    }
