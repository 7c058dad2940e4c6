"""The walk through what is open, with a person who is played: what each key writes, shows and refuses."""

from __future__ import annotations

from collections.abc import Callable, Iterable
from datetime import date

import pytest
from small_season import CHAPTER, season

from rulewatch.cli.confirm_walk import HELP, WORDS, Stop, Walk
from rulewatch.cli.editing import CUT, Draft
from rulewatch.confirming import Desk
from rulewatch.model.edition import Point

DAY = date(2026, 12, 1)


class Played:
    """Presses keys from a list; before a key, whatever else goes on at that moment is done. Then nothing comes any more."""

    def __init__(self, keys: Iterable[str], *, lines: Iterable[str] = (), edits: Iterable[Callable[[str], str | None]] = ()):
        self.keys, self.lines, self.edits = list(keys), list(lines), list(edits)
        self.sheets: list[str] = []

    def key(self) -> str:
        """The next key."""
        while self.keys and callable(self.keys[0]):
            self.keys.pop(0)()
        return self.keys.pop(0) if self.keys else ""

    def line(self, prompt: str) -> str:
        """The next line."""
        assert prompt
        return self.lines.pop(0)

    def edit(self, draft: Draft) -> str | None:
        """What the next edit makes of the sheet."""
        self.sheets.append(draft.file.read_text())
        text = self.edits.pop(0)(self.sheets[-1])
        if text is not None:
            draft.write(text)
        return text


@pytest.fixture
def walk(put, capsys, monkeypatch):
    """Walk through the small season, or other files; gives what was printed, the chapter, and the walk."""
    monkeypatch.setenv("COLUMNS", "120")

    def run(hands, files=None, *clauses):
        root = put(files if files is not None else season())
        desk = Desk(root, Point(body="saltmarsh", season="2027"))
        stops = [Stop(desk=desk, step=step) for step in desk.steps(clauses).value]
        one = Walk(root=root, stops=stops, hands=hands, by="ines", day=DAY)
        try:
            one.run()
        finally:
            captured = capsys.readouterr()
        return captured.out + captured.err, (root / CHAPTER).read_text(), one

    return run


def below(sheet: str, text: str) -> str:
    """A sheet with another reading below its line."""
    return f"{sheet.partition(CUT)[0]}{CUT}\n{text}\n"


def test_taking_keeping_and_skipping(walk):
    """5.1 is taken as proposed, 5.4 skipped, 5.3 kept; each is written, and the end says what is left."""
    printed, text, _ = walk(Played("psk"))
    assert "{max: 11 in}}   # at the bead seats\nconfirmed: {by: ines, on: 2026-12-01, text: " in text
    assert "concerns: officials\nconfirmed: {by: ines, on: 2026-12-01, text: " in text
    assert text.endswith("Wheel spacers are not permitted.\n")
    assert f"Taken: 5.1, written to {CHAPTER}." in printed
    assert printed.endswith("1 taken, 1 kept; 1 clause still open.\n")


def test_a_clause_is_shown_with_all_that_helps_to_decide(walk):
    """Where it stands, whom it concerns, what changed of its words, the reading in its own words and in plain ones, the proposal."""
    printed, _, _ = walk(Played("q"))
    shown = [line.strip() for line in printed.splitlines() if line.strip()]
    assert shown[0].startswith("── saltmarsh/2027 ─")
    assert shown[0].endswith("─ 1 of 3 ──")
    assert shown[1:-2] == [
        "5.1  Rear rims",
        "concerns marram in silhouette-b",
        "The text, and what changed since 5.1 of the book before",
        "A rear rim shall be no wider than ~~10 in~~ __11 in__.",
        "The reading, confirmed by mara on 2025-12-01 against another text",
        "# Ask the officials before Easter.",
        "limit: {wheels.rear.rim_width: {max: 10 in}} # at the bead seats",
        "That is: Rear rim width must be at most 10 in.",
        "Proposed, as the numbers moved",
        "# Ask the officials before Easter.",
        "limit: {wheels.rear.rim_width: {max: ~~10 in~~ __11 in__}} # at the bead seats",
        "That is: Rear rim width must be at most 11 in.",
    ]
    assert shown[-2] == "k keep  p take  e edit  a ask  s skip  c concerns  ? help  q quit"
    assert shown[-1] == "Nothing decided; 3 clauses still open."


def test_a_suggestion_is_shown_with_the_words_it_came_from_and_waits(walk):
    """Nothing of it is written by being shown; taken, it stands there as it was shown."""
    printed, text, _ = walk(Played("q"), None, "5.4")
    assert "No reading\n\nSuggested, from the words of the clause\n    limit: {wheels.spacers: absent}\n" in printed
    assert "← “" in printed
    assert "spacers: absent" not in text
    _, text, _ = walk(Played("p"), None, "5.4")
    assert "not permitted.\n\n```reading\nlimit: {wheels.spacers: absent}\nconfirmed: {by: ines" in text


