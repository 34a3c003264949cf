# ruff: noqa: E501  (messages stand as they are printed)
"""The grammar of limits, amounts and durations, and the law that what is written out reads back the same."""

from __future__ import annotations

from decimal import Decimal
from typing import TYPE_CHECKING

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.terms.errors import AmbiguousClause, CurewrightError, FileError, Place, UnitError
from curewright.terms.units import UNITS, Quantity
from curewright.text import quantities
from curewright.text.phrase import Words
from curewright.text.quantities import (
    ANYTHING,
    COUNT,
    PRESSURE,
    PRESSURE_DIFFERENCE,
    TEMPERATURE,
    TEMPERATURE_DIFFERENCE,
    TIME,
    Measure,
    amount_text,
    begins_limits,
    difference_of,
    duration_text,
    unit_text,
)
from curewright.text.yaml import Scalar

if TYPE_CHECKING:
    from curewright.terms.requirement import Limits

NO_TOLERANCE = (
    "f:1:1: '350' states no tolerance; expected a choice between: '350 ± …'; or '350 +…/-…'; or 'at least 350'; "
    "or 'at most 350'. To do: state one; where the paper does not say which, add a 'because' with who approved it"
)
WRITE_THE_UNIT = ". To do: write the unit behind the number, or once for the file under 'units:'; it is never guessed"
FAHRENHEIT = Measure("temperature", UNITS["degF"])
VACUUM = Measure("pressure", UNITS["inHg of vacuum"], ("vacuum",))
GAUGE = Measure("pressure", UNITS["psi gauge"], ("gauge", "absolute"))


def words(text: str) -> Words:
    return Words(Scalar(text, Place("f", 1, 1)))


def limits(text: str, measure: Measure) -> Limits:
    read = words(text)
    found = quantities.limits(read, measure)
    read.done()
    return found


def shown(found: Limits) -> tuple[str | None, str | None]:
    """Both ends, open ones in angle brackets."""
    low, high = (None if each is None else str(each) for each in (found.low, found.high))
    return (f"<{low}" if found.low_open else low, f"<{high}" if found.high_open else high)


@pytest.mark.parametrize(
    "text, measure, low, high, written",
    [
        ("350 ± 10 °F", TEMPERATURE, "340 degF", "360 degF", "350 ± 10 degF"),
        ("350 +/- 10 deg F", TEMPERATURE, "340 degF", "360 degF", "350 ± 10 degF"),
        ("350 +/− 10 degF", TEMPERATURE, "340 degF", "360 degF", "350 ± 10 degF"),
        ("350°F ± 10°F", TEMPERATURE, "340 degF", "360 degF", "350 ± 10 degF"),
        ("350 ± 10", FAHRENHEIT, "340 degF", "360 degF", "350 ± 10 degF"),
        ("177.0 ± 5.5 degC", TEMPERATURE, "171.5 degC", "182.5 degC", "177.0 ± 5.5 degC"),
        ("85 +15/-0 psi gauge", PRESSURE, "85 psi gauge", "100 psi gauge", "85 +15/-0 psi gauge"),
        ("85 +15/−0 psig", PRESSURE, "85 psi gauge", "100 psi gauge", "85 +15/-0 psi gauge"),
        ("85 -0/+15 psig", PRESSURE, "85 psi gauge", "100 psi gauge", "85 +15/-0 psi gauge"),
        ("85 psi gauge +15/-0", PRESSURE, "85 psi gauge", "100 psi gauge", "85 +15/-0 psi gauge"),
        ("15 to 30", GAUGE, "15 psi gauge", "30 psi gauge", "15 to 30 psi gauge"),
        ("between 15 and 30 bar absolute", GAUGE, "15 bar absolute", "30 bar absolute", "15 to 30 bar absolute"),
        ("within 15 to 15 degC", TEMPERATURE, "15 degC", "15 degC", "15 to 15 degC"),
        ("-20 to −10 degC", TEMPERATURE, "-20 degC", "-10 degC", "-20 to -10 degC"),
        ("15 degC to 30 degC", TEMPERATURE, "15 degC", "30 degC", "15 to 30 degC"),
        ("at least 22", VACUUM, "22 inHg of vacuum", None, "at least 22 inHg of vacuum"),
        ("within at least 22", VACUUM, "22 inHg of vacuum", None, "at least 22 inHg of vacuum"),
        ("at most 360", FAHRENHEIT, None, "360 degF", "at most 360 degF"),
        ("above 0.6 in", Measure("length"), "<0.6 in", None, "above 0.6 in"),
        ("below 140", FAHRENHEIT, None, "<140 degF", "below 140 degF"),
        ("above 1 and below 2", FAHRENHEIT, "<1 degF", "<2 degF", "above 1 degF and below 2 degF"),
        ("at least 1 and at most 2", FAHRENHEIT, "1 degF", "2 degF", "at least 1 degF and at most 2 degF"),
        ("at most 5 inHg", PRESSURE_DIFFERENCE, None, "5 inHg difference", "at most 5 inHg"),
        ("at most 5 inHg difference", PRESSURE_DIFFERENCE, None, "5 inHg difference", "at most 5 inHg"),
        ("at most 60 °F", TEMPERATURE_DIFFERENCE, None, "60 degF difference", "at most 60 degF"),
        ("120 +30/-0 min", TIME, "120 min", "150 min", "120 +30/-0 min"),
        ("at least 1 h 30 min", TIME, "90 min", None, "at least 90 min"),
        ("at least 1 h 30 min 5 s", TIME, "5405 s", None, "at least 5405 s"),
        ("at least 3", COUNT, "3 count", None, "at least 3"),
        ("2 ± 1", COUNT, "1 count", "3 count", "2 ± 1"),
        ("at most 5 kPa absolute", ANYTHING, None, "5 kPa absolute", "at most 5 kPa absolute"),
    ],
)
def test_limits(text: str, measure: Measure, low: str | None, high: str | None, written: str) -> None:
    found = limits(text, measure)
    assert shown(found) == (low, high)
    assert found.written == written
    assert limits(written, measure) == found


