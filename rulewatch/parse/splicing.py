"""Lines put into a text or in the place of others, and everything else left byte for byte."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from rulewatch.model.splice import Splice

BOM = b"\xef\xbb\xbf"


def spliced(text: str, splices: Iterable[Splice]) -> str:
    """The text with splices made, none of which overlap; new lines end as those around them, and the last as the last did."""
    lines = _cut(text)
    for splice in sorted(splices, key=lambda one: one.line, reverse=True):
        first = min(splice.line - 1, len(lines))
        _put(lines, first, min(first + splice.count, len(lines)), splice.lines)
    return "".join(lines)


def spliced_bytes(data: bytes, splices: Iterable[Splice]) -> bytes:
    """The same for the content of a file in UTF-8: a mark at its beginning stays, and the ends of its lines."""
    mark = BOM if data.startswith(BOM) else b""
    return mark + spliced(data.removeprefix(mark).decode(), splices).encode()


def _put(lines: list[str], first: int, end: int, new: Sequence[str]) -> None:
    ending = _ending(lines, first)
    put = [line + ending for line in new]
    if first == len(lines) and lines and not lines[-1].endswith("\n"):
        lines[-1] += ending
        put[-1:] = [new[-1]] if new else []
    elif end == len(lines) and put and lines[first:end] and not lines[-1].endswith("\n"):
        put[-1] = new[-1]
    lines[first:end] = put


def _ending(lines: Sequence[str], at: int) -> str:
    """How a line at an index ends: as the one before it, else the one there."""
    near = next((line for line in (*lines[max(at - 1, 0) : at], *lines[at : at + 1]) if line.endswith("\n")), "")
    near = near or next((line for line in lines if line.endswith("\n")), "")
    return "\r\n" if near.endswith("\r\n") else "\n"


def _cut(text: str) -> list[str]:
    """Lines with their ends, cut at line feeds only, as everywhere."""
    parts = text.split("\n")
    return [f"{part}\n" for part in parts[:-1]] + ([parts[-1]] if parts[-1] else [])
