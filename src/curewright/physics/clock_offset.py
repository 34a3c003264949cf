"""How far one recorder's clock is ahead of another's, from signals that both recorded: least squares, with its uncertainty.

The finer of the two recordings is smoothed (local quadratics), the coarser one's samples are held against it at every
offset of a wide search, each signal with a constant of its own (two recorders never agree exactly). The offset is the
one that fits best; it is refused where another one, far away, fits as well, or where the signals are too flat to tell.

Model: b_ij = f_j(s_i - d - r (s_i - s_0)) + c_j + error, d the offset, r the drift, c_j the constant of signal j.
Standard uncertainty: the largest of that of the weighted fit (scaled by the residuals), that of residuals taken together
by instant and over neighbouring instants (Newey and West 1987, Econometrica 55:703, Bartlett weights), that of the signals'
own offsets among each other (Birge ratio, JCGM 100 practice), and a third of half the stretch in which chi-square is
within 9 of its least; times Student's t over the normal quantile for few instants. Formulas from memory; the coverage
of +-2 u is tried in tests/physics/test_clock_offset.py.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

WITHIN = 5400.0  # s: how far apart two clocks are looked for (a clock left on summer time is an hour off)
FEWEST = 6  # instants of the coarser recorder that have to lie on known stretches of the finer one
NODES = 4  # nodes of the smoothed signal between two samples
MOST = 16  # signals that are used: those that moved most, in units of their own scatter
DRIFT_TOLD, DRIFT_SEEN = 30e-6, 100e-6  # a drift is told to so much at most; or to so much, if it is four times that
BIAS = 3.0  # prior standard deviation of a signal's constant where nothing is stated [its unit]


class ClockNotToldError(ValueError):
    """The signals do not tell the offset; the message says why."""


@dataclass(frozen=True, eq=False)
class Shared:
    """A signal that both recorded: instants [s, each by its own recorder's clock] and good values of either.

    ``step``: the least difference that the recorders resolve together (in the unit of the values), 0 where not known.
    ``bias``: prior standard deviation of the difference of the two recorders.
    """

    name: str
    t: Floats
    v: Floats
    t2: Floats
    v2: Floats
    bias: float = BIAS
    longest: float = np.inf  # s: no value is taken between samples of the first that are further apart


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


@dataclass(frozen=True, eq=False)
class _Smooth:
    """A signal smoothed at nodes: value, slope, and the variances of both per unit variance of a sample; NaN where unknown."""

    t: Floats
    value: Floats
    slope: Floats
    noise: Floats
    slope_noise: Floats


@dataclass(frozen=True, eq=False)
class _Pair:
    """One signal, ready: the finer one smoothed, the samples of the coarser one, and noise variances of both."""

    name: str
    smooth: _Smooth
    t: Floats
    v: Floats
    var_fine: float
    var_coarse: float
    bias: float


@dataclass(frozen=True, eq=False)
class _At:
    """What an offset gives for one signal: residuals, slopes and weights at the samples that meet a known stretch."""

    which: NDArray[np.int64]
    residual: Floats
    slope: Floats
    weight: Floats
    constant: float
    false_slopes: float


def clock_offset(signals: Sequence[Shared], *, within: float = WITHIN) -> ClockFit:
    """How far the second clock is ahead of the first, from signals that both recorded.

    Raises :class:`ClockNotToldError` where nothing is shared, too little overlaps, all is too flat, or several offsets fit.
    """
    usable = [signal for signal in signals if len(signal.t) > FEWEST and len(signal.t2) >= FEWEST]
    usable = sorted(usable, key=_worth, reverse=True)[:MOST]
    if not usable:
        raise ClockNotToldError("no signal was recorded by both for long enough")
    first_finer = _interval([s.t for s in usable]) <= _interval([s.t2 for s in usable])
    sign = 1.0 if first_finer else -1.0
    coarse = _interval([s.t2 if first_finer else s.t for s in usable])
    pairs = [_pair(signal, coarse, within, first_finer=first_finer) for signal in usable]
    lag = _best(pairs, within, coarse)
    lag = _refined(pairs, lag)
    middle = _middle(pairs, lag)
    moved, drift = _with_drift(pairs, lag, middle)
    u, u_drift = _uncertainty(pairs, moved, drift, middle)
    told = u_drift <= DRIFT_TOLD or (u_drift <= DRIFT_SEEN and abs(drift) > 4 * u_drift)
    if told:
        lag = moved
    else:
        u, drift = _uncertainty(pairs, lag, 0.0, middle)[0], 0.0
    ats = [_at(pair, lag, drift, middle) for pair in pairs]
    found = tuple(
        (pair.name, sign * at.constant, float(np.sqrt(np.mean(at.residual**2))))
        for pair, at in zip(pairs, ats, strict=True)
        if len(at.which)
    )
    instants = len(np.unique(np.concatenate([pair.t[at.which] for pair, at in zip(pairs, ats, strict=True)])))
    at_first = middle - lag if first_finer else middle
    return ClockFit(
        sign * lag,
        u,
        at_first,
        sign * drift * 1e6 if told else None,
        u_drift * 1e6 if told else None,
        instants,
        found,
    )


def _worth(signal: Shared) -> float:
    """How much a signal tells: how far it moved while the second recorder went on, in units of its scatter."""
    return float(np.ptp(signal.v2)) / float(np.sqrt(_noise(signal.v2)))


def _interval(times: Sequence[Floats]) -> float:
    return float(np.median([np.median(np.diff(t)) for t in times]))


# ------------------------------------------------------------------------------------------------------------- the signals
def _pair(signal: Shared, coarse: float, within: float, *, first_finer: bool) -> _Pair:
    fine_t, fine_v, t, v = (
        (signal.t, signal.v, signal.t2, signal.v2) if first_finer else (signal.t2, signal.v2, signal.t, signal.v)
    )
    near = (fine_t > t[0] - within - 10 * coarse) & (fine_t < t[-1] + within + 10 * coarse)
    fine_t, fine_v = (fine_t[near], fine_v[near]) if near.sum() > FEWEST else (fine_t, fine_v)
    step = _interval([fine_t])
    width = max(5 * step, 2 * coarse)
    longest = min(signal.longest, max(3 * step, width))
    smooth = _smoothed(fine_t, fine_v, step, width, longest)
    return _Pair(signal.name, smooth, t, v, _noise(fine_v), _noise(v), signal.bias)


def _noise(v: Floats) -> float:
    """Variance of one sample from second differences, which hardly see a slow signal; at least that of its resolution."""
    steps = np.abs(np.diff(v))
    resolution = float(steps[steps > 0].min()) if (steps > 0).any() else 0.0
    second = v[:-2] - 2 * v[1:-1] + v[2:]
    spread = float(np.median(np.abs(second))) / 0.6745
    return max(spread**2 / 6.0, resolution**2 / 12.0, 1e-12)


def _smoothed(t: Floats, v: Floats, step: float, width: float, longest: float) -> _Smooth:
    """Values by local quadratics over ``width`` on both sides, slopes by straight lines over half as much again; tricube
    weights; unknown in silences longer than ``longest``.
    """
    nodes = np.arange(t[0], t[-1] + step / NODES, max(step / NODES, (t[-1] - t[0]) / 60000))
    middle = np.searchsorted(t, nodes)
    known = _known(t, nodes, middle, longest)
    value, noise = _local(t, v, nodes, middle, (step, width), degree=2)
    slope, slope_noise = _local(t, v, nodes, middle, (step, 1.5 * width), degree=1)
    known &= np.isfinite(value) & np.isfinite(slope)
    value[~known] = np.nan
    return _Smooth(nodes, value, slope, noise, slope_noise)


def _local(
    t: Floats, v: Floats, nodes: Floats, middle: NDArray[np.int64], size: tuple[float, float], *, degree: int
) -> tuple[Floats, Floats]:
    """The local polynomial's value (degree 2) or slope (degree 1) at the nodes, and its variance for samples of variance 1."""
    step, width = size
    reach = int(np.ceil(width / step)) + 1
    wanted = middle[:, None] + np.arange(-reach, reach)[None, :]
    index = np.clip(wanted, 0, len(t) - 1)
    x = (t[index] - nodes[:, None]) / width
    w = (wanted == index) * np.clip(1 - np.abs(x) ** 3, 0, None) ** 3
    powers = np.stack([x**k for k in range(degree + 1)], axis=-1)
    normal = np.einsum("nk,nki,nkj->nij", w, powers, powers)
    few = (w > 0).sum(axis=1) < 2 * degree + 2
    normal[few] = np.eye(degree + 1)
    which = 0 if degree == 2 else 1
    row = np.linalg.inv(normal + 1e-12 * np.eye(degree + 1))[:, which]
    smoother = np.einsum("nj,nkj,nk->nk", row, powers, w) / (1.0 if degree == 2 else width)
    found = np.einsum("nk,nk->n", smoother, v[index])
    found[few] = np.nan
    return found, (smoother**2).sum(axis=1)


def _known(t: Floats, nodes: Floats, middle: NDArray[np.int64], longest: float) -> NDArray[np.bool_]:
    before, after = np.clip(middle - 1, 0, len(t) - 1), np.clip(middle, 0, len(t) - 1)
    known: NDArray[np.bool_] = (t[after] - t[before] <= longest) & (nodes >= t[0]) & (nodes <= t[-1])
    return known


def _at(pair: _Pair, lag: float, drift: float, middle: float) -> _At:
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
        return _At(which, nothing, nothing, nothing, 0.0, 0.0)
    node, share = node[which], share[which]
    slope = pair.smooth.slope[node] * (1 - share) + pair.smooth.slope[node + 1] * share
    weight = 1.0 / (pair.var_coarse + pair.var_fine * pair.smooth.noise[node])
    apart = pair.v[which] - value[which]
    total = weight.sum()
    constant = float((weight * apart).sum() / (total + 1.0 / pair.bias**2))
    false = float((weight * pair.smooth.slope_noise[node]).sum() * pair.var_fine)
    return _At(which, apart - constant, slope, weight, constant, false)


def _misfit(pairs: Sequence[_Pair], lag: float, drift: float = 0.0, middle: float = 0.0) -> tuple[float, int, int]:
    """(chi-square, degrees of freedom, instants) at an offset."""
    total, free = 0.0, 0
    instants: list[Floats] = []
    for pair in pairs:
        at = _at(pair, lag, drift, middle)
        if len(at.which):
            total += float((at.weight * at.residual**2).sum()) + (at.constant / pair.bias) ** 2
            free += len(at.which)
            instants.append(pair.t[at.which])
    return total, free, len(np.unique(np.concatenate(instants))) if instants else 0


# -------------------------------------------------------------------------------------------------------------- the search
def _best(pairs: Sequence[_Pair], within: float, coarse: float) -> float:
    """The offset that fits best, and no other nearly as well. Raises :class:`ClockNotToldError`."""
    fine = min(float(np.median(np.diff(pair.smooth.t))) * NODES for pair in pairs)
    lags = np.arange(-within, within + fine, max(fine / 2, within / 3000))
    thin = [_thinned(pair) for pair in pairs]
    found = [_misfit(thin, float(lag)) for lag in lags]
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


def _thinned(pair: _Pair) -> _Pair:
    step = max(1, len(pair.t) // 400)
    return _Pair(pair.name, pair.smooth, pair.t[::step], pair.v[::step], pair.var_fine, pair.var_coarse, pair.bias)


def _middle(pairs: Sequence[_Pair], lag: float) -> float:
    """The instant (coarser clock) about which offset and drift hardly depend on each other."""
    weights, moments = 0.0, 0.0
    for pair in pairs:
        at = _at(pair, lag, 0.0, 0.0)
        if len(at.which):
            information = at.weight * (at.slope - np.average(at.slope, weights=at.weight)) ** 2
            weights += float(information.sum())
            moments += float((information * pair.t[at.which]).sum())
    return moments / weights if weights else float(pairs[0].t.mean())


def _refined(pairs: Sequence[_Pair], lag: float) -> float:
    """The offset by Gauss-Newton from the best one of the search, at most 30 s a step."""
    for _ in range(30):
        normal, right = _normal(pairs, lag, 0.0, _middle(pairs, lag))
        change = float(right[0] / normal[0, 0]) if normal[0, 0] > 0 else 0.0
        lag += float(np.clip(change, -30.0, 30.0))
        if abs(change) < 1e-4:
            break
    return lag


def _with_drift(pairs: Sequence[_Pair], lag: float, middle: float) -> tuple[float, float]:
    """Offset at ``middle`` and drift by Gauss-Newton together."""
    drift = 0.0
    for _ in range(10):
        normal, right = _normal(pairs, lag, drift, middle)
        if np.linalg.det(normal) <= 0:
            break
        change = np.linalg.solve(normal, right)
        lag += float(np.clip(change[0], -30.0, 30.0))
        drift += float(np.clip(change[1], -1e-3, 1e-3))
    return lag, drift


def _normal(pairs: Sequence[_Pair], lag: float, drift: float, middle: float) -> tuple[Floats, Floats]:
    """Normal matrix and right side for (offset, drift); residual = b - f(s - d): its derivative by d is the slope."""
    normal, right = np.zeros((2, 2)), np.zeros(2)
    for pair in pairs:
        at = _at(pair, lag, drift, middle)
        if not len(at.which):
            continue
        rows = _rows(pair, at, middle)
        normal += (at.weight * rows) @ rows.T
        right -= (at.weight * rows) @ at.residual
    return normal, right


def _rows(pair: _Pair, at: _At, middle: float) -> Floats:
    """Derivatives by offset and drift, with the signal's constant taken out, shape (2, n)."""
    rows = np.stack([at.slope, at.slope * (pair.t[at.which] - middle)])
    share = at.weight / (at.weight.sum() + 1.0 / pair.bias**2)
    centred: Floats = rows - (rows @ share)[:, None]
    return centred


# --------------------------------------------------------------------------------------------------------- the uncertainty
def _uncertainty(pairs: Sequence[_Pair], lag: float, drift: float, middle: float) -> tuple[float, float]:
    """Standard uncertainties of the offset [s] and of the drift."""
    normal, _ = _normal(pairs, lag, drift, middle)
    ats = [_at(pair, lag, drift, middle) for pair in pairs]
    total, free, instants = _misfit(pairs, lag, drift, middle)
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


def _by_instant(pairs: Sequence[_Pair], ats: Sequence[_At], middle: float, true: float) -> float:
    """By residuals that belong together: of all signals at one instant (a reference junction), and of neighbours in time."""
    times = np.unique(np.concatenate([pair.t[at.which] for pair, at in zip(pairs, ats, strict=True)]))
    score, gain, mean, weights = (np.zeros(len(times)) for _ in range(4))
    alone = 0.0
    for pair, at in zip(pairs, ats, strict=True):
        if len(at.which):
            where = np.searchsorted(times, pair.t[at.which])
            row = at.weight * _rows(pair, at, middle)[0]
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


def _among_signals(pairs: Sequence[_Pair], ats: Sequence[_At], middle: float, scale: float) -> float:
    """By how far the offsets that single signals would give lie apart (Birge ratio)."""
    steps, weights = [], []
    for pair, at in zip(pairs, ats, strict=True):
        if len(at.which) > 3:
            row = _rows(pair, at, middle)[0]
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
    pairs: Sequence[_Pair], clock: tuple[float, float, float], least: float, scale: float, u: float
) -> float:
    """Half the stretch around the offset in which chi-square is within 9 (scaled) of its least, looked for to 12 u."""
    lag, drift, middle = clock
    inside = []
    for step in np.linspace(-12 * u, 12 * u, 121):
        total, _, _ = _misfit(pairs, lag + float(step), drift, middle)
        if total - least <= 9.0 * scale:
            inside.append(float(step))
    return max(abs(min(inside)), abs(max(inside))) if inside else 0.0


def _student(free: int) -> float:
    """Student's t over the normal quantile, both two-sided at 95 % (Cornish and Fisher's expansion; from memory)."""
    nu, z = max(free, 3), 1.96
    return (z + (z**3 + z) / (4 * nu) + (5 * z**5 + 16 * z**3 + 3 * z) / (96 * nu**2)) / z
