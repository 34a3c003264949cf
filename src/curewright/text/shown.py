"""Numbers and units as they are shown to people; files have them to the last decimal."""

from __future__ import annotations

import re
from decimal import Decimal, InvalidOperation
from math import floor, log10

REFERENCES = (" gauge", " absolute", " of vacuum")


def is_number(text: str) -> bool:
    """Whether a text is a plain decimal number."""
    try:
        Decimal(text)
    except InvalidOperation:
        return False
    return True


def short(number: str) -> str:
    """A decimal to three places, unless that would make nothing of it; text that is no number stays.

    >>> short("6.503887"), short("-0.0004"), short("120.000000"), short("at once")
    ('6.504', '-0.0004', '120', 'at once')
    """
    if not is_number(number) or not Decimal(number).is_finite():
        return number
    rounded = Decimal(number).quantize(Decimal("0.001"))
    if not rounded and Decimal(number):
        return number
    return f"{rounded:f}".rstrip("0").rstrip(".")


def as_sure(value: float, wide: float) -> str:
    """A number to two digits of how ``wide`` its band is, with more where only noughts would be left; to three where it has no width.

    >>> as_sure(-1.298, 0.63), as_sure(6.745, 38.8), as_sure(-0.04, 19.0), as_sure(1.2984, 0.0)
    ('-1.3', '7', '-0.04', '1.3')
    """
    if not wide > 0.0:
        return short(f"{value:.3g}" if abs(value) < 100.0 else f"{value:.0f}")
    decimals = max(0, 1 - floor(log10(wide)))
    while value and not float(f"{value:.{decimals}f}") and decimals < 9:
        decimals += 1
    text = f"{value:.{decimals}f}"
    return text.rstrip("0").rstrip(".") if "." in text else text


def shortened(words: str) -> str:
    """A sentence with its numbers to three places; what only looks like a number (a file's name, a version) stays.

    >>> shortened("outside by 0.28500000 bar at log.20260304, version 0.1.00000, +4:02:30.4000")
    'outside by 0.285 bar at log.20260304, version 0.1.00000, +4:02:30.4000'
    """
    return re.sub(r"(?<![\w.:-])-?\d+\.\d{4,}(?!\w|\.\w)", lambda found: short(found[0]), words)


def with_unit(found: str, unit: str) -> str:
    """What was found, to three places, with its unit where it is a bare number or a range of two.

    >>> with_unit("112.2919", "min"), with_unit("220.50000 to ?", "min"), with_unit("never", "min")
    ('112.292 min', '220.5 to ? min', 'never')
    """
    bare = re.fullmatch(r"-?[\d.]+( to (-?[\d.]+|\?))?", found)
    return f"{shortened(found)} {plain(unit)}".strip() if bare else shortened(found)


def plain(words: str) -> str:
    """Units without the words that only a program needs.

    >>> plain("loses at most 5 inHg difference in 5 min"), plain("at least 3 count")
    ('loses at most 5 inHg in 5 min', 'at least 3')
    """
    return re.sub(r" ?\b(difference|count)\b", "", words)


def apart(unit: str) -> str:
    """The unit of a distance between two values: without a pressure reference.

    >>> apart("psi gauge"), apart("inHg of vacuum"), apart("degF")
    ('psi', 'inHg', 'degF')
    """
    for reference in REFERENCES:
        unit = unit.removesuffix(reference)
    return plain(unit)