def test_keeping_what_the_text_contradicts_is_refused_and_said(walk):
    """The person stays at the clause, and nothing is written."""
    printed, text, _ = walk(Played("kq"))
    assert "reading-contradicts-text `10 in` is not in the text of 5.1" in printed
    assert "Nothing is written: edit the reading, or skip it.\n" in printed
    assert "ines" not in text


@pytest.mark.parametrize(
    ("keys", "clauses", "told"),
    [
        ("k", ("5.4",), "There is no reading to keep: take what is suggested, or edit."),
        ("k", ("5.2",), "It is confirmed already."),
        ("p", ("5.3",), "There is nothing to take here."),
        ("b", (), "This is the first one."),
        ("x", (), "That key does nothing: ? shows those that do."),
        ("\x1b[A", (), "That key does nothing: ? shows those that do."),
    ],
)
def test_a_key_that_does_nothing_here_says_why(walk, keys, clauses, told):
    """And the walk goes on."""
    printed, text, _ = walk(Played([keys, "q"]), None, *clauses)
    assert f"{told}\n" in printed
    assert "ines" not in text


def test_help_tells_of_every_key(walk):
    """The list of keys and their help belong together."""
    printed, _, _ = walk(Played("?q"))
    assert HELP.keys() == WORDS.keys()
    assert all(what.split()[0] in printed for what in HELP.values())


def test_whom_it_concerns_is_told_with_how_the_car_stands(walk):
    """The verdict as it is now, while the reading is not confirmed."""
    printed, _, _ = walk(Played("cq"))
    assert (
        "marram in silhouette-b: unknown. Rear rim width: 10 in, must be at most 10 in; the reading is not confirmed"
        in " ".join(printed.split())
    )


# --- Asking -----------------------------------------------------------------------------------------------------------


def test_a_question_stays_with_the_reading_and_confirms_nothing(walk):
    """The old confirmation stays, so that the reading is open until somebody confirms it."""
    printed, text, _ = walk(Played("aq", lines=["With the tyre on?"]))
    assert "text: " in text
    assert 'ask: "With the tyre on?"\n```' in text
    assert "by: ines" not in text
    assert "1 asked; 3 clauses still open." in printed
    printed, _, again = walk(Played("q"), {})
    assert [stop.step.name for stop in again.stops] == ["5.4", "5.3", "5.1"]


def test_a_question_about_an_unread_clause_is_a_reading_of_its_own(walk):
    """It takes note of the numbers of the text, so that nothing of them is forgotten."""
    files = season()
    files[CHAPTER] = files[CHAPTER].replace("not permitted.", "of no more than 5 mm are not frowned upon.")
    _, text, _ = walk(Played("aq", lines=["Are they allowed?"]), files, "5.4")
    assert text.endswith('```reading\nask: "Are they allowed?"\nnoted: [5 mm]\n```\n')


def test_thinking_better_of_a_question_leaves_the_clause(walk):
    """An empty line asks nothing."""
    _, text, _ = walk(Played("aq", lines=[""]))
    assert "ask" not in text.replace("Ask the officials", "")


# --- Editing ----------------------------------------------------------------------------------------------------------


def test_what_is_edited_counts_as_confirmed(walk):
    """The sheet shows the clause and the proposal above the line; below it stands the reading."""
    hands = Played("eq", edits=[lambda sheet: sheet.replace("10 in}}   #", "11 in}}   #")])
    _, text, _ = walk(hands)
    (sheet,) = hands.sheets
    above, _, reading = sheet.partition(CUT)
    assert "# A rear rim shall be no wider than 11 in.\n" in above
    assert "#     limit: {wheels.rear.rim_width: {max: 11 in}}   # at the bead seats\n" in above
    assert reading.startswith("\n# Ask the officials before Easter.\nlimit: {wheels.rear.rim_width: {max: 10 in}}   #")
    assert "{max: 11 in}}   # at the bead seats\nconfirmed: {by: ines" in text


def test_what_is_wrong_is_shown_and_edited_again(walk):
    """The sheet comes back as it was left, with what is wrong at its head, and is gone when it is written."""
    hands = Played(
        "eeq",
        edits=[
            lambda sheet: below(sheet, "limit: {wheels.rear.rim_widht: {max: 11 in}}"),
            lambda sheet: sheet.replace("widht", "width"),
        ],
    )
    printed, text, walked = walk(hands)
    assert "unknown-quantity" in printed
    assert "Nothing is written yet: e edits it again, any other key leaves it for later." in printed
    assert hands.sheets[1].startswith("#! unknown-quantity ")
    assert "limit: {wheels.rear.rim_width: {max: 11 in}}\nconfirmed: {by: ines" in text
    assert walked.drafts == {}


