"""Laws of verdicts, on generated books and cars."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from fractions import Fraction

from hypothesis import given, settings
from hypothesis import strategies as st
from support import BODY, MemoryTree, confirm

from rulewatch.assess.impact import impacts
from rulewatch.assess.topics import Topics
from rulewatch.assess.verdicts import judge
from rulewatch.assess.weight import SUBJECT as WEIGHT
from rulewatch.compare.comparison import compare_editions
from rulewatch.model.edition import Point
from rulewatch.model.impact import Outcome, Verdict
from rulewatch.parse.vocabulary import packaged_vocabulary
from rulewatch.workspace import Workspace

DAY = date(2027, 4, 10)
FIXED = settings(max_examples=100, deadline=None, derandomize=True)

# A few quantities and parts of the packaged vocabulary that rules and cars below speak of.
LENGTHS = ("wheels.rear.rim_width", "aero.rear_wing.width", "aero.splitter.projection")
PARTS = ("aero.rear_wing", "aero.splitter")

sizes = st.integers(min_value=1, max_value=12)


@st.composite
def conditions(draw, depth=2):
    """A condition in YAML flow style."""
    kind = draw(st.sampled_from(["length", "part", "any", "not"] if depth else ["length", "part"]))
    if kind == "length":
        return f"{{{draw(st.sampled_from(LENGTHS))}: {{{draw(st.sampled_from(['min', 'max', 'over', 'under']))}: {draw(sizes)} cm}}}}"
    if kind == "part":
        return f"{{{draw(st.sampled_from(PARTS))}: {draw(st.sampled_from(['present', 'absent']))}}}"
    if kind == "not":
        return f"{{not: {draw(conditions(depth=depth - 1))}}}"
    return f"{{any: [{draw(conditions(depth=depth - 1))}, {draw(conditions(depth=depth - 1))}]}}"


@st.composite
def readings(draw, number: int, count: int):
    """One reading of clause `number` of `count`, in YAML."""
    lines = [f"when: {draw(conditions())}"] if draw(st.booleans()) else []
    kind = draw(st.sampled_from(["limit", "limit", "part", "allow", "instead", "minimum", "adder"]))
    if kind in {"limit", "instead"}:
        lines.append(
            f"limit: {{{draw(st.sampled_from(LENGTHS))}: {{{draw(st.sampled_from(['min', 'max']))}: {draw(sizes)} cm}}}}"
        )
    if kind == "instead":
        lines.append(f"instead_of: ['9.{draw(st.integers(min_value=1, max_value=count))}']")
    if kind == "part":
        lines.append(f"limit: {{{draw(st.sampled_from(PARTS))}: {draw(st.sampled_from(['present', 'absent']))}}}")
    if kind == "allow":
        lines.append(f"allow: {{{draw(st.sampled_from(PARTS))}: {draw(st.sampled_from(['present', 'absent']))}}}")
    if kind == "minimum":
        lines.append(f"weight: {{minimum: {draw(sizes)} kg}}")
    if kind == "adder":
        lines.append(f"weight: {{add: {draw(st.sampled_from(['2 kg', '-2 kg', '10 %']))}}}")
    return "\n".join(lines)


@st.composite
def books(draw):
    """A book of two to six clauses whose readings are checked against no text: every number is in every clause."""
    count = draw(st.integers(min_value=2, max_value=6))
    numbers = ", ".join(f"{size} cm and {size} kg" for size in range(1, 13))
    return "".join(
        f"## 9.{number} Rule with {numbers}, 2 kg, -2 kg, 10 %\n\n```reading\n{draw(readings(number, count))}\n```\n\n"
        for number in range(1, count + 1)
    )


@st.composite
def specs(draw):
    """What a car states of each quantity and part, if anything."""
    spec: dict[str, str] = {}
    for part in PARTS:
        if draw(st.booleans()):
            spec[part] = draw(st.sampled_from(["present", "absent"]))
    for name in LENGTHS:
        absent = any(name.startswith(part) and stated == "absent" for part, stated in spec.items())
        if not absent and draw(st.booleans()):
            spec[name] = f"{draw(sizes)} cm"
    if draw(st.booleans()):
        spec["car.weight"] = f"{draw(sizes)} kg"
    return spec


def judged(book: str, spec: dict[str, str], unconfirmed: tuple[str, ...] = ()):
    """The car's assessment; text checks are left to their own tests."""
    lines = "".join(f"  {name}: {value}\n" for name, value in spec.items())
    workspace = Workspace(
        MemoryTree(
            contents={
                "rulesets/saltmarsh/body.yaml": BODY,
                "rulesets/saltmarsh/2027/edition.yaml": "title: Rules\nclosed: [aero.rear_wing, aero.splitter]\n",
                "rulesets/saltmarsh/2027/01-rules.md": book,
                "cars/heron/car.yaml": (
                    "name: Heron\nentries: [{body: saltmarsh, class: silhouette-b}]\n"
                    "standard: {aero.rear_wing: absent, aero.splitter.projection: 5 cm}\n"
                    + (f"spec:\n{lines}" if lines else "")
                ),
            }
        )
    )
    edition, car = workspace.edition(Point(body="saltmarsh", season="2027")), workspace.car("heron")
    assert {fault.code for fault in workspace.faults} <= {"number-not-used"}
    return judge(confirm(edition, but=unconfirmed), car, car.entries[0], DAY, workspace.vocabulary)


