"""The walk in a real terminal: keys one by one, styles, Ctrl-C, a closed terminal, an editor."""

from __future__ import annotations

import os
import pty
import re
import select
import signal
import subprocess
import sys
import termios
import time
from collections.abc import Callable, Iterator

import pytest
from small_season import CHAPTER, season

SECONDS = 30
KEYS = " quit"  # the last word before a key is waited for


class Terminal:
    """The program at a terminal of its own, 80 columns wide."""

    def __init__(self, root, *arguments: str, **environment: str) -> None:
        self.hand, mouth = pty.openpty()
        termios.tcsetwinsize(self.hand, (40, 80))
        own = {name: value for name, value in os.environ.items() if name not in ("NO_COLOR", "COLUMNS", "GIT_AUTHOR_NAME")}
        self.process = subprocess.Popen(
            [sys.executable, "-m", "rulewatch", "-C", str(root), "confirm", *arguments],
            stdin=mouth,
            stdout=mouth,
            stderr=mouth,
            start_new_session=True,
            preexec_fn=self._control,  # noqa: PLW1509 - the tests have one thread
            env={**own, "TERM": "xterm-256color", **environment},
        )
        os.close(mouth)
        self.seen = ""

    @staticmethod
    def _control() -> None:
        """Make the terminal the one that controls the process, so that closing it hangs up."""
        import fcntl

        fcntl.ioctl(0, termios.TIOCSCTTY, 0)

    def until(self, words: str) -> str:
        """Read on until the words were printed; what was printed until then."""
        end = time.monotonic() + SECONDS
        while words not in self.seen and time.monotonic() < end:
            ready, _, _ = select.select([self.hand], [], [], 0.5)
            try:
                data = os.read(self.hand, 65536) if ready else b""
            except OSError:
                break
            self.seen += data.decode(errors="replace")
        assert words in self.seen, self.seen
        before, _, self.seen = self.seen.partition(words)
        return before

    def press(self, keys: str) -> None:
        """Press keys, once the program waits for one."""
        end = time.monotonic() + SECONDS
        while self.is_as_it_was() and time.monotonic() < end:
            time.sleep(0.01)
        os.write(self.hand, keys.encode())

    def type(self, line: str) -> None:
        """Type a line."""
        os.write(self.hand, f"{line}\n".encode())

    def is_as_it_was(self) -> bool:
        """Whether the terminal takes whole lines, as it does while no key is waited for."""
        return bool(termios.tcgetattr(self.hand)[3] & termios.ICANON)

    def ended(self) -> int:
        """The status, once the program has ended."""
        return self.process.wait(SECONDS)

    def close(self) -> None:
        """Close the terminal, as one closes a window."""
        os.close(self.hand)


@pytest.fixture
def at_terminal(put) -> Iterator[Callable[..., tuple[Terminal, Callable[[], str]]]]:
    """Confirm at a terminal; gives that, and how to read the chapter. What still runs at the end is ended."""
    opened: list[Terminal] = []

    def run(*arguments: str, **environment: str):
        root = put(season())
        terminal = Terminal(root, "--by", "ines", "--today", "2026-12-01", *arguments, **environment)
        opened.append(terminal)
        return terminal, (root / CHAPTER).read_text

    yield run
    for terminal in opened:
        if terminal.process.poll() is None:
            terminal.process.kill()
            terminal.process.wait()


def plain(text: str) -> str:
    """Without what a terminal obeys."""
    return re.sub(r"\x1b\[[0-9;?]*[A-Za-z]", "", text).replace("\r", "")


def test_keys_decide_one_clause_after_the_other(at_terminal):
    """What was decided is in the file before the next clause is shown."""
    terminal, text = at_terminal()
    terminal.until(KEYS)
    terminal.press("p")
    terminal.until("2 of 3")
    assert text().count("by: ines") == 1
    terminal.until(KEYS)
    terminal.press("s")
    terminal.until(KEYS)
    terminal.press("k")
    assert "1 taken, 1 kept; 1 clause" in plain(terminal.until("still open."))
    assert terminal.ended() == 0
    assert text().count("by: ines") == 2


