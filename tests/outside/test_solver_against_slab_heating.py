"""The solver against a measurement: a stack of five ceramic boards under 50 kW/m² of radiation, thermocouples at three depths.

Data: Leventon and De Lannoye (2023), NIST, doi:10.18434/mds2-2940. Everything that goes in is stated with the data or textbook: nothing is
fitted to the temperatures. Radiation is made here, through the face: absorbed heat as an imposed flow, emission as a convection
that is found again from the surface temperature until it no longer changes. Later than 600 s the edges of the discs lose heat.
"""

from __future__ import annotations

import numpy as np

from curewright.physics.solve.places import temperature_at
from curewright.physics.solve.solve import solve
from curewright.terms.course import Course, course, steady
from curewright.terms.material import LayerMaterial
from curewright.terms.stack import Face, Layer, Stack

END = 600.0
STEFAN_BOLTZMANN = 5.670374419e-8
EMISSIVITY = 0.95  # of the paint; README of the data
SURROUNDINGS = 298.0  # K: gas at 20 to 30 °C, walls at 14 to 18 °C
DISC = 5.72e-3  # m
DENSITY, SPECIFIC_HEAT = 256.0, 1070.0  # README, table 4
# Conductivity of table 4: 260 °C 0.0576, 538 °C 0.085, 816 °C 0.125 W/mK
TABLE = np.array([[533.15, 0.0576], [811.15, 0.085], [1089.15, 0.125]])
# README, table 1: flux over its steady value, by stretches of time (middle of each)
FLUX = [
    (0.0, 0.9401),
    (10.0, 0.9401),
    (35.0, 0.9598),
    (90.0, 0.9831),
    (150.0, 0.9946),
    (210.0, 0.9987),
    (270.0, 1.0),
    (450.0, 1.0004),
]


def board(below: np.ndarray, above: np.ndarray) -> LayerMaterial:
    """The table, held below its first value, as the straight line that fits it best at the temperatures that a disc goes through.

    Those are taken as straight between its two faces, whose temperatures over time are given: of the conductivity only.
    """
    T = np.concatenate([below + share * (above - below) for share in (0.0, 0.25, 0.5, 0.75, 1.0)])
    slope, at_zero = np.polyfit(T, np.interp(T, TABLE[:, 0], TABLE[:, 1]), 1)
    return LayerMaterial("ceramic board", DENSITY, (SPECIFIC_HEAT, 0.0, 0.0), (float(at_zero), float(slope), 0.0))


def free_convection(surface: float) -> float:
    """Hot plate facing up, Nu = 0.54 Ra^¼ with L = D/4 (McAdams; from memory); nitrogen at the film temperature (from memory)."""
    film = 0.5 * (surface + SURROUNDINGS)
    conductivity = 0.0259 * (film / 300.0) ** 0.8
    viscosity = 15.9e-6 * (film / 300.0) ** 1.7
    length = 0.0825 / 4.0
    rayleigh = 9.81 / film * max(surface - SURROUNDINGS, 1.0) * length**3 * 0.7 / viscosity**2
    return float(0.54 * rayleigh**0.25 * conductivity / length)


def test_ceramic_boards_under_radiation_within_12_K_at_three_depths(shared_data):
    data = np.loadtxt(shared_data / "slab_heating" / "Black-Insulation_q50_Temp.csv", delimiter=",", skiprows=2)
    data = data[data[:, 0] <= END]
    times = np.arange(0.0, END + 1.0, 2.0)
    cold = np.full(len(data), 290.3)
    between = [
        cold,
        cold + 20.0,
        data[:, 3],
        data[:, 2],
        data[:, 1],
        np.full(len(data), 900.0),
    ]  # faces of the discs, from below
    stack = Stack("boards", tuple(Layer(f"disc {i + 1}", board(*between[i : i + 2]), DISC, cells=24) for i in range(5)))
    absorbed = course([(t, 50e3 * EMISSIVITY * share) for t, share in FLUX])
    back = Face(steady(SURROUNDINGS), 10.0)  # onto an aluminium disc on a stand: hardly warmer in ten minutes
    surface = np.full(times.size, 600.0)
    for _ in range(40):
        emission = EMISSIVITY * STEFAN_BOLTZMANN * (surface**2 + SURROUNDINGS**2) * (surface + SURROUNDINGS)
        h = emission + [free_convection(T) for T in surface]
        front = Face(steady(SURROUNDINGS), b=1.0, depends_on=Course(times, h), imposed=absorbed)
        solution = solve(stack, (back, front), times, start=290.3)
        change = np.abs(solution.surfaces[:, 1] - surface).max()
        surface = 0.5 * (surface + solution.surfaces[:, 1])
        if change < 0.05:
            break
    assert change < 0.05
    for column, layer in ((1, "disc 5"), (2, "disc 4"), (3, "disc 3")):
        found = np.interp(data[:, 0], times, temperature_at(solution, layer, 0.0))
        assert np.abs(found - data[:, column]).max() < 12.0, (layer, float(np.abs(found - data[:, column]).max()))
    assert solution.surfaces[-1, 1] > 900.0
