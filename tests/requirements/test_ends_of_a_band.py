"""The law behind case 3: a reading printed equal to the end of a band is on it, for every whole-degree centre, half-width and unit."""

from __future__ import annotations

from decimal import Decimal
from itertools import product

import numpy as np
import pytest

from curewright.terms.requirement import Band, Phase
from curewright.terms.units import UNITS, Quantity
from curewright.terms.verdict import Outcome
from curewright.text.phrase import words_of
from curewright.text.quantities import Measure, limits
from curewright.text.yaml import read_text
from tests.unit.judge.build import EACH, channel, minutes, run_of, specification, verdict, within

DEGREES = ("degC", "degF", "K")
CENTRES = range(0, 501)
HALF_WIDTHS = range(0, 31)


@pytest.mark.parametrize("name", DEGREES)
def test_a_reading_printed_as_the_sum_is_the_end(name: str) -> None:
    unit = UNITS[name]
    sums = {centre + width for centre, width in product(CENTRES, HALF_WIDTHS)}
    sums |= {centre - width for centre, width in product(CENTRES, HALF_WIDTHS)}
    for number in sorted(sums):
        end = Quantity(Decimal(number), unit).grains
        reading = unit.to_grains(np.array([float(f"{number}.0")]))[0]
        assert reading == end, (number, name)


@pytest.mark.parametrize("name", DEGREES)
def test_limits_are_added_as_the_paper_writes_them(name: str) -> None:
    for centre, width in ((350, 10), (180, 5), (0, 30), (177, 6)):
        words = words_of(read_text(f"{centre} ± {width} {name}", "s.yaml"))
        found = limits(words, Measure("temperature"))
        assert (found.low, found.high) == (
            Quantity(Decimal(centre - width), UNITS[name]),
            Quantity(Decimal(centre + width), UNITS[name]),
        )


@pytest.mark.parametrize("name", DEGREES)
def test_the_judge_takes_the_end_and_refuses_a_tenth_more(name: str) -> None:
    for centre, width in product(range(100, 400, 7), (1, 5, 10, 17)):
        low, high = centre - width, centre + width
        form = Band(
            "band", "part thermocouple", UNITS[name], None, None, EACH, Phase("record starts", "record ends"),
            within(f"{low} {name}", f"{high} {name}"),
        )  # fmt: skip
        for reading, outcome, margin in (
            (f"{high}.0", Outcome.MET, "0"),
            (f"{high}.1", Outcome.NOT_MET, "-0.1"),
            (f"{low}.0", Outcome.MET, "0"),
            (f"{low - 1}.9", Outcome.NOT_MET, "-0.1"),
        ):
            rows = [(0, float(centre)), (1, float(reading)), (2, float(centre))]
            found = verdict(specification(form), run_of(channel("TC1", rows, name)))
            assert found.margin is not None
            assert (found.outcome, found.margin.value, found.margin.at) == (outcome, margin, minutes(1)), (
                reading,
                name,
            )
