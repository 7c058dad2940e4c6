"""Books in DOCX into documents: numbers, headings, tables, notes, marks, and what is left out and said so."""

from __future__ import annotations

import pytest
from made_docx import (
    cell,
    definition,
    docx,
    field,
    gone,
    ins,
    item,
    level,
    listed,
    numbered,
    p,
    packed,
    parts_of,
    r,
    row,
    table,
)

from rulewatch.intake.document import Document, Kind, Mark
from rulewatch.intake.docx import read_docx

SIGNS = {Mark.NONE: "", Mark.STRUCK: "~~", Mark.INSERTED: "++"}
STRIKE, UNDERLINE, BOLD, RED = "<w:strike/>", '<w:u w:val="single"/>', "<w:b/>", '<w:color w:val="C00000"/>'
DECIMAL = definition(0, level(0, "%1."), level(1, "%1.%2"), level(2, "(%3)", "lowerLetter"), level(3, "%4)", "lowerRoman"))
HEADINGS = """
    <w:docDefaults><w:rPrDefault><w:rPr><w:sz w:val="20"/></w:rPr></w:rPrDefault></w:docDefaults>
    <w:style w:type="paragraph" w:default="1" w:styleId="Text"><w:name w:val="Normal"/></w:style>
    <w:style w:type="paragraph" w:styleId="H1"><w:name w:val="heading 1"/><w:basedOn w:val="Text"/>
      <w:pPr><w:numPr><w:numId w:val="1"/></w:numPr><w:outlineLvl w:val="0"/></w:pPr>
      <w:rPr><w:b/><w:u w:val="single"/><w:color w:val="0000FF"/><w:sz w:val="32"/></w:rPr></w:style>
    <w:style w:type="paragraph" w:styleId="H2"><w:name w:val="heading 2"/><w:basedOn w:val="H1"/>
      <w:pPr><w:numPr><w:ilvl w:val="1"/><w:numId w:val="1"/></w:numPr><w:outlineLvl w:val="1"/></w:pPr></w:style>
    <w:style w:type="paragraph" w:styleId="TOC1"><w:name w:val="toc 1"/></w:style>
    <w:style w:type="character" w:styleId="Link"><w:name w:val="Hyperlink"/><w:rPr><w:u w:val="single"/></w:rPr></w:style>
    <w:style w:type="character" w:styleId="New"><w:name w:val="New words"/><w:rPr><w:u w:val="single"/></w:rPr></w:style>
    <w:style w:type="character" w:styleId="Old"><w:name w:val="Old words"/><w:rPr><w:dstrike/></w:rPr></w:style>"""


def read(body: str, **others: str) -> Document:
    """The document of a file with a body and other parts."""
    return read_docx(docx(body, **others), "book.docx")


def marked(line):
    """A line with its marks."""
    return "".join(SIGNS[run.mark] + run.text + SIGNS[run.mark] for run in line.runs)


def shown(document: Document) -> list[str]:
    """Each block in one line: heading signs, label, words with marks, lines parted by bars."""
    return [
        " ".join(filter(None, ["#" * block.level, block.label, "|".join(marked(line) for line in block.lines)]))
        for block in document.blocks
    ]


def cells(document):
    """The words of the only table's cells with their marks."""
    (table,) = [block for block in document.blocks if block.kind is Kind.TABLE]
    return [["|".join(marked(line) for line in cell) for cell in row] for row in table.rows]


def said(document):
    """The codes and the beginnings of what is said."""
    return [(fault.code, fault.found.partition(" (")[0]) for fault in document.faults]


# --- Paragraphs and headings --------------------------------------------------------------------------------------------


def test_paragraphs_and_line_breaks():
    """A paragraph is a block, counted from 1; breaks make lines; tabs are blanks; soft hyphens go, firm ones stay."""
    body = (
        p("Rims of", "<w:r><w:br/></w:r>", " cast", "<w:r><w:tab/><w:t>met</w:t><w:softHyphen/><w:t>al</w:t></w:r>")
        + p()
        + p("1\u00ad2")
    )
    body += p("4", "<w:r><w:noBreakHyphen/></w:r>", "5")
    document = read(body)
    assert shown(document) == ["Rims of|cast metal", "12", "4-5"]
    assert [block.spot.line for block in document.blocks] == [1, 3, 4]
    assert (document.faults, document.pages) == ((), 0)


