"""The bytes of an export as plain text for the kernels: UTF-8, lines ended by a new line, one byte between cells.

What a growing or broken file leaves at its end is counted, never read: half a character, bytes of nought that were never written.
"""

from __future__ import annotations

import re
from codecs import lookup
from dataclasses import dataclass
from itertools import accumulate, pairwise

import numpy as np

from curewright.terms.errors import FileError, Place
from curewright.terms.run import Counted

CELL = "\x1f"  # between cells where the file has no single byte for it (blanks, fixed widths, workbooks)
CROSSES = "\x01"  # behind a number that goes on over the end of its column: it is no number of that column
KEEP_ASCII = ("utf-8", "utf_8", "cp125", "iso8859", "latin", "ascii", "cp437", "cp85", "mac-roman", "koi8")
NUMERIC = re.compile(r"[0-9.,+eE-]+")
LOOKED_AT, ALIKE = (
    400,
    0.9,
)  # lines from which is told how a column of fixed width is filled; how many of them are alike
HEAD = 65_536  # bytes; behind them most exports hold ASCII only
MARK_WITHIN = "\n\ufeff".encode()
CUT_CHARACTER = "half a character at the end of the file"
NEVER_WRITTEN = "bytes of nought at the end of the file"


@dataclass(frozen=True)
class Plain:
    """Text as the kernels read it. ``ended``: whether the last line had its line end; ``columns``: whether columns can be named."""

    text: bytes
    separator: str
    ended: bool
    counted: tuple[Counted, ...] = ()
    columns: bool = True


def decoded(content: bytes, encoding: str, file: str) -> str:
    """The text of a file, new lines as ``\\n``, without a byte-order mark; raises :class:`FileError` with the line of bad bytes."""
    text, _ = _decoded(content, encoding, file)
    return text.replace("\r\n", "\n").replace("\r", "\n")


def _decoded(content: bytes, encoding: str, file: str) -> tuple[str, bool]:
    """The text, and whether half a character stood at its end (it is left out)."""
    try:
        lookup(encoding)  # no bytes at all would be text in any encoding
        text, cut = content.decode(encoding), False
    except (LookupError, TypeError):
        raise FileError(
            f"'{encoding}' is no encoding known here",
            expected="for instance utf-8, cp1252, latin-1 or utf-16",
            where=Place(file),
            remedy="state the encoding of the export in the layout",
        ) from None
    except UnicodeDecodeError as error:
        if error.start > 0 and error.end >= len(content) and re.search("unexpected end|truncated", error.reason):
            return content[: error.start].decode(encoding).removeprefix("\ufeff"), True
        line = content[: error.start].count(b"\n") + 1
        raise FileError(
            f"the byte {content[error.start]:#04x} is no text in {encoding}",
            where=Place(file, line),
            remedy="state the encoding of the export in the layout (cp1252 and utf-16 are common beside utf-8)",
        ) from None
    except UnicodeError as error:
        raise FileError(
            f"the bytes are no text in {encoding} ({error})",
            where=Place(file),
            remedy="state the encoding of the export in the layout",
        ) from None
    return text.removeprefix("\ufeff"), cut


def plain(content: bytes, encoding: str, separator: str, file: str, widths: tuple[int, ...] = ()) -> Plain:
    """The bytes of a text file as plain text. Raises :class:`FileError` with the line of bad bytes."""
    counted: list[Counted] = []
    name = _name(encoding, file)
    head = _behind_other_letters(content) if name.startswith(KEEP_ASCII) else len(content)
    text = content
    if head:
        decoded_text, cut = _decoded(content[:head], encoding, file)
        again = decoded_text.encode()
        if again != content[:head]:  # no copy of a large file that is UTF-8 already
            text = again + content[head:]
        if cut:
            counted.append(Counted(CUT_CHARACTER, "rows", 1, (decoded_text.count("\n") + 1,), left_out=True))
    if b"\r" in text:
        text = text.replace(b"\r\n", b"\n")
        text = text.replace(b"\r", b"\n") if b"\r" in text else text
    if head and MARK_WITHIN in text:  # files put together, each with its mark
        text = text.replace(MARK_WITHIN, b"\n")
    if text.endswith(b"\0"):
        text = text.rstrip(b"\0")
        counted.append(Counted(NEVER_WRITTEN, "rows", 1, (text.count(b"\n") + 1,), left_out=True))
    ended = text.endswith(b"\n") or not text
    if not ended:
        text += b"\n"
    if separator == " ":
        return Plain(_by_blanks(text), CELL, ended, tuple(counted), columns=False)
    if widths:
        return Plain(_by_widths(text, widths), CELL, ended, tuple(counted), columns=False)
    return Plain(text, separator, ended, tuple(counted))