def test_a_parts_own_limit() -> None:
    found = limits("at least 40 and at most the part's core maximum", GAUGE)
    assert (found.low, found.high_attribute) == (Quantity(Decimal(40), UNITS["psi gauge"]), "core maximum")
    assert found.written == "at least 40 psi gauge and at most the part's core maximum"
    assert limits(found.written, GAUGE) == found
    low = limits('above the part\'s "so called minimum"', GAUGE)
    assert (low.low_attribute, low.low, low.low_open, low.high_attribute) == ("so called minimum", None, True, None)
    assert low.written == "above the part's so called minimum"


def test_limits_are_added_as_written_before_they_are_converted() -> None:
    """Case 3 of the binding cases: 350 + 10 is 360 degF, for every centre and half-width."""
    for centre in range(200, 400, 7):
        for half in range(1, 25):
            found = limits(f"{centre} ± {half} degF", TEMPERATURE)
            assert found.high == Quantity(Decimal(centre + half), UNITS["degF"])
            assert found.low == Quantity(Decimal(centre - half), UNITS["degF"])


@pytest.mark.parametrize(
    "text, measure, kind, message",
    [
        ("350", FAHRENHEIT, AmbiguousClause, NO_TOLERANCE),
        ("350 +10 degF", TEMPERATURE, AmbiguousClause, NO_TOLERANCE),
        (
            "350 ± 10",
            TEMPERATURE,
            UnitError,
            "f:1:9: '350 ± 10' has no unit; expected a unit of temperature, such as 'degC', 'degF' or 'K'"
            + WRITE_THE_UNIT,
        ),
        (
            "15 to 30",
            TEMPERATURE,
            UnitError,
            "f:1:9: '15 to 30' has no unit; expected a unit of temperature, such as 'degC', 'degF' or 'K'"
            + WRITE_THE_UNIT,
        ),
        (
            "at least 15",
            TEMPERATURE,
            UnitError,
            "f:1:12: '15' has no unit; expected a unit of temperature, such as 'degC', 'degF' or 'K'" + WRITE_THE_UNIT,
        ),
        (
            "at most the part's x",
            TEMPERATURE,
            UnitError,
            "f:1:21: 'the part's x' has no unit; expected a unit of temperature, such as 'degC', 'degF' or 'K'"
            + WRITE_THE_UNIT,
        ),
        (
            "at most 22 inHg",
            VACUUM,
            UnitError,
            "f:1:12: the pressure unit 'inHg' has no reference; expected 'inHg absolute', 'inHg gauge' or 'inHg of vacuum'. "
            "To do: write which one the instrument or the paper means; it is never guessed",
        ),
        ("at most 22 psi gauge", VACUUM, UnitError, "f:1:12: 'psi gauge'; expected a pressure 'of vacuum'"),
        (
            "at most 22 inHg of vacuum",
            GAUGE,
            UnitError,
            "f:1:12: 'inHg of vacuum'; expected a pressure 'gauge' or 'absolute'",
        ),
        (
            "at most 22 degF",
            VACUUM,
            UnitError,
            "f:1:12: 'degF' is a unit of temperature; expected a unit of pressure, such as 'psi gauge', 'bar absolute' or 'inHg of vacuum'",
        ),
        (
            "at most 22 psi gauge",
            TEMPERATURE,
            UnitError,
            "f:1:12: 'psi gauge' is a unit of gauge pressure; expected a unit of temperature, such as 'degC', 'degF' or 'K'",
        ),
        (
            "at most 22 psi gauge",
            PRESSURE_DIFFERENCE,
            UnitError,
            "f:1:12: 'psi gauge' is a unit of gauge pressure; expected a unit of pressure difference without a reference, such as 'psi' or 'mbar'",
        ),
        (
            "at most 340 degQ",
            TEMPERATURE,
            UnitError,
            "f:1:13: 'degQ' is not a unit known here; expected a unit of temperature, such as 'degC', 'degF' or 'K'. "
            "To do: did you mean 'degF' or 'degC'?",
        ),
        (
            "350 degF ± 10 degC",
            TEMPERATURE,
            UnitError,
            "f:1:1: 'degF' and 'degC' in one limit; expected one unit. To do: write all its numbers in degF or all in degC, and the unit once, at the end",
        ),
        (
            "15 min to 1 h",
            TIME,
            UnitError,
            "f:1:1: 'min' and 'h' in one limit; expected one unit. To do: write all its numbers in min or all in h, and the unit once, at the end",
        ),
        ("30 to 15 degC", TEMPERATURE, FileError, "f:1:1: '30 to 15'; expected the lower limit first"),
        (
            "between 30 degC",
            TEMPERATURE,
            FileError,
            "f:1:16: the end of 'between 30 degC'; expected 'and' with the upper limit",
        ),
        (
            "350 ± -10 degF",
            TEMPERATURE,
            FileError,
            "f:1:15: the tolerance '± -10'; expected a tolerance of no less than 0",
        ),
        ("at least", TEMPERATURE, FileError, "f:1:9: the end of 'at least'; expected a number"),
        (
            "about 350",
            TEMPERATURE,
            AmbiguousClause,
            "f:1:1: 'about 350' states no tolerance; expected a choice between: '350 ± …'; or '350 +…/-…'; or 'at least 350'; or 'at most 350'. To do: state one; where the paper does not say which, add a 'because' with who approved it",
        ),
        (
            "at least 1 min 2 h",
            TIME,
            FileError,
            "f:1:19: the end of 'at least 1 min 2 h'; expected a smaller unit of time after each number, as in '1 h 30 min'",
        ),
        (
            "at least 1 min 2",
            TIME,
            FileError,
            "f:1:17: the end of 'at least 1 min 2'; expected a smaller unit of time after each number, as in '1 h 30 min'",
        ),
        (
            "at most 1 degC and above 0 degC",
            TEMPERATURE,
            FileError,
            "f:1:16: 'and'; expected nothing more after 'at most 1 degC'",
        ),
    ],
)
def test_limits_refused(text: str, measure: Measure, kind: type[CurewrightError], message: str) -> None:
    with pytest.raises(kind) as caught:
        limits(text, measure)
    assert str(caught.value) == message


