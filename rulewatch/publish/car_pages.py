"""A page for each car: what the changes do to each entry, how it stands against the whole book, and its weight."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from rulewatch.model.car import Car, Entry
from rulewatch.model.impact import Assessment, Finding, Impact, Outcome, Sort, Verdict, WeightLine, WeightSheet
from rulewatch.model.quantity import Amount
from rulewatch.model.site import ImpactReport
from rulewatch.publish import links
from rulewatch.publish.atlas import Atlas
from rulewatch.publish.car_parts import (
    EntryView,
    FindingGroup,
    FindingView,
    FurtherView,
    ImpactView,
    ReportView,
    WeightRow,
    WeightView,
)
from rulewatch.publish.cautions import cautions_for
from rulewatch.publish.front import impact_subject, is_idle, standing
from rulewatch.publish.job_pages import jobs_cell
from rulewatch.publish.job_words import kept_words
from rulewatch.publish.page_model import CarPage
from rulewatch.publish.page_parts import Cell, ClauseLink
from rulewatch.publish.past_view import past_cell, past_rows
from rulewatch.publish.reading_words import capital
from rulewatch.publish.room import after_words, amount_words, margin_words, side_words
from rulewatch.publish.season_words import report_title
from rulewatch.publish.sheet_pages import sheet_cells
from rulewatch.publish.together_view import together_rows
from rulewatch.publish.weight_words import weight_sides
from rulewatch.publish.words import NEEDS, NOT_APPLYING, OUTCOMES, SORTS, VERDICTS, day_words, listed


def car_page(atlas: Atlas, car: Car) -> CarPage:
    """The page of one car."""
    path, past = links.car_page(car.id), past_rows(atlas, links.car_page(car.id), car.id)
    assessments = atlas.assessments_of(car.id)
    subjects = [finding.subject for each in assessments for finding in each.findings]
    subjects += ["car.weight"] if any(each.weight for each in assessments) else []
    return CarPage(
        frame=atlas.frame(
            path,
            car.name or car.id,
            crumbs=((atlas.site.title, links.FRONT),),
            cells=(
                *_cells(atlas, path, assessments),
                jobs_cell(atlas, path, car.id),
                *sheet_cells(atlas, path, car.id),
                *past_cell(path, past),
            ),
            cautions=cautions_for(subjects),
        ),
        note=car.note,
        entries=tuple(_Entry(atlas, path, each).view() for each in assessments),
        together=tuple(row for one in atlas.site.together if one.car == car.id for row in together_rows(atlas, path, one)),
        past=past,
    )


def _cells(atlas: Atlas, path: str, assessments: Sequence[Assessment]) -> Iterator[Cell]:
    for each in assessments:
        found = ", ".join(f"{tally.count} {tally.term.word.lower()}" for tally in standing(each)) or "nothing judged yet"
        yield Cell(
            label=atlas.entry_title(each.entry.body, each.entry.class_name),
            value=found,
            href=links.relative(path, path, links.entry_anchor(each.entry)),
        )


class _Entry:
    """Builds the part of a car's page that is about one entry."""

    def __init__(self, atlas: Atlas, path: str, assessment: Assessment) -> None:
        self.atlas, self.path, self.assessment = atlas, path, assessment
        self.book = atlas.season_book(assessment.edition)
        self.anchor = links.entry_anchor(assessment.entry)

    def view(self) -> EntryView:
        entry = self.assessment.entry
        weight = self.assessment.weight
        return EntryView(
            title=self.atlas.entry_title(entry.body, entry.class_name),
            season=self.book.season,
            anchor=self.anchor,
            dates=_dates(entry),
            waivers=tuple(f"{each.clause}: {each.paper}, until {day_words(each.until)}" for each in entry.waivers),
            standing=standing(self.assessment),
            reports=tuple(self.report(report, impacts) for report, impacts in self.atlas.impacts_of(self.assessment)),
            groups=tuple(self.groups()),
            weight=self.weight(weight) if weight else None,
        )

    def report(self, report: ImpactReport, impacts: Sequence[Impact]) -> ReportView:
        shown = self.atlas.shown(report)
        telling = [impact for impact in impacts if impact.outcome is not Outcome.NONE]
        return ReportView(
            title=report_title(report),
            draft=report.draft,
            href=links.relative(self.path, links.comparison_page(shown)) if shown is not None and not report.on else "",
            impacts=tuple(self.impact(report, impact) for impact in telling),
            idle=tuple(self.impact(report, impact) for impact in impacts if impact.outcome is Outcome.NONE),
        )

    def impact(self, report: ImpactReport, impact: Impact) -> ImpactView:
        old, new = (self.atlas.season_book(each) for each in (report.comparison.old, report.comparison.new))
        shown = self.atlas.shown(report) if not report.draft else None
        place = self.atlas.change_anchor(shown, self.atlas.old_ids(report, impact), impact.new) if shown is not None else ""
        return ImpactView(
            anchor=self.atlas.impact_anchor(impact),
            term=OUTCOMES[impact.outcome],
            what=impact_subject(self.atlas, new, impact),
            why=capital(self.atlas.in_words(impact.why)),
            on=day_words(impact.on) if impact.on is not None and impact.on != report.on else "",
            old=tuple(old.link(self.path, clause) for clause in impact.old),
            new=tuple(new.link(self.path, clause) for clause in impact.new),
            before=side_words(impact.before),
            after=after_words(impact),
            also=listed([OUTCOMES[each].word.lower() for each in impact.also]),
            job=self.atlas.in_words(impact.job),
            kept=capital(kept_words(impact, self.atlas.person_name)),
            href=links.relative(self.path, links.comparison_page(shown), place) if shown is not None and place else "",
            weights=tuple(weight_sides(impact)),
            further=tuple(
                FurtherView(
                    term=OUTCOMES[one.outcome], why=capital(self.atlas.in_words(one.why)), job=self.atlas.in_words(one.job)
                )
                for one in impact.further
            ),
        )

    def groups(self) -> Iterator[FindingGroup]:
        """The findings by verdict, the worst first; what does not apply last, and folded."""
        findings = self.assessment.findings
        for verdict in (Verdict.ILLEGAL, Verdict.UNKNOWN, Verdict.LEGAL):
            found = [finding for finding in findings if finding.verdict is verdict and not is_idle(finding)]
            if found:
                yield FindingGroup(
                    term=VERDICTS[verdict],
                    anchor=links.verdict_anchor(self.anchor, verdict),
                    findings=tuple(self.finding(each) for each in found),
                    folded=False,
                )
        idle = [finding for finding in findings if is_idle(finding)]
        if idle:
            yield FindingGroup(
                term=NOT_APPLYING,
                anchor=f"{self.anchor}--idle",
                findings=tuple(self.finding(each) for each in idle),
                folded=True,
            )

    def finding(self, finding: Finding) -> FindingView:
        needs = [NEEDS[need] for need in NEEDS if need in finding.needs and finding.verdict is Verdict.UNKNOWN]
        return FindingView(
            what=self.atlas.label(finding.subject),
            note=listed([word for word in (SORTS[finding.sort], *needs) if word]),
            value=finding.value or "not stated",
            bound=finding.bound,
            room=margin_words(finding.margin),
            clauses=tuple(self.book.link(self.path, clause) for clause in finding.clauses),
            why=capital(self.atlas.in_words(finding.why)),
            shows_why=finding.verdict is not Verdict.LEGAL,
        )

    def weight(self, sheet: WeightSheet) -> WeightView:
        from_sheet, result = weight_result(sheet)
        judged = [finding for finding in self.assessment.findings if finding.sort is Sort.WEIGHT]
        verdict = Verdict.every((from_sheet, *(finding.verdict for finding in judged)))
        reasons = [finding.why for finding in judged if finding.verdict is verdict is not from_sheet]
        return WeightView(
            rows=tuple(self.weight_row(line) for line in sheet.lines),
            minimum=_minimum(sheet),
            car=amount_words(sheet.car) if sheet.car else "not known",
            term=VERDICTS[verdict],
            result=result,
            reasons=tuple(dict.fromkeys(reasons)),
        )

    def weight_row(self, line: WeightLine) -> WeightRow:
        clause = self.book.link(self.path, line.clause) if line.clause else ClauseLink(number="")
        amount = amount_words(line.amount)
        return WeightRow(
            label=clause.words or capital(line.label),
            note=line.label if clause.words and line.label != amount else "",
            clause=clause,
            amount=amount,
            total=amount_words(line.total),
            certain=line.certain,
        )


