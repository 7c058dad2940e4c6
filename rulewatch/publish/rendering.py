"""Page models through templates to bytes. Templates escape everything; a name that a template misspells is an error."""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from importlib.resources import files

from jinja2 import BaseLoader, ChoiceLoader, DictLoader, Environment, PackageLoader, StrictUndefined
from markupsafe import Markup

from rulewatch.publish.cautions import ALWAYS
from rulewatch.publish.page_model import (
    CarPage,
    ChapterPage,
    ComparePage,
    EditionPage,
    FrontPage,
    HowToReadPage,
    InspectionPage,
    JobPage,
    OpenPage,
    Page,
    WeightPage,
)
from rulewatch.publish.reading_words import uncapital
from rulewatch.publish.words import count_words, day_words, listed

TEMPLATES: dict[type[Page], str] = {
    FrontPage: "front.html",
    ComparePage: "compare.html",
    EditionPage: "edition.html",
    ChapterPage: "chapter.html",
    CarPage: "car.html",
    JobPage: "jobs.html",
    InspectionPage: "inspection.html",
    WeightPage: "weight.html",
    OpenPage: "open.html",
    HowToReadPage: "how-to-read.html",
}
ASSETS = ("site.css",)


class Renderer:
    """Renders pages with the packaged templates, or a workspace's own where it has them.

    `overrides` maps `templates/NAME` and `assets/NAME` to the bytes of the workspace's files.
    """

    def __init__(self, overrides: Mapping[str, bytes]) -> None:
        own = {
            path.removeprefix("templates/"): body.decode() for path, body in overrides.items() if path.startswith("templates/")
        }
        loaders: list[BaseLoader] = [DictLoader(own), PackageLoader("rulewatch.publish")]
        self._environment = Environment(
            loader=ChoiceLoader(loaders), autoescape=True, undefined=StrictUndefined, trim_blocks=True, lstrip_blocks=True
        )
        self._environment.filters |= {
            "day": day_words,
            "time": _time,
            "listed": listed,
            "counted": count_words,
            "uncapital": uncapital,
        }
        self._environment.globals["always"] = ALWAYS

    def page(self, page: Page) -> bytes:
        """One page as UTF-8."""
        template = self._environment.get_template(TEMPLATES[type(page)])
        return (template.render(page=page, frame=page.frame).strip() + "\n").encode()


def assets(overrides: Mapping[str, bytes]) -> dict[str, bytes]:
    """The site's style and what a workspace adds to it, by path. A workspace's file goes before the packaged one."""
    folder = files("rulewatch.publish").joinpath("assets")
    packaged = {f"assets/{name}": folder.joinpath(name).read_bytes() for name in ASSETS}
    return packaged | {path: body for path, body in overrides.items() if path.startswith("assets/")}


def _time(day: date, *, weekday: bool = False) -> Markup:
    return Markup('<time datetime="{}">{}</time>').format(day.isoformat(), day_words(day, weekday=weekday))
