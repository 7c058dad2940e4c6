"""Laws of bulletins by instruction, on generated books and bulletins."""

from datetime import date, timedelta

from hypothesis import given, settings
from hypothesis import strategies as st
from support import BODY, MemoryTree

from rulewatch.compare.comparison import compare_editions
from rulewatch.model.change import Kind
from rulewatch.model.edition import Point, Selector
from rulewatch.parse.consolidation import consolidate
from rulewatch.workspace import Workspace

SETTINGS = settings(max_examples=100, deadline=None, derandomize=True)
FOLDER = "rulesets/saltmarsh/2027"
EDITION = "title: Rules\npublished: 2026-11-01\neffective: 2027-01-01\nevents: [{id: finale, title: Finale, on: 2027-10-10}]\n"
THINGS = ("rim", "hub", "nut", "stud", "valve", "tyre", "cap", "spacer", "disc", "pad", "caliper", "hose")
SAYINGS = (
    "A {} shall be no wider than {} mm, measured where it is widest.",
    "Each {} shall weigh {} g or more with all that is fixed to it.",
    "No car may carry more than one {} for every {} kg of its weight.",
)
COUNT = 9
WHOLE = Point(body="saltmarsh", season="2027")
PUBLISHED = Point(body="saltmarsh", season="2027", selector=Selector.PUBLISHED)


def sentence(number: int) -> str:
    """The text of a clause: no two are alike, and each names its amount once."""
    return SAYINGS[number % len(SAYINGS)].format(THINGS[number % len(THINGS)], 100 + 7 * number)


def amount(number: int) -> str:
    """The amount in it."""
    return str(100 + 7 * number)


BOOK = "".join(f"## 5.{number}\n\n{sentence(number)}\n\n" for number in range(1, COUNT + 1))


def workspace(*bulletins: tuple[str, str, str]) -> Workspace:
    """The book with bulletins, each of a number, the day from which it holds, and its blocks."""
    files = {
        f"{FOLDER}/bulletins/{number}.md": f"---\nnumber: {number}\npublished: 2027-01-10\neffective: {day}\n---\n\n{blocks}"
        for number, day, blocks in bulletins
    }
    return Workspace(
        MemoryTree(
            contents={"rulesets/saltmarsh/body.yaml": BODY, f"{FOLDER}/edition.yaml": EDITION, f"{FOLDER}/05.md": BOOK, **files}
        )
    )


def block(act: str, number: int) -> tuple[str, tuple[Kind, tuple[str, ...], tuple[str, ...]]]:
    """An instruction on a clause, and the change that it is."""
    one = f"5.{number}"
    same = (Kind.SUBSTITUTION, (one,), (one,))
    free = f"5.{number + 20}"
    return {
        "remove": (f"## Remove {one}", (Kind.REPEAL, (one,), ())),
        "revise": (f"## {one} is revised to read:\n\n{sentence(number)} It is painted.", same),
        "replace": (f"## In {one}, replace “{amount(number)}” with “{1000 + number}”", same),
        "strike": (f"## Strike “shall be” from {one}" if number % 3 == 0 else f"## Strike “{amount(number)}” from {one}", same),
        "append": (f"## Add “It is clean.” at the end of {one}", same),
        "mark": (f"## {one}\n\n{sentence(number).replace(amount(number), f'~~{amount(number)}~~ ++999++')}", same),
        "renumber": (f"## Renumber {one} as {free}", (Kind.RENUMBERING, (one,), (free,))),
        "add": (
            f"## Add {free} to read:\n\nFlag number {number} hangs beside the gate of the paddock.",
            (Kind.INSERTION, (), (free,)),
        ),
    }[act]


ACTS = st.sampled_from(["remove", "revise", "replace", "strike", "append", "mark", "renumber", "add"])
ASKED = st.dictionaries(st.integers(1, COUNT), ACTS, min_size=1, max_size=5)


