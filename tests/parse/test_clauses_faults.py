"""What is wrong with rule text, and exactly where; readings and where they stand."""

from __future__ import annotations

from rulewatch.model.fault import CODES, Source
from rulewatch.parse.clauses import Chapter, parse_book, parse_chapter


def read(text: str, *, plain: bool = False) -> Chapter:
    """One chapter as a book."""
    return parse_book([Source(path="5-wheels.md", text=text)], plain=plain)


def shown(chapter: Chapter) -> list[str]:
    """Every fault, and whether it is a warning."""
    return [f"{fault.place}: {fault.code} {fault.message}{' (warning)' * fault.warning}" for fault in chapter.faults]


def test_duplicate_number():
    """A number used twice in an edition is a fault at the second; what stands under it keeps apart from the first."""
    chapter = read("## 5.1 Rims\n\n(a) round\n\n## 5.1 Tyres\n\n(a) black\n")
    assert shown(chapter) == [
        "5-wheels.md:5:4: duplicate-clause clause `5.1` again (first on line 1); give each clause its own number"
    ]
    assert [clause.id for clause in chapter.clauses] == ["5.1", "5.1(a)", "5.1#2", "5.1#2(a)"]
    assert [clause.parent for clause in chapter.clauses] == ["", "5.1", "", "5.1#2"]


def test_duplicate_number_in_a_downloaded_file():
    """In a plain file the second use of a number is told by a warning, and how it is called."""
    chapter = read("5.1 Rims.\n\n5.1 Tyres.\n\n5.1 Nuts.\n", plain=True)
    assert shown(chapter) == [
        "5-wheels.md:3:1: duplicate-clause clause `5.1` again (first on line 1); here it is called `5.1#2` (warning)",
        "5-wheels.md:5:1: duplicate-clause clause `5.1` again (first on line 1); here it is called `5.1#3` (warning)",
    ]


def test_duplicate_number_in_another_chapter():
    """Ids are unique over all chapters of a book, and the fault names the other file."""
    sources = [Source(path="a.md", text="5.1 Rims.\n"), Source(path="b.md", text="5.1 Tyres.\n")]
    chapter = parse_book(sources)
    assert shown(chapter) == [
        "b.md:1:1: duplicate-clause clause `5.1` again (first in a.md:1:1); give each clause its own number"
    ]
    assert [(clause.id, clause.chapter) for clause in chapter.clauses] == [("5.1", "a"), ("5.1#2", "b")]


def test_raw_html():
    """HTML gets a warning at its place and stays in the text."""
    chapter = read("5.1 Rims are <b onclick='x()'>free</b>.\n\n<script>\n5.2 Tyres.\n\n5.3 A < B and c > d.\n")
    assert shown(chapter) == [
        "5-wheels.md:1:14: raw-html HTML `<b onclick='x()'>`; it stays text (warning)",
        "5-wheels.md:1:35: raw-html HTML `</b>`; it stays text (warning)",
        "5-wheels.md:3:1: raw-html HTML `<script>`; it stays text (warning)",
    ]
    assert chapter.clauses[0].text == "Rims are <b onclick='x()'>free</b>.\n\n<script>"


def test_unsafe_links():
    """Links, images, definitions and autolinks are warned of unless they are http(s), mailto or an anchor."""
    links = [
        "[x](javascript:alert(1))",
        "[x](<data:text/html,x>)",
        "![x](picture.png)",
        "<vbscript:x>",
        "[x](//elsewhere.example)",
        "[x](JavaScript&#58;x)",
        "[x](https://rules.example/5)",
        "[x](HTTP://rules.example)",
        "[x](mailto:a@rules.example)",
        "[x](#c-5.1)",
        "<https://rules.example>",
        "[x]()",
    ]
    chapter = read("5.1 Links:\n\n" + "\n".join(links) + "\n\n[y]: file:///etc/x\n[z]: https://rules.example\n")
    remedy = "it stays text; only http(s), mailto and # are linked (warning)"
    assert shown(chapter) == [
        f"5-wheels.md:3:5: unsafe-link a link `javascript:alert`; {remedy}",
        f"5-wheels.md:4:6: unsafe-link a link `data:text/html,x`; {remedy}",
        f"5-wheels.md:5:6: unsafe-link a link `picture.png`; {remedy}",
        f"5-wheels.md:6:2: unsafe-link a link `vbscript:x`; {remedy}",
        f"5-wheels.md:7:5: unsafe-link a link `//elsewhere.example`; {remedy}",
        f"5-wheels.md:8:5: unsafe-link a link `JavaScript&#58;x`; {remedy}",
        f"5-wheels.md:16:6: unsafe-link a link `file:///etc/x`; {remedy}",
    ]


