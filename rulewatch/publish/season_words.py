"""What a report of impacts is headed by: two seasons, a day of a season with what came on it, or a draft."""

from __future__ import annotations

from collections.abc import Sequence

from rulewatch.model.clause import natural_order
from rulewatch.model.edition import Bulletin, Selector
from rulewatch.model.site import ImpactReport
from rulewatch.publish import links
from rulewatch.publish.words import day_words, listed


def report_title(report: ImpactReport) -> str:
    """A report's title, as the beginning of a line."""
    old, new = report.comparison.old, report.comparison.new
    if report.draft:
        return f"If {_named(old.drafts, 'draft bulletin')} came, from {day_words(max(one.effective for one in old.drafts))}"
    if report.stage is None:
        season = new.header.season if new.point.selector is Selector.EVENT else links.season_name(new.point)
        return f"What changed, {links.season_name(old.point)} to {season}"
    day = f"From {day_words(report.stage.day)}" + (f", {report.stage.title}" if report.stage.title else "")
    if old.header.season != new.header.season:
        return f"{day}: the season {new.header.season}"
    came, went = ([one for one in these.applied if one not in those.applied] for these, those in ((new, old), (old, new)))
    said = [f"{_named(came, 'bulletin')}"] if came else []
    said += [f"{_named(went, 'bulletin')} no longer"] if went else []
    out, back = ([*these.suspended.keys() - those.suspended.keys()] for these, those in ((new, old), (old, new)))
    said += [f"{listed(sorted(out, key=natural_order))} suspended"] if out else []
    said += [f"{listed(sorted(back, key=natural_order))} in force again"] if back else []
    return f"{day}: {', '.join(said)}" if said else day


def _named(bulletins: Sequence[Bulletin], word: str) -> str:
    return f"{word}{'s' if len(bulletins) > 1 else ''} {listed([one.number for one in bulletins])}"
