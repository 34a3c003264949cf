"""A YAML file as text: every scalar stays as it was written, and every node knows its line and column.

YAML 1.2, and of it only what people write by hand: mappings, sequences and scalars. Clause 4.10 is not 4.1, serial 00123 keeps its
noughts, 12:30 is no number and NO is no truth value, because nothing is converted here. Refused, with the place: a key written twice,
anchors, merge keys, tags, several documents in one file, tabs, and words that a ``#`` would silently cut off.
"""

from __future__ import annotations

import json
import re
from dataclasses import dataclass
from io import StringIO
from typing import TYPE_CHECKING, Any

from ruamel.yaml import YAML
from ruamel.yaml import events as seen
from ruamel.yaml.error import MarkedYAMLError, YAMLError

from curewright.terms.errors import CurewrightError, Errors, FileError, Place

if TYPE_CHECKING:
    from collections.abc import Iterator

DEEPEST = 20
BYTE_ORDER_MARK = "\ufeff"
_UNREADABLE = re.compile("[\x00-\x08\x0b\x0c\x0e-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]")
_CUT_OFF = re.compile(r"[ ]+(#[^\s#][^\n]*)")


@dataclass(frozen=True)
class Scalar:
    """One piece of text as written. ``style``: ``plain``, ``quoted`` or ``block`` (several lines)."""

    text: str
    place: Place
    style: str = "plain"
    one_line: bool = True

    def at(self, offset: int) -> Place:
        """The place of the character at ``offset`` of the text; the start of the text where that cannot be told."""
        if not self.one_line:
            return self.place
        column = self.place.column + offset + (1 if self.style == "quoted" else 0)
        return Place(self.place.file, self.place.line, column, self.place.clause)


@dataclass(frozen=True)
class Sequence:
    """A list of nodes in the order written."""

    items: tuple[Node, ...]
    place: Place


@dataclass(frozen=True)
class Mapping:
    """Keys with their values, in the order written; no key occurs twice."""

    items: tuple[tuple[Scalar, Node], ...]
    place: Place

    def get(self, key: str) -> Node | None:
        """The value of a key, or None where it is not written."""
        return next((value for name, value in self.items if name.text == key), None)

    def key(self, key: str) -> Scalar | None:
        """The key itself with its place, or None where it is not written."""
        return next((name for name, _ in self.items if name.text == key), None)


Node = Scalar | Sequence | Mapping


def read_bytes(data: bytes, file: str) -> Node:
    """The bytes of a file as nodes: UTF-8 with or without a byte order mark. Raises :class:`FileError` or :class:`Errors`."""
    return read_text(decode(data, file), file)


def decode(data: bytes, file: str) -> str:
    """UTF-8 bytes as text, without the byte order mark. Raises :class:`FileError` with line and column of the first wrong byte."""
    if data[:2] in (b"\xff\xfe", b"\xfe\xff"):
        raise FileError("the file is in UTF-16", expected="UTF-8", where=Place(file), remedy="save it as UTF-8")
    try:
        return data.decode("utf-8").removeprefix(BYTE_ORDER_MARK)
    except UnicodeDecodeError as error:
        before = data[: error.start].decode("utf-8")
        where = Place(file, before.count("\n") + 1, len(before) - before.rfind("\n"))
        found = f"byte 0x{data[error.start]:02x} is not UTF-8"
        raise FileError(found, expected="UTF-8", where=where, remedy="save the file as UTF-8") from None


def read_text(text: str, file: str) -> Node:
    """The text of a file as nodes. Raises :class:`FileError`, or :class:`Errors` where several things are wrong."""
    text = text.removeprefix(BYTE_ORDER_MARK).replace("\r\n", "\n")
    if not text.strip():
        raise FileError(
            "the file is empty", expected="a YAML mapping", where=Place(file), remedy="see docs/ for an example"
        )
    _refuse_characters(text, file)
    reader = _Reader(_events(text, file), file, text.split("\n"))
    node = reader.document()
    if reader.errors:
        raise Errors(tuple(reader.errors))
    return node


