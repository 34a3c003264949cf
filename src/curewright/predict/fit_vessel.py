"""How a vessel's air follows its set point, from a recorded run: control lag, greatest heating and cooling rate, with standard errors.

Bounded least squares of the recorded mean air against the lumped vessel of :mod:`curewright.predict.planned`, with one offset between
set point and air. A rate is a limit of the vessel only where the recorded air shows it: each limit has to be worth more than ten on the
scale of the Bayesian information criterion (Kass and Raftery 1995, from memory), counted in samples that do not go together. Else the
greatest rate that the air followed is all that the run tells: the vessel heats (or cools) *at least* so fast. Power and thermal mass
show only as their ratio.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.fitting.least_squares import CannotTellError, Fit, fit
from curewright.physics.fitting.together import along, widening
from curewright.predict.planned import followed, instants
from curewright.predict.recorded import good, mean_air, no_air, recorded_as
from curewright.predict.residuals import rms
from curewright.terms.course import Course

if TYPE_CHECKING:
    from collections.abc import Callable

    from numpy.typing import NDArray

    from curewright.terms.load import Load
    from curewright.terms.run import Run

FEWEST = 30  # means of the air
LEAST_MOVE = 20.0  # K: air that hardly moves tells nothing of how it follows
LAGS = (1.0, 7200.0)  # s
FIRST_LAGS = (15.0, 30.0, 60.0, 120.0, 240.0, 480.0, 960.0)  # s, tried before the search
FARTHEST = 30.0  # K: of the air from its set point where both rest
WINDOW = 300.0  # s: over which a rate is seen
NO_RATE = 1e-4  # K/s: slower than this the air neither heats nor cools
RATES = (0.2, 1.5)  # bounds of a limit, against the greatest rate that was seen
FREE = 1e9  # K/s: no limit
EVIDENCE = 10.0
WORST = 1.0 / 3.0  # relative standard error of what is still an answer
NUDGES = {"lag": 1e-3, "heating": 1e-3, "cooling": 1e-3}  # for slopes, against the value; the offset's is absolute
LIMITS: tuple[tuple[str, ...], ...] = ((), ("heating",), ("cooling",), ("heating", "cooling"))


@dataclass(frozen=True)
class Rate:
    """A greatest rate of the air [K/s, positive]. ``standard_error`` None: no limit showed, the vessel does at least this."""

    value: float
    standard_error: float | None

    @property
    def at_least(self) -> bool:
        """Whether the run shows only that the vessel can do this."""
        return self.standard_error is None


@dataclass(frozen=True)
class FittedVessel:
    """What a run tells of its vessel: lag [s], rates [K/s] (None: the run has none), offset of the air from its set point at rest [K]."""

    lag: float
    lag_error: float
    heating: Rate | None
    cooling: Rate | None
    offset: float
    rms: float
    """of recorded minus modelled air [K]"""
    samples: int
    notes: tuple[str, ...]


@dataclass(frozen=True, eq=False)
class _Heard:
    """The set point at the instants that the air is followed at, and the recorded air: t [s], K."""

    t: NDArray[np.float64]
    wanted: NDArray[np.float64]
    at: NDArray[np.float64]
    air: NDArray[np.float64]

    def modelled(self, values: dict[str, float]) -> NDArray[np.float64]:
        """The air as a lumped vessel would show it at the recorded instants [K]."""
        offset = values["offset"]
        air = followed(
            self.t,
            self.wanted,
            values["lag"],
            values.get("heating", FREE),
            -values.get("cooling", FREE),
            float(self.air[0]) - offset,
        )
        return np.interp(self.at, self.t, air) + offset


def fit_vessel(run: Run, load: Load) -> FittedVessel:
    """Lag and rates of a vessel. Raises :class:`CannotTellError` with the reason where the run cannot tell."""
    notes: list[str] = []
    heard = _heard(run, load, notes)
    seen = {"heating": _steepest(heard.at, heard.air), "cooling": _steepest(heard.at, -heard.air)}
    found, residuals = _best(heard, seen)
    wider = widening(along([residuals]))
    _refuse(found, wider)
    values = dict(zip(found.names, found.values.tolist(), strict=True))
    followed_air = heard.modelled(values)
    return FittedVessel(
        values["lag"], found.standard_error("lag") * wider,
        _rate("heating", found, wider, heard.at, followed_air), _rate("cooling", found, wider, heard.at, -followed_air),
        values["offset"], rms(residuals), residuals.size, tuple(dict.fromkeys(notes)),
    )  # fmt: skip


def _heard(run: Run, load: Load, notes: list[str]) -> _Heard:
    air = mean_air(run, load, notes)
    if air is None:
        raise no_air()
    asked = _set_point(run, load, notes)
    within = (air[0] >= asked.t[0]) & (air[0] <= asked.t[-1])
    at, recorded = air[0][within], air[1][within]
    if at.size < FEWEST:
        raise CannotTellError(
            f"{at.size} means of the air while the set point was recorded", expected=f"{FEWEST} or more"
        )
    if np.ptp(recorded) < LEAST_MOVE:
        raise CannotTellError(
            f"the air moves by {np.ptp(recorded):.1f} K in this run",
            expected=f"at least {LEAST_MOVE:g} K: a ramp of the set point and the air behind it",
            remedy="use a run with a ramp",
        )
    t = instants(asked)
    t = np.concatenate([at[:1], t[t > at[0]]])
    return _Heard(t, asked.at(t), at, recorded)


def _set_point(run: Run, load: Load, notes: list[str]) -> Course:
    """The recorded set point of the air [K]."""
    channels = [
        one
        for one in recorded_as(run, load, "set point")
        if one.kind == "continuous" and one.unit.quantity == "temperature"
    ]
    courses = [(one.name, Course(t, v / 1e6)) for one in channels for t, v in [good(one, notes)] if t.size > 1]
    if not courses:
        raise CannotTellError(
            "no set point of the air was recorded as a temperature",
            expected="a sensor with the role 'set point' that measures temperature",
            remedy="record what the controller asks of the air, and name it in the vessel file, the sensor map and the layout",
        )
    if len(courses) > 1:
        notes.append(f"of several set points {courses[0][0]} is taken")
    return courses[0][1]


def _steepest(t: NDArray[np.float64], air: NDArray[np.float64]) -> float:
    """The greatest rate of rise over a few minutes [K/s], 0 where there is none."""
    starts = t[t <= t[-1] - WINDOW]
    if not starts.size:
        return 0.0
    rises = np.interp(starts + WINDOW, t, air) - np.interp(starts, t, air)
    return max(float(rises.max()) / WINDOW, 0.0)


def _best(heard: _Heard, seen: dict[str, float]) -> tuple[Fit, NDArray[np.float64]]:
    """The fit with the limits that the run shows, and what it leaves (recorded minus modelled)."""
    tried: list[tuple[Fit, NDArray[np.float64]]] = []
    for limits in LIMITS:
        if all(seen[name] > NO_RATE for name in limits):
            try:
                tried.append(_fitted(heard, limits, seen))
            except CannotTellError:  # these limits never showed: the lag alone has to say why it cannot be told
                if not limits:
                    raise
    tried = [one for one in tried if not set(one[0].on_bound) & set(seen)]
    nearest = min(tried, key=lambda one: one[0].sum_of_squares)
    alone = nearest[1].size / widening(along([nearest[1]])) ** 2  # samples that do not go together

    def cost(one: tuple[Fit, NDArray[np.float64]]) -> float:
        return float(alone * np.log(max(one[0].sum_of_squares, 1e-300)) + EVIDENCE * len(one[0].names))

    return min(tried, key=cost)


def _fitted(heard: _Heard, limits: tuple[str, ...], seen: dict[str, float]) -> tuple[Fit, NDArray[np.float64]]:
    names = ("lag", "offset", *limits)
    bounds = [LAGS, (-FARTHEST, FARTHEST), *((RATES[0] * seen[name], RATES[1] * seen[name]) for name in limits)]

    def residuals(x: NDArray[np.float64]) -> NDArray[np.float64]:
        return heard.air - heard.modelled(dict(zip(names, x.tolist(), strict=True)))

    def slopes(x: NDArray[np.float64]) -> NDArray[np.float64]:
        nudges = [NUDGES.get(name, 0.0) * value or 1e-3 for name, value in zip(names, x.tolist(), strict=True)]
        return np.column_stack([_slope(residuals, x, j, h) for j, h in enumerate(nudges)])

    tries = [[lag, 0.0, *(0.95 * seen[name] for name in limits)] for lag in FIRST_LAGS]
    first = min(tries, key=lambda x: float(np.sum(residuals(np.array(x)) ** 2)))
    found = fit(residuals, [first], names, bounds=bounds, slopes=slopes, rank=1e-6, tight=1e-8)
    return found, residuals(found.values)


def _slope(
    residuals: Callable[[NDArray[np.float64]], NDArray[np.float64]], x: NDArray[np.float64], j: int, h: float
) -> NDArray[np.float64]:
    step = h * (np.arange(x.size) == j)
    return (residuals(x + step) - residuals(x - step)) / (2.0 * h)


def _refuse(found: Fit, wider: float) -> None:
    lag, error = found.value("lag"), found.standard_error("lag") * wider
    if found.on_bound:
        raise CannotTellError(
            f"the {' and the '.join(found.on_bound)} of the air behind its set point ends on its bound",
            expected=f"a lag from {LAGS[0]:g} s to {LAGS[1] / 3600:g} h, an offset within {FARTHEST:g} K",
            remedy="check that set point and air are those of this vessel, and how often they were recorded",
        )
    if not error <= WORST * lag:
        raise CannotTellError(
            f"the control lag comes out as {lag:.0f} ± {error:.0f} s",
            expected="a standard error of at most a third",
            remedy="use a run with more ramps, or one that was recorded more often",
        )


def _rate(name: str, found: Fit, wider: float, t: NDArray[np.float64], rising: NDArray[np.float64]) -> Rate | None:
    """A greatest rate: the fitted limit, or what the modelled air did at least; None where it did nothing of the kind."""
    if name in found.names:
        return Rate(found.value(name), found.standard_error(name) * wider)
    steepest = _steepest(t, rising)
    return Rate(steepest, None) if steepest > NO_RATE else None
