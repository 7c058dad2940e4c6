"""A workspace at a git revision: read without a checkout, and without letting the repository do anything."""

from __future__ import annotations

import shlex
import subprocess
from pathlib import Path

import pytest

from rulewatch.model.fault import Fault, Source
from rulewatch.store import tree as store_tree
from rulewatch.store.folder import FolderTree
from rulewatch.store.revision import RevisionTree, open_revision


@pytest.fixture
def history(put, run_git):
    """Two commits of one chapter, the first one tagged."""
    run_git("init", "-q", "-b", "main")
    root = put({"rulesets/a/2026/1.md": "1. Old\n", "rulesets/.hidden": "", "cars/x/car.yaml": "name: X\n"})
    run_git("add", ".")
    run_git("commit", "-qm", "first")
    run_git("tag", "-m", "as published", "published-2026")
    put({"rulesets/a/2026/1.md": "1. New\n"})
    run_git("commit", "-qam", "second")
    put({"rulesets/a/2026/1.md": "1. Not committed\n"})
    return root


def opened(root: Path, revision: str) -> str:
    """The fault of opening a revision, as printed."""
    with open_revision(root, revision) as tree:
        assert isinstance(tree, Fault)
        assert str(tree).isprintable()
        return str(tree)


@pytest.mark.parametrize(
    "revision", ["HEAD~1", "published-2026", "main@{1}", "main^", "HEAD^{/first}", "refs/tags/published-2026"]
)
def test_every_way_of_naming_a_commit_reads_its_files(history, revision):
    """Branches, tags, ancestors, reflog entries and searches all work."""
    with open_revision(history, revision) as tree:
        assert isinstance(tree, RevisionTree)
        assert tree.read("rulesets/a/2026/1.md") == Source(path=f"{revision}:rulesets/a/2026/1.md", text="1. Old\n")


def test_a_revision_lists_and_knows_what_a_folder_would(history, run_git):
    """Same paths, same order, no hidden names; the working tree and the index stay as they are."""
    before = run_git("status", "--porcelain"), (history / ".git/index").read_bytes()
    with open_revision(history, "HEAD") as tree:
        assert isinstance(tree, RevisionTree)
        assert tree.commit == run_git("rev-parse", "HEAD")
        assert tree.files("rulesets") == FolderTree(history).files("rulesets") == ("rulesets/a/2026/1.md",)
        assert tree.files() == ("cars/x/car.yaml", "rulesets/a/2026/1.md")
        assert tree.files("rule") == ()
        assert tree.exists("rulesets")
        assert tree.exists("rulesets/a/2026/1.md")
        assert not tree.exists("rule")
        assert tree.read("rulesets/a/2026/1.md") == Source(path="HEAD:rulesets/a/2026/1.md", text="1. New\n")
        assert str(tree.read("no.md")).startswith("HEAD:no.md: file-missing ")
        assert str(tree.read("rulesets")).startswith("HEAD:rulesets: file-missing ")
        assert str(tree.read("../x")).startswith("HEAD:../x: name-unsafe ")
    assert before == (run_git("status", "--porcelain"), (history / ".git/index").read_bytes())


@pytest.mark.parametrize("name", ["work", ":(top)w*rk", "über und quer"])
def test_the_workspace_may_be_a_folder_of_the_repository(put, run_git, name):
    """Paths count from the workspace, whatever its name means to git."""
    run_git("init", "-q")
    root = put({f"{name}/rulesets/x.md": "x", "work2/rulesets/y.md": "y", "rulesets/z.md": "z"})
    run_git("add", ".")
    run_git("commit", "-qm", "first")
    with open_revision(root / name, "HEAD") as tree:
        assert isinstance(tree, RevisionTree)
        assert tree.files() == ("rulesets/x.md",)
        assert tree.read("rulesets/x.md") == Source(path="HEAD:rulesets/x.md", text="x")
        assert not tree.exists("work2")


def test_a_linked_working_tree_reads_the_same_history(history, run_git, tmp_path):
    """`git worktree` shares the objects."""
    run_git("worktree", "add", "-q", str(tmp_path / "second"), "published-2026")
    with open_revision(tmp_path / "second", "HEAD") as tree:
        assert isinstance(tree, RevisionTree)
        assert tree.read("rulesets/a/2026/1.md") == Source(path="HEAD:rulesets/a/2026/1.md", text="1. Old\n")


