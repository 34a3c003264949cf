"""The survey sheet: a body of known heat capacity, and the runs in which the gas of a vessel heated it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.read.curves import TEMPERATURES, TIMES, read_curves
from curewright.read.forms import FILE, PROSE, TEXT, Field, Filled, Form, items, table
from curewright.read.physical import ABSOLUTE, AREA, CONDUCTIVITY, MASS, SPECIFIC_HEAT, THICKNESS
from curewright.terms.errors import FileError
from curewright.terms.survey import Survey, SurveyRun

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

UNITS = {"time": TIMES, "air": TEMPERATURES, "body": TEMPERATURES}
COLUMN = Form(
    "a column",
    "One column of every file.",
    (Field("column", TEXT, "its heading in the file"), Field("unit", TEXT, "its unit")),
)
RUN = Form(
    "a survey run",
    "One run at one pressure.",
    (
        Field("file", FILE, "its curve, a CSV file beside this sheet"),
        Field("at", ABSOLUTE, "the pressure that was held, absolute"),
    ),
)
SURVEY = Form(
    "a survey sheet",
    "A body that was heated by the gas of a vessel at several pressures.",
    (
        Field("survey", TEXT, "the number of the survey"),
        Field("written by", TEXT, "who vouches for it"),
        Field("vessel", TEXT, "the vessel"),
        Field("body", PROSE, "what was heated, and where it stood"),
        Field("mass", MASS, "of the body"),
        Field("specific heat", SPECIFIC_HEAT, "of its metal"),
        Field("area", AREA, "the surface that the gas sees"),
        Field("half thickness", THICKNESS, "from the surface to the middle"),
        Field("conductivity", CONDUCTIVITY, "of its metal"),
        Field("columns", table(COLUMN.kind(lambda filled: (filled["column"], filled["unit"]))), "time, air and body"),
        Field("runs", items(RUN.kind()), "one or more; three pressures or more tell a law"),
    ),
)


def read_survey(content: bytes, file: str) -> Survey:
    """The sheet from the bytes of its file. Raises with file, line and column."""
    filled = SURVEY.of_file(content, file)
    columns = dict(filled["columns"])
    _check(columns, filled)
    runs = tuple(SurveyRun(one["file"], one["at"], one.line) for one in filled["runs"])
    return Survey(
        filled["survey"], filled["written by"], filled["vessel"], filled["body"], filled["mass"], filled["specific heat"],
        filled["area"], filled["half thickness"], filled["conductivity"], columns, runs, file,
    )  # fmt: skip


def _check(columns: dict[str, tuple[str, str]], filled: Filled) -> None:
    if set(columns) != set(UNITS):
        raise FileError(f"the columns {', '.join(columns)}", expected=", ".join(UNITS), where=filled.place("columns"))
    for name, (_, unit) in columns.items():
        if unit not in UNITS[name]:
            raise FileError(f"{name} in {unit}", expected=" or ".join(UNITS[name]), where=filled.place("columns"))


def read_heated(sheet: Survey, content: bytes, file: str) -> NDArray[np.float64]:
    """Time [s], air and body [K] of one run, shape (3, n). Raises with file and line."""
    return read_curves(content, file, sheet.columns, UNITS)
