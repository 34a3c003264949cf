"""Two recordings of one signal held against each other at an offset of the clocks: residuals, slopes, weights, chi-square.

Model: b_ij = f_j(s_i - d - r (s_i - s_0)) + c_j + error, d the offset, r the drift, c_j the constant of signal j (two recorders never
agree exactly). f is the finer of the two recordings, smoothed; b are the coarser one's samples.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.clocks.smoothing import Smooth, smoothed

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

FEWEST = 6  # instants of the coarser recorder that have to lie on known stretches of the finer one
BIAS = 3.0  # prior standard deviation of a signal's constant where nothing is stated [its unit]


class ClockNotToldError(ValueError):
    """The signals do not tell the offset; the message says why."""


@dataclass(frozen=True, eq=False)
class Shared:
    """A signal that both recorded: instants [s, each by its own recorder's clock] and good values of either.

    ``bias``: prior standard deviation of the difference of the two recorders, in the unit of the values.
    """

    name: str
    t: Floats
    v: Floats
    t2: Floats
    v2: Floats
    bias: float = BIAS
    longest: float = np.inf  # s: no value is taken between samples of the first that are further apart


@dataclass(frozen=True, eq=False)
class Pair:
    """One signal, ready: the finer one smoothed, the samples of the coarser one, and noise variances of both."""

    name: str
    smooth: Smooth
    t: Floats
    v: Floats
    var_fine: float
    var_coarse: float
    bias: float


@dataclass(frozen=True, eq=False)
class Met:
    """What an offset gives for one signal: residuals, slopes and weights at the samples that meet a known stretch."""

    which: NDArray[np.int64]
    residual: Floats
    slope: Floats
    weight: Floats
    constant: float
    false_slopes: float


def interval_of(times: Sequence[Floats]) -> float:
    """The usual time between samples [s]: the median over the signals of each one's median."""
    return float(np.median([np.median(np.diff(t)) for t in times]))


def pair_of(signal: Shared, coarse: float, within: float, *, first_finer: bool) -> Pair:
    """A signal made ready: the finer recording smoothed over what the search can reach, the coarser one as it is."""
    fine_t, fine_v, t, v = (
        (signal.t, signal.v, signal.t2, signal.v2) if first_finer else (signal.t2, signal.v2, signal.t, signal.v)
    )
    near = (fine_t > t[0] - within - 10 * coarse) & (fine_t < t[-1] + within + 10 * coarse)
    fine_t, fine_v = (fine_t[near], fine_v[near]) if near.sum() > FEWEST else (fine_t, fine_v)
    step = interval_of([fine_t])
    width = max(5 * step, 2 * coarse)
    longest = min(signal.longest, max(3 * step, width))
    smooth = smoothed(fine_t, fine_v, step, width, longest)
    return Pair(signal.name, smooth, t, v, noise_of(fine_v), noise_of(v), signal.bias)


def noise_of(v: Floats) -> float:
    """Variance of one sample from second differences, which hardly see a slow signal; at least that of its resolution."""
    steps = np.abs(np.diff(v))
    resolution = float(steps[steps > 0].min()) if (steps > 0).any() else 0.0
    second = v[:-2] - 2 * v[1:-1] + v[2:]
    spread = float(np.median(np.abs(second))) / 0.6745
    return max(spread**2 / 6.0, resolution**2 / 12.0, 1e-12)


def met_at(pair: Pair, lag: float, drift: float, middle: float) -> Met:
    """Residuals of one signal with the coarser clock ``lag`` s ahead; its constant taken out, drawn to 0 by its prior."""
    where = pair.t - lag - drift * (pair.t - middle)
    node = np.clip(np.searchsorted(pair.smooth.t, where) - 1, 0, len(pair.smooth.t) - 2)
    gap = pair.smooth.t[node + 1] - pair.smooth.t[node]
    share = np.clip((where - pair.smooth.t[node]) / gap, 0, 1)
    inside = (where >= pair.smooth.t[0]) & (where <= pair.smooth.t[-1])
    value = pair.smooth.value[node] * (1 - share) + pair.smooth.value[node + 1] * share
    which = np.flatnonzero(inside & np.isfinite(value))
    if not len(which):
        nothing = np.empty(0)
        return Met(which, nothing, nothing, nothing, 0.0, 0.0)
    node, share = node[which], share[which]
    slope = pair.smooth.slope[node] * (1 - share) + pair.smooth.slope[node + 1] * share
    weight = 1.0 / (pair.var_coarse + pair.var_fine * pair.smooth.noise[node])
    apart = pair.v[which] - value[which]
    total = weight.sum()
    constant = float((weight * apart).sum() / (total + 1.0 / pair.bias**2))
    false = float((weight * pair.smooth.slope_noise[node]).sum() * pair.var_fine)
    return Met(which, apart - constant, slope, weight, constant, false)


def misfit(pairs: Sequence[Pair], lag: float, drift: float = 0.0, middle: float = 0.0) -> tuple[float, int, int]:
    """(chi-square, degrees of freedom, instants) at an offset."""
    total, free = 0.0, 0
    instants: list[Floats] = []
    for pair in pairs:
        at = met_at(pair, lag, drift, middle)
        if len(at.which):
            total += float((at.weight * at.residual**2).sum()) + (at.constant / pair.bias) ** 2
            free += len(at.which)
            instants.append(pair.t[at.which])
    return total, free, len(np.unique(np.concatenate(instants))) if instants else 0


def normal_equations(pairs: Sequence[Pair], lag: float, drift: float, middle: float) -> tuple[Floats, Floats]:
    """Normal matrix and right side for (offset, drift); residual = b - f(s - d): its derivative by d is the slope."""
    normal, right = np.zeros((2, 2)), np.zeros(2)
    for pair in pairs:
        at = met_at(pair, lag, drift, middle)
        if not len(at.which):
            continue
        rows = rows_of(pair, at, middle)
        normal += (at.weight * rows) @ rows.T
        right -= (at.weight * rows) @ at.residual
    return normal, right


def rows_of(pair: Pair, at: Met, middle: float) -> Floats:
    """Derivatives by offset and drift, with the signal's constant taken out, shape (2, n)."""
    rows = np.stack([at.slope, at.slope * (pair.t[at.which] - middle)])
    share = at.weight / (at.weight.sum() + 1.0 / pair.bias**2)
    centred: Floats = rows - (rows @ share)[:, None]
    return centred
