"""Words that one book spells otherwise than the other: `centre` and `center`, `Schluß` and `Schluss`, a mistake put right.

No list of any language is needed: a word that left the book altogether and one that came to it altogether, with nearly the
same letters, are taken for one word if neither is nearly the same as any other such word.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable
from collections.abc import Set as AbstractSet

# Shorter words are other words when a letter changes: `this`, `thin`.
SHORTEST = 5


def respelled(old: AbstractSet[str], new: AbstractSet[str]) -> dict[str, str]:
    """The new spelling of each old word that one book has and the other has spelt otherwise."""
    gone, came = ({word for word in words if len(word) >= SHORTEST and word.isalpha()} for words in (old - new, new - old))
    near: defaultdict[str, list[str]] = defaultdict(list)
    for before in gone:
        for form in shortened(before):
            near[form].append(before)
    back = {after: {before for form in shortened(after) for before in near.get(form, ())} for after in came}
    forth: defaultdict[str, set[str]] = defaultdict(set)
    for after, befores in back.items():
        for before in befores:
            forth[before].add(after)
    found = {}
    for before, afters in forth.items():
        after = next(iter(afters), "")
        if len(afters) == 1 and len(back[after]) == 1 and before[0].lower() == after[0].lower():
            found[before] = after
    return found


def shortened(word: str) -> Iterable[str]:
    """The word, and the word less any one letter: words that differ by a letter, or by two that changed places, share one."""
    yield word
    for at in range(len(word)):
        yield word[:at] + word[at + 1 :]