def test_headings():
    """A heading is known by its own outline level, by its style, or by the name of a style that is not there."""
    body = p("Scope", style="H1") + p("Rims", style="H2") + p("Text") + p("Own", properties='<w:outlineLvl w:val="2"/>')
    body += p("Known", style="Heading4") + p("No heading", style="H1", properties='<w:outlineLvl w:val="9"/>')
    document = read(body, styles=HEADINGS)
    assert shown(document) == ["# Scope", "## Rims", "Text", "### Own", "#### Known", "No heading"]
    sizes = [(block.lines[0].runs[0].bold, block.lines[0].runs[0].size) for block in document.blocks[:3]]
    assert sizes == [(True, 16), (True, 16), (False, 10)]
    assert document.faults == ()


def test_pages():
    """Pages are those that the saving program noted; one that ends within a row of a table is counted once."""
    broken = cell(p("<w:r><w:lastRenderedPageBreak/><w:t>b</w:t></w:r>"))
    body = (
        p("one")
        + p("a", "<w:r><w:lastRenderedPageBreak/><w:t>two</w:t></w:r>")
        + table(row(broken, broken))
        + p("four", r("new", UNDERLINE))
    )
    document = read(body)
    assert [(str(block.spot), block.text) for block in document.blocks if block.lines] == [
        ("page 1, line 1", "one"),
        ("page 1, line 2", "atwo"),
        ("page 3, line 5", "fournew"),
    ]
    assert document.pages == 3
    assert "(page 3)" in document.faults[0].message


# --- Numbers ------------------------------------------------------------------------------------------------------------


def test_numbers_of_several_levels():
    """Each level counts on its own and begins anew below the next number above it, in figures, letters and Roman numerals."""
    places = [0, 1, 1, 2, 2, 3, 3, 1, 2, 0, 1]
    document = read("".join(item("x", 1, at) for at in places), numbering=DECIMAL + listed(1, 0))
    assert [block.label for block in document.blocks] == [
        "1.",
        "1.1",
        "1.2",
        "(a)",
        "(b)",
        "i)",
        "ii)",
        "1.3",
        "(a)",
        "2.",
        "2.1",
    ]


def test_numbers_of_styles():
    """A heading's style numbers it; the level is that which names the style; a paragraph can be taken out of the list."""
    styles = HEADINGS.replace('<w:ilvl w:val="1"/>', "")
    tied = definition(0, level(0, "%1", more='<w:pStyle w:val="H1"/>'), level(1, "%1.%2", more='<w:pStyle w:val="H2"/>'))
    body = p("a", style="H1") + p("b", style="H2") + p("c", style="H2", properties=numbered(0)) + p("d", style="H2")
    assert shown(read(body, styles=styles, numbering=tied + listed(1, 0))) == ["# 1 a", "## 1.1 b", "## c", "## 1.2 d"]


def test_lists_of_one_definition_count_on():
    """Another list of the same definition counts on, unless it begins anew; then from the number that it states."""
    over = '<w:lvlOverride w:ilvl="0"><w:startOverride w:val="7"/></w:lvlOverride>'
    numbering = DECIMAL + listed(1, 0) + listed(2, 0) + listed(3, 0, over)
    body = "".join(item("x", number) for number in (1, 1, 2, 3, 3, 1))
    assert [block.label for block in read(body, numbering=numbering).blocks] == ["1.", "2.", "3.", "7.", "8.", "9."]


def test_a_list_with_a_level_of_its_own():
    """A list may write a level in its own way."""
    over = f'<w:lvlOverride w:ilvl="0">{level(0, "§ %1", start=30)}</w:lvlOverride>'
    body = item("x", 2) + item("x", 2)
    assert [block.label for block in read(body, numbering=DECIMAL + listed(2, 0, over)).blocks] == ["§ 30", "§ 31"]


@pytest.mark.parametrize(
    ("more", "labels"),
    [
        ("", ["1", "1.1", "2", "2.1", "2.1.1", "3", "3.1.1"]),
        ('<w:lvlRestart w:val="0"/>', ["1", "1.1", "2", "2.2", "2.2.1", "3", "3.1.1"]),
    ],
)
def test_levels_that_go_on(more, labels):
    """A level that never begins anew counts through; a level above that was not used yet is written with its first number."""
    numbering = definition(0, level(0, "%1"), level(1, "%1.%2", more=more), level(2, "%1.%2.%3")) + listed(1, 0)
    found = [
        block.label for block in read("".join(item("x", 1, at) for at in (0, 1, 0, 1, 2, 0, 2)), numbering=numbering).blocks
    ]
    assert found[:6] == labels[:6]
    assert found[6] == (labels[6] if not more else "3.2.1")


