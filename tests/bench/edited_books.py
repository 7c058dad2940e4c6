"""Books edited by a known hand: what became of each clause is known, because the program did it.

The words come from a text that is given, or from invented ones; the edits are those that rule books see every winter.
"""

from __future__ import annotations

import random
import re
from collections.abc import Callable, Iterator, Sequence
from copy import deepcopy
from dataclasses import dataclass, field

from rapidfuzz import fuzz, process

from rulewatch.model.clause import Clause
from rulewatch.model.fault import Place


@dataclass(slots=True, kw_only=True)
class Piece:
    """A clause on its way through the edits; `origins` are the first-edition clauses that live on in it."""

    text: str
    origins: frozenset[int]
    number: str = ""  # the number within its parent, kept where numbers are sticky
    below: list[Piece] = field(default_factory=list)
    form: str = ""  # the sentence that its siblings share, with places for the subject and the value
    filling: tuple[str, str] = ("", "")  # the subject and the value


SUBJECT, VALUE = "\x00", "\x01"
UNITS = ("mm", "kg", "%", "V", "s")
# Shares of families, lengths of rows, shares of families and of books.
FORMED, ROWS, REPEATED, REORDERED = 0.3, (2, 7), 0.3, 0.15
# Shares of rows whose sentence has a value, and of values with a word before them ("at most 20").
VALUED, BOUND = 0.8, 0.4
# From so many per cent of likeness on (rapidfuzz's token_sort_ratio) a text is a near copy of another.
COPY = 70


def invented_text(words: int, clauses: int, seed: int) -> list[tuple[int, str]]:
    """(depth, text) of a book in invented words whose frequency falls as in natural language (Zipf), with stock phrases."""
    rng = random.Random(seed)  # noqa: S311 -- edits by chance, no secret
    syllables = [c + v for c in "bdfgklmnprstvz" for v in "aeiou"]
    stock = ["".join(rng.choices(syllables, k=rng.choice((1, 2, 2, 3, 3, 4)))) for _ in range(words)]
    odds = [1 / (rank + 3) for rank in range(words)]
    phrases = [" ".join(rng.choices(stock, odds, k=7)) + "." for _ in range(6)]
    out = []
    for index in range(clauses):
        depth = 0 if index % 12 == 0 else rng.choice((1, 1, 1, 2, 2, 3))
        length = rng.choice((4, 6)) if depth == 0 else rng.choice((6, 9, 14, 20, 30, 45))
        topic = rng.choices(stock, k=4)
        body = [rng.choice(topic) if rng.random() < 0.15 else word for word in rng.choices(stock, odds, k=length)]
        if rng.random() < 0.3:
            body.insert(rng.randrange(len(body)), f"{rng.randrange(1, 999)} {rng.choice(('mm', 'kg', '%'))}")
        text = " ".join(body).capitalize() + "."
        if length >= 20:
            cut = len(body) // 2
            text = " ".join(body[:cut]).capitalize() + ". " + " ".join(body[cut:]).capitalize() + "."
        if rng.random() < 0.15:
            text += " " + rng.choice(phrases).capitalize()
        out.append((depth, text))
    return out


def grown(rows: Sequence[tuple[int, str]]) -> list[Piece]:
    """A tree of pieces from (depth, text) in order."""
    roots: list[Piece] = []
    stack: list[tuple[int, Piece]] = []
    for index, (depth, text) in enumerate(rows):
        while stack and stack[-1][0] >= depth:
            stack.pop()
        family = stack[-1][1].below if stack else roots
        piece = Piece(text=text, origins=frozenset({index}), number=str(len(family) + 1))
        family.append(piece)
        stack.append((depth, piece))
    return roots


def families(roots: list[Piece]) -> Iterator[list[Piece]]:
    """Every list of siblings."""
    yield roots
    for piece in roots:
        if piece.below:
            yield from families(piece.below)


