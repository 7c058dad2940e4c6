"""What bulletins tell of clauses: pairs that need no guess between two days of a season, and how a timeline names them."""

from dataclasses import replace

from support import BODY, MemoryTree

from rulewatch import courses
from rulewatch.compare.comparison import compare_editions
from rulewatch.compare.threads import Threads
from rulewatch.compare.told import told_pairs
from rulewatch.model.edition import Point, Selector, SettledPair
from rulewatch.model.fault import Place
from rulewatch.publish.timeline_words import state_words, station_words
from rulewatch.workspace import Workspace

FOLDER = "rulesets/saltmarsh/2027"
EDITION = "title: Rules\npublished: 2026-11-01\neffective: 2027-01-01\nevents: [{id: finale, title: Finale, on: 2027-10-10}]\n"
BOOK = "## 5.1\n\nA rim is round and has no crack.\n\n## 5.2\n\nA nut is tight.\n\n## 5.3\n\nA valve has a cap.\n"
WHOLE = Point(body="saltmarsh", season="2027")


def workspace(*bulletins):
    """The book with bulletins, each from a month later than the one before."""
    files = {
        f"{FOLDER}/bulletins/{at}.md": f"---\nnumber: {at}\npublished: 2027-01-10\neffective: 2027-0{at + 1}-01\n---\n\n{blocks}\n"
        for at, blocks in enumerate(bulletins, 1)
    }
    return Workspace(
        MemoryTree(
            contents={"rulesets/saltmarsh/body.yaml": BODY, f"{FOLDER}/edition.yaml": EDITION, f"{FOLDER}/05.md": BOOK, **files}
        )
    )


def editions(*bulletins):
    """The book as published and with every bulletin."""
    found = workspace(*bulletins)
    both = found.edition(replace(WHOLE, selector=Selector.PUBLISHED)), found.edition(WHOLE)
    assert found.faults == ()
    return both


def told(*bulletins):
    """The pairs that bulletins tell."""
    return {(one.old, one.new) for one in told_pairs(*editions(*bulletins))}


def test_what_is_renumbered_split_or_joined_is_told_through_several_bulletins():
    """The last number is paired with the published one; a number that was used again has no counterpart."""
    assert told("## Renumber 5.2 as 5.4", "## Renumber 5.4 as 5.5") == {(("5.2",), ("5.5",))}
    assert told("## Renumber 5.2 as 5.4\n\n## Add 5.2 to read “A hub turns.”") == {(("5.2",), ("5.4",)), ((), ("5.2",))}
    assert told("## Join 5.2 and 5.3 as 5.2, to read “All is tight.”") == {(("5.2", "5.3"), ("5.2",))}
    split = "## Split 5.1 into 5.1 and 5.4, to read:\n\n### 5.1\n\nA rim is round.\n\n### 5.4\n\nA rim has no crack."
    assert told(split) == {(("5.1",), ("5.1", "5.4"))}


def test_texts_without_such_instructions_are_paired_by_what_they_say():
    """Changed words need nothing told, and neither do other bodies or seasons."""
    assert told("## In 5.2, replace “tight” with “new”") == set()
    old, new = editions("## Renumber 5.2 as 5.4")
    assert told_pairs(replace(old, header=replace(old.header, season="2026")), new) == ()


def test_what_a_person_settled_otherwise_stays():
    """A pair of pairs.yaml takes its clauses; the comparison calls only that settled."""
    old, new = editions("## Renumber 5.2 as 5.4")
    assert told_pairs(old, new, [SettledPair(old=("5.2",), new=("5.3",), place=Place(path="pairs.yaml"))]) == ()
    (change,) = compare_editions(old, new).changed
    assert (change.certainty, change.settled) == (1, False)


def test_a_timeline_follows_a_clause_through_its_suspension():
    """There is a station for the end of it, and the clause is told to be suspended, and then in force again."""
    found = workspace("## Suspend 5.2 until 2027-06-01", "## Renumber 5.2 as 5.4")
    course = courses.course(found, [found.edition(WHOLE)], compare_editions)
    threads = Threads(course=course)
    timeline = threads.timeline(threads.find("saltmarsh", "5.4"))
    assert [(station_words(one), state_words(one, first=at == 0)) for at, one in enumerate(timeline.stations)] == [
        ("2027", "first known"),
        ("Bulletin 1", "suspended"),
        ("Bulletin 2", "renumbered"),
        ("Suspension end", "in force again"),
    ]
