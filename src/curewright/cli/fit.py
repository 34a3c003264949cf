"""What the commands that fit constants print."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

import click

from curewright.cli.codes import MET, UNUSABLE

if TYPE_CHECKING:
    from rich.table import Table

    from curewright.physics.fitting.resin import ResinFit


def show_resin(sheet: str, card: str | None) -> int:
    """Fit, print constants and what to be wary of, and write the card where asked to."""
    from curewright.cli.show import console
    from curewright.jobs.fit_resin import fit_resin

    if card and Path(card).exists():
        click.echo(f"{card} exists and is left as it is. To do: name another file, or remove it first", err=True)
        return UNUSABLE
    found, text = fit_resin(Path(sheet))
    screen = console()
    screen.print(f"{found.sheet.resin}: {found.sheet.law}, by calorimetry {found.sheet.number} of {found.sheet.author}")
    screen.print(_runs(found))
    if found.energy is not None:
        screen.print(_energy(found))
    screen.print(_constants(found))
    screen.print(
        f"The limits hold 95 % and allow for samples of one run going together ({found.law.widening:.1f} times wider). "
        "An error that all runs share they do not see."
    )
    for caution in found.cautions:
        screen.print(f"! {caution}")
    if card and not text:
        return UNUSABLE
    if card:
        Path(card).write_text(text, encoding="utf-8")
        screen.print(f"Written: {card}. Look it over: add what else is known, and a known time from elsewhere.")
    return MET


def show_convection(sheet: str) -> int:
    """Fit a survey and print what it tells, as lines for the vessel heat file."""
    from curewright.cli.show import console
    from curewright.jobs.fit_convection import fit_convection
    from curewright.record.cautions import CAUTIONS

    found = fit_convection(Path(sheet))
    survey = found.survey
    screen = console()
    screen.print(f"Survey {survey.number} in {survey.vessel}, by {survey.author}", soft_wrap=True)
    table = _table("Film coefficients", "run", "bar absolute", "W/m2/K", "±")
    for one in found.points:
        table.add_row(one.file, f"{one.pressure / 1e5:.3f}", f"{one.h:.1f}", f"{one.error:.2g}")
    screen.print(table)
    screen.print()
    screen.print("One of these goes under 'convection' in the vessel heat file:")
    for line in found.lines():
        screen.print(f"  {line}", soft_wrap=True)
    for why in found.refused:
        screen.print(f"! {why}")
    screen.print(
        "The errors speak of scatter. What mass, heat capacity, area and thermocouple are off by, all runs share; and the body says "
        "nothing of other places in the vessel. Outside the surveyed pressures nothing is known."
    )
    for caution in CAUTIONS:
        screen.print(caution)
    return MET


def _table(title: str, *heads: str) -> Table:
    from rich.table import Table

    table = Table(title=title, title_justify="left", show_edge=False)
    for i, head in enumerate(heads):
        table.add_column(head, justify="left" if i == 0 else "right")
    return table


def _runs(found: ResinFit) -> Table:
    table = _table("Runs", "run", "°C", "heat, kJ/kg", "ends at", "off the law")
    for run, heat, off in zip(found.runs, found.heats, found.off, strict=True):
        span = f"{run.T.min() - 273.15:.0f} to {run.T.max() - 273.15:.0f}"
        shown = "" if heat is None else f"{heat / 1e3:.1f}"
        table.add_row(run.name, span, shown, f"{run.alpha[-1]:.3f}", f"{off:.4f}")
    return table


def _energy(found: ResinFit) -> Table:
    table = _table("Activation energy without a law", "degree of cure", "kJ/mol", "95 % limits")
    energy = found.energy
    if energy is not None:
        for alpha, E, low, high in zip(energy.alpha, energy.E, energy.low, energy.high, strict=True):  # noqa: N806 - its symbol
            table.add_row(f"{alpha:.2f}", f"{E / 1e3:.1f}", f"{low / 1e3:.1f} to {high / 1e3:.1f}")
    return table


def _constants(found: ResinFit) -> Table:
    table = _table(f"Constants (ln k at {found.law.T - 273.15:.0f} °C)", "constant", "value", "95 % limits")
    fit = found.law.fit
    for name, value in zip(fit.names, fit.values, strict=True):
        low, high = found.law.limits(name)
        limits = "on its bound" if name in fit.on_bound else f"{low:.6g} to {high:.6g}"
        table.add_row(name, f"{value:.6g}", limits)
    for name, value in found.sheet.held.items():
        table.add_row(name, f"{value:.6g}", "held")
    return table
