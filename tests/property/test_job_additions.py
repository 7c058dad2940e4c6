"""Laws of adding jobs to a list that people write: nothing of theirs is lost, and what was meant is what it says."""

from __future__ import annotations

from hypothesis import assume, example, given, settings
from hypothesis import strategies as st

from rulewatch.model.fault import Place, Source
from rulewatch.model.job import Cause, Job
from rulewatch.parse.additions import add_jobs
from rulewatch.parse.jobs import parse_jobs
from rulewatch.parse.vocabulary import packaged_vocabulary

VOCABULARY = packaged_vocabulary()
RUN = settings(max_examples=100, deadline=None, derandomize=True)
WORDS = st.text(st.characters(exclude_categories=("Cs", "Cn")), min_size=1, max_size=30).map(
    lambda text: " ".join(text.split())
)
NAMES = st.from_regex(r"[a-z][a-z0-9-]{0,12}", fullmatch=True)


@st.composite
def additions(draw: st.DrawFn) -> tuple[Job, ...]:
    """Jobs as the changes suggest them, with any text in them, and numbers of clauses of any style."""
    found = []
    for name in draw(st.lists(NAMES, min_size=1, max_size=3, unique=True)):
        clause = draw(
            st.sampled_from(["4.3", "T.2.3", "4.2.1(a)", "§ 36a", "9.1.2.F.4.a", "Anlage VIII/1.2", "1#2", "[7], {x}"])
        )
        quantity = draw(st.sampled_from(["", "engine.exhaust.noise", "aero.rear_wing", "car.weight"]))
        cause = Cause(body="saltmarsh", season="2027", clause=clause, quantity=quantity)
        found.append(Job(id=f"new-{name}", what=draw(WORDS.filter(bool)), cause=cause, place=Place(path="jobs.yaml")))
    return tuple(found)


# Items and what stands around them, as people write: each item says what it is, and is one job.
ITEMS = [
    "what: Clutch",
    "what:   Clutch   # the old one slips\n  note: |\n    one\n\n    - two",
    "what: 'It''s time'\n  by: [mara, tobin]\n  colour: blue",
    'what: "a\\tb: c # d"\n  decision: {choice: never, why: "no, \\"never\\""}',
    "# first of all\n  what: Brakes\n  note: >-\n    folded\n    text",
    "&brakes\n  what: Brakes\n  hours: 2",
    "{what: In a row, done: yes}  # done",
    "what: Long\n    text over lines\n  # and a comment\n\n  due: spring",
    "note: |+\n    kept\n\n  what: Line ends",
]
FLOWS = [
    "{what: A}",
    "{what: 'B, c', by: [mara]}",
    '{"what": "C ] }"}',
    "{what: D,\n  note: e}",
    "&f {what: F}",
    "{what: G, extra: {h: [i]}}",
]
COMMENTS = ["", "# nothing\n", "\n", "#\ttab\twith ] and - what: none\n", "  # deep\n\n"]


@st.composite
def blocks(draw: st.DrawFn) -> str:
    """A list in lines of its own, at any depth, with comments and blank lines between."""
    indent = draw(st.sampled_from(["", "  ", "    "]))
    parts = []
    for item in draw(st.lists(st.sampled_from(ITEMS), max_size=4, unique=True)):
        lines = f"- {item}".split("\n")
        parts.append(draw(st.sampled_from(COMMENTS)) + "".join(f"{indent if line else ''}{line}\n" for line in lines))
    return "".join(parts)


@st.composite
def flows(draw: st.DrawFn) -> str:
    """A list between brackets, in one line or several, with or without a comma at its end."""
    gap = draw(st.sampled_from([" ", "\n  ", "  # why\n  ", "\n"]))
    items = draw(st.lists(st.sampled_from(FLOWS), max_size=3, unique=True))
    comma = draw(st.sampled_from(["", ",", " ,"])) if items else ""
    end = draw(st.sampled_from(["", " ", "\n", "  # last, ]\n", "\n  "]))
    return (
        draw(st.sampled_from(["", "&all "]))
        + "["
        + f",{gap}".join(items)
        + comma
        + end
        + "]"
        + draw(st.sampled_from(["", "\n"]))
    )


@st.composite
def files(draw: st.DrawFn) -> str:
    """A whole file, with or without markers of the document, a line feed at its end, or line ends of another system."""
    body = draw(st.one_of(blocks(), flows()))
    start = draw(st.sampled_from(["", "---\n", "%YAML 1.2\n---\n", "# list\n---  # here\n"]))
    end = draw(st.sampled_from(["", "# the end\n", "...\n", "\n\n", "...\n# after\n"]))
    if not body.endswith("\n") and end:
        body += "\n"
    text = start + draw(st.sampled_from(COMMENTS)) + body + end
    if draw(st.booleans()):
        text = text.removesuffix("\n")
    return text.replace("\n", "\r\n") if draw(st.booleans()) else text


def read(text: str):
    """The jobs of a text, and what is wrong with it."""
    return parse_jobs(Source(path="jobs.yaml", text=text.replace("\r\n", "\n")), vocabulary=VOCABULARY)


def is_within(old: str, new: str) -> bool:
    """Whether a text came of another by inserting alone."""
    rest = iter(new)
    return all(sign in rest for sign in old)


@RUN
@given(files(), additions())
@example("", (Job(id="new", what="Read it", place=Place(path="x")),))
@example("- what: a\r\n  note: |+\r\n    x\r\n\r\n", (Job(id="new", what="a \u2028 \x85 \ufeff \x1b", place=Place(path="x")),))
def test_what_is_added_stands_behind_what_was_there(text, jobs):
    """Whatever the style of the file: all of it is still there, in order, with the new jobs and nothing else behind it."""
    before, wrong = read(text)
    assume(not any(not fault.warning for fault in wrong))
    new = add_jobs("jobs.yaml", text, jobs, VOCABULARY)
    assert isinstance(new, str), new
    assert is_within(text, new)
    after, faults = read(new)
    assert after == (*before, *jobs)
    assert [fault.message for fault in faults] == [fault.message for fault in wrong]
    for line in text.split("\n"):
        if "#" in line:
            assert line.strip() in new or line.replace("  #", ",  #").strip() in new
    assert ("\r\n" in text) <= (new.count("\n") == new.count("\r\n"))


@RUN
@given(files(), additions())
def test_adding_twice_adds_behind(text, jobs):
    """What was added once is as good as written by hand."""
    assume(not any(not fault.warning for fault in read(text)[1]))
    first = add_jobs("jobs.yaml", text, jobs[:1], VOCABULARY)
    assert isinstance(first, str)
    more = tuple(Job(id=f"more-{job.id}", what=job.what, cause=job.cause, place=job.place) for job in jobs)
    second = add_jobs("jobs.yaml", first, more, VOCABULARY)
    assert isinstance(second, str)
    assert is_within(first, second)
    assert read(second)[0] == (*read(text)[0], jobs[0], *more)


@RUN
@given(st.text(st.sampled_from("-[]{}#:,&*!|>'\"%@ \t\n\rawht.~"), max_size=40), additions())
def test_a_file_of_any_kind_is_added_to_or_left(text, jobs):
    """Either it is a list and has the new jobs, or there is a fault, and no text that could be written."""
    new = add_jobs("jobs.yaml", text, jobs, VOCABULARY)
    if isinstance(new, str):
        assert is_within(text, new)
        assert read(new)[0] == (*read(text)[0], *jobs)
    else:
        assert any(not fault.warning for fault in new)
