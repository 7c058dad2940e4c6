"""The words and signs of the site: one table for each closed list, with what each word means.

A sign (`mark`) is a shape; its colour repeats what shape and word say already, and never says it alone.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date

from rulewatch.model.change import Effect, Kind, Reason, Tie
from rulewatch.model.impact import Need, Outcome, Sort, Verdict

MONTHS = [
    "January",
    "February",
    "March",
    "April",
    "May",
    "June",
    "July",
    "August",
    "September",
    "October",
    "November",
    "December",
]
WEEKDAYS = ["Monday", "Tuesday", "Wednesday", "Thursday", "Friday", "Saturday", "Sunday"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Term:
    """A word that the site uses, its sign, and what it means."""

    word: str
    mark: str
    meaning: str


OUTCOMES: dict[Outcome, Term] = {
    Outcome.BREACH: Term(
        word="Breach",
        mark="cross",
        meaning="Not illegal before, illegal now. Something must be done before the first event under the new rules.",
    ),
    Outcome.STILL_IN_BREACH: Term(
        word="Still in breach", mark="cross-open", meaning="Illegal before and illegal now; the change did not cure it."
    ),
    Outcome.MEASURE: Term(
        word="To measure",
        mark="rule",
        meaning="A value is missing, stale, or was taken under other conditions. Until it is measured nothing is known.",
    ),
    Outcome.READ: Term(
        word="To read",
        mark="page",
        meaning="The wording changed on a part that this car has, and no confirmed reading covers it yet.",
    ),
    Outcome.AT_RISK: Term(
        word="At risk",
        mark="half",
        meaning="Legal by its value, but nearer to the limit than the measurement can tell.",
    ),
    Outcome.CLOSING: Term(word="Closing", mark="shut", meaning="An option that was allowed no longer is."),
    Outcome.CURED: Term(word="Cured", mark="mended", meaning="Not legal before, legal now."),
    Outcome.OPENING: Term(
        word="Opening", mark="open", meaning="An option, or a part that this car lacks, was not allowed and now is."
    ),
    Outcome.TIGHTER: Term(word="Tighter", mark="inward", meaning="Legal before and now, with less room to the limit."),
    Outcome.ROOMIER: Term(word="Roomier", mark="outward", meaning="Legal before and now, with more room to the limit."),
    Outcome.NONE: Term(word="No effect", mark="dash", meaning="The change does nothing to this entry; the reason is given."),
}

VERDICTS: dict[Verdict, Term] = {
    Verdict.ILLEGAL: Term(word="Illegal", mark="cross", meaning="By our reading and this car's values, the rule is not met."),
    Verdict.UNKNOWN: Term(
        word="Unknown",
        mark="query",
        meaning="Something that is needed is not stated, or no confirmed reading covers the clause. It is not a pass.",
    ),
    Verdict.LEGAL: Term(word="Legal", mark="tick", meaning="By our confirmed reading and this car's values, the rule is met."),
}
NOT_APPLYING = Term(word="Does not apply", mark="dash", meaning="The rule is about something else than this car as it stands.")

EFFECTS: dict[Effect, Term] = {
    Effect.TIGHTENED: Term(
        word="tightened", mark="inward", meaning="Some cars that were allowed no longer are; none is newly allowed."
    ),
    Effect.LOOSENED: Term(word="loosened", mark="outward", meaning="Every car that was allowed still is, and more besides."),
    Effect.SHIFTED: Term(
        word="shifted", mark="shift", meaning="Some cars are newly allowed, and some that were no longer are."
    ),
    Effect.UNREAD: Term(
        word="unread",
        mark="page",
        meaning="The text changed, and a reading is missing on one side: nobody has said yet what it does.",
    ),
    Effect.UNDECIDED: Term(
        word="undecided", mark="query", meaning="Both sides are read, but this comparison cannot decide which cars they allow."
    ),
    Effect.SAME: Term(word="same", mark="dash", meaning="The same cars are allowed as before, whatever became of the words."),
}

KINDS: dict[Kind, Term] = {
    Kind.SUBSTITUTION: Term(word="reworded", mark="", meaning="The text was replaced by another (substitution)."),
    Kind.INSERTION: Term(word="new", mark="", meaning="The clause was not in the old book (insertion)."),
    Kind.REPEAL: Term(word="repealed", mark="", meaning="The clause is no longer in the book."),
    Kind.RENUMBERING: Term(word="renumbered", mark="", meaning="The clause has another number."),
    Kind.MOVE: Term(word="moved", mark="", meaning="The clause stands in another chapter or under another clause."),
    Kind.SPLIT: Term(word="split", mark="", meaning="One clause became several."),
    Kind.JOIN: Term(word="joined", mark="", meaning="Several clauses became one."),
}

TIES: dict[Tie, str] = {
    Tie.REFERENCE: "refers to",
    Tie.DEFINITION: "uses the term “{}” of",
    Tie.QUANTITY: "depends on the {} of",
}

OPEN: dict[str, Term] = {
    "doubtful-place": Term(
        word="To look up",
        mark="query",
        meaning="It is not certain that the text was taken from the published book as it stands there.",
    ),
    "unread": Term(word="To read", mark="page", meaning="No reading covers the clause: nothing in it is checked on any car."),
    "unconfirmed": Term(
        word="To confirm", mark="page", meaning="Nobody has compared the reading with the text that stands there now."
    ),
    "unanswered": Term(word="To ask", mark="query", meaning="A question to the officials waits for its answer."),
    "unmeasured": Term(word="To measure", mark="rule", meaning="A rule asks for a value that the car does not state as asked."),
    "draft": Term(
        word="Draft", mark="page", meaning="A bulletin that is only proposed: it is checked, and counts for nothing yet."
    ),
    "unpaired": Term(
        word="To pair", mark="shift", meaning="It is not certain which clause of the old book this one comes from."
    ),
}

NEEDS: dict[Need, str] = {Need.MEASURE: "to measure", Need.READ: "to read", Need.ASK: "to be answered"}

SORTS: dict[Sort, str] = {
    Sort.LIMIT: "",
    Sort.CLOSED: "only what is permitted may be altered here",
    Sort.WEIGHT: "",
    Sort.WAIVER: "by waiver",
    Sort.DATED: "by its age",
    Sort.UNREAD: "not read yet",
}


def tie_words(reason: Reason, about: str = "") -> str:
    """Why a clause hangs on the one that is named next; `about` is the label of a quantity."""
    return TIES[reason.tie].format(about or reason.about)


def day_words(day: date, *, weekday: bool = False) -> str:
    """A day as people write it: `20 March 2027`, or `Saturday 20 March 2027`."""
    text = f"{day.day} {MONTHS[day.month - 1]} {day.year}"
    return f"{WEEKDAYS[day.weekday()]} {text}" if weekday else text


def day_range(first: date, last: date | None) -> str:
    """Days as people write them: `Saturday 20 to Sunday 21 March 2027`; one day where there is no other last one."""
    if last is None or last == first:
        return day_words(first, weekday=True)
    parts = day_words(first, weekday=True).split(" ")
    shared = 2 if (first.year, first.month) == (last.year, last.month) else 1 if first.year == last.year else 0
    return f"{' '.join(parts[: len(parts) - shared])} to {day_words(last, weekday=True)}"


def count_words(number: int, one: str, many: str = "") -> str:
    """A count with its noun: `1 clause`, `3 clauses`."""
    return f"{number} {one if number == 1 else many or one + 's'}"


def listed(parts: list[str] | tuple[str, ...], last: str = "and") -> str:
    """Words in a row: `a`, `a and b`, `a, b and c`."""
    if len(parts) < 2:  # noqa: PLR2004 - one is no row
        return "".join(parts)
    return f"{', '.join(parts[:-1])} {last} {parts[-1]}"
