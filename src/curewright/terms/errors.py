"""What went wrong, in the words of the person who has to put it right: found, expected, where, what to do."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, TypeVar

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable

T = TypeVar("T")
V = TypeVar("V")


@dataclass(frozen=True)
class Place:
    """Where in a user's file something stands: file name, line and column counted from 1 (0 when not known), and clause."""

    file: str = ""
    line: int = 0
    column: int = 0
    clause: str = ""

    def __str__(self) -> str:
        spot = ":".join(str(part) for part in (self.file, self.line, self.column) if part)
        return f"{spot} (clause {self.clause})" if self.clause else spot


class CurewrightError(Exception):
    """The root of all errors that a user can put right. Message: found, expected, where, what to do."""

    def __init__(self, found: str, *, expected: str = "", where: Place | None = None, remedy: str = "") -> None:
        self.found = found
        self.expected = expected
        self.where = where
        self.remedy = remedy
        super().__init__(found)

    def __str__(self) -> str:
        text = f"{self.where}: {self.found}" if self.where and str(self.where) else self.found
        if self.expected:
            text += f"; expected {self.expected}"
        if self.remedy:
            text += f". To do: {self.remedy}"
        return text


class UnitError(CurewrightError):
    """A unit that is unknown, missing, or lacks its reference."""


class FileError(CurewrightError):
    """A user's file that cannot be read as what it should be."""


class SpecificationError(CurewrightError):
    """A specification that cannot be given exactly one meaning."""


class AmbiguousClause(SpecificationError):
    """A clause that leaves a choice open; ``choices`` lists what its author has to decide."""

    def __init__(self, found: str, *, choices: tuple[str, ...], where: Place | None = None) -> None:
        self.choices = choices
        super().__init__(
            found,
            expected="a choice between: " + "; or ".join(choices),
            where=where,
            remedy="state one; where the paper does not say which, add a 'because' with who approved it",
        )


class TraceabilityError(CurewrightError):
    """A thermocouple, port, bag or part that cannot be led back to what it belongs to."""


class NeedsBarometer(CurewrightError):
    """A change of pressure reference without a barometer reading of the run or a site pressure of the vessel."""


class Unattainable(SpecificationError):
    """A requirement that the local atmosphere makes impossible, refused before the run."""


class Errors(CurewrightError):
    """Several errors of one file or load at once, so that all can be put right in one go."""

    def __init__(self, errors: tuple[CurewrightError, ...]) -> None:
        self.errors = errors
        super().__init__(f"{len(errors)} thing(s) to put right")

    def __str__(self) -> str:
        return "\n".join(str(error) for error in self.errors)


def flat(error: CurewrightError) -> tuple[CurewrightError, ...]:
    """The single errors within an error."""
    if isinstance(error, Errors):
        return tuple(single for each in error.errors for single in flat(each))
    return (error,)


def raise_all(errors: Iterable[CurewrightError]) -> None:
    """Raises what was found wrong: one error as it is, several together; nothing where there is none."""
    found = tuple(errors)
    if found:
        raise found[0] if len(found) == 1 else Errors(found)


def each(make: Callable[[V], T], values: Iterable[V]) -> tuple[T, ...]:
    """What ``make`` gives for each value; the errors of all are told together."""
    made: list[T] = []
    errors: list[CurewrightError] = []
    for value in values:
        try:
            made.append(make(value))
        except CurewrightError as error:
            errors.extend(flat(error))
    raise_all(errors)
    return tuple(made)