def mapping_of(node: Node, what: str) -> Mapping:
    """The node as a mapping; raises :class:`FileError` where it is none. ``what`` names it in the message."""
    if isinstance(node, Mapping):
        return node
    found = "a list" if isinstance(node, Sequence) else f"'{_shortened(node.text)}'"
    raise FileError(
        f"{what} is {found}",
        expected="fields, each 'name: value' on its own line",
        where=node.place,
        remedy="write them one below the other, or as {name: value, name: value}",
    )


def _shortened(text: str) -> str:
    return text if len(text) <= 40 else text[:39] + "…"


def _place(file: str, mark: Any) -> Place:
    return Place(file, mark.line + 1, mark.column + 1)


def _refuse_characters(text: str, file: str) -> None:
    for number, line in enumerate(text.split("\n"), start=1):
        if "\t" in line:
            where = Place(file, number, line.index("\t") + 1)
            raise FileError("a tab character", expected="blanks", where=where, remedy="replace the tab by blanks")
        bad = _UNREADABLE.search(line)
        if bad or "\r" in line:
            column = bad.start() if bad else line.index("\r")
            where = Place(file, number, column + 1)
            raise FileError(
                f"a control character (U+{ord(line[column]):04X})", expected="text", where=where, remedy="delete it"
            )


# What the parser says, what it means, what to do, and whether the trouble lies where the unfinished thing began.
_PROBLEMS = (
    (
        "mapping values are not allowed",
        "a second ': ' on this line",
        "put a text with ': ' in quotes; indent fields alike",
        False,
    ),
    (
        "sequence entries are not allowed",
        "a '- ' where no list can begin",
        "begin the list on a line of its own",
        False,
    ),
    ("unexpected end of stream", "a quotation mark that is never closed", "close the quotation mark", True),
    ("cannot start any token", "a text that begins with a reserved character", "put the text in quotes", False),
    ("but got '<stream end>'", "a bracket that is never closed", "close the bracket", True),
    (
        "expected ',' or",
        "a bracket that is not closed, or a missing comma",
        "put commas between fields; close the bracket",
        False,
    ),
    ("expected <block end>", "a line that is indented differently from its neighbours", "indent fields alike", False),
    ("could not find expected ':'", "a line without ': '", "write 'name: value'", True),
)


def _events(text: str, file: str) -> Iterator[Any]:
    parser = YAML(typ="safe", pure=True)
    try:
        yield from parser.parse(StringIO(text))
    except MarkedYAMLError as error:
        problem = str(error.problem)
        plain = (row[1:] for row in _PROBLEMS if row[0] in problem)
        found, remedy, at_its_start = next(
            plain, (problem, "look for a slip in the punctuation before this place", False)
        )
        mark = error.context_mark if at_its_start else error.problem_mark
        raise FileError(found, expected="YAML", where=_place(file, mark), remedy=remedy) from None
    except YAMLError as error:
        raise FileError(
            f"not readable as YAML: {' '.join(str(error).split())}", expected="YAML", where=Place(file)
        ) from None


