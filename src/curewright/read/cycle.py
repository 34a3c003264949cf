"""The planned cycle: segments of the air's set point, the vessel's pressure, the vacuum in the bags and their vent."""

from __future__ import annotations

from curewright.read.forms import TEXT, Field, Filled, Form, items
from curewright.read.physical import HEATING, PRESSING, SECONDS, TEMPERATURE, gauge
from curewright.terms.cycle import Cycle, Segment
from curewright.terms.errors import FileError

PRESSURE = gauge("6 bar gauge", "85 psi gauge")
SEGMENT = Form(
    "a segment",
    "A ramp (to, at) or a hold (hold) of the air's set point.",
    (
        Field("name", TEXT, "the name that the controller shows"),
        Field("to", TEMPERATURE, "where a ramp goes", required=False),
        Field("at", HEATING, "how fast it goes there", required=False),
        Field("hold", SECONDS, "how long a hold lasts", required=False),
        Field(
            "counted from the coldest at",
            TEMPERATURE,
            "count the hold from when the coldest judging thermocouple is there; from its start where left out",
            required=False,
        ),
        Field("at the longest", SECONDS, "end such a hold after so long anyhow", required=False),
        Field(
            "pressure to",
            PRESSURE,
            "where the vessel's pressure goes from the start of this segment on",
            required=False,
        ),
        Field("pressure at", PRESSING, "how fast", required=False),
    ),
)
BEGINNING = Form(
    "a beginning",
    "What holds when the cycle starts.",
    (
        Field("air", TEMPERATURE, "temperature of the air"),
        Field("pressure", PRESSURE, "pressure in the vessel"),
        Field("vacuum", gauge("22 inHg of vacuum"), "vacuum in the bags"),
    ),
)


def _segment(filled: Filled) -> Segment:
    ramp, hold = filled["to"] is not None, filled["hold"] is not None
    if ramp == hold or (ramp and filled["at"] is None) or (hold and filled["at"] is not None):
        raise FileError(
            f"segment {filled['name']} is neither a ramp nor a hold",
            expected="'to: 180 degC' with 'at: 2 degC/min', or 'hold: 120 min'",
            where=filled.place(),
        )
    if (filled["pressure to"] is None) != (filled["pressure at"] is None):
        raise FileError(
            "a pressure goes somewhere at some rate", expected="'pressure to' and 'pressure at'", where=filled.place()
        )
    counted, longest = filled["counted from the coldest at"], filled["at the longest"]
    if (counted is None) != (longest is None) or (counted is not None and ramp):
        raise FileError(
            "a hold that waits for a thermocouple",
            expected="a hold with 'counted from the coldest at' and 'at the longest'",
            where=filled.place(),
            remedy="state both, so that a thermocouple that never gets there does not hold the prediction for ever",
        )
    return Segment(
        filled["name"], filled["to"], filled["at"], filled["hold"], counted, longest,
        filled["pressure to"], filled["pressure at"], filled.line,
    )  # fmt: skip


CYCLE = Form(
    "a cycle",
    "A planned cycle.",
    (
        Field("cycle", TEXT, "its name"),
        Field("revision", TEXT, "its revision"),
        Field("written by", TEXT, "by whose word"),
        Field("at the start", BEGINNING.kind(), "what holds when it starts"),
        Field("segments", items(SEGMENT.kind(_segment)), "ramps and holds in their order"),
        Field(
            "bags vented at",
            PRESSURE,
            "the vessel pressure at which the bags are vented; never where left out",
            required=False,
        ),
    ),
)


def read_cycle(content: bytes, file: str) -> Cycle:
    """A planned cycle. Raises with file, line and column."""
    filled = CYCLE.of_file(content, file)
    start = filled["at the start"]
    if not filled["segments"]:
        raise FileError("a cycle without segments", expected="at least one", where=filled.place("segments"))
    if start["vacuum"] > 0:
        raise FileError(
            "the vacuum is a pressure above the atmosphere", expected="'22 inHg of vacuum'", where=start.place("vacuum")
        )
    return Cycle(
        filled["cycle"], filled["revision"], filled["written by"], filled["segments"],
        start["air"], start["pressure"], start["vacuum"], filled["bags vented at"], file,
    )  # fmt: skip
