"""Port lists out of CSV or Excel files: the columns ``port``, ``kind`` and ``sensor``, every cell filled in.

A cell that is empty is refused, also where a port has no sensor (write ``none``): the reader of Excel files gives the same nothing
for an empty cell and for one that holds an error, and an error is never a value.
"""

from __future__ import annotations

from curewright.read.sheet import Row, rows_of
from curewright.terms.errors import FileError, Place, each
from curewright.terms.load import Port

COLUMNS = ("port", "kind", "sensor")
KINDS = ("vacuum", "thermocouple")


def port_list(content: bytes, file: str) -> tuple[Port, ...]:
    """The ports in a CSV (UTF-8; comma or semicolon) or Excel file (first sheet). Raises with file, line and column (or cell)."""
    rows = rows_of(content, file, names_only=True)
    header = next(rows, None)
    if header is None:
        raise FileError("the port list is empty", where=Place(file), expected="the columns port, kind and sensor")
    at = _columns(header, file)
    return each(lambda row: _port(*row, at, file), rows)


def _columns(header: Row, file: str) -> dict[str, int]:
    line, cells = header
    names = [cell.lower() for cell, _ in cells]
    for name in COLUMNS:
        if names.count(name) != 1:
            found = f"the port list has {names.count(name)} columns '{name}'"
            raise FileError(found, where=Place(file, line), expected="one each of port, kind and sensor")
    return {name: names.index(name) for name in COLUMNS}


def _port(line: int, cells: list[tuple[str, Place]], at: dict[str, int], file: str) -> Port:
    values = {}
    for name in COLUMNS:
        cell, where = cells[at[name]] if at[name] < len(cells) else ("", Place(file, line))
        if not cell:
            remedy = "write 'none' for a port without a sensor" if name == "sensor" else "fill it in, or delete the row"
            raise FileError(f"the {name} is empty (or the cell holds an error)", where=where, remedy=remedy)
        values[name] = (cell, where)
    kind, where = values["kind"]
    if kind not in KINDS:
        raise FileError(f"'{kind}'", expected="'vacuum' or 'thermocouple'", where=where)
    sensor = values["sensor"][0]
    return Port(values["port"][0], kind, None if sensor == "none" else sensor, line, file)