@pytest.mark.parametrize(
    ("kind", "pattern", "start", "labels"),
    [
        ("upperRoman", "Article %1", 4, ["Article IV", "Article V"]),
        ("upperLetter", "%1)", 26, ["Z)", "AA)"]),
        ("lowerLetter", "%1", 28, ["bb", "cc"]),
        ("decimalZero", "%1", 9, ["09", "10"]),
        ("ordinal", "%1", 2, ["2nd", "3rd"]),
        ("bullet", "•", 1, ["", ""]),
        ("none", "", 1, ["", ""]),
        ("none", "Note", 1, ["Note", "Note"]),
        ("chineseCounting", "%1", 1, ["1", "2"]),
    ],
)
def test_formats_of_numbers(kind, pattern, start, labels):
    """Figures, letters and Roman numerals as a reader sees them; a bullet is no number; what is not known is in figures."""
    numbering = definition(0, level(0, pattern, kind, start)) + listed(1, 0)
    assert [block.label for block in read(item("x", 1) + item("x", 1), numbering=numbering).blocks] == labels


def test_legal_numbering():
    """Where a level asks for it, the numbers above are in figures too."""
    numbering = definition(0, level(0, "%1", "upperRoman"), level(1, "%1.%2", more="<w:isLgl/>")) + listed(1, 0)
    assert [block.label for block in read(item("x", 1) + item("x", 1, 1), numbering=numbering).blocks] == ["I", "1.1"]


def test_a_number_without_words():
    """It is counted and shown, as word processors do."""
    body = p(properties=numbered(1)) + item("x", 1)
    assert shown(read(body, numbering=DECIMAL + listed(1, 0))) == ["1.", "2. x"]


def test_numbers_that_only_the_program_knows():
    """A number that a field counts when it is shown is missing, and said."""
    assert said(read(p(field(" LISTNUM "), " Scope"))) == [
        ("left-out", "1 number that the program counts when it shows the text was left out")
    ]


# --- Marks --------------------------------------------------------------------------------------------------------------


@pytest.mark.parametrize(
    ("runs", "expected"),
    [
        (["of ", gone("60"), ins("75"), " mm"], "of ~~60~~++75++ mm"),
        (["of ", r("60", STRIKE), " ", r("75", UNDERLINE), " mm"], "of ~~60~~ ++75++ mm"),
        (["of ", r("60", "<w:dstrike/>"), r(" or 61", '<w:strike w:val="0"/>')], "of ~~60~~ or 61"),
        (["of ", f'<w:ins w:id="1">{gone("60")}</w:ins>', " mm"], "of ~~60~~ mm"),
        (["a ", f"<w:moveFrom>{r('b')}</w:moveFrom>", f"<w:moveTo>{r('c')}</w:moveTo>"], "a ~~b~~++c++"),
        (["some words ", r("red", RED), " and ", r("grey", '<w:color w:val="444444"/>')], "some words ++red++ and grey"),
        (["some words ", r("bright", '<w:highlight w:val="yellow"/>')], "some words ++bright++"),
        (
            ["some words ", r("new", '<w:rStyle w:val="New"/>'), r("old", '<w:rStyle w:val="Old"/>')],
            "some words ++new++~~old~~",
        ),
        (["a ", r("b", '<w:rStyle w:val="Link"/>'), f"<w:hyperlink>{r('c', UNDERLINE + RED)}</w:hyperlink>"], "a bc"),
        ([r("Rims. ", UNDERLINE + BOLD), "Of ", r("steel", UNDERLINE)], "Rims. Of ++steel++"),
        ([r("the whole", UNDERLINE)], "++the whole++"),
        (["some words ", r("heading text", '<w:color w:val="FF0000" w:themeColor="text1"/>')], "some words heading text"),
    ],
)
def test_marks(runs, expected):
    """Tracked changes, struck, underlined and coloured words; links, titles and colours of the theme's text are no marks."""
    assert shown(read(p(*runs), styles=HEADINGS)) == [expected]


