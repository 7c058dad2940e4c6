"""`rulewatch intake` as a user runs it: a new edition from a published book, all of it or nothing."""

from __future__ import annotations

import json
import zipfile
from io import BytesIO

import jsonschema
import pytest
from click.testing import CliRunner

from rulewatch.cli import cli
from rulewatch.publish.data import schema_bytes

BODY = "name: Saltmarsh Circuit Club\nclasses: [silhouette-b]\n"
OLD = """# 5 Wheels

5.1 All wheels shall be of metal.

```reading
concerns: paperwork
confirmed: {by: mara, on: 2025-12-01, text: 8c4cdbf6}
```

5.2 Rims shall be no wider than 10 in.

```reading
limit: {wheels.rear.rim_width: {max: 10 in}}
confirmed: {by: mara, on: 2025-12-01, text: a1b2c3d4}
```
"""
NEW = """Technical rules 2027

5 Wheels
========

5.1 All wheels shall be of metal.

5.2 Rims shall be no wider than 11 in.

5.4 Spacers are forbidden.
"""
EDITION = "title: Rules 2026\neffective: 2026-01-01\nclosed:\n  - aero\n"


@pytest.fixture
def root(put):
    """A workspace with one season, and the next one as its body published it."""
    return put(
        {
            "rulesets/saltmarsh/body.yaml": BODY,
            "rulesets/saltmarsh/2026/edition.yaml": EDITION,
            "rulesets/saltmarsh/2026/05-wheels.md": OLD,
            "new.txt": NEW,
        }
    )


def take(root, *args: str, file: str = "new.txt"):
    """Run the command on a file of the workspace."""
    done = CliRunner().invoke(cli, ["-C", str(root), "intake", str(root / file), "--body", "saltmarsh", *args])
    assert not done.exception or isinstance(done.exception, SystemExit), done.exception
    return done


def files(root) -> dict[str, bytes]:
    """Every file of the workspace."""
    return {str(file.relative_to(root)): file.read_bytes() for file in sorted(root.rglob("*")) if file.is_file()}


def test_a_book_becomes_an_edition_with_the_readings_of_the_one_before(root):
    """Chapters, edition.yaml with what the season before said of its book, and the readings, in one go."""
    done = take(root, "--season", "2027", "--effective", "2027-01-01")
    assert done.exit_code == 0, done.output
    folder = root / "rulesets/saltmarsh/2027"
    header = (folder / "edition.yaml").read_text()
    assert 'previous: "2026"' in header
    assert "effective: 2027-01-01" in header
    assert "# closed:\n#   - aero" in header
    chapter = (folder / "01-wheels.md").read_text()
    assert (
        "5.2 Rims shall be no wider than 11 in.\n\n```reading\nlimit: {wheels.rear.rim_width: {max: 10 in}}\nconfirmed:"
        in chapter
    )
    assert "5.3 is missing between 5.2 and 5.4" in chapter
    assert "4 clauses in 1 chapter" in done.output
    assert "1 place to look up in the book is marked in its chapter" in done.output


def test_a_doubtful_place_is_open_until_its_mark_is_taken_away(root):
    """The edition can be used meanwhile."""
    take(root, "--season", "2027")
    runner = CliRunner()
    found = json.loads(runner.invoke(cli, ["-C", str(root), "verify", "--json"]).stdout)
    assert [point["found"] for point in found["open"] if point["code"] == "doubtful-place"] == [
        "a doubtful place under 5.4 of saltmarsh/2027: line 10: 5.3 is missing between 5.2 and 5.4"
    ]
    chapter = root / "rulesets/saltmarsh/2027/01-wheels.md"
    text = chapter.read_text()
    begin = text.index("```doubtful")
    chapter.write_text(text[:begin] + text[text.index("```\n", begin + 3) + 4 :])
    found = json.loads(runner.invoke(cli, ["-C", str(root), "verify", "--json"]).stdout)
    assert "doubtful-place" not in {point["code"] for point in found["open"]}


def test_nothing_that_is_there_is_replaced(root):
    """A season that has a folder is left as it is."""
    before = files(root)
    done = take(root, "--season", "2026")
    assert done.exit_code == 2
    assert "edition-there saltmarsh/2026 is there already" in done.output
    assert files(root) == before


def test_a_dry_run_writes_nothing_and_says_what_would_be(root):
    """The same report, and the same files as before."""
    before = files(root)
    done = take(root, "--season", "2027", "--dry-run")
    assert done.exit_code == 0
    assert "Nothing was written; 2 files would be." in done.output
    assert files(root) == before


def test_the_data_follow_their_schema(root):
    """The JSON is what the published schema says."""
    data = json.loads(take(root, "--season", "2027", "--json").stdout)
    jsonschema.validate(data, json.loads(schema_bytes("intake.schema.json")))
    assert data["clauses"] == 4
    assert data["doubts"][0]["clause"] == "5.4"
    assert data["readings"]["old"] == "saltmarsh/2026"


