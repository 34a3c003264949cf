"""Every leak check with its readings at the start and at the end, their times, by which sensor, and by whose word it was isolated."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

import numpy as np

from curewright.record.cure_record.blocks import outcome, section, unit_signs
from curewright.record.instants import run_clock
from curewright.record.words import actual_words, margin_words

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.record.cure_record.blocks import Block
    from curewright.record.cure_record.papers import Papers
    from curewright.terms.run import Channel

HEAD = (
    "Bag",
    "Part, clause",
    "Gauge",
    "Source closed",
    "At the start",
    "At the end",
    "Limit",
    "Lost",
    "Margin",
    "Outcome",
)
WIDTHS = (0.75, 0.95, 0.9, 1.1, 1.6, 1.6, 1.5, 0.95, 1.05, 1.3)


def leak_checks(papers: Papers) -> Iterator[Block]:
    """The chapter of leak checks; there is none where no clause asks for one."""
    rows = [_row(one, papers) for one in papers.document["verdicts"] if one["kind"] == "leak check"]
    if rows:
        group = {"clause": "", "says": "", "marked": "", "rows": rows}
        yield section(
            "Leak checks", [{"kind": "judged", "head": list(HEAD), "widths": list(WIDTHS), "groups": [group]}]
        )


def _row(verdict: dict[str, Any], papers: Papers) -> Block:
    margin, phase = verdict["margin"], verdict["phase"]
    sensor = next(iter(verdict["used"]), "")
    first, last = _readings(sensor, phase, papers)
    cells = [
        verdict["thing"], f"{verdict['part']}, {verdict['clause']}", _gauge(sensor, papers), _isolated(phase, papers.document), first, last,
        unit_signs(verdict["limit"]), unit_signs(actual_words(margin)) if margin else "",
        unit_signs(margin_words(margin)) if margin else "",
        outcome(verdict["outcome"]),
    ]  # fmt: skip
    return {"cells": cells, "notes": [verdict["reason"], *verdict["notes"]]}


def _gauge(sensor: str, papers: Papers) -> str:
    ports = [port.number for port in papers.vessel.ports if port.sensor == sensor]
    return f"{sensor}, port {', '.join(ports)}" if ports else sensor


def _isolated(phase: dict[str, Any] | None, document: dict[str, Any]) -> str:
    """The time over which the source was surely closed."""
    if phase is None or not all(phase["sure"].values()):
        return "not known"
    start = document["run"]["start"]
    return f"{run_clock(phase['sure']['from'], start)} to {run_clock(phase['sure']['to'], start)}"


def _readings(sensor: str, phase: dict[str, Any] | None, papers: Papers) -> tuple[str, str]:
    """The first and the last good reading while the source was surely closed, each with its instant and line."""
    channel = _channel(sensor, papers)
    if phase is None or channel is None or not all(phase["sure"].values()):
        return "", ""
    start, end = (phase["sure"][end]["ns"] for end in ("from", "to"))
    a, b = np.searchsorted(channel.t, start, "left"), np.searchsorted(channel.t, end, "right")
    good = np.flatnonzero(~channel.bad[a:b])
    return (
        (_reading(channel, int(a + good[0]), papers), _reading(channel, int(a + good[-1]), papers))
        if len(good)
        else ("", "")
    )


def _channel(sensor: str, papers: Papers) -> Channel | None:
    name = next((one.channel for one in papers.load.map if sensor in (one.sensor, one.channel, one.position)), sensor)
    return papers.run.channels.get(name)


def _reading(channel: Channel, k: int, papers: Papers) -> str:
    grains = float(channel.raw[k])
    vacuum = channel.unit.reference == "vacuum"
    number = channel.unit.decimal_of(-grains if vacuum else grains).normalize()
    instant = papers.instant(int(channel.t[k])) or papers.document["run"]["start"]
    clock = run_clock(instant, papers.document["run"]["start"])
    return unit_signs(f"{number:f} {channel.unit.name} at {clock}, line {channel.row[k]}")