def test_a_link_by_a_field():
    """The result of a link's field shows, and its underlining is no mark."""
    link = field(" HYPERLINK x ", "z").replace("<w:rPr></w:rPr><w:t ", f"<w:rPr>{UNDERLINE}</w:rPr><w:t ")
    assert shown(read(p("a ", link))) == ["a z"]


def test_a_heading_underlined_as_a_whole_is_not_new():
    """Underlining and colour of headings are for the eye; a single underlined word in one is new."""
    body = p("Styled", style="H1") + p(r("Whole", UNDERLINE), style="H2") + p("A ", r("word", UNDERLINE), style="H2")
    assert shown(read(body, styles=HEADINGS)) == ["# Styled", "## Whole", "## A ++word++"]


def test_tracked_changes_alone_count_where_there_are_any():
    """In a book with tracked changes, underlining is for the eye; struck letters stay struck."""
    document = read(p("a ", ins("b"), " ", r("c", UNDERLINE), r("d", RED), r("e", STRIKE)))
    assert shown(document) == ["a ++b++ cd~~e~~"]
    assert document.faults == ()


def test_what_was_taken_for_new_is_said():
    """Words that are new by their look alone are counted, with their paragraph."""
    document = read(p("x") + p("a ", r("b c", UNDERLINE)))
    assert [fault.found for fault in document.faults] == [
        "2 words that are underlined were taken for inserted (paragraph 2): “b c”"
    ]


def test_deleted_paragraphs():
    """A paragraph that is deleted whole is struck and not counted; one whose end alone is deleted goes on in the next."""
    mark = '<w:rPr><w:del w:id="1"/></w:rPr>'
    body = item("one", 1) + p(gone("old"), properties=numbered(1) + mark) + item("two", 1)
    body += p("begins", properties=numbered(1) + mark) + item(" and ends", 1) + item("four", 1)
    document = read(body, numbering=DECIMAL + listed(1, 0))
    assert shown(document) == ["1. one", "~~old~~", "2. two", "3. begins|and ends", "4. four"]
    assert said(document) == [("left-out", "1 number of a deleted paragraph was left out")]


def test_inserted_and_deleted_rows():
    """The words of a row or cell that was inserted or deleted are marked."""
    body = table(
        row("a", "b"), row("c", "d", properties='<w:ins w:id="1"/>'), row("e", cell(p("f"), properties="<w:cellDel/>"))
    )
    assert cells(read(body)) == [["a", "b"], ["++c++", "++d++"], ["e", "~~f~~"]]


# --- Tables -------------------------------------------------------------------------------------------------------------


def test_tables():
    """A table is a grid; cells that are merged leave the places that they cover blank; rows may begin late."""
    body = table(
        row(
            cell(p("Class"), properties='<w:vMerge w:val="restart"/>'), cell(p("Minimum"), properties='<w:gridSpan w:val="2"/>')
        ),
        row(cell(p(), properties="<w:vMerge/>"), "dry", "wet"),
        row("B", "900 kg", cell(p("940 kg"), p("with ", gone("fuel")))),
        row("only", "last", properties='<w:gridBefore w:val="1"/>'),
    )
    document = read(p("before") + body)
    assert cells(document) == [
        *(["Class", "Minimum", ""], ["", "dry", "wet"]),
        *(["B", "900 kg", "940 kg|with ~~fuel~~"], ["", "only", "last"]),
    ]
    assert document.blocks[1].spot.line == 2


def test_what_is_in_cells():
    """Numbers stay in front of their words, a table in a cell becomes a line a row, notes come behind the table."""
    inner = table(row("a", "b"), row("c", "d"))
    note = '<w:r><w:footnoteReference w:id="2"/></w:r>'
    body = table(row(cell(item("x", 1), item("y", 1)), cell(p("t", note), inner)))
    document = read(body, numbering=DECIMAL + listed(1, 0), footnotes=f'<w:footnote w:id="2">{p("n")}</w:footnote>')
    assert cells(document) == [["1. x|2. y", "t1|a; b|c; d"]]
    assert shown(document)[1:] == ["1 n"]


