"""Rule text as HTML: a small part of Markdown, all else text."""

from __future__ import annotations

from dataclasses import replace

import pytest
from publish_example import clause

from rulewatch.publish.clause_text import LONGEST_MARKDOWN, clause_html, opening_words


def html_of(text: str, references: dict[str, str] | None = None) -> str:
    """A clause's HTML; the addresses of its references are given."""
    known = references or {}
    one = clause("9.9", text, "09-x")
    one = replace(one, references=tuple(known))
    return str(clause_html(one, known.get)).strip()


@pytest.mark.parametrize(
    ("text", "html"),
    [
        ("A *plain* rule.", "<p>A <em>plain</em> rule.</p>"),
        ("One.\n\nTwo.", "<p>One.</p>\n<p>Two.</p>"),
        ("- a\n- b", "<ul>\n<li>a</li>\n<li>b</li>\n</ul>"),
        ("a < b & c", "<p>a &lt; b &amp; c</p>"),
        ("<b>bold</b>", "<p>&lt;b&gt;bold&lt;/b&gt;</p>"),
        ("<div>\n\nx", "<p>&lt;div&gt;</p>\n<p>x</p>"),
        ("[x](javascript:alert)", "<p>[x](javascript:alert)</p>"),
        ("[x](file:///etc/passwd)", "<p>[x](file:///etc/passwd)</p>"),
        ("[x](other.html)", "<p>[x](other.html)</p>"),
        ("[x](//evil.example)", "<p>[x](//evil.example)</p>"),
        ("[x](https://club.example/a)", '<p><a href="https://club.example/a" rel="nofollow noreferrer">x</a></p>'),
        ("[x](mailto:office@club.example)", '<p><a href="mailto:office@club.example" rel="nofollow noreferrer">x</a></p>'),
        ("![a picture](https://club.example/a.png)", "<p>a picture</p>"),
        ("Text\n\n## Inner heading", '<p>Text</p>\n<p class="inner-heading">Inner heading</p>'),
        ("Text\n====", '<p class="inner-heading">Text</p>'),
        ("```python\nx\n```", "<pre><code>x\n</code></pre>"),
        (
            "first line\n    hangs under it\n\n    and so does this",
            "<p>first line\nhangs under it</p>\n<p>and so does this</p>",
        ),
    ],
)
def test_small_part_of_markdown(text, html):
    """What is known is shown, what is not stays text as it was written."""
    assert html_of(text) == html


def test_table_scrolls_by_itself_and_keeps_its_alignment():
    """A table stands in a frame that the keyboard reaches; alignment is a class, for style attributes are forbidden."""
    html = html_of("|a|b|\n|:--|--:|\n|1|2|")
    assert html.startswith('<section class="table-frame" aria-label="Table 1 in 9.9" tabindex="0">\n<table>')
    assert '<td class="to-right">2</td>' in html
    assert "style=" not in html


@pytest.mark.parametrize(
    ("text", "links"),
    [
        ("see 4.2", 1),
        ("see 4.2.", 1),
        ("see (4.2)", 1),
        ("see 14.2", 0),
        ("see 4.2.1", 0),
        ("see 4.25", 0),
        ("see 4.2(a)", 0),
        ("`4.2`", 0),
        ("[4.2](https://club.example)", 0),
        ("4.2 and 4.2", 2),
    ],
)
def test_printed_number_of_a_reference_is_a_link(text, links):
    """Only where it stands by itself, and not inside code or another link."""
    assert html_of(text, {"4.2": "x.html#c-4.2"}).count('href="x.html#c-4.2"') == links


def test_longer_number_wins():
    """Of two numbers that begin alike the longer is linked where it stands."""
    html = html_of("see 4.2(a)", {"4.2": "#short", "4.2(a)": "#long"})
    assert html == '<p>see <a href="#long">4.2(a)</a></p>'


def test_huge_clause_is_plain_paragraphs():
    """Beyond a bound nothing is parsed, and nothing is lost."""
    text = "*x* <b>\n\n" + "y" * LONGEST_MARKDOWN
    assert html_of(text).startswith("<p>*x* &lt;b&gt;</p>\n<p>yyy")


def test_opening_words_end_at_a_word():
    """The first words of a clause without a heading, not cut inside one."""
    assert opening_words(clause("1", "# Rims\n\nText", "x")) == "Rims"
    assert opening_words(clause("1", "one two three four", "x"), 9) == "one two …"


@pytest.mark.parametrize(
    ("text", "html"),
    [
        ("A ~~old~~ ++*new*++ rule", "<p>A <del>old</del> <em><ins>new</ins></em> rule</p>"),
        ("~~a **b~~ c** d", "<p><del>a </del><strong><del>b</del> c</strong> d</p>"),
        ("++a ~~b~~ c++", "<p><ins>a </ins><del>b</del><ins> c</ins></p>"),
        (r"\~~a~~ `++b++` ~~", "<p>~~a~~ <code>++b++</code> ~~</p>"),
        ("~~see 5.1~~ ++<b>++", '<p><del>see </del><a href="#q"><del>5.1</del></a> <ins>&lt;b&gt;</ins></p>'),
        ("- ~~one\n  two~~\n- ++x++", "<ul>\n<li><del>one</del>\n<del>two</del></li>\n<li><ins>x</ins></li>\n</ul>"),
    ],
)
def test_what_the_body_marks_is_shown_struck_and_underlined(text, html):
    """The elements are always nested as HTML asks for, however marks and emphasis overlap."""
    one = replace(clause("9.9", "A rule.", "09-x"), marked=text, references=("5.1",))
    assert str(clause_html(one, {"5.1": "#q"}.get)).strip() == html
