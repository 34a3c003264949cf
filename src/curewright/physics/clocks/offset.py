"""How far one recorder's clock is ahead of another's: least squares over every signal that both recorded.

The coarser recorder's samples are held against the smoothed finer ones at every offset of a wide search. The offset is the one that fits
best; it is refused where another one, far away, fits as well, or where the signals are too flat to tell.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.clocks.signals import (
    FEWEST,
    ClockNotToldError,
    Pair,
    Shared,
    interval_of,
    met_at,
    misfit,
    noise_of,
    normal_equations,
    pair_of,
)
from curewright.physics.clocks.smoothing import NODES
from curewright.physics.clocks.uncertainty import uncertainty

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

WITHIN = 5400.0  # s: how far apart two clocks are looked for (a clock left on summer time is an hour off)
MOST = 16  # signals that are used: those that moved most, in units of their own scatter
DRIFT_TOLD, DRIFT_SEEN = 30e-6, 100e-6  # a drift is told to so much at most; or to so much, if it is four times that


@dataclass(frozen=True)
class ClockFit:
    """The second clock shows ``ahead`` s more than the first at ``at`` (first clock, s), with standard uncertainty.

    ``drift`` and ``drift_standard`` in ppm, None where not told. ``differences``: of each signal, how much more the second
    reads on average and the standard deviation of the residuals.
    """

    ahead: float
    standard: float
    at: float
    drift: float | None
    drift_standard: float | None
    instants: int
    differences: tuple[tuple[str, float, float], ...]


def clock_offset(signals: Sequence[Shared], *, within: float = WITHIN) -> ClockFit:
    """How far the second clock is ahead of the first, from signals that both recorded.

    Raises :class:`ClockNotToldError` where nothing is shared, too little overlaps, all is too flat, or several offsets fit.
    """
    usable = [signal for signal in signals if len(signal.t) > FEWEST and len(signal.t2) >= FEWEST]
    usable = sorted(usable, key=_worth, reverse=True)[:MOST]
    if not usable:
        raise ClockNotToldError("no signal was recorded by both for long enough")
    first_finer = interval_of([s.t for s in usable]) <= interval_of([s.t2 for s in usable])
    sign = 1.0 if first_finer else -1.0
    coarse = interval_of([s.t2 if first_finer else s.t for s in usable])
    pairs = [pair_of(signal, coarse, within, first_finer=first_finer) for signal in usable]
    lag = _best(pairs, within, coarse)
    lag = _refined(pairs, lag)
    middle = _middle(pairs, lag)
    moved, drift = _with_drift(pairs, lag, middle)
    u, u_drift = uncertainty(pairs, moved, drift, middle)
    told = u_drift <= DRIFT_TOLD or (u_drift <= DRIFT_SEEN and abs(drift) > 4 * u_drift)
    if told:
        lag = moved
    else:
        u, drift = uncertainty(pairs, lag, 0.0, middle)[0], 0.0
    at_first = middle - lag if first_finer else middle
    instants, differences = _differences(pairs, (lag, drift, middle), sign)
    told_drift, told_u = (sign * drift * 1e6, u_drift * 1e6) if told else (None, None)
    return ClockFit(sign * lag, u, at_first, told_drift, told_u, instants, differences)


def _differences(
    pairs: Sequence[Pair], clock: tuple[float, float, float], sign: float
) -> tuple[int, tuple[tuple[str, float, float], ...]]:
    """How many instants told the offset, and by how much the second recorder reads more in each signal."""
    met = [(pair, at) for pair in pairs if len((at := met_at(pair, *clock)).which)]
    instants = np.unique(np.concatenate([pair.t[at.which] for pair, at in met]))
    return len(instants), tuple(
        (pair.name, sign * at.constant, float(np.sqrt(np.mean(at.residual**2)))) for pair, at in met
    )


def _worth(signal: Shared) -> float:
    """How much a signal tells: how far it moved while the second recorder went on, in units of its scatter."""
    return float(np.ptp(signal.v2)) / float(np.sqrt(noise_of(signal.v2)))


def _best(pairs: Sequence[Pair], within: float, coarse: float) -> float:
    """The offset that fits best, and no other nearly as well. Raises :class:`ClockNotToldError`."""
    fine = min(float(np.median(np.diff(pair.smooth.t))) * NODES for pair in pairs)
    lags = np.arange(-within, within + fine, max(fine / 2, within / 3000))
    thin = [_thinned(pair) for pair in pairs]
    found = [misfit(thin, float(lag)) for lag in lags]
    enough = np.array([instants >= FEWEST for _, _, instants in found])
    if not enough.any():
        raise ClockNotToldError(
            f"fewer than {FEWEST} samples of the second recorder meet stretches that the first knows"
        )
    chi = np.array([total for total, _, _ in found])
    free = np.array([max(n - len(pairs) - 1, 1) for _, n, _ in found])
    each = np.where(enough, chi / free, np.inf)
    best = int(np.argmin(each))
    scale = float(each[best])
    as_good = enough & (chi / scale <= free + 3.0 * np.sqrt(2.0 * free) + 9.0)
    far = as_good & (np.abs(lags - lags[best]) > max(within / 6, 5 * coarse))
    if far.sum() > 0 or as_good.sum() > 0.5 * enough.sum():
        least, most = lags[as_good].min(), lags[as_good].max()
        raise ClockNotToldError(
            f"offsets from {least:.0f} s to {most:.0f} s fit nearly as well: too flat, or repeating"
        )
    if best in (0, len(lags) - 1):
        raise ClockNotToldError(f"the best offset lies at the end of the search, {lags[best]:.0f} s")
    return float(lags[best])


def _thinned(pair: Pair) -> Pair:
    step = max(1, len(pair.t) // 400)
    return Pair(pair.name, pair.smooth, pair.t[::step], pair.v[::step], pair.var_fine, pair.var_coarse, pair.bias)


def _middle(pairs: Sequence[Pair], lag: float) -> float:
    """The instant (coarser clock) about which offset and drift hardly depend on each other."""
    weights, moments = 0.0, 0.0
    for pair in pairs:
        at = met_at(pair, lag, 0.0, 0.0)
        if len(at.which):
            information = at.weight * (at.slope - np.average(at.slope, weights=at.weight)) ** 2
            weights += float(information.sum())
            moments += float((information * pair.t[at.which]).sum())
    return moments / weights if weights else float(pairs[0].t.mean())


def _refined(pairs: Sequence[Pair], lag: float) -> float:
    """The offset by Gauss-Newton from the best one of the search, at most 30 s a step."""
    for _ in range(30):
        normal, right = normal_equations(pairs, lag, 0.0, _middle(pairs, lag))
        change = float(right[0] / normal[0, 0]) if normal[0, 0] > 0 else 0.0
        lag += float(np.clip(change, -30.0, 30.0))
        if abs(change) < 1e-4:
            break
    return lag


def _with_drift(pairs: Sequence[Pair], lag: float, middle: float) -> tuple[float, float]:
    """Offset at ``middle`` and drift by Gauss-Newton together."""
    drift = 0.0
    for _ in range(10):
        normal, right = normal_equations(pairs, lag, drift, middle)
        if np.linalg.det(normal) <= 0:
            break
        change = np.linalg.solve(normal, right)
        lag += float(np.clip(change[0], -30.0, 30.0))
        drift += float(np.clip(change[1], -1e-3, 1e-3))
    return lag, drift