def test_a_new_body_gets_a_file_to_fill_in(root):
    """The whole body is written at once, and verify has no fault."""
    done = CliRunner().invoke(
        cli, ["-C", str(root), "intake", str(root / "new.txt"), "--body", "five-lakes", "--season", "2027"]
    )
    assert done.exit_code == 0
    assert "five-lakes/body.yaml is new" in done.output
    checked = json.loads(CliRunner().invoke(cli, ["-C", str(root), "verify", "--json"]).stdout)
    assert [fault for fault in checked["faults"] if "five-lakes" in fault["path"]] == []


def bomb() -> bytes:
    """A DOCX whose text unpacks to far more than a book."""
    data = BytesIO()
    with zipfile.ZipFile(data, "w", zipfile.ZIP_DEFLATED) as archive:
        archive.writestr("[Content_Types].xml", "<Types/>")
        archive.writestr("word/document.xml", b" " * 300_000_000)
    return data.getvalue()


HOSTILE = {
    "cut.pdf": b"%PDF-1.7\n1 0 obj\n<< /Type /Catalog",
    "none.pdf": b"no pdf at all",
    "bomb.docx": bomb,
    "empty.txt": b"",
    "picture.txt": b"\x89PNG\r\n\x1a\n",
    "numberless.txt": b"Good morning.\n\nThere are no rules here.\n",
}


@pytest.mark.parametrize("name", HOSTILE)
def test_what_is_no_book_is_a_fault_and_nothing_is_written(root, name):
    """Each with a sentence of its own, in bounded time."""
    content = HOSTILE[name]
    (root / name).write_bytes(content() if callable(content) else content)
    before = files(root)
    done = take(root, "--season", "2027", file=name)
    assert done.exit_code == 2
    assert "1 fault to mend before there is a result" in done.output
    assert files(root) == before


def test_scripts_and_styles_of_a_page_are_dropped_and_said_so(root):
    """The words of neither are in any clause."""
    page = "<html><style>p {}</style><script>alert(1)</script><h1>5 Wheels</h1><p>5.1 All wheels shall be of metal.</p></html>"
    (root / "page.html").write_text(page)
    done = take(root, "--season", "2027", file="page.html")
    assert done.exit_code == 0
    assert "1 script was left out" in done.output
    assert "1 style sheet was left out" in done.output
    assert "alert" not in (root / "rulesets/saltmarsh/2027/01-wheels.md").read_text()


def test_a_stated_numbering_takes_other_labels_for_text(root):
    """With `4.2` alone a list of letters stays text of its clause; what is no label is a fault."""
    (root / "list.txt").write_text("5 Wheels\n========\n\n5.1 Rims are:\n\n(a) round\n\n(b) of metal\n")
    both = json.loads(take(root, "--season", "2027", "--json", "--dry-run", file="list.txt").stdout)
    assert both["clauses"] == 4
    one = json.loads(take(root, "--season", "2027", "--json", "--dry-run", "--numbering", "5, 5.1", file="list.txt").stdout)
    assert one["clauses"] == 2
    wrong = take(root, "--season", "2027", "--numbering", "wheels", file="list.txt")
    assert wrong.exit_code == 2
    assert "bad-numbering" in wrong.output


def test_a_bulletin_becomes_a_draft_that_parses(root):
    """Clauses that are in force begin blocks; it counts for nothing until it is final."""
    (root / "b.txt").write_text("Bulletin 1\n==========\n\nWheels are wider now.\n\n5.2 Rims shall be no wider than 12 in.\n")
    days = ("--published", "2026-03-01", "--effective", "2026-04-01")
    done = take(root, "--season", "2026", "--bulletin", "1", *days, file="b.txt")
    assert done.exit_code == 0, done.output
    text = (root / "rulesets/saltmarsh/2026/bulletins/1.md").read_text()
    assert "status: draft\n---\n" in text
    assert "Wheels are wider now.\n\n## 5.2\n\nRims shall be no wider than 12 in.\n" in text
    found = json.loads(CliRunner().invoke(cli, ["-C", str(root), "verify", "--json"]).stdout)
    assert [point["code"] for point in found["open"] if point["path"].endswith("1.md")] == ["draft"]
    (root / "c.txt").write_text("Bulletin 2\n==========\n\n1. In 5.2, replace “10 in” with “10.5 in”.\n\n2. Remove 5.1.\n")
    assert take(root, "--season", "2026", "--bulletin", "2", *days, file="c.txt").exit_code == 0
    text = (root / "rulesets/saltmarsh/2026/bulletins/2.md").read_text()
    assert "## In 5.2, replace “10 in” with “10.5 in”.\n\n## Remove 5.1.\n" in text
    again = take(root, "--season", "2026", "--bulletin", "1", *days, file="b.txt")
    assert again.exit_code == 2