def test_a_draft_that_is_left_is_not_lost(walk):
    """It is there when the person comes back to it, and the end says where it lies."""
    wrong = "limit: {wheels.rear.rim_widht: {max: 11 in}}"
    hands = Played("esbeqq", edits=[lambda sheet: below(sheet, wrong), lambda sheet: sheet])
    printed, text, walked = walk(hands)
    (draft,) = walked.drafts.values()
    assert wrong in hands.sheets[1]
    assert wrong in draft.file.read_text()
    assert f"What you wrote for saltmarsh/2027 5.1 is kept in {draft.file}.\n" in printed
    assert "widht" not in text
    draft.discard()


@pytest.mark.parametrize("edit", [lambda sheet: sheet, lambda sheet: below(sheet, ""), lambda _: None])
def test_editing_nothing_changes_nothing(walk, edit):
    """Saved as it was, emptied, or without an editor: the reading is left, and no draft lies about."""
    _, text, walked = walk(Played("eq", edits=[edit]))
    assert "ines" not in text
    assert walked.drafts == {}


def test_one_reading_may_become_two(walk):
    """Each between its own fences; both are confirmed."""
    two = "```reading\nclasses: [silhouette-b]\nlimit: {wheels.rear.rim_width: {max: 11 in}}\n```\n\n```reading\nclasses: [touring-c]\nlimit: {wheels.rear.rim_width: {max: 11 in}}\n```"
    _, text, _ = walk(Played("eq", edits=[lambda sheet: below(sheet, two)]))
    assert text.count("by: ines") == 2
    assert "```\n\n```reading\nclasses: [touring-c]" in text


# --- Back and meanwhile -----------------------------------------------------------------------------------------------


def test_going_back_shows_what_was_decided_and_lets_decide_again(walk):
    """The clause is read anew: it is confirmed now, and can be edited."""
    hands = Played(
        "pbeq", edits=[lambda sheet: sheet.replace("{max: 11 in}}", "{max: 11 in}, wheels.front.rim_width: {max: 11 in}}")]
    )
    printed, text, _ = walk(hands)
    assert "The reading, confirmed by ines on 2026-12-01\n" in printed
    assert "{max: 11 in}, wheels.front.rim_width: {max: 11 in}}   # at the bead seats" in text


def test_a_file_that_was_changed_meanwhile_is_not_overwritten(walk, put):
    """It is said, the clause is shown as it stands now, and then it can be decided."""
    files = season()
    theirs = files[CHAPTER].replace("than 11 in.", "than 11.5 in.")
    printed, text, _ = walk(Played([lambda: put({CHAPTER: theirs}), "p", "p", "q"]), files)
    assert "stale-decision the text of 5.1 was changed meanwhile; look at it again: it is shown as it stands now" in printed
    assert "__11.5 in__" in printed
    assert "no wider than 11.5 in." in text
    assert "{max: 11.5 in}}   # at the bead seats\nconfirmed: {by: ines" in text


def test_a_clause_that_went_meanwhile_is_passed_by(walk, put):
    """There is nothing to show of it any more."""
    files = season()
    gone = files[CHAPTER].replace("## 5.1 Rear rims", "## 5.7 Rear rims")
    printed, text, _ = walk(Played([lambda: put({CHAPTER: gone}), "p", "q"]), files)
    assert "5.1 is not in this file any more" in printed
    assert "5.1 cannot be shown any more." in printed
    assert text == gone


def test_the_readings_of_one_clause_are_decided_one_by_one(walk):
    """Each is written by itself, also after the first became two; the places of the others are followed."""
    files = season()
    first = "limit: {wheels.rear.rim_width: {max: 10 in}}"
    files[CHAPTER] = files[CHAPTER].replace(
        "\n```\n\n## 5.2",
        "\n```\n\n```reading\nclasses: [touring-c]\n"
        + files[CHAPTER].split("```reading\n")[1].split("```")[0]
        + "```\n\n## 5.2",
    )
    two = f"```reading\nclasses: [silhouette-b]\n{first}\n```\n\n```reading\nclasses: [touring-c]\n{first}\n```".replace(
        "10 in", "11 in"
    )
    hands = Played("epq", edits=[lambda sheet: below(sheet, two)])
    printed, text, _ = walk(hands, files)
    assert "Edited: 5.1:1" in printed
    assert "Taken: 5.1:3" in printed
    assert text.count("by: ines") == 3
    assert text.count("max: 11 in") == 3


def test_an_interruption_goes_through_and_loses_nothing(walk, put):
    """Ctrl-C leaves the walk with the status that a shell expects; what was decided is written."""

    def interrupt() -> None:
        raise KeyboardInterrupt

    with pytest.raises(KeyboardInterrupt):
        walk(Played(["p", interrupt]))
    assert "confirmed: {by: ines" in (put({}) / CHAPTER).read_text()
