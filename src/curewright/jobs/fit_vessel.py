"""Fit from a recorded run how a vessel's air follows its set point, and write it into a copy of the file that says so."""

from __future__ import annotations

import re
from dataclasses import dataclass
from typing import TYPE_CHECKING

from curewright.jobs.understand_run import read_specifications
from curewright.predict.fit_vessel import FittedVessel, Rate
from curewright.predict.fit_vessel import fit_vessel as fitted
from curewright.read.plan_folder import vessel_heat_of
from curewright.read.vessel_heat import read_vessel_heat
from curewright.terms.errors import CurewrightError, FileError, Place
from curewright.text.yaml import in_quotes

if TYPE_CHECKING:
    from collections.abc import Callable
    from pathlib import Path

    from curewright.jobs.understand_run import RunFiles
    from curewright.terms.cycle import VesselHeat
    from curewright.terms.units import Unit


@dataclass(frozen=True)
class ToldOfVessel:
    """What a run tells of its vessel, beside what the run sheet's file says (None where it names none)."""

    run: str
    date: str
    vessel: str
    found: FittedVessel
    stated: VesselHeat | None
    units: tuple[tuple[str, Unit], ...]


def fit_vessel(files: RunFiles, out: Path | None = None, step: Callable[[str], None] = lambda _: None) -> ToldOfVessel:
    """What a recorded run tells of its vessel. With ``out``, a copy of the vessel heat file with it is written there.

    Raises :class:`CurewrightError` where the run cannot tell, where there is no file to copy, and where ``out`` exists.
    """
    step("reading the files")
    inputs = files.read()
    stated = vessel_heat_of(files.home, inputs.load)
    step("fitting the vessel")
    found = fitted(inputs.run, inputs.load)
    run = inputs.run
    told = ToldOfVessel(
        run.number, run.start.date().isoformat(), run.vessel, found, stated[1] if stated else None,
        read_specifications(inputs.specifications[:1])[0][0].units if inputs.specifications else (),
    )  # fmt: skip
    if out is not None:
        _write(out, told, stated[0] if stated else None)
    return told


def _write(out: Path, told: ToldOfVessel, copied: bytes | None) -> None:
    if copied is None:
        raise FileError(
            "the run sheet names no file that says how the vessel heats",
            expected="'vessel heat: …': the thermal mass and the convection are taken from it",
            where=Place("run.yaml"),
            remedy="docs/formats/vessel-heat.md shows one",
        )
    text = with_fit(copied.decode("utf-8"), told)
    try:
        with out.open("x", encoding="utf-8") as file:
            file.write(text)
    except FileExistsError:
        raise FileError(
            "it is there already and is left as it is", where=Place(str(out)), remedy="name another file"
        ) from None


def with_fit(text: str, told: ToldOfVessel) -> str:
    """The text of a vessel heat file with what a run told; all other lines stay as they are."""
    stated, found = told.stated, told.found
    if stated is None:
        raise CurewrightError("no vessel heat file", expected="one to copy")
    origin = f"run {told.run}, {told.date}"
    lines = {"control lag": f"{found.lag / 60:.4g} min   # ± {found.lag_error / 60:.2g} min"}
    for name, rate, power in (("heating", found.heating, stated.heating), ("cooling", found.cooling, stated.cooling)):
        if rate is not None and (not rate.at_least or rate.value * stated.thermal_mass > power):
            lines[name] = _power(rate, stated.thermal_mass)
    for name, value in lines.items():
        text = _replaced(text, name, value, stated.file)
    text = re.sub(r"^fitted to:.*\n?", "", text, flags=re.MULTILINE)
    text = re.sub(
        r"^control lag:.*$",
        lambda line: f"{line[0]}\nfitted to: {in_quotes(origin)}",
        text,
        count=1,
        flags=re.MULTILINE,
    )
    read_vessel_heat(text.encode("utf-8"), stated.file)  # what our own reader refuses is not handed out
    return text


def _power(rate: Rate, thermal_mass: float) -> str:
    value = f"{rate.value * thermal_mass / 1e3:.4g} kW"
    if rate.standard_error is None:
        return f"{value}   # at least: no limit showed"
    return (
        f"{value}   # ± {rate.standard_error * thermal_mass / 1e3:.2g} kW, with the thermal mass below taken for right"
    )


def _replaced(text: str, name: str, value: str, file: str) -> str:
    found, count = re.subn(rf"^{name}:.*$", lambda _: f"{name}: {value}", text, flags=re.MULTILINE)
    if count != 1:
        raise FileError(
            f"'{name}' is not on a line of its own",
            expected=f"'{name}: …' at the beginning of one line",
            where=Place(file),
            remedy="write it so, or change the file by hand",
        )
    return found