def test_hidden_characters():
    """Characters of no width, and those that turn the direction of writing, are warned of by their code point."""
    chapter = read("5.1 Ten\u200b inches \u202ehcni\u202c.\n")
    remedy = "delete it if the published book does not need it (warning)"
    assert shown(chapter) == [
        f"5-wheels.md:1:8: hidden-character a character that does not show `U+200B`; {remedy}",
        f"5-wheels.md:1:17: hidden-character a character that does not show `U+202E`; {remedy}",
        f"5-wheels.md:1:22: hidden-character a character that does not show `U+202C`; {remedy}",
    ]


def test_hazards_of_a_downloaded_file_are_counted():
    """A plain file gets one warning of a kind, at the first place."""
    chapter = read("5.1 <b>x</b>\n\n5.2 <i>y</i> [z](ftp:x)\n", plain=True)
    assert shown(chapter) == [
        "5-wheels.md:1:5: raw-html HTML `<b>` and 3 more; it stays text (warning)",
        "5-wheels.md:3:18: unsafe-link a link `ftp:x`; it stays text; only http(s), mailto and # are linked (warning)",
    ]


def test_text_under_no_number():
    """Text before the first number is not compared, and that is said."""
    chapter = read("# Wheels\n\nThis chapter is about wheels.\n\n## 5.1 Rims\n")
    assert shown(chapter) == ["5-wheels.md:3:1: text-outside a paragraph under no clause number; it is not compared (warning)"]


def test_readings_under_their_clauses():
    """A reading belongs to the clause that it stands under, and is no part of its text; its lines are those of the file."""
    text = (
        "## 5.1 Rims\n\nTen inches.\n\n```reading\nlimit: {a: 1}\n```\n\n```reading\nask: x\n```\n\n"
        "- 5.2) Tyres\n\n    ```reading\n    ask: y\n      z\n    ```\n\n  free.\n"
    )
    chapter = read(text)
    assert shown(chapter) == []
    assert [clause.folded for clause in chapter.clauses] == ["Rims Ten inches.", "Tyres free."]
    assert [(block.clause, block.text, str(block.place), block.first_line, block.indent) for block in chapter.blocks] == [
        ("5.1", "limit: {a: 1}\n", "5-wheels.md:5:1", 6, 0),
        ("5.1", "ask: x\n", "5-wheels.md:9:1", 10, 0),
        ("5.2", "ask: y\n  z\n", "5-wheels.md:15:5", 16, 4),
    ]


def test_reading_at_fault():
    """A reading under no clause, without an end, or misspelt is a fault."""
    assert shown(read("# Wheels\n\n```reading\nask: x\n```\n")) == [
        "5-wheels.md:3:1: reading-misplaced a reading under no clause; put it directly under the clause that it reads"
    ]
    assert shown(read("5.1 Rims.\n\n```reading\nask: x\n\n5.2 Tyres.\n")) == [
        "5-wheels.md:3:1: reading-unclosed a reading without an end; close it with a line of three backticks"
    ]
    assert shown(read("5.1 Rims.\n\n```readings\nask: x\n```\n")) == [
        "5-wheels.md:3:1: reading-misspelt a block marked `readings`, expected `reading`"
    ]


def test_places_from_a_line_on():
    """A chapter may be read from a line on; every place is still one in the file."""
    source = Source(path="3.md", text="---\nnumber: 3\n---\n\n## 5.1 Rims\n\n<b>Free.\n\n```reading\nask: x\n```\n")
    chapter = parse_chapter(source, chapter="bulletin", first_line=4)
    (clause,) = chapter.clauses
    assert (str(clause.place), clause.last_line, clause.chapter, clause.heading) == ("3.md:5:4", 7, "bulletin", "Rims")
    assert str(chapter.blocks[0].place) == "3.md:9:1"
    assert [str(fault.place) for fault in chapter.faults] == ["3.md:7:1"]


def test_windows_line_ends():
    """Line ends of another system change neither texts nor places."""
    text = "## 5.1 Rims\n\nTen\ninches.\n\n## 5.2 Tyres\n"
    assert read(text).clauses == read(text.replace("\n", "\r\n")).clauses


def test_codes_are_known():
    """Every code that rule text can give is explained."""
    chapter = read("x\n\n5.1 a <b> [x](y:z) \u200b\n\n5.1 B\n\n```readin\n")
    codes = {fault.code for fault in chapter.faults}
    assert codes == {
        "text-outside",
        "raw-html",
        "unsafe-link",
        "hidden-character",
        "duplicate-clause",
        "reading-misspelt",
        "reading-unclosed",
    }
    assert codes <= set(CODES)
