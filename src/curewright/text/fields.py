"""A toolkit for files that a user writes: field by field, every error kept with file, line and column, all of them told at once.

::

    def read_bag(fields: Fields) -> Bag:
        name = fields.required("name", text)
        ports = fields.required("ports", items(text))
        fields.close()                      # unknown fields are refused; raises all errors of this mapping
        return Bag(name, ports, fields.place.line)

    bags = fields.required("bags", items(record(read_bag, "a bag")))

A reader is a function from :class:`Node` to a value that raises a :class:`CurewrightError` with a place. Until ``close`` has passed,
do not look inside what ``required`` gave: after an error it is no value at all.
"""

from __future__ import annotations

import datetime as calendar
from collections.abc import Callable
from typing import TYPE_CHECKING, TypeVar, cast

from curewright.terms.errors import CurewrightError, Errors, FileError, Place, each, flat
from curewright.text import quantities
from curewright.text.near import did_you_mean, nearest
from curewright.text.phrase import Words, words_of
from curewright.text.yaml import Mapping, Node, Scalar, Sequence, mapping_of

if TYPE_CHECKING:
    from decimal import Decimal

    from curewright.terms.requirement import Limits
    from curewright.terms.units import Quantity, Unit
    from curewright.text.quantities import Measure

T = TypeVar("T")
D = TypeVar("D")
Reader = Callable[[Node], T]


class Fields:
    """The fields of one mapping, read one by one. ``what`` names the mapping in messages (``a bag``)."""

    def __init__(self, node: Node, what: str) -> None:
        self.node: Mapping = mapping_of(node, what)
        self.what = what
        self.known: list[str] = []
        self.errors: list[CurewrightError] = []

    @property
    def place(self) -> Place:
        """Where the mapping starts."""
        return self.node.place

    def __contains__(self, key: str) -> bool:
        """Whether the field is written."""
        return self.node.get(key) is not None

    def place_of(self, key: str) -> Place:
        """Where a field stands; the place of the mapping where it is not written."""
        name = self.node.key(key)
        return name.place if name else self.place

    def required(self, key: str, read: Reader[T], *, remedy: str = "") -> T:
        """The value of a field that must be there."""
        if key not in self:
            self.known.append(key)
            self.refuse(
                FileError(f"{self.what} without '{key}'", expected=f"'{key}: …'", where=self.place, remedy=remedy)
            )
            return cast("T", None)
        return cast("T", self.optional(key, read, None))

    def optional(self, key: str, read: Reader[T], default: D) -> T | D:
        """The value of a field, or the default where it is not written."""
        self.known.append(key)
        node = self.node.get(key)
        if node is None:
            return default
        try:
            return read(node)
        except CurewrightError as error:
            self.refuse(error)
            return default

    def refuse(self, error: CurewrightError) -> None:
        """Keeps an error to be told by :meth:`close`."""
        for single in flat(error):
            if single.where is None:
                single.where = self.place
            self.errors.append(single)

    def others(self) -> tuple[tuple[Scalar, Node], ...]:
        """The fields that nobody has asked for so far."""
        return tuple((key, value) for key, value in self.node.items if key.text not in self.known)

    def _another(self, others: tuple[tuple[Scalar, Node], ...]) -> FileError:
        """The one error for a mapping that has none of the fields it may have: it is something else."""
        there = ", ".join(f"'{key.text}'" for key, _ in others[:4]) + (", …" if len(others) > 4 else "")
        wanted = ", ".join(f"'{key}'" for key in self.known[:4]) + (", …" if len(self.known) > 4 else "")
        return FileError(
            f"this is not {self.what}: it has {there}",
            expected=f"{self.what}, with {wanted}",
            where=self.place,
            remedy="name the file, or write the fields, that are meant here",
        )

    def close(self) -> None:
        """Refuses fields that nobody asked for; raises :class:`Errors` with all that was wrong in this mapping."""
        others = self.others()
        if len(others) > 2 and len(others) == len(self.node.items):
            raise Errors((self._another(others),))
        for key, value in self.others():
            self.refuse(_unknown(key, value, self.what, self.known))
        if self.errors:
            raise Errors(tuple(self.errors))


def _unknown(key: Scalar, value: Node, what: str, known: list[str]) -> FileError:
    remedy = did_you_mean(key.text, known)
    if key.text.isdigit():
        remedy = "write decimals with a point; " + remedy
    if isinstance(value, Scalar) and value.style == "plain" and not value.text:
        remedy = "inside { } a comma starts a new field: put a text with commas in quotes; " + remedy
    return FileError(f"'{key.text}' is no field of {what}", where=key.place, remedy=remedy)


