"""Open texts in several editions whose true pairs are known, fetched by name from the registries that carry them.

- CommonMark specification 0.28 to 0.31.2 (npm package commonmark-spec, CC BY-SA 4.0). Its 43 headings are unique and kept, so
  that they are the truth; with the headings hidden a section is known by its body alone.
- Debian Policy Manual (Debian package debian-policy of the suites below, GPL-2+). Headings that stand once in both editions
  are the truth, and are hidden. Its own upgrading checklist says which sections changed: each must be seen to have changed.
- Debian FAQ in four languages (Debian packages debian-faq-*, GPL-2+): words only, for books that are edited by chance.
- A sport's competition regulations, four pairs of editions (public git repository, CC BY-SA 4.0), where the environment variable
  RULEWATCH_CORPORA names a folder that has them: the truth was settled by a reader of both texts.
- Clause index of ECMA-262 (npm package @tc39/ecma262-biblio, Ecma text licence): the stable ids are the truth and only titles
  and numbers are shown, or titles alone. Ids that changed with their title count as wrong, so that the figure is a lower bound.
"""

from __future__ import annotations

import csv
import gzip
import json
import os
import re
import shutil
import subprocess
import tarfile
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import combinations, pairwise
from pathlib import Path

from rulewatch.model.clause import Clause
from rulewatch.model.fault import Place, Source
from rulewatch.parse.clauses import parse_book

COMMONMARK = ("0.28.0", "0.29.0", "0.30.0", "0.31.0", "0.31.2")
ECMA262 = ("2.0.2285", "2.2.3180")
POLICY = ("bullseye", "bookworm", "trixie", "sid")
FAQ, FAQ_SUITE = ("fr", "it", "nl", "ru"), "bookworm"
MIRROR = "http://deb.debian.org/debian"


@dataclass(frozen=True, slots=True, kw_only=True)
class Case:
    """Two editions and the pairs of ids that are the truth; `known` are the old and the new ids that it speaks of.

    `either` are pairs that may be made or not, `forbidden` those of one number that stands for another rule now.
    """

    name: str
    old: Sequence[Clause]
    new: Sequence[Clause]
    truth: frozenset[tuple[str, str]]
    known: tuple[frozenset[str], frozenset[str]] | None = None
    either: frozenset[tuple[str, str]] = frozenset()
    forbidden: frozenset[tuple[str, str]] = frozenset()

    def judged(self, made: Iterable[tuple[str, str]]) -> set[tuple[str, str]]:
        """The pairs of which the truth can say whether they are right."""
        made = set(made) - self.either
        if self.known is None:
            return made
        return {(o, n) for o, n in made if o in self.known[0] or n in self.known[1]}


# --- Fetching ---------------------------------------------------------------------------------------------------------


def fetch(folder: Path) -> list[str]:
    """Fetch what is not there yet; what could not be had, with the reason."""
    folder.mkdir(parents=True, exist_ok=True)
    missing = []
    for package, versions in (("commonmark-spec", COMMONMARK), ("@tc39/ecma262-biblio", ECMA262)):
        for version in versions:
            target = folder / version
            if not target.is_dir():
                missing += npm(f"{package}@{version}", target)
    for suite in POLICY:
        if not (folder / suite / "policy.txt").is_file():
            missing += policy_manual(suite, folder / suite)
    for language in FAQ:
        if not (folder / f"faq-{language}" / "faq.txt").is_file():
            names = {"faq.txt": f"debian/FAQ/debian-faq.{language}.txt.gz"}
            missing += apt(f"debian-faq-{language}", FAQ_SUITE, folder / f"faq-{language}", names)
    return missing


def npm(package: str, target: Path) -> list[str]:
    """One package of the npm registry, unpacked."""
    if shutil.which("npm") is None:
        return [f"{package}: there is no npm here"]
    work = target.parent
    done = subprocess.run(["npm", "pack", "--silent", package], cwd=work, capture_output=True, text=True, check=False)
    if done.returncode:
        return [f"{package}: {done.stderr.strip().splitlines()[-1:]}"]
    archive = work / done.stdout.strip().splitlines()[-1]
    with tarfile.open(archive) as packed:
        for member in packed.getmembers():
            member.name = member.name.partition("/")[2]
            if member.name:
                packed.extract(member, target, filter="data")
    archive.unlink()
    return []


