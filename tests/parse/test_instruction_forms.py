"""Sentences of drafting offices, read as instructions."""

from datetime import date

import pytest

from rulewatch.model.fault import Fault, Source
from rulewatch.model.instruction import EACH, LAST, Act, Extent, Instruction, Where
from rulewatch.parse.instruction_forms import begins_instruction, parse_instruction


def said(text):
    """What a sentence asks for, in a few words each: the act, its numbers, and what else it says."""
    found = parse_instruction(text, 1, 4, Source(path="1.md", text=f"## {text}"))
    assert isinstance(found, Instruction), found
    numbers = [f"{each.number}–{each.through}" if each.through else each.number for each in found.targets]
    extra = {
        "to": [f"{each.number}–{each.through}" if each.through else each.number for each in found.to],
        "sought": found.sought and found.sought.text,
        "words": found.words and found.words.text,
        "occurrence": found.occurrence,
        "where": found.where,
        "beside": found.beside and found.beside.number,
        "extent": found.extent if found.extent is not Extent.CLAUSE else None,
        "until": found.until,
        "corrects": found.corrects,
        "deep": any(each.deep for each in found.targets),
        "renumbered": any(each.renumbered for each in found.targets),
    }
    return found.act, numbers, {key: value for key, value in extra.items() if value}


RIM = {"sought": "60 mm", "words": "75 mm"}
END = {"words": "At most two.", "where": Where.END}
SENTENCES = [
    ("In Article 4.2, replace “60 mm” with “75 mm”.", Act.REPLACE_WORDS, ["4.2"], RIM),
    ('Replace "60 mm" by "75 mm" in 4.2', Act.REPLACE_WORDS, ["4.2"], RIM),
    ("In 4.2, “60 mm” is replaced by “75 mm”", Act.REPLACE_WORDS, ["4.2"], RIM),
    ("In 4.2, substitute “75 mm” for “60 mm”", Act.REPLACE_WORDS, ["4.2"], RIM),
    ("In 4.2, for “60 mm” substitute “75 mm”.", Act.REPLACE_WORDS, ["4.2"], RIM),
    ("In 4.2, for “60 mm”, “75 mm” is substituted", Act.REPLACE_WORDS, ["4.2"], RIM),
    ("In 4.2, change “60 mm” to “75 mm”", Act.REPLACE_WORDS, ["4.2"], RIM),
    ("Replace each “60 mm” with “75 mm” in 4.2 and 4.3", Act.REPLACE_WORDS, ["4.2", "4.3"], {**RIM, "occurrence": EACH}),
    ("Replace “60 mm” with “75 mm” wherever it occurs in 4.2", Act.REPLACE_WORDS, ["4.2"], {**RIM, "occurrence": EACH}),
    ("In 4.2, replace the second “60 mm” with “75 mm”", Act.REPLACE_WORDS, ["4.2"], {**RIM, "occurrence": 2}),
    ("Throughout 4, replace each “60 mm” by “75 mm”", Act.REPLACE_WORDS, ["4"], {**RIM, "occurrence": EACH, "deep": True}),
    ("Correct “60 mm” to “75 mm” in 4.2", Act.REPLACE_WORDS, ["4.2"], RIM),
    ("Correct 4.2: replace “60 mm” with “75 mm”", Act.REPLACE_WORDS, ["4.2"], RIM),
    ("Correct bulletin 2: in 4.2, replace “60 mm” with “75 mm”", Act.REPLACE_WORDS, ["4.2"], {**RIM, "corrects": "2"}),
    ("In newly redesignated 4.2, replace “60 mm” with “75 mm”", Act.REPLACE_WORDS, ["4.2"], {**RIM, "renumbered": True}),
    (
        "In 4.2, insert “steel” before “rim”",
        Act.INSERT_WORDS,
        ["4.2"],
        {"sought": "rim", "words": "steel", "where": Where.BEFORE},
    ),
    (
        "Insert “or alloy” after the second “steel” in 4.2",
        Act.INSERT_WORDS,
        ["4.2"],
        {"sought": "steel", "words": "or alloy", "where": Where.AFTER, "occurrence": 2},
    ),
    ("Add “At most two.” at the end of 4.2", Act.INSERT_WORDS, ["4.2"], END),
    ("In 4.2, add at the end: “At most two.”", Act.INSERT_WORDS, ["4.2"], END),
    ("Add at the beginning of 4.2:", Act.INSERT_WORDS, ["4.2"], {"where": Where.START}),
    (
        "In 4.2, delete the words “if fitted” each time it occurs",
        Act.STRIKE_WORDS,
        ["4.2"],
        {"sought": "if fitted", "occurrence": EACH},
    ),
    ("Strike the last “and” from 4.2", Act.STRIKE_WORDS, ["4.2"], {"sought": "and", "occurrence": LAST}),
    ("Delete clause 5.3.", Act.REMOVE, ["5.3"], {}),
    ("5.3 and 5.4 are hereby deleted.", Act.REMOVE, ["5.3", "5.4"], {}),
    ("Remove 5.3 to 5.6", Act.REMOVE, ["5.3–5.6"], {}),
    ("Annex A/1.2 is deleted", Act.REMOVE, ["Annex A/1.2"], {}),
    ("In 5.2, delete (a)(1) and (b)", Act.REMOVE, ["5.2(a)(1)", "5.2(b)"], {}),
    ("Remove 5.2(a)(1) and (2)", Act.REMOVE, ["5.2(a)(1)", "5.2(a)(2)"], {}),
    ("Remove and reserve 5.3", Act.RESERVE, ["5.3"], {}),
    ("5.3 is removed and reserved.", Act.RESERVE, ["5.3"], {}),
    ("Add a new clause 5.4 to read:", Act.ADD, ["5.4"], {}),
    ("A new clause 5.4 is added to read as follows:", Act.ADD, ["5.4"], {}),
    ("Insert 3.1.6A after 3.1.6", Act.ADD, ["3.1.6A"], {"where": Where.AFTER, "beside": "3.1.6"}),
    ("In 352.204, add a new (a)(2) to read as follows:", Act.ADD, ["352.204(a)(2)"], {}),
    ("Revise 4.2 to read “A rim is round.”", Act.REVISE, ["4.2"], {"words": "A rim is round."}),
    ("4.2 shall read as follows:", Act.REVISE, ["4.2"], {}),
    ("4.2 is amended to read:", Act.REVISE, ["4.2"], {}),
    ("Replace 4.2 with the following:", Act.REVISE, ["4.2"], {}),
    ("Revise the introductory text of 4.2 to read:", Act.REVISE, ["4.2"], {"extent": Extent.TEXT}),
    ("Revise the heading of 4.2 to read “Rims”", Act.REVISE, ["4.2"], {"extent": Extent.HEADING, "words": "Rims"}),
    ("Revise 4.2 as a whole to read:", Act.REVISE, ["4.2"], {"extent": Extent.WHOLE}),
    ("Correct 4.2 to read:", Act.REVISE, ["4.2"], {}),
    ("Renumber 4.3 as 4.4", Act.REDESIGNATE, ["4.3"], {"to": ["4.4"]}),
    ("Renumber 4.3 to 4.4", Act.REDESIGNATE, ["4.3"], {"to": ["4.4"]}),
    ("Redesignate 4.3–4.6 as 4.4–4.7", Act.REDESIGNATE, ["4.3–4.6"], {"to": ["4.4–4.7"]}),
    ("Redesignate 4.3 as 4.4 and 4.4 as 4.5", Act.REDESIGNATE, ["4.3", "4.4"], {"to": ["4.4", "4.5"]}),
    ("Redesignate 4.3 and 4.4 as 4.4 and 4.5, respectively", Act.REDESIGNATE, ["4.3", "4.4"], {"to": ["4.4", "4.5"]}),
    ("In 352.204, (a)(2) is redesignated as (a)(3)", Act.REDESIGNATE, ["352.204(a)(2)"], {"to": ["352.204(a)(3)"]}),
    ("Redesignate 5.2(a)(2) as (3)", Act.REDESIGNATE, ["5.2(a)(2)"], {"to": ["5.2(a)(3)"]}),
    ("Suspend 5.2 until 2027-09-01", Act.SUSPEND, ["5.2"], {"until": date(2027, 9, 1)}),
    ("5.2 is suspended until September 1, 2027.", Act.SUSPEND, ["5.2"], {"until": date(2027, 9, 1)}),
    ("Suspend 5.2 and 5.3 until 1st September 2027", Act.SUSPEND, ["5.2", "5.3"], {"until": date(2027, 9, 1)}),
    ("Suspend 5.2 until further notice", Act.SUSPEND, ["5.2"], {}),
    ("The suspension of 5.2 is lifted", Act.LIFT, ["5.2"], {}),
    ("Split 4.2 into 4.2 and 4.3, to read:", Act.SPLIT, ["4.2"], {"to": ["4.2", "4.3"]}),
    ("Merge 4.2 and 4.3 as 4.2, to read:", Act.JOIN, ["4.2", "4.3"], {"to": ["4.2"]}),
]


