"""Instructions behind a clause number, in the draft of a published bulletin."""

import pytest

from rulewatch.intake.bulletin_draft import draft_text
from rulewatch.intake.plain_text import read_plain_text


@pytest.mark.parametrize("said", ["5.3 The words “hub” are struck out.", "5.3 6 per cent instead of 5 per cent."])
def test_an_instruction_that_is_not_understood_begins_no_block(said):
    """It stays as it stands, and is never the new text of the clause whose number it has."""
    assert "\n## 5.3" not in "\n" + _drafted(said)


def test_an_instruction_behind_a_number_is_a_heading():
    """`5.2 Delete.` takes 5.2 out."""
    assert "## In 5.2 Delete." in _drafted("5.2 Delete.")


def _drafted(said):
    """The draft's text of a bulletin of two paragraphs, of which the second is the one said."""
    data = f"This bulletin amends the rules.\n\n{said}\n".encode()
    return draft_text([read_plain_text(data, "notice.txt")], {"5.2", "5.3"}).text