def policy_manual(suite: str, target: Path) -> list[str]:
    """The policy manual of one Debian suite: its text and its checklist."""
    names = {name: f"debian-policy/{name}.gz" for name in ("policy.txt", "upgrading-checklist.txt")}
    return apt("debian-policy", suite, target, names)


def apt(package: str, suite: str, target: Path, names: dict[str, str]) -> list[str]:
    """Some packed texts of a Debian package of one suite, by the names they get. The system's own lists are left alone."""
    if shutil.which("apt-get") is None or shutil.which("dpkg-deb") is None:
        return [f"{package} of {suite}: there is no apt-get here"]
    work = target / "apt"
    (work / "lists" / "partial").mkdir(parents=True, exist_ok=True)
    (work / "cache" / "archives" / "partial").mkdir(parents=True, exist_ok=True)
    (work / "sources.list").write_text(f"deb {MIRROR} {suite} main\n", encoding="utf-8")
    places = {
        "Dir::Etc::sourcelist": work / "sources.list",
        "Dir::Etc::sourceparts": "/dev/null",
        "Dir::State::lists": work / "lists",
        "Dir::Cache": work / "cache",
    }
    options = [word for name, value in places.items() for word in ("-o", f"{name}={value}")]
    for command in (["update"], ["download", package]):
        done = subprocess.run(["apt-get", *options, *command], cwd=work, capture_output=True, text=True, check=False)
        if done.returncode:
            shutil.rmtree(target)
            return [f"{package} of {suite}: {(done.stderr.strip().splitlines() or ['no reason given'])[-1]}"]
    archive = next(work.glob(f"{package}_*.deb"))
    subprocess.run(["dpkg-deb", "-x", str(archive), str(work / "all")], check=True)
    for name, packed in names.items():
        (target / name).write_bytes(gzip.decompress((work / "all" / "usr" / "share" / "doc" / packed).read_bytes()))
    (target / "version").write_text(archive.name.split("_")[1], encoding="utf-8")
    shutil.rmtree(work)
    return []


# --- CommonMark -------------------------------------------------------------------------------------------------------


def commonmark(folder: Path, *, every: bool = False) -> Iterator[Case]:
    """Each version with the next one, or `every` version with each later one; with their headings, and without."""
    versions = [version for version in COMMONMARK if (folder / version / "spec.txt").is_file()]
    for before, after in combinations(versions, 2) if every else pairwise(versions):
        for hidden in (False, True):
            old, new = (commonmark_sections(folder / version / "spec.txt", titles=not hidden) for version in (before, after))
            truth = frozenset((old[title].id, new[title].id) for title in old.keys() & new.keys())
            what = ", headings hidden" if hidden else ""
            yield Case(name=f"CommonMark {before} → {after}{what}", old=list(old.values()), new=list(new.values()), truth=truth)


def commonmark_sections(path: Path, *, titles: bool) -> dict[str, Clause]:
    """The sections of a version by heading, numbered as the headings stand."""
    numbers, found, example = [0, 0, 0], [], False
    for line, text in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        example ^= text.startswith("`" * 32)
        heading = None if example else re.match(r"(#{1,3}) (.+)", text)
        if heading:
            depth = len(heading[1])
            numbers[depth - 1 :] = [numbers[depth - 1] + 1, *[0] * (3 - depth)]
            found.append((".".join(map(str, numbers[:depth])), heading[2], line, []))
        elif found:
            found[-1][3].append(text)
    return {
        title: clause(number, "\n".join([title, *body] if titles else body), path.name, line)
        for number, title, line, body in found
    }


def clause(number: str, text: str, path: str, line: int) -> Clause:
    """A clause with a decimal number."""
    parent = number.rpartition(".")[0]
    return Clause(id=number, label=number, text=text, parent=parent, place=Place(path=path, line=line), last_line=line)


