"""A stack as a row of cells, and what its faces are exposed to as one line an interval between kinks."""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache
from math import ceil
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.kinetics.laws import LAWS, VALUES
from curewright.physics.solve.heat import (
    BOTTOM,
    C0,
    CA,
    CELL_ROWS,
    CT,
    K0,
    KA,
    KT,
    ON_FACE,
    PROGRAM_COLUMNS,
    RELEASED,
    RESISTANCE,
    START,
    TOP,
    WIDTH,
    A,
)
from curewright.physics.solve.rates import MOST_VALUES, form_of
from curewright.physics.solve.workspace import STRIDE
from curewright.terms.errors import CurewrightError
from curewright.terms.stack import Film, Layer

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.terms.course import Course
    from curewright.terms.stack import Face, Stack

FEWEST, MOST = 16, 80  # cells of a layer that cures
TOGETHER = 8  # cells that cure are worked on so many at a time: others would be left over
WIDEST = 5e-4  # m, of a cell that cures, until MOST is reached
KEPT = 64  # grids that are not made again for the next case
MOST_CELLS = STRIDE - 2
SIDES = "lower", "upper"
INERT = (3, 24)  # fewest and most cells of a layer that does not cure
INERT_WIDTH = 1.1  # √s: their width over the root of the diffusivity: heat crosses a cell in about a second


class StackError(CurewrightError):
    """A stack or a face that cannot be computed."""


@dataclass(frozen=True, eq=False)
class Grid:
    """A stack cut into cells, from the lower face up.

    cells : float64, shape (CELL_ROWS, n), see :mod:`curewright.physics.solve.heat`; blocks : uint64, shape (b, 4): first cell, end, law
    and form of each layer that cures; values : float64, shape (b, MOST_VALUES); on_faces: resistance on either face [m²K/W];
    cured : float64, shape (n,), at the start; parts: first cell and end of each layer, by its name;
    varying: whether any property depends on temperature or degree of cure.
    """

    cells: NDArray[np.float64]
    blocks: NDArray[np.uint64]
    values: NDArray[np.float64]
    on_faces: tuple[float, float]
    cured: NDArray[np.float64]
    parts: dict[str, tuple[int, int]]
    varying: bool

    @property
    def centres(self) -> NDArray[np.float64]:
        """Heights of the cells' middles above the lower face [m], shape (n,)."""
        ends = np.cumsum(self.cells[WIDTH])
        return np.asarray(ends - 0.5 * self.cells[WIDTH])


@lru_cache(maxsize=KEPT)
def grid_of(stack: Stack, finer: int = 1) -> Grid:
    """Cuts a stack into cells; ``finer``: how many times as many as usual in each layer."""
    layers = [one for one in stack.layers if isinstance(one, Layer)]
    _checked(stack, layers)
    counts = [finer * cells_of(layer) for layer in layers]
    if sum(counts) > MOST_CELLS:
        raise StackError(
            f"'{stack.name}' takes {sum(counts)} cells",
            expected=f"at most {MOST_CELLS}",
            remedy="ask for fewer cells a layer",
        )
    cells = np.zeros((CELL_ROWS, sum(counts)))
    cured = np.zeros(sum(counts))
    blocks, values, parts, first = [], [], {}, 0
    for layer, count in zip(layers, counts, strict=True):
        part = slice(first, first + count)
        cells[:, part] = _column(layer, count)[:, None]
        parts[layer.name] = (first, first + count)
        if layer.material.law:
            law = LAWS[layer.material.law]
            form, numbers = form_of(law, layer.material.constants)
            blocks.append((first, first + count, law, form))
            values.append(numbers)
            cured[part] = layer.material.start[0] if layer.cured is None else layer.cured
        first += count
    on_faces = _films(stack, cells, parts)
    return Grid(
        cells,
        np.array(blocks, dtype=np.uint64).reshape(-1, 4),
        np.array(values, dtype=np.float64).reshape(-1, MOST_VALUES),
        on_faces,
        cured,
        parts,
        any(any(one.material.specific_heat[1:]) or any(one.material.conductivity[1:]) for one in layers),
    )


