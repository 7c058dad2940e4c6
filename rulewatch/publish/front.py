"""The front page: what is next, what matters for each car, what changed last."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Sequence
from dataclasses import replace

from rulewatch.model.change import Comparison
from rulewatch.model.edition import Bulletin, BulletinStatus, Edition
from rulewatch.model.impact import PRECEDENCE, Assessment, Finding, Impact, Outcome, Verdict
from rulewatch.model.instruction import Act, Target
from rulewatch.model.site import ImpactReport
from rulewatch.publish import links
from rulewatch.publish.atlas import Atlas, Book
from rulewatch.publish.cautions import cautions_for
from rulewatch.publish.front_parts import BodyBrief, BriefItem, BulletinBrief, CarBrief, ComparisonBrief, Countdown, EntryBrief
from rulewatch.publish.page_model import FrontPage
from rulewatch.publish.page_parts import ClauseLink, Link, Tally
from rulewatch.publish.reading_words import capital
from rulewatch.publish.words import KINDS, OUTCOMES, VERDICTS, day_range

SHOWN_ITEMS = 5  # what a person takes in at a glance; the car's page has the rest. Every breach is shown, however many
SHOWN_EVENTS = 4
BREACHES = frozenset({Outcome.BREACH, Outcome.STILL_IN_BREACH})


def front_page(atlas: Atlas) -> FrontPage:
    """The front page of a site."""
    site, path = atlas.site, links.FRONT
    subjects = [finding.subject for each in site.assessments for finding in each.findings]
    return FrontPage(
        frame=atlas.frame(path, site.title, cautions=cautions_for(subjects)),
        countdowns=to_scale(countdowns(atlas, atlas.newest.values())[:SHOWN_EVENTS]),
        cars=tuple(_car(atlas, car.id) for car in site.cars),
        bulletins=tuple(_last_bulletins(atlas, path)),
        comparisons=tuple(comparison_brief(atlas, path, each) for each in reversed(site.comparisons)),
        bodies=tuple(_bodies(atlas, path)),
        open_count=len(site.open_points),
        open_href=links.relative(path, links.OPEN_POINTS),
    )


def countdowns(atlas: Atlas, books: Iterable[Book]) -> tuple[Countdown, ...]:
    """The events of some editions that are ahead or under way on the site's day, the nearest first."""
    day = atlas.site.day
    found = [
        Countdown(
            title=event.title or event.id,
            body=book.edition.body.name,
            on=event.on,
            when=day_range(event.on, event.until),
            days=max((event.on - day).days, 0),
            track=event.track,
            cars=tuple(
                dict.fromkeys(
                    car.name or car.id
                    for car in atlas.site.cars
                    for entry in car.entries
                    if entry.body == book.body and entry.covers(event.on)
                )
            ),
        )
        for book in books
        for event in book.edition.header.events
        if (event.until or event.on) >= day
    ]
    return tuple(sorted(found, key=lambda each: (each.on, each.body, each.title)))


def to_scale(found: Sequence[Countdown]) -> tuple[Countdown, ...]:
    """Countdowns with their lines drawn to one scale, the longest in full."""
    most = max((each.days for each in found), default=0) or 1
    return tuple(replace(each, length=max(round(20 * each.days / most), 1) * 5) for each in found)


def standing(assessment: Assessment) -> tuple[Tally, ...]:
    """How many requirements that apply have each verdict, the worst first; the words without any are left out."""
    counts = Counter(finding.verdict for finding in assessment.findings if not is_idle(finding))
    order = (Verdict.ILLEGAL, Verdict.UNKNOWN, Verdict.LEGAL)
    return tuple(Tally(term=VERDICTS[verdict], count=counts[verdict]) for verdict in order if counts[verdict])


def is_idle(finding: Finding) -> bool:
    """Whether a requirement does not apply, and may be set apart; never one that is not met or not known."""
    return not finding.applies and finding.verdict is Verdict.LEGAL


def comparison_brief(atlas: Atlas, page: str, comparison: Comparison) -> ComparisonBrief:
    """A comparison in one line."""
    counts = comparison.counts()
    old, new = atlas.book(comparison.old), atlas.book(comparison.new)
    return ComparisonBrief(
        title=f"{comparison.new.body.name}, {old.season} to {new.season}",
        href=links.relative(page, links.comparison_page(comparison)),
        changed=len(comparison.changed),
        total=len(comparison.changes),
        kinds=tuple(Tally(term=KINDS[kind], count=counts[kind.value]) for kind in KINDS if counts[kind.value]),
    )


def bulletin_brief(atlas: Atlas, page: str, edition: Edition, bulletin: Bulletin) -> BulletinBrief:
    """A bulletin and what it amends, with links into the edition that it was applied to."""
    book = atlas.book(edition)
    events = {event.id: event.title or event.id for event in edition.header.events}
    return BulletinBrief(
        body=edition.body.name,
        season=book.season,
        number=bulletin.number,
        title=bulletin.title,
        published=bulletin.published,
        effective=bulletin.effective,
        draft=bulletin.status is BulletinStatus.DRAFT,
        in_force=bulletin.effective <= atlas.site.day,
        events=tuple(events.get(name, name) for name in bulletin.events),
        amended=tuple(book.link(page, number) for number in _amended(bulletin, edition)),
        repealed=tuple(ClauseLink(number=number) for number in _repealed(bulletin, edition)),
    )


