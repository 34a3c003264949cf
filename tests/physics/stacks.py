"""Stacks and faces that several tests build: plain numbers in, nouns out."""

from __future__ import annotations

import numpy as np

from curewright.terms.course import Course, course, steady
from curewright.terms.material import LayerMaterial
from curewright.terms.stack import Face, Film, Layer, Probe, Stack

ZERO = 273.15
FIXED = 1e7  # W/m²K: as good as a face held at the temperature of the gas

# Constants as tabled in the works named (all second-hand or from memory; see the material cards)
LEE = (3.5017e7, -3.3567e7, 3266.7, 8.07e4, 7.78e4, 5.66e4, 0.47, 0.3)
TOUGHENED_H = (1.528e5, 6.65e4, 0.8129, 2.736, 43.09, -1.684, 5.475e-3)
TOUGHENED_N = (7.0e4, 6.5e4, 0.5, 1.5, 30.0, -1.5148, 5.171e-3)
POLYESTER = (6.167e20, 1.674e5, 0.524, 1.476)
OUT_OF_AUTOCLAVE = (8.23e7, 1.04e5, 82375.0, 62355.0, 0.75, 12.46, 0.9, 2.07, 40.4, -1.12, 4.53e-3)
SLOW_START = (2.53e4, 4.84e4, 60628.0, 61752.0, 0.55, 21.11, 0.8, 1.18, 44.3, -1.4, 5.33e-3)


def solid(density: float, specific_heat: float, conductivity: float) -> LayerMaterial:
    return LayerMaterial("a solid", density, (specific_heat, 0.0, 0.0), (conductivity, 0.0, 0.0))


def laminate(
    law: str, constants: tuple, heat: float, capacity: float, conductivity: float, start: float
) -> LayerMaterial:
    """heat [J/m³], capacity [J/m³K]."""
    return LayerMaterial(
        "a laminate",
        1000.0,
        (capacity / 1000.0, 0.0, 0.0),
        (conductivity, 0.0, 0.0),
        heat,
        law,
        constants,
        (start, 1.0),
    )


def minutes(*points: tuple[float, float]) -> Course:
    """A course of temperature through (minutes, °C)."""
    return course([(60.0 * t, ZERO + value) for t, value in points])


def cycle(start: float, *segments: tuple[float, float, float]) -> Course:
    """Ramps and holds: (K/min, °C, minutes of hold) each."""
    t, now, points = 0.0, start, [(0.0, start)]
    for rate, goal, hold in segments:
        t += abs(goal - now) / rate
        points.append((t, goal))
        t, now = t + hold, goal
        points.append((t, goal))
    return minutes(*points)


RESINS = {
    "lee": laminate("lee 1982", LEE, 198.9e3 * 1520, 1520 * 942.0, 0.4457, 0.0),
    "toughened H": laminate(
        "autocatalytic with diffusion", TOUGHENED_H, 0.426 * 1300 * 540e3, 1581 * 1051.0, 0.637, 0.01
    ),
    "toughened N": laminate(
        "autocatalytic with diffusion", TOUGHENED_N, 0.426 * 1300 * 540e3, 1581 * 1051.0, 0.637, 0.01
    ),
    "two rates": laminate(
        "two rates with diffusion", OUT_OF_AUTOCLAVE, 0.426 * 1300 * 561e3, 1581 * 1051.0, 0.6, 0.001
    ),
    "slow start": laminate("two rates with diffusion", SLOW_START, 0.42 * 1300 * 450e3, 1581 * 1051.0, 0.6, 0.001),
    "polyester": laminate("autocatalytic", POLYESTER, 77.5e3 * 1890, 1890 * 1260.0, 0.2163, 1e-3),
    "nth order": laminate("nth order", (1.0e6, 7.5e4, 1.3), 0.4 * 1300 * 400e3, 1581 * 1051.0, 0.6, 0.0),
    "kamal": laminate(
        "kamal sourour", (2.0e4, 2.0e5, 7.0e4, 6.4e4, 0.8, 1.6), 0.4 * 1300 * 400e3, 1581 * 1051.0, 0.6, 0.001
    ),
}
TOOLS = {
    "low-expansion": solid(8050, 515, 10.0),
    "steel": solid(7850, 434, 60.0),
    "aluminium": solid(2700, 896, 167.0),
    "carbon": solid(1550, 1000, 0.6),
}
BREATHER = solid(150, 1300, 0.07)


def random_case(seed: int, resin: str, thickness: float | None = None):
    """A stack of tool, laminate and breather with its faces and the end of its cycle: 5 to 50 mm, log-uniform, from the seed."""
    rng = np.random.default_rng(seed)
    thick = thickness or float(np.exp(rng.uniform(np.log(5e-3), np.log(50e-3))))
    tool = list(TOOLS.values())[rng.integers(len(TOOLS))]
    stack = Stack(
        f"{resin} {1000 * thick:.1f} mm",
        (
            Layer("tool", tool, float(rng.uniform(5e-3, 20e-3))),
            Layer("laminate", RESINS[resin], thick),
            Layer("breather", BREATHER, float(rng.uniform(1e-3, 4e-3))),
        ),
    )
    low, high = (90.0, 130.0) if resin == "polyester" else (rng.uniform(100, 130), rng.uniform(165, 185))
    air = cycle(
        20.0,
        (float(rng.uniform(0.5, 3.0)), float(low), float(rng.uniform(20, 90))),
        (float(rng.uniform(0.5, 3.0)), float(high), float(rng.uniform(90, 180))),
        (float(rng.uniform(1.0, 3.0)), 60.0, 0.0),
    )
    h = rng.uniform(20.0, 120.0, 2)
    return stack, (Face(air, float(h[0])), Face(air, float(h[1]))), float(air.t[-1])


__all__ = [
    "BREATHER", "FIXED", "LEE", "POLYESTER", "RESINS", "TOOLS", "TOUGHENED_H", "TOUGHENED_N", "ZERO", "Course", "Face", "Film", "Layer",
    "LayerMaterial", "Probe", "Stack", "course", "cycle", "laminate", "minutes", "random_case", "solid", "steady",
]  # fmt: skip
