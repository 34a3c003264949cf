"""The torture set through the program: a layout written by hand or proposed and answered, the export read, and what came out."""

import csv
import json
from dataclasses import dataclass
from typing import Any

from curewright.read.layout import Layout
from curewright.read.recorder import read_export
from tests.torture.case import HERE, Case


@dataclass(frozen=True)
class Reading:
    """What an export was read as: ``(channel, instant) -> (value in grains, or the state, or None where bad; line)``; what was counted."""

    samples: dict[tuple[str, int], tuple[float | str | None, int]]
    account: tuple[Any, ...]


def read(content: bytes, file: str, layout: Layout) -> Reading:
    """An export through its layout; instants are ns since 1970 UTC."""
    export = read_export(content, file, layout)
    channels, notes = export.channels(0)
    samples = {}
    for name, channel in channels.items():
        for t, raw, bad, line in zip(
            channel.t.tolist(), channel.raw.tolist(), channel.bad.tolist(), channel.row.tolist(), strict=True
        ):
            value = channel.states[int(raw)] if channel.states and not bad else raw
            assert (name, t) not in samples, f"two samples of {name} at {t}"
            samples[name, t] = (None if bad else value, line)
    return Reading(samples, (notes, export.counted()))


# ------------------------------------------------------------------------------------------------------------- by hand
def by_hand(case: Case, row: dict[str, str]) -> str:
    """The layout that a person would write: the structure from ``layouts.csv``, the rest from the case's answers."""
    told = case.answers
    more = row["more"].split()
    time: dict[str, Any] = {"columns": row["time"].split("|"), "format": row["format"], "zone": told.zone}
    for key in ("start", "date"):
        if key in told.more:
            time["start"] = told.more[key]
    written: dict[str, Any] = {
        "layout": case.name,
        "encoding": row["encoding"],
        "separator": row["separator"],
        "decimal sign": row["decimal sign"],
        "lines before the header": row["before"] if row["before"] == "any" else int(row["before"]),
        "header rows": row["rows"].split(),
        "time": time,
        "blank means": told.blank,
        "open codes": list(told.codes),
        "columns": [_group(case, heading) for heading in dict.fromkeys((*told.units, *told.states))],
        "not read": list(told.not_read),
    }
    if more[:1] == ["widths"]:
        written["widths"] = [int(width) for width in more[1:]]
    elif more:
        written |= {"shape": "long", "tag column": more[0], "value column": more[1]}
    if "footer" in told.more:
        written["lines left out"] = list(told.more["footer"])  # type: ignore[call-overload]
    return json.dumps(written, ensure_ascii=False)


def _group(case: Case, heading: str) -> dict[str, Any]:
    told = case.answers
    name = told.channels.get(heading, heading)
    group: dict[str, Any] = {
        "columns": [heading],
        "kind": "state" if name in told.states or heading in told.states else "continuous",
    }
    if heading in told.channels:
        group["channel"] = name
    if heading in told.units:
        group["unit"] = told.units[heading]
    for key in ("scale", "bad outside", "heartbeat"):
        stated = told.more.get(key, {})
        if isinstance(stated, dict) and heading in stated:
            group[key] = stated[heading]
    quality = told.more.get("quality") or told.more.get("quality of", {}).get(heading)  # type: ignore[attr-defined]
    if quality:
        group["quality"] = {"column": quality[0], "good": list(quality[1])}
    return group


def hand_layouts() -> dict[str, dict[str, str]]:
    """The rows of ``layouts.csv`` by case."""
    with (HERE / "layouts.csv").open(encoding="utf-8", newline="") as file:
        return {row["case"]: row for row in csv.DictReader(file)}
