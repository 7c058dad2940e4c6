"""The archive that a DOCX is: which kind of file it really is, and its parts as trees, unpacked within bounds and never onto disk."""

from __future__ import annotations

import io
import zipfile
import zlib
from collections.abc import Mapping
from dataclasses import dataclass
from posixpath import dirname, join, normpath

from rulewatch.intake.book_kinds import ARCHIVE, ARCHIVES, STATED, TAKEN_IN
from rulewatch.intake.docx_bounds import LARGEST_FILE, LARGEST_PART, LARGEST_WHOLE, MOST_ELEMENTS, MOST_PARTS
from rulewatch.intake.docx_xml import Node, PartError, parsed
from rulewatch.model.fault import Fault, Place

ENTRY = b"PK\x01\x02"  # begins each entry of an archive's list
LOCKED = 0x1  # flag of an entry that opens only with a password
PACKED_AS = frozenset({zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED})  # all that ECMA-376 allows
MIMETYPE_LENGTH = 100


@dataclass(frozen=True, slots=True, kw_only=True)
class Relation:
    """What one part says of another: the last word of its kind (`styles`, `header`) and the name of the part."""

    kind: str
    target: str


class Package:
    """An open archive. `faults` gathers what is wrong with its parts; each part that is wrong is as if it were not there."""

    def __init__(self, archive: zipfile.ZipFile, path: str) -> None:
        self.archive, self.path = archive, path
        self.faults: list[Fault] = []
        parts = archive.infolist()
        self.entries = {info.filename.lstrip("/").lower(): info for info in parts} | {
            info.filename.lower(): info for info in parts
        }
        self.bytes_left, self.elements_left = LARGEST_WHOLE, MOST_ELEMENTS

    def has(self, name: str) -> bool:
        """Whether the archive has a part."""
        return name.lower() in self.entries

    def part(self, name: str) -> Node | None:
        """The tree of a part; nothing where there is none, and nothing, with a fault, where it cannot be read."""
        info = self.entries.get(name.lower())
        if info is None:
            return None
        try:
            root, count = parsed(self.unpacked(info), self.elements_left)
        except PartError as refused:
            found, expected, code = refused.args
            where = f"in its part {name[:80]!r}: {found}"
            self.faults.append(Fault(code=code, place=Place(path=self.path), found=where, expected=expected))
            return None
        self.elements_left -= count
        return root

    def unpacked(self, info: zipfile.ZipInfo, most: int = LARGEST_PART) -> bytes:
        """The bytes of a part. Raises `PartError`."""
        whole = most > self.bytes_left
        most = min(most, self.bytes_left)
        if info.flag_bits & LOCKED:
            raise PartError("it opens only with a password", "a file without one", "book-encrypted")
        if info.compress_type not in PACKED_AS:
            raise PartError("it is packed in a way that no DOCX is", "deflate", "book-damaged")
        try:
            with self.archive.open(info) as stream:
                data = stream.read(most + 1)
        except (zipfile.BadZipFile, zlib.error, EOFError, OSError, ValueError, NotImplementedError, RuntimeError) as error:
            raise PartError(f"it does not unpack ({error})", "the file as its program saved it", "book-damaged") from error
        if len(data) > most:
            if whole:
                found = f"with it all parts unpack to more than {LARGEST_WHOLE:,} bytes"
                raise PartError(found, f"at most {LARGEST_WHOLE:,} in all", "book-too-large")
            raise PartError(f"it unpacks to more than {most:,} bytes", f"at most {most:,} in one part", "book-too-large")
        self.bytes_left -= len(data)
        return data

    def relations(self, name: str) -> Mapping[str, Relation]:
        """What a part says of others in the archive, by its signs for them; addresses outside are not among them."""
        folder = dirname(name)
        root = self.part(join(folder, "_rels", name.removeprefix(folder).lstrip("/") + ".rels"))
        found: dict[str, Relation] = {}
        for child in root.children if root else ():
            stated = child.attributes
            if stated.get("TargetMode") != "External" and stated.get("Target"):
                target = normpath(join("/", folder, stated["Target"].replace("\\", "/"))).lstrip("/")
                found[stated.get("Id", "")] = Relation(kind=stated.get("Type", "").rpartition("/")[2], target=target)
        return found

    def stated(self) -> str:
        """The kind that the archive states of itself, as OpenDocument files do; nothing where it states none."""
        info = self.entries.get("mimetype")
        try:
            return self.unpacked(info, MIMETYPE_LENGTH).decode("ascii", errors="replace").strip() if info else ""
        except PartError:
            return ""

    def main(self) -> str:
        """The name of the part that holds the text."""
        relations = self.relations("").values()
        stated = (each.target for each in relations if each.kind == "officeDocument" and self.has(each.target))
        return next(stated, "word/document.xml")


def opened(data: bytes, path: str) -> Package | Fault:
    """A DOCX, or what is wrong with a file that begins as an archive."""
    place = Place(path=path)
    if len(data) > LARGEST_FILE:
        found, expected = f"{len(data):,} bytes", f"at most {LARGEST_FILE:,}"
        return Fault(code="book-too-large", place=place, found=found, expected=expected, remedy="take the pictures out of it")
    parts = data.count(ENTRY)
    if parts > MOST_PARTS:
        found, expected = f"an archive of some {parts:,} parts", f"at most {MOST_PARTS:,}"
        return Fault(code="book-too-large", place=place, found=found, expected=expected, remedy="ask the body for another file")
    try:
        package = Package(zipfile.ZipFile(io.BytesIO(data)), path)
    except (zipfile.BadZipFile, ValueError, OSError, NotImplementedError) as error:
        return Fault(
            code="book-damaged",
            place=place,
            found=f"an archive that does not open ({error})",
            expected="the whole file",
            remedy="fetch it again",
        )
    return _other(package) or package


def _other(package: Package) -> Fault | None:
    """What an archive is that is no DOCX."""
    if package.has(package.main()):
        return None
    stranger = STATED.get(package.stated()) or next((found for name, found in ARCHIVES if package.has(name)), ARCHIVE)
    return Fault(
        code=stranger.code, place=Place(path=package.path), found=stranger.what, expected=TAKEN_IN, remedy=stranger.remedy
    )