def _amended(bulletin: Bulletin, edition: Edition) -> tuple[str, ...]:
    """The numbers that have a text by a bulletin, each once: those that it gives one, and those that its instructions act upon."""
    told = (each for each in bulletin.instructions if each.act is not Act.REMOVE)
    named = (_numbers(target, edition) for each in told for target in (each.to or each.targets))
    return tuple(dict.fromkeys((*(each.number for each in bulletin.amendments if each.clause is not None), *named)))


def _repealed(bulletin: Bulletin, edition: Edition) -> tuple[str, ...]:
    told = (each for each in bulletin.instructions if each.act is Act.REMOVE)
    named = (_numbers(target, edition) for each in told for target in each.targets)
    return tuple(dict.fromkeys((*(each.number for each in bulletin.amendments if each.clause is None), *named)))


def _numbers(target: Target, edition: Edition) -> str:
    """A number as the edition has it, or a range of them."""
    number = target.named if target.named in edition.by_id else target.number
    return f"{number}–{target.through}" if target.through else number


def _last_bulletins(atlas: Atlas, page: str) -> Iterator[BulletinBrief]:
    """Each body's bulletin published last, and every draft, apart."""
    for book in atlas.newest.values():
        applied = sorted(book.edition.applied, key=lambda each: each.published)
        for bulletin in (*applied[-1:], *book.edition.drafts):
            yield bulletin_brief(atlas, page, book.edition, bulletin)


def _car(atlas: Atlas, car: str) -> CarBrief:
    return CarBrief(
        name=atlas.car_names[car],
        href=links.relative(links.FRONT, links.car_page(car)),
        entries=tuple(_entry(atlas, each) for each in atlas.assessments_of(car)),
    )


def _entry(atlas: Atlas, assessment: Assessment) -> EntryBrief:
    """What is illegal, and what else the newest season does to an entry; what only drafts would do is not here."""
    season = assessment.edition.header.season
    reports = [
        each for each in atlas.impacts_of(assessment) if each[0].comparison.new.header.season == season and not each[0].draft
    ]
    telling = [(report, impact) for report, found in reports for impact in found if impact.outcome is not Outcome.NONE]
    telling.sort(key=lambda each: PRECEDENCE.index(each[1].outcome))
    counts = Counter(impact.outcome for _, impact in telling)
    breaches = [each for each in telling if each[1].outcome in BREACHES]
    others = [each for each in telling if each[1].outcome not in BREACHES]
    standing_breaches = _unchanged_breaches(assessment, {impact.subject for _, impact in breaches})
    urgent = [_item(atlas, *each) for each in breaches] + [_illegal(atlas, assessment, each) for each in standing_breaches]
    shown = max(SHOWN_ITEMS - len(urgent), 0)
    entry, book = assessment.entry, atlas.season_book(assessment.edition)
    href = links.relative(links.FRONT, links.car_page(assessment.car.id), links.entry_anchor(entry))
    return EntryBrief(
        title=atlas.entry_title(entry.body, entry.class_name),
        season=book.season,
        href=href,
        standing=standing(assessment),
        tallies=tuple(Tally(term=OUTCOMES[outcome], count=counts[outcome]) for outcome in OUTCOMES if counts[outcome]),
        items=(*urgent, *(_item(atlas, *each) for each in others[:shown])),
        more=max(len(others) - shown, 0),
    )


def _unchanged_breaches(assessment: Assessment, covered: Collection[str]) -> Iterator[Finding]:
    """The illegal findings that no change accounts for, each subject once."""
    found = {finding.subject: finding for finding in reversed(assessment.findings) if finding.verdict is Verdict.ILLEGAL}
    return (
        finding for finding in assessment.findings if found.get(finding.subject) is finding and finding.subject not in covered
    )


def _illegal(atlas: Atlas, assessment: Assessment, finding: Finding) -> BriefItem:
    book, entry = atlas.season_book(assessment.edition), links.entry_anchor(assessment.entry)
    return BriefItem(
        term=VERDICTS[Verdict.ILLEGAL],
        what=atlas.label(finding.subject),
        why=capital(atlas.in_words(finding.why)),
        href=links.relative(links.FRONT, links.car_page(assessment.car.id), links.verdict_anchor(entry, Verdict.ILLEGAL)),
        clauses=tuple(book.link(links.FRONT, clause) for clause in finding.clauses),
    )


def _item(atlas: Atlas, report: ImpactReport, impact: Impact) -> BriefItem:
    book = atlas.season_book(report.comparison.new)
    clauses = tuple(book.link(links.FRONT, clause) for clause in impact.new)
    return BriefItem(
        term=OUTCOMES[impact.outcome],
        what=impact_subject(atlas, book, impact),
        why=capital(atlas.in_words(impact.why)),
        href=links.relative(links.FRONT, links.car_page(impact.car), atlas.impact_anchor(impact)),
        clauses=clauses or tuple(ClauseLink(number=clause) for clause in impact.old),
    )


def impact_subject(atlas: Atlas, book: Book, impact: Impact) -> str:
    """What an impact is about: the label of what decided it, or the first words of its clause."""
    if impact.subject:
        return atlas.label(impact.subject)
    named = [book.link(links.FRONT, clause).words for clause in impact.new]
    return (
        next(filter(None, named), "")
        or (impact.change.old[0].heading if impact.change and impact.change.old else "")
        or "Clause"
    )


def _bodies(atlas: Atlas, page: str) -> Iterator[BodyBrief]:
    for body in atlas.newest:
        books = [book for book in atlas.books if book.body == body]
        yield BodyBrief(
            name=books[0].edition.body.name,
            editions=tuple(Link(text=book.season, href=links.relative(page, book.page)) for book in reversed(books)),
        )
