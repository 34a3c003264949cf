"""What a recorded run taught about a place: how well it is served by the vessel's air, and by how much its thermocouples are off."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class LearntOffset:
    """What has to be added to the model at a place of the sensor map to meet what was recorded there [K], with its standard error."""

    place: str
    offset: float
    standard_error: float


@dataclass(frozen=True)
class LearntZone:
    """A zone of a part on a tool, by numbers that come again in the next run; from which run, and how well the model met it.

    ``factor``: position factor of the tool's side, with its standard error. rms_before, rms_after [K]: recorded against replayed.
    """

    part_number: str
    tool: str
    zone: str
    factor: float
    standard_error: float
    offsets: tuple[LearntOffset, ...]
    run: str
    date: str
    rms_before: float
    rms_after: float
    samples: int
    line: int = 0
    not_kept: tuple[LearntOffset, ...] = ()
    """offsets that came out smaller than three standard errors: no answer, as of a factor (not in the file)"""
    by_sensor: tuple[tuple[str, float, float], ...] = ()
    """root mean square [K] of each thermocouple with the build-up alone and with this (not in the file)"""

    @property
    def origin(self) -> str:
        """Where the factor comes from, in words."""
        return f"fit to run {self.run}, {self.date}"
