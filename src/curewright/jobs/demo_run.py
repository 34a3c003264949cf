"""The demo's recorder: seven hours of an invented load, computed with a small lumped model of its own (nothing of the judge in it).

Each place on a part is one lump that follows the gas with its own time constant (first-order lag, common practice, no source); the gas
follows the set point with another. Bags hold vacuum until they are vented; one leaks under pressure, one thermocouple opens. Noise comes
from a fixed seed, and every reading is rounded to what the recorder resolves, so the export is the same on every machine.
"""

from __future__ import annotations

import itertools
from dataclasses import dataclass
from datetime import datetime, timedelta
from random import Random

STEP = 10  # s, of the model
EVERY = 30  # s, of the recorder
END = 420 * 60  # s
START = datetime(2026, 3, 4, 5, 40)  # the recorder writes local time
SET_POINT = (
    (0, 21.0),
    (22, 21.0),
    (86.5, 150.0),
    (152, 150.0),
    (167, 180.0),
    (293, 180.0),
    (368, 45.0),
    (420, 45.0),
)  # min, degC
PRESSURE = ((0, 0.0), (24, 0.0), (55, 6.3), (402, 6.3), (414, 0.0), (420, 0.0))  # min, bar gauge
SEGMENTS = (
    (0, "vacuum"),
    (22, "heat"),
    (86.5, "dwell"),
    (152, "heat on"),
    (167, "soak"),
    (293, "cool"),
    (402, "release"),
)
CHECK = (10.0, 16.0)  # min: the sources are closed for the leak check
VENT = 32.0  # min: the bag valves are turned to atmosphere
OPENS = ("TC03", 243.0)  # min; hottest of its part then: the rule for lost ones may not always set it aside
LEAKY_BAG = "BAG-3"


@dataclass(frozen=True)
class Lump:
    """A thermocouple: time constant against the gas [min] and a fixed error [K]."""

    name: str
    lag: float
    error: float


# Three places on each of four parts: the light tools follow the gas, the heavy tool of the second part does not.
LUMPS = (
    Lump("TC01", 8.2, -0.3), Lump("TC02", 7.6, 0.1), Lump("TC03", 7.0, 0.5),
    Lump("TC04", 19.5, 0.0), Lump("TC05", 17.0, -0.2), Lump("TC06", 14.0, 0.2),
    Lump("TC07", 8.6, -0.1), Lump("TC08", 8.0, 0.0), Lump("TC09", 7.4, 0.1),
    Lump("TC10", 10.0, 0.1), Lump("TC11", 9.4, -0.2), Lump("TC12", 8.8, 0.2),
)  # fmt: skip
BAGS = {"BAG-1": 0.10, "BAG-2": 0.16, "BAG-3": 0.30, "BAG-4": 0.12}  # loss with the source closed [inHg/min]
MBAR_PER_INHG = 33.86389


def between(points: tuple[tuple[float, float], ...], minute: float) -> float:
    """A value on a line through points (minute, value)."""
    for (t0, v0), (t1, v1) in itertools.pairwise(points):
        if minute <= t1:
            return v0 + (v1 - v0) * (minute - t0) / (t1 - t0)
    return points[-1][1]


def temperatures() -> list[dict[str, float]]:
    """Gas and thermocouples [degC] at every step of the recorder."""
    state = {"gas": 21.0} | {lump.name: 21.0 for lump in LUMPS}
    rows = []
    for second in range(0, END + 1, STEP):
        if second % EVERY == 0:
            rows.append(dict(state))
        gas = state["gas"]
        state["gas"] += (between(SET_POINT, second / 60) - gas) * STEP / (2.0 * 60)
        for lump in LUMPS:
            state[lump.name] += (gas - state[lump.name]) * STEP / (lump.lag * 60)
    return rows


def bag_pressure(bag: str, minute: float) -> float:
    """Pressure in a bag against the atmosphere [mbar gauge]: pumped down, closed for the check, vented, and one of them leaking."""
    pumped = -880.0 * min(1.0, minute / 4.0)
    if CHECK[0] <= minute < CHECK[1]:
        return pumped + BAGS[bag] * MBAR_PER_INHG * (minute - CHECK[0])
    if minute >= VENT:
        vented = -880.0 * max(0.0, 1.0 - (minute - VENT) / 1.5)
        return vented + (_leak(minute) if bag == LEAKY_BAG else 12.0)
    return pumped


def _leak(minute: float) -> float:
    """What the vent line cannot carry away once the bag has torn (minute 118), in step with the vessel's pressure [mbar]."""
    opened = min(1.0, max(0.0, (minute - 118.0) / 20.0))
    return 12.0 + 620.0 * opened * between(PRESSURE, minute) / 6.3


def source_pressure(minute: float) -> float:
    """Pressure in the source line [mbar gauge]: the pump's until the vent, then the atmosphere's."""
    return -890.0 * min(1.0, minute / 3.0) if minute < VENT else -890.0 * max(0.0, 1.0 - (minute - VENT) / 0.5)


def valve(minute: float) -> str:
    """Where the vent valve of a bag stands."""
    return "atmosphere" if minute >= VENT else "source"


def segment(minute: float) -> str:
    """The segment of the set point program."""
    return [name for start, name in SEGMENTS if minute >= start][-1]


def columns() -> list[tuple[str, str]]:
    """The columns of the export: heading, and the unit in the row below."""
    return [
        ("Time", ""), ("Segment", ""), ("Set point", "degC"), ("Air 1", "degC"), ("Air 2", "degC"), ("Vessel", "bar gauge"),
        *((lump.name, "degC") for lump in LUMPS),
        *((f"{bag} pressure", "mbar gauge") for bag in BAGS),
        *((f"{bag} source", "mbar gauge") for bag in BAGS),
        *((f"{bag} valve", "") for bag in BAGS),
    ]  # fmt: skip


def export() -> str:
    """The recorder's file: a preamble of three lines, headings, a row of units, one row every 30 s."""
    noise = Random(20260304)
    lines = [
        "INVENTED DEMO DATA - no vessel, no part and no person of this file exists",
        "Recorder: REC-1",
        "Run: DEMO-1",
    ]
    lines.extend(",".join(cells) for cells in zip(*columns(), strict=True))
    lines.extend(_row(index, state, noise) for index, state in enumerate(temperatures()))
    return "\r\n".join(lines) + "\r\n"


def _row(index: int, state: dict[str, float], noise: Random) -> str:
    minute = index * EVERY / 60
    cells = [(START + timedelta(seconds=index * EVERY)).strftime("%Y-%m-%d %H:%M:%S"), segment(minute)]
    cells.append(f"{between(SET_POINT, minute):.1f}")
    cells += [f"{state['gas'] + offset + noise.gauss(0, 0.15):.1f}" for offset in (0.4, -0.3)]
    cells.append(f"{max(0.0, between(PRESSURE, minute) + noise.gauss(0, 0.008)):.2f}")
    cells += [_thermocouple(lump, minute, state[lump.name], noise) for lump in LUMPS]
    cells += [f"{bag_pressure(bag, minute) + noise.gauss(0, 1.0):.0f}" for bag in BAGS]
    cells += [f"{source_pressure(minute) + noise.gauss(0, 1.0):.0f}" for _ in BAGS]
    cells += [valve(minute) for _ in BAGS]
    return ",".join(cells)


def _thermocouple(lump: Lump, minute: float, temperature: float, noise: Random) -> str:
    reading = temperature + lump.error + noise.gauss(0, 0.12)
    return "OPEN" if lump.name == OPENS[0] and minute >= OPENS[1] else f"{reading:.1f}"