@pytest.mark.parametrize(
    "revision", ["no-such", "HEAD~9", "deadbeef", "HEAD:rulesets", "HEAD..HEAD~1", "^HEAD", ":/none", "..", "$(x)"]
)
def test_an_unknown_revision_is_a_fault(history, revision):
    """What names no single commit is unknown."""
    assert opened(history, revision) == (
        f"{revision}: unknown-revision git knows no commit `{revision}`, expected a commit, tag or branch; "
        "`git log --oneline` lists the commits"
    )


def test_a_shallow_clone_says_how_to_get_the_rest(history, run_git, tmp_path):
    """A clone of depth 1 does not know the commit before."""
    run_git("clone", "-q", "--depth=1", history.as_uri(), str(tmp_path / "shallow"))
    assert opened(tmp_path / "shallow", "HEAD~1").endswith(
        "this clone holds only the latest history; `git fetch --unshallow` gets the rest"
    )


def test_a_revision_that_begins_with_a_dash_never_reaches_git(history, tmp_path):
    """`--output=` made git write a file."""
    assert opened(history, f"--output={tmp_path / 'made'}") == (
        f"--output={tmp_path / 'made'}: unsafe-revision `--output={tmp_path / 'made'}` begins with a dash, "
        "expected a commit, tag or branch as git names it"
    )
    assert not (tmp_path / "made").exists()


@pytest.mark.parametrize(
    ("revision", "why"),
    [
        ("", "an empty revision"),
        ("--all", "`--all` begins with a dash"),
        ("HEAD\n--all", "`HEAD\\n--all` holds a backslash or a character that does not print"),
        ("HEAD\x00", "`HEAD\\x00` holds a backslash or a character that does not print"),
        ("\x1b[2Jmain", "`\\x1b[2Jmain` holds a backslash or a character that does not print"),
        ("a\\b", "`a\\b` holds a backslash or a character that does not print"),
        ("\udce9", "`\\udce9` holds a backslash or a character that does not print"),
        ("x" * 501, "a revision of 501 characters"),
    ],
)
def test_a_revision_that_is_none_is_refused_with_its_reason(history, revision, why):
    """Nothing of it is passed to git or, as it stands, to the terminal."""
    assert f"unsafe-revision {why}, expected a commit, tag or branch as git names it" in opened(history, revision)


def test_without_a_repository_a_revision_is_a_fault(put, run_git, monkeypatch):
    """Not under git, a bare repository, and git not installed are told apart."""
    root = put({"plain/rulesets/x.md": "x"})
    plain = root / "plain"
    assert opened(plain, "HEAD") == (
        f"{plain}: no-repository the workspace is not under git; run `git init` there, or leave the revision out"
    )
    run_git("init", "-q", "--bare", "bare")
    assert opened(root / "bare", "HEAD").startswith(f"{root / 'bare'}: no-repository the repository is bare;")
    monkeypatch.setenv("PATH", str(root))
    assert opened(plain, "HEAD") == f"{plain}: no-repository git is not installed; install git"


def test_a_repository_of_someone_else_says_how_to_trust_it(history, monkeypatch):
    """git refuses it, and the remedy is git's own."""
    monkeypatch.setenv("GIT_TEST_ASSUME_DIFFERENT_OWNER", "1")
    assert opened(history, "HEAD") == (
        f"{history}: no-repository git does not read a repository that belongs to someone else; "
        f"if you trust it: git config --global --add safe.directory {history}"
    )


def test_text_is_checked_as_on_disk(put, run_git, monkeypatch):
    """Not UTF-8, a byte order mark, Windows line ends and the bound, as in a folder."""
    run_git("init", "-q")
    root = put({"bad.md": b"1. ok\n2. \xe9", "bom.md": b"\xef\xbb\xbfx\r\ny", "big.md": "x" * 2_000_001})
    run_git("add", ".")
    run_git("-c", "core.autocrlf=false", "commit", "-qm", "first")
    monkeypatch.setattr("rulewatch.store.revision.BOUND", 2_000_000)
    monkeypatch.setattr(store_tree, "BOUND", 2_000_000)
    with open_revision(root, "HEAD") as tree:
        assert isinstance(tree, RevisionTree)
        assert str(tree.read("bad.md")).startswith("HEAD:bad.md:2:4: not-utf8 the byte 0xE9, expected UTF-8 text; ")
        assert tree.read("bom.md") == Source(path="HEAD:bom.md", text="x\ny")
        assert str(tree.read("big.md")).startswith("HEAD:big.md: file-too-large 2 MB of text, expected at most 2 MB; ")


