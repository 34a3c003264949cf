"""What one export of the torture set is: its bytes, what a person answers, and what has to come out.

Nothing here imports the program: expected instants come from the calendar of the standard library, expected values are the decimal
text that the generator wrote, before it was given commas, codes, scales and separators.
"""

import csv
import zlib
from collections.abc import Callable, Iterable
from dataclasses import dataclass, field
from datetime import UTC, datetime, timedelta, timezone
from pathlib import Path

import numpy as np

HERE = Path(__file__).parent
CET = timezone(timedelta(hours=1))
START = datetime(2031, 3, 4, 21, 40, tzinfo=CET)
SECOND = 10**9


class Bad(str):
    """A cell that is there and is no value: what stands in the file (a code, or nothing where blank means lost)."""

    __slots__ = ()


Cell = str | None  # a value as decimal text, a Bad one, or None: not sampled


@dataclass(frozen=True)
class Track:
    """One channel as it has to come out: instants in ns since 1970 UTC; decimal text in ``unit``, a state, or None where bad."""

    unit: str  # as docs/units.md names it; '' for a state in words
    kind: str
    samples: tuple[tuple[int, str | None], ...]


@dataclass(frozen=True)
class Answers:
    """What a person who knows the recorder says. Keys are headings (or tags) as they stand in the export."""

    units: dict[str, str] = field(default_factory=dict)  # left out: not stated
    states: tuple[
        str, ...
    ] = ()  # headings of channels that hold until the next sample; in words unless they have a unit
    channels: dict[str, str] = field(default_factory=dict)  # the channel's name where it is not the heading
    zone: str = "Europe/Berlin"
    blank: str = "not sampled"
    codes: tuple[str, ...] = ()
    not_read: tuple[str, ...] = ()
    more: dict[str, object] = field(
        default_factory=dict
    )  # 'day order', 'decimal sign', 'start', 'date', 'scale', 'sheet', …


@dataclass(frozen=True)
class Case:
    """``files`` in the order in which they were written; ``confirmed_on`` is the export that the layout was confirmed on, if another."""

    name: str
    what: str
    files: tuple[tuple[str, bytes], ...]
    answers: Answers
    tracks: dict[str, Track]
    set_aside: dict[str, int]  # rows that are no samples, by why: header, footer, unfinished, doubled
    confirmed_on: bytes | None = None
    module: str = ""


CASES: dict[str, Callable[[], Case]] = {}


def case(build: Callable[[], Case]) -> Callable[[], Case]:
    """Register a function as the case of its name; its docstring says what is odd about the export."""
    name = build.__name__.replace("_", "-").removeprefix("case-")
    assert name not in CASES, name

    def named() -> Case:
        made = build()
        return Case(
            name,
            (build.__doc__ or "").strip(),
            made.files,
            made.answers,
            made.tracks,
            made.set_aside,
            made.confirmed_on,
        )

    CASES[name] = named
    return build


def refused() -> dict[str, tuple[str, str]]:
    """The cases that have to be refused: the words of which one has to stand in the message, and the reason."""
    with (HERE / "refused.csv").open(encoding="utf-8", newline="") as file:
        return {row["case"]: (row["cause"], row["reason"]) for row in csv.DictReader(file)}


# -------------------------------------------------------------------------------------------------------------------- the truth
@dataclass
class Truth:
    """What was really recorded: instants and, for each channel, a cell per instant."""

    times: list[int]
    cells: dict[str, list[Cell]]
    units: dict[str, str]
    states: tuple[str, ...] = ()

    def tracks(self, names: dict[str, str] | None = None) -> dict[str, Track]:
        """The channels, each under its name (the heading where ``names`` has none)."""
        return {
            (names or {}).get(key, key): Track(
                self.units.get(key, ""),
                "state" if key in self.states else "continuous",
                tuple(
                    (t, None if isinstance(cell, Bad) else cell)
                    for t, cell in zip(self.times, cells, strict=True)
                    if cell is not None
                ),
            )
            for key, cells in self.cells.items()
        }

    def answers(self, **other: object) -> Answers:
        """The answers of somebody who knows all of it."""
        more = {"units": dict(self.units), "states": self.states} | other
        return Answers(**more)  # type: ignore[arg-type]

    def rows(self, times: Iterable[str], sign: str = ".") -> list[list[str]]:
        """Rows of texts: the time's, then one for each channel."""
        columns = [[written(cell, sign) for cell in cells] for cells in self.cells.values()]
        return [[time, *row] for time, *row in zip(times, *columns, strict=True)]

    def case(self, *contents: bytes, suffix: str = "csv", answers: Answers | None = None, **other: object) -> Case:
        """A case of these contents."""
        files = tuple((f"export-{i + 1}.{suffix}", content) for i, content in enumerate(contents))
        stated = answers or self.answers()
        tracks = other.pop("tracks", None) or self.tracks(stated.channels)
        aside = other.pop("set_aside", {})
        return Case("", "", files, stated, tracks, aside, **other)  # type: ignore[arg-type]


UNITS = {
    "TC1": "degC", "TC2": "degC", "TC3": "degC", "Air": "degC", "Press": "bar gauge", "Vac": "mbar absolute",
}  # fmt: skip


def truth(seed: str, *channels: str, n: int = 12, step: float = 10, start: datetime = START) -> Truth:
    """A short piece of a cure, seeded by the case's name: temperatures with one decimal, pressures with two."""
    generator = np.random.default_rng(zlib.crc32(seed.encode()))
    times = [nanoseconds(start) + round(i * step * SECOND) for i in range(n)]
    names = channels or ("TC1", "TC2", "Air", "Press")
    cells = {name: _course(generator, name, n) for name in names}
    return Truth(times, cells, {name: UNITS[name] for name in names if name in UNITS})


def _course(generator: np.random.Generator, name: str, n: int) -> list[Cell]:
    noise = generator.integers(-4, 5, n)
    if name == "Press":
        return [f"{(max(0, 3 * i + k)) / 100:.2f}" for i, k in enumerate(noise.tolist())]
    if name == "Vac":
        return [f"{60 + 10 * k + i:d}" for i, k in enumerate(abs(noise).tolist())]
    base = int(generator.integers(195, 240))
    return [f"{(base + 7 * i + k) / 10:.1f}" for i, k in enumerate(noise.tolist())]


def nanoseconds(moment: datetime) -> int:
    """ns since 1970 UTC."""
    since = moment - datetime(1970, 1, 1, tzinfo=UTC)
    return (since // timedelta(microseconds=1)) * 1000


def local(ns: int, zone: timezone = CET) -> datetime:
    """An instant as the recorder's clock shows it."""
    return (datetime(1970, 1, 1, tzinfo=UTC) + timedelta(microseconds=ns // 1000)).astimezone(zone)


def clock(made: Truth, form: str = "%Y-%m-%d %H:%M:%S", zone: timezone = CET) -> list[str]:
    """The times of a truth as texts."""
    return [local(t, zone).strftime(form) for t in made.times]


# ------------------------------------------------------------------------------------------------------------------ the writing
def written(cell: Cell, sign: str = ".") -> str:
    """A cell as it stands in the file; the decimal sign is put into values only, never into codes."""
    if cell is None:
        return ""
    return str(cell) if isinstance(cell, Bad) else cell.replace(".", sign)


def lines(*rows: Iterable[str], separator: str = ",", end: str = "\n", last: bool = True) -> str:
    """Rows to text; ``last``: whether the last line has its end, too."""
    text = end.join(separator.join(row) for row in rows)
    return text + end if last else text