def test_tables_that_only_place_things():
    """One of a single column, or with headings, gives what is in it."""
    body = table(row(cell(p("box"))), row("more")) + table(row("1", cell(p("Scope", style="H1"))))
    assert shown(read(body, styles=HEADINGS)) == ["box", "more", "1", "# Scope"]


# --- Notes, boxes, fields, pictures -------------------------------------------------------------------------------------


def test_footnotes_and_endnotes():
    """Calls are raised and counted; a footnote comes behind its paragraph, endnotes at the end; a sign of its own stays."""
    call = '<w:r><w:{}Reference w:id="{}"/></w:r>'
    own = '<w:r><w:footnoteReference w:customMarkFollows="1" w:id="4"/><w:t>*</w:t></w:r>'
    body = p("a", call.format("footnote", 2), " b", call.format("endnote", 2)) + p("c", call.format("footnote", 3), own)
    notes = '<w:footnote w:type="separator" w:id="0"><w:p/></w:footnote>' + "".join(
        f'<w:footnote w:id="{name}">{p("<w:r><w:footnoteRef/></w:r>", words)}</w:footnote>'
        for name, words in ((2, " first"), (3, " second"), (4, "* third"))
    )
    document = read(body, footnotes=notes, endnotes=f'<w:endnote w:id="2">{p("last")}{p("more")}</w:endnote>')
    assert [(block.kind, "|".join(line.text for line in block.lines)) for block in document.blocks] == [
        (Kind.TEXT, "a1 bi"),
        (Kind.NOTE, "1 first"),
        (Kind.TEXT, "c2*"),
        (Kind.NOTE, "2 second"),
        (Kind.NOTE, "* third"),
        (Kind.NOTE, "i last|more"),
    ]
    assert [run.text for run in document.blocks[0].lines[0].runs if run.raised] == ["1", "i"]


def test_how_notes_are_counted():
    """Settings and sections may count notes in another format, from another number, and anew in each section."""
    call = '<w:r><w:footnoteReference w:id="{}"/></w:r>'
    rule = '<w:footnotePr><w:numFmt w:val="chicago"/><w:numRestart w:val="eachSect"/></w:footnotePr>'
    notes = "".join(f'<w:footnote w:id="{name}">{p("n")}</w:footnote>' for name in (1, 2, 3))
    body = p("a", call.format(1), call.format(2), properties="<w:sectPr/>") + p("b", call.format(3))
    assert [block.text for block in read(body, footnotes=notes, settings=rule).blocks if block.kind is Kind.TEXT] == [
        "a*†",
        "b*",
    ]


def test_text_boxes_and_wrappers():
    """A text box comes behind its paragraph, once, in whichever form it is written; content controls are their content."""
    box = f"<w:txbxContent>{p('boxed')}</w:txbxContent>"
    both = f"<mc:AlternateContent><mc:Choice><w:drawing>{box}</w:drawing></mc:Choice><mc:Fallback><w:pict>{box}</w:pict></mc:Fallback></mc:AlternateContent>"
    body = p("a", f"<w:r>{both}</w:r>", "b") + f"<w:sdt><w:sdtPr/><w:sdtContent>{p('c')}</w:sdtContent></w:sdt>"
    body += p("<w:sdt><w:sdtContent>" + r("d") + "</w:sdtContent></w:sdt>", f"<w:smartTag>{r('e')}</w:smartTag>")
    document = read(body)
    assert shown(document) == ["ab", "boxed", "c", "de"]
    assert document.faults == ()


def test_fields_show_their_result():
    """References and page numbers are as last shown; a field in an instruction does not show."""
    inner = field(" PAGE ", "hidden")
    nested = f'<w:r><w:fldChar w:fldCharType="begin"/></w:r>{inner}<w:r><w:fldChar w:fldCharType="separate"/></w:r>{r("yes")}'
    body = p(
        "see ",
        field(" REF _x ", "4.2"),
        " on ",
        field(" PAGEREF _x ", "7"),
        nested,
        '<w:r><w:fldChar w:fldCharType="end"/></w:r>',
    )
    body += p('<w:fldSimple w:instr=" REF y ">' + r("5.1") + "</w:fldSimple>")
    assert shown(read(body)) == ["see 4.2 on 7yes", "5.1"]


def test_a_field_that_never_ends():
    """It does not swallow what is behind it, and it is said."""
    document = read(p('<w:r><w:fldChar w:fldCharType="begin"/></w:r>', "words") + p("more"))
    assert shown(document) == ["words", "more"]
    assert said(document) == [("left-out", "1 field that never ends was read as text")]


