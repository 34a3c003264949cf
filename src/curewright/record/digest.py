"""A PDF that carries the SHA-256 of its own bytes, so that a lone file shows whether any byte of it was changed.

The record is typeset with a field of 64 zeros in its document information and in its XMP metadata, both of which stand in the file as
they are. The digest is that of the whole file with the fields as zeros; then it is written into the fields. Nothing is moved by that,
so the file stays what its format says. It shows that a file was changed; it does not show by whom it was made.
"""

from __future__ import annotations

import re
from hashlib import sha256

from curewright.terms.errors import FileError, Place

MARK = "curewright-sha256-"
EMPTY = MARK + "0" * 64
FIELDS = 2  # document information and XMP metadata
_FIELD = re.compile(MARK.encode() + rb"([0-9a-f]{64})")


def with_digest(pdf: bytes) -> bytes:
    """The PDF with its digest in its fields; the bytes given have them as zeros. Raises AssertionError where they do not."""
    found = [match[1] for match in _FIELD.finditer(pdf)]
    assert found == [b"0" * 64] * FIELDS, f"{len(found)} fields for the digest of the record instead of {FIELDS}"
    return pdf.replace(EMPTY.encode(), MARK.encode() + sha256(pdf).hexdigest().encode())


def digest_of(pdf: bytes, file: str = "") -> str:
    """The digest that a PDF carries and fits; raises :class:`FileError` where it carries none or any byte has changed."""
    found = {match[1] for match in _FIELD.finditer(pdf)}
    if len(found) != 1 or len(_FIELD.findall(pdf)) != FIELDS:
        raise FileError(
            "this PDF carries no digest of its own, or its fields were changed",
            expected="a cure record as it was written",
            where=Place(file),
            remedy="take the record from the archive, not one that was printed, signed or saved anew by another program",
        )
    said = found.pop().decode()
    empty = _FIELD.sub(EMPTY.encode(), pdf)
    if sha256(empty).hexdigest() != said:
        raise FileError(
            "the PDF is not what was written: its bytes do not fit the digest in it",
            expected=f"SHA-256 {said}",
            where=Place(file),
            remedy="take the record from the archive; do not trust this copy",
        )
    return said
