"""Numbers with their units, limits and durations, as the paper writes them.

``85 +15/-0 psi gauge``, ``350 ± 10 degF``, ``120 +/- 5 min``, ``at least 22 inHg of vacuum``, ``below 0.6 in``, ``15 to 30``,
``1 h 30 min``. Numbers are decimal and limits are added as written (350 + 10 = 360), before anything is converted. A unit may be
left out only where the file states it once (``units:``); it is never guessed, and a number without a tolerance is no limit.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, CurewrightError, FileError, UnitError
from curewright.terms.requirement import Limits
from curewright.terms.units import NANOSECONDS, PRESSURES, UNITS, Quantity, Unit, unit_named
from curewright.text.near import did_you_mean, nearest
from curewright.text.phrase import RESERVED, bare

if TYPE_CHECKING:
    from curewright.text.phrase import Words

MILLISECOND = 10**6
_LONGEST_UNIT = 3
_SUCH_AS = {  # what a unit of each quantity looks like, for who wrote another one
    "temperature": "'degC', 'degF' or 'K'", "temperature difference": "'degC', 'degF' or 'K'",
    "temperature rate": "'degF/min' or 'degC/min'", "pressure rate": "'mbar/min' or 'psi/min'",
    "pressure": "'psi gauge', 'bar absolute' or 'inHg of vacuum'", "pressure difference": "'psi' or 'mbar'",
    "time": "'s', 'min', 'h' or 'day'", "length": "'mm' or 'in'", "fraction": "'percent'",
}  # fmt: skip
_NO_LIMITS = {
    "around",
    "about",
    "approximately",
    "approx",
    "approx.",
    "circa",
    "ca",
    "ca.",
    "roughly",
    "nominal",
    "nominally",
    "~",
}
_SIGNS = {
    "<=": "at most", "≤": "at most", "<": "below", "max": "at most", "max.": "at most", "maximum": "at most", "under": "below",
    ">=": "at least", "≥": "at least", ">": "above", "min": "at least", "min.": "at least", "minimum": "at least", "over": "above",
}  # fmt: skip
_CLOCK = (("h", NANOSECONDS["h"]), ("min", NANOSECONDS["min"]), ("s", NANOSECONDS["s"]), ("ms", MILLISECOND))
A_LIMIT = "a limit, such as 'at least 120', 'at most 365', '85 to 100' or '355 ± 10'"
_FOLLOWS_AN_AMOUNT = RESERVED - {"in"}  # "in" is also the inch


@dataclass(frozen=True)
class Measure:
    """What an amount measures: a quantity of :class:`Unit`, the unit where none is written, and the pressure references that fit."""

    quantity: str
    unit: Unit | None = None
    references: tuple[str, ...] = ()


TEMPERATURE = Measure("temperature")
TEMPERATURE_DIFFERENCE = Measure("temperature difference")
PRESSURE = Measure("pressure")
PRESSURE_DIFFERENCE = Measure("pressure difference")
TIME = Measure("time")
FRACTION = Measure("fraction")
ANYTHING = Measure("any quantity")  # the unit has to be written and tells which
COUNT = Measure("count", UNITS["count"])


def difference_of(unit: Unit) -> Unit:
    """The unit of a difference of two values in this unit: ``psi gauge`` gives ``psi difference``."""
    return UNITS.get(f"{unit.name.split()[0]} difference", unit)


def unit_text(unit: Unit) -> str:
    """A unit as written behind a number: a difference says so by its place in the sentence, not in its unit."""
    return unit.name.removesuffix(" difference")


def decimal_text(number: Decimal) -> str:
    """A decimal as digits, never with an exponent."""
    return format(number, "f")


def amount_text(quantity: Quantity) -> str:
    """A number with its unit as :func:`amount` reads it back."""
    return f"{decimal_text(quantity.number)} {unit_text(quantity.unit)}".removesuffix(" count")


def duration_text(nanoseconds: int) -> str:
    """A duration as :func:`duration` reads it back.

    >>> duration_text(5_400_000_000_000)
    '1 h 30 min'
    """
    parts = []
    for name, length in _CLOCK:
        count, nanoseconds = divmod(nanoseconds, length)
        if count:
            parts.append(f"{count} {name}")
    return " ".join(parts) or "0 min"


# -------------------------------------------------------------------------------------------------------------------- reading
def number(words: Words) -> Decimal:
    """A decimal number."""
    token = words.next
    if token is not None and token.text == "±":
        raise words.wrong(expected="a number", remedy="leave out '±' here: the number alone is meant to both sides")
    if token is not None and re.fullmatch(r"\d+(\.\d+)?[-–]\d+(\.\d+)?", token.text):
        raise words.wrong(expected="a number", remedy=f"write '{re.sub('[-–]', ' to ', token.text)}'")
    return Decimal(words.take("number", "a number"))


def amount(words: Words, measure: Measure) -> Quantity:
    """A number with its unit, or without where the measure knows the unit. Times may be in parts (``1 h 30 min``)."""
    value, unit = _part(words, measure)
    return Quantity(value, unit or _own_unit(words, measure, decimal_text(value)))


def duration(words: Words, unit: Unit | None = None) -> int:
    """A length of time in ns, a whole number of milliseconds and not negative."""
    start = words.place
    quantity = amount(words, Measure("time", unit))
    nanoseconds = quantity.number * NANOSECONDS[quantity.unit.name]
    if nanoseconds < 0 or nanoseconds % MILLISECOND:
        raise FileError(f"'{quantity}'", expected="a duration of no less than 0, in whole milliseconds", where=start)
    return int(nanoseconds)


def _part(words: Words, measure: Measure) -> tuple[Decimal, Unit | None]:
    value = number(words)
    unit = written_unit(words, measure)
    if unit is not None and measure.quantity == "time":
        while words.next is not None and words.next.kind == "number":
            more = number(words)
            finer = written_unit(words, measure)
            if finer is None or NANOSECONDS[finer.name] >= NANOSECONDS[unit.name]:
                raise words.wrong(expected="a smaller unit of time after each number, as in '1 h 30 min'")
            value = value * (NANOSECONDS[unit.name] // NANOSECONDS[finer.name]) + more
            unit = finer
    return value, unit


def _own_unit(words: Words, measure: Measure, text: str) -> Unit:
    if measure.unit is not None:
        return measure.unit
    raise UnitError(
        f"'{text}' has no unit",
        expected=a_unit(measure),
        where=words.place,
        remedy="write the unit behind the number, or once for the file under 'units:'; it is never guessed",
    )


def written_unit(words: Words, measure: Measure) -> Unit | None:
    """The unit that comes next, as the longest name known; None where none is written. Raises :class:`UnitError` for a wrong one."""
    token = words.next
    if token is None or token.kind != "word" or token.text in _FOLLOWS_AN_AMOUNT:
        return None
    for length in range(_LONGEST_UNIT, 0, -1):
        ahead = words.tokens[words.position : words.position + length]
        if len(ahead) == length and all(each.kind == "word" for each in ahead):
            unit = _unit(" ".join(each.text for each in ahead), measure)
            if unit is not None:
                _refuse_unit(words, unit, measure)
                words.position += length
                return unit
    raise _unknown_unit(words, token.text, measure)


def _unit(name: str, measure: Measure) -> Unit | None:
    if measure.quantity.endswith("difference"):
        name = name.removesuffix(" difference")
        wanted = UNITS.get(f"{name} difference")
        if wanted is not None:
            return wanted
    try:
        unit = unit_named(name)
    except UnitError:
        return None
    return (
        difference_of(unit) if unit.quantity == "temperature" and measure.quantity == "temperature difference" else unit
    )


def a_unit(measure: Measure) -> str:
    """What is expected as a unit of a measure."""
    without = " without a reference" if measure.quantity == "pressure difference" else ""
    such = f", such as {_SUCH_AS[measure.quantity]}" if measure.quantity in _SUCH_AS else ""
    return f"a unit of {measure.quantity}{without}{such}"


def _unknown_unit(words: Words, name: str, measure: Measure) -> CurewrightError:
    try:
        unit_named(name)
    except UnitError as error:
        if name in PRESSURES:
            error.where = words.place
            return error
    fitting = [each for each, unit in UNITS.items() if measure.quantity in (unit.quantity, ANYTHING.quantity)]
    side = f"write '{_SIGNS[name]}' before the number" if name in _SIGNS else ""
    expected = a_unit(measure) if measure is not ANYTHING else ""
    remedy = side or nearest(name, fitting) or ("" if expected else did_you_mean(name, UNITS))
    return UnitError(f"'{name}' is not a unit known here", expected=expected, where=words.place, remedy=remedy)


def _refuse_unit(words: Words, unit: Unit, measure: Measure) -> None:
    if unit.quantity != measure.quantity and measure is not ANYTHING:
        raise UnitError(f"'{unit.name}' is a unit of {_kind_of(unit)}", expected=a_unit(measure), where=words.place)
    if measure.references and unit.reference not in measure.references:
        wanted = " or ".join(
            {"vacuum": "'of vacuum'", "gauge": "'gauge'", "absolute": "'absolute'"}[each] for each in measure.references
        )
        raise UnitError(f"'{unit.name}'", expected=f"a pressure {wanted}", where=words.place)


def _kind_of(unit: Unit) -> str:
    return f"{unit.reference} pressure" if unit.reference else unit.quantity


# --------------------------------------------------------------------------------------------------------------------- limits
_ONE_SIDED = ("at least", "at most", "above", "below")


def limits(words: Words, measure: Measure) -> Limits:
    """A low and a high limit. ``written`` repeats them with the unit; a number alone is refused (no tolerance is assumed)."""
    if words.accept("between"):
        return _range(words, measure, "and")
    words.accept("within")
    _refuse_no_limit(words)
    side = words.accept_one_of(_ONE_SIDED)
    if side:
        return _one_sided(words, measure, side)
    return _range(words, measure, "to")


def _refuse_no_limit(words: Words) -> None:
    """Raises where a word stands that sets no limits (``around 365``), or a sign in the place of words (``<= 365``)."""
    token = words.next
    if token is None or token.kind != "word":
        return
    said = token.text.lower()
    ahead = words.tokens[words.position + 1] if words.position + 1 < len(words.tokens) else None
    number_ = ahead.text if ahead and ahead.kind == "number" else "…"
    if said in _NO_LIMITS:
        raise _no_tolerance(words, number_, f"'{token.text} {number_}'")
    if said in _SIGNS:
        raise words.wrong(
            expected="'at least', 'at most', 'above' or 'below'", remedy=f"write '{_SIGNS[said]} {number_}'"
        )
    if not any(words.sees(*side.split()) for side in _ONE_SIDED) and not re.match(r"[-\d]", said):
        raise words.wrong(expected=A_LIMIT)


def begins_limits(words: Words) -> bool:
    """Whether a limit comes next (rather than a signal)."""
    token = words.next
    starts = [("between",), ("within",), *(tuple(side.split()) for side in _ONE_SIDED)]
    return token is not None and (token.kind == "number" or any(words.sees(*start) for start in starts))


def _one_sided(words: Words, measure: Measure, side: str) -> Limits:
    first = _bound(words, measure)
    other = {"at least": ("at most", "below"), "above": ("at most", "below")}.get(side, ())
    for name in other:
        if words.accept("and", *name.split()):
            return _joined((side, first), (name, _bound(words, measure)))
    return _joined((side, first))


def _bound(words: Words, measure: Measure) -> Quantity | str:
    if words.accept("the", "part's"):
        name = words.name("the attribute's name")
        _own_unit(words, measure, f"the part's {name}")
        return name
    return amount(words, measure)


def _joined(*sides: tuple[str, Quantity | str]) -> Limits:
    low = high = None
    texts = []
    for side, bound in sides:
        texts.append(f"{side} {amount_text(bound) if isinstance(bound, Quantity) else f'''the part's {bare(bound)}'''}")
        if side in ("at least", "above"):
            low = bound
        else:
            high = bound
    words = [side for side, _ in sides]
    return Limits(
        low=low if isinstance(low, Quantity) else None,
        high=high if isinstance(high, Quantity) else None,
        low_open="above" in words,
        high_open="below" in words,
        low_attribute=low if isinstance(low, str) else None,
        high_attribute=high if isinstance(high, str) else None,
        written=" and ".join(texts),
    )


def _range(words: Words, measure: Measure, joint: str) -> Limits:
    start = words.place
    first, unit = _part(words, measure)
    if words.accept(joint):
        second, other = _part(words, measure)
        unit = _same_unit(words, unit, other) or _own_unit(words, measure, f"{first} {joint} {second}")
        if second < first:
            raise FileError(f"'{first} {joint} {second}'", expected="the lower limit first", where=start)
        return _between(first, second, unit, f"{decimal_text(first)} to {decimal_text(second)}")
    if joint == "and":
        raise words.wrong(expected="'and' with the upper limit")
    return _toleranced(words, measure, first, unit)


def _toleranced(words: Words, measure: Measure, centre: Decimal, unit: Unit | None) -> Limits:
    token = words.next
    if token is not None and token.kind == "pair":
        words.position += 1
        plus, minus, text = _pair(token.text)
        other = written_unit(words, measure)
    elif words.accept("±") or words.accept("+/-"):
        plus, other = _part(words, measure)
        minus, text = plus, f"± {decimal_text(plus)}"
    else:
        raise _no_tolerance(words, decimal_text(centre))
    if plus < 0 or minus < 0:
        raise FileError(f"the tolerance '{text}'", expected="a tolerance of no less than 0", where=words.place)
    unit = _same_unit(words, unit, other) or _own_unit(words, measure, f"{decimal_text(centre)} {text}")
    return _between(centre - minus, centre + plus, unit, f"{decimal_text(centre)} {text}")


def _pair(text: str) -> tuple[Decimal, Decimal, str]:
    first, second = text.split("/")
    plus, minus = (first, second) if first.startswith("+") else (second, first)
    return Decimal(plus[1:]), Decimal(minus[1:]), f"{plus}/{minus}"


def _no_tolerance(words: Words, centre: str, said: str = "") -> AmbiguousClause:
    return AmbiguousClause(
        f"{said or repr(centre)} states no tolerance",
        choices=(f"'{centre} ± …'", f"'{centre} +…/-…'", f"'at least {centre}'", f"'at most {centre}'"),
        where=words.scalar.place,
    )


def _same_unit(words: Words, one: Unit | None, other: Unit | None) -> Unit | None:
    if one is not None and other is not None and one.name != other.name:
        raise UnitError(
            f"'{unit_text(one)}' and '{unit_text(other)}' in one limit",
            expected="one unit",
            where=words.scalar.place,
            remedy=f"write all its numbers in {unit_text(one)} or all in {unit_text(other)}, and the unit once, at the end",
        )
    return one or other


def _between(low: Decimal, high: Decimal, unit: Unit, text: str) -> Limits:
    written = f"{text} {unit_text(unit)}".removesuffix(" count")
    return Limits(Quantity(low, unit), Quantity(high, unit), written=written)
