"""Blocks that mark doubtful places of a chapter: no text of their clause, and open until someone takes them away."""

from __future__ import annotations

from rulewatch.model.fault import Source
from rulewatch.parse.clauses import parse_chapter

CHAPTER = """\
```doubtful
page 1, line 9: a picture stands here
```

# 5 Wheels

5.1 All wheels shall

```doubtful
page 12, line 3: 5.2 is missing
```

be of metal.

5.3 Rims are round.
"""


def test_a_doubtful_place_is_no_text_of_its_clause():
    """The words around the block are the clause's, as if it were not there."""
    chapter = parse_chapter(Source(path="05.md", text=CHAPTER))
    without = parse_chapter(Source(path="05.md", text="\n".join(CHAPTER.split("\n")[4:8] + CHAPTER.split("\n")[12:])))
    assert [(clause.id, clause.digest) for clause in chapter.clauses] == [(one.id, one.digest) for one in without.clauses]
    assert chapter.faults == ()


def test_a_doubtful_place_knows_its_clause_and_its_line():
    """In front of the first clause it stands under none."""
    found = parse_chapter(Source(path="05.md", text=CHAPTER)).doubts
    assert [(one.clause, one.why, one.place.line) for one in found] == [
        ("", "page 1, line 9: a picture stands here", 1),
        ("5.1", "page 12, line 3: 5.2 is missing", 9),
    ]
