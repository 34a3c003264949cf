"""A recorded (or predicted) run: channels as arrays in grains, hand entries, how it was closed."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING

from curewright.terms.light import light, made_once
from curewright.terms.units import in_unit

if TYPE_CHECKING:
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

    from curewright.terms.units import Unit


@dataclass(frozen=True)
class Flag:
    """A stretch of a channel that somebody should look at; what is flagged counts like any other sample.

    ``kind``: one of :data:`FLAGS`. ``start``/``end``: first and last instant of it [ns since the start of the run];
    ``end`` None where it lasts to the end of the record. ``text``: a sentence with what was found.
    """

    kind: str
    start: int
    end: int | None
    text: str


FLAGS = ("lost", "dropout", "run-up", "clipped", "frozen", "duplicate")
"""Sensor faults: no good sample to the end; a hole with good samples on both sides; a rise or fall just before a loss;
at an end of the range; constant for longer than its step and its neighbours explain; the same as another channel."""


@dataclass(frozen=True)
class RecorderClock:
    """How far a recorder's clock was ahead of the first recorder's, with what it was found from.

    ``ahead``: ns by which it shows more at the instant ``at`` (ns since the start of the run, first recorder's clock);
    ``drift``: by how much more it gains, in millionths (text, None where not told). ``standard``: standard uncertainty
    [ns], None where a person gave the bound. ``plus_minus``: the bound [ns] that the judge takes everywhere.
    ``how``: the signals it was found from, or what the person says. ``person``: who gave it, '' where estimated.
    """

    ahead: int
    at: int
    plus_minus: int
    how: str
    drift: str | None = None
    standard: int | None = None
    person: str = ""


@dataclass(frozen=True)
class Recording:
    """What one recorder left of a run: its files in the order of time, its silences, and its clock against the first's.

    ``gaps``: from the last instant before to the first after each silence longer than five of its usual intervals [ns since the
    start of the run]. ``clock``: None for the first recorder. ``notes``: joined files, repeated rows, disagreement.
    """

    recorder: str
    files: tuple[str, ...]
    first: int
    last: int
    interval: int
    gaps: tuple[tuple[int, int], ...] = ()
    clock: RecorderClock | None = None
    notes: tuple[str, ...] = ()


@light(frozen=True)
class Written:
    """How the samples of a channel stand in the file: their unit, the labels of its states, and the file (``joined``: further ones,
    each from an instant on).
    """

    unit: Unit
    states: tuple[str, ...]
    file: str
    joined: tuple[tuple[int, str], ...]

    def file_at(self, instant: int) -> str:
        """The file that a sample at an instant stands in."""
        if not self.joined:
            return self.file
        return next((file for first, file in reversed(self.joined) if first <= instant), self.file)


@dataclass(frozen=True, eq=False)
class Channel:
    """One recorder channel, sorted by time.

    t : int64, shape (n,) [ns since the start of the run]; never decreasing, equal instants already resolved (one kept, or bad)
    v : float64, shape (n,) [grains of ``unit.quantity``; corrected]; for a text state channel the index into ``states``
    bad : bool, shape (n,): present but not a value (sentinel, out of range, quality flag, two values for one instant)
    raw : float64, shape (n,): as recorded, before correction (the same array where there is none)
    row : int64, shape (n,): line in the file ``file``, for the evidence
    kind : ``continuous`` (linear between neighbours) or ``state`` (holds until the next sample)
    reference : pressure reference of ``v``: ``absolute`` or ``gauge`` (a vacuum reading is kept as negative gauge)
    second_of : the channel of the first recorder with the same sensor, into whose gaps this one may go ('' for a first one)
    joined : first instant and name of each further file that it was joined from, in the order of time
    flags : stretches that somebody should look at (run-up before an open circuit, clipped, frozen), never removed
    """

    name: str
    unit: Unit
    kind: str
    t: NDArray[np.int64]
    v: NDArray[np.float64]
    bad: NDArray[np.bool_]
    raw: NDArray[np.float64]
    row: NDArray[np.int64]
    file: str = ""
    recorder: str = ""
    reference: str | None = None
    states: tuple[str, ...] = ()
    flags: tuple[Flag, ...] = ()
    recorded_as: str = ""  # the heading in the file
    second_of: str = ""
    joined: tuple[tuple[int, str], ...] = ()
    bridged: NDArray[np.bool_] | None = (
        None  # live: samples after this one were let go; they were recorded without a break
    )

    @made_once
    def written(self) -> Written:
        """How its samples stand in the file."""
        return Written(self.unit, self.states, self.file, self.joined)

    @made_once
    def any_bad(self) -> bool:
        """Whether any of its samples is bad."""
        return bool(self.bad.any())

    def file_at(self, instant: int) -> str:
        """The file that a sample at an instant stands in."""
        return self.written.file_at(instant)


@dataclass(frozen=True)
class Entry:
    """Something a person wrote down: an event at a time, a stretch (``until``), or a reading.

    ``at``/``until`` are ns since the start of the run; ``plus_minus`` is the uncertainty of the time (ns).
    ``thing``: bag, part, sensor or ``run`` it is about. ``value`` in grains with ``unit`` for readings.
    """

    name: str  # event name or kind: 'source closed', 'reading', 'alarm', 'inspection' …
    thing: str
    at: int
    until: int | None
    plus_minus: int
    person: str
    text: str = ""
    value: float | None = None
    unit: Unit | None = None
    value_plus_minus: float | None = None
    gauge: str = ""
    file: str = ""
    line: int = 0

    @property
    def read(self) -> str:
        """What was read, with its unit and its uncertainty: ``26 inHg of vacuum ± 0.5 inHg``; '' where it is no reading.

        >>> from curewright.terms.units import UNITS
        >>> Entry("reading", "TC1", 0, None, 0, "B", value=448e6, unit=UNITS["degC"], value_plus_minus=5e5).read
        '174.85 degC ± 0.5 degC'
        """
        if self.value is None or self.unit is None:
            return ""
        grains = -self.value if self.unit.reference == "vacuum" else self.value
        words = f"{in_unit(grains, self.unit)} {self.unit.name}"
        if self.value_plus_minus is None:
            return words
        by = self.unit.difference()
        return f"{words} ± {in_unit(self.value_plus_minus, by)} {by.name.split()[0]}"


@dataclass(frozen=True)
class Closing:
    """The explicit act that ends a run: by whom, and whether the record covers the whole run."""

    author: str
    covers: bool
    end: int  # ns since the start of the run
    at: str = ""  # RFC 3339, when it was closed


@dataclass(frozen=True)
class Counted:
    """Rows or cells of an export that were left out or flagged for one cause: how many, the first lines, which channels.

    ``left_out``: the rows or cells are not in the run; otherwise they are there as bad samples, or as one sample for several.
    """

    cause: str  # 'cut off at the end of the file', 'open code', …
    of: str  # 'rows' | 'cells'
    count: int
    lines: tuple[int, ...] = ()  # the first few, from 1
    channels: tuple[str, ...] = ()  # for cells
    left_out: bool = False
    texts: tuple[str, ...] = ()  # what stands in those lines, shortened; for rows that were left out


@dataclass(frozen=True)
class FileRead:
    """What was read of one export of a recorder, under which layout, and what was left out or flagged, by cause."""

    file: str
    sha256: str
    size: int  # bytes
    encoding: str
    rows: int  # rows that became samples
    layout: str = ""  # the layout file
    confirmed_by: str = ""  # who confirmed a proposed layout; '' for one that a person wrote
    header: str = ""  # fingerprint of the header: SHA-256 of its names and units
    recorder: str = ""
    counted: tuple[Counted, ...] = ()


@dataclass(frozen=True, eq=False)
class Run:
    """Everything recorded in one run. ``barometer``: local pressure in grains (mPa) and where it is from; None where not
    known.
    """

    number: str
    start: datetime  # with time zone; t = 0
    vessel: str
    channels: dict[str, Channel]
    entries: tuple[Entry, ...] = ()
    closing: Closing | None = None
    barometer: float | None = None
    barometer_from: str = ""
    files: tuple[tuple[str, str], ...] = ()  # (name, sha256)
    notes: tuple[str, ...] = field(default=())
    reading: tuple[FileRead, ...] = ()  # one for each export of a recorder
    recordings: tuple[Recording, ...] = ()  # by recorder, the first one first