def test_links_at_a_revision_are_followed_as_on_disk(put, run_git):
    """To files inside; never out of the workspace, to a folder, or round in a circle."""
    run_git("init", "-q")
    root = put({"secret.md": "outside", "w/2026/8.md": "1. Fuel"})
    links = {
        "8.md": "2026/8.md",
        "out.md": "../secret.md",
        "abs.md": "/etc/hostname",
        "dir": "2026",
        "loop.md": "loop.md",
        "gone.md": "no",
    }
    for name, target in links.items():
        (root / "w" / name).symlink_to(target)
    run_git("add", ".")
    run_git("commit", "-qm", "first")
    with open_revision(root / "w", "HEAD") as tree:
        assert isinstance(tree, RevisionTree)
        assert tree.read("8.md") == Source(path="HEAD:8.md", text="1. Fuel")
        found = {name: tree.read(name) for name in links}
        reasons = {name: read.found for name, read in found.items() if isinstance(read, Fault)}
    assert reasons == {
        "out.md": "a symbolic link that leads out of the workspace",
        "abs.md": "a symbolic link that leads out of the workspace",
        "dir": "a symbolic link to a folder",
        "loop.md": "a symbolic link that leads to itself",
        "gone.md": "no such file",
    }


def test_nothing_that_a_repository_configures_is_run(history, run_git, tmp_path):
    """Hooks, file system monitors, filters and text conversions of a stranger's repository stay silent."""
    trap = tmp_path / "trap"
    trap.write_text(f"#!/bin/sh\ntouch {shlex.quote(str(tmp_path / 'sprung'))}\ncat\n")
    trap.chmod(0o755)
    hooks = tmp_path / "hooks"
    hooks.mkdir()
    for hook in ("post-checkout", "post-index-change", "reference-transaction", "fsmonitor-watchman"):
        (hooks / hook).symlink_to(trap)
    (history / ".git/info/attributes").write_text("*.md filter=trap diff=trap\n")
    for key in (
        "core.fsmonitor",
        "filter.trap.smudge",
        "filter.trap.process",
        "diff.trap.textconv",
        "core.pager",
        "core.sshCommand",
    ):
        run_git("config", key, str(trap))
    run_git("config", "core.hooksPath", str(hooks))
    with open_revision(history, "HEAD~1") as tree:
        assert isinstance(tree, RevisionTree)
        assert tree.read("rulesets/a/2026/1.md") == Source(path="HEAD~1:rulesets/a/2026/1.md", text="1. Old\n")
    assert not (tmp_path / "sprung").exists()
    subprocess.run(["git", "diff", "HEAD~1"], cwd=history, check=True, capture_output=True)
    assert (tmp_path / "sprung").exists(), "the trap itself works"


def test_an_object_that_is_not_here_is_not_fetched(history, run_git, tmp_path):
    """In a partial clone a missing file is a fault, though the other repository stands ready."""
    run_git("config", "uploadpack.allowFilter", "true")
    partial = tmp_path / "partial"
    run_git("clone", "-q", "--no-checkout", "--filter=blob:none", history.as_uri(), str(partial))
    with open_revision(partial, "HEAD") as tree:
        assert isinstance(tree, RevisionTree)
        for path in ("cars/x/car.yaml", "rulesets/a/2026/1.md"):
            assert str(tree.read(path)) == (
                f"HEAD:{path}: file-unreadable git does not have this file's content here; "
                "fetch the whole history; nothing is fetched by itself"
            )
        run_git("-C", str(partial), "cat-file", "-p", "HEAD:cars/x/car.yaml")
        assert tree.read("cars/x/car.yaml") == Source(path="HEAD:cars/x/car.yaml", text="name: X\n"), "once it is fetched"


def test_every_file_of_a_revision_is_read_through_one_process(put, run_git, monkeypatch):
    """Four processes, however many files: a long history of large books stays quick."""
    run_git("init", "-q")
    root = put({f"rulesets/a/{n}.md": f"{n}." for n in range(40)})
    run_git("add", ".")
    run_git("commit", "-qm", "first")
    started = []
    popen = subprocess.Popen.__init__

    def counting(self, command, *args, **kwargs):
        started.append([word for word in command if word in {"rev-parse", "ls-tree", "cat-file"}])
        popen(self, command, *args, **kwargs)

    monkeypatch.setattr(subprocess.Popen, "__init__", counting)
    with open_revision(root, "HEAD") as tree:
        assert isinstance(tree, RevisionTree)
        assert len({tree.read(path) for path in tree.files()}) == 40
    assert started == [["rev-parse"], ["ls-tree"], ["cat-file"], ["cat-file"]]