def cells_of(layer: Layer) -> int:
    """Into how many cells a layer is cut."""
    if layer.material.law:
        usual = min(max(ceil(layer.thickness / WIDEST), FEWEST), MOST)
        return int(TOGETHER * ceil(max(usual, layer.cells) / TOGETHER))
    diffusivity = layer.material.conductivity_at(400.0) / (
        layer.material.density * layer.material.specific_heat_at(400.0)
    )
    usual = min(max(ceil(layer.thickness / (INERT_WIDTH * diffusivity**0.5)), INERT[0]), INERT[1])
    return int(max(usual, layer.cells))


def _column(layer: Layer, count: int) -> NDArray[np.float64]:
    """What each cell of a layer has in its column."""
    material, column = layer.material, np.zeros(CELL_ROWS)
    column[WIDTH] = layer.thickness / count
    column[[C0, CT, CA]] = material.density * np.array(material.specific_heat)
    column[[K0, KT, KA]] = material.conductivity
    column[RELEASED] = material.heat_of_cure
    return column


def _films(stack: Stack, cells: NDArray[np.float64], parts: dict[str, tuple[int, int]]) -> tuple[float, float]:
    """Puts films between layers into the cells above them; those on a face are returned."""
    waiting, lowest, below = 0.0, 0.0, False
    for one in stack.layers:
        if isinstance(one, Film):
            waiting += one.resistance
            continue
        if below:
            cells[RESISTANCE, parts[one.name][0]] = waiting
        else:
            lowest = waiting
        waiting, below = 0.0, True
    return lowest, waiting


def _checked(stack: Stack, layers: list[Layer]) -> None:
    """Raises what cannot be computed, naming the layer."""
    if not layers:
        raise StackError(f"the stack '{stack.name}' has no layer that stores heat", expected="at least one layer")
    names = [one.name for one in stack.layers]
    for name in names:
        if names.count(name) > 1:
            raise StackError(f"two layers of '{stack.name}' are called '{name}'", expected="a name of its own for each")
    for one in stack.layers:
        if isinstance(one, Film):
            if not 0.0 <= one.resistance < np.inf:
                raise StackError(
                    f"film '{one.name}' has a resistance of {one.resistance:g} m²K/W", expected="0 or more"
                )
            continue
        _checked_layer(one)


def _checked_layer(layer: Layer) -> None:
    material = layer.material
    if not 0.0 < layer.thickness < np.inf:
        raise StackError(f"layer '{layer.name}' is {layer.thickness:g} m thick", expected="a thickness above 0")
    for kelvin in (293.15, 453.15):
        if not (
            material.specific_heat_at(kelvin) > 0.0
            and material.conductivity_at(kelvin) > 0.0
            and material.density > 0.0
        ):
            raise StackError(
                f"material '{material.name}' of layer '{layer.name}' has no positive density, specific heat and conductivity",
                expected=f"positive values over a cure, at {kelvin:g} K too",
            )
    if not material.law:
        return
    if material.law not in LAWS or len(material.constants) != len(VALUES[material.law]):
        raise StackError(
            f"layer '{layer.name}' cures by '{material.law}' with {len(material.constants)} constants",
            expected="a law that there is, with all its constants: " + ", ".join(sorted(LAWS)),
        )
    low, high = material.start
    if layer.cured is not None and not low <= layer.cured <= high:
        raise StackError(
            f"layer '{layer.name}' is to start from a degree of cure of {layer.cured:g}",
            expected=f"{low:g} to {high:g}, from where the law of '{material.name}' may be started",
        )


