"""Two pages for each car that it takes along on paper: its inspection sheets, and its weight sheet."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from rulewatch.model.car import Car
from rulewatch.model.inspection import InspectionLine, InspectionSheet
from rulewatch.model.weighing import BalanceSheet, Outlook
from rulewatch.publish import links
from rulewatch.publish.atlas import Atlas
from rulewatch.publish.balance_words import (
    CORNERS,
    ballast_words,
    gravity_words,
    height_words,
    placed_words,
    scales_words,
    speed_words,
    state_row,
    weighed_words,
)
from rulewatch.publish.cautions import cautions_for
from rulewatch.publish.inspection_words import (
    closing_words,
    line_words,
    occasion_words,
    paper_words,
    question_words,
    verdict_words,
)
from rulewatch.publish.page_model import InspectionPage, WeightPage
from rulewatch.publish.page_parts import Cell, ClauseLink
from rulewatch.publish.reading_words import capital
from rulewatch.publish.sheet_parts import BalanceView, BlankRow, InspectionGroup, InspectionRow, OutlookView, SheetView
from rulewatch.publish.weight_words import minimum_words, weight_step
from rulewatch.publish.words import VERDICTS, count_words

LIVES = "Items with a life, and paper"


def sheet_cells(atlas: Atlas, path: str, car: str) -> Iterator[Cell]:
    """The way from a car's page to its sheets."""
    count = len(_sheets(atlas, car))
    if count:
        href = links.relative(path, links.inspection_page(car))
        yield Cell(label="Inspection", value=count_words(count, "sheet"), href=href)
    if any(one.car.id == car for one in atlas.site.balances):
        yield Cell(label="Weight and balance", value="sheet", href=links.relative(path, links.weight_page(car)))


def _sheets(atlas: Atlas, car: str) -> tuple[InspectionSheet, ...]:
    return tuple(one for one in atlas.site.inspections if one.assessment.car.id == car)


# --- Inspection ---------------------------------------------------------------------------------------------------------


def inspection_page(atlas: Atlas, car: Car) -> InspectionPage | None:
    """The inspection sheets of a car, each to begin a page of paper; None where it is entered nowhere."""
    sheets = _sheets(atlas, car.id)
    if not sheets:
        return None
    path, name = links.inspection_page(car.id), car.name or car.id
    subjects = [line.finding.subject for sheet in sheets for system in sheet.systems for line in system.lines]
    return InspectionPage(
        frame=atlas.frame(
            path,
            f"Inspection sheets of {name}",
            crumbs=((atlas.site.title, links.FRONT), (name, links.car_page(car.id))),
            cells=tuple(
                Cell(
                    label=atlas.entry_title(one.assessment.entry.body, one.assessment.entry.class_name),
                    value=capital(occasion_words(one)),
                    href=f"#{links.entry_anchor(one.assessment.entry)}",
                )
                for one in sheets
            ),
            cautions=cautions_for(subjects),
        ),
        sheets=tuple(_Sheet(atlas, path, one).view() for one in sheets),
    )


class _Sheet:
    """Builds the view of one sheet."""

    def __init__(self, atlas: Atlas, path: str, sheet: InspectionSheet) -> None:
        self.atlas, self.path, self.sheet = atlas, path, sheet
        self.book = atlas.season_book(sheet.assessment.edition)

    def view(self) -> SheetView:
        sheet = self.sheet
        entry = sheet.assessment.entry
        groups = [(one.system, one.lines) for one in sheet.systems]
        groups += [(LIVES, sheet.lives)] if sheet.lives else []
        return SheetView(
            anchor=links.entry_anchor(entry),
            title=f"{self.atlas.entry_title(entry.body, entry.class_name)}, {occasion_words(sheet)}",
            standing=capital(verdict_words(sheet)),
            closing=tuple(closing_words(sheet, self.atlas.site.day)),
            groups=tuple(InspectionGroup(title=title, rows=tuple(map(self.row, lines))) for title, lines in groups),
            waivers=tuple(map(paper_words, sheet.waivers)),
            questions=tuple(map(question_words, sheet.questions)),
            unread=tuple(one.why for one in sheet.unread),
            blanks=tuple(BlankRow(label=one.label, how=one.how, clauses=self.clauses(one.clauses)) for one in sheet.to_measure),
            idle=len(sheet.idle),
        )

    def row(self, line: InspectionLine) -> InspectionRow:
        words = line_words(line, self.sheet, self.atlas.site.vocabulary)
        return InspectionRow(
            term=VERDICTS[line.finding.verdict],
            risk=words.verdict.endswith("at risk"),
            clauses=self.clauses(line.finding.clauses),
            words=words,
        )

    def clauses(self, ids: Iterable[str]) -> tuple[ClauseLink, ...]:
        return tuple(self.book.link(self.path, clause) for clause in ids)


# --- Weight and balance -------------------------------------------------------------------------------------------------


def weight_page(atlas: Atlas, sheet: BalanceSheet) -> WeightPage:
    """The weight sheet of a car."""
    car = sheet.car
    path, name = links.weight_page(car.id), car.name or car.id
    subjects = ("ballast", "car.weight", *(("car.speed",) if sheet.at_speed else ()))
    return WeightPage(
        frame=atlas.frame(
            path,
            f"Weight and balance of {name}",
            crumbs=((atlas.site.title, links.FRONT), (name, links.car_page(car.id))),
            cells=tuple(
                Cell(
                    label=atlas.entry_title(one.assessment.entry.body, one.assessment.entry.class_name),
                    value=capital(scales_words(one)) or "not known",
                    href=f"#{links.entry_anchor(one.assessment.entry)}",
                )
                for one in sheet.outlooks
            ),
            cautions=cautions_for(subjects),
        ),
        balance=BalanceView(
            weighed=capital(weighed_words(sheet)),
            corners=tuple(CORNERS.values()),
            states=tuple(map(state_row, sheet.states)),
            gravity=(*map(capital, gravity_words(sheet)), *(capital(height_words(one)) for one in sheet.heights)),
            speed_title=next((f"Axle loads at speed, {one.what}" for one in sheet.at_speed), ""),
            speeds=tuple(map(speed_words, sheet.at_speed)),
            notes=tuple(map(capital, sheet.notes)),
        ),
        outlooks=tuple(_outlook(atlas, one, sheet) for one in sheet.outlooks),
    )


def _outlook(atlas: Atlas, one: Outlook, sheet: BalanceSheet) -> OutlookView:
    entry, header = one.assessment.entry, one.assessment.edition.header
    lines = (scales_words(one), *ballast_words(one, sheet), *placed_words(one, sheet))
    return OutlookView(
        anchor=links.entry_anchor(entry),
        title=f"{atlas.entry_title(entry.body, entry.class_name)}, {header.season}",
        minimum=minimum_words(one.sheet) if one.sheet is not None else "",
        steps=tuple(map(weight_step, one.sheet.lines)) if one.sheet is not None else (),
        lines=tuple(capital(line) for line in lines if line),
        notes=tuple(map(capital, one.notes)),
    )
