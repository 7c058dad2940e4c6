"""Hostile text in every field shows as text."""

from __future__ import annotations

import re
from functools import cache

import pytest
from publish_example import SITE
from publish_injection import infected
from publish_pages import pages_of

from rulewatch.publish.site import site_files

INJECTIONS = [
    "<script>alert(1)</script>",
    '"><img src=x onerror=alert(1)>',
    "'><svg/onload=alert(1)>",
    "</title><script src=//evil.example></script>",
    "</style><style>*{display:none}</style>",
    "<iframe srcdoc='<script>alert(1)</script>'>",
    "[press](javascript:alert(1))",
    "[press](JaVaScRiPt:alert(1))",
    "[press](data:text/html;base64,PHNjcmlwdD4=)",
    "[press](&#106;avascript:alert(1))",
    "[press](\tjavascript:alert(1))",
    "![seen](https://evil.example/x.png)",
    "<https://evil.example/auto> <javascript:alert(1)>",
    "[press][1]\n\n[1]: javascript:alert(1)",
    "{{ 7 * 7 }}{% raw %}",
    "javascript:alert(1)",
    "../../../../etc/passwd",
    "\u202egnp.exe\u0000\u2028",
    'a" onmouseover="alert(1)',
    "<!-- --><![CDATA[ ]]>",
]
ALLOWED_IN_TEXT = ("http://", "https://", "mailto:", "#")
TAGS = frozenset(
    re.findall(
        r"\w+",
        "html head meta title link body a header p nav ul li main div h1 h2 h3 h4 h5 h6 dl dt dd aside b strong section article ol "
        "svg rect path circle span time footer ins del table caption thead tbody tfoot tr th td details summary i em code pre "
        "blockquote br text figure figcaption",
    )
)


@cache
def hostile_files(text: str) -> dict[str, bytes]:
    """The example site with a text behind every word."""
    return site_files(infected(SITE, text))


@pytest.mark.parametrize("text", INJECTIONS)
def test_hostile_text_shows_as_text(text):
    """No element, no handler and no address comes of text that stands in any field, and the pages are still whole."""
    files = hostile_files(text)
    assert len(files) >= 20
    for path, page in pages_of(files).items():
        assert {tag for tag, _ in page.tags} <= TAGS, path
        assert not [name for _, attrs in page.tags for name in attrs if name.startswith("on") or name in {"style", "srcdoc"}], (
            path
        )
        for tag, address in page.addresses:
            inside = not address.partition(":")[0].isalpha() or address.startswith(ALLOWED_IN_TEXT)
            assert inside, f"{path}: {tag} {address}"
            assert tag == "a" or not address.startswith("http"), path
        assert len(page.ids) == len(set(page.ids)), path


@pytest.mark.parametrize("text", INJECTIONS)
def test_files_stay_inside_the_site(text):
    """Names of bodies, seasons, chapters and cars make safe file names, whatever is in them."""
    for path in hostile_files(text):
        assert set(path) <= set("abcdefghijklmnopqrstuvwxyz0123456789.-/"), path
        assert ".." not in path.split("/"), path
        assert not path.startswith("/"), path


@pytest.mark.parametrize("text", [each for each in INJECTIONS if each.startswith(("<script", '"><img', "</title", "{{"))])
def test_hostile_text_is_shown_whole(text):
    """What a title, a car's name or a reason holds is read on the page letter by letter."""
    pages = pages_of(hostile_files(text))
    assert f"Curlew Shed{text}" in pages["index.html"].text
    assert f"Nothing permits what is fitted{text}" in pages["index.html"].text
