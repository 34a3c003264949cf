"""How a vessel heats: its power, the thermal mass of what it heats, the lag of its control, and convection against pressure."""

from __future__ import annotations

from itertools import pairwise
from typing import TYPE_CHECKING

from curewright.read.forms import TEXT, Field, Filled, Form, Kind, items, one_of
from curewright.read.physical import (
    ABSOLUTE,
    CONDUCTANCE,
    CONDUCTANCES,
    ERROR,
    HEAT_CAPACITY,
    NUMBERS,
    PER_PASCAL,
    POWER,
    SECONDS,
    physical,
)
from curewright.terms.cycle import Convection, VesselHeat
from curewright.terms.errors import FileError

if TYPE_CHECKING:
    from curewright.text.yaml import Node

STRAIGHT = Form(
    "a straight line",
    "Convection a + b p against absolute pressure p.",
    (
        Field("a", physical(CONDUCTANCES, 0.0, 1e4, "20.1 W/m2/K"), "at no pressure"),
        Field("b", physical(PER_PASCAL, 0.0, 1.0, "9.3e-5 W/m2/K/Pa"), "more for each pascal of absolute pressure"),
    ),
)
POWER_LAW = Form(
    "a power law",
    "Convection h0 (p / p0)^n against absolute pressure p.",
    (
        Field("h0", CONDUCTANCE, "at the pressure p0"),
        Field("p0", ABSOLUTE, "an absolute pressure"),
        Field(
            "n", physical(NUMBERS, 0.0, 1.0, "0.7"), "the exponent; 0.5 (laminar) to 0.8 (turbulent plate) in textbooks"
        ),
    ),
)
POINT = Form(
    "a point of a survey",
    "What was measured at one pressure.",
    (Field("at", ABSOLUTE, "absolute pressure"), Field("was", CONDUCTANCE, "convection")),
)
CONVECTION = Form(
    "the convection of a vessel",
    "How convection depends on pressure at a place whose position factor is 1: one of the three laws.",
    (
        Field("straight", STRAIGHT.kind(), "a straight line", required=False),
        Field("power", POWER_LAW.kind(), "a power law", required=False),
        Field("survey", items(POINT.kind()), "straight between points of a survey", required=False),
        Field("source", TEXT, "where the numbers come from"),
        Field("standard uncertainty", ERROR, "relative, of the whole", required=False),
    ),
)


def _convection(filled: Filled) -> Convection:
    laws = [name for name in ("straight", "power", "survey") if filled[name] is not None]
    if len(laws) != 1:
        raise FileError(
            f"{len(laws)} laws of convection", expected="one of 'straight', 'power' and 'survey'", where=filled.place()
        )
    said = filled[laws[0]]
    source, error = filled["source"], filled["standard uncertainty"]
    if laws[0] == "straight":
        return Convection("straight", (said["a"], said["b"]), source=source, error=error)
    if laws[0] == "power":
        return Convection("power", (said["h0"], said["p0"], said["n"]), source=source, error=error)
    points = tuple((point["at"], point["was"]) for point in said)
    if len(points) < 2 or any(later[0] <= one[0] for one, later in pairwise(points)):
        raise FileError(
            "the points of a survey", expected="two or more, by rising pressure", where=filled.place("survey")
        )
    return Convection("survey", points=points, source=source, error=error)


def _positive(node: Node) -> float:
    found: float = SECONDS.read(node)
    if found < 0:
        raise FileError("a lag below nothing", expected="0 s or more", where=node.place)
    return found


VESSEL_HEAT = Form(
    "a vessel's heating",
    "How the air of a vessel follows its set point.",
    (
        Field("vessel", TEXT, "the vessel"),
        Field("written by", TEXT, "by whose word"),
        Field("gas", one_of("nitrogen", "air"), "what the vessel is filled with"),
        Field("heating", POWER, "the most that it can heat"),
        Field("cooling", POWER, "the most that it can cool"),
        Field("thermal mass", HEAT_CAPACITY, "of gas, walls, tools and load together"),
        Field("control lag", Kind(_positive, SECONDS.schema), "how long the air lags behind its set point"),
        Field("fitted to", TEXT, "the recorded run that lag and powers were fitted to", required=False),
        Field("convection", CONVECTION.kind(_convection), "convection against pressure"),
    ),
)


def read_vessel_heat(content: bytes, file: str) -> VesselHeat:
    """How a vessel heats. Raises with file, line and column."""
    filled = VESSEL_HEAT.of_file(content, file)
    return VesselHeat(
        filled["vessel"], filled["heating"], filled["cooling"], filled["thermal mass"], filled["control lag"],
        filled["gas"], filled["convection"], filled["written by"], file, filled["fitted to"] or "",
    )  # fmt: skip
