"""Which changed clauses of the demo would not reach a car if nobody had read them, each judged by hand.

A clause without a confirmed reading reaches the crew as *read* unless its words speak only of parts that the car lacks, and neither
ask for them nor permit them. Here every changed clause of both bodies is taken as if it had no reading.
"""

from __future__ import annotations

from collections.abc import Iterator
from itertools import pairwise
from pathlib import Path

from rulewatch import courses
from rulewatch.assess.entries import judged_before
from rulewatch.assess.facts import Facts
from rulewatch.assess.idle import may_concern
from rulewatch.assess.subjects import Context
from rulewatch.assess.topics import Topics
from rulewatch.assess.unread import reworded
from rulewatch.library import Library
from rulewatch.pipeline import assess
from rulewatch.two_points import compared

ROOT = Path(__file__).parents[1]

# Season, number and car: why it is right to leave the clause out.
LEFT_OUT = {
    ("saltmarsh/2027", "8.18", car): "how air jacks are fed and propped; the car has none, and the clause asks for none"
    for car in ("dunlin", "marram", "samphire")
}


def contexts() -> Iterator[tuple[str, Context]]:
    """Every entry of the demo between two seasons of its body, by the newer one."""
    with Library(ROOT) as library:
        workspace = library.workspace()
        assert workspace is not None
        topics = Topics(vocabulary=workspace.vocabulary)
        for body in workspace.bodies:
            for old, new in pairwise(courses.seasons(workspace, body)):
                comparison = compared(library, old, new)
                for after in assess(new, workspace.cars, workspace):
                    before = judged_before(old, after, workspace.vocabulary)
                    facts = Facts(car=after.car, vocabulary=workspace.vocabulary)
                    yield (
                        f"{body}/{new.header.season}",
                        Context(comparison=comparison, before=before, after=after, facts=facts, topics=topics, crew_p=0.0),
                    )


def test_what_is_left_out_is_left_out_rightly():
    """Of some four hundred clauses and entries, three are left out, all of them rightly, and none is left out wrongly."""
    left_out, asked = set(), 0
    for season, context in contexts():
        for change in context.comparison.changed:
            if reworded(change):
                asked += 1
                if not may_concern(change, context):
                    left_out.add((season, change.key, context.after.car.id))
    assert left_out == set(LEFT_OUT)
    assert asked == 412