def weight_result(sheet: WeightSheet) -> tuple[Verdict, str]:
    """What the car's weight against the minimum comes to, in words. Between `least` and `greatest` nothing is known."""
    if sheet.car is None:
        return Verdict.UNKNOWN, "The car's weight is not known."
    if sheet.least is None or sheet.greatest is None:
        return Verdict.UNKNOWN, "The minimum weight is not known."
    if sheet.car.base < sheet.least.base:
        return Verdict.ILLEGAL, f"{_size(sheet.least, sheet.car)} too light."
    if sheet.car.base < sheet.greatest.base:
        return Verdict.UNKNOWN, f"{_size(sheet.greatest, sheet.car)} short, if everything uncertain counts."
    return Verdict.LEGAL, f"{_size(sheet.car, sheet.greatest)} above the minimum."


def _size(more: Amount, less: Amount) -> str:
    return amount_words(more.minus(less))


def _minimum(sheet: WeightSheet) -> str:
    if sheet.least is None or sheet.greatest is None:
        return "not known"
    if sheet.least.same_value(sheet.greatest):
        return amount_words(sheet.greatest)
    return f"{amount_words(sheet.least)} to {amount_words(sheet.greatest)}"


def _dates(entry: Entry) -> str:
    since = f"from {day_words(entry.since)}" if entry.since else ""
    until = f"until {day_words(entry.until)}" if entry.until else ""
    return " ".join(filter(None, (since, until)))
