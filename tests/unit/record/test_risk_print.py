"""Which requirement is at risk, as printed; units of each part; why something is not shown. Expected words and figures by hand."""

import re
from dataclasses import replace
from typing import TYPE_CHECKING

import pytest
from rich.console import Console

from curewright.jobs.predict_run import unpredicted
from curewright.predict.band import Band, Share
from curewright.predict.inside import InsideBand, UpperLimit
from curewright.predict.verdict_band import by_risk, verdict_bands
from curewright.record.prediction_print import band_tables, not_shown_lines, share_table, verdict_lines
from curewright.record.risk_print import inside_table, risk_lines
from curewright.terms.load import ALWAYS, Assignment, Load, Part
from curewright.terms.units import UNITS
from curewright.terms.verdict import Margin, Outcome, Verdict
from curewright.text.in_units import Shown, ShownByPart, shown_by_part
from tests.unit.judge.build import channel, run_of, specification

if TYPE_CHECKING:
    from curewright.terms.run import Run

CELSIUS, FAHRENHEIT = Shown(UNITS["degC"], UNITS["bar gauge"]), Shown(UNITS["degF"], UNITS["psi gauge"])
BOTH, ALIKE = ShownByPart({"1": FAHRENHEIT, "2": CELSIUS}), ShownByPart({"1": FAHRENHEIT, "2": FAHRENHEIT})


def printed(*what: object) -> str:
    screen = Console(width=220, highlight=False)
    with screen.capture() as caught:
        for one in what:
            screen.print(one)
    return " ".join(caught.get().split())


def verdict(name: str, outcome: Outcome, value: str, kind: str = "band") -> Verdict:
    margin = Margin(value, "degF", None, "TC1", "1", "2")
    return Verdict("1", "S", "A", "6", name, kind, "TC1", outcome, "why", "at most 365 degF", margin)


def bands(rows: dict[str, tuple[str, list[str]]], kind: str = "band"):
    def of(name: str, value: str) -> Verdict:
        return verdict(name, Outcome.NOT_MET if value.startswith("-") else Outcome.MET, value, kind)

    predicted = [of(name, value) for name, (value, _) in rows.items()]
    samples = [[of(name, values[i]) for name, (_, values) in rows.items()] for i in range(4)]
    return by_risk(verdict_bands(predicted, samples))


def test_the_table_is_ranked_and_marked_and_says_what_it_is_not() -> None:
    rows = {
        "near": ("7", ["6", "6", "8", "8"]),
        "past": ("5", ["-1", "5", "5", "7"]),
        "broken": ("-2", ["-3", "-3", "-1", "1"]),
    }
    text = printed(*risk_lines(bands(rows), 4, 0, waits=True))
    order = [text.index(f"clause 6 {name} (at most 365 degF)") for name in ("broken", "past", "near")]
    assert order == sorted(order)
    assert "✗ NOT MET part 1, TC1, clause 6 broken" in text
    past = re.search(
        r"met ! part 1, TC1, clause 6 past \(at most 365 degF\) 5 degF (-[\d.]+) to ([\d.]+) 1 \(25%\)", text
    )
    assert past is not None
    assert [float(end) for end in past.groups()] == pytest.approx([-0.55, 6.85], abs=0.051)  # NumPy's quantiles
    assert "✓ met part 1, TC1, clause 6 near (at most 365 degF) 7 degF 6 to 8 0" in text
    assert "no probability that the real run conforms" in text
    assert "each sample's own coldest thermocouple" in text
    assert "coldest thermocouple" not in printed(*risk_lines(bands(rows), 4, 0, waits=False))


def test_what_the_sensor_map_decides_is_no_risk_of_the_cure() -> None:
    text = printed(*risk_lines(bands({"count": ("0", ["0", "0", "-1", "1"])}, kind="count"), 4, 0, waits=True))
    assert "clause 6" not in text


def test_many_at_risk_are_counted_and_refused_samples_told() -> None:
    rows = {f"form {i:02d}": ("5", ["-1", "5", "5", "7"]) for i in range(13)}
    text = printed(*risk_lines(bands(rows), 6, 2, waits=True))
    assert "3 more are not met, in at most 1 of the samples each (prediction.json has all)." in text
    assert "not met, of 4" in text
    assert "2 samples have no answer" in text


def test_what_hardly_a_sample_does_not_meet_stands_among_the_nearest() -> None:
    """1 of 64 lies in the tail of 2.5 % that the band leaves out; it keeps its mark, and comes by its room, not before all others."""
    [rare, near] = bands({"rare": ("5", ["-1", "5", "5", "7"]), "near": ("7", ["1", "1", "8", "8"])})
    rare = replace(rare, met=63, margin=(4.0, 6.0))
    text = printed(*risk_lines([rare, near], 64, 0, waits=False))
    assert text.index("clause 6 near") < text.index("✓ met ! part 1, TC1, clause 6 rare")
    assert "1 (2%)" in text
    assert "more are not met" not in text


def test_the_inside_is_told_in_the_units_of_its_part_where_no_thermocouple_sits() -> None:
    limit = UpperLimit("1", "6", "band", 458.15, "at most 365 degF")
    hot = InsideBand(limit, "boss", False, -1.0, (-2.0, 5.0), 7, 64)
    cool = replace(hot, zone="flange", sensed=True, over=0)
    table = inside_table([hot, cool], BOTH)
    text = printed(table)
    assert "1, boss (none there) clause 6 band, at most 365 degF -1.8 degF -3.6 to 9.0 7 of 64" in text
    assert "flange" not in text  # something is over a limit: what is not stands in the file
    assert "1, flange clause 6" in printed(inside_table([cool], BOTH))
    assert inside_table([], BOTH) is None


