"""A recorded signal smoothed at close nodes: values by local quadratics, slopes by local straight lines, with their variances."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

if TYPE_CHECKING:
    from numpy.typing import NDArray

    Floats = NDArray[np.float64]

NODES = 4  # nodes of the smoothed signal between two samples


@dataclass(frozen=True, eq=False)
class Smooth:
    """A signal smoothed at nodes: value, slope, and the variances of both per unit variance of a sample; NaN where unknown."""

    t: Floats
    value: Floats
    slope: Floats
    noise: Floats
    slope_noise: Floats


def smoothed(t: Floats, v: Floats, step: float, width: float, longest: float) -> Smooth:
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
    return Smooth(nodes, value, slope, noise, slope_noise)


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