@FIXED
@given(books(), specs(), st.data())
def test_removing_a_value_never_makes_legal(book, spec, data):
    """What is illegal or unknown does not become legal because a car states less; nor does legal become illegal."""
    if not spec:
        return
    gone = data.draw(st.sampled_from(sorted(spec)))
    full, less = judged(book, spec).verdict, judged(book, {name: value for name, value in spec.items() if name != gone}).verdict
    assert less is full or less is Verdict.UNKNOWN


@FIXED
@given(books(), specs(), st.integers(min_value=1, max_value=6))
def test_withdrawing_a_confirmation_never_makes_legal(book, spec, number):
    """A reading that loses its confirmation makes nothing legal that was not."""
    full, less = judged(book, spec).verdict, judged(book, spec, (f"9.{number}",)).verdict
    assert less is full or less is not Verdict.LEGAL


@FIXED
@given(sizes, sizes, sizes)
def test_tightened_limit_never_increases_a_margin(car, old, new):
    """The smaller of two upper limits leaves the smaller margin, and never turns illegal into legal."""
    tight, loose = sorted((old, new))

    def finding(bound: int):
        book = f"## 9.1 At most {bound} cm.\n\n```reading\nlimit: {{wheels.rear.rim_width: {{max: {bound} cm}}}}\n```\n"
        (found,) = judged(book, {"wheels.rear.rim_width": f"{car} cm"}).about(["wheels.rear.rim_width"])
        return found

    tighter, looser = finding(tight), finding(loose)
    assert tighter.margin.span <= looser.margin.span
    assert looser.margin.minus(tighter.margin).span == Fraction(loose - tight, 100)
    assert not (tighter.verdict is Verdict.LEGAL and looser.verdict is Verdict.ILLEGAL)


@FIXED
@given(books())
def test_a_book_compared_with_itself_has_no_change(book):
    """Comparing a text with itself gives no change, every clause paired with itself for certain."""
    assessment = judged(book, {})
    comparison = compare_editions(assessment.edition, replace(assessment.edition))
    assert comparison.changed == ()
    assert all(change.certainty == 1 and change.old == change.new and not change.reinterpreted for change in comparison.changes)


@FIXED
@given(books(), books(), specs())
def test_no_breach_goes_untold(old, new, spec):
    """Whatever is illegal now and was not before is told as a breach, by a change or on its own."""
    before, after = judged(old, spec), judged(new, spec)
    comparison = compare_editions(before.edition, after.edition)
    found = impacts(comparison, before, after, Topics(vocabulary=packaged_vocabulary()))
    told = {outcome for impact in found for outcome in (impact.outcome, *impact.also)}
    assert all(impact.change is not None or impact.outcome is not Outcome.NONE for impact in found if impact.subject != WEIGHT)
    for subject in {finding.subject for finding in after.findings}:
        was, now = (Verdict.every(one.verdict for one in side.about((subject,))) for side in (before, after))
        if now is Verdict.ILLEGAL and was is not Verdict.ILLEGAL:
            assert Outcome.BREACH in told, subject