# -------------------------------------------------------------------------------------------------------------------- readers
def text(node: Node) -> str:
    """A text of one line exactly as written, not empty: names, serials, clause numbers."""
    if not isinstance(node, Scalar):
        found = "a list" if isinstance(node, Sequence) else "a mapping"
        raise FileError(found, expected="a text", where=node.place)
    if not node.text.strip():
        raise FileError("nothing is written here", expected="a text", where=node.place)
    if node.text != node.text.strip() or "\n" in node.text:
        raise FileError(
            f"'{node.text}' has blanks at its ends or more than one line", expected="one line", where=node.place
        )
    return node.text


def prose(node: Node) -> str:
    """A text of any length, its blanks and line breaks made single blanks: titles, sentences of the paper."""
    return text(Scalar(" ".join(node.text.split()), node.place) if isinstance(node, Scalar) else node)


def one_of(*words: str) -> Reader[str]:
    """A reader of one of these words."""

    def read(node: Node) -> str:
        found = prose(node)
        if found not in words:
            listed = " or ".join(f"'{word}'" for word in words)
            raise FileError(f"'{found}'", expected=listed, where=node.place, remedy=nearest(found, words))
        return found

    return read


def yes_no(node: Node) -> bool:
    """``yes`` or ``no``."""
    return one_of("yes", "no")(node) == "yes"


def items(read: Reader[T]) -> Reader[tuple[T, ...]]:
    """A reader of a list; the errors of all its items are told together."""

    def read_all(node: Node) -> tuple[T, ...]:
        if not isinstance(node, Sequence):
            none = isinstance(node, Scalar) and not node.text.strip()
            found = "nothing is written here" if none else "no list"
            remedy = "write [] where there is none" if none else ""
            expected = "a list: [one, two], or lines that begin with '- '"
            raise FileError(found, expected=expected, where=node.place, remedy=remedy)
        return each(read, node.items)

    return read_all


def one_or_more(read: Reader[T]) -> Reader[tuple[T, ...]]:
    """A reader of a list or of one item alone."""
    return lambda node: items(read)(node) if isinstance(node, Sequence) else (read(node),)


def table(read: Reader[T]) -> Reader[tuple[tuple[str, T], ...]]:
    """A reader of a mapping whose keys are names that the user chooses."""

    def read_all(node: Node) -> tuple[tuple[str, T], ...]:
        rows = mapping_of(node, "this").items
        return tuple(zip(each(text, [key for key, _ in rows]), each(read, [value for _, value in rows]), strict=True))

    return read_all


def record(read: Callable[[Fields], T], what: str) -> Reader[T]:
    """A reader of a mapping with fixed fields."""
    return lambda node: read(Fields(node, what))


# ------------------------------------------------------------------------------------------------------------------- phrases
def phrase(read: Callable[[Words], T]) -> Reader[T]:
    """A reader of a whole phrase; what is left over is refused."""

    def read_whole(node: Node) -> T:
        words = words_of(node)
        value = read(words)
        words.done()
        return value

    return read_whole


def number(node: Node) -> Decimal:
    """A decimal number, as written."""
    return phrase(quantities.number)(node)


def whole_number(node: Node) -> int:
    """A whole number that is not negative."""
    value = number(node)
    if value < 0 or value % 1:
        raise FileError(f"'{value}'", expected="a whole number, 0 or more", where=node.place)
    return int(value)


def quantity(measure: Measure) -> Reader[Quantity]:
    """A reader of a number with its unit."""
    return phrase(lambda words: quantities.amount(words, measure))


def limits(measure: Measure) -> Reader[Limits]:
    """A reader of a low and a high limit (``85 +15/-0 psi gauge``, ``at least 22``)."""
    return phrase(lambda words: quantities.limits(words, measure))


def duration(unit: Unit | None = None) -> Reader[int]:
    """A reader of a length of time, in ns (``2 min``, ``1 h 30 min``); ``unit`` is that of a number without one."""
    return phrase(lambda words: quantities.duration(words, unit))


def date(node: Node) -> calendar.date:
    """A calendar date, ``2026-03-31``."""
    found = text(node)
    try:
        if len(found) != 10:
            raise ValueError
        return calendar.date.fromisoformat(found)
    except ValueError:
        raise FileError(
            f"'{found}' is no date", expected="a date such as 2026-03-31", where=node.place,
            remedy="write the year, then the month, then the day, with hyphens",
        ) from None  # fmt: skip


def moment(node: Node) -> calendar.datetime:
    """A date and time with its zone, ``2026-03-31T07:00:00+02:00`` (or ``Z``)."""
    found = text(node)
    try:
        when = calendar.datetime.fromisoformat(found)
    except ValueError:
        when = calendar.datetime.min
    if when.tzinfo is None:
        expected = "a date and time with its zone, such as 2026-03-31T07:00:00+02:00"
        raise FileError(f"'{found}'", expected=expected, where=node.place, remedy="the zone is never guessed")
    return when