@pytest.mark.parametrize(
    "text, nanoseconds",
    [
        ("2 min", 120 * 10**9),
        ("1 h 30 min", 5400 * 10**9),
        ("90 s", 90 * 10**9),
        ("0.5 min", 30 * 10**9),
        ("20 ms", 20 * 10**6),
        ("0 min", 0),
        ("1 day", 86400 * 10**9),
    ],
)
def test_duration(text: str, nanoseconds: int) -> None:
    assert quantities.duration(words(text)) == nanoseconds


def test_duration_in_the_files_own_unit() -> None:
    assert quantities.duration(words("2"), UNITS["min"]) == 120 * 10**9


@pytest.mark.parametrize("text", ["-1 min", "0.0001 s"])
def test_duration_refused(text: str) -> None:
    with pytest.raises(FileError) as caught:
        quantities.duration(words(text))
    assert str(caught.value) == f"f:1:1: '{text}'; expected a duration of no less than 0, in whole milliseconds"


@given(st.integers(0, 10**9))
def test_a_duration_reads_back(milliseconds: int) -> None:
    nanoseconds = milliseconds * 10**6
    assert quantities.duration(words(duration_text(nanoseconds))) == nanoseconds


@pytest.mark.parametrize(
    "unit, difference",
    [
        ("psi gauge", "psi difference"),
        ("inHg of vacuum", "inHg difference"),
        ("degF", "degF difference"),
        ("fraction", "fraction"),
        ("min", "min"),
    ],
)
def test_difference_of(unit: str, difference: str) -> None:
    assert difference_of(UNITS[unit]) is UNITS[difference]


def test_a_difference_converts_by_scale_only() -> None:
    """10 degF apart are 10 x 5/9 K apart, not -12.2 degC (NIST SP 811)."""
    found = limits("at most 10 degF", TEMPERATURE_DIFFERENCE)
    assert found.high is not None
    assert found.high.grains == round(10 * 5 / 9 * 1e6)


def test_amounts_as_text() -> None:
    assert amount_text(Quantity(Decimal("1E+2"), UNITS["psi difference"])) == "100 psi"
    assert amount_text(Quantity(Decimal(3), UNITS["count"])) == "3"
    assert unit_text(UNITS["degF difference"]) == "degF"


@pytest.mark.parametrize(
    "text, begins",
    [
        ("at least 3", True),
        ("between 3 and 4", True),
        ("within 3 to 4", True),
        ("3 to 4", True),
        ("above 3", True),
        ("at edge", False),
        ("coldest", False),
        ("", False),
    ],
)
def test_begins_limits(text: str, begins: bool) -> None:
    assert begins_limits(words(text)) is begins
