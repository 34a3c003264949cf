"""The calorimetry sheet, and the curves that it names (CSV): columns by heading and unit, nothing guessed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.physics.kinetics.laws import JUMPS, LAWS, VALUES
from curewright.read.card_values import UNITS, sort_of, sort_of_rate_constant
from curewright.read.curves import TEMPERATURES, TIMES, read_curves
from curewright.read.forms import FILE, PROSE, TEXT, Field, Filled, Form, Kind, items, one_of, table
from curewright.read.physical import SHAPE, SHARE, TEMPERATURE
from curewright.terms.calorimetry import CalorimeterRun, Calorimetry, Curve
from curewright.terms.errors import FileError
from curewright.text import fields as text_fields

if TYPE_CHECKING:
    from curewright.text.yaml import Node

FITTED = tuple(name for name, code in LAWS.items() if code != JUMPS)
COLUMN_UNITS = {  # factor and offset to SI, by what the column holds
    "time": TIMES,
    "temperature": TEMPERATURES,
    "heat flow": {"W/g": (1e3, 0.0), "mW/mg": (1e3, 0.0), "W/kg": (1.0, 0.0)},
    "degree of cure": {"1": (1.0, 0.0), "%": (0.01, 0.0)},
}
LEVELS = (0.1, 0.2, 0.3, 0.4, 0.5, 0.6, 0.7, 0.8)


def _constant(node: Node) -> tuple[float, str]:
    """A number with its unit, in SI, and the sort of the unit."""
    written = text_fields.text(node)
    shape = SHAPE.fullmatch(written)
    unit = (shape[2] or "1") if shape else ""
    if shape is None or unit not in UNITS:
        raise FileError(f"'{written}'", expected="a number with its unit: 1.2e5 1/s, 66 kJ/mol, 0.8", where=node.place)
    factor, offset = UNITS[unit]
    return (float(shape[1]) + offset) * factor, sort_of(unit)


CONSTANT = Kind(_constant, {"type": ["string", "number"], "examples": ["1.2e5 1/s", "66 kJ/mol", "0.8"]})
COLUMN = Form(
    "a column",
    "One column of every file.",
    (Field("column", TEXT, "its heading in the file"), Field("unit", TEXT, "its unit")),
)
RUN = Form(
    "a run",
    "One run of the calorimeter.",
    (
        Field("name", TEXT, "how the laboratory calls it"),
        Field("file", FILE, "its curve, a CSV file beside this sheet"),
        Field("temperature", one_of("heated", "isothermal"), "heated through the whole reaction, or held"),
    ),
)
SHEET = Form(
    "a calorimetry sheet",
    "Calorimeter runs of a resin, and the law that is to be fitted to them.",
    (
        Field("calorimetry", TEXT, "the number of the report"),
        Field("written by", TEXT, "who vouches for it"),
        Field("resin", PROSE, "which resin, batch, out-time"),
        Field("recorded", one_of("heat flow", "degree of cure"), "what the files hold"),
        Field("exotherm", one_of("upwards", "downwards"), "where heat flow goes when heat comes out", required=False),
        Field(
            "columns", table(COLUMN.kind(lambda filled: (filled["column"], filled["unit"]))), "time, temperature and it"
        ),
        Field("runs", items(RUN.kind()), "three or more, at different temperatures or heating rates"),
        Field(
            "total heat", CONSTANT, "of a whole cure, per kg of resin; else the mean of the heated runs", required=False
        ),
        Field("degree of cure at the start", SHARE, "of every run"),
        Field("cured at", TEMPERATURE, "the usual temperature of cure"),
        Field("law", one_of(*FITTED), "the kinetic law to fit"),
        Field("first values", table(CONSTANT), "where the search begins, with units"),
        Field("held", table(CONSTANT), "constants that are known and not searched", required=False),
        Field("levels", items(SHARE), "degrees of cure for the activation energy without a law", required=False),
        Field("card", TEXT, "the name of the card that is made of it"),
        Field("revision", TEXT, "the revision of that card"),
    ),
)


def read_calorimetry(content: bytes, file: str) -> Calorimetry:
    """The sheet from the bytes of its file. Raises with file, line and column."""
    filled = SHEET.of_file(content, file)
    if (filled["recorded"] == "heat flow") != (filled["exotherm"] is not None):
        raise FileError(
            "a heat flow without its sense, or a sense without a heat flow",
            expected="'exotherm: upwards' or 'downwards' with 'recorded: heat flow' only",
            where=filled.place("exotherm"),
        )
    columns = dict(filled["columns"])
    _check_columns(columns, filled)
    heat = filled["total heat"]
    if heat is not None and heat[1] != "heat":
        raise FileError("a total heat that is none", expected="such as 520 kJ/kg", where=filled.place("total heat"))
    return Calorimetry(
        filled["calorimetry"],
        filled["written by"],
        filled["resin"],
        filled["recorded"],
        filled["exotherm"] or "",
        columns,
        tuple(
            CalorimeterRun(one["name"], one["file"], one["temperature"] == "isothermal", one.line)
            for one in filled["runs"]
        ),
        heat[0] if heat else None,
        filled["degree of cure at the start"],
        filled["cured at"],
        filled["law"],
        _constants(filled, "first values"),
        _constants(filled, "held"),
        tuple(filled["levels"] or LEVELS),
        filled["card"],
        filled["revision"],
        file,
    )


def _check_columns(columns: dict[str, tuple[str, str]], filled: Filled) -> None:
    wanted = ("time", "temperature", filled["recorded"])
    if set(columns) != set(wanted):
        raise FileError(f"the columns {', '.join(columns)}", expected=", ".join(wanted), where=filled.place("columns"))
    for name, (_, unit) in columns.items():
        if unit not in COLUMN_UNITS[name]:
            raise FileError(
                f"{name} in {unit}", expected=" or ".join(COLUMN_UNITS[name]), where=filled.place("columns")
            )


def _constants(filled: Filled, field: str) -> dict[str, float]:
    found = {}
    for name, (number, sort) in filled[field] or ():
        if name not in VALUES[filled["law"]]:
            raise FileError(
                f"'{name}' is no constant of the law '{filled['law']}'",
                expected=", ".join(VALUES[filled["law"]]),
                where=filled.place(field),
            )
        if sort != sort_of_rate_constant(name):
            raise FileError(
                f"{name} as a {sort}", expected=f"a unit of {sort_of_rate_constant(name)}", where=filled.place(field)
            )
        found[name] = number
    return found


def read_curve(sheet: Calorimetry, content: bytes, file: str) -> Curve:
    """One run's curve in SI units, exothermal upwards. Raises with file and line for a heading or a number that is missing."""
    units = {name: COLUMN_UNITS[name] for name in ("time", "temperature", sheet.recorded)}
    t, T, signal = read_curves(content, file, sheet.columns, units)  # noqa: N806 - its symbol
    sense = -1.0 if sheet.exotherm == "downwards" else 1.0
    return Curve(t.copy(), T.copy(), sense * signal)
