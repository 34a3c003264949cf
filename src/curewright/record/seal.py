"""A file that carries the SHA-256 of its own content, and a reader that refuses it when a byte has changed.

The seal is the SHA-256 of the document without its ``sha256`` member, written as RFC 8785 (canonical JSON) says: members sorted,
no blanks, UTF-8. Documents hold text, whole numbers, true, false and null only, for which that form is the same in every language.
A seal shows that a file was changed; it does not show by whom it was made.
"""

from __future__ import annotations

import json
from hashlib import sha256
from json.encoder import encode_basestring
from typing import TYPE_CHECKING, Any

from curewright.terms.errors import FileError, Place

if TYPE_CHECKING:
    from collections.abc import Callable

SEAL = "sha256"


def canonical(document: dict[str, Any]) -> bytes:
    """The document as canonical JSON (RFC 8785); raises TypeError for a number with a decimal point, which has no place in it."""
    _refuse_floats(document)
    return json.dumps(document, sort_keys=True, separators=(",", ":"), ensure_ascii=False).encode()


def _refuse_floats(value: Any) -> None:
    if isinstance(value, float):
        raise TypeError(f"{value!r} is a binary fraction; a sealed document holds decimal text and whole numbers")
    for inner in value.values() if isinstance(value, dict) else value if isinstance(value, list | tuple) else ():
        if type(inner) not in _WORDS:
            _refuse_floats(inner)


def seal_of(document: dict[str, Any]) -> str:
    """The seal of a document, whether it carries one already or not."""
    return sha256(canonical({name: value for name, value in document.items() if name != SEAL})).hexdigest()


def sealed_text(document: dict[str, Any]) -> str:
    """The document with its seal as the last member, one member a line, ends with a newline."""
    bare = {name: value for name, value in document.items() if name != SEAL}
    pieces: list[str] = []
    _write({**bare, SEAL: seal_of(bare)}, "\n", pieces)
    return "".join(pieces) + "\n"


def _write(value: Any, line: str, pieces: list[str]) -> None:
    """The very text of ``json.dumps(value, indent=1, ensure_ascii=False)``, in a fifth of the time: it is compiled only without an
    indent. What is no container is written where its container is.
    """
    inner = line + " "
    if isinstance(value, dict) and value:
        opening = "{" + inner
        for name, one in value.items():
            known = _WORDS.get(type(one))
            if known:
                pieces.append(f"{opening}{encode_basestring(name)}: {known(one)}")
            else:
                pieces.append(f"{opening}{encode_basestring(name)}: ")
                _write(one, inner, pieces)
            opening = "," + inner
        pieces.append(line + "}")
    elif isinstance(value, list | tuple) and value:
        opening = "[" + inner
        for one in value:
            pieces.append(opening)
            _write(one, inner, pieces)
            opening = "," + inner
        pieces.append(line + "]")
    else:
        known = _WORDS.get(type(value))
        pieces.append(known(value) if known else json.dumps(value, ensure_ascii=False))


_WORDS: dict[type, Callable[[Any], str]] = {
    str: encode_basestring,
    int: int.__repr__,
    bool: {True: "true", False: "false"}.__getitem__,
    type(None): lambda _: "null",
}


def seal_in(text: str) -> str:
    """The seal that a text made by :func:`sealed_text` carries.

    >>> seal_in(sealed_text({"format": "x"})) == seal_of({"format": "x"})
    True
    """
    return text.rpartition(f'"{SEAL}": "')[2][:64]


def opened(text: str, file: str = "") -> dict[str, Any]:
    """The document of a sealed text; raises :class:`FileError` where anything differs from what was sealed, blanks included."""
    where = Place(file)
    remedy = (
        "take the file as it was written (from the archive), not one that was edited or passed through a text converter"
    )
    try:
        document = json.loads(text)
    except ValueError as broken:
        raise FileError(
            f"this is no JSON: {broken}", expected="a sealed verdicts file", where=where, remedy=remedy
        ) from broken
    if not isinstance(document, dict) or not isinstance(document.get(SEAL), str):
        raise FileError(
            "this file carries no seal", expected=f"a member '{SEAL}' at its end", where=where, remedy=remedy
        )
    if _has_floats(document) or sealed_text(document) != text:
        raise FileError(
            "the file is not what was sealed",
            expected=f"content whose SHA-256 is {document[SEAL]}",
            where=where,
            remedy=remedy,
        )
    return document


def _has_floats(document: dict[str, Any]) -> bool:
    try:
        _refuse_floats(document)
    except TypeError:
        return True
    return False
