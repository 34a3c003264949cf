"""Every leak check with its readings at the start and at the end, their times, by which sensor, and by whose word it was isolated;
and the window that decided, with the readings at its ends.

Readings stand as they were recorded, each also in the unit of the limit; the readings at the ends of a window are the corrected ones,
straight between the samples that are named, as the judge took them.
"""

from __future__ import annotations

from datetime import datetime, timedelta
from typing import TYPE_CHECKING, Any

import numpy as np

from curewright.record.cure_record.blocks import outcome, section, unit_signs
from curewright.record.instants import length, run_clock
from curewright.record.words import actual_words, margin_words
from curewright.terms.requirement import LeakCheck
from curewright.terms.units import UNITS, in_unit

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.record.cure_record.blocks import Block
    from curewright.record.cure_record.papers import Papers
    from curewright.terms.run import Channel
    from curewright.terms.units import Unit

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
    form, unit = _form(verdict, papers), _unit(margin)
    first, last = _readings(sensor, phase, papers, unit)
    cells = [
        verdict["thing"], f"{verdict['part']}, {verdict['clause']}", _gauge(sensor, papers), _isolated(phase, papers.document), first, last,
        unit_signs("; ".join(filter(None, (verdict["limit"], _starting(form, unit))))), unit_signs(actual_words(margin)) if margin else "",
        unit_signs(margin_words(margin)) if margin else "",
        outcome(verdict["outcome"]),
    ]  # fmt: skip
    window = _window(verdict, form, unit, papers)
    return {"cells": cells, "notes": [verdict["reason"], *window, *verdict["notes"]]}


def _form(verdict: dict[str, Any], papers: Papers) -> LeakCheck | None:
    """The leak check as the specification asks for it."""
    for one in papers.specifications:
        if (one.number, one.revision) == (verdict["specification"], verdict["revision"]):
            for form in (form for clause in one.clauses if clause.number == verdict["clause"] for form in clause.forms):
                if isinstance(form, LeakCheck) and form.name == verdict["form"]:
                    return form
    return None


def _unit(margin: dict[str, Any] | None) -> Unit | None:
    """The vacuum in the unit of the limit."""
    return UNITS.get(f"{margin['unit'].removesuffix(' difference')} of vacuum") if margin else None


def _starting(form: LeakCheck | None, unit: Unit | None) -> str:
    """The limits on the vacuum when the source was closed, also in the unit of the loss where that is another one."""
    if form is None or form.starting is None:
        return ""
    told = []
    for word, side in (("at least", form.starting.low), ("at most", form.starting.high)):
        if side is not None:
            other = unit is not None and unit.name != side.unit.name and side.unit.reference == unit.reference
            also = f" ({in_unit(side.grains, unit)} {unit.name})" if other and unit is not None else ""
            told.append(f"{word} {side.number} {side.unit.name}{also}")
    return f"at the start {' and '.join(told) or form.starting.written}"


def _window(verdict: dict[str, Any], form: LeakCheck | None, unit: Unit | None, papers: Papers) -> list[str]:
    """The window that decided: when it began and ended, and the readings there."""
    margin, phase = verdict["margin"], verdict["phase"]
    if form is None or unit is None or not margin or not margin["at"] or phase is None:
        return []
    end = margin["at"]["ns"]
    begins = [end - form.window]
    if form.window_rule == "whole":
        closed = [phase[which]["from"] for which in ("possible", "sure")]
        begins = sorted({one["ns"] + form.settling for one in closed if one})
    channel = _channel(margin["channel"], papers) or _channel(next(iter(verdict["used"]), ""), papers)
    if channel is None or not begins:
        return []
    start = " or ".join(_read_at(channel, begin, unit, papers) for begin in begins)
    return [
        unit_signs(f"the window that decided: from {start} to {_read_at(channel, end, unit, papers)}; limit and loss in "
                   f"{margin['unit'].removesuffix(' difference')}")
    ]  # fmt: skip


