"""A run that is still growing: a fold that takes samples as they come and can be judged at any time.

Samples go into a buffer; that is all that happens on a tick. Between ticks, from time to time,
the buffer is folded into what is kept, and of what is kept everything is let go that can no longer matter
(``letting_go``). Judging what is kept gives the verdicts of the whole log, however it was cut into pieces. An outcome
settles when no continuation could change it; while a run is open, time advances to the oldest 'last known' of its
channels, and a silent channel holds it back at most the largest gap.
"""

from __future__ import annotations

from dataclasses import dataclass, field, replace
from typing import TYPE_CHECKING, Any

import numpy as np

from curewright.judge.ceiling import GivenUp, check_same_run
from curewright.judge.judge import hall_of, judge_part, largest_gap, looked_at, roll_up, scene_for
from curewright.judge.letting_go import each_that_matters
from curewright.judge.scene import Options
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Iterator, Sequence

    from numpy.typing import NDArray

    from curewright.judge.scene import Hall, Scene
    from curewright.judge.steep import Windows
    from curewright.physics.card import Card
    from curewright.terms.load import Load, Ruling, Vessel
    from curewright.terms.requirement import Specification
    from curewright.terms.run import Channel, Closing, Entry, Run
    from curewright.terms.verdict import Outcome, Verdict

CHUNK = (
    256  # rows of a piece of buffer; a full one is put aside as it is and a new one begun, so that no tick ever copies
)
FREED = 64  # pieces of what a judgement remembered that are freed in a slice
FOLD_AT = 2048  # buffered rows from which on folding is due


Piece = tuple["NDArray[np.int64]", "NDArray[np.float64]", "NDArray[np.bool_]"]


class LateDataError(CurewrightError):
    """Samples that are not later than what is already there: the sorted log has to be judged anew."""