# --- Debian Policy ----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True, kw_only=True)
class Marks:
    """Sections of an edition that its own checklist says were changed since the one before, of those that it has."""

    name: str
    old: Sequence[Clause]
    new: Sequence[Clause]
    sections: frozenset[str]


def policy_sections(path: Path) -> dict[str, tuple[str, Clause]]:
    """(heading, clause without it) of chapters 1 to 12 by number; the appendices restart and are left out."""
    lines = path.read_text(encoding="utf-8").splitlines()
    starts = []
    for at, (line, below) in enumerate(pairwise(lines)):
        heading = re.match(r"(\d+(?:\.\d+)*)\. (\S.*)", line)
        if heading and re.fullmatch(r"([=*\-~^\"])\1{3,}", below):
            starts.append((at, heading[1], heading[2]))
    chapters = [number for _, number, _ in starts]
    # Chapters count up from 1; where they start again, the appendices begin.
    last = next((i for i in range(1, len(starts)) if chapters[i] == "1"), len(starts))
    found = {}
    for (at, number, title), (end, _, _) in zip(starts[:last], [*starts[1:], (len(lines), "", "")], strict=False):
        found[number] = (title, clause(number, "\n".join(lines[at + 2 : end]), path.parent.name, at + 1))
    return found


def policy(folder: Path) -> Iterator[Case]:
    """Each suite's manual with the next one's, headings hidden."""
    for before, after, old, new in policy_editions(folder):
        ours, theirs = unique_titles(old), unique_titles(new)
        truth = frozenset((ours[title], theirs[title]) for title in ours.keys() & theirs.keys())
        yield Case(
            name=f"Debian Policy {before} → {after}, headings hidden",
            old=[one for _, one in old.values()],
            new=[one for _, one in new.values()],
            truth=truth,
            known=(frozenset(o for o, _ in truth), frozenset(n for _, n in truth)),
        )


def policy_editions(folder: Path) -> Iterator[tuple[str, str, dict[str, tuple[str, Clause]], dict[str, tuple[str, Clause]]]]:
    """Versions and sections of each two editions that follow each other, of those that are there."""
    suites = [suite for suite in POLICY if (folder / suite / "policy.txt").is_file()]
    for before, after in pairwise(suites):
        old, new = (policy_sections(folder / suite / "policy.txt") for suite in (before, after))
        yield (folder / before / "version").read_text(), (folder / after / "version").read_text(), old, new


def unique_titles(sections: dict[str, tuple[str, Clause]]) -> dict[str, str]:
    """The number of each heading that stands once."""
    seen = Counter(title for title, _ in sections.values())
    return {title: number for number, (title, _) in sections.items() if seen[title] == 1}


def policy_marks(folder: Path) -> Iterator[Marks]:
    """The checklist's marks between each two editions."""
    suites = [suite for suite in POLICY if (folder / suite / "policy.txt").is_file()]
    for (before, after, old, new), suite in zip(policy_editions(folder), suites[1:], strict=True):
        text = (folder / suite / "upgrading-checklist.txt").read_text(encoding="utf-8")
        versions = re.split(r"^\d+\.\d+\. Version (\S+)\n", text, flags=re.MULTILINE)
        marked: set[str] = set()
        for version, body in zip(versions[1::2], versions[2::2], strict=True):
            if parts(before)[:3] < parts(version) <= parts(after)[:3]:
                for line in re.findall(r"^(\d+(?:\.\d+)*(?:, \d+(?:\.\d+)*)*)$", body, re.MULTILINE):
                    marked.update(line.split(", "))
        sections = frozenset(marked & new.keys())
        yield Marks(
            name=f"Debian Policy {before} → {after}",
            old=[whole(one) for one in old.values()],
            new=[whole(one) for one in new.values()],
            sections=sections,
        )


def whole(section: tuple[str, Clause]) -> Clause:
    """A section with its heading."""
    return replace(section[1], text=f"{section[0]}\n{section[1].text}", heading=section[0])


def parts(version: str) -> list[int]:
    """The numbers of a version."""
    return [int(part) for part in version.split(".")]


