"""Units and limits as plots write them: °F, psi gauge, at most 365 °F."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from curewright.text.shown import plain, short, shortened, with_unit

if TYPE_CHECKING:
    from curewright.terms.units import Unit
    from curewright.terms.verdict import Margin


def signs(words: str) -> str:
    """Words of the program with the signs that people write: °F for degF, no ``difference``, numbers to three places.

    >>> signs("at most 365 degF"), signs("1 to 5 degF/min"), signs("loses at most 5 inHg difference in 5 min")
    ('at most 365 °F', '1 to 5 °F/min', 'loses at most 5 inHg in 5 min')
    """
    return re.sub(r"\bdeg([CF])\b", r"°\1", plain(shortened(words))).strip()


def unit_words(unit: Unit) -> str:
    """A unit as an axis writes it."""
    return signs(unit.name)


def number_words(number: str, unit: str) -> str:
    """A decimal with its unit, to three places."""
    return f"{short(number)} {signs(unit)}".strip()


def found_words(margin: Margin) -> str:
    """What was found, a number or a range, with its unit."""
    return signs(with_unit(margin.actual, margin.unit))
