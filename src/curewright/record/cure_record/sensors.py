"""Which sensor sat where by whose word, its certificates and corrections, the recorders, and what was left out or flagged."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.record.cure_record.blocks import paragraph, section, table, title, unit_signs
from curewright.record.instants import length
from curewright.terms.units import SECOND

if TYPE_CHECKING:
    from collections.abc import Iterator
    from datetime import date

    from curewright.record.cure_record.blocks import Block, Cell
    from curewright.record.cure_record.papers import Papers
    from curewright.terms.load import Calibration, Recorder, Sensor
    from curewright.terms.run import Counted, FileRead, Recording
    from curewright.terms.units import Quantity

BEGINNING = "before the run"
CERTIFIED = ("Sensor", "Wire, tolerance", "Roll", "Certificate", "Due", "Uncertainty", "Corrections in force")
RECORDED = ("Recorder", "Files", "From", "To", "Every", "Silences", "Clock against the first recorder's")
READ = ("File", "Rows read", "Encoding", "Layout", "Confirmed by", "Header SHA-256 (first digits)")
COUNTED = ("File", "How many", "Cause", "What became of them", "Lines, and what stands in them", "Channels")
LINES = 8  # line numbers quoted of one cause


def sensors(papers: Papers) -> Iterator[Block]:
    """The chapters on sensors and recorders."""
    yield section("Sensor map", [_map(papers)])
    yield section("Calibrations and corrections", _calibrations(papers))
    yield section("Recorders and what was read", _recorders(papers))


# -------------------------------------------------------------------------------------------------------------------- the map
def _map(papers: Papers) -> Block:
    ports = {port.sensor: port.number for port in papers.vessel.ports if port.sensor}
    rows: list[list[Cell]] = [
        [
            line.sensor, line.channel, ports.get(line.sensor, ""), line.role, line.thing, line.place,
            line.position if line.position != line.sensor else "",
            papers.when(line.start, BEGINNING), papers.when(line.end, "the end"), line.author,
        ]
        for line in papers.load.map
    ]  # fmt: skip
    head = ("Sensor", "Channel", "Port", "Role", "For", "Place", "Called", "From", "Until", "By")
    return table(head, (0.9, 1.4, 0.6, 1.3, 1, 1.3, 0.9, 1.2, 1.2, 1.1), rows)


# --------------------------------------------------------------------------------------------------------------- calibrations
def _calibrations(papers: Papers) -> Iterator[Block]:
    day = papers.run.start.date()
    used = {line.sensor for line in papers.load.map}
    rows = [_sensor(one, day) for one in papers.vessel.sensors if one.name in used and one.measures != "state"]
    yield table(CERTIFIED, (0.8, 1.2, 0.8, 1.2, 1.4, 1.2, 2.6), rows)
    yield title("Recorders")
    yield table(
        ("Recorder", "Accuracy", "Reference junction", "Resolution", "Certificate", "Due"),
        (1, 1, 1.2, 1, 1.2, 1.4),
        [_recorder(one, day) for one in papers.vessel.recorders],
    )


def _sensor(sensor: Sensor, day: date) -> list[Cell]:
    added = [
        f"{_or_nothing(one.add)} ({one.of}, {one.certificate}, {one.valid_from} to {one.valid_to})"
        for one in sensor.corrections
        if one.valid_from <= day <= one.valid_to
    ]
    wire = ", ".join(word for word in (f"type {sensor.wire}" if sensor.wire else "", sensor.tolerance) if word)
    return [
        sensor.name,
        wire,
        sensor.roll,
        *_certificate(sensor.calibration, day),
        "; ".join(added) or "none",
    ]


def _recorder(recorder: Recorder, day: date) -> list[Cell]:
    stated = [
        _or_nothing(one) or "not stated"
        for one in (recorder.accuracy, recorder.reference_junction, recorder.resolution)
    ]
    return [recorder.name, *stated, *_certificate(recorder.calibration, day)[:2]]


def _certificate(calibration: Calibration | None, day: date) -> list[Cell]:
    if calibration is None:
        return ["none stated", "", ""]
    late = f"{calibration.due}: OVERDUE on the day of the run" if calibration.due < day else f"{calibration.due}"
    sort = "standard" if calibration.standard else "limits"
    doubt = f"{_or_nothing(calibration.uncertainty)} ({sort})" if calibration.uncertainty else "not stated"
    return [calibration.certificate, late, doubt]


def _or_nothing(quantity: Quantity | None) -> str:
    return "" if quantity is None else unit_signs(str(quantity))


# ------------------------------------------------------------------------------------------------------------------ recorders
def _recorders(papers: Papers) -> Iterator[Block]:
    run = papers.run
    head = ("Recorder", "Files", "From", "To", "Every", "Silences", "Clock against the first recorder's")
    yield table(
        head, (1, 1.6, 1.2, 1.2, 0.8, 2, 2.6), [_recording(one, papers) for one in run.recordings], _unrecorded(papers)
    )
    for one in run.recordings:
        for note in one.notes:
            yield paragraph(f"{one.recorder}: {note}")
    yield title("What was read of each file")
    yield table(READ, (2, 1, 1, 1.6, 1.4, 1.6), [_file(one) for one in run.reading], "Nothing is said about that.")
    yield title("Rows and cells left out or flagged while reading")
    rows = [_counted(one, file) for file in run.reading for one in file.counted]
    yield table(COUNTED, (1.5, 0.9, 1.9, 1.1, 3, 1.4), rows, "None was counted.")
    yield title("Sensors that somebody should look at")
    flagged: list[list[Cell]] = [
        [name, flag.kind, papers.when(flag.start), papers.when(flag.end, "the end of the record"), flag.text]
        for name, channel in run.channels.items()
        for flag in channel.flags
    ]
    yield table(("Channel", "Flag", "From", "To", "What was found"), (1, 0.8, 1.2, 1.2, 4), flagged)


def _unrecorded(papers: Papers) -> str:
    names = dict.fromkeys(channel.recorder for channel in papers.run.channels.values() if channel.recorder)
    return f"Recorded by {', '.join(names)}." if names else "No recorder is named."


def _recording(one: Recording, papers: Papers) -> list[Cell]:
    gaps = [f"{papers.when(start)} to {papers.when(end)}, {length(end - start)}" for start, end in one.gaps]
    return [
        one.recorder, ", ".join(one.files), papers.when(one.first), papers.when(one.last), length(one.interval),
        "; ".join(gaps) or "none", _clock(one),
    ]  # fmt: skip


def _clock(one: Recording) -> str:
    clock = one.clock
    if clock is None:
        return "this is the first"
    ahead = f"{_seconds(clock.ahead)} {'ahead' if clock.ahead >= 0 else 'behind'}, within {_seconds(clock.plus_minus)}"
    drift = f", gains {clock.drift} millionths" if clock.drift else ""
    return f"{ahead}{drift}: {clock.how}" + (f", by {clock.person}" if clock.person else "")


def _seconds(span: int) -> str:
    """A span of time [ns] in seconds to one decimal: an offset is never known better."""
    return f"{abs(span) / SECOND:.1f}".removesuffix(".0") + " s"


def _file(one: FileRead) -> list[Cell]:
    return [one.file, f"{one.rows}", one.encoding, one.layout, one.confirmed_by or "written by hand", one.header[:16]]


def _counted(one: Counted, file: FileRead) -> list[Cell]:
    told = dict(zip(one.lines, one.texts, strict=False))
    between = "; " if told else ", "
    shown = between.join(f"{line}: ‘{told[line]}’" if told.get(line) else f"{line}" for line in one.lines[:LINES])
    more = ", …" if one.lines and one.count > len(one.lines[:LINES]) else ""
    fate = "left out" if one.left_out else "kept, flagged"
    return [file.file, f"{one.count} {one.of}", one.cause, fate, shown + more, ", ".join(one.channels)]
