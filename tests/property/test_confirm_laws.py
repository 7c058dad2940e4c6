"""Laws of carrying and confirming: random walks lose nothing, touch no other byte, and carrying and confirming all leaves nothing open."""

from __future__ import annotations

import contextlib
import io
import tempfile
from collections.abc import Iterator
from contextlib import contextmanager
from datetime import date
from pathlib import Path

from hypothesis import given, settings
from hypothesis import strategies as st
from small_season import CHAPTER, season

from rulewatch.carriage import carry_into
from rulewatch.cli.confirm_walk import Stop, Walk
from rulewatch.cli.editing import Draft
from rulewatch.confirming import Desk
from rulewatch.model.edition import Point
from rulewatch.model.fault import Source
from rulewatch.model.reading import Confirmation
from rulewatch.parse.clauses import parse_book
from rulewatch.store.folder import FolderTree
from rulewatch.workspace import Workspace

NEW = Point(body="saltmarsh", season="2027")
LIMIT = "limit: {{wheels.{}.rim_width: {{max: {} in}}}}"


class Monkey:
    """Presses any key, writes any line, and edits as it likes; looks at the files between."""

    def __init__(self, keys: list[str], lines: list[str], look) -> None:
        self.keys, self.lines, self.look = list(keys), list(lines), look

    def key(self) -> str:
        """The next key, after a look."""
        self.look()
        return self.keys.pop(0) if self.keys else ""

    def line(self, prompt: str) -> str:
        """Some question."""
        assert prompt
        return self.lines[0] if self.lines else ""

    def edit(self, draft: Draft) -> str | None:
        """What an editor would leave: the sheet, with something behind it, or something wrong."""
        text = draft.file.read_text()
        if len(self.keys) % 3 == 0:
            text = text.replace("10 in", "11 in")
        elif len(self.keys) % 3 == 1:
            text += "\nnonsense: 1\n"
        draft.write(text)
        return text


@contextmanager
def folder(files: dict[str, str]) -> Iterator[Path]:
    """The files on disk, for a while."""
    with tempfile.TemporaryDirectory() as name:
        for path, text in files.items():
            file = Path(name) / path
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_bytes(text.encode())
        yield Path(name)


def without_blocks(text: str) -> str:
    """A chapter without its readings, and without the empty lines around them."""
    kept, inside = [], False
    for line in text.splitlines():
        fence = line.startswith("```")
        inside = fence if not inside else not fence
        kept += [] if inside or fence or not line.strip() else [line]
    return "\n".join(kept)


def blocks(text: str) -> dict[str, list[str]]:
    """The readings of each clause as they are written."""
    found: dict[str, list[str]] = {}
    for block in parse_book([Source(path="x.md", text=text)]).blocks:
        found.setdefault(block.clause, []).append(block.text)
    return found


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.lists(st.sampled_from("kpeasbc?x"), max_size=14),
    st.lists(st.sampled_from(["Is it so?", '"', "é: #", "- a"]), max_size=1),
)
def test_no_walk_loses_or_corrupts_anything(keys, lines):
    """At every moment the files are sound, the words are as they were, and what was confirmed before and not shown is untouched."""
    with folder(season()) as root:
        file = root / CHAPTER
        words, kept = without_blocks(file.read_text()), blocks(file.read_text())["5.2"]

        def look() -> None:
            text = file.read_text()
            assert without_blocks(text) == words
            assert blocks(text)["5.2"] == kept
            assert "at the bead seats" in text
            workspace = Workspace(FolderTree(root))
            assert workspace.edition(NEW) is not None
            assert workspace.faults == ()
            assert [each.name for each in file.parent.iterdir() if each.name.endswith(".part")] == []

        desk = Desk(root, NEW)
        stops = [Stop(desk=desk, step=step) for step in desk.steps().value or ()]
        walk = Walk(root=root, stops=stops, hands=Monkey(keys, lines, look), by="ines", day=date(2026, 12, 1))
        with contextlib.redirect_stdout(io.StringIO()), contextlib.redirect_stderr(io.StringIO()):
            walk.run()
        look()
        for draft in walk.drafts.values():
            draft.discard()


@settings(max_examples=60, deadline=None, derandomize=True)
@given(
    st.lists(st.tuples(st.sampled_from(["front", "rear"]), st.integers(5, 20), st.integers(5, 20)), min_size=1, max_size=6),
    st.booleans(),
    st.sampled_from(["\n", "\r\n"]),
)
def test_carrying_and_taking_all_that_is_proposed_leaves_nothing_open(rows, renumbered, ending):
    """Every limit follows its text, whatever its number; carrying twice changes nothing, and only blocks are put in."""
    shift = 1 if renumbered else 0
    old = "".join(
        f"## 5.{at} Rim {at}\n\nThe {where} rim of kind {'abcdefg'[at]} shall be no wider than {was} in.\n\n"
        f"```reading\n{LIMIT.format(where, was)}\n```\n\n"
        for at, (where, was, _) in enumerate(rows)
    )
    new = "".join(
        f"## 5.{at + shift} Rim {at}\n\nThe {where} rim of kind {'abcdefg'[at]} shall be no wider than {now} in.\n\n"
        for at, (where, _, now) in enumerate(rows)
    )
    digests = {one.id: one.digest for one in parse_book([Source(path="x.md", text=old)]).clauses}
    for name, digest in digests.items():
        head, mark, tail = old.partition(f"## {name} ")
        old = head + mark + tail.replace("\n```\n\n", f"\nconfirmed: {{by: mara, on: 2025-12-01, text: {digest}}}\n```\n \n", 1)
    files = season()
    files["rulesets/saltmarsh/2026/05-wheels.md"] = old.replace("\n \n", "\n\n")
    files[CHAPTER] = new.replace("\n", ending)
    with folder(files) as root:
        file = root / CHAPTER
        carriage = carry_into(root, NEW).value
        assert carriage is not None
        assert len(carriage.carried.readings) == len(rows)
        text = file.read_bytes()
        carry_into(root, NEW)
        assert file.read_bytes() == text
        assert (b"\r\n" in text) == (ending == "\r\n")
        assert without_blocks(file.read_text()) == without_blocks(new)
        desk = Desk(root, NEW)
        for name in [step.name for step in desk.steps().value or ()]:
            desk = Desk(root, NEW)
            (step,) = desk.steps([name]).value or ()
            offer = desk.offer(step)
            confirmation = Confirmation(by="ines", on=date(2026, 12, 1), text=step.clause.digest)
            assert desk.write(step, offer.blocks or [step.block], confirmation) == ()
        assert Desk(root, NEW).steps().value == ()
        said = [block for found in blocks(file.read_text()).values() for block in found]
        assert [block.split("\n")[0].rstrip("\r") for block in said] == [LIMIT.format(where, now) for where, _, now in rows]
