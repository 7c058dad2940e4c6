"""A clause by itself, where what stands behind it is another in the old book than in the new one."""

from generated_rules import CLASS, VOCABULARY, edition

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.change import Effect

PROJECTED = "{of: aero.splitter.projection, rate: 50 %, plus: 1 cm}"
OLD = {
    1: ("stays", "limit: {aero.splitter: absent}"),
    2: ("stays", "limit: {wheels.rear.rim_width: {min: 1 cm}}"),
}
NEW = {
    1: ("is another one now", "limit: {wheels.rear.rim_width: {min: 1 cm}}"),
    2: ("is another one now", f"limit: {{wheels.rear.rim_width: {{min: {PROJECTED}}}}}\ninstead_of: ['9.1']"),
}


def test_a_car_that_lost_and_one_that_gained_decide_though_one_surrounding_is_undecided():
    """A bound that hangs on a part which some cars lack leaves one surrounding open; the other shows both ways."""
    comparison = compare_editions(edition("2026", OLD, ""), edition("2027", NEW, ""), vocabulary=VOCABULARY)
    change = next(one for one in comparison.changed if one.new[0].id == "9.2")
    assert change.effects[CLASS] is Effect.SHIFTED
    assert {witness.gained for witness in change.witness[CLASS] if witness.alone} == {True, False}
