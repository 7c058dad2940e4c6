"""Files in DOCX written by hand, part by part (ECMA-376), so that each test says exactly what is in its file."""

from __future__ import annotations

import io
import zipfile

W = "http://schemas.openxmlformats.org/wordprocessingml/2006/main"
TYPES = "http://schemas.openxmlformats.org/officeDocument/2006/relationships"
NAMES = " ".join(
    f'xmlns:{prefix}="{space}"'
    for prefix, space in {
        "w": W,
        "r": TYPES,
        "wp": "http://schemas.openxmlformats.org/drawingml/2006/wordprocessingDrawing",
        "pic": "http://schemas.openxmlformats.org/drawingml/2006/picture",
        "m": "http://schemas.openxmlformats.org/officeDocument/2006/math",
        "mc": "http://schemas.openxmlformats.org/markup-compatibility/2006",
        "v": "urn:schemas-microsoft-com:vml",
        "o": "urn:schemas-microsoft-com:office:office",
    }.items()
)
MAIN = "application/vnd.openxmlformats-officedocument.wordprocessingml.document.main+xml"
CONTENT_TYPES = (
    '<Types xmlns="http://schemas.openxmlformats.org/package/2006/content-types">'
    '<Default Extension="rels" ContentType="application/vnd.openxmlformats-package.relationships+xml"/>'
    '<Default Extension="xml" ContentType="application/xml"/>'
    f'<Override PartName="/word/document.xml" ContentType="{MAIN}"/></Types>'
)
ROOTS = {"footnotes": "footnotes", "endnotes": "endnotes", "styles": "styles", "numbering": "numbering", "settings": "settings"}


def packed(parts: dict[str, str | bytes], method: int = zipfile.ZIP_DEFLATED) -> bytes:
    """An archive of parts by their names."""
    file = io.BytesIO()
    with zipfile.ZipFile(file, "w", method) as archive:
        for name, content in parts.items():
            archive.writestr(name, content)
    return file.getvalue()


def part(tag: str, content: str) -> str:
    """One part, with the names that its content may use."""
    return f'<?xml version="1.0" encoding="UTF-8"?><w:{tag} {NAMES}>{content}</w:{tag}>'


def relations(*each: tuple[str, str]) -> str:
    """A part that says what another one refers to: kinds and targets."""
    inner = "".join(
        f'<Relationship Id="r{number}" Type="{TYPES}/{kind}" Target="{target}"/>' for number, (kind, target) in enumerate(each)
    )
    return f'<Relationships xmlns="http://schemas.openxmlformats.org/package/2006/relationships">{inner}</Relationships>'


def parts_of(body: str, **others: str) -> dict[str, str | bytes]:
    """The parts of a file: its body, and others by their kinds (`header1` and `footer1` among them)."""
    made: dict[str, str | bytes] = {
        "[Content_Types].xml": CONTENT_TYPES,
        "_rels/.rels": relations(("officeDocument", "word/document.xml")),
        "word/document.xml": part("document", f"<w:body>{body}</w:body>"),
        "word/_rels/document.xml.rels": relations(*((kind.rstrip("12"), f"{kind}.xml") for kind in others)),
    }
    for kind, content in others.items():
        made[f"word/{kind}.xml"] = part(
            ROOTS.get(kind, {"h": "hdr", "f": "ftr"}[kind[0]] if kind[0] in "hf" else kind), content
        )
    return made


def docx(body: str, **others: str) -> bytes:
    """A file with a body and other parts."""
    return packed(parts_of(body, **others))


def p(*runs: str, style: str = "", properties: str = "") -> str:
    """A paragraph of runs; what is no tag becomes a run of plain words."""
    inner = "".join(each if each.startswith("<") else r(each) for each in runs)
    named = f'<w:pStyle w:val="{style}"/>' if style else ""
    return f"<w:p><w:pPr>{named}{properties}</w:pPr>{inner}</w:p>"


def r(text: str, properties: str = "", tag: str = "t") -> str:
    """A run of words with properties."""
    return f'<w:r><w:rPr>{properties}</w:rPr><w:{tag} xml:space="preserve">{text}</w:{tag}></w:r>'


def ins(*runs: str) -> str:
    """Words that were inserted while changes were tracked."""
    return f'<w:ins w:id="1" w:author="a">{"".join(map(r, runs))}</w:ins>'


def gone(*runs: str) -> str:
    """Words that were deleted while changes were tracked."""
    return f'<w:del w:id="1" w:author="a">{"".join(r(each, tag="delText") for each in runs)}</w:del>'


def item(text: str, list_id: int, level: int = 0) -> str:
    """A paragraph of a list."""
    return p(text, properties=numbered(list_id, level))


def numbered(list_id: int, level: int = 0) -> str:
    """The properties of a paragraph of a list."""
    return f'<w:numPr><w:ilvl w:val="{level}"/><w:numId w:val="{list_id}"/></w:numPr>'


def level(at: int, pattern: str, kind: str = "decimal", start: int = 1, more: str = "") -> str:
    """A level of a list's definition."""
    return (
        f'<w:lvl w:ilvl="{at}"><w:start w:val="{start}"/><w:numFmt w:val="{kind}"/>{more}<w:lvlText w:val="{pattern}"/></w:lvl>'
    )


def definition(name: int, *levels: str) -> str:
    """The definition of lists."""
    return f'<w:abstractNum w:abstractNumId="{name}">{"".join(levels)}</w:abstractNum>'


def listed(list_id: int, name: int, *overrides: str) -> str:
    """A list by its definition."""
    return f'<w:num w:numId="{list_id}"><w:abstractNumId w:val="{name}"/>{"".join(overrides)}</w:num>'


def field(code: str, *result: str) -> str:
    """A field with its instruction and its result."""
    shown = "".join(map(r, result))
    separate = '<w:r><w:fldChar w:fldCharType="separate"/></w:r>' if result else ""
    return (
        f'<w:r><w:fldChar w:fldCharType="begin"/></w:r>{r(code, tag="instrText")}{separate}{shown}'
        '<w:r><w:fldChar w:fldCharType="end"/></w:r>'
    )


def table(*rows: str) -> str:
    """A table of rows."""
    return f"<w:tbl>{''.join(rows)}</w:tbl>"


def row(*cells: str, properties: str = "") -> str:
    """A row of cells; what is no tag becomes a cell with one paragraph."""
    inner = "".join(each if each.startswith("<") else cell(p(each)) for each in cells)
    return f"<w:tr><w:trPr>{properties}</w:trPr>{inner}</w:tr>"


def cell(*blocks: str, properties: str = "") -> str:
    """A cell of blocks."""
    return f"<w:tc><w:tcPr>{properties}</w:tcPr>{''.join(blocks)}</w:tc>"