@pytest.mark.parametrize(("text", "act", "numbers", "extra"), SENTENCES, ids=[each[0] for each in SENTENCES])
def test_a_sentence_says_what_is_to_be_done_where(text, act, numbers, extra):
    """Commands and sentences that tell, in the usual words, with numbers, words and what else there is."""
    assert begins_instruction(text)
    assert said(text) == (act, numbers, extra)


@pytest.mark.parametrize(
    "text",
    [
        "5.2.1 Rear rims",
        "5.3 Wheels are removed before scrutineering",
        "A.1 A new wing",
        "5.4 To be suspended",
        "Annex B Wheels",
    ],
)
def test_a_heading_that_only_sounds_like_an_instruction_is_a_clause(text):
    """A number with its heading stays what it was, though the words of an instruction stand in it."""
    assert not begins_instruction(text)


@pytest.mark.parametrize(
    ("text", "expected"),
    [
        ("Delete 5.3 today", "15 `today`, expected `Remove 5.3` or `In 5.2, remove “words”`"),
        ("Suspend 5.2 until 31 June 2027", "22 `31 June 2027`, expected `Suspend 5.2 until 2027-09-01`"),
        ("Redesignate 5.2", "19 the end of the instruction, expected `Redesignate 4.3 as 4.4`"),
        ("In 5.2, “a” is replaced by b", "31 `b`, expected `In 5.2, replace “old words” with “new words”`"),
    ],
)
def test_what_a_form_does_not_have_is_told_with_its_column_and_the_usual_form(text, expected):
    """The column is that of the first word that does not fit, in a sentence that tells as well."""
    found = parse_instruction(text, 1, 4, Source(path="1.md", text=f"## {text}"))
    assert isinstance(found, Fault)
    assert (found.code, f"{found.place.column} {found.message}") == ("bad-instruction", expected)