# --- Debian FAQ -------------------------------------------------------------------------------------------------------


def faq(path: Path) -> list[tuple[int, str]]:
    """The headings of a text with the depth of their numbers, and the paragraphs below each."""
    rows: list[tuple[int, str]] = []
    depth = 0
    for block in re.split(r"\n(?:[ \t]*\n)+", path.read_text(encoding="utf-8")):
        heading = re.match(r"(\d+(?:\.\d+)+)\.\s(.+)", block, re.DOTALL)
        if heading:
            depth = heading[1].count(".")
            rows.append((depth - 1, " ".join(heading[2].split())))
        elif rows and block.startswith("  "):
            rows.append((depth, " ".join(block.split())))
    return rows


# --- Competition regulations ------------------------------------------------------------------------------------------

COMPETITION = Path(os.environ.get("RULEWATCH_CORPORA", "")) / "cube-competition"


def competition() -> Iterator[Case]:
    """The four pairs of editions, if they are there."""
    for path in sorted(COMPETITION.glob("truth-*.tsv")) if "RULEWATCH_CORPORA" in os.environ else ():
        before, after = path.stem[len("truth-") :][:10], path.stem[-10:]
        old, new = (competition_book(day) for day in (before, after))
        truth, forbidden, either = set(), set(), set()
        with path.open(encoding="utf-8") as file:
            for row in csv.DictReader(file, delimiter="\t"):
                pair = row["old_id"], row["new_id"]
                kept = either if row["note"].startswith("AMBIG") else truth
                (forbidden if row["kind"] == "same-id-different-rule" and kept is truth else kept).add(pair)
        same = {(number, number) for number in {one.id for one in old} & {one.id for one in new}} - forbidden - either
        yield Case(
            name=f"competition regulations {before} → {after}",
            old=old,
            new=new,
            truth=frozenset(truth | same),
            either=frozenset(either),
            forbidden=frozenset(forbidden),
        )


def competition_book(day: str) -> Sequence[Clause]:
    """The clauses of one edition."""
    path = COMPETITION / f"{day}.md"
    return parse_book([Source(path=path.name, text=path.read_text(encoding="utf-8"))], plain=True).clauses


# --- ECMA-262 ---------------------------------------------------------------------------------------------------------


def ecma262(folder: Path) -> Iterator[Case]:
    """The clause index of two versions four years apart: titles with their numbers, and in an order without numbers."""
    if not all((folder / version / "biblio.json").is_file() for version in ECMA262):
        return
    (old, old_ids), (new, new_ids) = (ecma262_index(folder / version / "biblio.json") for version in ECMA262)
    truth = frozenset((old_ids[name], new_ids[name]) for name in old_ids.keys() & new_ids.keys())
    yield Case(name="ECMA-262 clause index", old=old, new=new, truth=truth)
    (bare_old, old_names), (bare_new, new_names) = numberless(old, "o"), numberless(new, "n")
    hidden = frozenset((old_names[o], new_names[n]) for o, n in truth)
    yield Case(name="ECMA-262 clause index, numbers hidden", old=bare_old, new=bare_new, truth=hidden)


def ecma262_index(path: Path) -> tuple[list[Clause], dict[str, str]]:
    """The numbered clauses in order, and the number of each stable id."""
    entries = json.loads(path.read_text(encoding="utf-8"))["entries"]
    numbered = {entry["number"]: entry for entry in entries if entry["type"] == "clause" and entry["number"]}
    order = sorted(numbered, key=lambda number: [(not part.isdigit(), part.zfill(4)) for part in number.split(".")])
    clauses = [clause(number, numbered[number]["title"], path.parent.name, 0) for number in order]
    return clauses, {numbered[number]["id"]: number for number in order}


def numberless(clauses: Sequence[Clause], side: str) -> tuple[list[Clause], dict[str, str]]:
    """The clauses as one flat list under names that say nothing, and the name of each number."""
    names = {one.id: f"{side}{index}" for index, one in enumerate(clauses)}
    return [replace(one, id=names[one.id], label=names[one.id], parent="") for one in clauses], names
