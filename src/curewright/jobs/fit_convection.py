"""Fit a vessel's convection: from a survey sheet and its curves to film coefficients and their laws against pressure."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal

import numpy as np

from curewright.physics.fitting.calorimeter import coefficient_followed
from curewright.physics.fitting.least_squares import CannotTellError
from curewright.physics.fitting.survey import fit_survey
from curewright.read.survey import read_heated, read_survey
from curewright.terms.errors import FileError, Place, each
from curewright.text.yaml import in_quotes

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from curewright.physics.fitting.least_squares import Fit
    from curewright.terms.cycle import Convection
    from curewright.terms.survey import Survey, SurveyRun

LAWS: tuple[Literal["straight", "power"], ...] = ("straight", "power")


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
    laws: tuple[tuple[Convection, Fit], ...]
    refused: tuple[str, ...]

    def lines(self) -> Iterator[str]:
        """Lines for 'convection' in a vessel heat file, with standard errors behind them."""
        if len({one.pressure for one in self.points}) == len(self.points) > 1:
            points = (f"{{at: {one.pressure / 1e5:.5g} bar absolute, was: {one.h:.4g} W/m2/K}}" for one in self.points)
            yield f"survey: [{', '.join(points)}]"
        for convection, fit in self.laws:
            errors = ", ".join(_error(fit, name) for name in fit.names)
            yield f"{_line(convection)}   # {errors}; scatter {fit.residual_deviation:.2g} W/m2/K"
        survey = self.survey
        yield f"source: {in_quotes(f'survey {survey.number} in {survey.vessel} by {survey.author}, of: {survey.body}')}"


def _line(convection: Convection) -> str:
    if convection.law == "straight":
        a, b = convection.values
        return f"straight: {{a: {a:.4g} W/m2/K, b: {b:.4g} W/m2/K/Pa}}"
    h0, p0, n = convection.values
    return f"power: {{h0: {h0:.4g} W/m2/K, p0: {p0 / 1e5:.5g} bar absolute, n: {n:.3g}}}"


def _error(fit: Fit, name: str) -> str:
    return f"{name} on its bound" if name in fit.on_bound else f"{name} ± {fit.standard_error(name):.2g}"


def fit_convection(sheet_file: Path) -> FittedConvection:
    """What a survey tells. Raises with all that is wrong in sheet and curves, and where a run cannot tell."""
    survey = read_survey(sheet_file.read_bytes(), sheet_file.name)
    found = each(lambda run: _surveyed(survey, run, sheet_file.parent), survey.runs)
    points = tuple(sorted(found, key=lambda one: one.pressure))
    p, h = np.array([one.pressure for one in points]), np.array([one.h for one in points])
    laws, refused = [], []
    for law in LAWS:
        try:
            laws.append(fit_survey(p, h, law))
        except CannotTellError as why:
            refused.append(f"no law '{law}': {why}")
    return FittedConvection(survey, points, tuple(laws), tuple(refused))


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