def test_words_that_changed_are_struck_and_underlined(at_terminal):
    """With NO_COLOR signs stand for that, and nothing is styled."""
    terminal, _ = at_terminal()
    shown = terminal.until(KEYS)
    assert re.search(r"\x1b\[[0-9;]*9m10", shown)
    assert "~~" not in shown
    terminal, _ = at_terminal(NO_COLOR="1")
    shown = terminal.until(KEYS)
    assert "~~10 in~~ __11 in__" in shown
    assert "\x1b[" not in shown


def test_no_line_is_wider_than_the_terminal(at_terminal):
    """Long lines are broken between words."""
    terminal, _ = at_terminal(NO_COLOR="1")
    lines = plain(terminal.until(KEYS)).split("\n")
    assert max(map(len, lines)) <= 80


@pytest.mark.parametrize(("key", "status"), [("\x03", 130), ("\x04", 0), ("q", 0)])
def test_the_walk_can_be_left_at_any_time(at_terminal, key, status):
    """By Ctrl-C, Ctrl-D or q: what was decided stays, and the terminal is as it was."""
    terminal, text = at_terminal()
    terminal.until(KEYS)
    before = text()
    terminal.press("p")
    terminal.until("2 of 3")
    terminal.until(KEYS)
    terminal.press(key)
    assert "1 taken; 2 clauses" in plain(terminal.until("still open."))
    assert terminal.ended() == status
    assert terminal.is_as_it_was()
    assert text() != before


@pytest.mark.parametrize("how", ["closed", "ended"])
def test_a_terminal_that_goes_away_loses_nothing(at_terminal, how):
    """Whether the window is closed or the program is told to end."""
    terminal, text = at_terminal()
    terminal.until(KEYS)
    terminal.press("p")
    terminal.until("2 of 3")
    terminal.until(KEYS)
    if how == "closed":
        terminal.close()
    else:
        terminal.process.send_signal(signal.SIGTERM)
    assert terminal.ended() in (-signal.SIGHUP, 0, 2, 128 + signal.SIGTERM)
    assert text().count("by: ines") == 1


def test_a_key_pressed_ahead_decides_nothing(at_terminal):
    """Nobody has seen the clause yet."""
    terminal, text = at_terminal()
    os.write(terminal.hand, b"pppp")
    terminal.until(KEYS)
    terminal.press("q")
    terminal.until("Nothing decided")
    assert "ines" not in text()


def test_an_editor_is_run_on_the_reading(at_terminal, put):
    """The one that EDITOR names; what it saves is written."""
    editor = put(
        {
            "editor.py": "import sys\nfrom pathlib import Path\nfile = Path(sys.argv[1])\nfile.write_text(file.read_text().replace('10 in}}   #', '11 in}}   #'))\n"
        }
    )
    terminal, text = at_terminal(EDITOR=f"{sys.executable} {editor / 'editor.py'}", VISUAL="")
    terminal.until(KEYS)
    terminal.press("e")
    terminal.until("Edited: 5.1")
    assert "{max: 11 in}}   # at the bead seats\nconfirmed: {by: ines" in text()


def test_an_editor_that_is_not_there_is_told(at_terminal):
    """With what to do about it; the walk goes on."""
    terminal, text = at_terminal(EDITOR="no-such-editor", VISUAL="")
    terminal.until(KEYS)
    terminal.press("e")
    terminal.until("set the variable EDITOR to the editor that you use")
    terminal.press("q")
    terminal.until("Nothing decided")
    assert "ines" not in text()


def test_a_question_is_typed_in_a_line(at_terminal):
    """And kept with the clause."""
    terminal, text = at_terminal()
    terminal.until(KEYS)
    terminal.press("a")
    terminal.until("Question for the officials")
    terminal.type("With the tyre on?")
    terminal.until("Asked: 5.1")
    assert 'ask: "With the tyre on?"' in text()


def test_whoever_git_does_not_know_is_asked_who_it_is(put):
    """A name of the crew; another is asked for again."""
    root = put(season())
    terminal = Terminal(root, GIT_CONFIG_GLOBAL="/dev/null", GIT_CONFIG_NOSYSTEM="1")
    terminal.until("Who decides?")
    terminal.type("nobody")
    terminal.until("Who decides?")
    terminal.type("mara")
    terminal.until(KEYS)
    terminal.press("p")
    terminal.until("Taken: 5.1")
    terminal.until(KEYS)
    terminal.press("q")
    assert terminal.ended() == 0
    assert "11 in}}   # at the bead seats\nconfirmed: {by: mara" in (root / CHAPTER).read_text()
