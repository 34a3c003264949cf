"""Verdicts as a CSV file: one row a verdict, for a spreadsheet (RFC 4180: commas, CRLF, quotes doubled; UTF-8 with a mark).

A cell that a spreadsheet would take for a formula (it begins with ``=``, ``+``, ``-``, ``@``, a tab or a carriage return, and is no
plain number) gets an apostrophe in front, as OWASP's advice on CSV injection has it (from memory).
"""

from __future__ import annotations

import csv
import io
import re
from typing import Any

BYTE_ORDER_MARK = "\ufeff"
COLUMNS = (
    "part", "specification", "revision", "clause", "form", "kind", "thing", "outcome", "reason", "limit", "actual", "margin", "margin unit",
    "time", "ns since start", "channel", "place", "allowance left", "phase from", "phase to", "excursions", "unknown stretches",
    "set aside", "flipped by", "notes", "file", "line",
)  # fmt: skip
_NUMBER = re.compile(r"[+-]?\d+(\.\d+)?")


def csv_text(document: dict[str, Any]) -> str:
    """The CSV of a verdicts document, header first, in its order."""
    out = io.StringIO()
    writer = csv.writer(out, lineterminator="\r\n")
    writer.writerow(COLUMNS)
    for verdict in document["verdicts"]:
        writer.writerow([safe(cell) for cell in _row(verdict)])
    return BYTE_ORDER_MARK + out.getvalue()


def safe(cell: str) -> str:
    """The cell so that no spreadsheet computes it."""
    return f"'{cell}" if cell[:1] in ("=", "+", "-", "@", "\t", "\r") and not _NUMBER.fullmatch(cell) else cell


def _row(verdict: dict[str, Any]) -> list[str]:
    margin = verdict["margin"] or {}
    at = margin.get("at") or {}
    possible = (verdict["phase"] or {}).get("possible", {})
    named = (margin.get("channel") or "").split(" - ")
    own = [sample for sample in verdict["evidence"] if sample["channel"] in named]  # not what stands beside a dropout
    evidence = _deciding(own or verdict["evidence"], at.get("ns"))
    cells = [
        *(
            verdict[name]
            for name in (
                "part",
                "specification",
                "revision",
                "clause",
                "form",
                "kind",
                "thing",
                "outcome",
                "reason",
                "limit",
            )
        ),
        *(margin.get(name) for name in ("actual", "value", "unit")),
        *(at.get(name) for name in ("time", "ns")),
        *(margin.get(name) for name in ("channel", "place")),
        "; ".join(f"{one['left']} {one['what']}" for one in verdict["allowance_left"]),
        *((possible.get(end) or {}).get("time") for end in ("from", "to")),
        *(len(verdict[name]) for name in ("excursions", "unknown", "set_aside")),
        "; ".join(f"{r['definition']}: {r['actual']}, {r['outcome']}" for r in verdict["other_readings"] if r["flips"]),
        "; ".join(verdict["notes"]),
        *(evidence.get(name) for name in ("file", "line")),
    ]
    return ["" if cell is None else str(cell) for cell in cells]


def _deciding(samples: list[dict[str, Any]], ns: int | None) -> dict[str, Any]:
    """The quoted sample at the deciding instant, or the one nearest to it."""
    if not samples:
        return {}
    return samples[0] if ns is None else min(samples, key=lambda sample: abs(sample["at"]["ns"] - ns))
