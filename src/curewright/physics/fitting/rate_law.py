"""The constants of a kinetic law from calorimeter runs, isothermal or heated, all at once.

The law is integrated along each run's own temperature from its own first degree of cure, and held against the degrees of cure that were
recorded (bounded least squares). A rate constant is searched as its logarithm at one temperature in the middle of the data, since A and E
are otherwise all but one number; A is given back with the standard error of its logarithm.

Standard errors speak of the scatter about the law. Samples of one run lie off it together (baseline, mass, lag), so that many of them
say little more than one: the errors are widened for it, √((1 + r)/(1 - r)) times with r the correlation of neighbouring residuals (a
first-order autoregression, textbook). An error that all runs share, such as a wrong total heat, no fit can see.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.fitting.least_squares import CannotTellError, Fit, fit
from curewright.physics.fitting.together import along, widening
from curewright.physics.kinetics.along_a_trace import degree_of_cure
from curewright.physics.kinetics.laws import JUMPS, LAWS, VALUES

if TYPE_CHECKING:
    from collections.abc import Mapping, Sequence

    from numpy.typing import NDArray

    from curewright.physics.fitting.conversion import Conversion

GAS_CONSTANT = 8.314  # J/mol/K, as in the laws
BOUNDS: dict[str, tuple[float, float]] = {
    "E": (2e4, 2.5e5),
    "m": (0.0, 3.0),
    "n": (0.1, 25.0),
    "C": (1.0, 200.0),
    "D": (1.0, 200.0),
    "ceiling": (0.1, 1.5),
    "aCT": (0.0, 0.03),
}
RANK = 1e-6  # recorded curves are not certified data: directions seen less than a millionth as well as the best one are not seen
MOST = 150  # samples of a run that are compared: more add nothing, they lie on one curve


@dataclass(frozen=True)
class FittedLaw:
    """A law with the constants that fit best, in its own order and SI units, and the fit in the form in which it was searched.

    ``fit`` names ``ln k`` (at ``T`` kelvin), E in J/mol, exponents, and ``ceiling`` (aC0 + aCT T); its own standard errors take samples
    for independent. ``along`` is how far residuals of neighbouring samples go together (-1 to 1).
    """

    law: str
    T: float
    constants: tuple[float, ...]
    fit: Fit
    along: float

    def constant(self, name: str) -> float:
        """One constant of the law by its name."""
        return self.constants[VALUES[self.law].index(name)]

    @property
    def widening(self) -> float:
        """By what standard errors are multiplied because neighbouring samples go together; never below 1."""
        return widening(self.along)

    def standard_error(self, name: str) -> float:
        """The widened standard error of a value by its name in ``fit``; not a number on a bound."""
        return self.widening * self.fit.standard_error(name)

    def limits(self, name: str, confidence: float = 0.95) -> tuple[float, float]:
        """The confidence limits of a value by its name in ``fit``, by the widened standard error and the normal distribution."""
        from scipy.stats import norm

        reach = float(norm.ppf(0.5 + confidence / 2.0)) * self.standard_error(name)
        return self.fit.value(name) - reach, self.fit.value(name) + reach

    def standard_error_of_ln_A(self, which: str = "") -> float:
        """The widened standard error of ln A (or ln A1, ln A2 for ``which`` "1", "2"), from ln k and E together."""
        k, E = (self.fit.names.index(name) for name in (f"ln k{which}", f"E{which}"))
        both = np.zeros(len(self.fit.names))
        both[k], both[E] = 1.0, 1.0 / (GAS_CONSTANT * self.T)
        return self.widening * float(np.sqrt(both @ self.fit.covariance @ both))


def fit_law(
    law: str,
    runs: Sequence[Conversion],
    start: Mapping[str, float],
    *,
    held: Mapping[str, float] | None = None,
) -> FittedLaw:
    """The constants of a law that follow the recorded degrees of cure best.

    start : a first value for each constant that is searched (E in J/mol, A in 1/s). held : constants that are known. Raises
    :class:`CannotTellError` for a law with a jump, for constants without a start, and where the runs leave constants open.
    """
    if LAWS.get(law) is None or LAWS[law] == JUMPS:
        fitted = [name for name, code in LAWS.items() if code != JUMPS]
        raise CannotTellError(f"the law '{law}' cannot be fitted", expected=" or ".join(fitted))
    known = dict(held or {})
    missing = [name for name in VALUES[law] if name not in start and name not in known]
    if missing:
        raise CannotTellError(f"no start for {', '.join(missing)}", expected="a first value for each, or a held one")
    compared = [_compared(run) for run in runs]
    middle = 1.0 / float(np.mean([np.mean(1.0 / run.T) for run in compared]))
    form = _Form(law, middle, {**start, **known}, tuple(name for name in VALUES[law] if name not in known))

    def residuals(x: NDArray[np.float64]) -> NDArray[np.float64]:
        constants = np.array(form.constants(x))
        off = [_along(law, run, constants) - run.alpha for run in compared]
        return np.nan_to_num(np.concatenate(off), nan=1.0)  # where the law gives no number it is as wrong as can be

    found = fit(residuals, [form.first()], form.names, bounds=form.bounds(), rank=RANK)
    r = [_along(law, run, np.array(form.constants(found.values))) - run.alpha for run in compared]
    return FittedLaw(law, middle, form.constants(found.values), found, along(r))


def residuals_of(found: FittedLaw, runs: Sequence[Conversion]) -> tuple[NDArray[np.float64], ...]:
    """By how much the law lies off the recorded degree of cure at every sample of each run."""
    return tuple(_along(found.law, run, np.array(found.constants)) - run.alpha for run in runs)


def _along(law: str, run: Conversion, constants: NDArray[np.float64]) -> NDArray[np.float64]:
    ns = np.round((run.t - run.t[0]) * 1e9).astype(np.int64)
    return degree_of_cure(LAWS[law], ns, np.ascontiguousarray(run.T), float(run.alpha[0]), constants)


def _compared(run: Conversion) -> Conversion:
    """The run thinned to samples that are evenly spread over time and degree of cure."""
    if run.t.size <= MOST:
        return run
    path = (run.t - run.t[0]) / (run.t[-1] - run.t[0]) + (run.alpha - run.alpha[0]) / max(np.ptp(run.alpha), 1e-12)
    kept = np.unique(
        np.searchsorted(np.maximum.accumulate(path), np.linspace(0.0, path[-1], MOST)).clip(0, run.t.size - 1)
    )
    kept = np.union1d(kept, [0, run.t.size - 1])
    return type(run)(run.name, run.t[kept], run.T[kept], run.alpha[kept], run.rate[kept])


@dataclass(frozen=True)
class _Form:
    """A law's constants as they are searched: ln k at the middle temperature for each A, and the ceiling there for aC0."""

    law: str
    T: float
    given: Mapping[str, float]
    searched: tuple[str, ...]

    @property
    def names(self) -> tuple[str, ...]:
        return tuple(self._name(one) for one in self.searched)

    def _name(self, constant: str) -> str:
        if constant.startswith("A"):
            return f"ln k{constant[1:]}"
        return "ceiling" if constant == "aC0" else constant

    def first(self) -> list[float]:
        return [self._outward(one, self.given[one], self.given) for one in self.searched]

    def _outward(self, constant: str, value: float, all_of: Mapping[str, float]) -> float:
        if constant.startswith("A"):
            return float(np.log(value) - all_of[f"E{constant[1:]}"] / (GAS_CONSTANT * self.T))
        return value + all_of["aCT"] * self.T if constant == "aC0" else value

    def bounds(self) -> list[tuple[float, float]]:
        found = []
        for name in self.names:
            plain = name.rstrip("012")
            found.append((-40.0, 5.0) if name.startswith("ln k") else BOUNDS.get(plain, (-np.inf, np.inf)))
        return found

    def constants(self, x: NDArray[np.float64]) -> tuple[float, ...]:
        at = dict(self.given) | {one: float(value) for one, value in zip(self.searched, x, strict=True)}
        for one, value in zip(self.searched, x, strict=True):
            if one.startswith("A"):
                at[one] = float(np.exp(value + at[f"E{one[1:]}"] / (GAS_CONSTANT * self.T)))
            elif one == "aC0":
                at[one] = float(value) - at["aCT"] * self.T
        return tuple(at[name] for name in VALUES[self.law])
