"""A judgement made by hand: one verdict of each sort that the record has to show."""

from datetime import datetime
from zoneinfo import ZoneInfo

import numpy as np
import pytest

from curewright.record.verdicts import Document, Writer
from curewright.terms.errors import Place
from curewright.terms.finding import Finding
from curewright.terms.load import ALWAYS, Assignment, Load, Part
from curewright.terms.run import Channel, Closing, Counted, FileRead, Flag, RecorderClock, Recording, Run
from curewright.terms.units import UNITS
from curewright.terms.verdict import (
    Bounds,
    Excursion,
    Judgement,
    Margin,
    Outcome,
    Reading,
    Sample,
    SetAside,
    Unknown,
    Verdict,
)

SECOND = 10**9
MINUTE = 60 * SECOND


def a_verdict(outcome: Outcome, clause: str, **more: object) -> Verdict:
    """A verdict on part 00123 with a limit that reads like paper."""
    base = {
        "part": "00123",
        "specification": "EX-1",
        "revision": "C",
        "form": "duration",
        "kind": "duration",
        "thing": "00123",
    }
    return Verdict(
        **(
            base
            | {"clause": clause, "outcome": outcome, "reason": f"reason of {clause}", "limit": "120 +30/-0 min"}
            | more
        )
    )  # type: ignore[arg-type]


@pytest.fixture
def short_soak() -> Verdict:
    """A soak that is 11.3 min too short."""
    return a_verdict(
        Outcome.NOT_MET,
        "4.7",
        margin=Margin("-11.3", "min", 100 * MINUTE + 1, "CH7", "108.7 min", "120 min"),
        phase=Bounds(0, MINUTE, 2 * MINUTE, None, "soak starts", "soak ends"),
        excursions=(Excursion("CH7", MINUTE, 5 * MINUTE, "1.2", "degF", 2 * MINUTE),),
        unknown=(Unknown("CH8", MINUTE, ALWAYS, "lost"),),
        set_aside=(SetAside("CH8", MINUTE, ALWAYS, "rule for lost thermocouples", "open circuit"),),
        used=("CH7",),
        samples=(Sample("CH7", MINUTE, "339.2", "degF", "log.csv", 44),),
        others=(
            Reading("elapsed time", "121 min", Outcome.MET, True),
            Reading("pausing", "109 min", Outcome.NOT_MET, False),
        ),
        notes=("vent inferred from the trace",),
        without_set_aside=Outcome.NOT_SHOWN,
    )


@pytest.fixture
def judgement(short_soak: Verdict) -> Judgement:
    """One verdict of each outcome, the worst not first."""
    margin = Margin("0.3", "degF/min", 3 * MINUTE, "CH7", "4.7 degF/min", "5 degF/min")
    verdicts = (
        a_verdict(Outcome.MET, "4.5", thing="=TC7", margin=margin, allowance_left=(("in all", "2.5 min"),)),
        a_verdict(Outcome.BY_PERSON, "4.10"),
        short_soak,
        a_verdict(Outcome.NOT_SHOWN, "4.8"),
        a_verdict(Outcome.NOT_APPLICABLE, "4.9"),
        a_verdict(Outcome.OPEN, "4.11"),
    )
    roll_up = (("00123", Outcome.NOT_MET),)
    return Judgement(
        1,
        "R-1",
        verdicts,
        roll_up,
        5,
        1,
        0,
        person="operator A",
        at="2026-03-29T09:00:00+02:00",
        program="curewright 0.1.0",
        inputs=(("log.csv", "0" * 64),),
    )


@pytest.fixture
def load() -> Load:
    """One part with one thermocouple on its edge."""
    part = Part("00123", "P-7", "B", "lot 4", "BAG-1", "T-2", "EX-1", "C")
    return Load(
        "R-1",
        "A2",
        None,
        (part,),
        (),
        (Assignment("TC7", "CH7", "judging", "00123", "edge top", 0, ALWAYS, "operator A"),),
    )


@pytest.fixture
def run() -> Run:
    """A run that starts an hour before the clocks go forward (Europe/Berlin, 29 March 2026, 02:00 to 03:00)."""
    start = datetime(2026, 3, 29, 1, 0, tzinfo=ZoneInfo("Europe/Berlin"))
    none, empty = np.empty(0), np.empty(0, np.int64)
    flags = (Flag("lost", MINUTE, None, "no good sample follows in the 9 rows that its recorder still wrote"),)
    flagged = Channel("CH8", UNITS["degF"], "continuous", empty, none, np.empty(0, bool), none, empty, flags=flags)
    clock = RecorderClock(-75 * SECOND, MINUTE, 6 * SECOND, "CH7 recorded by both, at 40 instants", "12.5", 2 * SECOND)
    recordings = (
        Recording("main", ("log.csv",), 0, 420 * MINUTE, 30 * SECOND, ((MINUTE, 9 * MINUTE),)),
        Recording("backup", ("b1.csv", "b2.csv"), 0, 99 * MINUTE, MINUTE, clock=clock, notes=("2 files joined",)),
    )
    closing = Closing("operator A", True, 420 * MINUTE)
    counted = (
        Counted("no time in it", "rows", 2, (9, 11), left_out=True),
        Counted("open code", "cells", 39, (44,), ("CH8",)),
        Counted("open code", "cells", 1, (45,), ("CH7",)),
    )
    reading = (
        FileRead("log.csv", "0" * 64, 900, "utf-8", 841, counted=counted),
        FileRead("b1.csv", "1" * 64, 9, "utf-8", 1),
    )
    return Run("R-1", start, "A2", {"CH8": flagged}, closing=closing, recordings=recordings, reading=reading)


@pytest.fixture
def document(judgement: Judgement, load: Load, run: Run) -> Document:
    """The document of the judgement, with one traceability finding."""
    finding = Finding(
        "port used twice", "12", "port 12 stands at BAG-1 and BAG-2.", (Place("load.yaml", 4, 9),), ("BAG-2",)
    )
    return Writer(judgement, (), load, run).document(findings=(finding,))
