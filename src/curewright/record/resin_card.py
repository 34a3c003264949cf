"""The material card that a fit of calorimeter runs makes: a file that the user looks over, adds to, and keeps."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.kinetics.laws import VALUES
from curewright.text.yaml import in_quotes

if TYPE_CHECKING:
    from curewright.physics.fitting.resin import ResinFit

ZERO_CELSIUS_K = 273.15
UNITS = {"A": "1/s", "E": "J/mol", "aCT": "1/K"}
LIMIT = 1.96


def resin_card(found: ResinFit) -> str:
    """The text of the card, to be read by the same reader as any other."""
    sheet = found.sheet
    source = f"calorimetry {sheet.number} by {sheet.author}"
    kelvin = np.concatenate([run.T for run in found.runs])
    heating = max(float((run.T[-1] - run.T[0]) / (run.t[-1] - run.t[0])) for run in found.runs)
    lines = [
        f"card: {sheet.card}",
        f"revision: {in_quotes(sheet.revision)}",
        f"work: {in_quotes(source)}",
        f"resin: {in_quotes(sheet.resin)}",
        "range:",
        f"  temperature: {_range(kelvin.min() - ZERO_CELSIUS_K, kelvin.max() - ZERO_CELSIUS_K, 'degC', 'what was measured')}",
        f"  heating: {_range(0.0, round(max(60.0 * heating, 1.0), 2), 'K/min', 'what was measured')}",
        f"  start: {_range(*_start(sheet.at_start), '1', 'about the start of the runs')}",
        f"cured at: {{value: {sheet.cured_at - ZERO_CELSIUS_K:.6g}, unit: degC, source: {in_quotes(source)}, confidence: read}}",
        "degree of cure:",
        f"  law: {sheet.law}",
        "  values:",
        *(f"    {name}: {_constant(found, name, source)}" for name in VALUES[sheet.law]),
    ]
    if found.total_heat is not None:
        heat = f"{{value: {found.total_heat / 1e3:.6g}, unit: kJ/kg, per: kg of resin, source: {in_quotes(source)}, confidence: read}}"
        lines.append(f"heat of reaction: {heat}")
    if found.cautions:
        lines += ["notes:", *(f"  - {in_quotes(caution)}" for caution in found.cautions)]
    return "\n".join(lines) + "\n"


def _constant(found: ResinFit, name: str, source: str) -> str:
    value, law = found.law.constant(name), found.law
    unit = UNITS.get(name) or UNITS.get(name.rstrip("012")) or "1"
    limits = ""
    if name in found.sheet.held:
        source = f"held at a value given in {source}"
    elif name.startswith("A") and f"ln k{name[1:]}" in law.fit.names and f"E{name[1:]}" in law.fit.names:
        reach = float(np.exp(LIMIT * law.standard_error_of_ln_A(name[1:])))
        limits = f", from: {value / reach:.10g}, to: {value * reach:.10g}"
    elif name in law.fit.names and name not in law.fit.on_bound:
        low, high = law.limits(name)
        limits = f", from: {low:.10g}, to: {high:.10g}"
    return f"{{value: {value:.10g}, unit: {in_quotes(unit)}, source: {in_quotes(source)}, confidence: read{limits}}}"


def _start(at: float) -> tuple[float, float]:
    return (0.0, 0.05) if at == 0.0 else (at / 2.0, min(2.0 * at, 0.95))


def _range(low: float, high: float, unit: str, source: str) -> str:
    return (
        f"{{from: {low:.6g}, to: {high:.6g}, unit: {in_quotes(unit)}, source: {in_quotes(source)}, confidence: read}}"
    )
