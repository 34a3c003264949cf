"""An invented cure of many parts, made in memory: what an autoclave's recorder writes in half a day at one row a second.

Everything here is invented (temperatures, leaks, lags) and the same for the same size: fixed seeds, no clock. A load of
``parts`` parts has six thermocouples and one vacuum transducer a part, and twenty channels of the vessel: 300 channels
for 40 parts.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, datetime
from itertools import pairwise

import numpy as np

from curewright.terms.load import ALWAYS, Assignment, Bag, Load, Part, Vessel
from curewright.terms.run import Channel, Closing, Entry, Run
from curewright.terms.units import unit_named

SECOND = 10**9
HOUR = 3600.0
SENSORS = 6
SOURCES, VALVES, AIRS = 8, 4, 4
AMBIENT = 75.0  # degF
SEGMENTS = ("stand-by", "heat-up", "dwell", "heat-up 2", "soak", "cool-down", "end")
VALVE = ("vacuum", "atmosphere")
# The program: (hour, set point in degF, segment that begins there); linear between. 12 h in all.
PROGRAM = (
    (0.0, 75.0, "stand-by"),
    (1.0, 75.0, "heat-up"),
    (2.3, 270.0, "dwell"),
    (3.8, 270.0, "heat-up 2"),
    (4.7, 350.0, "soak"),
    (7.4, 350.0, "cool-down"),
    (9.4, 100.0, "end"),
    (12.0, 85.0, "end"),
)
PRESSURE = ((0.0, 0.0), (0.55, 0.0), (1.1, 92.0), (10.0, 92.0), (10.6, 0.0), (12.0, 0.0))  # (hour, psi gauge)
VACUUM = ((0.0, 0.0), (0.05, 0.0), (0.25, 27.0), (12.0, 27.0))  # inHg, before venting
VENT, LATE_VENT = 20.0, 33.0  # psi gauge at which the valves are turned; the last valve is late
CLOSED = (18 * 60, 25 * 60)  # the hand entries of the leak checks (s)

# Every part number modulo 40 that has something wrong with it; the others are as they should be.
FAULTS = {
    1: "one thermocouple 13 degF hot",
    2: "coldest hovers at the lower limit of the soak",
    3: "bag leaks",
    4: "cools slowly",
    5: "opens while heating, not deciding",
    6: "the coldest opens in the soak",
    7: "single bad samples",
    8: "scanner lost for five minutes of the soak",
    9: "short excursion inside the allowance",
    10: "heats too fast",
    11: "two excursions beyond the allowance",
    12: "arrives late",
}


@dataclass(frozen=True)
class Size:
    """How much: parts, hours (the program is stretched to them), seconds between rows."""

    parts: int = 40
    hours: float = 12.0
    every: int = 1


@dataclass(frozen=True, eq=False)
class Scenario:
    """A run with its vessel and load."""

    size: Size
    vessel: Vessel
    load: Load
    run: Run

    @property
    def samples(self) -> int:
        """Samples of all channels together."""
        return sum(len(channel.t) for channel in self.run.channels.values())


def scenario(size: Size | None = None) -> Scenario:
    """The invented cure, always the same for one size."""
    size = size or Size()
    clock = _Recorder(size)
    channels = [*_vessel_channels(clock), *(channel for i in range(size.parts) for channel in _part_channels(clock, i))]
    start = datetime(2031, 3, 4, 6, tzinfo=UTC)
    end = int(clock.t[-1])
    run = Run(
        "R-BENCH",
        start,
        "V1",
        {channel.name: channel for channel in channels},
        tuple(_entries(size)),
        Closing("author A", True, end),
    )
    return Scenario(size, Vessel("V1", (), (), ()), _load(size, start), run)


class _Recorder:
    """The rows that the recorder wrote, and how it writes a number."""

    def __init__(self, size: Size) -> None:
        self.size = size
        self.stretch = size.hours / 12.0
        rows = np.arange(0, int(size.hours * HOUR) + 1, size.every, dtype=np.int64)
        absent = (rows > 6.0 * HOUR * self.stretch) & (
            rows < 6.0 * HOUR * self.stretch + 90
        )  # 90 s without rows: joined, no loss
        rows = rows[~absent]
        self.seconds = rows.astype(np.float64)
        self.hours = self.seconds / HOUR / self.stretch  # program hours
        self.t = rows * SECOND
        self.row = np.arange(2, len(rows) + 2, dtype=np.int64)
        self.good = np.zeros(len(rows), dtype=bool)

    def noise(self, seed: int, deviation: float) -> np.ndarray:
        return np.random.default_rng(seed).normal(0.0, deviation, len(self.t))

    def channel(
        self,
        name: str,
        numbers: np.ndarray,
        unit: str,
        *,
        bad: np.ndarray | None = None,
        absent: np.ndarray | None = None,
    ) -> Channel:
        """Numbers at a resolution of 0.1 of their unit."""
        kind = unit_named(unit)
        grains = kind.to_grains(np.rint(numbers * 10.0) / 10.0)
        reference = kind.reference
        if reference == "vacuum":
            grains, reference = -grains, "gauge"
        flags = self.good if bad is None else bad
        columns = (self.t, grains, flags, self.row)
        if absent is not None and absent.any():
            columns = tuple(column[~absent] for column in columns)
        t, v, flags, row = columns
        return Channel(name, kind, "continuous", t, v, flags, v, row, "recorder.csv", "main", reference, (), (), name)

    def states(self, name: str, codes: np.ndarray, labels: tuple[str, ...]) -> Channel:
        v = codes.astype(np.float64)
        return Channel(
            name,
            unit_named("count"),
            "state",
            self.t,
            v,
            self.good,
            v,
            self.row,
            "recorder.csv",
            "main",
            None,
            labels,
            (),
            name,
        )

    def at(self, hour: float) -> float:
        """Seconds of a program hour."""
        return hour * HOUR * self.stretch

    def vented(self, valve: int) -> float:
        """When (program hours) a valve is turned to atmosphere."""
        psi = LATE_VENT if valve == VALVES - 1 else VENT + valve
        return float(np.interp(psi, [p for _, p in PRESSURE[:3]], [h for h, _ in PRESSURE[:3]]))


def _vessel_channels(clock: _Recorder) -> list[Channel]:
    hours = clock.hours
    setpoint = np.interp(hours, [h for h, _, _ in PROGRAM], [f for _, f, _ in PROGRAM])
    codes = np.searchsorted([h for h, _, _ in PROGRAM], hours, side="right") - 1
    labels = np.array([SEGMENTS.index(name) for _, _, name in PROGRAM])
    psi = np.interp(hours, [h for h, _ in PRESSURE], [p for _, p in PRESSURE])
    found = [
        clock.states("SEGMENT", labels[codes], SEGMENTS),
        clock.channel("SETPOINT", setpoint, "degF"),
        clock.channel("P1", psi + clock.noise(11, 0.1), "psi gauge"),
        clock.channel("P2", psi + 0.3 + clock.noise(12, 0.1), "psi gauge"),
    ]
    for k in range(AIRS):
        found.append(
            clock.channel(
                f"AIR{k + 1}", _lagging(clock, 2.0 + 0.3 * k, 2.0 * k - 3.0) + clock.noise(20 + k, 0.3), "degF"
            )
        )
    for k in range(VALVES):
        found.append(clock.states(f"VALVE{k + 1}", (hours >= clock.vented(k)).astype(int), VALVE))
    for k in range(SOURCES):
        found.append(
            clock.channel(f"SRC{k + 1}", _vacuum(clock, k % VALVES, 1.0) + clock.noise(30 + k, 0.05), "inHg of vacuum")
        )
    return found


def _vacuum(clock: _Recorder, valve: int, extra: float) -> np.ndarray:
    """Vacuum of a line that is vented over a minute and a half when its valve is turned."""
    drawn = np.interp(clock.hours, [h for h, _ in VACUUM], [v for _, v in VACUUM])
    drawn = np.where(drawn > 0, drawn + extra, 0.0)
    vented = clock.vented(valve)
    return drawn * np.interp(clock.hours, [vented + 0.02, vented + 0.045], [1.0, 0.0])


def _lagging(clock: _Recorder, minutes: float, offset: float, slow: float = 1.0) -> np.ndarray:
    """First-order answer, with a time constant in minutes, to the program (closed form on each of its straight pieces)."""
    x = AMBIENT
    found = np.empty(len(clock.hours))
    points = [(h, f + (offset if f > AMBIENT else 0.0)) for h, f, _ in PROGRAM]
    for (h0, u0), (h1, u1) in pairwise(points):
        tau = minutes / 60.0 * (slow if h0 >= 7.4 else 1.0)
        rate = (u1 - u0) / (h1 - h0)
        inside = (clock.hours >= h0) & (clock.hours <= h1)
        since = clock.hours[inside] - h0
        found[inside] = u0 + rate * (since - tau) + (x - u0 + rate * tau) * np.exp(-since / tau)
        x = u0 + rate * (h1 - h0 - tau) + (x - u0 + rate * tau) * np.exp(-(h1 - h0) / tau)
    return found


def _part_channels(clock: _Recorder, part: int) -> list[Channel]:
    fault = FAULTS.get(part % 40, "")
    found = [_thermocouple(clock, part, k, fault) for k in range(SENSORS)]
    found.append(_bag(clock, part, fault))
    return found


def _thermocouple(clock: _Recorder, part: int, k: int, fault: str) -> Channel:
    rng = np.random.default_rng(1000 + part * SENSORS + k)
    lag, offset = 5.0 + 1.3 * k + rng.uniform(0.0, 1.0), 3.0 - 0.9 * k + rng.uniform(-0.5, 0.5)
    if fault.startswith("heats") and k == 0:
        lag, offset = 0.4, 4.0
    if fault.startswith("arrives"):
        lag += 21.0
    numbers = _lagging(clock, lag, offset, 9.0 if fault.startswith("cools") else 1.0)
    wave = np.random.default_rng(5000 + part * SENSORS + k).uniform(0, 6.28)
    numbers = numbers + 0.4 * np.sin(clock.seconds / 700.0 + wave) + clock.noise(9000 + part * SENSORS + k, 0.12)
    hot = clock.hours > 4.7
    if fault.startswith("one thermocouple") and k == 2:
        numbers = numbers + 13.0 * hot * np.clip((clock.hours - 4.7) / 0.5, 0, 1) * np.clip(
            (7.4 - clock.hours) / 0.2, 0, 1
        )
    if fault.startswith("coldest hovers") and k == SENSORS - 1:
        numbers = numbers - 9.0 * np.clip((clock.hours - 3.8) / 0.9, 0, 1)
    for at, minutes, by in _bumps(fault, k):
        numbers = numbers + by * (np.abs(clock.seconds - clock.at(at)) <= minutes * 30.0)
    bad, absent = _doubts(clock, k, fault)
    return clock.channel(f"TC{part:03d}-{k + 1}", numbers, "degF", bad=bad, absent=absent)


def _bumps(fault: str, k: int) -> list[tuple[float, float, float]]:
    """(hour, minutes, degF): short excursions of one thermocouple."""
    if k != 1:
        return []
    if fault.startswith("short excursion"):
        return [(6.5, 1.4, 11.0)]
    return [(6.4, 1.5, 11.0), (6.8, 3.0, 12.0)] if fault.startswith("two excursions") else []


def _doubts(clock: _Recorder, k: int, fault: str) -> tuple[np.ndarray | None, np.ndarray | None]:
    """(bad samples, absent rows) of a thermocouple."""
    seconds = clock.seconds
    if fault.startswith("opens") and k == 2:
        return seconds >= clock.at(1.9), None
    if fault.startswith("the coldest opens") and k == SENSORS - 1:
        return seconds >= clock.at(5.8), None
    if fault.startswith("single bad") and k in (0, 3):
        return np.isin(np.arange(len(seconds)), [len(seconds) // 5 + 7 * k, len(seconds) // 2]), None
    if fault.startswith("scanner"):
        return None, (seconds > clock.at(5.5)) & (seconds < clock.at(5.5) + 300.0)
    return None, None


def _bag(clock: _Recorder, part: int, fault: str) -> Channel:
    drawn = _vacuum(clock, part % VALVES, 0.0)
    minutes = np.clip((clock.seconds - CLOSED[0]) / 60.0, 0.0, (CLOSED[1] - CLOSED[0]) / 60.0)
    after = np.clip((clock.seconds - CLOSED[1]) / 60.0, 0.0, 1.0)
    leak = 1.2 if fault.startswith("bag leaks") else 0.1 + 0.01 * (part % 7)
    lost = leak * minutes * (1.0 - after)
    return clock.channel(
        f"BAG{part:03d}", np.maximum(drawn - lost, 0.0) + clock.noise(700 + part, 0.05), "inHg of vacuum"
    )


def _entries(size: Size) -> list[Entry]:
    """The hand entries: each bag's source closed and opened again."""
    start, end = (at * SECOND for at in CLOSED)
    return [
        Entry("source closed", f"B{i:03d}", start, end, 0, "inspector B", file="entries.yaml", line=3 + i)
        for i in range(size.parts)
    ]


