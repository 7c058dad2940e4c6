"""The site: from what was found for a day to its files."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from markupsafe import Markup, escape

from rulewatch.model.change import Comparison
from rulewatch.model.fault import CODES, Fault
from rulewatch.model.site import ImpactReport, SiteInput
from rulewatch.publish import links
from rulewatch.publish.atlas import Atlas
from rulewatch.publish.balance_data import balance_data
from rulewatch.publish.car_pages import car_page
from rulewatch.publish.cautions import CAUTIONS
from rulewatch.publish.comparison_page import compare_page, data_path
from rulewatch.publish.courses import Courses
from rulewatch.publish.data import SCHEMAS, comparison_data, impact_data, json_bytes, schema_bytes
from rulewatch.publish.front import front_page
from rulewatch.publish.inspection_data import inspection_data
from rulewatch.publish.job_data import jobs_data
from rulewatch.publish.job_pages import job_page
from rulewatch.publish.page_model import HowToReadPage, OpenPage, Page
from rulewatch.publish.page_parts import Cell, Link, OpenGroup
from rulewatch.publish.reading_words import capital
from rulewatch.publish.rendering import Renderer, assets
from rulewatch.publish.rules_pages import chapter_pages, edition_page
from rulewatch.publish.sheet_pages import inspection_page, weight_page
from rulewatch.publish.words import EFFECTS, KINDS, NOT_APPLYING, OPEN, OUTCOMES, VERDICTS, Term, count_words, day_words

JOBS = "data/jobs.json"


def site_files(site: SiteInput, *, overrides: Mapping[str, bytes] | None = None) -> dict[str, bytes]:
    """Every file of the site by its path, `/` between folders. The same input gives the same bytes.

    `overrides` holds a workspace's own `templates/NAME` and `assets/NAME`, which go before the packaged ones.
    """
    atlas, own = Atlas(site=site), overrides or {}
    renderer = Renderer(own)
    pages = {page.frame.path: renderer.page(page) for page in site_pages(atlas)}
    return dict(sorted((pages | dict(data_files(site)) | assets(own)).items()))


def site_pages(atlas: Atlas) -> Iterator[Page]:
    """The pages of the site, as values."""
    yield front_page(atlas)
    yield how_to_read_page(atlas)
    yield open_page(atlas)
    for comparison in atlas.site.comparisons:
        yield compare_page(atlas, comparison)
    courses = Courses(atlas)
    for book in atlas.books:
        yield edition_page(atlas, book)
        yield from chapter_pages(atlas, book, courses)
    for car in atlas.site.cars:
        yield car_page(atlas, car)
        yield job_page(atlas, car)
        if (sheets := inspection_page(atlas, car)) is not None:
            yield sheets
        if (balance := next((one for one in atlas.site.balances if one.car.id == car.id), None)) is not None:
            yield weight_page(atlas, balance)


def data_files(site: SiteInput) -> Iterator[tuple[str, bytes]]:
    """Comparisons, impacts, jobs and each car's sheets as JSON, with the schemas that describe them."""
    for comparison in site.comparisons:
        yield data_path("compare", comparison), json_bytes(comparison_data(comparison))
    for shown, reports in _impacts_by_season(Atlas(site=site)):
        yield data_path("impact", shown), json_bytes(impact_data(reports))
    yield JOBS, json_bytes(jobs_data(site.tasks))
    yield from _sheet_files(site)
    for name in SCHEMAS:
        yield f"data/{name}", schema_bytes(name)


def _sheet_files(site: SiteInput) -> Iterator[tuple[str, bytes]]:
    for car in site.cars:
        sheets = [one for one in site.inspections if one.assessment.car.id == car.id]
        if sheets:
            yield f"data/inspection-{links.slug(car.id)}.json", json_bytes(inspection_data(sheets))
    for balance in site.balances:
        yield f"data/weigh-{links.slug(balance.car.id)}.json", json_bytes(balance_data(balance))


def _impacts_by_season(atlas: Atlas) -> Iterator[tuple[Comparison, list[ImpactReport]]]:
    """The comparisons that reports belong to, with all of their season's."""
    for comparison in atlas.site.comparisons:
        reports = [report for report in atlas.site.impacts if atlas.shown(report) is comparison]
        if reports:
            yield comparison, reports


def open_page(atlas: Atlas) -> OpenPage:
    """What waits for a person, by sort; the sorts in the order in which the first of each comes up."""
    path, points = links.OPEN_POINTS, atlas.site.open_points
    found: dict[str, list[tuple[str, Markup]]] = {}
    for point in points:
        found.setdefault(point.code, []).append((str(point.place), _sentences(atlas, point)))
    return OpenPage(
        frame=atlas.frame(
            path,
            "What is open",
            crumbs=((atlas.site.title, links.FRONT),),
            cells=(
                Cell(label="Open", value=count_words(len(points), "point")),
                Cell(label="On", value=day_words(atlas.site.day)),
            ),
        ),
        groups=tuple(
            OpenGroup(term=open_term(code), anchor=f"open-{links.slug(code)}", points=tuple(each))
            for code, each in found.items()
        ),
    )


def _sentences(atlas: Atlas, point: Fault) -> Markup:
    """What was found and what to do, each a sentence; what stands between backticks is to be written as it is."""
    parts = [capital(atlas.in_words(text)) for text in (point.found, point.remedy) if text]
    text = " ".join(part if part.endswith((".", "?", "!")) else f"{part}." for part in parts)
    pieces = [
        escape(piece) if place % 2 == 0 else Markup("<code>{}</code>").format(piece)
        for place, piece in enumerate(text.split("`"))
    ]
    return Markup("").join(pieces)


def open_term(code: str) -> Term:
    """The word for a sort of open points; the code itself with its sentence where the site has no word of its own."""
    return OPEN.get(code) or Term(word=code, mark="query", meaning=CODES.get(code, ""))


def how_to_read_page(atlas: Atlas) -> HowToReadPage:
    """The words of the site explained, with all cautions."""
    path = links.HOW_TO_READ
    names = [data_path("compare", each) for each in atlas.site.comparisons]
    names += [data_path("impact", shown) for shown, _ in _impacts_by_season(atlas)]
    names += [JOBS, *(name for name, _ in _sheet_files(atlas.site)), *(f"data/{name}" for name in SCHEMAS)]
    return HowToReadPage(
        frame=atlas.frame(path, "How to read this", crumbs=((atlas.site.title, links.FRONT),), cautions=CAUTIONS),
        verdicts=(*VERDICTS.values(), NOT_APPLYING),
        outcomes=tuple(OUTCOMES.values()),
        effects=tuple(EFFECTS.values()),
        kinds=tuple(KINDS.values()),
        data=tuple(Link(text=name, href=links.relative(path, name)) for name in names),
    )
