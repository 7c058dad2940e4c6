"""What the lead of a list says of the numbers in its items."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import replace

from rulewatch.intake.suggest.cues import Says, lead_cue
from rulewatch.intake.suggest.figures import Figure
from rulewatch.intake.suggest.sentences import Stretch, find_list


def hung_on_lead(text: str, sentence: Stretch, figures: Sequence[Figure]) -> Iterator[Figure]:
    """The figures, those of a list with what its lead says of them: "shall not exceed: front 9 in, rear 10 in".

    A figure that is an item by itself is wholly about what the lead is about. In a list that has such figures, those of
    another kind between them say for which cars the next one is.
    """
    items = find_list(text, sentence)
    lead = Stretch(start=sentence.start, end=items[0].start) if items else sentence
    said = lead_cue(text[lead.start : lead.end])
    inside = {figure.start: item for figure in figures for item in items if item.start <= figure.start < item.end}
    bare = {start for figure in figures if (start := figure.start) in inside and _is_bare(text, inside[start], figure)}
    kinds = {figure.amount.unit.dimension for figure in figures if figure.start in bare}
    for figure in figures:
        item = inside.get(figure.start)
        if item is None or said is None:
            yield figure
        elif bare and (figure.start not in bare or figure.amount.unit.dimension not in kinds):
            yield replace(figure, conditional=True, of_item=True)
        else:
            own = figure.says in {Says.MIN, Says.MAX, Says.OVER, Says.UNDER} and item.start <= figure.cue[0]
            cue = figure.cue if own else (lead.start + said.start, lead.start + said.end)
            span = lead if figure.start in bare else item
            yield replace(
                figure,
                says=figure.says if own else said.says,
                cue=cue,
                sure=max(figure.sure, 0.9),
                left=span.start,
                right=span.end,
                conditional=figure.conditional and figure.start not in bare,
            )


def _is_bare(text: str, item: Stretch, figure: Figure) -> bool:
    """Whether a figure is all that an item of a list says."""
    rest = text[item.start : figure.start] + text[figure.end : item.end]
    return re.search(r"[^\W\d_]{2}", rest) is None
