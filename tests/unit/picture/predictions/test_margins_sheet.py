"""The sheet of margins, read back: the limit is where 0 is, each row keeps its own proportions, what is past the limit is dark."""

import pytest

from curewright.picture.predictions.margins_sheet import MarginRow, inside_rows, margins_sheet, rows_of
from curewright.predict.inside import InsideBand, UpperLimit
from curewright.predict.verdict_band import JudgedSamples, verdict_bands
from curewright.terms.units import UNITS
from curewright.terms.verdict import Margin, Outcome, Verdict
from curewright.text.in_units import Shown
from tests.unit.picture.svg import Read

TITLE = "PREDICTED, not recorded: run 1, part 1"
CELSIUS = Shown(UNITS["degC"], UNITS["bar gauge"])


def row(predicted: float, low: float, high: float, name: str = "TC1, 4.5 rate") -> MarginRow:
    return MarginRow(name, "1 to 5 °F/min", "°F/min", predicted, (low, high), "not met in 3 of 20", at_risk=low < 0)


def test_each_row_keeps_its_proportions_about_the_limit() -> None:
    sheet = Read(margins_sheet(TITLE, [row(1.0, -1.0, 2.0), row(30.0, 10.0, 40.0, "other")]))
    [limit] = sheet.lines("limit")
    at = limit[0][0]
    assert limit[0][0] == limit[-1][0]
    first, second = sheet.boxes("band")
    scale = first[2] / 3.0  # tenths of a point for 1 of the margin: the band is 3 wide
    assert first[0] == pytest.approx(at - scale, abs=2)
    dots = sheet.elements("predicted")
    assert int(dots[0].get("cx", "")) == pytest.approx(at + scale, abs=2)
    scale = second[2] / 30.0
    assert second[0] == pytest.approx(at + 10 * scale, abs=2)
    assert int(dots[1].get("cx", "")) == pytest.approx(at + 30 * scale, abs=2)


def test_only_what_lies_past_the_limit_is_dark_and_ends_there() -> None:
    sheet = Read(margins_sheet(TITLE, [row(1.0, -1.0, 2.0), row(-2.0, -3.0, -1.0), row(3.0, 2.0, 4.0)]))
    at = sheet.lines("limit")[0][0][0]
    first, second = sheet.boxes("past")
    assert first[0] + first[2] == pytest.approx(at, abs=2)
    assert second == sheet.boxes("band")[1]  # all of it
    assert sheet.elements("predicted")[1].get("fill") == "#fff"  # an open dot on the dark bar


def test_words_numbers_and_what_it_is_not() -> None:
    sheet = Read(margins_sheet(TITLE, [row(1.0, -1.3, 2.0)], [row(0.5, 0.25, 1.0, "inside boss (no thermocouple)")]))
    assert {"−1.3", "1", "2 °F/min", "not met in 3 of 20", "past the limit", "within"} <= {
        one.text for one in sheet.words
    }
    assert "inside boss (no thermocouple)" in sheet.text
    assert "no probability that the real run conforms" in sheet.text
    assert "never evidence" in sheet.text


def test_rows_are_of_one_part_and_of_what_is_doubtful() -> None:
    def verdict(part: str, margin: str, kind: str = "band") -> Verdict:
        found = Margin(margin, "degC", None, "TC1", "1", "2")
        return Verdict(part, "S", "A", "6", kind, kind, "TC1", Outcome.MET, "why", "at most 185 degC", found)

    predicted = [verdict("1", "2"), verdict("2", "2"), verdict("1", "1", "count")]
    samples = [[verdict("1", "1"), verdict("2", "1"), verdict("1", "1", "count")], predicted]
    limit = UpperLimit("1", "6", "band", 458.15, "at most 185 degC")
    inside = (InsideBand(limit, "boss", False, -1.25, (-2.0, 1.5), 7, 64),)
    judged = JudgedSamples(2, 0, verdict_bands(predicted, samples), inside, ())
    [one] = rows_of(judged, "1")
    assert (one.words, one.below, one.unit, one.predicted) == ("TC1, 6 band", "at most 185 °C", "°C", 2.0)
    assert one.told == "not met in 0 of 2"
    [hot] = inside_rows(judged, "1", CELSIUS)
    assert (hot.words, hot.below) == ("inside boss (no thermocouple)", "6: at most 185 °C")
    assert (hot.predicted, hot.band, hot.told, hot.at_risk) == (1.25, (-1.5, 2.0), "over it in 7 of 64", True)
    assert inside_rows(judged, "2", CELSIUS) == []


def test_the_number_of_a_dot_stands_there_also_where_the_band_ends_at_it() -> None:
    """-0.7 at the upper end of a band from -17 to 2.5 has no room between the numbers below; it stands beside the bar then."""
    sheet = Read(margins_sheet(TITLE, [row(2.4, -16.6, 2.5)]))
    assert {"2", "−17"} <= {one.text for one in sheet.words}


def test_a_long_name_is_written_whole_in_smaller_letters() -> None:
    name = "TC04, 4.11 at event (a form of a rather long name indeed)"
    assert name in {one.text for one in Read(margins_sheet(TITLE, [row(1.0, -1.0, 2.0, name)])).words}