def program_of(faces: tuple[Face, Face], start: float, end: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """What the faces are exposed to: the line of each interval between kinks, shape (m, PROGRAM_COLUMNS), and the law of each face."""
    program, ends = _program(tuple((face.gas, face.depends_on, face.imposed) for face in faces), start, end)
    laws = np.zeros((2, 4))
    for i, face in enumerate(faces):
        if face.depends_on is None:
            laws[i, :ON_FACE] = face.factor * face.a, 0.0, 1.0
            _checked_convection(i, laws[i, A], laws[i, A])
        else:
            laws[i, :ON_FACE] = face.factor * face.a, face.factor * face.b, face.exponent
            h = _convection_at_kinks(face, program, ends, (BOTTOM, TOP)[i] + 2)
            _checked_convection(i, h.min(), h.max())
    return program, laws


Courses = tuple["Course | None", "Course | None", "Course | None"]


# Courses are known by identity: the cases of a batch mostly share them. Nobody writes into what is kept.
@lru_cache(maxsize=8)
def _program(courses: tuple[Courses, ...], start: float, end: float) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """The lines of the intervals, and where each ends. Raises where a gas is not in kelvin."""
    for side, (gas, _, _) in zip(SIDES, courses, strict=True):
        if gas is not None and gas.value.min() <= 0.0:
            raise StackError(f"the gas at the {side} face is at {gas.value.min():g} K", expected="kelvin, above 0")
    different = {id(one): one for face in courses for one in face if one is not None}
    inside = [one.t[(one.t > start) & (one.t < end)] for one in different.values()]
    kinks = np.unique(np.concatenate([[start], *inside]))
    ends = np.append(kinks[1:], end)
    pieces = {name: _straight(one, kinks, ends) for name, one in different.items()}
    program = np.zeros((kinks.size, PROGRAM_COLUMNS))
    program[:, START] = kinks
    for first, face in zip((BOTTOM, TOP), courses, strict=True):
        program[:, first + 2] = 1.0
        for j, one in enumerate(face):
            if one is not None:
                program[:, first + 2 * j], program[:, first + 2 * j + 1] = pieces[id(one)]
    return program, ends


def _straight(
    course: Course, kinks: NDArray[np.float64], ends: NDArray[np.float64]
) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
    """Value at the begin of each interval between kinks, and slope over it; jumps lie between intervals."""
    if course.t.size == 1:
        return np.full(kinks.size, course.value[0]), np.zeros(kinks.size)
    if np.any(course.t[1:] == course.t[:-1]):
        after = np.searchsorted(course.t, kinks, side="right")
        before = np.searchsorted(course.t, ends, side="left")
        begin = np.array([_from_above(course, t, i) for t, i in zip(kinks, after, strict=True)])
        end = np.array([_from_below(course, t, i) for t, i in zip(ends, before, strict=True)])
    else:
        begin, end = np.interp(kinks, course.t, course.value), np.interp(ends, course.t, course.value)
    return begin, (end - begin) / (ends - kinks)


def _from_above(course: Course, t: float, after: int) -> float:
    """The value just after t; ``after``: index of the first point later than t."""
    if after == 0:
        return float(course.value[0])
    if course.t[after - 1] == t or after == course.t.size:
        return float(course.value[after - 1])
    return _on_line(course, t, after)


def _from_below(course: Course, t: float, before: int) -> float:
    """The value just before t; ``before``: index of the first point not earlier than t."""
    if before == course.t.size:
        return float(course.value[-1])
    if course.t[before] == t or before == 0:
        return float(course.value[before])
    return _on_line(course, t, before)


def _on_line(course: Course, t: float, i: int) -> float:
    share = (t - course.t[i - 1]) / (course.t[i] - course.t[i - 1])
    return float(course.value[i - 1] + share * (course.value[i] - course.value[i - 1]))


def _convection_at_kinks(
    face: Face, program: NDArray[np.float64], ends: NDArray[np.float64], column: int
) -> NDArray[np.float64]:
    """Convection of a face that depends on something, on both sides of every kink; between two kinks it lies between them."""
    u, slope = program[:, column], program[:, column + 1]
    with np.errstate(invalid="ignore", divide="ignore"):
        at = np.concatenate([u, u + slope * (ends - program[:, START])])
        return np.asarray(face.factor * (face.a + face.b * at**face.exponent))


def _checked_convection(side: int, low: float, high: float) -> None:
    """Raises where the convection of a face is not a number of 0 or more; ``low`` and ``high``: the least and the most it comes to."""
    if not 0.0 <= low <= high < np.inf:
        wrong = high if low >= 0.0 else low
        raise StackError(
            f"convection of the {SIDES[side]} face comes out as {wrong:g} W/m²K", expected="0 or more at all times"
        )
