"""Curves from CSV files: columns by heading and unit, nothing guessed."""

from __future__ import annotations

import csv
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.errors import Errors, FileError, Place

if TYPE_CHECKING:
    from collections.abc import Mapping

    from numpy.typing import NDArray

    from curewright.terms.errors import CurewrightError

TIMES = {"s": (1.0, 0.0), "min": (60.0, 0.0), "h": (3600.0, 0.0)}  # factor and offset to SI
TEMPERATURES = {"degC": (1.0, 273.15), "K": (1.0, 0.0), "degF": (5 / 9, 459.67)}


def read_curves(
    content: bytes,
    file: str,
    columns: Mapping[str, tuple[str, str]],
    units: Mapping[str, Mapping[str, tuple[float, float]]],
) -> NDArray[np.float64]:
    """The columns of a file in SI units, shape (columns, rows), in the order of ``units``.

    columns : heading and unit of each; units : factor and offset to SI of each unit that each may have. Raises with file and line for a
    heading or a number that is missing.
    """
    rows = list(csv.reader(content.decode("utf-8-sig").splitlines()))
    if not rows:
        raise FileError(f"{file} is empty", expected="headings and rows", where=Place(file))
    heads = [cell.strip() for cell in rows[0]]
    missing = [columns[name][0] for name in units if heads.count(columns[name][0]) != 1]
    if missing:
        raise FileError(
            f"the headings {', '.join(heads)}", expected=f"{' and '.join(missing)}, once each", where=Place(file, 1)
        )
    places = [heads.index(columns[name][0]) for name in units]
    numbers: list[list[float]] = []
    errors: list[CurewrightError] = []
    for line, row in enumerate(rows[1:], start=2):
        if any(cell.strip() for cell in row):
            try:
                numbers.append([_number(row, place) for place in places])
            except ValueError as error:
                errors.append(FileError(str(error), expected="a number such as 12.5", where=Place(file, line)))
    if errors:
        raise Errors(tuple(errors[:20]))
    table = np.array(numbers, dtype=np.float64).reshape(-1, len(places)).T
    for i, (name, known) in enumerate(units.items()):
        factor, offset = known[columns[name][1]]
        table[i] = (table[i] + offset) * factor
    return table


def _number(row: list[str], place: int) -> float:
    written = row[place].strip() if place < len(row) else ""
    try:
        found = float(written)
    except ValueError:
        found = float("nan")
    if not abs(found) < float("inf") or "_" in written:
        raise ValueError(f"'{written}'")
    return found
