"""A survey of a vessel's convection: a body of known heat capacity that was heated by the gas at several pressures."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping


@dataclass(frozen=True)
class SurveyRun:
    """One run: its file, and the pressure it was held at [Pa absolute]."""

    file: str
    pressure: float
    line: int


@dataclass(frozen=True)
class Survey:
    """The sheet: what the body was (SI units), and which runs heated it. ``area``: the surface that the gas sees."""

    number: str
    author: str
    vessel: str
    body: str
    mass: float
    specific_heat: float
    area: float
    half_thickness: float
    conductivity: float
    columns: Mapping[str, tuple[str, str]]
    """heading and unit of ``time``, ``air`` and ``body``"""
    runs: tuple[SurveyRun, ...]
    file: str = ""