def test_contents_are_left_out():
    """A table of contents is known by its field, over several paragraphs, and by the style of its lines; it is said once."""
    begin = '<w:r><w:fldChar w:fldCharType="begin"/></w:r>' + r(' TOC \\o "1-3" ', tag="instrText")
    begin += '<w:r><w:fldChar w:fldCharType="separate"/></w:r>'
    body = p(begin, "1 Scope 3", style="TOC1") + p("2 Rims 4", style="TOC1") + p('<w:r><w:fldChar w:fldCharType="end"/></w:r>')
    document = read(body + p("Scope", style="H1"), styles=HEADINGS)
    assert shown(document) == ["# Scope"]
    assert said(document) == [("left-out", "1 table of contents or index was left out")]
    typed = read(p("1 Scope 3", style="TOC1") + p("Scope", style="H1"), styles=HEADINGS)
    assert shown(typed) == ["# Scope"]
    assert said(typed) == [("left-out", "1 line of a table of contents was left out")]


def test_pictures():
    """A picture is kept with its words behind its paragraph; one without is reported; a drawn line across the page is none."""
    drawing = '<w:r><w:drawing><wp:docPr id="1" name="x"{}/><pic:pic/></w:drawing></w:r>'
    rule = '<w:r><w:pict><v:rect o:hr="t"/></w:pict></w:r>'
    document = read(p("See ", drawing.format(' descr="Figure 1"'), "here") + p(drawing.format("")) + p("end", rule))
    assert [(block.kind, block.text) for block in document.blocks] == [
        (Kind.TEXT, "See here"),
        (Kind.PICTURE, "Figure 1"),
        (Kind.PICTURE, ""),
        (Kind.TEXT, "end"),
    ]
    assert said(document) == [("picture", "1 picture without a text in its place was not read")]


def test_symbols_and_formulas():
    """Letters of the symbol font become Unicode, others are said; a formula is one line, and said."""
    formula = "<m:oMath><m:f><m:num><m:r><m:t>a</m:t></m:r><m:r><m:t>+b</m:t></m:r></m:num><m:den><m:r><m:t>2</m:t></m:r></m:den></m:f>"
    formula += "<m:sSup><m:e><m:r><m:t>c</m:t></m:r></m:e><m:sup><m:r><m:t>2</m:t></m:r></m:sup></m:sSup></m:oMath>"
    signs = '<w:r><w:sym w:font="Symbol" w:char="F0B1"/><w:t>5 \uf0a3 6</w:t><w:sym w:font="Wingdings" w:char="F0FC"/></w:r>'
    document = read(p(signs) + p("x=", formula))
    assert shown(document) == ["±5 ≤ 6\ufffd", "x=(a+b)/2c2"]
    assert [code for code, _ in said(document)] == ["encoding-guessed", "picture"]


def test_what_is_left_out_is_said():
    """Running heads and feet, hidden words, comments and parts of other files: one warning a kind."""
    body = p("rule ", r("secret", "<w:vanish/>"), '<w:r><w:commentReference w:id="1"/></w:r>') + '<w:altChunk r:id="x"/>'
    document = read(body, header1=p("Club book"), header2=p("Club book"), footer1=p("page"))
    assert shown(document) == ["rule"]
    assert set(said(document)) == {
        ("furniture", "3 running heads and feet were left out"),
        ("text-hidden", "1 part that does not show was left out"),
        ("left-out", "1 comment was left out"),
        ("left-out", "1 part in another format or file was left out"),
    }
    assert all(fault.warning for fault in document.faults)


def test_the_strict_form():
    """The other form of the standard, with names of its own, is read alike."""
    parts = parts_of(p("rule", style="H1"), styles=HEADINGS)
    strict = {
        name: str(content)
        .replace(
            "http://schemas.openxmlformats.org/wordprocessingml/2006/main", "http://purl.oclc.org/ooxml/wordprocessingml/main"
        )
        .replace("http://schemas.openxmlformats.org/officeDocument/2006/", "http://purl.oclc.org/ooxml/officeDocument/")
        for name, content in parts.items()
    }
    assert shown(read_docx(packed(strict), "book.docx")) == ["# rule"]