def _load(size: Size, start: datetime) -> Load:
    def line(channel: str, role: str, thing: str) -> Assignment:
        return Assignment(channel, channel, role, thing, "", -ALWAYS, ALWAYS, "operator A")

    lines = [
        line("P1", "vessel pressure", "V1"),
        line("P2", "information only", "V1"),
        line("SEGMENT", "set point", "V1"),
    ]
    lines += [line("SETPOINT", "other", "V1"), *(line(f"AIR{k + 1}", "air", "V1") for k in range(AIRS))]
    parts, bags = [], []
    for i in range(size.parts):
        serial, bag = f"S{i:03d}", f"B{i:03d}"
        lines += [line(f"TC{i:03d}-{k + 1}", "judging", serial) for k in range(SENSORS)]
        lines += [line(f"BAG{i:03d}", "bag transducer", bag), line(f"SRC{i % SOURCES + 1}", "source", bag)]
        lines.append(line(f"VALVE{i % VALVES + 1}", "source valve", bag))
        parts.append(Part(serial, "PN-1", "A", "L1", bag, f"T{i:03d}", "EX-BENCH", "A"))
        bags.append(Bag(bag, ("1", "2")))
    return Load("R-BENCH", "V1", start, tuple(parts), tuple(bags), tuple(lines))