@SETTINGS
@given(ASKED)
def test_comparing_gives_back_exactly_what_a_bulletin_asks_for(asked):
    """Each instruction is one change of its kind between the same numbers, and nothing else changed."""
    blocks = [block(act, number) for number, act in asked.items()]
    found = workspace(("1", "2027-03-01", "\n\n".join(text for text, _ in blocks)))
    old, new = found.edition(PUBLISHED), found.edition(WHOLE)
    assert found.faults == ()
    changes = {
        (tuple(clause.id for clause in one.old), tuple(clause.id for clause in one.new)): one.kinds
        for one in compare_editions(old, new).changed
    }
    assert changes == {(before, after): (kind,) for _, (kind, before, after) in blocks}


DAYS = st.integers(0, 200).map(lambda days: date(2027, 2, 1) + timedelta(days=days))


@SETTINGS
@given(
    st.lists(st.tuples(DAYS, st.integers(1, COUNT), st.text("abcxyz", min_size=3, max_size=6)), min_size=1, max_size=6),
    st.randoms(),
)
def test_applying_bulletins_one_by_one_in_order_of_date_is_consolidation(written, random):
    """Whatever the order of their files; and every point on or after a bulletin's day has it."""
    blocks = [
        (str(at), str(day), f"## Add “The {word} is new.” at the end of 5.{number}")
        for at, (day, number, word) in enumerate(written, 1)
    ]
    shuffled = list(blocks)
    random.shuffle(shuffled)
    found = workspace(*shuffled)
    whole = found.edition(WHOLE)
    assert found.faults == ()
    published = found.edition(PUBLISHED)
    clauses = published.clauses
    for one in sorted(whole.applied, key=lambda each: (each.effective, int(each.number))):
        clauses = consolidate(clauses, {}, [one]).clauses
    assert [each.text for each in clauses] == [each.text for each in whole.clauses]
    for day, number, word in written:
        at = found.edition(Point(body="saltmarsh", season="2027", selector=Selector.DATE, day=day))
        before = found.edition(Point(body="saltmarsh", season="2027", selector=Selector.DATE, day=day - timedelta(days=1)))
        assert at.by_id[f"5.{number}"].text.count(f"The {word} is new.") > before.by_id[f"5.{number}"].text.count(
            f"The {word} is new."
        )


@SETTINGS
@given(st.sets(st.integers(1, COUNT), min_size=1, max_size=4), DAYS, st.integers(1, 60), st.booleans())
def test_a_suspension_that_has_ended_leaves_the_text_as_it_was(numbers, day, length, lifted):
    """By its own day or lifted by another bulletin; until then the clauses say only that they are suspended."""
    end = day + timedelta(days=length)
    named = ", ".join(f"5.{number}" for number in sorted(numbers))
    until = "further notice" if lifted else str(end)
    bulletins = [("1", str(day), f"## Suspend {named} until {until}")]
    bulletins += [("2", str(end), f"## Lift the suspension of {named}")] if lifted else []
    found = workspace(*bulletins)
    published, last = found.edition(PUBLISHED), found.edition(WHOLE)
    during = found.edition(Point(body="saltmarsh", season="2027", selector=Selector.DATE, day=end - timedelta(days=1)))
    assert found.faults == ()
    assert [(each.id, each.text) for each in last.clauses] == [(each.id, each.text) for each in published.clauses]
    assert {each.id for each in during.clauses if each.says_nothing} == {f"5.{number}" for number in numbers}


@SETTINGS
@given(st.lists(st.sampled_from(range(1, COUNT + 1)), min_size=1, unique=True))
def test_renumbering_there_and_back_leaves_the_text_as_it_was(numbers):
    """All of a bulletin's numbers are given at once, so that clauses can change places."""
    ring = [*numbers[1:], numbers[0]]
    there = "Renumber " + " and ".join(f"5.{old} as 5.{new}" for old, new in zip(numbers, ring, strict=True))
    back = "Renumber " + " and ".join(f"5.{new} as 5.{old}" for old, new in zip(numbers, ring, strict=True))
    if len(numbers) == 1:
        there, back = f"Renumber 5.{numbers[0]} as 5.50", f"Renumber 5.50 as 5.{numbers[0]}"
    found = workspace(("1", "2027-03-01", f"## {there}"), ("2", "2027-04-01", f"## {back}"))
    published, whole = found.edition(PUBLISHED), found.edition(WHOLE)
    assert found.faults == ()
    assert [(each.id, each.label, each.text) for each in whole.clauses] == [
        (each.id, each.label, each.text) for each in published.clauses
    ]


