"""What a solved stack says at a place: at any depth of a layer, at its faces, and what a thermocouple there would show."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.solve.grid import StackError
from curewright.physics.solve.heat import K0, KA, KT, RESISTANCE, WIDTH

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.physics.solve.solve import Solution
    from curewright.terms.stack import Face, Probe


def temperature_at(solution: Solution, layer: str, depth: float) -> NDArray[np.float64]:
    """Temperature [K] at each time, shape (k,), at a fraction of a layer's thickness from its lower side (0 and 1: its own faces).

    Straight between the middles of cells and the layer's faces, where it follows from the heat flow through them: second order.
    """
    first, end = _part(solution, layer, depth)
    low, high = _own_faces(solution, first, end)
    return _between((first, end), depth, np.column_stack([low, solution.T[:, first:end], high]))


def cure_at(solution: Solution, layer: str, depth: float) -> NDArray[np.float64]:
    """Degree of cure at each time, shape (k,), there; towards a layer's faces carried on straight from the last two cells."""
    first, end = _part(solution, layer, depth)
    alpha = solution.alpha[:, first:end]
    low, high = alpha[:, 0], alpha[:, -1]
    if end - first > 1:
        low = np.clip(1.5 * alpha[:, 0] - 0.5 * alpha[:, 1], 0.0, 1.0)
        high = np.clip(1.5 * alpha[:, -1] - 0.5 * alpha[:, -2], 0.0, 1.0)
    return _between((first, end), depth, np.column_stack([low, alpha, high]))


def shown_by(solution: Solution, probe: Probe, faces: tuple[Face, Face]) -> NDArray[np.float64]:
    """What a thermocouple at that place shows [K] at each time, shape (k,): part of the air beside it, the rest of the place."""
    if not 0.0 <= probe.air <= 1.0 or probe.beside not in ("lower", "upper"):
        raise StackError(
            f"thermocouple '{probe.name}' sees {probe.air:g} of the air beside the '{probe.beside}' face",
            expected="0 to 1 of the air beside the 'lower' or the 'upper' face",
        )
    place = temperature_at(solution, probe.layer, probe.depth)
    if probe.air == 0.0:
        return place
    gas = faces[probe.beside == "upper"].gas.at(solution.t)
    return np.asarray(probe.air * gas + (1.0 - probe.air) * place)


def _part(solution: Solution, layer: str, depth: float) -> tuple[int, int]:
    parts = solution.grid.parts
    if layer not in parts:
        raise StackError(
            f"'{solution.stack.name}' has no layer '{layer}' that stores heat", expected="one of: " + ", ".join(parts)
        )
    if not 0.0 <= depth <= 1.0:
        raise StackError(
            f"a place {depth:g} of the way through '{layer}'", expected="0 (its lower side) to 1 (its upper side)"
        )
    return parts[layer]


def _between(part: tuple[int, int], depth: float, values: NDArray[np.float64]) -> NDArray[np.float64]:
    """Straight between the layer's faces and the middles of its cells, whose ``values``, shape (k, cells + 2), are given."""
    count = part[1] - part[0]
    heights = np.concatenate([[0.0], (np.arange(count) + 0.5) / count, [1.0]])
    i = min(int(np.searchsorted(heights, depth, side="right")), count + 1)
    share = (depth - heights[i - 1]) / (heights[i] - heights[i - 1])
    return np.asarray((1.0 - share) * values[:, i - 1] + share * values[:, i])


def _own_faces(solution: Solution, first: int, end: int) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Temperature [K] at each time of a layer's own lower and upper face."""
    T, n = solution.T, solution.T.shape[1]
    low = solution.surfaces[:, 0] if first == 0 else T[:, first] + _flow(solution, first) / _half(solution, first)
    high = solution.surfaces[:, 1] if end == n else T[:, end - 1] - _flow(solution, end) / _half(solution, end - 1)
    return low, high


def _half(solution: Solution, i: int) -> NDArray[np.float64]:
    """Conductance of half of cell i [W/m²K] at each time."""
    cells = solution.grid.cells[:, i]
    k = cells[K0] + cells[KT] * solution.T[:, i] + cells[KA] * solution.alpha[:, i]
    return np.asarray(2.0 * k / cells[WIDTH])


def _flow(solution: Solution, i: int) -> NDArray[np.float64]:
    """Heat flow upwards from cell i - 1 to cell i [W/m²] at each time."""
    resistance = 1.0 / _half(solution, i - 1) + solution.grid.cells[RESISTANCE, i] + 1.0 / _half(solution, i)
    return np.asarray((solution.T[:, i - 1] - solution.T[:, i]) / resistance)
