"""The rounding method of ASTM E29: a value is rounded half to even to a stated place before it is compared.

Everything is exact decimal arithmetic in the unit in which the specification is written.
"""

from __future__ import annotations

from decimal import ROUND_HALF_EVEN, Decimal


def round_half_even(number: Decimal, place: Decimal) -> Decimal:
    """``number`` rounded to a whole multiple of ``place`` (1, 0.1, 5 …), a tie to the even multiple.

    >>> round_half_even(Decimal("360.5"), Decimal(1)), round_half_even(Decimal("361.5"), Decimal(1))
    (Decimal('360'), Decimal('362'))
    """
    return (number / place).to_integral_value(rounding=ROUND_HALF_EVEN) * place


def effective_limit(limit: Decimal, place: Decimal, side: str) -> tuple[Decimal, bool]:
    """The threshold that unrounded values are held against so that the outcome is the same as after rounding, and
    whether it is excluded.

    ``side``: ``high`` for at most, ``low`` for at least. A value meets 'at most limit' after rounding if and only if
    it lies at or below the threshold returned (below it, if excluded).

    >>> effective_limit(Decimal(360), Decimal(1), "high")
    (Decimal('360.5'), False)
    """
    steps = limit / place
    whole = steps.to_integral_value(rounding="ROUND_FLOOR" if side == "high" else "ROUND_CEILING")
    half = place / 2 if side == "high" else -place / 2
    return whole * place + half, whole % 2 != 0
