"""Bounded nonlinear least squares, with standard errors, confidence limits, and refusal where the data cannot tell.

The step is SciPy's trust-region reflective method; slopes by central differences unless given. Standard errors are those of the straight
model at the best fit, s √(J'J)⁻¹, with s² the sum of squares over the degrees of freedom: what the certified problems of NIST state.
A parameter that ends on its bound has no standard error of its own, and is named.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from numpy.typing import NDArray

    Residuals = Callable[[NDArray[np.float64]], NDArray[np.float64]]
    Slopes = Callable[[NDArray[np.float64]], NDArray[np.float64]]

RANK = 1e-9  # of the scaled slopes: the least singular value over the largest, below which the data cannot tell
TIGHT = 1e-15


class CannotTellError(CurewrightError):
    """The measurements do not determine what is asked of them."""


@dataclass(frozen=True)
class Fit:
    """The best values, in the order of ``names``; what the data leave open about them is the covariance."""

    names: tuple[str, ...]
    values: NDArray[np.float64]
    covariance: NDArray[np.float64]
    """shape (n, n); rows and columns of parameters on a bound are 0"""
    sum_of_squares: float
    degrees_of_freedom: int
    on_bound: tuple[str, ...] = ()

    @property
    def standard_errors(self) -> NDArray[np.float64]:
        """Of each value; not a number for those on a bound."""
        held = np.array([name in self.on_bound for name in self.names])
        return np.where(held, np.nan, np.sqrt(np.diag(self.covariance)))

    @property
    def residual_deviation(self) -> float:
        """s: the standard deviation of the residuals."""
        return float(np.sqrt(self.sum_of_squares / self.degrees_of_freedom))

    def limits(self, confidence: float = 0.95) -> tuple[NDArray[np.float64], NDArray[np.float64]]:
        """Lower and upper confidence limits of each value, by Student's distribution."""
        from scipy.stats import t as student

        reach = student.ppf(0.5 + confidence / 2.0, self.degrees_of_freedom) * self.standard_errors
        return self.values - reach, self.values + reach

    def value(self, name: str) -> float:
        """One value by its name."""
        return float(self.values[self.names.index(name)])

    def standard_error(self, name: str) -> float:
        """The standard error of one value by its name."""
        return float(self.standard_errors[self.names.index(name)])


def fit(
    residuals: Residuals,
    starts: Sequence[Sequence[float]],
    names: Sequence[str],
    *,
    bounds: Sequence[tuple[float, float]] | None = None,
    slopes: Slopes | None = None,
    rank: float = RANK,
    tight: float = TIGHT,
) -> Fit:
    """The values at which the sum of squared residuals is least, the best of several starts.

    residuals : parameters, shape (n,) → residuals, shape (m,), m > n. bounds : low and high of each, infinite where none.
    slopes : shape (m, n), where they are known exactly. tight : relative change at which the search ends. Raises
    :class:`CannotTellError` for too few data, where no start ends in a finite sum, and where the slopes leave a combination of
    parameters open (it is named).
    """
    from scipy.optimize import least_squares

    low, high = np.array(bounds if bounds is not None else [(-np.inf, np.inf)] * len(names), dtype=np.float64).T
    best = None
    for start in starts:
        begin = np.clip(np.array(start, dtype=np.float64), low, high)
        if not np.all(np.isfinite(residuals(begin))):
            continue
        with np.errstate(over="ignore", invalid="ignore"):  # of a step that is tried and not taken
            found = least_squares(
                residuals,
                begin,
                jac=slopes or (lambda x: differences(residuals, x, low, high)),
                bounds=(low, high),
                x_scale="jac",
                ftol=tight,
                xtol=tight,
                gtol=tight,
                max_nfev=2000,
            )
        if np.isfinite(found.cost) and (best is None or found.cost < best.cost):
            best = found
    if best is None:
        raise CannotTellError("no start gives finite residuals", expected="starts within what the law can take")
    x = np.array(best.x)
    J = slopes(x) if slopes else differences(residuals, x, low, high)
    return _fit(tuple(names), x, residuals(x), J, (low, high), rank)


def _fit(
    names: tuple[str, ...],
    x: NDArray[np.float64],
    r: NDArray[np.float64],
    J: NDArray[np.float64],
    bounds: tuple[NDArray[np.float64], NDArray[np.float64]],
    rank: float,
) -> Fit:
    reach = 1e-8 * np.maximum(np.abs(x), 1e-12)
    free = (x - bounds[0] > reach) & (bounds[1] - x > reach)
    freedom = r.size - int(free.sum())
    if freedom < 1:
        raise CannotTellError(
            f"{r.size} measurements for {int(free.sum())} unknowns", expected="more measurements than unknowns"
        )
    covariance = np.zeros((x.size, x.size))
    total = float(r @ r)
    if free.any():
        told = covariance_of(J[:, free], tuple(n for n, f in zip(names, free, strict=True) if f), rank)
        covariance[np.ix_(free, free)] = told * total / freedom
    held = tuple(name for name, is_free in zip(names, free, strict=True) if not is_free)
    return Fit(names, x, covariance, total, freedom, held)


def covariance_of(J: NDArray[np.float64], names: tuple[str, ...], rank: float = RANK) -> NDArray[np.float64]:
    """(J'J)⁻¹, shape (n, n), of slopes of shape (m, n). Raises :class:`CannotTellError` where they leave a combination of values open."""
    scale = np.sqrt((J * J).sum(axis=0))
    idle = [name for name, size in zip(names, scale, strict=True) if not size > 0.0]
    if idle:
        raise CannotTellError(
            f"the measurements do not depend on {', '.join(idle)}", remedy="hold it, or measure where it matters"
        )
    _, singular, directions = np.linalg.svd(J / scale, full_matrices=False)
    if not singular[-1] > rank * singular[0]:
        weights = np.abs(directions[-1])
        open_ones = [name for name, w in zip(names, weights, strict=True) if w > 0.1 * weights.max()]
        raise CannotTellError(
            f"the measurements tell only a combination of {', '.join(open_ones)}",
            expected="measurements that tell them apart, such as another temperature or heating rate",
            remedy="measure under other conditions, or hold one of them at a known value",
        )
    inverse = directions.T / singular**2 @ directions
    return np.asarray(inverse / np.outer(scale, scale), dtype=np.float64)


def differences(
    residuals: Residuals, x: NDArray[np.float64], low: NDArray[np.float64], high: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Slopes of the residuals, shape (m, n), by central differences of order 4 (one-sided of order 2 at a bound)."""
    columns = []
    for j in range(x.size):
        h = 1e-4 * max(abs(x[j]), 1e-6)
        if x[j] - 2 * h >= low[j] and x[j] + 2 * h <= high[j]:
            at = [residuals(_moved(x, j, k * h)) for k in (-2, -1, 1, 2)]
            columns.append((at[0] - 8.0 * at[1] + 8.0 * at[2] - at[3]) / (12.0 * h))
            continue
        h = 1e-5 * max(abs(x[j]), 1e-6)
        h = h if x[j] + 2 * h <= high[j] else -h
        at = [residuals(_moved(x, j, k * h)) for k in (0, 1, 2)]
        columns.append((-3.0 * at[0] + 4.0 * at[1] - at[2]) / (2.0 * h))
    return np.column_stack(columns)


def _moved(x: NDArray[np.float64], j: int, by: float) -> NDArray[np.float64]:
    moved = x.copy()
    moved[j] += by
    return moved