@dataclass(eq=False)
class Table:
    """The channels that one recorder writes together, row by row: a buffer of rows not yet folded, in full pieces and one
    that is being filled.
    """

    names: tuple[str, ...]
    t: NDArray[np.int64]
    v: NDArray[np.float64]
    bad: NDArray[np.bool_]
    rows: int = 0  # in the piece that is being filled
    seen: int = 0
    full: list[Piece] = field(default_factory=list)
    spare: list[Piece] = field(default_factory=list)  # emptied ones: fresh memory costs a tick more than writing does

    @classmethod
    def of(cls, names: Sequence[str]) -> Table:
        """An empty table."""
        return cls(tuple(names), *_room(len(names)))

    @property
    def waiting(self) -> int:
        """How many rows wait to be folded."""
        return CHUNK * len(self.full) + self.rows

    def put_aside(self) -> None:
        """Begins a new piece."""
        self.full.append((self.t, self.v, self.bad))
        self.t, self.v, self.bad = self.spare.pop() if self.spare else _room(len(self.names))
        self.rows = 0

    def taken(self) -> list[Piece]:
        """All rows that wait, which then wait no longer."""
        pieces = [*self.full, (self.t[: self.rows], self.v[: self.rows], self.bad[: self.rows])]
        self.seen += self.waiting
        self.full, self.rows = [], 0
        self.t, self.v, self.bad = _room(len(self.names))
        return pieces

    def emptied(self, pieces: list[Piece]) -> None:
        """Full pieces whose rows have been taken are written into again, as many as wait until folding is due."""
        for piece in pieces[: FOLD_AT // CHUNK - len(self.spare)]:
            if len(piece[0]) == CHUNK:
                piece[2][:] = False
                self.spare.append(piece)


def _room(width: int) -> Piece:
    return np.empty(CHUNK, np.int64), np.empty((CHUNK, width)), np.zeros((CHUNK, width), bool)


@dataclass(eq=False)
class Live:
    """A growing run under its specifications. ``run`` carries the channels' descriptions; their samples so far are
    fed first.

    ``feed`` takes rows of one recorder, ``verdicts`` judges what is there, ``close`` ends the run.
    """

    specifications: tuple[Specification, ...]
    vessel: Vessel
    load: Load
    run: Run
    rulings: tuple[Ruling, ...] = ()
    options: Options = field(default_factory=lambda: Options(others=False))
    cards: tuple[Card, ...] = ()  # for what is computed, at the end
    tables: dict[tuple[str, ...], Table] = field(default_factory=dict)
    last: dict[str, int] = field(default_factory=dict)
    let_go_before: int = -(2**62)
    given_up: GivenUp = field(default_factory=GivenUp)
    windows: dict[tuple[object, ...], Windows] = field(default_factory=dict)  # of rates, whose samples were let go
    taking: Iterator[str] | None = None  # the rows that are being taken in, slice by slice

    def feed(
        self, names: tuple[str, ...], t: int, v: NDArray[np.float64], bad: NDArray[np.bool_] | None = None
    ) -> None:
        """One row of a recorder: instant [ns], values in grains, shape (len(names),), and which of them are bad.

        Raises :class:`LateDataError` for a row that is not later than the one before.
        """
        table = self.tables.get(names)
        if table is None:
            table = self.tables[names] = Table.of(names)
        i = table.rows
        if t <= self.last.get(names[0], -1):
            raise LateDataError(
                f"a row at {t} ns is not later than the last one",
                expected="rows in the order of time",
                remedy="judge the sorted log anew",
            )
        table.t[i] = t
        table.v[i] = v
        if bad is not None:
            table.bad[i] = bad
        table.rows = i + 1
        self.last[names[0]] = t
        if table.rows == CHUNK:
            table.put_aside()

    @property
    def due(self) -> bool:
        """Whether it is time to fold; the owner of a live run does so between two ticks."""
        return any(table.waiting >= FOLD_AT for table in self.tables.values())

    def fold(self) -> None:
        """Takes the buffers into what is kept, and lets go of what can no longer matter."""
        for _ in self.folding():
            pass

    def folding(self) -> Iterator[str]:
        """The same in small slices (the serial of the part at hand, or what else is being done), so that rows may be fed
        between them, and verdicts asked for.
        """
        taking = self.taking = self._taking_in()
        yield from taking  # (which whoever asks for verdicts between two slices may have brought to its end)
        hall = self._hall()
        recent = hall.end - self._look_back()
        wanted: dict[str, list[NDArray[np.int64]]] = {}
        for part in self.load.parts:
            scene = self._scene(hall, part.serial)
            for _ in looked_at(scene):
                yield part.serial
            for _ in each_that_matters(scene, wanted):
                yield part.serial
            yield from _forgotten(scene.kept, part.serial)
        yield from self._letting_go(wanted, recent)
        for memory in (hall.kept, hall.traces):
            yield from _forgotten(memory, "memory")

    def _take_in(self) -> None:
        for taking in (self.taking, self._taking_in()):
            for _ in taking or ():
                pass
        self.taking = None

    def _taking_in(self) -> Iterator[str]:
        channels = dict(self.run.channels)
        for table in self.tables.values():
            if not table.waiting:
                continue
            row = table.seen + 2
            pieces = table.taken()
            t = np.concatenate([piece[0] for piece in pieces])
            rows = np.arange(row, row + len(t))
            for j, name in enumerate(table.names):
                v, bad = (np.concatenate([piece[k][:, j] for piece in pieces]) for k in (1, 2))
                channels[name] = _longer(channels[name], t, v, bad, rows)
                yield name
            table.emptied(pieces)
        self.run = replace(self.run, channels=channels)

    def _letting_go(self, wanted: dict[str, list[NDArray[np.int64]]], recent: int) -> Iterator[str]:
        self.let_go_before = max(self.let_go_before, recent)
        gap = min(spec.largest_gap for spec in self.specifications)
        before = self.run.channels
        for name in before:
            channel = self.run.channels[name]  # rows may have been taken in since
            if channel.kind == "state" and len(channel.t):  # states are asked for by their changes
                changes = _changes(channel, gap)
                thin = _thinner(channel, np.unique(np.concatenate([changes, *wanted.get(name, [])])), recent)
            elif name in wanted:
                thin = _thinner(channel, np.unique(np.concatenate(wanted[name])), recent)
            elif channel.second_of in self.run.channels:  # a second recorder speaks inside gaps of the first one
                reach = self._bound_of(channel.recorder) + 2 * max(spec.largest_gap for spec in self.specifications)
                thin = _beside_gaps(channel, before[channel.second_of], gap, reach, recent)
            else:  # no requirement looks at it: its past becomes unknown, so that nothing could be met by it later
                thin = _from(channel, recent)
            if int(np.searchsorted(thin.t, recent)) > self.given_up.room and name not in self.given_up.since:
                yield from self._giving_up(name)
            if name in self.given_up.since:
                thin = _from(self.run.channels[name], recent)
            self.run = replace(self.run, channels={**self.run.channels, name: thin})
            yield name

    def _giving_up(self, name: str) -> Iterator[str]:
        """Keeps what has settled of what stands on a channel whose past grows too large, part by part; it is given up then."""
        hall = self._hall()
        for part in self.load.parts:
            scene = self._scene(hall, part.serial)
            self.given_up.keep_settled(scene, name, judge_part(scene, {}))
            yield part.serial
        self.given_up.since[name] = hall.end

    def _bound_of(self, recorder: str) -> int:
        """To what the clock of a second recorder is known [ns]; 0 where it is not known, so that it speaks for nothing."""
        clocks = [one.clock for one in self.run.recordings if one.recorder == recorder]
        return max((clock.plus_minus for clock in clocks if clock is not None), default=0)

    def _look_back(self) -> int:
        """How long samples are kept as they are: the longest window, stay, gap and time to loss, and some more."""
        longest = [10**9]
        for spec in self.specifications:
            longest += [spec.largest_gap, spec.lost_after]
            longest += [source.stays for event in spec.events for source in event.sources]
            for form in (form for clause in spec.clauses for form in clause.forms):
                definition = getattr(form, "definition", None)
                longest.append(getattr(definition, "window", None) or getattr(form, "window", None) or 0)
        return max(longest) + 60 * 10**9

    def _hall(self) -> Hall:
        hall = hall_of(self.vessel, self.load, self.run, self.rulings, largest_gap(self.specifications))
        hall.windows = self.windows
        return hall

    def _scene(self, hall: Hall, serial: str) -> Scene:
        part = next(part for part in self.load.parts if part.serial == serial)
        return scene_for(hall, part, self.specifications, self.options)

    def enter(self, entry: Entry) -> None:
        """A hand entry, made while the run goes on.

        Raises :class:`LateDataError` for one about a time of which samples have been let go.
        """
        if self.let_go_before > entry.at - entry.plus_minus:
            raise LateDataError(
                f"the entry '{entry.name}' of {entry.person} is about a time of which samples have been let go",
                expected="an entry made soon after the fact",
                remedy="judge the sorted log anew",
            )
        self.run = replace(self.run, entries=(*self.run.entries, entry))

    def verdicts(self, serial: str | None = None) -> list[Verdict]:
        """The verdicts as they stand (of one part, or of all)."""
        self._take_in()
        hall = self._hall()
        wanted = [part.serial for part in self.load.parts if serial in (None, part.serial)]
        scenes = [self._scene(hall, name) for name in wanted]
        return [verdict for scene in scenes for verdict in self.given_up.told(scene, judge_part(scene, {}))]

    def close(self, closing: Closing, record: Run | None = None) -> list[Verdict]:
        """Ends the run, by an explicit act with an author, and gives the final verdicts: those of the whole ``record``, read
        again, where it is given. Without it, what hangs on a channel that was given up, or on a computed signal, stays open.

        Raises :class:`~curewright.terms.errors.CurewrightError` for a record that does not end as this run did.
        """
        self._take_in()
        self.run = replace(self.run, closing=closing)
        if record is None:
            return self.verdicts()
        check_same_run(record, self.run)
        whole = replace(record, closing=closing, entries=self.run.entries)
        hall = hall_of(self.vessel, self.load, whole, self.rulings, largest_gap(self.specifications))
        hall.cards = self.cards
        return [verdict for part in self.load.parts for verdict in judge_part(self._scene(hall, part.serial), {})]

    def roll_up(self) -> tuple[tuple[str, Outcome], ...]:
        """The worst outcome of each part as it stands."""
        return roll_up(self.load, self.verdicts())

    @property
    def samples_kept(self) -> int:
        """How many samples the state holds."""
        return sum(len(channel.t) for channel in self.run.channels.values()) + sum(
            t.waiting * len(t.names) for t in self.tables.values()
        )


def _forgotten(memory: dict[tuple[object, ...], Any], what: str) -> Iterator[str]:
    """Frees what a judgement remembered, some of it in a slice: all at once takes longer than a slice may."""
    while memory:
        for _ in range(min(len(memory), FREED)):
            memory.popitem()
        yield what


def _changes(channel: Channel, gap: int) -> NDArray[np.int64]:
    """The instants of a channel on both sides of every change of state, and of every step longer than the smallest of the largest gaps."""
    changed = np.flatnonzero((np.diff(channel.v) != 0) | (np.diff(channel.t) > gap))
    instants: NDArray[np.int64] = channel.t[np.union1d(changed, changed + 1)]
    return instants


def _from(channel: Channel, recent: int) -> Channel:
    """The channel from an instant on (its last sample in any case)."""
    first = min(int(np.searchsorted(channel.t, recent)), max(len(channel.t) - 1, 0))
    return _picked(channel, np.arange(first, len(channel.t)))


def _picked(channel: Channel, which: NDArray[np.int64], skipped: NDArray[np.bool_] | None = None) -> Channel:
    """The channel with some of its samples (indices); ``skipped``: after which of these samples were let go just now."""
    v = channel.v[which]
    arrays = {name: getattr(channel, name)[which] for name in ("t", "bad", "row")}
    bridged = None if channel.bridged is None else channel.bridged[which]
    if skipped is not None:
        bridged = skipped if bridged is None else bridged | skipped
    return replace(channel, v=v, raw=v if channel.raw is channel.v else channel.raw[which], bridged=bridged, **arrays)


def _longer(
    channel: Channel, t: NDArray[np.int64], v: NDArray[np.float64], bad: NDArray[np.bool_], row: NDArray[np.int64]
) -> Channel:
    bridged = channel.bridged if channel.bridged is not None else np.zeros(len(channel.t), bool)
    values = np.concatenate([channel.v, v])
    return replace(
        channel,
        t=np.concatenate([channel.t, t]),
        v=values,
        raw=values,
        bad=np.concatenate([channel.bad, bad]),
        row=np.concatenate([channel.row, row]),
        bridged=np.concatenate([bridged, np.zeros(len(t), bool)]),
    )


def _beside_gaps(second: Channel, first: Channel, gap: int, reach: int, recent: int) -> Channel:
    """A second recorder's channel with its samples in the gaps of the first one and as far as ``reach`` beside them [ns], and
    the recent ones.
    """
    t = second.t
    if not len(first.t):
        return second
    silent = np.diff(first.t) > gap
    if first.bridged is not None:
        silent &= ~first.bridged[:-1]
    at = np.flatnonzero(silent)
    keep = (t >= min(recent, int(first.t[-1])) - reach) | (t <= first.t[0] + reach)
    for start, end in zip(first.t[at].tolist(), first.t[at + 1].tolist(), strict=True):
        keep |= (t > start - reach) & (t < end + reach)
    return _picked(second, np.flatnonzero(keep))


def _thinner(channel: Channel, instants: NDArray[np.int64], recent: int) -> Channel:
    """The channel with only the samples at the instants given, its first and last, bad ones with their neighbours, and
    the recent ones.
    """
    n = len(channel.t)
    keep = channel.t >= recent
    keep[np.searchsorted(channel.t, instants)] = True
    keep[[0, n - 1]] = True
    keep |= _beside_bad(channel.bad)
    kept = np.flatnonzero(keep)
    return _picked(channel, kept, np.append(np.diff(kept) > 1, False))


def _beside_bad(bad: NDArray[np.bool_]) -> NDArray[np.bool_]:
    """The first and last of each stretch of bad samples, and the good ones next to it."""
    padded = np.concatenate([[False], bad, [False]])
    left, right = padded[:-2], padded[2:]
    beside = ~bad & (left | right)
    ends = bad & ~(left & right)
    both: NDArray[np.bool_] = beside | ends
    return both
