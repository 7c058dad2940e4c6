"""A workspace as it stood at a git revision, read without a checkout.

git is asked three things: what the revision is called (`rev-parse`), what it holds (`ls-tree`), and how long a file is and
what stands in it (two `cat-file` that stay open). None of them runs a hook, a filter or a text conversion, and none touches
the working tree or the index. What else is asked of git is asked in the same way (`history.py`).
"""

from __future__ import annotations

import posixpath
import re
import shutil
from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass
from pathlib import Path
from typing import TYPE_CHECKING

from rulewatch.model.fault import Fault, Place, Source
from rulewatch.store.tree import BOUND, decode, missing, shown, too_large, unsafe, why_unsafe

if TYPE_CHECKING:
    from git import Git, Repo

_HASH = re.compile(r"[0-9a-f]{40}([0-9a-f]{24})?")
_LONGEST_REVISION = 500
_MOST_LINKS = 8
_LINK = "120000"

# A repository may come from a stranger. Its configuration must start no program, and an object that is not there must not
# be fetched from anywhere (an older git does not know the second variable, and then no protocol is allowed).
_CONFIG = ("core.fsmonitor=false", "core.hooksPath=/dev/null", "core.quotePath=false")
_ENVIRONMENT = {
    "GIT_NO_LAZY_FETCH": "1",
    "GIT_ALLOW_PROTOCOL": "",
    "GIT_OPTIONAL_LOCKS": "0",
    "GIT_LITERAL_PATHSPECS": "1",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class _Blob:
    """A file of a revision: its mode and its object."""

    mode: str
    object: str


class RevisionTree:
    """The files of a workspace at a revision; usable only inside `open_revision`.

    A symbolic link to a file is followed as long as it stays inside the workspace, as in a folder.
    """

    def __init__(self, *, git: Git, revision: str, commit: str, blobs: Mapping[str, _Blob]) -> None:
        self._git = git
        self._revision = revision
        self._blobs = blobs
        self.commit = commit
        """The full hash of the commit."""

    @property
    def root_name(self) -> str:
        """The revision as it was given."""
        return f"revision {self._revision}"

    def files(self, folder: str = "") -> tuple[str, ...]:
        """See `Tree`."""
        above = f"{folder}/" if folder else ""
        below = (path for path in self._blobs if path.startswith(above))
        return tuple(sorted(path for path in below if not re.search(r"(^|/)\.", path[len(above) :])))

    def read(self, path: str) -> Source | Fault:
        """See `Tree`. Places in the text begin with `REVISION:`."""
        name = f"{self._revision}:{path}"
        found = self._find(path)
        if isinstance(found, str):
            return unsafe(name, found)
        if found is None:
            return missing(shown(name))
        data = self._data(found)
        if data is None:
            return Fault(
                code="file-unreadable",
                place=Place(path=name),
                found="git does not have this file's content here",
                remedy="fetch the whole history; nothing is fetched by itself",
            )
        return too_large(name, data) if isinstance(data, int) else decode(name, data)

    def exists(self, path: str) -> bool:
        """See `Tree`."""
        return isinstance(self._find(path), _Blob) or any(name.startswith(f"{path}/") for name in self._blobs)

    def _find(self, path: str) -> _Blob | str | None:
        """The file at a path, links followed; None where nothing is there, and words for what is not opened."""
        if why := why_unsafe(path):
            return why
        for _ in range(_MOST_LINKS):
            blob = self._blobs.get(path)
            if blob is None or blob.mode != _LINK:
                return blob
            target = self._data(blob)
            if not isinstance(target, bytes):
                return "a symbolic link whose target is not known"
            path = posixpath.normpath(posixpath.join(posixpath.dirname(path), target.decode("utf-8", "surrogateescape")))
            if path == ".." or path.startswith(("/", "../")):
                return "a symbolic link that leads out of the workspace"
            if any(name.startswith(f"{path}/") for name in self._blobs):
                return "a symbolic link to a folder"
        return "a symbolic link that leads to itself"

    def _data(self, blob: _Blob) -> bytes | int | None:
        """A file's content, or only its size where that is above the bound; None where git does not have it."""
        try:
            size = self._git.get_object_header(blob.object)[2]
            return size if size > BOUND else self._git.get_object_data(blob.object)[3]
        except (ValueError, OSError):
            self._git.clear_cache()  # some versions of git end over an object that is not there; the next read starts anew
            return None


@contextmanager
def open_revision(root: Path, revision: str) -> Iterator[RevisionTree | Fault]:
    """Open the workspace in `root` as it stood at a revision; every process ends with the block.

    The workspace may be a folder anywhere inside the repository. Faults: unsafe-revision, no-repository,
    unknown-revision.
    """
    if why := _why_unsafe(revision):
        yield Fault(
            code="unsafe-revision",
            place=Place(path=shown(revision)),
            found=why,
            expected="a commit, tag or branch as git names it",
        )
        return
    with open_repository(root) as repo:
        yield repo if isinstance(repo, Fault) else _open(repo, root, revision)


@contextmanager
def open_repository(root: Path) -> Iterator[Repo | Fault]:
    """Open the repository around a workspace, with all that could start a program turned off. Fault: no-repository."""
    if shutil.which("git") is None:
        yield _no_repository(root, "git is not installed", "install git")
        return
    from git import InvalidGitRepositoryError, NoSuchPathError, Repo

    try:
        repo = Repo(root, search_parent_directories=True, expand_vars=False)
    except (InvalidGitRepositoryError, NoSuchPathError):
        yield _no_repository(root, "the workspace is not under git", "run `git init` there, or leave the revision out")
        return
    with repo:
        if repo.working_tree_dir is None:
            yield _no_repository(root, "the repository is bare", "clone it, and work in the clone")
            return
        repo.git.set_persistent_git_options(c=list(_CONFIG))
        repo.git.update_environment(**_ENVIRONMENT)
        yield repo


def commit_of(repo: Repo, root: Path, revision: str) -> str | Fault:
    """The full hash of a revision's commit; faults: unknown-revision, no-repository where git refuses to read it."""
    from git import GitCommandError

    try:
        commit: str = repo.git.rev_parse("--verify", "--end-of-options", f"{revision}^{{commit}}")
    except GitCommandError as error:
        return _refused(repo, root, revision, error.stderr)
    return commit if _HASH.fullmatch(commit) else _unknown(repo, revision)


def folder_within(repo: Repo, root: Path) -> str:
    """The workspace's folder within its repository, with a slash behind; empty where it is the top."""
    inside = root.resolve().relative_to(Path(str(repo.working_tree_dir)).resolve()).as_posix()
    return "" if inside == "." else f"{inside}/"


def _open(repo: Repo, root: Path, revision: str) -> RevisionTree | Fault:
    """The tree of a revision in an open repository."""
    from git import GitCommandError

    commit = commit_of(repo, root, revision)
    if isinstance(commit, Fault):
        return commit
    above = folder_within(repo, root)
    try:
        listing = repo.git.ls_tree("-r", "-z", "--full-tree", commit, "--", *filter(None, [above]), stdout_as_string=False)
    except GitCommandError as error:
        return _refused(repo, root, revision, error.stderr)
    return RevisionTree(git=repo.git, revision=revision, commit=commit, blobs=_blobs(listing, above))


def _blobs(listing: bytes, above: str) -> dict[str, _Blob]:
    """What `ls-tree -r -z` lists, by path below the workspace; submodules are left out."""
    found: dict[str, _Blob] = {}
    for entry in listing.split(b"\0"):
        head, _, path = entry.partition(b"\t")
        mode, kind, name = head.decode().split() if head else ("", "", "")
        if kind == "blob":
            found[path.decode("utf-8", "surrogateescape").removeprefix(above)] = _Blob(mode=mode, object=name)
    return found


def _why_unsafe(revision: str) -> str:
    """What makes a revision unfit to hand to git, in words; empty where nothing does."""
    if not revision:
        return "an empty revision"
    if revision.startswith("-"):
        return f"`{shown(revision)}` begins with a dash"
    if "\\" in revision or not revision.isprintable():
        return f"`{shown(revision)}` holds a backslash or a character that does not print"
    if len(revision) > _LONGEST_REVISION:
        return f"a revision of {len(revision)} characters"
    return ""


def _refused(repo: Repo, root: Path, revision: str, complaint: str) -> Fault:
    """The fault behind an error of git: whose repository it is comes first, for then nothing can be known of it."""
    if "dubious ownership" in complaint:
        remedy = f"if you trust it: git config --global --add safe.directory {shown(str(repo.working_tree_dir))}"
        return _no_repository(root, "git does not read a repository that belongs to someone else", remedy)
    return _unknown(repo, revision)


def _unknown(repo: Repo, revision: str) -> Fault:
    shallow = (Path(repo.common_dir) / "shallow").exists()
    return Fault(
        code="unknown-revision",
        place=Place(path=revision),
        found=f"git knows no commit `{revision}`",
        expected="a commit, tag or branch",
        remedy="this clone holds only the latest history; `git fetch --unshallow` gets the rest"
        if shallow
        else "`git log --oneline` lists the commits",
    )


def _no_repository(root: Path, found: str, remedy: str) -> Fault:
    return Fault(code="no-repository", place=Place(path=shown(str(root))), found=found, remedy=remedy)
