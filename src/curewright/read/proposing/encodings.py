"""Which encoding the bytes of an export are in, by what they hold."""

from __future__ import annotations

import re
from dataclasses import dataclass

from curewright.read.layout import WORKBOOK
from curewright.terms.errors import FileError, Place

PACKED, OLD_WORKBOOK = b"PK\x03\x04", b"\xd0\xcf\x11\xe0"
MARKS = ((b"\xef\xbb\xbf", "utf-8"), (b"\xff\xfe\0\0", "utf-32"), (b"\xff\xfe", "utf-16"), (b"\xfe\xff", "utf-16"))
LETTER_OF_UTF_8 = re.compile(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}")
MANY = 0.3  # so many noughts among every second byte are letters of two bytes


@dataclass(frozen=True)
class Found:
    """Something that was found in an export, and a sentence that says from what."""

    value: str
    why: str


OTHERS = (
    (b"%PDF", "a PDF"),
    (b"\x89PNG", "a picture (PNG)"),
    (b"\xff\xd8\xff", "a picture (JPEG)"),
    (b"GIF8", "a picture (GIF)"),
)


def encoding_of(content: bytes, file: str = "") -> Found:
    """The encoding, with what it was told from. Raises :class:`FileError` for a text in two encodings."""
    content = content.rstrip(b"\0") if content.endswith(b"\0" * 8) else content  # never written
    if content.startswith((PACKED, OLD_WORKBOOK)):
        return Found(WORKBOOK, "the file is an Excel workbook")
    for begins, what in OTHERS:
        if content.startswith(begins):
            raise FileError(
                f"this is {what}",
                expected="the recorder's table as text or as an Excel workbook",
                where=Place(file),
                remedy="have the recorder write CSV or .xlsx; values are never read out of a picture",
            )
    for mark, name in MARKS:
        if content.startswith(mark):
            return Found(name, f"the file begins with the byte-order mark {mark.hex(' ')}")
    head = content[:20_000]
    if head.count(0) > MANY * len(head) / 2:
        name = "utf-16-le" if head[1::2].count(0) >= head[::2].count(0) else "utf-16-be"
        return Found(name, "every second byte is nought, and there is no byte-order mark")
    if content.isascii():
        return Found("utf-8", "all bytes are ASCII")
    if _is_text(content, "utf-8"):
        return Found("utf-8", _shown(content, "utf-8"))
    _refuse_two(content, file)
    if re.search(rb"\xf8[CF]\b", content) and not re.search(rb"\xb0[CF]?\b", content):
        return Found("cp437", _shown(content, "cp437"))
    name = "cp1252" if _is_text(content, "cp1252") else "latin-1"
    return Found(name, _shown(content, name))


def _refuse_two(content: bytes, file: str) -> None:
    """Raises :class:`FileError` where some letters are UTF-8 and others are not: under one byte a letter, 'ü' would be read as 'Ã¼'."""
    doubled = LETTER_OF_UTF_8.search(content)
    if doubled is None:
        return
    try:
        content.decode("utf-8")
    except UnicodeDecodeError as error:
        first, other = (content[:at].count(b"\n") + 1 for at in (doubled.start(), error.start))
        raise FileError(
            f"the text is in two encodings: the byte {content[error.start]:#04x} is no UTF-8, and line {first} has letters in UTF-8",
            where=Place(file, other),
            remedy="two programs wrote this file: take the export from the recorder again",
        ) from None


def _is_text(content: bytes, name: str) -> bool:
    try:
        content.decode(name)
    except UnicodeDecodeError as error:
        return error.start > 0 and error.end >= len(content) and "unexpected end" in error.reason
    return True


def _shown(content: bytes, name: str) -> str:
    """The first letter that is not ASCII, with its line."""
    at = next(i for i, byte in enumerate(content) if byte > 127)
    line = content[:at].count(b"\n") + 1
    letter = content[at : at + 4].decode(name, errors="ignore")[:1]
    return f"line {line}: the byte {content[at]:#04x} reads '{letter}'"
