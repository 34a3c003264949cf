"""The proposed layout of an export, answered and corrected as a person would who knows the recorder: what a case tells, and no more.

Encoding, separator, header rows, time format: these have to be proposed rightly. Told are the answers to the proposal's questions, and
what an export cannot show: which codes stand for a fault, what a blank means, scales, names, the start, the sheet, which of two
clocks to read.
"""

import json
import re
from typing import Any

from ruamel.yaml import YAML

from curewright.read.layout import Layout
from curewright.read.layout_file import read_layout
from curewright.read.propose import Proposal, propose
from tests.torture.case import Answers, Case

PERSON = "operator A"


def layout_of(case: Case, n: int = 0) -> Layout:
    """The layout for the n-th file of a case; raises what the program raises where something is still open or does not fit."""
    file, content = case.files[n]
    if case.confirmed_on is not None:
        content = case.confirmed_on
    return read_layout(confirmed(case, content, file, n).encode(), "layout.yaml")


def confirmed(case: Case, content: bytes, file: str, n: int = 0) -> str:
    """The layout file as the person leaves it."""
    told = case.answers
    given = {"decimal sign": str(told.more["decimal sign"])} if "decimal sign" in told.more else {}
    proposal = propose(content, file, answers=given)
    text = proposal.yaml(answered(proposal, told) | given)
    return json.dumps(corrected(YAML(typ="safe").load(text), case, n), ensure_ascii=False, default=str)


def answered(proposal: Proposal, told: Answers) -> dict[str, str]:
    """Answers to the questions that the case's person can answer."""
    found = {}
    for question in proposal.questions:
        what, _, name = question.key.partition(" of ")
        answer = {
            "recorder": "none",
            "open codes": "none",  # the case's own are written below
            "time zone": told.zone,
            "time start": str(told.more.get("start", told.more.get("date", ""))),
            "time format": _format(question.choices, told),
            "unit": told.units.get(name, "not read" if name in told.not_read or name in told.states else ""),
            "kind": "state" if name in told.states else "continuous",
            "quality": ", ".join(told.more.get("quality", told.more.get("quality of", {}).get(name, ("", ())))[1]),  # type: ignore[attr-defined]
        }.get(what, "")
        if answer:
            found[question.key] = answer
    return found


def _format(choices: tuple[str, ...], told: Answers) -> str:
    """The one of several formats that the person knows to be right."""
    starts = {"day first": "%d", "month first": "%m"}.get(str(told.more.get("day order", "")), "")
    wanted = [f"elapsed {told.more['elapsed']}"] if "elapsed" in told.more else []
    wanted += ["elapsed h:mm:ss"] if "start" in told.more else []
    fit = [one for one in choices if (starts and one.startswith(starts)) or one in wanted]
    return fit[0] if len(fit) == 1 else ""


def corrected(written: dict[str, Any], case: Case, n: int) -> dict[str, Any]:
    """The proposal with what only the person knows."""
    told = case.answers
    written["confirmed by"] = PERSON
    written["blank means"] = told.blank
    written["open codes"] = list(told.codes)  # what nobody knows as a code is struck out
    written["lines left out"] = list(told.more.get("footer", ()))  # type: ignore[call-overload]
    if "sheet" in told.more:
        written["sheet"] = told.more["sheet"]
    if "time columns" in told.more:  # there are two clocks: read the counter
        written["time"] = written["time"] | {
            "columns": list(told.more["time columns"]),
            "format": f"elapsed {told.more['elapsed']}",
            "start": told.more["start"],
        }  # type: ignore[call-overload]
    groups = [dict(group) | {"columns": [heading]} for group in written["columns"] for heading in group["columns"]]
    kept, left = [], list(written.get("not read") or [])
    for group in groups:
        (heading,) = group["columns"]
        if heading in told.not_read or heading in told.more.get("time columns", ()):  # type: ignore[operator]
            left.append(heading)
        else:
            kept.append(_group(group, heading, case, n))
    spoken = {heading for group in kept for heading in group["columns"]} | set(written["time"]["columns"])
    states = [name for name in told.states if name not in spoken]
    kept += [{"columns": [name], "kind": "state"} for name in states]
    left = [name for name in left if name not in states and name not in spoken]
    left += [name for name in told.not_read if name not in left and name in written["header"]["names"]]
    written["columns"], written["not read"] = kept, left
    return written


def _group(group: dict[str, Any], heading: str, case: Case, n: int) -> dict[str, Any]:
    told = case.answers
    files = told.more.get("one channel a file")
    name = files[n] if files else told.channels.get(heading, heading)  # type: ignore[index]
    if files and name in told.units:
        group["unit"] = told.units[name]
    if name != heading:
        group["channel"] = name
    if heading in told.states or name in told.states:
        group["kind"] = "state"
    if heading in told.units and group.get("unit") != "?":
        group["unit"] = _agreed(group.get("unit"), told.units[heading])
    for key in ("scale", "bad outside", "heartbeat"):
        stated = told.more.get(key, {})
        if isinstance(stated, dict) and heading in stated:
            group[key] = stated[heading]
    return group


def _agreed(proposed: str | None, told: str) -> str:
    """The unit that was told; where the proposal read another one from the header, a person who says otherwise writes that."""
    return told if proposed is None or not re.fullmatch(re.escape(told), str(proposed)) else proposed
