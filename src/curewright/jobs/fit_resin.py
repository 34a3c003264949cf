"""Fit a resin: from a calorimetry sheet and its curves to constants with limits and a material card."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.physics.fitting.resin import fit_resin as fitted
from curewright.read.calorimetry import read_calorimetry, read_curve
from curewright.read.cards import read_card
from curewright.record.resin_card import resin_card
from curewright.terms.errors import CurewrightError, Errors, FileError, Place

if TYPE_CHECKING:
    from pathlib import Path

    from curewright.physics.fitting.resin import ResinFit
    from curewright.terms.calorimetry import Curve


def fit_resin(sheet_file: Path) -> tuple[ResinFit, str]:
    """What the runs say, and the text of the card; empty where the constants cannot be meant, and a caution says why.

    Raises with all that is wrong in sheet and curves.
    """
    sheet = read_calorimetry(sheet_file.read_bytes(), sheet_file.name)
    curves: list[Curve] = []
    errors: list[CurewrightError] = []
    for run in sheet.runs:
        path = sheet_file.parent / run.file
        if not path.is_file():
            errors.append(
                FileError(f"no file {run.file}", expected="a curve beside the sheet", where=Place(sheet.file, run.line))
            )
            continue
        try:
            curves.append(read_curve(sheet, path.read_bytes(), run.file))
        except (FileError, Errors) as error:
            errors.append(error)
    if errors:
        raise Errors(tuple(errors))
    found = fitted(sheet, curves)
    card = resin_card(found)
    try:
        read_card(card, f"{sheet.card}.yaml")
    except CurewrightError as error:  # what our own reader refuses is not handed out, but what the runs say is shown
        return replace(found, cautions=(*found.cautions, f"no card is made of it: {error}")), ""
    return found, card
