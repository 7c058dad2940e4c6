"""A workspace on disk: what is listed, read and refused."""

from __future__ import annotations

import os
from pathlib import Path

import pytest

from rulewatch.model.fault import Fault, Source
from rulewatch.store.folder import FolderTree, read_file
from rulewatch.store.tree import BOUND, decode, why_unsafe


def test_files_are_listed_from_the_workspace_sorted_and_without_hidden_ones(put):
    """Paths count from the workspace whatever folder is asked for; names that begin with a dot are left out."""
    tree = FolderTree(put({"rulesets/b.md": "b", "rulesets/a/x.md": "x", "rulesets/.a.md.swp": "", ".git/HEAD": "", "c": ""}))
    assert tree.files("rulesets") == ("rulesets/a/x.md", "rulesets/b.md")
    assert tree.files() == ("c", "rulesets/a/x.md", "rulesets/b.md")
    assert tree.files("cars") == ()
    assert tree.files("../..") == ()


def test_a_file_is_read_with_its_path_in_the_workspace(put):
    """The source knows the path that was asked for."""
    assert FolderTree(put({"cars/a/car.yaml": "name: A\n"})).read("cars/a/car.yaml") == Source(
        path="cars/a/car.yaml", text="name: A\n"
    )


def test_exists_tells_files_and_folders_from_what_is_not_there(put):
    """Files and folders exist; what is missing or outside does not."""
    tree = FolderTree(put({"inner/rulesets/x.md": "x", "outside.md": "x"}) / "inner")
    assert tree.exists("rulesets")
    assert tree.exists("rulesets/x.md")
    assert not tree.exists("rulesets/y.md")
    assert not tree.exists("../outside.md")


def test_byte_order_mark_and_windows_line_ends_are_tolerated(put):
    """The text begins after the mark, and every line ends in a line feed."""
    read = FolderTree(put({"a.md": b"\xef\xbb\xbf1. One\r\n2. Two\r\n"})).read("a.md")
    assert read == Source(path="a.md", text="1. One\n2. Two\n")


@pytest.mark.parametrize(
    ("data", "expected"),
    [
        (
            b"1. One\r\nbreite 10 m\xfc\xdf \xe4\n",
            (
                "a.md:2:12: not-utf8 the byte 0xFC, expected UTF-8 text; save the file as UTF-8\n"
                "    breite 10 m?? ?\n"
                "               ^"
            ),
        ),
        (
            "Überrollbügel".encode() + b"\xe9",
            (
                "a.md:1:14: not-utf8 the byte 0xE9, expected UTF-8 text; save the file as UTF-8\n"
                "    Überrollbügel?\n"
                "                 ^"
            ),
        ),
        ("1. One".encode("utf-16"), "a.md:1:1: not-utf8 UTF-16 text, expected UTF-8 text; save the file as UTF-8"),
        (
            b"\x1b[31m\xff",
            "a.md:1:6: not-utf8 the byte 0xFF, expected UTF-8 text; save the file as UTF-8\n    ?[31m?\n         ^",
        ),
    ],
)
def test_text_that_is_not_utf8_is_a_fault_at_its_first_bad_byte(data, expected):
    """Line and column count characters, and the line is shown with nothing in it that a terminal would obey."""
    fault = decode("a.md", data)
    assert isinstance(fault, Fault)
    assert str(fault).replace("\N{REPLACEMENT CHARACTER}", "?") == expected


def test_a_file_above_the_bound_is_refused_before_it_is_read(put):
    """50 MB are a fault at once; the file here has no blocks on disk, and reading it would take that much memory."""
    root = put({"big.md": ""})
    os.truncate(root / "big.md", 50_000_000)
    assert str(FolderTree(root).read("big.md")) == (
        "big.md: file-too-large 50 MB of text, expected at most 20 MB; split it into chapters, or take the pictures out"
    )
    os.truncate(root / "big.md", BOUND)
    assert isinstance(FolderTree(root).read("big.md"), Source)


def test_missing_files_folders_and_pipes_are_faults_and_never_wait(put):
    """Reading a pipe would wait for a writer for ever."""
    root = put({"folder/x.md": "x"})
    os.mkfifo(root / "pipe.md")
    tree = FolderTree(root)
    assert str(tree.read("no.md")) == "no.md: file-missing no such file; create it, or mend what names it"
    assert str(tree.read("folder/x.md/y.md")).startswith("folder/x.md/y.md: file-missing ")
    assert str(tree.read("folder")) == "folder: file-unreadable not a file, expected a file to read"
    assert str(tree.read("pipe.md")) == "pipe.md: file-unreadable not a file, expected a file to read"


