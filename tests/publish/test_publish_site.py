"""The site as a whole: its files, its links, its order, and what it must never say."""

from __future__ import annotations

import posixpath
import re
from dataclasses import replace
from datetime import date
from urllib.parse import unquote

import pytest
from jinja2 import UndefinedError
from publish_example import SITE
from publish_pages import pages_of, parsed

from rulewatch.model.edition import Point
from rulewatch.model.site import SiteInput
from rulewatch.publish.site import site_files

POLICY = "default-src 'none'; style-src 'self'; img-src 'self' data:; script-src 'self'; base-uri 'none'; form-action 'none'"


def test_every_kind_of_page_is_there(files):
    """Front, seasons compared, contents, chapters, cars, their jobs, open points, how to read it, data with schemas, style."""
    assert set(files) == {
        "assets/site.css",
        "cars/curlew.html",
        "cars/dunlin.html",
        "cars/plover.html",
        "compare/saltmarsh-2026-2027.html",
        "data/compare-saltmarsh-2026-2027.json",
        "data/compare.schema.json",
        "data/impact-saltmarsh-2026-2027.json",
        "data/impact.schema.json",
        "data/jobs.json",
        "data/jobs.schema.json",
        "data/inspection-curlew.json",
        "data/inspection-plover.json",
        "data/weigh-curlew.json",
        "how-to-read.html",
        "index.html",
        "inspection/curlew.html",
        "inspection/plover.html",
        "jobs/curlew.html",
        "jobs/dunlin.html",
        "jobs/plover.html",
        "open.html",
        "weight/curlew.html",
        *(
            f"rules/saltmarsh/{season}/{page}.html"
            for season in ("2026", "2027")
            for page in ("index", "03-weights", "05-wheels", "06-aerodynamics", "08-safety")
        ),
    }


def test_same_input_gives_same_bytes(files):
    """A second run gives the same files in the same order, byte for byte."""
    again = site_files(SITE)
    assert list(again.items()) == list(files.items())


def test_the_day_is_an_input():
    """On another day the countdown is another one, and after the last event there is none."""
    nearer = parsed(site_files(replace(SITE, day=date(2027, 3, 19)))["index.html"])
    assert re.search(r"1\s+day\b", nearer.text)
    during = parsed(site_files(replace(SITE, day=date(2027, 3, 21)))["index.html"])
    assert "Now" in during.text
    over = parsed(site_files(replace(SITE, day=date(2027, 12, 1)))["index.html"])
    assert "No event ahead in any calendar." in over.text


def test_every_internal_link_leads_somewhere(files, pages):
    """Every relative address is a file of the site, and every fragment an id of its page."""
    for path, page in pages.items():
        for _, address in page.addresses:
            if re.match(r"[a-z]+:", address):
                continue
            file, _, anchor = address.partition("#")
            target = posixpath.normpath(posixpath.join(posixpath.dirname(path), unquote(file))) if file else path
            assert target in files, f"{path}: {address}"
            if anchor:
                assert unquote(anchor) in pages[target].ids, f"{path}: {address}"


def test_no_page_asks_for_anything_from_outside(files, pages):
    """No address with a scheme in any element or in the style, but for links that stand in rule text."""
    for path, page in pages.items():
        assert [each for each in page.addresses if re.match(r"([a-z]+:)?//", each[1])] == [], path
    assert b"http" not in files["assets/site.css"]
    assert b"url(" not in files["assets/site.css"]
    assert b"@import" not in files["assets/site.css"]


def test_policy_is_strict_and_kept(pages):
    """Each page forbids everything but its own style, pictures and scripts, and has nothing inline that this would stop."""
    for path, page in pages.items():
        policies = [attrs["content"] for tag, attrs in page.tags if tag == "meta" and attrs.get("http-equiv")]
        assert policies == [POLICY], path
        names = {name for _, attrs in page.tags for name in attrs}
        assert not {name for name in names if name == "style" or name.startswith("on")}, path
        assert not [tag for tag, _ in page.tags if tag in {"script", "style", "iframe", "object", "embed", "base", "form"}], (
            path
        )


def test_pages_are_in_order_for_screen_readers(pages):
    """One h1 and no level left out; a language, a title, the landmarks, and a skip link to the main content; ids unique."""
    for path, page in pages.items():
        assert page.levels[0] == 1, path
        assert page.levels.count(1) == 1, path
        assert all(after <= before + 1 for before, after in zip(page.levels, page.levels[1:], strict=False)), path
        assert len(page.ids) == len(set(page.ids)), path
        names = [tag for tag, _ in page.tags]
        assert {"header", "nav", "main", "footer", "title"} <= set(names), path
        assert names.count("main") == 1, path
        assert page.tags[0] == ("html", {"lang": "en"}), path
        links = [attrs["href"] for tag, attrs in page.tags if tag == "a"]
        assert links[0] == "#main", path


