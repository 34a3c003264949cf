"""Sums of long windows: exact, or refused; never a number that has wrapped round. Ramps whose slope is known in closed form."""

import numpy as np
import pytest

from curewright.judge.kernels import slopes
from curewright.judge.kinds.rate import exact
from curewright.judge.trace import Trace
from curewright.terms.requirement import Phase, Rate, RateDefinition
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import EACH, channel, minutes, run_of, specification, verdict, within

SECOND = 10**9


def ramp(hours: float, rise: float, every: int = 1) -> Trace:
    """A straight line of so many grains over so many hours, a sample every so many seconds."""
    t = np.arange(0, int(hours * 3600) + 1, every, dtype=np.int64) * SECOND
    v = np.rint(rise * np.arange(len(t)) / (len(t) - 1))
    return Trace("TC1", t, v, np.zeros(len(t), np.uint8), hold=False)


@pytest.mark.parametrize(
    "hours, window, rise, fits",
    [
        (12, 600, 2e8, True),  # what papers ask for: 10 min at 1 Hz over 200 K
        (12, 3600, 7e8, True),  # an hour at 1 Hz over 7 bar
        (6, 5400, 2e8, True),
        (6, 5 * 3600, 2e8, False),
        (6, 3 * 3600, 7e8, False),
    ],
)
def test_what_fits_is_exact(hours: float, window: int, rise: float, fits: bool) -> None:
    trace = ramp(hours, rise)
    assert exact(trace, window * SECOND) is fits
    if fits:
        with np.errstate(over="ignore"):  # uncompiled, NumPy warns of products that wrap round and come back in the sum
            _, rates = slopes.each_least_squares(
                trace.t, slopes.milliseconds(trace.t), trace.v, trace.link, 0, int(trace.t[-1]), window * SECOND, 8
            )
        # The slope of a line is its rise over its run, in 1000 grains a minute.
        assert rates[~np.isnan(rates)] == pytest.approx(rise / (hours * 60) / 1000, rel=1e-4)


def test_a_long_window_of_few_samples_fits() -> None:
    assert exact(ramp(6, 7e8, every=60), 5 * 3600 * SECOND)


def test_what_does_not_fit_is_not_shown() -> None:
    points = [(second / 60, 20 + 200 * second / 21600) for second in range(0, 21601)]
    form = Rate(
        "rate", "part thermocouple", unit_named("degC/min"), None, None, EACH, Phase("record starts", "record ends"),
        RateDefinition("least squares", minutes(300), 8), "rising", within("0.1 degC/min", "2 degC/min"),
    )  # fmt: skip
    found = verdict(specification(form), run_of(channel("TC1", points, "degC")))
    assert found.outcome is Outcome.NOT_SHOWN
    assert "state a shorter window" in found.reason
