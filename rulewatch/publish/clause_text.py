"""Rule text as safe HTML. The text is not ours and not trusted: a small part of Markdown is shown, all else stays text.

HTML stays text, links go to http(s), mailto and anchors only, pictures become their words, and a heading inside a clause
becomes a bold line, so that it cannot break the order of the page's headings. What the body shows as struck or inserted
(`model/marks.py`) is shown so.
"""

from __future__ import annotations

import re
import textwrap
from collections.abc import Callable, Iterable, Iterator, Sequence
from functools import cache

from markdown_it import MarkdownIt
from markdown_it.rules_inline import StateInline
from markdown_it.token import Token
from markupsafe import Markup, escape

from rulewatch.model.clause import Clause
from rulewatch.model.marks import INSERTED, SIGNS, STRUCK, mark_edges
from rulewatch.publish.links import is_allowed

LONGEST_MARKDOWN = 200_000  # characters of one clause; beyond it paragraphs only, which take linear time
EDGE = "mark_edge"
Resolver = Callable[[str], str | None]  # a clause's id to the address of its text, None where it has none


def clause_html(clause: Clause, address: Resolver) -> Markup:
    """The body of a clause (without its heading) as HTML, with its references as links."""
    text = body_text(clause)
    if len(text) > LONGEST_MARKDOWN:
        return plain_html(text)
    tokens = list(_within_page(_parser().parse(text), clause.id))
    named = {id_: target for id_ in clause.references if (target := address(id_)) is not None}
    for token in tokens:
        if token.type == "inline" and token.children:
            token.children = list(_marked(_linked(_without_pictures(token.children), named)))
    # Safe: the renderer escapes every text and attribute, and HTML is off in the parser.
    return Markup(_parser().renderer.render(tokens, _parser().options, {}))  # noqa: S704


def plain_html(text: str) -> Markup:
    """A text as paragraphs and nothing else."""
    paragraphs = [escape(part.strip()) for part in re.split(r"\n[ \t]*\n", text) if part.strip()]
    return Markup("\n").join(Markup("<p>{}</p>").format(part) for part in paragraphs)


def body_text(clause: Clause) -> str:
    """A clause's text below its heading, with its marks. What hangs under a list item is brought back to the margin."""
    first, _, rest = clause.shown.partition("\n")
    rest = textwrap.dedent(rest)
    return rest.strip("\n") if clause.heading else f"{first.strip()}\n{rest}".strip("\n")


def opening_words(clause: Clause, most: int = 90) -> str:
    """The heading of a clause, or the beginning of its text, as one plain line."""
    line = clause.heading or clause.folded
    if len(line) <= most:
        return line
    return line[:most].rsplit(" ", 1)[0].rstrip(",;:.") + " …"


@cache
def _parser() -> MarkdownIt:
    parser = MarkdownIt("commonmark", {"html": False, "linkify": False, "typographer": False, "maxNesting": 20})
    parser.enable("table")
    parser.disable(["code", "hr"])  # clauses hang under list items: an indent is layout, and `---` is often only a line
    parser.inline.ruler.before("emphasis", EDGE, _read_edge)
    parser.validateLink = is_allowed  # type: ignore[method-assign] # the library's own way to set it
    return parser


def _read_edge(state: StateInline, silent: bool) -> bool:  # noqa: FBT001 - the library's own signature
    """Take a sign of the text for what it is: the edge of a mark, or else text."""
    if not state.src.startswith(SIGNS, state.pos):
        return False
    edges = state.env.setdefault(state.src, None)
    if edges is None:
        edges = state.env[state.src] = dict(mark_edges(state.src))
    step = edges.get(state.pos)
    if step is None:
        return False
    if not silent:
        token = state.push(EDGE, "", 0)
        token.markup, token.meta = state.src[state.pos : state.pos + 2], {"step": step}
    state.pos += 2
    return True


def _within_page(tokens: Iterable[Token], clause: str) -> Iterator[Token]:
    """Headings as bold paragraphs, fences without their language, tables in a frame that scrolls by itself.

    Alignment becomes a class: the page's security policy takes no style attributes.
    """
    tables = 0
    for token in tokens:
        if token.type in {"heading_open", "heading_close"}:
            token.tag = "p"
            if token.nesting == 1:
                token.attrSet("class", "inner-heading")
        elif token.type == "fence":
            token.info = ""
        elif token.type == "table_open":
            tables += 1
            frame = Markup('<section class="table-frame" aria-label="Table {} in {}" tabindex="0">').format(tables, clause)
            yield Token("html_block", "", 0, content=f"{frame}\n")
        elif token.type in {"th_open", "td_open"} and "style" in token.attrs:
            token.attrs = {"class": str(token.attrs["style"]).replace("text-align:", "to-")}
        yield token
        if token.type == "table_close":
            yield Token("html_block", "", 0, content="</section>\n")


def _without_pictures(tokens: Iterable[Token]) -> Iterator[Token]:
    for token in tokens:
        if token.type == "image":
            yield _text(token.content)
        else:
            if token.type == "link_open":
                token.attrSet("rel", "nofollow noreferrer")
            yield token


def _marked(tokens: Iterable[Token]) -> Iterator[Token]:
    """Each text between the edges of marks as struck or inserted, so that marks and emphasis may overlap."""
    depth = dict.fromkeys(SIGNS, 0)
    for token in tokens:
        if token.type == EDGE:
            depth[token.markup] += token.meta["step"]
            continue
        tag = "del" if depth[STRUCK] else "ins" if depth[INSERTED] else ""
        if tag and token.type in {"text", "code_inline"}:
            yield from (Token(f"{tag}_open", tag, 1), token, Token(f"{tag}_close", tag, -1))
        else:
            yield token


def _linked(tokens: Iterable[Token], named: dict[str, str]) -> Iterator[Token]:
    """Text tokens cut at the printed numbers of the clauses referred to, each of those as a link."""
    if not named:
        yield from tokens
        return
    pattern = reference_pattern(tuple(named))
    inside = 0
    for token in tokens:
        inside += {"link_open": 1, "link_close": -1}.get(token.type, 0)
        if token.type != "text" or inside:
            yield token
            continue
        for piece, found in cut(token.content, pattern):
            if not found:
                yield _text(piece)
                continue
            opening = Token("link_open", "a", 1)
            opening.attrs = {"href": named[piece]}
            yield from (opening, _text(piece), Token("link_close", "a", -1))


def reference_pattern(ids: Sequence[str]) -> re.Pattern[str]:
    """Finds the ids where they stand by themselves: `4.2` is not in `14.2`, `4.2.1` or `4.2 mm`'s `4.25`."""
    longest_first = sorted(ids, key=lambda id_: (-len(id_), id_))
    return re.compile(rf"(?<![\w.])(?:{'|'.join(map(re.escape, longest_first))})(?!\w|\.\w|\(\w{{1,3}}\))")


def cut(text: str, pattern: re.Pattern[str]) -> Iterator[tuple[str, bool]]:
    """A text in pieces, each with whether the pattern found it; empty pieces are left out."""
    at = 0
    for match in pattern.finditer(text):
        if match.start() > at:
            yield text[at : match.start()], False
        yield match.group(), True
        at = match.end()
    if at < len(text):
        yield text[at:], False


def _text(content: str) -> Token:
    return Token("text", "", 0, content=content)