def test_every_page_says_who_decides(pages):
    """The official book and the inspectors decide: on every page."""
    for path, page in pages.items():
        assert "The official book and the event's inspectors decide." in page.text, path


@pytest.mark.parametrize(
    ("path", "topics"),
    [
        ("cars/curlew.html", ["Safety equipment and fuel.", "Weight and ballast."]),
        ("rules/saltmarsh/2027/03-weights.html", ["Weight and ballast."]),
        ("rules/saltmarsh/2027/05-wheels.html", []),
        ("rules/saltmarsh/2027/08-safety.html", ["Safety equipment and fuel.", "Structure."]),
        ("how-to-read.html", ["Safety equipment and fuel.", "Structure.", "Weight and ballast.", "Speed."]),
    ],
)
def test_cautions_stand_where_they_are_called_for(pages, path, topics):
    """A page that reports on safety, structure, ballast or speed says so; one on rims does not."""
    every = ["Safety equipment and fuel.", "Structure.", "Weight and ballast.", "Speed."]
    assert [topic for topic in every if topic in pages[path].text] == topics


def test_unknown_is_never_shown_as_a_pass(pages):
    """A car heavy enough by its sum, but weighed otherwise than asked, is unknown; nothing judged is no pass."""
    page = pages["cars/plover.html"]
    assert "Legal" not in re.sub(r"\s+", " ", page.text).split("Weight", 1)[1].split("As of")[0].split("Line")[0]
    assert "the weight was taken without the driver" in page.text
    assert "Nothing judged yet. That is not a pass." in pages["index.html"].text


def test_front_names_what_matters_first(pages):
    """Breaches come before what is to be measured and read, and what has no effect is left out."""
    text = pages["index.html"].text
    first = [text.index(word) for word in ("Breach", "To measure", "To read", "Tighter")]
    assert first == sorted(first)
    assert "only its number or place changed" not in text


def test_every_breach_is_on_the_front_page():
    """However many breaches there are, none hides behind a count."""
    report = SITE.impacts[0]
    breach = next(each for each in report.impacts if each.outcome == "breach")
    many = replace(report, impacts=tuple(replace(breach, why=f"reason {number}") for number in range(9)))
    page = parsed(site_files(replace(SITE, impacts=(many,)))["index.html"])
    assert all(f"Reason {number}" in page.text for number in range(9))


def test_wording_is_marked_as_printed(files):
    """Inserted words stand in ins, repealed ones in del; a new clause is inserted and a repealed one struck whole."""
    body = files["compare/saltmarsh-2026-2027.html"].decode()
    assert "no less than <del>980</del> <ins>1,000</ins> kg" in body
    assert "<ins>One rear wing is permitted. Its span" in body
    assert "<del>Ducts for brake cooling are free" in body


def test_certainty_is_said_only_where_there_is_doubt(pages):
    """A pairing that is less than as good as certain says how sure it is; one that a person settled says that."""
    text = pages["compare/saltmarsh-2026-2027.html"].text
    assert "91 % sure" in text
    assert "97 % sure" not in text
    assert "100 %" not in text
    assert "paired by a person" in text


def test_what_a_draft_proposes_stands_apart(pages):
    """A draft bulletin is shown as a draft and as not in force."""
    text = pages["index.html"].text
    assert "a draft, not in force" in text
    assert "in force from 1 February 2027" in text


def test_reading_says_who_confirmed_it_against_which_text(pages):
    """Confirmed by a person and on a day; else why it does not count."""
    assert "Confirmed by Mara Holm, 20 November 2026." in pages["rules/saltmarsh/2027/05-wheels.html"].text
    assert "but the text has changed since" in pages["rules/saltmarsh/2027/06-aerodynamics.html"].text
    assert "Not confirmed by anyone yet" in pages["rules/saltmarsh/2027/08-safety.html"].text
    assert "No reading yet: nothing here is checked on any car." in pages["rules/saltmarsh/2027/06-aerodynamics.html"].text


def test_clause_refers_to_others_by_links(files):
    """The number of a clause in another's text is a link to it, within the chapter and across."""
    body = files["rules/saltmarsh/2027/06-aerodynamics.html"].decode()
    assert '(see <a href="#c-6_1">6.1</a>)' in body
    assert 'counts for <a href="03-weights.html#c-3_2-a">3.2(a)</a>.' in body


def test_empty_workspace_makes_a_site():
    """Without bodies, cars or rules there is a site that says so."""
    files = site_files(SiteInput(title="Nothing yet", day=SITE.day, vocabulary=SITE.vocabulary))
    page = parsed(files["index.html"])
    for words in ("No cars yet.", "No rule book yet.", "No two seasons to compare yet.", "Nothing is open."):
        assert words in page.text


