"""Calorimeter runs of a resin, as somebody recorded them, and what is to be made of them."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from collections.abc import Mapping

    import numpy as np
    from numpy.typing import NDArray


@dataclass(frozen=True)
class CalorimeterRun:
    """One run: its file, and whether it was held at one temperature (else heated through the whole reaction)."""

    name: str
    file: str
    isothermal: bool
    line: int


@dataclass(frozen=True)
class Curve:
    """What one run recorded: time [s], temperature [K], and heat flow [W/kg, exothermal upwards] or degree of cure; shape (n,)."""

    t: NDArray[np.float64]
    T: NDArray[np.float64]
    signal: NDArray[np.float64]


@dataclass(frozen=True)
class Calorimetry:
    """The sheet: which runs, what they recorded, and which law is to be fitted from which first values (SI units)."""

    number: str
    author: str
    resin: str
    recorded: str
    """``heat flow`` or ``degree of cure``"""
    exotherm: str
    """``upwards`` or ``downwards``; empty for a recorded degree of cure"""
    columns: Mapping[str, tuple[str, str]]
    """heading and unit by what a column holds"""
    runs: tuple[CalorimeterRun, ...]
    total_heat: float | None
    """J per kg of resin; None: the mean of the heated runs"""
    at_start: float
    cured_at: float
    law: str
    first: Mapping[str, float]
    held: Mapping[str, float]
    levels: tuple[float, ...]
    card: str
    revision: str
    file: str = ""
