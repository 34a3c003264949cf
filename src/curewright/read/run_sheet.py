"""The run sheet: the number of the run, the files that belong to it, its start, the barometer, and how it was closed."""

from __future__ import annotations

from curewright.read.forms import (
    CLOCK_TIME,
    DURATION,
    FILE,
    PROSE,
    TEXT,
    WRITTEN,
    YES_NO,
    Field,
    Filled,
    Form,
    items,
    one_or_more,
    quantity,
    table,
)
from curewright.text.quantities import Measure

RECORDING = Form(
    "a recording",
    "An export of a recorder, and the layout that it is read by.",
    (Field("file", one_or_more(FILE), "the export, or several of one layout"), Field("layout", FILE, "its layout")),
)
BAROMETER = Form(
    "a barometer reading",
    "The air pressure at the site during the run.",
    (
        Field(
            "reading",
            quantity(Measure("pressure", references=("absolute",)), "99.8 kPa absolute"),
            "what was read, absolute",
        ),
        Field("gauge", TEXT, "the instrument"),
        Field("by", TEXT, "who read it"),
        Field("at", CLOCK_TIME, "when", required=False),
    ),
)
CLOSING = Form(
    "a closing",
    "The explicit act that ends a run.",
    (
        Field("by", TEXT, "who closed it"),
        Field("at", CLOCK_TIME, "when it was closed"),
        Field(
            "covers the whole run", YES_NO, "yes: nothing happens after its end; no: all that comes after is unknown"
        ),
    ),
)
CLOCK = Form(
    "a recorder's clock",
    "How far a recorder's clock was ahead of, or behind, that of the first recorder; estimated from the data where left out.",
    (
        Field("ahead by", DURATION, "how much more it showed", required=False),
        Field("behind by", DURATION, "how much less it showed", required=False),
        Field("plus or minus", DURATION, "the bound of that difference over the whole run"),
        Field("by", TEXT, "who found it"),
        Field("how", PROSE, "how it was found"),
    ),
)
RUN_SHEET = Form(
    "a run sheet",
    "A run: its number, its files, its start and its end.",
    (
        Field("run", TEXT, "the number of the run"),
        Field("vessel", FILE, "the vessel file", required=False),
        Field("load", FILE, "the load sheet", required=False),
        Field("specifications", one_or_more(FILE), "the specification files", required=False),
        Field("recordings", items(RECORDING.kind()), "the exports and their layouts", required=False),
        Field("entries", one_or_more(FILE), "files with hand entries", required=False),
        Field(
            "event logs", items(RECORDING.kind()), "alarm logs and operators' logs, with their layouts", required=False
        ),
        Field("rulings", one_or_more(FILE), "files with rulings", required=False),
        Field("build-up", FILE, "the build-up sheet, for predictions", required=False),
        Field("cycle", FILE, "the planned cycle, for predictions", required=False),
        Field("vessel heat", FILE, "how the vessel heats, for predictions", required=False),
        Field("cards", one_or_more(FILE), "material cards of your own, for predictions", required=False),
        Field("learnt", FILE, "what earlier runs taught about places, for predictions", required=False),
        Field("time zone", WRITTEN, "the zone of the times that people wrote in these files", required=False),
        Field("start", CLOCK_TIME, "when the run started; the first sample where left out", required=False),
        Field("clocks", table(CLOCK.kind()), "the clocks of further recorders, by recorder", required=False),
        Field("barometer", BAROMETER.kind(), "a barometer reading of this run", required=False),
        Field("closing", CLOSING.kind(), "who closed the run; left out while it is open", required=False),
    ),
)


def read_run_sheet(content: bytes, file: str) -> Filled:
    """The run sheet as it was filled in. Raises with file, line and column."""
    return RUN_SHEET.of_file(content, file)


def named_files(sheet: Filled) -> dict[str, tuple[str, ...]]:
    """The names of the files that a run sheet leads to, by what they are; ``logs`` and ``layouts`` go together."""
    recordings = sheet["recordings"] or ()
    return {
        "vessel": (sheet["vessel"],) if sheet["vessel"] else (),
        "load": (sheet["load"],) if sheet["load"] else (),
        "specifications": sheet["specifications"] or (),
        "logs": tuple(file for recording in recordings for file in recording["file"]),
        "layouts": tuple(recording["layout"] for recording in recordings for _ in recording["file"]),
        "entries": sheet["entries"] or (),
        "event logs": tuple(file for log in sheet["event logs"] or () for file in log["file"]),
        "event log layouts": tuple(log["layout"] for log in sheet["event logs"] or () for _ in log["file"]),
        "rulings": sheet["rulings"] or (),
    }
