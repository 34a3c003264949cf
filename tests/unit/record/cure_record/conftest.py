"""Papers made by hand: a small load with everything that a record has to tell and the demo does not have."""

from dataclasses import replace
from datetime import date
from decimal import Decimal

import numpy as np
import pytest

from curewright.record.cure_record.papers import Papers, Print
from curewright.record.manifest import filed
from curewright.record.verdicts import Document
from curewright.terms.load import Bag, Calibration, Concession, Correction, Load, Port, Recorder, Sensor, Vessel
from curewright.terms.requirement import Limits
from curewright.terms.run import (
    Channel,
    Counted,
    Entry,
    FileRead,
    Flag,
    RecorderClock,
    Recording,
    Run,
)
from curewright.terms.units import UNITS, Quantity, unit_named

MINUTE = 60 * 10**9


def a_channel(name: str, **more: object) -> Channel:
    t = np.arange(5, dtype=np.int64) * MINUTE
    v = np.array([300.0, 301.0, 302.0, 303.0, 304.0]) * 1e6
    base = {
        "name": name,
        "unit": UNITS["degC"],
        "kind": "continuous",
        "t": t,
        "v": v,
        "bad": np.zeros(5, bool),
        "raw": v,
        "row": np.arange(5) + 7,
    }
    return Channel(**(base | more))  # type: ignore[arg-type]


@pytest.fixture
def papers(document: Document, load: Load, run: Run) -> Papers:
    """The judgement of the folder above, with two recorders, flags, an overdue certificate and a concession."""
    difference = UNITS["degC"].difference()
    vessel = Vessel(
        name="A2",
        sensors=(
            Sensor(
                "TC7", "CH7", "temperature", "K", "special", "W-118",
                corrections=(
                    Correction(_quantity("0.4", difference), "C-118", date(2026, 1, 1), date(2026, 12, 31), "wire roll"),
                    Correction(_quantity("0.9", difference), "C-077", date(2025, 1, 1), date(2025, 12, 31), "wire roll"),
                ),
                calibration=Calibration("C-118", date(2026, 3, 28), _quantity("1.1", difference)),
            ),
        ),
        ports=(Port("12", "thermocouple", "TC7"),),
        recorders=(Recorder("REC-1", calibration=Calibration("C-100", date(2026, 3, 29))),),
    )  # fmt: skip
    part = replace(
        load.parts[0],
        attributes=(("customer", "customer A"), ("thickness", _quantity("2.9", unit_named("mm")))),
        concessions=(Concession("4.7", "band", Limits(written="at least 338 degF"), "concession 12"),),
        earlier_runs=("R-0399.json",),
    )
    clock = RecorderClock(145 * 10**9, 0, 3 * 10**9, "TC7 seen by both", drift="12", standard=10**9)
    filled = replace(
        run,
        channels={"CH7": a_channel("CH7", flags=(Flag("run-up", 3 * MINUTE, 4 * MINUTE, "rises 400 degC in 2 s"),), recorder="REC-1")},
        entries=(Entry("alarm", "run", 2 * MINUTE, None, 10**9, "operator B", text="bag 1 low", file="entries.yaml", line=9),),
        recordings=(
            Recording("REC-1", ("log.csv",), 0, 4 * MINUTE, MINUTE, gaps=((MINUTE, 2 * MINUTE),)),
            Recording("REC-2", ("second.csv",), 0, 4 * MINUTE, MINUTE, clock=clock, notes=("disagrees by 0.4 K at +0:02:00",)),
        ),
        reading=(
            FileRead(
                "log.csv", "0" * 64, 99, "cp1252", 5, "layout.yaml", "engineer C", "ab" * 32, "REC-1",
                counted=(
                    Counted("cut off at the end of the file", "rows", 1, (12,), left_out=True),
                    Counted(
                        "lines that the layout leaves out", "rows", 2, (31, 40), left_out=True,
                        texts=("2031-03-04 21:45,176.3", "2031-03-04 21:46,1…"),
                    ),
                    Counted("open code", "cells", 20, tuple(range(3, 13)), ("CH7",)),
                ),
            ),
        ),
    )  # fmt: skip
    ruled = document | {
        "rulings": [
            {
                "kind": "set aside", "sensor": "TC8", "from": document["run"]["start"], "to": None,
                "person": "engineer C", "second": "engineer D", "reason": "cut wire",
            }
        ]
    }  # fmt: skip
    return Papers(
        ruled, "c" * 64, filled, vessel, replace(load, parts=(part,), bags=(Bag("BAG-1", ("V1", "V2")),)), (),
        (filed("log.csv", "recording", b"1,2\n"),), None, "d" * 64, print=Print("letter", "SITE ONLY"),
    )  # fmt: skip


def _quantity(number: str, unit: object) -> Quantity:
    return Quantity(Decimal(number), unit)  # type: ignore[arg-type]
