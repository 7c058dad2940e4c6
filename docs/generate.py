"""Write the pages of the reference that are made from the code: `python docs/generate.py`.

tests/test_docs.py fails while a page differs from what stands here.
"""

from __future__ import annotations

from pathlib import Path

import click

from rulewatch import cli
from rulewatch.model.fault import CODES
from rulewatch.parse.vocabulary import packaged_vocabulary
from rulewatch.publish.vocabulary_page import vocabulary_page

REFERENCE = Path(__file__).parent / "reference"

FAULTS = """\
# Faults

Whatever is wrong with an input is reported with its place, and all of a run together:

```text
rulesets/saltmarsh/2027/06-wheels.md:14:41: reading-contradicts-text `11 in` is not in the text of 6.2.1, expected `10 in`; correct the reading, or look up what the clause says now
    limit: {wheels.rear.rim_width: {max: 11 in}}
                                        ^
```

That is the file, line and column; the code; what was found, what was expected, and what to do; and the line with a mark under the
place. Lines and columns count from 1. A command that finds a fault ends with status 2. A warning is shown in the same form and stops
nothing.

These are the codes:

| code | says |
|---|---|
"""

COMMANDS = """\
# Commands

`rulewatch` works in a [workspace](formats.md#the-workspace): the folder that it is called in, or the one after `-C`.

| status | means |
|---|---|
| 0 | done |
| 1 | done, and there is something to act on that the call asked to fail on |
| 2 | the input or the call is wrong; every [fault](faults.md) is shown with its place |

With `--json`, the [data](data.md) goes to standard output alone, and messages to standard error. Editions are named by
[points](formats.md#points).
"""

WIDTH = 100


def faults_page() -> str:
    """Every code with its sentence, in the order in which the code has them."""
    return FAULTS + "".join(f"| `{code}` | {sentence} |\n" for code, sentence in CODES.items())


def commands_page() -> str:
    """The help of the program and of each of its commands, as it prints it."""
    top = click.Context(cli.cli, info_name="rulewatch", terminal_width=WIDTH, **cli.cli.context_settings)
    parts = [COMMANDS, _help(cli.cli, top)]
    for name in cli.cli.list_commands(top):
        if command := cli.cli.get_command(top, name):
            context = click.Context(command, info_name=name, parent=top, terminal_width=WIDTH)
            parts.append(f"\n## {name}\n" + _help(command, context))
    return "".join(parts)


def _help(command: click.Command, context: click.Context) -> str:
    return f"\n```text\n{command.get_help(context)}\n```\n"


PAGES = {
    "faults.md": faults_page,
    "commands.md": commands_page,
    "vocabulary.md": lambda: vocabulary_page(packaged_vocabulary()),
}

if __name__ == "__main__":
    for name, page in PAGES.items():
        (REFERENCE / name).write_text(page())
