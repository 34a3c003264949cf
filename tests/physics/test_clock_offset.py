"""The offset of a second recorder's clock, held against offsets that were put in, and against SciPy's least squares.

Signals: a body that follows a ramp-and-soak air with a first-order lag (textbook), filtered by SciPy at 5 s. How often the
truth lies within twice the stated uncertainty is counted on seeded draws.
"""

from collections.abc import Callable

import numpy as np
import pytest
from numpy.typing import NDArray
from scipy.interpolate import CubicSpline
from scipy.optimize import least_squares
from scipy.signal import lfilter, lfiltic

from curewright.physics.clocks.offset import ClockFit, clock_offset
from curewright.physics.clocks.signals import ClockNotToldError, Shared

Floats = NDArray[np.float64]
GRID = np.arange(0.0, 6.6 * 3600, 5.0)
AIR = np.interp(GRID, [0, 1200, 4350, 7950, 9540, 16740, 20340], [22, 22, 127, 127, 180, 180, 60])


def body(lag: float) -> Callable[[Floats], Floats]:
    a = 1 - np.exp(-5.0 / lag)
    track, _ = lfilter([a], [1, a - 1], AIR, zi=lfiltic([a], [1, a - 1], [22.0]))
    return lambda t: np.interp(t, GRID, track)


BODIES = [body(lag) for lag in (30.0, 400.0, 700.0, 1200.0)]


def drawn(
    rng: np.random.Generator,
    ahead: float,
    *,
    every: tuple[float, float] = (30.0, 120.0),
    span: tuple[float, float] = (0.0, 6.5 * 3600),
    gap: tuple[float, float] | None = None,
    noise: float = 0.1,
    faded: float = 0.0,
    step: float = 0.0,
    gains: float = 0.0,
    bodies: int = 2,
) -> list[Shared]:
    """What two recorders would show; ``faded``: the second one's reference junction wanders (0.15 K, autocorrelation)."""
    t = np.arange(rng.uniform(0, every[0]), GRID[-1], every[0])
    s = np.arange(span[0] + rng.uniform(0, every[1]), span[1], every[1])
    if gap is not None:
        t = t[(t < gap[0]) | (t > gap[1])]
    wander = np.zeros(len(s))
    for i in range(1, len(s) if faded else 0):
        wander[i] = faded * wander[i - 1] + rng.normal(0, 0.15 * np.sqrt(1 - faded**2))
    found = []
    for i, track in enumerate(BODIES[2 : 2 + bodies]):
        first = track(t) + rng.normal(0, noise, len(t))
        second = track(s) + rng.normal(0, 0.3) + wander + rng.normal(0, noise * (0.3 if faded else 1), len(s))
        if step:
            first, second = np.round(first / step) * step, np.round(second / step) * step
        found.append(Shared(f"T{i}", t, first, s + ahead + gains * (s - 12000), second, longest=300))
    return found


CASES: dict[str, dict[str, object]] = {
    "one signal, 100 min": {"bodies": 1, "span": (3000.0, 9000.0)},
    "40 min": {"span": (9000.0, 11400.0)},
    "both at 60 s in whole degrees": {"every": (60.0, 60.0), "step": 1.0, "noise": 0.2},
    "a wandering reference junction, an hour": {"span": (5000.0, 8600.0), "faded": 0.8},
    "the second is the finer one": {"every": (60.0, 10.0), "span": (6000.0, 12000.0)},
    "half an hour of silence": {"every": (10.0, 60.0), "gap": (9000.0, 10800.0), "span": (8000.0, 11800.0)},
}


@pytest.mark.parametrize("case", CASES)
def test_the_truth_lies_within_twice_the_uncertainty(case: str) -> None:
    rng = np.random.default_rng(20310304)
    inside, trials = 0, 30
    for _ in range(trials):
        ahead = rng.uniform(-200, 200)
        found = clock_offset(drawn(rng, ahead, **CASES[case]), within=300.0)  # type: ignore[arg-type]
        inside += abs(found.ahead - ahead) <= 2 * found.standard
        assert found.standard < 20
        assert found.drift is None, "an hour or two tell no drift of a clock"
    # at a coverage of 95 % (ISO/IEC Guide 98-3, k = 2), 30 trials show 25 or more with a probability of 99.7 % (binomial)
    assert inside >= 25


