"""What a command tells a script: the exit code that follows from the outcomes, worst first (``docs/commands.md``)."""

from __future__ import annotations

from typing import Any

MET, USAGE, NOT_MET, NOT_SHOWN, OPEN, CHANGED, OUTDATED, UNUSABLE, DEFECT = 0, 2, 10, 11, 12, 20, 21, 65, 70


def code_of(document: dict[str, Any]) -> int:
    """10 if anything is not met; else 12 if open; else 11 if not shown, not covered, unsigned or nothing met at all; else 0."""
    outcomes = document["outcomes"]
    if outcomes["not met"]:
        return NOT_MET
    if outcomes["open"]:
        return OPEN
    unsigned = sum(verdict["outcome"] == "by a person" and not verdict["settled"] for verdict in document["verdicts"])
    doubtful = outcomes["not shown"] + outcomes["not covered"] + document["clauses"]["not_covered"] + unsigned
    return NOT_SHOWN if doubtful or not outcomes["met"] else MET
