"""Fit a vessel's convection: from a survey sheet and its curves to film coefficients and their laws against pressure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from curewright.physics.convection import StraightInPressure
from curewright.physics.fitting.calorimeter import coefficient_followed
from curewright.physics.fitting.least_squares import CannotTellError
from curewright.physics.fitting.survey import fit_survey
from curewright.read.survey import read_heated, read_survey
from curewright.terms.errors import CurewrightError, Errors, FileError, Place
from curewright.text.fields import flat

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from curewright.physics.convection import PowerOfPressure
    from curewright.physics.fitting.least_squares import Fit
    from curewright.terms.survey import Survey, SurveyRun

FORMS: tuple[Literal["straight", "power"], ...] = ("straight", "power")


@dataclass(frozen=True)
class Surveyed:
    """What one run told: film coefficient at a pressure [Pa absolute], with its standard error [W/m²/K]."""

    file: str
    pressure: float
    h: float
    error: float


@dataclass(frozen=True)
class FittedConvection:
    """What a survey told: each run by rising pressure, the laws that fit, and why others do not."""

    survey: Survey
    points: tuple[Surveyed, ...]
    laws: tuple[tuple[StraightInPressure | PowerOfPressure, Fit], ...]
    refused: tuple[str, ...]

    def lines(self) -> Iterator[str]:
        """Lines for 'convection' in a vessel heat file, with standard errors behind them."""
        if len({one.pressure for one in self.points}) == len(self.points) > 1:
            points = (f"{{at: {one.pressure / 1e5:.5g} bar absolute, was: {one.h:.4g} W/m2/K}}" for one in self.points)
            yield f"survey: [{', '.join(points)}]"
        for law, fit in self.laws:
            first, second = (_error(fit, name) for name in fit.names)
            scatter = f"scatter {fit.residual_deviation:.2g} W/m2/K"
            if isinstance(law, StraightInPressure):
                yield f"straight: {{a: {law.a:.4g} W/m2/K, b: {law.b:.4g} W/m2/K/Pa}}   # {first}, {second}; {scatter}"
            else:
                pressure = f"{law.p0 / 1e5:.5g} bar absolute"
                yield f"power: {{h0: {law.h0:.4g} W/m2/K, p0: {pressure}, n: {law.n:.3g}}}   # {first}, {second}; {scatter}"
        yield f"source: survey {self.survey.number} by {self.survey.author}"


def _error(fit: Fit, name: str) -> str:
    return f"{name} on its bound" if name in fit.on_bound else f"{name} ± {fit.standard_error(name):.2g}"


def fit_convection(sheet_file: Path) -> FittedConvection:
    """What a survey tells. Raises with all that is wrong in sheet and curves, and where a run cannot tell."""
    survey = read_survey(sheet_file.read_bytes(), sheet_file.name)
    points: list[Surveyed] = []
    errors: list[CurewrightError] = []
    for run in survey.runs:
        try:
            points.append(_surveyed(survey, run, sheet_file.parent))
        except CurewrightError as error:
            errors += flat(error)
    if errors:
        raise errors[0] if len(errors) == 1 else Errors(tuple(errors))
    points.sort(key=lambda one: one.pressure)
    p, h = np.array([one.pressure for one in points]), np.array([one.h for one in points])
    laws, refused = [], []
    for form in FORMS:
        try:
            laws.append(fit_survey(p, h, form))
        except CannotTellError as why:
            refused.append(f"no law '{form}': {why}")
    return FittedConvection(survey, tuple(points), tuple(laws), tuple(refused))


def _surveyed(survey: Survey, run: SurveyRun, folder: Path) -> Surveyed:
    path = folder / run.file
    if not path.is_file():
        raise FileError(f"no file {run.file}", expected="a curve beside the sheet", where=Place(survey.file, run.line))
    t, air, body = read_heated(survey, path.read_bytes(), run.file)
    if t.size > 1 and not np.all(np.diff(t) > 0.0):
        raise FileError(
            "the times do not rise from row to row", expected="each later than the one before", where=Place(run.file)
        )
    capacity = survey.mass * survey.specific_heat / survey.area
    try:
        h, error = coefficient_followed(t, body, air, capacity, survey.conductivity / survey.half_thickness)
    except CannotTellError as why:
        raise CannotTellError(f"{run.file}: {why.found}", expected=why.expected, remedy=why.remedy) from None
    return Surveyed(run.file, run.pressure, h, error)