def test_it_agrees_with_scipy_on_clean_signals() -> None:
    signals = drawn(np.random.default_rng(1), 145.0, noise=0.002, bodies=2)

    def residuals(x: Floats) -> Floats:
        parts = []
        for i, one in enumerate(signals):
            where = one.t2 - x[0]
            inside = (where > one.t[5]) & (where < one.t[-5])
            parts.append(np.where(inside, one.v2 - CubicSpline(one.t, one.v)(where) - x[1 + i], 0.0))
        return np.concatenate(parts)

    oracle = least_squares(residuals, [140.0, 0, 0], x_scale=[1, 0.1, 0.1])
    found = clock_offset(signals)
    assert found.ahead == pytest.approx(oracle.x[0], abs=1.5)
    assert found.ahead == pytest.approx(145.0, abs=2 * found.standard)
    assert [d for _, d, _ in found.differences] == pytest.approx(list(oracle.x[1:]), abs=0.05)


def test_which_one_is_first_turns_the_sign_only() -> None:
    signals = drawn(np.random.default_rng(2), -75.0)
    turned = [Shared(s.name, s.t2, s.v2, s.t, s.v, longest=300) for s in signals]
    there, back = clock_offset(signals), clock_offset(turned)
    assert back.ahead == pytest.approx(-there.ahead, abs=1e-6)
    assert back.standard == pytest.approx(there.standard, rel=1e-6)
    assert there.ahead == pytest.approx(-75.0, abs=2 * there.standard)


def test_a_drift_is_told_where_the_data_can_tell() -> None:
    found = clock_offset(drawn(np.random.default_rng(3), 60.0, noise=0.05, gains=3e-4))
    assert found.drift is not None
    assert found.drift_standard is not None
    assert found.drift == pytest.approx(300, abs=3 * found.drift_standard)
    assert found.ahead + found.drift * 1e-6 * (12000 - found.at) == pytest.approx(60.0, abs=3 * found.standard + 1)
    short = clock_offset(drawn(np.random.default_rng(3), 60.0, span=(9000.0, 11400.0)))
    assert (short.drift, short.drift_standard) == (None, None)


def refused(signals: list[Shared], **how: float) -> str:
    with pytest.raises(ClockNotToldError) as error:
        clock_offset(signals, **how)
    return str(error.value)


def test_what_cannot_be_told_is_refused() -> None:
    rng = np.random.default_rng(4)
    t, s = np.arange(0, 20000.0, 30), np.arange(3000, 9000.0, 120)

    def flat(n: int) -> Floats:
        return 180 + rng.normal(0, 0.1, n)

    assert "flat" in refused([Shared("T1", t, flat(len(t)), s, flat(len(s)))])
    wave = Shared(
        "T1", t, np.sin(t / 400) + flat(len(t)), s, np.sin(s / 400) + flat(len(s)), bias=200
    )  # repeats after 2513 s
    assert "repeat" in refused([wave])
    ramp = Shared("T1", t, t / 30 + flat(len(t)), s, s / 30 + flat(len(s)), bias=1e4)  # offset and constant are one
    assert refused([ramp])
    assert "no signal" in refused([])
    assert "fewer than" in refused([Shared("T1", t, t / 30, s + 1e6, s / 30)])
    near = drawn(rng, 300.0, span=(3000.0, 9000.0))
    assert refused(near, within=60.0)


def test_a_neighbour_on_a_heavier_tool_would_give_a_wrong_clock() -> None:
    """Why only the same junction counts: a body with twice the lag fits well, minutes away from the truth."""
    t, s = np.arange(0, 20000.0, 30), np.arange(3000, 9000.0, 60)
    rng = np.random.default_rng(5)
    first, second = BODIES[1](t) + rng.normal(0, 0.1, len(t)), BODIES[2](s) + rng.normal(0, 0.1, len(s))
    try:
        found: ClockFit | None = clock_offset([Shared("T1", t, first, s, second)])
    except ClockNotToldError:
        found = None
    assert found is None or abs(found.ahead) > 120, "clocks that agree would be taken for clocks minutes apart"


def test_flat_signals_beside_telling_ones_do_no_harm_and_cost_nothing() -> None:
    signals = drawn(np.random.default_rng(6), 30.0, span=(3000.0, 9000.0))
    rng = np.random.default_rng(7)
    t, s = signals[0].t, signals[0].t2
    flat = [
        Shared(f"F{i}", t, 100 + rng.normal(0, 0.1, len(t)), s, 100 + rng.normal(0, 0.1, len(s))) for i in range(40)
    ]
    alone, among = clock_offset(signals), clock_offset([*flat, *signals])
    assert among.ahead == pytest.approx(30.0, abs=2 * among.standard)
    assert among.standard < 2 * alone.standard
    assert len(among.differences) == 16
    assert {"T0", "T1"} <= {name for name, _, _ in among.differences}