def _behind_other_letters(content: bytes) -> int:
    """Where a line begins from which on all bytes are ASCII (0: the whole content; its end: nowhere)."""
    if content.isascii():
        return 0
    line = content.find(b"\n", HEAD) + 1
    behind = np.frombuffer(content, dtype=np.uint8)[line:]
    return line if line and behind.size and behind.max() < 128 else len(content)


def _name(encoding: str, file: str) -> str:
    try:
        return lookup(encoding).name
    except (LookupError, TypeError):
        return _decoded(b"", encoding, file)[0]


def _by_blanks(text: bytes) -> bytes:
    """Cells parted by one or more blanks or tabs."""
    stripped = re.sub(rb"(?m)^[ \t]+|[ \t]+$", b"", text)
    return re.sub(rb"[ \t]+", CELL.encode(), stripped)


def _by_widths(text: bytes, widths: tuple[int, ...]) -> bytes:
    """Cells of fixed widths, in characters; what is beyond the last one belongs to it.

    A number that goes on over the end of its column is marked (:data:`CROSSES`), so that neither half of it is taken for a number.
    """
    lines = text.decode().split("\n")
    ends = list(accumulate(widths))
    columns = list(zip((0, *ends[:-1]), (*ends[:-1], None), strict=True))
    pages = [[line[start:end] for start, end in columns] if line.strip() else [] for line in lines]
    touching = [n for n, cells in enumerate(pages) if _touching(cells)]
    if touching:
        sides = [_sides(pages, k, width) for k, width in enumerate(widths)]
        for n in touching:
            pages[n] = _marked(pages[n], widths, sides)
    return "\n".join(CELL.join(cell.strip() for cell in cells) for cells in pages).encode()


def _touching(cells: list[str]) -> bool:
    """Whether a cell ends with a sign where the next one begins with one."""
    return any(left[-1:].strip() and right[:1].strip() for left, right in pairwise(cells))


def _sides(pages: list[list[str]], k: int, width: int) -> tuple[bool, bool]:
    """Whether the cells of a column begin at its left end, and whether they end at its right end, nearly all of them."""
    cells = [cell for page in pages[-LOOKED_AT:] if len(page) > k and (cell := page[k].ljust(width)).strip()]
    most = ALIKE * len(cells)
    return sum(cell[0] != " " for cell in cells) >= most, sum(cell[-1] != " " for cell in cells) >= most


def _marked(cells: list[str], widths: tuple[int, ...], sides: list[tuple[bool, bool]]) -> list[str]:
    """The cells of a line; a number that goes on over the end of its column stands whole in the first of the two, with the mark."""
    made = list(cells)
    for k, (left, right) in enumerate(pairwise(cells)):
        word = left.split(" ")[-1] + right.split(" ")[0]
        if not (left[-1:].strip() and right[:1].strip() and NUMERIC.fullmatch(word)):
            continue
        fills_left = left[0] != " " or sides[k][1]
        fills_right = right.ljust(widths[k + 1])[-1] != " " or sides[k + 1][0]
        if not (fills_left and fills_right):
            made[k] = made[k][: -len(left.split(" ")[-1])] + word + CROSSES
    return made
