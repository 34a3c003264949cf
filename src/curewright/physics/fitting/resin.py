"""A resin's kinetics from its calorimeter runs: heats, activation energy without a law, the constants of a law, and what to be wary of."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.fitting.conversion import Conversion, from_degree_of_cure, from_heat_flow
from curewright.physics.fitting.friedman import Isoconversional, friedman
from curewright.physics.fitting.least_squares import CannotTellError
from curewright.physics.fitting.rate_law import FittedLaw, fit_law, residuals_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from curewright.terms.calorimetry import Calorimetry, Curve

HEATS_AGREE = 0.05  # of their mean
LAW_FITS = 0.02  # root mean square in the degree of cure, of one run


@dataclass(frozen=True)
class ResinFit:
    """What the runs of a sheet say. ``energy`` is None where they do not tell it, and ``cautions`` says why."""

    sheet: Calorimetry
    runs: tuple[Conversion, ...]
    heats: tuple[float | None, ...]
    """J/kg released in each run; None where a degree of cure was recorded"""
    total_heat: float | None
    energy: Isoconversional | None
    law: FittedLaw
    off: tuple[float, ...]
    """root mean square of the residuals of each run, in the degree of cure"""
    cautions: tuple[str, ...]


def fit_resin(sheet: Calorimetry, curves: Sequence[Curve]) -> ResinFit:
    """Everything that the runs say, in the order of the sheet. Raises :class:`CannotTellError` where they leave the law open."""
    runs, heats, total, cautions = _conversions(sheet, curves)
    cautions += _cautions_of_heat(sheet, heats, total)
    energy: Isoconversional | None = None
    try:
        energy = friedman(runs, [level for level in sheet.levels if all(level < run.alpha[-1] for run in runs)])
        if not energy.one_reaction:
            cautions.append(
                "the activation energy varies by more than a tenth over the cure: one reaction is not enough"
            )
    except CannotTellError as error:
        cautions.append(f"the activation energy without a law is not told: {error}")
    law = fit_law(sheet.law, runs, sheet.first, held=sheet.held)
    off = tuple(float(np.sqrt(np.mean(one**2))) for one in residuals_of(law, runs))
    for run, size in zip(runs, off, strict=True):
        if size > LAW_FITS:
            cautions.append(
                f"{run.name} lies {size:.3f} off the law in degree of cure (root mean square): another law?"
            )
    cautions += [f"{name} ended on its bound and has no limits" for name in law.fit.on_bound]
    return ResinFit(sheet, runs, heats, total, energy, law, off, tuple(cautions))


def _conversions(
    sheet: Calorimetry, curves: Sequence[Curve]
) -> tuple[tuple[Conversion, ...], tuple[float | None, ...], float | None, list[str]]:
    """The runs, their heats, the total heat, and what to be wary of."""
    pairs = list(zip(sheet.runs, curves, strict=True))
    if sheet.recorded == "degree of cure":
        known = tuple(from_degree_of_cure(run.name, one.t, one.T, one.signal) for run, one in pairs)
        return known, (None,) * len(pairs), None, []
    heated = {
        run.name: from_heat_flow(run.name, one.t, one.T, one.signal, baseline="straight", start=sheet.at_start)
        for run, one in pairs
        if not run.isothermal
    }
    total = sheet.total_heat
    if total is None:
        if not heated:
            raise CannotTellError(
                "no total heat", expected="'total heat', or a run that is heated through the whole reaction"
            )
        total = float(np.mean([whole for _, whole in heated.values()]))
    runs: list[Conversion] = []
    heats: list[float | None] = []
    cautions: list[str] = []
    for run, one in pairs:
        if not run.isothermal:
            found, whole = heated[run.name]
        else:
            found, whole, caution = _isothermal(run.name, one, sheet.at_start, total)
            cautions += caution
        runs.append(found)
        heats.append(float(found.alpha[-1] - found.alpha[0]) * whole)
    return tuple(runs), tuple(heats), total, cautions


def _isothermal(name: str, one: Curve, at_start: float, total: float) -> tuple[Conversion, float, list[str]]:
    """A held run by the total heat; by its own where it released a little more, which a wrong mass does, and that is said."""
    alone, own = from_heat_flow(name, one.t, one.T, one.signal, baseline="level", start=at_start)
    if total < own <= (1.0 + HEATS_AGREE) * total:
        more = f"{name} released {own / 1e3:.1f} kJ/kg, more than the total of {total / 1e3:.1f}: it is taken to end fully cured"
        return alone, own, [more]
    found, _ = from_heat_flow(name, one.t, one.T, one.signal, baseline="level", start=at_start, total_heat=total)
    return found, total, []


def _cautions_of_heat(sheet: Calorimetry, heats: tuple[float | None, ...], total: float | None) -> list[str]:
    known = [heat for run, heat in zip(sheet.runs, heats, strict=True) if heat is not None and not run.isothermal]
    if total is None or not known:
        return []
    whole = total * (1.0 - sheet.at_start)
    worst = max(known, key=lambda heat: abs(heat / whole - 1.0))
    if abs(worst / whole - 1.0) <= HEATS_AGREE:
        return []
    return [
        f"a heated run released {worst / 1e3:.0f} kJ/kg where {whole / 1e3:.0f} would be expected: "
        "check baseline and mass, or the cure did not end",
    ]
