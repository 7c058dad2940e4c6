"""The job list of a car: `jobs.yaml`.

People write here as they like: a key that is not known is pointed out and left alone, and anchors may be used.
"""

from __future__ import annotations

import re
from datetime import date

from rulewatch.model.fault import Fault, Source
from rulewatch.model.job import Cause, Choice, Decision, Done, Job
from rulewatch.model.vocabulary import Vocabulary
from rulewatch.parse.fields import NO, YES, Fields, described, nearest, open_fields, read_date, read_text, read_word, shortened
from rulewatch.parse.nodes import ListNode, MapNode, Node, ScalarNode, read_yaml
from rulewatch.parse.points import is_name
from rulewatch.parse.values import ReadingContext, unknown_quantity
from rulewatch.parse.work import read_booked, read_hours, read_parts

KEYS = (
    *(
        "id",
        "cause",
        "decision",
        "by",
        "can",
        "skills",
        "due",
        "hours",
        "booked",
        "left",
        "after",
        "equipment",
        "parts",
        "wish",
    ),
    *("done", "alters", "note"),
)
CAUSE = "BODY/SEASON CLAUSE QUANTITY, such as saltmarsh/2027 4.3 engine.exhaust.noise"
DOTTED = re.compile(r"[a-z]\w*(?:\.[a-z]\w*)+")


def parse_jobs(source: Source, *, vocabulary: Vocabulary) -> tuple[tuple[Job, ...], tuple[Fault, ...]]:
    """The jobs of a car in the order of its `jobs.yaml`; one that does not say what it is is left out, with a fault."""
    node, faults = read_yaml(source, anchors=True)
    context = ReadingContext(source=source, faults=list(faults), vocabulary=vocabulary)
    if node is None or (isinstance(node, ScalarNode) and not node.quoted and not node.text):
        return (), faults
    if not isinstance(node, ListNode):
        context.fault("wrong-type", node, f"{described(node)} for jobs.yaml", expected="a list of jobs, each behind a dash")
        return (), tuple(context.faults)
    found: list[Job] = []
    lines: dict[str, int] = {}
    for item in node.items:
        job = _read_job(item, context)
        if job is not None and job.id in lines:
            what = f"the job `{shortened(job.id)}` again (first on line {lines[job.id]})"
            context.fault("duplicate-key", item, what, remedy="give one of the two another id")
        elif job is not None:
            found.append(job)
            lines.update({job.id: item.place.line} if job.id else {})
    return tuple(found), tuple(context.faults)


def _read_job(node: Node, context: ReadingContext) -> Job | None:
    part = open_fields(node, context, "a job", required=("what",), optional=KEYS, notes=True)
    what = part.text("what") if part is not None else ""
    if part is None or not what:
        return None
    return Job(
        id=part.text("id"),
        what=what,
        cause=_read_cause(part, context),
        decision=_read_decision(part),
        by=part.texts("by") if part.has("by") else (),
        due=_read_due(part),
        can=part.texts("can") if part.has("can") else (),
        skills=part.texts("skills") if part.has("skills") else (),
        hours=read_hours(part, "hours"),
        booked=read_booked(part) if part.has("booked") else (),
        left=read_hours(part, "left"),
        after=part.texts("after") if part.has("after") else (),
        equipment=part.texts("equipment") if part.has("equipment") else (),
        parts=read_parts(part) if part.has("parts") else (),
        wish=part.yes_no("wish"),
        done=_read_done(part),
        alters=_read_alters(part, context),
        note=part.text("note"),
        place=node.place,
    )


def _read_cause(part: Fields, context: ReadingContext) -> Cause | None:
    node = part.get("cause")
    text = read_text(node, context, "cause") if node is not None else None
    if node is None or text is None or not isinstance(node, ScalarNode):
        return None
    point, *words = text.split()
    body, _, season = point.partition("/")
    if not (words and is_name(body) and is_name(season)):
        context.fault("wrong-value", node, f"`{shortened(text)}` for `cause`", expected=CAUSE)
        return None
    quantity = ""
    if len(words) > 1 and (context.vocabulary.knows(words[-1]) or DOTTED.fullmatch(words[-1])):
        quantity = words.pop()
    if quantity and not context.vocabulary.knows(quantity):
        near = nearest(quantity, (*context.vocabulary.quantities, *context.vocabulary.components))
        remedy = f"did you mean `{near}`?" if near else "no change of the rules will be found to be about it"
        found = f"`{shortened(quantity)}` is not in the vocabulary"
        context.fault("unknown-quantity", node, found, remedy=remedy, warning=True)
    return Cause(body=body, season=season, clause=" ".join(words), quantity=quantity, place=node.place)


def _read_decision(part: Fields) -> Decision | None:
    """A choice alone, or with who made it, when and why."""
    node = part.get("decision")
    words = [choice.value for choice in Choice]
    if node is None:
        return None
    if not isinstance(node, MapNode):
        word = read_word(node, part.report, "decision", words)
        return Decision(choice=Choice(word)) if word else None
    inner = open_fields(node, part.report, "decision", required=("choice",), optional=("by", "on", "why"), notes=True)
    choice = inner.word("choice", Choice) if inner is not None else None
    if inner is None or choice is None:
        return None
    return Decision(choice=choice, by=inner.text("by"), on=inner.day("on"), why=inner.text("why"))


def _read_done(part: Fields) -> Done | None:
    """The day, `yes` or `no`, or a mapping that says by whom too."""
    node = part.get("done")
    if node is None:
        return None
    if isinstance(node, MapNode):
        inner = open_fields(node, part.report, "done", required=("on",), optional=("by",), notes=True)
        if inner is None:
            return None
        return Done(on=inner.day("on"), by=inner.texts("by") if inner.has("by") else ())
    if isinstance(node, ScalarNode) and node.text.lower() in YES | NO:
        return Done() if node.text.lower() in YES else None
    if isinstance(node, ScalarNode) and node.text[:1].isdigit():
        day = read_date(node, part.report, "done")
        return Done(on=day) if day else None
    part.report.fault("wrong-type", node, f"{described(node)} for `done`", expected="the day, yes or no, or {on: …, by: …}")
    return None


def _read_due(part: Fields) -> date | str | None:
    """A day, or the id of an event."""
    node = part.get("due")
    text = read_text(node, part.report, "due") if node is not None else None
    if node is None or text is None:
        return None
    if re.match(r"\d{4}-", text):
        return read_date(node, part.report, "due")
    if not is_name(text):
        part.report.fault("wrong-value", node, f"`{shortened(text)}` for `due`", expected="a day, or the id of an event")
        return None
    return text


def _read_alters(part: Fields, context: ReadingContext) -> tuple[str, ...]:
    """The quantities and components that the work alters."""
    names = part.texts("alters") if part.has("alters") else ()
    node = part.get("alters")
    items = node.items if isinstance(node, ListNode) else (node,)
    for item in items:
        if isinstance(item, ScalarNode) and item.text.strip() in names and not context.vocabulary.knows(item.text.strip()):
            unknown_quantity(item, context)
    return tuple(name for name in names if context.vocabulary.knows(name))