def test_base_address_is_printed_on_paper_and_never_linked():
    """The site's own address stands as text, so that a printed sheet says where it came from."""
    page = parsed(site_files(replace(SITE, base="https://crew.example/"))["cars/curlew.html"])
    assert "https://crew.example/cars/curlew.html" in page.text
    assert not [each for each in page.addresses if "crew.example" in each[1]]


def test_workspace_may_override_templates_and_assets():
    """A workspace's own template and style go before the packaged ones; what it adds is published too."""
    own = {
        "templates/open.html": b'{% extends "base.html" %}{% block content %}<p>Ours: {{ frame.heading }}</p>{% endblock %}',
        "assets/site.css": b"p { color: black }",
        "assets/logo.png": b"\x89PNG",
    }
    files = site_files(SITE, overrides=own)
    assert "Ours: What is open" in parsed(files["open.html"]).text
    assert files["assets/site.css"] == b"p { color: black }"
    assert files["assets/logo.png"] == b"\x89PNG"
    assert "templates/open.html" not in files


def test_template_that_misspells_a_name_is_an_error():
    """A name that does not exist stops the run instead of showing nothing."""
    with pytest.raises(UndefinedError, match="haeding"):
        site_files(SITE, overrides={"templates/open.html": b"{{ frame.haeding }}"})


def test_point_within_a_season_is_not_mistaken_for_the_season():
    """A comparison with a season as published links to no page of the season with its bulletins."""
    published = replace(SITE.comparisons[0].old, point=replace(SITE.comparisons[0].old.point, selector="published"))
    comparison = replace(SITE.comparisons[0], old=published)
    files = site_files(replace(SITE, comparisons=(comparison,), impacts=()))
    names = [path for path in files if path.startswith("compare/")]
    assert names != ["compare/saltmarsh-2026-2027.html"]
    page = pages_of(files)[names[0]]
    assert not [address for _, address in page.addresses if "/2026/" in address]


def test_quantities_are_named_by_their_labels():
    """A reason or an open point that names a quantity is read with its label."""
    point = replace(SITE.open_points[0], found="car.weight of curlew is not stated, nor is no.such_thing", remedy="")
    page = parsed(site_files(replace(SITE, open_points=(point,)))["open.html"])
    assert "Weight of the car of curlew is not stated, nor is no.such_thing" in page.text


def test_doubtful_pairing_asks_a_person_to_look():
    """Far from certain, the page asks; settled by a person, it does not; certain, it says nothing."""
    changes = tuple(
        replace(each, certainty=0.6) if each.key in {"3.1", "5.1.2"} else each for each in SITE.comparisons[0].changes
    )
    comparison = replace(SITE.comparisons[0], changes=changes)
    page = parsed(site_files(replace(SITE, comparisons=(comparison,)))["compare/saltmarsh-2026-2027.html"])
    assert page.text.count("60 % sure that these belong together: look at both") == 1


def test_weight_sheet_without_a_minimum_is_unknown():
    """Where no minimum can be worked out the sheet says so, and the verdict is unknown."""
    first = SITE.assessments[0]
    assert first.weight is not None
    unknown = replace(first, weight=replace(first.weight, least=None, greatest=None))
    page = parsed(site_files(replace(SITE, assessments=(unknown,)))["cars/curlew.html"])
    assert "The minimum weight is not known." in page.text
    assert "above the minimum" not in page.text


def test_impacts_of_earlier_seasons_have_anchors_of_their_own():
    """A car's page holds the reports of several comparisons, the newest first, and no id twice."""
    new = SITE.comparisons[0].new
    middle = replace(new, point=Point(body="saltmarsh", season="2026b"), header=replace(new.header, season="2026b"))
    earlier = replace(SITE.comparisons[0], new=middle)
    again = tuple(replace(each) for each in SITE.impacts[0].impacts)
    reports = (replace(SITE.impacts[0], comparison=earlier, impacts=again), SITE.impacts[0])
    page = parsed(site_files(replace(SITE, comparisons=(earlier, SITE.comparisons[0]), impacts=reports))["cars/curlew.html"])
    assert page.text.index("What changed, 2026 to 2027") < page.text.index("What changed, 2026 to 2026b")
    assert len(page.ids) == len(set(page.ids))


def test_what_is_illegal_without_a_change_is_on_the_front_page_too():
    """A breach that no change accounts for is named as well, once, and leads to the findings of its car."""
    first = SITE.assessments[0]
    report = replace(SITE.impacts[0], impacts=tuple(each for each in SITE.impacts[0].impacts if each.outcome != "breach"))
    files = site_files(replace(SITE, assessments=(first,), impacts=(report,)))
    page = parsed(files["index.html"])
    assert page.text.count("Rear rim width") == 1
    assert "10.25 in is more than 10 in" in page.text
    assert ("a", "cars/curlew.html#e--saltmarsh--silhouette-b--illegal") in page.addresses
    assert "e--saltmarsh--silhouette-b--illegal" in parsed(files["cars/curlew.html"]).ids