def test_every_number_has_its_unit_only_where_parts_differ() -> None:
    found = Band(20, {}, {}, {("1", "z"): (450.0, 460.0), ("2", "z"): (450.0, 460.0)}, {}, (), 0)
    apart, alike = printed(*band_tables(found, BOTH)), printed(*band_tables(found, ALIKE))
    assert "1, z 350.3–368.3 degF" in apart  # 450 K and 460 K
    assert "2, z 176.9–186.9 degC" in apart
    assert "hottest inside, degF" in alike
    assert "1, z 350.3–368.3 not known" in alike


def test_each_part_has_the_units_of_the_specification_that_it_follows() -> None:
    papers = [
        replace(specification(), number=name, units=(("temperature", UNITS[unit]),))
        for name, unit in (("S1", "degF"), ("S2", "degC"))
    ]
    parts = tuple(
        Part(serial, "n", "A", "l", "B1", "t", paper, "A") for serial, paper in (("1", "S1"), ("2", "S2"), ("3", "S9"))
    )
    units = shown_by_part(Load("r", "v", None, parts, (), ()), papers)
    assert [units.of(serial).temperature.name for serial in "123"] == ["degF", "degC", "degF"]
    assert not units.same
    assert shown_by_part(Load("r", "v", None, parts[:1], (), ()), papers).same


def lines() -> tuple[Assignment, ...]:
    given = (("TC1", "judging"), ("TC2", "judging"), ("V1", "source valve"))
    return tuple(Assignment(name, name, role, "1", "", 0, ALWAYS, "P") for name, role in given)


def test_why_something_is_not_shown_stands_beside_it_once_for_each_reason() -> None:
    run: Run = run_of(channel("TC1", [(0, 100), (1, 100)]))
    lacking = unpredicted(Load("r", "v", None, (), (), lines()), run)
    assert lacking == {"TC2": "no place in the build-up sheet", "V1": "no reading of it is predicted"}

    def one(part: str, form: str, reason: str, behind: list[str], outcome: str = "not shown"):
        return {
            "part": part, "specification": "S", "clause": "4.2", "form": form, "thing": part, "reason": reason, "behind": behind,
            "outcome": outcome,
        }  # fmt: skip

    document = {
        "verdicts": [
            one("1", "leak check", "isolation is not proven", ["V1"]),
            one("2", "leak check", "isolation is not proven", ["V1"]),
            one("1", "band", "no samples", ["TC1", "TC2"]),
            one("1", "rate", "fine", [], "met"),
        ]
    }
    text = printed(*not_shown_lines(document, lacking))
    assert (
        "part 1, part 2, clause 4.2 leak check of S: isolation is not proven; not predicted: V1 (no reading of it is predicted)"
        in text
    )
    assert "part 1, clause 4.2 band of S: no samples; not predicted: TC2 (no place in the build-up sheet)" in text
    assert "rate" not in text
    assert "never predicted" in text
    assert printed(*not_shown_lines({"verdicts": []}, lacking)) == ""


def test_without_a_band_the_nearest_are_told_but_for_what_the_map_decides() -> None:
    def one(form: str, value: str, kind: str):
        margin = {"value": value, "actual": "100", "unit": "degF", "low": None, "high": None, "of_what_is_known": False}
        return {
            "part": "1", "clause": "6", "form": form, "thing": "1", "limit": "at most 365 degF", "outcome": "met", "kind": kind,
            "margin": margin, "settled": True,
        }  # fmt: skip

    document = {
        "outcomes": {one.value: 2 * (one is Outcome.MET) for one in Outcome},
        "verdicts": [one("count", "0", "count"), one("band", "5", "band")],
    }  # fmt: skip
    text = printed(*verdict_lines(document))
    assert "clause 6 band (at most 365 degF): 100 degF, margin 5 degF" in text
    assert "clause 6 count" not in text
    assert "clause 6 band" not in printed(*verdict_lines(document, ranked=True))


def test_what_the_shares_mean_stands_beside_them() -> None:
    text = printed(share_table("part 1, zone z", [Share("convection", 0.9, 1.02)]))
    assert "convection 0.90 1.02" in text
    assert "Alone (first order)" in text
    assert "With interactions (total)" in text


@pytest.mark.parametrize("value, words", [("5.1234", "5.12"), ("512.34", "512")])
def test_a_band_has_three_digits(value: str, words: str) -> None:
    [one] = bands({"band": ("1", [value] * 4)})
    assert f" {words} " in printed(*risk_lines([replace(one, not_met=1, met=3)], 4, 0, waits=False))


def test_margins_in_two_groups_are_said_in_words_and_have_no_more_digits_than_their_band() -> None:
    """Ten samples about -30 min and ten about 7: quantiles aside, nothing lies between -29.5 and 6.6."""
    values = [f"{-30.648 + i / 8}" for i in range(10)] + [f"{6.612 + i / 8}" for i in range(10)]
    predicted = [verdict("dwell", Outcome.MET, "6.74535")]
    samples = [[verdict("dwell", Outcome.NOT_MET if one.startswith("-") else Outcome.MET, one)] for one in values]
    text = printed(*risk_lines(by_risk(verdict_bands(predicted, samples)), 20, 0, waits=False))
    assert "7 degF" in text
    assert "6.745" not in text
    assert "two groups: 10 at -31 to -30, 10 at 7 to 8, none between" in text
    assert "look for what tips them" in text
    even = [[verdict("dwell", Outcome.MET, str(i + 1))] for i in range(20)]
    assert "groups" not in printed(*risk_lines(by_risk(verdict_bands(predicted, even)), 20, 0, waits=False)).lower()
