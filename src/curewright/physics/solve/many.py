"""Many simulations: whoever wants several cores or machines passes a ``map`` down; a case that is refused does not stop the others."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from curewright.physics.solve.solve import TOLERANCE, Solution, solve
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from numpy.typing import NDArray

    from curewright.terms.stack import Face, Stack


@dataclass(frozen=True, eq=False)
class Case:
    """What :func:`curewright.physics.solve.solve.solve` is asked for once: a zone of a part, its faces, and the times of the output."""

    stack: Stack
    faces: tuple[Face, Face]
    times: NDArray[Any]
    start: float | None = None
    tolerance: float = TOLERANCE


def solve_case(case: Case) -> Solution | CurewrightError:
    """The solution of one case, or why there is none."""
    try:
        return solve(case.stack, case.faces, case.times, start=case.start, tolerance=case.tolerance)
    except CurewrightError as refused:
        return refused


def solve_all(
    cases: Sequence[Case], over: Callable[..., Iterable[Solution | CurewrightError]] = map
) -> list[Solution | CurewrightError]:
    """Each case's solution, or why there is none, in the order of the cases; ``over``: a map of several threads, cores or machines."""
    return list(over(solve_case, cases))