class _Reader:
    """Turns the stream of YAML events into nodes and notes what is refused."""

    def __init__(self, events: Iterator[Any], file: str, lines: list[str]) -> None:
        self.events = events
        self.file = file
        self.lines = lines
        self.errors: list[CurewrightError] = []

    def document(self) -> Node:
        """The one document of the file."""
        event = self.skip_to_content()
        if isinstance(event, seen.StreamEndEvent):
            raise FileError("the file holds nothing but comments", expected="a YAML mapping", where=Place(self.file))
        node = self.node(event, 0)
        for event in self.events:
            if isinstance(event, seen.DocumentStartEvent):
                self.refuse(
                    "a second document ('---')", event, expected="one document in a file", remedy="use two files"
                )
        return node

    def skip_to_content(self) -> Any:
        """The first event that is not the start of the stream or of a document."""
        for event in self.events:
            if not isinstance(event, seen.StreamStartEvent | seen.DocumentStartEvent):
                return event
        raise AssertionError("a YAML stream always ends with an event")

    def refuse(self, found: str, event: Any, *, expected: str = "", remedy: str = "") -> None:
        """Notes an error at the place of an event."""
        self.errors.append(
            FileError(found, expected=expected, where=_place(self.file, event.start_mark), remedy=remedy)
        )

    def node(self, event: Any, depth: int) -> Node:
        """The node that starts with this event."""
        place = _place(self.file, event.start_mark)
        if depth > DEEPEST:
            raise FileError(f"nested more than {DEEPEST} deep", where=place, expected="a flatter file")
        if isinstance(event, seen.AliasEvent):
            self.refuse(f"an alias ('*{event.anchor}')", event, expected="the text itself", remedy="write it out")
            return Scalar("", place)
        if event.anchor is not None:
            self.refuse(
                f"an anchor ('&{event.anchor}')",
                event,
                expected="plain values",
                remedy="write the value out wherever it is meant",
            )
        if event.tag is not None:
            self.refuse(
                f"a tag ('{event.tag}')", event, expected="plain values; everything is read as text", remedy="delete it"
            )
        if isinstance(event, seen.ScalarEvent):
            return self.scalar(event, place)
        if isinstance(event, seen.SequenceStartEvent):
            return self.sequence(place, depth)
        return self.mapping(place, depth)

    def scalar(self, event: Any, place: Place) -> Scalar:
        """A scalar; refuses one whose rest a ``#`` without a blank behind it would cut off."""
        style = {None: "plain", "": "plain", "|": "block", ">": "block"}.get(event.style, "quoted")
        one_line = event.start_mark.line == event.end_mark.line
        if style == "plain" and event.value:
            rest = _CUT_OFF.match(self.lines[event.end_mark.line], event.end_mark.column)
            if rest:
                found = f"'{_shortened(rest.group(1))}' after a blank would be dropped as a comment"
                where = Place(self.file, event.end_mark.line + 1, rest.start(1) + 1)
                remedy = "put the text in quotes, or write '# ' with a blank if a comment is meant"
                self.errors.append(FileError(found, where=where, remedy=remedy))
        if style == "quoted" and one_line:
            one_line = event.end_mark.column - event.start_mark.column == len(event.value) + 2
        return Scalar(event.value, place, style, one_line)

    def sequence(self, place: Place, depth: int) -> Sequence:
        """A list up to its end."""
        items = []
        for event in self.events:
            if isinstance(event, seen.SequenceEndEvent):
                break
            items.append(self.node(event, depth + 1))
        return Sequence(tuple(items), place)

    def mapping(self, place: Place, depth: int) -> Mapping:
        """A mapping up to its end; a key that is written twice is refused."""
        items: list[tuple[Scalar, Node]] = []
        places: dict[str, Place] = {}
        for event in self.events:
            if isinstance(event, seen.MappingEndEvent):
                break
            key = self.node(event, depth + 1)
            value = self.node(next(self.events), depth + 1)
            if not isinstance(key, Scalar):
                self.refuse("a key that is a list or a mapping", event, expected="a name")
            elif key.text == "<<":
                self.refuse("a merge key ('<<')", event, expected="plain fields", remedy="write the fields out")
            elif key.text in places:
                found = f"'{key.text}' is written twice (first on line {places[key.text].line})"
                self.refuse(found, event, expected="every name once", remedy="delete or rename one")
            else:
                places[key.text] = key.place
                items.append((key, value))
        return Mapping(tuple(items), place)


NO_YAML = re.compile(
    r"[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff\ufeff\ufffe\uffff]"
)  # not to stand there as they are


def in_quotes(text: str) -> str:
    """A text as a quoted scalar of YAML; signs that YAML does not take as they are stand as escapes."""
    return NO_YAML.sub(lambda sign: f"\\u{ord(sign[0]):04x}", json.dumps(text, ensure_ascii=False))