@pytest.mark.parametrize(
    ("path", "why"),
    [
        ("", "not a path inside the workspace"),
        ("/etc/hostname", "not a path inside the workspace"),
        ("../x.md", "an empty part, `.` or `..` in the path"),
        ("rulesets/../../x.md", "an empty part, `.` or `..` in the path"),
        ("rulesets//x.md", "an empty part, `.` or `..` in the path"),
        ("./x.md", "an empty part, `.` or `..` in the path"),
        ("a\x00b", "a backslash or a control character in a name"),
        ("a\nb.md", "a backslash or a control character in a name"),
        ("a\\b.md", "a backslash or a control character in a name"),
        ("gpj\u202e.md", "a backslash or a control character in a name"),
        ("\udce9.md", "a name that is not UTF-8"),
        ("ä" * 128, "a name longer than 255 bytes"),
    ],
)
def test_paths_that_lead_out_or_cannot_be_shown_are_refused(put, path, why):
    """Each is a fault with its reason, printable whatever the name."""
    assert why_unsafe(path) == why
    fault = FolderTree(put({"x.md": "x"})).read(path)
    assert isinstance(fault, Fault)
    assert (fault.code, fault.found) == ("name-unsafe", why)
    assert str(fault).isprintable()
    str(fault).encode()


@pytest.mark.parametrize("path", ["rulesets/a/2027/01 Allgemeines.md", "..x.md", "a..b", "§ 36a.md", "-x.md"])
def test_unusual_names_that_harm_nobody_are_taken(put, path):
    """Blanks, signs, dots and dashes are names like others."""
    assert FolderTree(put({path: "x"})).read(path) == Source(path=path, text="x")


def test_links_are_followed_to_files_inside_and_nowhere_else(put):
    """A link to a file of the workspace reads as that file; out of it, or to a folder, it is refused."""
    root = put({"secret.md": "outside", "w/rulesets/2026/8.md": "1. Fuel", "w/rulesets/2027/x.md": "x"}) / "w"
    (root / "rulesets/2027/8.md").symlink_to("../2026/8.md")
    (root / "rulesets/2027/out.md").symlink_to("../../../secret.md")
    (root / "rulesets/2027/abs.md").symlink_to("/etc/hostname")
    (root / "rulesets/2027/gone.md").symlink_to("nowhere.md")
    (root / "rulesets/old").symlink_to("2026")
    (root / "rulesets/up").symlink_to("../..")
    tree = FolderTree(root)
    assert tree.read("rulesets/2027/8.md") == Source(path="rulesets/2027/8.md", text="1. Fuel")
    found = {path: tree.read(path) for path in tree.files("rulesets")}
    reasons = {path: str(read).partition(": ")[2] for path, read in found.items() if isinstance(read, Fault)}
    outside = "name-unsafe a symbolic link that leads out of the workspace; rename it, or put a plain file there"
    assert reasons == {
        "rulesets/2027/out.md": outside,
        "rulesets/2027/abs.md": outside,
        "rulesets/2027/gone.md": "file-missing no such file; create it, or mend what names it",
        "rulesets/old": "name-unsafe a symbolic link to a folder; rename it, or put a plain file there",
        "rulesets/up": outside,
    }
    assert not tree.exists("rulesets/up/secret.md")
    assert not tree.exists("rulesets/old/8.md")
    assert tree.files("rulesets/old") == ()


def test_a_workspace_reached_through_a_link_is_read_like_any_other(put):
    """Only links inside the workspace are looked at: the person chose the folder."""
    root = put({"real/rulesets/x.md": "x"})
    (root / "link").symlink_to("real")
    tree = FolderTree(root / "link")
    assert tree.files() == ("rulesets/x.md",)
    assert isinstance(tree.read("rulesets/x.md"), Source)


def test_a_single_file_is_read_wherever_it_lies(put):
    """Messages call it what the person typed."""
    root = put({"a.md": "1. One"})
    assert read_file(root / "a.md", "../a.md") == Source(path="../a.md", text="1. One")
    assert str(read_file(root / "b.md", "b.md")).startswith("b.md: file-missing ")


def test_a_file_that_may_not_be_read_is_a_fault(put, monkeypatch):
    """The system's own words say why."""

    def refuse(*_arguments):
        raise PermissionError(13, "Permission denied")

    file = put({"a.md": "x"}) / "a.md"
    monkeypatch.setattr(Path, "open", refuse)
    assert str(read_file(file, "a.md")) == ("a.md: file-unreadable permission denied, expected a file to read")
