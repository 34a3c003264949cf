"""Where a sensor sat: its part or bag and the place on it, as the sensor map of the load says."""

from __future__ import annotations

from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from curewright.terms.load import Assignment, Load


class Places:
    """Looks up the line of the sensor map for a channel, a sensor or a position at an instant."""

    def __init__(self, load: Load) -> None:
        self._lines: dict[str, list[Assignment]] = {}
        for line in load.map:
            for name in dict.fromkeys((line.channel, line.sensor, line.position)):
                self._lines.setdefault(name, []).append(line)

    def of(self, channel: str, at: int | None) -> str:
        """``part 00123, edge top`` (or the role, for what sits on no part); empty where the map says nothing."""
        lines = self._lines.get(channel, [])
        line = next((one for one in lines if at is None or one.start <= at < one.end), lines[0] if lines else None)
        if line is None:
            return ""
        thing = f"{_sort_of(line.role)} {line.thing}".strip()
        return f"{thing}, {line.place}" if line.place else thing


def _sort_of(role: str) -> str:
    if role in ("judging", "information only"):
        return "part"
    if role in ("bag transducer", "source", "source valve"):
        return "bag"
    return "tool" if role == "tool" else ""