def _read_at(channel: Channel, at: int, unit: Unit, papers: Papers) -> str:
    """The instant, the vacuum then, and the lines of the samples that it lies on or between."""
    clock = run_clock(papers.instant(at) or papers.document["run"]["start"], papers.document["run"]["start"])
    good = np.flatnonzero(~channel.bad)
    i = int(np.searchsorted(channel.t[good], at, "right")) - 1
    if i < 0 or channel.reference != "gauge" or (channel.t[good[i]] < at and i + 1 == len(good)):
        return clock
    before = int(good[i])
    if channel.t[before] == at:
        return f"{clock} ({_vacuum(float(channel.v[before]), unit)}, line {channel.row[before]})"
    after = int(good[i + 1])
    share = (at - int(channel.t[before])) / (int(channel.t[after]) - int(channel.t[before]))
    grains = float(channel.v[before]) + share * float(channel.v[after] - channel.v[before])
    return f"{clock} ({_vacuum(grains, unit)}, between lines {channel.row[before]} and {channel.row[after]})"


def _vacuum(grains: float, unit: Unit) -> str:
    """A gauge pressure as a vacuum."""
    return f"{in_unit(-grains, unit)} {unit.name}"


def _gauge(sensor: str, papers: Papers) -> str:
    ports = [port.number for port in papers.vessel.ports if port.sensor == sensor]
    return f"{sensor}, port {', '.join(ports)}" if ports else sensor


def _isolated(phase: dict[str, Any] | None, document: dict[str, Any]) -> str:
    """From when to when the source was closed, each within its bounds."""
    if phase is None or not all(phase["sure"].values()):
        return "not known"
    return " to ".join(_bounded(phase["possible"][end], phase["sure"][end], document) for end in ("from", "to"))


def _bounded(possible: dict[str, Any] | None, sure: dict[str, Any], document: dict[str, Any]) -> str:
    """An instant that is known within bounds as its middle and how far it may be off; as it is, where it is known."""
    start = document["run"]["start"]
    if possible is None or possible["ns"] == sure["ns"]:
        return run_clock(sure, start)
    half = abs(sure["ns"] - possible["ns"]) // 2
    middle = datetime.fromisoformat(min(possible, sure, key=lambda one: one["ns"])["time"])
    told = {"time": (middle + timedelta(microseconds=half / 1000)).isoformat()}
    return f"{run_clock(told, start)} ± {length(half)}"


def _readings(sensor: str, phase: dict[str, Any] | None, papers: Papers, unit: Unit | None) -> tuple[str, str]:
    """The first and the last good reading while the source was surely closed, each with its instant and line."""
    channel = _channel(sensor, papers)
    if phase is None or channel is None or not all(phase["sure"].values()):
        return "", ""
    start, end = (phase["sure"][end]["ns"] for end in ("from", "to"))
    a, b = np.searchsorted(channel.t, start, "left"), np.searchsorted(channel.t, end, "right")
    good = np.flatnonzero(~channel.bad[a:b])
    return (
        (_reading(channel, int(a + good[0]), papers, unit), _reading(channel, int(a + good[-1]), papers, unit))
        if len(good)
        else ("", "")
    )


def _channel(sensor: str, papers: Papers) -> Channel | None:
    name = next((one.channel for one in papers.load.map if sensor in (one.sensor, one.channel, one.position)), sensor)
    return papers.run.channels.get(name)


def _reading(channel: Channel, k: int, papers: Papers, unit: Unit | None) -> str:
    grains = float(channel.raw[k])
    vacuum = channel.unit.reference == "vacuum"
    number = channel.unit.decimal_of(-grains if vacuum else grains).normalize()
    instant = papers.instant(int(channel.t[k])) or papers.document["run"]["start"]
    clock = run_clock(instant, papers.document["run"]["start"])
    same = unit is None or channel.reference != "gauge" or channel.unit.name == unit.name
    also = "" if same or unit is None else f" ({_vacuum(grains, unit)})"
    return unit_signs(f"{number:f} {channel.unit.name} at {clock}, line {channel.row[k]}{also}")