@SETTINGS
@given(st.lists(st.integers(1, COUNT), min_size=1, unique=True))
def test_clauses_written_as_they_stand_are_read_as_they_were(numbers):
    """A bulletin that gives clauses the text that they have changes nothing."""
    published = workspace().edition(PUBLISHED)
    blocks = "\n\n".join(f"## 5.{number}\n\n{published.by_id[f'5.{number}'].text}" for number in numbers)
    found = workspace(("1", "2027-03-01", blocks))
    whole = found.edition(WHOLE)
    assert found.faults == ()
    assert [(each.id, each.text, each.digest) for each in whole.clauses] == [
        (each.id, each.text, each.digest) for each in published.clauses
    ]


NUMBERS = st.sampled_from(
    ["5.1", "5.2", "5.3", "5.2(a)", "5.2(a)(1)", "5.2(b)", "5.4", "6", "(a)", "Article 5.1", "5.1–5.3", "5.x", "5.2()", "5"]
)
WORDS = st.sampled_from(["no wider", "A", "is", "~~", "++x++", "\\", "5.1", "mm, measured", "x [y](z)"])
FORMS = (
    "Remove {0}", "Reserve {0}", "Suspend {0} until 2027-09-01", "Lift the suspension of {0}", "Renumber {0} as {1}",
    "Redesignate {0} and {1} as {2} and {3}, respectively", "In {0}, redesignate (a) as (b)", "Add {0} to read “{4}”",
    "Insert {0} after {1} to read “{4}”", "Revise {0} to read “{4}”", "Revise {0} as a whole to read “{4}”", "Revise the text of {0} to read “{4}”",
    "Revise the heading of {0} to read “{4}”", "In {0}, replace each “{4}” with “{5}”", "Throughout {0}, delete each “{4}”",
    "In {0}, insert “{4}” after the last “{5}”", "Add “{4}” at the end of {0}", "Join {0} and {1} as {2}, to read “{4}”",
    "Split {0} into {1} and {2}, to read:\n\n### {1}\n\nOne part.\n\n### {2}\n\nAnother part.", "In newly redesignated {0}, delete “{4}”",
)  # fmt: skip
ANY = st.builds(
    lambda form, numbers, words: f"## {form.format(*numbers, *words)}",
    st.sampled_from(FORMS),
    st.tuples(*[NUMBERS] * 4),
    st.tuples(WORDS, WORDS),
)
PARTS = "## 5.2\n\nParts:\n\n(a) A nut is new:\n\n(1) a stud is whole;\n\n(b) A valve has a cap.\n"


@SETTINGS
@given(st.lists(ANY, min_size=1, max_size=5), st.lists(ANY, max_size=3))
def test_whatever_bulletins_say_the_text_stays_a_book(first, second):
    """No number stands twice, every clause has its parent, readings have their clause; what cannot be done is a fault."""
    later = [("3", "2027-04-01", "\n\n".join(second))] if second else []
    found = workspace(("1", "2027-02-01", PARTS), ("2", "2027-03-01", "\n\n".join(first)), *later)
    for day in (date(2027, 3, 1), date(2027, 12, 31)):
        book = found.edition(Point(body="saltmarsh", season="2027", selector=Selector.DATE, day=day))
        numbers = [clause.id for clause in book.clauses]
        assert len(numbers) == len(set(numbers))
        assert {clause.parent for clause in book.clauses} <= {"", *numbers}
        assert all(fault.message for fault in found.faults)
