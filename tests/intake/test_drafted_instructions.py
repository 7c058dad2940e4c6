"""Instructions recognised in the paragraphs of a published bulletin."""

import pytest

from rulewatch.intake.drafted import drafted


def pieces(text):
    """Each piece: `#` for an instruction, `#:` for one whose text follows, `?` for a doubtful one, then its words."""
    signs = {(True, False, False): "# ", (True, True, False): "#: ", (False, False, False): "", (False, False, True): "? "}
    return [signs[each.is_instruction, each.takes_text, bool(each.doubt)] + each.text for each in drafted(text)]


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("1. In Article 4.2, replace “60 mm” with “75 mm”.", ["# In Article 4.2, replace “60 mm” with “75 mm”"]),
        ("(a) Delete clause 5.3.", ["# Delete clause 5.3"]),
        ("• Renumber 4.3 as 4.4.", ["# Renumber 4.3 as 4.4"]),
        ("5.3 is deleted.", ["# 5.3 is deleted"]),
        ("Add a new clause 5.4 to read:", ["#: Add a new clause 5.4 to read:"]),
        ("Add a new clause 5.4 to read: A nut is tight.", ["#: Add a new clause 5.4 to read:", "A nut is tight."]),
        ("5.4 is revised to read as follows: A nut. A stud.", ["#: 5.4 is revised to read as follows:", "A nut. A stud."]),
        ("Revise 5.4 to read: “A nut is tight.”", ["# Revise 5.4 to read: “A nut is tight.”"]),
        (
            "In 4.2, replace “60 mm” with “75 mm”. Delete 5.3; and renumber 5.4 as 5.3.",
            ["# In 4.2, replace “60 mm” with “75 mm”", "# Delete 5.3", "# Renumber 5.4 as 5.3"],
        ),
        ("Delete 5.3. Renumber 5.4 as 5.3.", ["# Delete 5.3", "# Renumber 5.4 as 5.3"]),
        ("In 4.2, delete “It is red. It is new.”. Reserve 4.3.", ["# In 4.2, delete “It is red. It is new.”", "# Reserve 4.3"]),
        ("Delete 5.3. The crews are thanked.", ["# Delete 5.3", "The crews are thanked."]),
        ("The table in 5.3 is replaced as shown.", ["? The table in 5.3 is replaced as shown."]),
        ("Delete the last two rows of the table in 5.3.", ["? Delete the last two rows of the table in 5.3."]),
        ("In 2026 the club met 5 times.", ["? In 2026 the club met 5 times."]),
        ("4.2 is amended as follows:", ["? 4.2 is amended as follows:"]),
        ("The committee met in spring.", ["The committee met in spring."]),
        ("Wheels shall be removed before the car is weighed.", ["Wheels shall be removed before the car is weighed."]),
        ("", []),
    ],
)
def test_only_what_reads_as_an_instruction_becomes_one(text, expected):
    """What only seems to be one is left as text, marked as doubtful; a text that an instruction announces follows it."""
    assert pieces(text) == expected


def test_a_doubt_says_what_does_not_fit():
    """As the fault of the sentence would."""
    (piece,) = drafted("Suspend 5.2 until the summer.")
    assert piece.doubt == "perhaps an instruction: `the summer`, expected `Suspend 5.2 until 2027-09-01`"