def formed(roots: list[Piece], seed: int) -> None:
    """Give some siblings one sentence with a subject and a value each, and some families a rule that others have too."""
    rng = random.Random(f"forms {seed}")  # noqa: S311 -- books by chance, no secret
    stock = [word for family in families(roots) for piece in family for word in piece.text.split()]
    repeated = [" ".join(rng.choices(stock, k=rng.choice((2, 5, 9)))) for _ in range(2)]
    for family in list(families(roots)):
        leaves = [piece for piece in family if not piece.below]
        if rng.random() < FORMED and len(leaves) >= ROWS[0]:
            words = rng.choices(stock, k=rng.choice((3, 5, 8, 14, 22)))
            words.insert(rng.randrange(len(words) // 2 + 1), SUBJECT)
            if rng.random() < VALUED:
                words.insert(rng.randrange(len(words) // 2, len(words) + 1), f"{VALUE} {rng.choice(UNITS)}")
            start = rng.randrange(len(leaves) - ROWS[0] + 1)
            for piece in leaves[start : start + rng.randrange(*ROWS)]:
                fill(piece, " ".join(words), filling(rng, stock))
        if rng.random() < REPEATED and leaves:
            rng.choice(leaves).text = rng.choice(repeated)


def filling(rng: random.Random, stock: Sequence[str]) -> tuple[str, str]:
    """A subject and a value by chance."""
    bound = f"{rng.choice(stock)} " if rng.random() < BOUND else ""
    return " ".join(rng.choices(stock, k=rng.choice((1, 1, 2)))), f"{bound}{rng.randrange(1, 40) * 5}"


def fill(piece: Piece, form: str, filling: tuple[str, str]) -> None:
    """Give a piece a sentence that others have too, with its own subject and value."""
    piece.form, piece.filling = form, filling
    piece.text = form.replace(SUBJECT, filling[0]).replace(VALUE, filling[1])


class Editor:
    """Applies edits to a tree and keeps the origins; `sticky` bodies do not give a number again and leave gaps."""

    def __init__(self, roots: list[Piece], seed: int, *, pool: list[str], sticky: bool, rate: float) -> None:
        """Take a tree; `rate` is the share of clauses that something happens to, `pool` are texts for new clauses."""
        self.roots, self.pool, self.sticky, self.rate = roots, pool, sticky, rate
        self.rng = random.Random(seed)  # noqa: S311 -- edits by chance, no secret
        self.stock = [word for family in families(roots) for piece in family for word in piece.text.split()]

    def edit(self) -> list[Piece]:
        """Edit the tree once over."""
        often = (self.reword, self.reword, self.reword, self.rewrite, self.add, self.add, self.drop, self.drop)
        seldom = (
            self.move,
            self.split,
            self.split_down,
            self.join,
            self.reuse,
            self.swap,
            self.double,
            self.revalue,
            self.exchange,
        )
        edits: tuple[Callable[[list[Piece], Piece], None], ...] = often + seldom
        every = [(family, piece) for family in list(families(self.roots)) for piece in list(family)]
        for family, piece in every:
            if piece not in family or self.rng.random() >= self.rate:
                continue
            self.rng.choice(edits)(family, piece)
        return self.roots

    def reorder(self) -> None:
        """Put the chapters into another order; they are numbered as they stand."""
        self.rng.shuffle(self.roots)
        for rank, piece in enumerate(self.roots, 1):
            piece.number = str(rank)

    def words(self, count: int) -> str:
        """Words of the book by chance."""
        return " ".join(self.rng.choices(self.stock, k=count))

    def fresh(self, number: str = "") -> Piece:
        """A new clause: a real one of the same book that was held back from both editions, as long as there are any."""
        text = self.pool.pop(self.rng.randrange(len(self.pool))) if self.pool else self.words(16)
        return Piece(text=text, origins=frozenset(), number=number)

    def mixed(self, text: str, share: float) -> str:
        """A text of which a share of the words was struck, replaced or added to."""
        out = []
        for word in text.split():
            luck = self.rng.random()
            out += [] if luck < share / 3 else [self.words(1)] if luck < share * 2 / 3 else [word]
            out += [self.words(1)] if luck > 1 - share / 3 else []
        return " ".join(out) or self.words(3)

    def reword(self, _family: list[Piece], piece: Piece) -> None:
        """Change a few words."""
        piece.text = self.mixed(piece.text, self.rng.choice((0.1, 0.2, 0.3)))

    def rewrite(self, _family: list[Piece], piece: Piece) -> None:
        """Change most words; the rule stays, by its place."""
        piece.text = self.mixed(piece.text, self.rng.choice((0.5, 0.7, 0.9)))

    def place_new(self, family: list[Piece], at: int, piece: Piece) -> None:
        """Put a clause among siblings; where numbers are sticky it gets the next one that is free, at the end."""
        if self.sticky:
            taken = max((int(re.match(r"\d+", p.number)[0]) for p in family), default=0)
            piece.number = str(taken + 1)
            at = len(family)
        family.insert(at, piece)

    def add(self, family: list[Piece], piece: Piece) -> None:
        """A new rule behind this one; in a row with one sentence, often another of that row."""
        other = self.fresh()
        if piece.form and self.rng.random() < 0.5:
            fill(other, piece.form, filling(self.rng, self.stock))
        self.place_new(family, family.index(piece) + 1, other)

    def drop(self, family: list[Piece], piece: Piece) -> None:
        """Repeal the rule, unless others stand below it."""
        if not piece.below:
            family.remove(piece)

    def reuse(self, family: list[Piece], piece: Piece) -> None:
        """Another rule under this one's number; of a row with one sentence, another of that row."""
        if not piece.below:
            other = self.fresh(piece.number)
            if piece.form:
                # Another subject is often measured in another unit.
                unit = self.rng.choice(UNITS)
                form = re.sub(f"(?<={VALUE} )\\S+", unit, piece.form) if self.rng.random() < 0.5 else piece.form
                fill(other, form, filling(self.rng, self.stock))
            family[family.index(piece)] = other

    def revalue(self, _family: list[Piece], piece: Piece) -> None:
        """Change the numbers, and nothing else."""
        piece.text = re.sub(r"\d+", lambda m: str(max(int(m[0]) + self.rng.choice((-10, -5, 5, 10)), 1)), piece.text)

    def move(self, family: list[Piece], piece: Piece) -> None:
        """To other siblings anywhere in the book."""
        target = self.rng.choice(list(families(self.roots)))
        if target is not family and not any(target is f for f in families([piece])) and len(family) > 1:
            family.remove(piece)
            self.place_new(target, self.rng.randrange(len(target) + 1), piece)

    def swap(self, family: list[Piece], piece: Piece) -> None:
        """Change places with the sibling before, numbers too; often the values change as well."""
        at = family.index(piece)
        if at:
            one, other = family[at - 1], piece
            if self.rng.random() < 0.5:
                self.revalue(family, one)
                self.revalue(family, other)
            family[at - 1], family[at] = other, one
            one.number, other.number = other.number, one.number

    def exchange(self, family: list[Piece], piece: Piece) -> None:
        """Exchange the subjects of two siblings with one sentence: what was renamed, or what got the other's value and number.

        Nobody can tell which from the texts: it is the one or the other by chance.
        """
        at = family.index(piece)
        one = family[at - 1]
        differ = all(ours != theirs for ours, theirs in zip(one.filling, piece.filling, strict=True))
        if at and VALUE in piece.form and piece.form == one.form and differ:
            (first, low), (second, high) = one.filling, piece.filling
            fill(one, one.form, (second, low))
            fill(piece, piece.form, (first, high))
            if self.rng.random() < 0.5:
                one.origins, piece.origins = piece.origins, one.origins

    def double(self, family: list[Piece], piece: Piece) -> None:
        """A new rule that says nearly the same: another number, or one word more."""
        near = re.sub(r"\d+", lambda m: str(int(m[0]) + 5), piece.text)
        if near == piece.text:
            near = piece.text + " " + self.words(1)
        self.place_new(family, family.index(piece) + 1, Piece(text=near, origins=frozenset()))

    def sentences(self, piece: Piece) -> list[str]:
        """The sentences of a clause."""
        return re.split(r"(?<=[.;]) ", piece.text)

    def split(self, family: list[Piece], piece: Piece) -> None:
        """The second sentence becomes a sibling of its own."""
        parts = self.sentences(piece)
        if len(parts) > 1 and min(len(part.split()) for part in parts[:2]) > 5:
            piece.text = parts[0]
            part = Piece(text=self.mixed(" ".join(parts[1:]), 0.1), origins=piece.origins)
            self.place_new(family, family.index(piece) + 1, part)

    def split_down(self, _family: list[Piece], piece: Piece) -> None:
        """The second sentence becomes a clause below."""
        parts = self.sentences(piece)
        if len(parts) > 1 and min(len(part.split()) for part in parts[:2]) > 5:
            piece.text = parts[0]
            self.place_new(piece.below, 0, Piece(text=self.mixed(" ".join(parts[1:]), 0.1), origins=piece.origins))

    def join(self, family: list[Piece], piece: Piece) -> None:
        """The rule becomes a sentence of the one before."""
        at = family.index(piece)
        if at and not piece.below and family[at - 1].origins and min(len(piece.text), len(family[at - 1].text)) > 30:
            before = family[at - 1]
            before.text += " " + self.mixed(piece.text, 0.1)
            before.origins |= piece.origins
            family.remove(piece)


def clauses_of(roots: list[Piece], *, sticky: bool) -> tuple[list[Clause], dict[str, frozenset[int]]]:
    """The clauses of a tree in order, numbered through (or by their kept numbers), and the origins of each id."""
    out: list[Clause] = []
    origins: dict[str, frozenset[int]] = {}

    def walk(family: list[Piece], parent: str) -> None:
        for rank, piece in enumerate(family, 1):
            own = piece.number if sticky else str(rank)
            label = f"{parent}.{own}" if parent else own
            line = len(out) + 1
            place = Place(path="generated.md", line=line)
            out.append(Clause(id=label, label=label, text=piece.text, parent=parent, place=place, last_line=line))
            origins[label] = piece.origins
            walk(piece.below, label)

    walk(roots, "")
    return out, origins


def edited(
    rows: Sequence[tuple[int, str]], seed: int, *, sticky: bool, rate: float = 0.25, forms: bool = False
) -> tuple[list[Clause], list[Clause], set[tuple[str, str]]]:
    """Two editions of a book and the pairs of ids that are the truth.

    With `forms` there are rows of siblings that share a sentence, rules that stand in several chapters, and at times chapters
    in another order.
    """
    deeper = [later[0] > row[0] for row, later in zip(rows, [*rows[1:], (0, "")], strict=True)]
    held = {index for index, leads in enumerate(deeper) if not leads and index % 5 == 2}
    kept = [row for index, row in enumerate(rows) if index not in held]
    pool = [rows[index][1] for index in sorted(held)]
    # A near copy of a rule would come in its stead when that is dropped, and nobody could call it another rule.
    copies = process.cdist(pool, [text for _, text in kept], scorer=fuzz.token_sort_ratio, score_cutoff=COPY)
    pool = [text for text, near in zip(pool, copies, strict=True) if not near.any()]
    rows = kept
    roots = grown(rows)
    if forms:
        formed(roots, seed)
    old, before = clauses_of(roots, sticky=sticky)
    editor = Editor(deepcopy(roots), seed, pool=pool, sticky=sticky, rate=rate)
    if forms and editor.rng.random() < REORDERED:
        editor.reorder()
    new, after = clauses_of(editor.edit(), sticky=sticky)
    heirs: dict[int, list[str]] = {}
    for label, origins in after.items():
        for origin in origins:
            heirs.setdefault(origin, []).append(label)
    truth = {(label, heir) for label, origins in before.items() for origin in origins for heir in heirs.get(origin, [])}
    return old, new, truth
