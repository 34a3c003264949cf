"""Minimum viscosity and gel on 64 real rheometer runs of a curing resin (TU Munich, in FDboost; GPL, tested against, never shipped)."""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np
import pytest

from curewright.physics.fitting.least_squares import CannotTellError
from curewright.physics.fitting.rheology import gel_at_level, gel_at_steepest, least_viscosity

if TYPE_CHECKING:
    from pathlib import Path

    from numpy.typing import NDArray


@dataclass(frozen=True)
class Runs:
    t: NDArray[np.float64]  # s
    mu: NDArray[np.float64]  # Pa s, shape (64, n)
    hot_tool: NDArray[np.bool_]


@pytest.fixture(scope="module")
def runs(shared_data: Path) -> Runs:
    import rdata

    with warnings.catch_warnings():
        warnings.simplefilter("ignore")  # of the reader, about R classes it does not know
        data = rdata.read_rda(shared_data / "resin_viscosity" / "viscosity.RData")["viscosity"]
    tool = np.asarray(data["T_C"].astype(str))
    return Runs(np.asarray(data["timeAll"], float), np.asarray(data["visAll"]) / 1e3, tool == "high")


def test_the_data_are_as_described(runs: Runs) -> None:
    """64 runs; the interval changes from 2 to 10 s in mid-run; five factors at two levels each."""
    assert runs.mu.shape[0] == 64
    assert set(np.diff(runs.t)) == {2.0, 10.0}
    assert runs.hot_tool.sum() == 32


def test_the_minimum_comes_before_the_rise_and_is_no_spike(runs: Runs) -> None:
    for mu in runs.mu:
        known = ~np.isnan(mu)
        t, curve = runs.t[known], mu[known]
        found = least_viscosity(runs.t, mu)
        assert curve.min() <= found.viscosity <= 1.5 * curve.min()
        near = curve[np.abs(t - found.t) <= 2 * 10]
        assert near.min() <= found.viscosity <= near.max()
        assert found.since <= found.t <= found.until
        gel = gel_at_level(runs.t, mu)
        assert gel is not None
        assert found.until < gel


def test_gel_is_bracketed_by_its_samples_and_never_taken_back(runs: Runs) -> None:
    for mu in runs.mu:
        known = ~np.isnan(mu)
        t, curve = runs.t[known], mu[known]
        gel = gel_at_level(runs.t, mu)
        assert gel is not None
        assert (curve[t >= gel] >= 100.0).all()
        assert curve[t < gel][-1] < 100.0
        assert gel_at_level(runs.t, mu, 10.0) < gel < gel_at_level(runs.t, mu, 1000.0)  # type: ignore[operator]
        first, last = gel_at_steepest(runs.t, mu)
        assert first < last
        assert last > least_viscosity(runs.t, mu).t


def test_every_hot_tool_gels_sooner_than_every_cold_one(runs: Runs) -> None:
    """Heat speeds gel: the design has the tool's temperature at two levels, and the two do not overlap."""
    gel = np.array([gel_at_level(runs.t, mu) for mu in runs.mu])
    assert gel[runs.hot_tool].max() < 0.7 * gel[~runs.hot_tool].min()


def test_what_is_no_curve_is_refused() -> None:
    with pytest.raises(CannotTellError, match="2 samples of viscosity"):
        least_viscosity(np.array([0.0, 1.0, 2.0]), np.array([1.0, np.nan, 2.0]))
    with pytest.raises(CannotTellError, match="a viscosity of 0 Pa s"):
        gel_at_level(np.arange(3.0), np.array([1.0, 0.0, 2.0]))
    assert gel_at_level(np.arange(3.0), np.array([1.0, 2.0, 3.0])) is None
    assert gel_at_level(np.arange(3.0), np.array([200.0, 300.0, 400.0])) is None
