"""Bad input, as a user meets it: `rulewatch verify` says what is wrong, where, and what to do; nothing is lost."""

from __future__ import annotations

import pytest
from click.testing import CliRunner
from support import BODY

from rulewatch.cli import cli

EDITION = "title: Rules 2027\neffective: 2027-01-01\n"
RULES = "## 5.2 A rear rim is no wider than 10 in.\n\n```reading\nlimit: {wheels.rear.rim_width: {max: 10 in}}\n```\n"
CAR = "name: Heron\nentries: [{body: saltmarsh, class: silhouette-b}]\nspec:\n  wheels.rear.rim_width: 9 in\n"
GOOD = {
    "rulesets/saltmarsh/body.yaml": BODY,
    "rulesets/saltmarsh/2027/edition.yaml": EDITION,
    "rulesets/saltmarsh/2027/05-wheels.md": RULES,
    "cars/heron/car.yaml": CAR,
}
CHAPTER, HEADER, HERON = "rulesets/saltmarsh/2027/05-wheels.md", "rulesets/saltmarsh/2027/edition.yaml", "cars/heron/car.yaml"


@pytest.fixture
def verify(put):
    """Run `verify` on the good workspace with some files changed; gives the exit status and the output."""

    def run(changed, *, command: tuple[str, ...] = ("verify",)):
        root = put({**GOOD, **changed})
        done = CliRunner().invoke(cli, ["-C", str(root), *command])
        assert not done.exception or isinstance(done.exception, SystemExit), done.exception
        return done.exit_code, done.output

    return run


def test_good_workspace(verify):
    """The workspace that the cases below break has no fault."""
    status, output = verify({})
    assert status == 0, output
    assert "0 faults, 0 warnings" in output


READING = "## 5.2 A rear rim is no wider than 10 in.\n\n```reading\n{}\n```\n"

CASES = {
    "YAML that does not parse": (
        {CHAPTER: READING.format("limit: {wheels.rear.rim_width: {max: 10 in}")},
        f"{CHAPTER}:4:",
        "yaml-syntax",
        "",
    ),
    "duplicate key": (
        {HERON: CAR + "  wheels.rear.rim_width: 8 in\n"},
        f"{HERON}:5:3:",
        "duplicate-key",
        "`wheels.rear.rim_width` again (first on line 4); keep one of the two",
    ),
    "decimal comma in a flow mapping": (
        {CHAPTER: READING.format("limit: {wheels.rear.rim_width: {max: 10,5 in}}")},
        f"{CHAPTER}:4:38:",
        "decimal-comma",
        "`10,5 in`; write `10.5 in`; here a comma parts values",
    ),
    "decimal comma in a value": (
        {HERON: CAR.replace("9 in", "9,5 in")},
        f"{HERON}:4:26:",
        "decimal-comma",
        "",
    ),
    "unknown quantity": (
        {HERON: CAR.replace("rim_width", "rim_widht")},
        f"{HERON}:4:3:",
        "unknown-quantity",
        "did you mean `wheels.rear.rim_width`?",
    ),
    "unit of the wrong dimension": (
        {HERON: CAR.replace("9 in", "9 kg")},
        f"{HERON}:4:26:",
        "wrong-dimension",
        "9 kg",
    ),
    "number without unit": (
        {HERON: CAR.replace("9 in", "9")},
        f"{HERON}:4:26:",
        "unit-missing",
        "",
    ),
    "duplicate clause number": (
        {CHAPTER: RULES + "\n## 5.2 Another rule under the same number.\n"},
        f"{CHAPTER}:7:",
        "duplicate-clause",
        "5.2",
    ),
    "reading that contradicts its text": (
        {CHAPTER: READING.format("limit: {wheels.rear.rim_width: {max: 11 in}}")},
        f"{CHAPTER}:4:38:",
        "reading-contradicts-text",
        "`11 in` is not in the text of 5.2",
    ),
    "not UTF-8": (
        {CHAPTER: b"## 5.2 A rim is \xe9 wide.\n"},
        f"{CHAPTER}:1:17:",
        "not-utf8",
        "",
    ),
    "missing previous edition": (
        {HEADER: EDITION + "previous: 2026\n"},
        f"{HEADER}:3:11:",
        "previous-missing",
        "saltmarsh has no edition `2026`",
    ),
    "cycle of previous": (
        {
            HEADER: EDITION + "previous: 2026\n",
            "rulesets/saltmarsh/2026/edition.yaml": "title: Rules 2026\nprevious: 2027\n",
            "rulesets/saltmarsh/2026/05-wheels.md": RULES,
        },
        "rulesets/saltmarsh/2026/edition.yaml:2:11:",
        "previous-cycle",
        "2026 → 2027 → 2026",
    ),
    "a class that is not there": (
        {HERON: CAR.replace("silhouette-b", "silhouete-b")},
        f"{HERON}:2:",
        "unknown-class",
        "did you mean `silhouette-b`?",
    ),
    "a body that is not there": (
        {HERON: CAR.replace("body: saltmarsh", "body: saltmarhs")},
        f"{HERON}:2:",
        "unknown-edition",
        "did you mean `saltmarsh`?",
    ),
    "a waiver of a clause that its season does not have": (
        {
            HERON: CAR.replace(
                "class: silhouette-b",
                "class: silhouette-b, waivers: [{clause: '5.9', season: 2027, "
                "limit: {wheels.rear.rim_width: {max: 11 in}}, until: 2027-06-30, paper: W-12}]",
            )
        },
        f"{HERON}:2:",
        "unknown-clause",
        "a waiver of 5.9, which saltmarsh/2027 does not have",
    ),
    "a settled pair of a clause that is not there": (
        {
            HEADER: EDITION + "previous: 2026\n",
            "rulesets/saltmarsh/2026/edition.yaml": "title: Rules 2026\n",
            "rulesets/saltmarsh/2026/05-wheels.md": RULES,
            "rulesets/saltmarsh/2027/pairs.yaml": "- {old: '5.9', new: '5.2'}\n",
        },
        "rulesets/saltmarsh/2027/pairs.yaml:1:",
        "unknown-clause",
        "5.9, which saltmarsh/2026 does not have",
    ),
    "a replaced clause that is not there": (
        {CHAPTER: READING.format("instead_of: ['5.9']\nlimit: {wheels.rear.rim_width: {max: 10 in}}")},
        f"{CHAPTER}:4:14:",
        "unknown-clause",
        "`instead_of` names 5.9",
    ),
}


