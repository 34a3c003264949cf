"""Temperature and degree of cure through a stack over a cure: one plain function.

See docs/solver.md for the method, its orders and its errors as measured.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import cached_property
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.solve import march as marching
from curewright.physics.solve.grid import Grid, StackError, grid_of, program_of
from curewright.physics.solve.heat import ON_FACE
from curewright.physics.solve.output import at_faces

if TYPE_CHECKING:
    from numpy.typing import ArrayLike, NDArray

    from curewright.terms.material import LayerMaterial
    from curewright.terms.stack import Face, Stack

TOLERANCE = 0.02  # K, of one step
BALANCE = 1e-4  # how far the heat balance may be open, relative to what is exchanged or released
STEEPEST = 0.1  # difference of degree of cure between neighbouring cells from which on a reaction front is not resolved
MOST_FINER = 8
MOST_STEPS = 2_000_000
FIRST, LONGEST = 45.0, 3600.0  # s, of a step: the first at the start and, at least, after a kink; the longest
EVERYWHERE = (0.0, float("inf"))  # K


class NotResolvedError(StackError):
    """A simulation whose result would not be right, and is therefore not given."""


@dataclass(frozen=True)
class HeatBalance:
    """Where the heat went, per area [J/m²]: in through either face, out of the reaction, into the layers.

    The flows through the faces are integrated apart from the steps of the cells. ``open``: what does not add up, relative to the larger of
    released and exchanged (the latter counted without sign).
    """

    lower: float
    upper: float
    released: float
    stored: float
    exchanged: float

    @property
    def open(self) -> float:
        """(in + released - stored) over the larger of released and exchanged; 0 where nothing happened."""
        scale = max(abs(self.released), self.exchanged)
        return (self.lower + self.upper + self.released - self.stored) / scale if scale else 0.0


@dataclass(frozen=True, eq=False)
class Solution:
    """A simulated cure of one stack.

    t : float64, shape (k,) [s]; T [K], alpha [1] : float64, shape (k, n), in the middles of the n cells; exposed: program and laws of the
    faces, as :func:`curewright.physics.solve.grid.program_of` makes them. ``finer``: by how much the grid was refined to resolve what
    happened; notes: what whoever uses it has to be told.
    """

    stack: Stack
    grid: Grid
    t: NDArray[np.float64]
    T: NDArray[np.float64]
    alpha: NDArray[np.float64]
    exposed: tuple[NDArray[np.float64], NDArray[np.float64]]
    heat: HeatBalance
    steps: int
    refused: int
    finer: int
    notes: tuple[str, ...]

    @property
    def surfaces(self) -> NDArray[np.float64]:
        """Temperatures [K] of the lower and of the upper surface, shape (k, 2)."""
        return self._at_faces[:, :2]

    @property
    def flows(self) -> NDArray[np.float64]:
        """Heat flows into the stack [W/m²] through the lower and the upper face, shape (k, 2); at a jump, the one before it."""
        return self._at_faces[:, 2:]

    @cached_property
    def _at_faces(self) -> NDArray[np.float64]:
        """Worked out when it is first asked for: most of a batch is never asked."""
        program, laws = self.exposed
        return at_faces(self.grid.cells, laws, program, self.t, self.T, self.alpha)


def solve(
    stack: Stack,
    faces: tuple[Face, Face],
    times: ArrayLike,
    *,
    start: float | NDArray[np.float64] | None = None,
    tolerance: float = TOLERANCE,
    finer: int = 0,
) -> Solution:
    """Temperature and degree of cure of a stack between the first and the last of ``times``, put out at each of them.

    stack : layers from the lower face up; faces : what the lower and the upper face are exposed to
    times : float64, shape (k,), increasing [s]; of the faces' courses
    start : temperature at the first time [K], one or for each cell; None: that of the lower face's gas
    tolerance : of one step [K]; errors come out at about its size (docs/solver.md). finer : cells per usual cell; 0: as needed

    Returns a :class:`Solution`. Raises :class:`StackError` for what cannot be computed, :class:`NotResolvedError` where a reaction front
    is too thin for any grid that is allowed, or the heat balance does not close to 1e-4.
    """
    at = _checked_times(times)
    if not 0.0 < tolerance < 10.0:
        raise StackError(f"a tolerance of {tolerance:g} K", expected="above 0, below 10")
    program, laws = program_of(faces, float(at[0]), float(at[-1]))
    begin = float(program[0, 1]) if start is None else start
    asked, tightest = finer, tolerance / 64.0
    finer = max(finer, 1)
    while True:
        solution, steepest = _once(stack, (program, laws), at, begin, (tolerance / finer, finer))
        if steepest > STEEPEST:
            if asked or finer >= MOST_FINER:
                raise _front(stack, steepest)
            finer *= 2
        elif abs(solution.heat.open) > BALANCE and tolerance > tightest:
            tolerance /= 4.0
        else:
            return _balanced(solution)


def _once(
    stack: Stack,
    exposed: tuple[NDArray[np.float64], NDArray[np.float64]],
    at: NDArray[np.float64],
    start: float | NDArray[np.float64],
    fineness: tuple[float, int],
) -> tuple[Solution, float]:
    """One march on one grid, and the greatest difference of degree of cure between neighbouring cells."""
    tolerance, finer = fineness
    grid, (program, laws) = grid_of(stack, finer), exposed
    n = grid.cured.size
    laws[:, ON_FACE] = grid.on_faces
    begin = np.empty((2, n))
    begin[0], begin[1] = start, grid.cured
    control = np.array([tolerance, 1e-3 * tolerance, FIRST, LONGEST, MOST_STEPS, 10.0 * tolerance])
    T, alpha = np.empty((at.size, n)), np.empty((at.size, n))
    found = np.zeros(marching.FOUND)
    status = marching.march(
        grid.cells, grid.blocks, grid.values, laws, program, begin, at, control, grid.varying, T, alpha, found
    )
    steps, refused, _, lower, upper, exchanged, stored, released, steepest = found.tolist()
    if status != marching.DONE:
        raise NotResolvedError(
            f"the simulation of '{stack.name}' came to no end after {steps:.0f} steps",
            expected="an end of the cure",
            remedy="look for a property or an air temperature that is out of the ordinary",
        )
    heat, notes = HeatBalance(lower, upper, released, stored, exchanged), _notes(stack, grid, T, finer)
    solution = Solution(stack, grid, at, T, alpha, exposed, heat, int(steps), int(refused), finer, notes)
    return solution, steepest


def _front(stack: Stack, steepest: float) -> NotResolvedError:
    return NotResolvedError(
        f"in '{stack.name}' the degree of cure differs by {steepest:.2f} between neighbouring cells: a reaction front that the grid does"
        " not resolve",
        expected=f"at most {STEEPEST:g}",
        remedy="heat more slowly or hold longer before the reaction runs away, or cut the layer into more cells",
    )


def _checked_times(times: ArrayLike) -> NDArray[np.float64]:
    at = np.ascontiguousarray(times, dtype=np.float64)
    if at.ndim != 1 or not marching.increasing(at):
        raise StackError("the times asked for do not increase", expected="at least two, each later than the one before")
    return at


def _balanced(solution: Solution) -> Solution:
    """The solution, if its heat balance closes."""
    if not abs(solution.heat.open) <= BALANCE:
        raise NotResolvedError(
            f"the heat balance of '{solution.stack.name}' stays open by {solution.heat.open:.1e} of the heat",
            expected=f"at most {BALANCE:g}",
            remedy="ask for a smaller tolerance",
        )
    return solution


def _notes(stack: Stack, grid: Grid, T: NDArray[np.float64], finer: int) -> tuple[str, ...]:
    """What the materials say, and where temperatures leave the range of their numbers."""
    notes = []
    if finer > 1:
        notes.append(f"the grid is {finer} times as fine as usual: a steep reaction front")
    for layer in stack.layers:
        if layer.name not in grid.parts:
            continue
        material = layer.material  # type: ignore[union-attr]
        if material.temperature != EVERYWHERE:
            notes += _outside(layer.name, material, T[:, slice(*grid.parts[layer.name])])
        notes += [f"layer '{layer.name}': {warning}" for warning in material.warnings]
    return tuple(notes)


def _outside(layer: str, material: LayerMaterial, T: NDArray[np.float64]) -> list[str]:
    low, high = float(T.min()), float(T.max())
    if low >= material.temperature[0] and high <= material.temperature[1]:
        return []
    return [
        f"layer '{layer}' is at {low - 273.15:.0f} to {high - 273.15:.0f} °C, outside of what the numbers of '{material.name}' hold for"
    ]
