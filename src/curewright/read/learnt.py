"""What runs taught about places, as a file that the program writes and people may read, correct or strike out."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.read.forms import DATE, TEXT, WHOLE_NUMBER, Field, Filled, Form, items
from curewright.read.physical import FACTOR, NUMBERS, physical
from curewright.terms.learnt import LearntOffset, LearntZone
from curewright.text.yaml import in_quotes

if TYPE_CHECKING:
    from collections.abc import Iterable

KELVINS = physical({"K": 1.0}, -100.0, 100.0, "0.4 K")
SMALL = physical(NUMBERS, 0.0, 10.0, "0.03")
OFFSET = Form(
    "an offset",
    "What the model needs at a place to meet what was recorded.",
    (
        Field("place", TEXT, "the place of the sensor map"),
        Field("offset", KELVINS, "what is added to the model"),
        Field("standard error", KELVINS, "of it"),
    ),
)
ZONE = Form(
    "a zone that a run taught",
    "One zone of a part on a tool.",
    (
        Field("part number", TEXT, "the number of the part, not its serial"),
        Field("tool", TEXT, "the tool"),
        Field("zone", TEXT, "the zone, as the build-up calls it"),
        Field("tool side position factor", FACTOR, "how well its tool's side is served"),
        Field("standard error", SMALL, "of it"),
        Field("offsets", items(OFFSET.kind()), "of its sensors"),
        Field("run", TEXT, "the run that taught it"),
        Field("date", DATE, "of that run"),
        Field("root mean square before", KELVINS, "recorded against replayed with the factor of the build-up"),
        Field("root mean square after", KELVINS, "and with this one"),
        Field("samples", WHOLE_NUMBER, "that were compared"),
    ),
)


def _zone(filled: Filled) -> LearntZone:
    offsets = tuple(LearntOffset(one["place"], one["offset"], one["standard error"]) for one in filled["offsets"])
    return LearntZone(
        filled["part number"], filled["tool"], filled["zone"], filled["tool side position factor"], filled["standard error"],
        offsets, filled["run"], filled["date"].isoformat(), filled["root mean square before"],
        filled["root mean square after"], filled["samples"], filled.line,
    )  # fmt: skip


LEARNT = Form(
    "what runs taught",
    "Position factors and offsets that recorded runs taught, for later predictions.",
    (
        Field("vessel", TEXT, "the vessel"),
        Field("learnt", items(ZONE.kind(_zone)), "zone by zone; the last line for a zone counts"),
    ),
)


def read_learnt(content: bytes, file: str) -> tuple[str, tuple[LearntZone, ...]]:
    """The vessel, and what its runs taught. Raises with file, line and column."""
    filled = LEARNT.of_file(content, file)
    return filled["vessel"], filled["learnt"]


def learnt_text(vessel: str, zones: Iterable[LearntZone]) -> str:
    """The file for some zones, as :func:`read_learnt` reads it back."""
    lines = [
        "# Written by curewright fit places. Strike out what you do not want to be used.",
        f"vessel: {in_quotes(vessel)}",
        "learnt:",
    ]
    for one in zones:
        lines += [
            f"  - part number: {in_quotes(one.part_number)}",
            f"    tool: {in_quotes(one.tool)}",
            f"    zone: {in_quotes(one.zone)}",
            f"    tool side position factor: {one.factor:.4f}",
            f"    standard error: {one.standard_error:.4f}",
            "    offsets:" if one.offsets else "    offsets: []",
        ]
        lines += [
            f"      - {{place: {in_quotes(each.place)}, offset: {each.offset:.3f} K, standard error: {each.standard_error:.3f} K}}"
            for each in one.offsets
        ]
        lines += [
            f"    run: {in_quotes(one.run)}",
            f"    date: {one.date}",
            f"    root mean square before: {one.rms_before:.2f} K",
            f"    root mean square after: {one.rms_after:.2f} K",
            f"    samples: {one.samples}",
        ]
    return "\n".join(lines) + "\n"
