"""The rounding method of ASTM E29: a value is rounded half to even to a stated place before it is compared.

Everything is exact arithmetic on the decimal text, in the unit in which the specification is written.
"""

from __future__ import annotations

from decimal import Decimal, Inexact, localcontext
from fractions import Fraction
from math import ceil, floor


def round_half_even(number: Decimal, place: Decimal) -> Decimal:
    """``number`` rounded to a whole multiple of ``place`` (1, 0.1, 5 …), a tie to the even multiple.

    >>> round_half_even(Decimal("360.5"), Decimal(1)), round_half_even(Decimal("361.5"), Decimal(1))
    (Decimal('360'), Decimal('362'))
    """
    return _times(Fraction(round(Fraction(number) / Fraction(place))), place)


def effective_limit(limit: Decimal, place: Decimal, side: str, *, strict: bool = False) -> tuple[Decimal, bool]:
    """The threshold that unrounded values are held against so that the outcome is the same as after rounding, and
    whether it is excluded.

    ``side``: ``high`` for at most, ``low`` for at least; ``strict``: the limit itself does not satisfy (below,
    above). A value meets 'at most limit' after rounding if and only if it lies at or below the threshold returned
    (below it, if excluded). Where the limit is no multiple of ``place``, only the multiples on its own side satisfy
    it.

    >>> effective_limit(Decimal(360), Decimal(1), "high")
    (Decimal('360.5'), False)
    >>> effective_limit(Decimal(360), Decimal(1), "high", strict=True)  # below 360: at most 359 after rounding
    (Decimal('359.5'), True)
    """
    steps = Fraction(limit) / Fraction(place)
    if side == "high":
        last = ceil(steps) - 1 if strict else floor(steps)  # the last multiple that satisfies
        return _times(last + Fraction(1, 2), place), last % 2 != 0
    first = floor(steps) + 1 if strict else ceil(steps)
    return _times(first - Fraction(1, 2), place), first % 2 != 0


def _times(steps: Fraction, place: Decimal) -> Decimal:
    """A whole or half number of steps of ``place``, exactly. Raises :class:`decimal.Inexact` where no 100 digits hold
    it.
    """
    with localcontext() as context:
        context.prec = 100
        context.traps[Inexact] = True
        return Decimal(steps.numerator) * place / Decimal(steps.denominator)
