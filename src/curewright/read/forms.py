"""The fields of a file that a user writes, stated once: read from here, and written out as JSON Schema for editors from here.

A :class:`Kind` is what a value may be: how it is read, and the schema that says so. A :class:`Form` is a mapping with fixed fields.
Everything is text in these files, so the schemas let an editor's numbers and texts pass where a name is wanted.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any, TypeVar

from curewright.terms.errors import CurewrightError, FileError, Place, UnitError
from curewright.text import fields as text_fields
from curewright.text.fields import Fields
from curewright.text.quantities import PRESSURE_DIFFERENCE, TEMPERATURE_DIFFERENCE, Measure
from curewright.text.yaml import Node, Scalar, read_bytes

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.terms.requirement import Limits
    from curewright.terms.units import Quantity

T = TypeVar("T")
V = TypeVar("V")
Schema = dict[str, Any]
DRAFT = "https://json-schema.org/draft/2020-12/schema"


@dataclass(frozen=True)
class Written:
    """A text with its place, to be understood later (a clock time, before the start of the run is known)."""

    text: str
    place: Place


@dataclass(frozen=True)
class Kind:
    """What a value may be: ``read`` turns a node into it (or raises with the place), ``schema`` describes it to editors."""

    read: Callable[[Node], Any]
    schema: Schema


@dataclass(frozen=True)
class Field:
    """One field of a form: its name, what it may hold, what it says, and whether it has to be there."""

    name: str
    kind: Kind
    says: str
    required: bool = True


class Filled:
    """A form as it was filled in. A field that was left out is None; ``place(name)`` is where it stands."""

    def __init__(self, values: dict[str, Any], fields: Fields) -> None:
        self._values = values
        self._fields = fields

    def __getitem__(self, name: str) -> Any:
        return self._values[name]

    def place(self, name: str = "") -> Place:
        """Where a field stands; where the whole form starts without a name, or where the field was left out."""
        return self._fields.place_of(name) if name else self._fields.place

    @property
    def line(self) -> int:
        """The line on which the form starts."""
        return self._fields.place.line

    def written(self) -> tuple[str, ...]:
        """The names of the fields that were filled in."""
        return tuple(name for name in self._values if name in self._fields)


@dataclass(frozen=True)
class Form:
    """A mapping with fixed fields; ``what`` names it in messages (``a sensor``), ``says`` describes it to editors."""

    what: str
    says: str
    fields: tuple[Field, ...]

    def read(self, node: Node) -> Filled:
        """The form filled in. Raises :class:`Errors` with all that is wrong in it."""
        fields = Fields(node, self.what)
        values = {}
        for field in self.fields:
            if field.required:
                values[field.name] = fields.required(field.name, field.kind.read, remedy=f"write {field.says}")
            else:
                values[field.name] = fields.optional(field.name, field.kind.read, None)
        fields.close()
        return Filled(values, fields)

    def schema(self) -> Schema:
        """The JSON Schema of the mapping."""
        return {
            "type": "object",
            "description": self.says,
            "properties": {field.name: field.kind.schema | {"description": field.says} for field in self.fields},
            "required": [field.name for field in self.fields if field.required],
            "additionalProperties": False,
        }

    def kind(self, make: Callable[[Filled], Any] | None = None) -> Kind:
        """The form as a value within another one; ``make`` turns what was filled in into a noun."""
        return Kind((lambda node: make(self.read(node))) if make else self.read, self.schema())

    def of_file(self, content: bytes, file: str) -> Filled:
        """A whole file as this form. Raises with file, line and column."""
        return self.read(read_bytes(content, file))

    def file_schema(self, title: str) -> Schema:
        """The JSON Schema of a whole file."""
        return {"$schema": DRAFT, "title": title} | self.schema()


def _file_name(node: Node) -> str:
    """A file's name as every system reads it: with ``/``, though it may have been written on Windows."""
    return text_fields.text(node).replace("\\", "/")


# -------------------------------------------------------------------------------------------------------------------- kinds
NAME: Schema = {"type": ["string", "number"]}
TEXT = Kind(text_fields.text, NAME)
PROSE = Kind(text_fields.prose, NAME)
FILE = Kind(_file_name, {"type": "string"})
YES_NO = Kind(text_fields.yes_no, {"enum": ["yes", "no"]})
WHOLE_NUMBER = Kind(text_fields.whole_number, {"type": "integer", "minimum": 0})
DATE = Kind(text_fields.date, {"type": "string", "format": "date"})
DURATION = Kind(text_fields.duration(), {"type": "string", "examples": ["30 s", "1 h 30 min"]})


def _written(node: Node) -> Written:
    return Written(text_fields.text(node), node.place)


WRITTEN = Kind(_written, NAME)
CLOCK_TIME = Kind(_written, {"type": "string", "examples": ["2031-03-04 21:50:00", "2031-03-04T21:50:00+01:00"]})


def one_of(*words: str) -> Kind:
    """One of these words."""
    return Kind(text_fields.one_of(*words), {"enum": list(words)})


def items(kind: Kind) -> Kind:
    """A list."""
    return Kind(text_fields.items(kind.read), {"type": "array", "items": kind.schema})


def one_or_more(kind: Kind) -> Kind:
    """One value, or a list of them."""
    return Kind(text_fields.one_or_more(kind.read), {"anyOf": [kind.schema, {"type": "array", "items": kind.schema}]})


def table(kind: Kind) -> Kind:
    """A mapping whose keys are names that the user chooses."""
    return Kind(text_fields.table(kind.read), {"type": "object", "additionalProperties": kind.schema})


def quantity(measure: Measure, *examples: str) -> Kind:
    """A number with its unit."""
    return Kind(text_fields.quantity(measure), {"type": "string", "examples": list(examples)})


def _difference(node: Node) -> Quantity:
    """A difference of temperatures or of pressures, by its unit."""
    try:
        return text_fields.quantity(TEMPERATURE_DIFFERENCE)(node)
    except UnitError as error:
        try:
            return text_fields.quantity(PRESSURE_DIFFERENCE)(node)
        except UnitError:
            if isinstance(node, Scalar) and {"gauge", "absolute", "vacuum"} & set(node.text.split()):
                raise
            raise UnitError(
                error.found,
                expected="a difference of temperature or of pressure, such as '0.5 degC' or '0.2 psi'",
                where=error.where,
                remedy="write the number with its unit; a share (percent) does not say of what",
            ) from None


DIFFERENCE = Kind(_difference, {"type": "string", "examples": ["+0.4 degC", "-0.2 psi"]})
LIMITED = (
    "temperature",
    "temperature difference",
    "pressure",
    "pressure difference",
    "time",
    "temperature rate",
    "pressure rate",
    "fraction",
)


def _limits(node: Node) -> Limits:
    """Limits on whatever their unit measures; those on a difference say so."""
    first: CurewrightError | None = None
    said_so = isinstance(node, Scalar) and "difference" in node.text
    for measured in LIMITED:
        if measured.endswith("difference") and not said_so:
            continue
        try:
            return text_fields.limits(Measure(measured))(node)
        except UnitError as error:
            first = first or error
    raise first or FileError("no limits", where=node.place)


LIMITS = Kind(
    _limits, {"type": "string", "examples": ["at least 338 degF", "350 ± 12 degF", "at most 20 degF difference"]}
)


def plain_number(node: Node) -> bool:
    """Whether a scalar is written without quotes and begins like a number."""
    return isinstance(node, Scalar) and node.style == "plain" and node.text.lstrip("+-−~<>≈ ")[:1].isdigit()
