"""Many simulations: whoever wants several cores or machines passes a ``map`` down; a case that is refused does not stop the others."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import TYPE_CHECKING, Any, TypeVar

from curewright.physics.solve.solve import TOLERANCE, Solution, solve
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Sequence

    from numpy.typing import NDArray

    from curewright.terms.stack import Face, Stack

Kept = TypeVar("Kept")


@dataclass(frozen=True, eq=False)
class Case:
    """What :func:`curewright.physics.solve.solve.solve` is asked for once: a zone of a part, its faces, and the times of the output."""

    stack: Stack
    faces: tuple[Face, Face]
    times: NDArray[Any]
    start: float | None = None
    tolerance: float = TOLERANCE


def whole(solution: Solution) -> Solution:
    """All of a solution: what is kept when nothing else is asked for."""
    return solution


def solve_case(case: Case, keep: Callable[[Solution], Kept] = whole) -> Kept | CurewrightError:  # type: ignore[assignment]
    """What is to be kept of the solution of one case, or why there is none."""
    try:
        return keep(solve(case.stack, case.faces, case.times, start=case.start, tolerance=case.tolerance))
    except CurewrightError as refused:
        return refused


def solve_all(
    cases: Sequence[Case],
    over: Callable[..., Iterable[Kept | CurewrightError]] = map,
    keep: Callable[[Solution], Kept] = whole,  # type: ignore[assignment]
) -> list[Kept | CurewrightError]:
    """What is to be kept of each case's solution, or why there is none, in the order of the cases.

    over: a map of several threads, cores or machines. keep: a function of a solution, such as what one thermocouple shows; a large batch
    should keep no more than it needs, for memory that is used again is several times as fast as new.
    """
    return list(over(partial(solve_case, keep=keep), cases))