@pytest.mark.parametrize("name", CASES)
def test_fault(verify, name):
    """The fault names file, line and column, what was found and what to do, and the command ends with status 2."""
    changed, place, code, words = CASES[name]
    status, output = verify(changed)
    lines = [line for line in output.splitlines() if line.startswith(place) and f" {code} " in line]
    assert lines, output
    assert words in lines[0]
    assert status == 2


def test_a_50_mb_file_is_refused_unread(verify):
    """A file far larger than any rule book is a fault at once."""
    status, output = verify({CHAPTER: b"x" * 50_000_000})
    assert f"{CHAPTER}: file-too-large" in output
    assert status == 2


def test_html_and_unsafe_links_are_warnings(verify):
    """HTML and `javascript:` links in rule text are pointed out; they stay text, and the rule is not lost."""
    text = "## 5.3 Rims <script>alert(1)</script> are [round](javascript:alert(1)).\n\n```reading\nconcerns: officials\n```\n"
    status, output = verify({CHAPTER: RULES + "\n" + text})
    assert f"{CHAPTER}:7:13: raw-html" in output
    assert "unsafe-link" in output
    assert status == 0


def test_every_fault_of_a_run_is_reported(verify):
    """Faults in different files are reported together."""
    changed = {
        name: value
        for case in ("duplicate key", "duplicate clause number", "missing previous edition")
        for name, value in CASES[case][0].items()
    }
    _, output = verify(changed)
    assert {"duplicate-key", "duplicate-clause", "previous-missing"} <= set(output.split())


@pytest.mark.parametrize(
    ("point", "code"),
    [
        ("HEAD~9:saltmarsh/2027", "unknown-revision"),
        ("nosuch:saltmarsh/2027", "unknown-revision"),
        ("--output=written:saltmarsh/2027", "unsafe-revision"),
        ("saltmarsh/2030", "unknown-edition"),
        ("salmarsh/2027", "unknown-edition"),
        ("saltmarsh/2027@event:opening", "unknown-event"),
        ("saltmarsh/2027@1 May", "bad-point"),
        ("../saltmarsh/2027", "name-unsafe"),
        ("nosuch.md", "file-missing"),
    ],
)
def test_bad_point(verify, put, run_git, point, code):
    """A point that is none, or that nothing stands at, is a fault with status 2, and git writes no file."""
    root = put(GOOD)
    run_git("init", "--quiet")
    run_git("add", ".")
    run_git("commit", "--quiet", "--message", "first")
    before = sorted(path.name for path in root.iterdir())
    status, output = verify({}, command=("compare", "--", "saltmarsh/2027", point))
    assert f" {code} " in output
    assert status == 2
    assert sorted(path.name for path in root.iterdir()) == before


def test_no_workspace(tmp_path):
    """A folder without rule books is said to be no workspace, with what to do."""
    done = CliRunner().invoke(cli, ["-C", str(tmp_path), "verify"])
    assert done.exit_code == 2
    assert "not-a-workspace" in done.output
    assert "rulewatch start DIR" in done.output


def test_a_draft_bulletin_stops_nothing(put):
    """What is wrong within a draft is a warning: verify tells of it, and everything else goes on without it."""
    rules = "## 5.1 Rims are at most 10 in wide.\n\n```reading\nlimit: {wheels.rear.rim_width: {max: 10 in}}\n```\n"
    head = "---\nnumber: 4\npublished: 2027-02-01\neffective: 2027-03-01\nstatus: draft\n---\n"
    root = put(
        {
            "rulesets/club/body.yaml": "name: Club\nclasses: [open]\n",
            "rulesets/club/2027/edition.yaml": "title: Rules\neffective: 2027-01-01\n",
            "rulesets/club/2027/1.md": rules,
            "rulesets/club/2027/bulletins/4.md": f"{head}\nNothing of this is in any form.\n",
            "cars/a/car.yaml": "name: A\nentries: [{body: club, class: open}]\nspec: {wheels.rear.rim_width: 9 in}\n",
        }
    )

    def run(*args: str):
        return CliRunner().invoke(cli, ["-C", str(root), *args])

    verified = run("verify")
    assert verified.exit_code == 0
    assert "a bulletin that amends nothing" in verified.output
    assert "0 faults, 1 warning" in verified.output
    for command in (
        ("impact",),
        ("publish",),
        ("timeline", "5.1"),
        ("inspection", "a"),
        ("compare", "club/2027@published", "club/2027"),
    ):
        assert run(*command).exit_code == 0, command
    assert run("amend", str(root / "rulesets/club/2027/bulletins/4.md")).exit_code == 2
