"""The standard uncertainty of a clock offset and of a drift, the larger of several ways to look at what does not fit.

That of the weighted fit (scaled by the residuals); that of residuals taken together by instant and over neighbouring instants (Newey and
West 1987, Econometrica 55:703, Bartlett weights); that of the signals' own offsets among each other (Birge ratio, JCGM 100 practice); and
a third of half the stretch in which chi-square is within 9 of its least; times Student's t over the normal quantile for few instants.
Formulas from memory; the coverage of +-2 u is tried in tests/physics/test_clock_offset.py.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.clocks.signals import ClockNotToldError, Met, Pair, met_at, misfit, normal_equations, rows_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]


def uncertainty(pairs: Sequence[Pair], lag: float, drift: float, middle: float) -> tuple[float, float]:
    """Standard uncertainties of the offset [s] and of the drift."""
    normal, _ = normal_equations(pairs, lag, drift, middle)
    ats = [met_at(pair, lag, drift, middle) for pair in pairs]
    total, free, instants = misfit(pairs, lag, drift, middle)
    scale = total / max(free - len(pairs) - 1, 1)
    true = normal[0, 0] - min(scale, 1.0) * sum(at.false_slopes for at in ats)
    if true < 0.5 * normal[0, 0]:
        raise ClockNotToldError("the signals are too flat where both recorded: their slopes are no more than noise")
    student = _student(instants - 2)
    u_model = float(np.sqrt(scale / true))
    u_rows = _by_instant(pairs, ats, middle, true)
    u_signals = _among_signals(pairs, ats, middle, scale)
    u = max(u_model, u_rows, u_signals) * student
    u = max(u, _half_width(pairs, (lag, drift, middle), total, scale, u) / 3.0)
    u_drift = float(np.sqrt(scale / normal[1, 1])) * student * max(1.0, u / (u_model * student))
    return u, u_drift


def _by_instant(pairs: Sequence[Pair], ats: Sequence[Met], middle: float, true: float) -> float:
    """By residuals that belong together: of all signals at one instant (a reference junction), and of neighbours in time."""
    times = np.unique(np.concatenate([pair.t[at.which] for pair, at in zip(pairs, ats, strict=True)]))
    score, gain, mean, weights = (np.zeros(len(times)) for _ in range(4))
    alone = 0.0
    for pair, at in zip(pairs, ats, strict=True):
        if len(at.which):
            where = np.searchsorted(times, pair.t[at.which])
            row = at.weight * rows_of(pair, at, middle)[0]
            np.add.at(score, where, row * at.residual)
            np.add.at(gain, where, row)
            np.add.at(mean, where, at.weight * at.residual)
            np.add.at(weights, where, at.weight)
            alone += _spread(times[where], row, at.residual)
    together = _spread(times, gain, mean / weights)
    n = len(times)
    meat = max(float((score**2).sum()) * n / max(n - 2, 1), together, alone)
    return float(np.sqrt(meat) / true)


def _spread(t: Floats, gain: Floats, residual: Floats) -> float:
    """Variance of the sum of gain x residual where residuals fade as a first-order autoregression fitted to them.

    The autocorrelation of few residuals comes out too small; (1 + 3 rho) / n is added (Kendall 1954, Biometrika 41:403).
    """
    n = len(t)
    if n < 5:
        return float((gain**2 * residual**2).sum())
    power = float((residual**2).sum())
    first = float((residual[1:] * residual[:-1]).sum())
    rho = first / power if power > 0 else 0.0
    if rho > 1.0 / np.sqrt(n) and first > 0:
        second = float((residual[2:] * residual[:-2]).sum())
        rho = max(rho, second / first)
    rho = min(max(rho + (1 + 3 * max(rho, 0.0)) / n, 0.0), 0.98)
    fade = rho ** (np.diff(t) / np.median(np.diff(t)))
    forward = np.zeros(n)
    for i in range(1, n):
        forward[i] = (forward[i - 1] + gain[i - 1]) * fade[i - 1]
    worth = n * (1 - rho) / (1 + rho)  # so many independent residuals
    return float(((gain**2).sum() + 2 * (gain * forward).sum()) * power / max(n - 2, 1)) * _student(int(worth) - 2) ** 2


def _among_signals(pairs: Sequence[Pair], ats: Sequence[Met], middle: float, scale: float) -> float:
    """By how far the offsets that single signals would give lie apart (Birge ratio)."""
    steps, weights = [], []
    for pair, at in zip(pairs, ats, strict=True):
        if len(at.which) > 3:
            row = rows_of(pair, at, middle)[0]
            information = float((at.weight * row * row).sum()) - at.false_slopes
            if information > 0:
                steps.append(-float((at.weight * row * at.residual).sum()) / information)
                weights.append(information)
    if len(steps) < 2:
        return 0.0
    w, d = np.array(weights), np.array(steps)
    ratio = float((w * (d - np.average(d, weights=w)) ** 2).sum() / (len(d) - 1))
    return float(np.sqrt(max(ratio, scale) / w.sum()))


def _half_width(
    pairs: Sequence[Pair], clock: tuple[float, float, float], least: float, scale: float, u: float
) -> float:
    """Half the stretch around the offset in which chi-square is within 9 (scaled) of its least, looked for to 12 u."""
    lag, drift, middle = clock
    inside = []
    for step in np.linspace(-12 * u, 12 * u, 121):
        total, _, _ = misfit(pairs, lag + float(step), drift, middle)
        if total - least <= 9.0 * scale:
            inside.append(float(step))
    return max(abs(min(inside)), abs(max(inside))) if inside else 0.0


def _student(free: int) -> float:
    """Student's t over the normal quantile, both two-sided at 95 % (Cornish and Fisher's expansion; from memory)."""
    nu, z = max(free, 3), 1.96
    return (z + (z**3 + z) / (4 * nu) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * nu**2)) / z
