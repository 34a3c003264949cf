"""The chapter of the estimate: only when asked for, with everything that has to be said, and in words that decide nothing."""

import io
import json
from dataclasses import replace

import numpy as np
import pytest
from pypdf import PdfReader

from curewright.predict.part_state import PartState, PlaceState
from curewright.predict.resin import PressedUntilGel, ResinState
from curewright.predict.state_band import StateBand
from curewright.predict.verdict_band import JudgedSamples, verdict_bands
from curewright.record.cure_record.contents import contents
from curewright.record.cure_record.estimate import NAME
from curewright.record.cure_record.papers import EstimateOfCure, Papers, Plot, StateAtDeviation
from curewright.record.cure_record.typeset import typeset
from curewright.record.state_print import hold_lines
from curewright.record.state_words import ISOLATES, PUSHED, UNPLANNED, misleads, warning_of
from curewright.terms.units import UNITS
from curewright.terms.verdict import Margin, Outcome, Verdict
from curewright.text.in_units import Shown

# 450 K = 350.33 °F; 6 bar = 87.02 psi; 5.5 bar = 79.77 psi; 1 bar = 14.50 psi (by hand: 1 psi = 6894.757 Pa)
NOW = ResinState("TC7 (part P1, z)", 7200.0, 450.0, 0.8, 400.0, 460.0, None, True, "depends on the law", None, 5.5e5)
PLANNED = replace(NOW, cure=0.9, pressed=6e5)
STATE = PartState(
    "P1",
    7200.0,
    (
        PlaceState(
            "recorded", NOW, replace(NOW, cure=0.81), PLANNED, replace(PLANNED, cure=0.91),
            PressedUntilGel((5.5e5, 3600.0), 5.5e5, (1e5, 3000.0)), PressedUntilGel((6e5, 3660.0), 6e5, (1e5, 3060.0)),
        ),
    ),
    ("a card rests on memory",),
)  # fmt: skip
SHOWN = Shown(UNITS["degF"], UNITS["psi gauge"])
FOUND = EstimateOfCure(
    (StateAtDeviation(STATE, "part P1, clause 4.7 duration", SHOWN),),
    (Plot("estimate-0.svg", b'<svg xmlns="http://www.w3.org/2000/svg" width="20pt" height="10pt"></svg>', "a plot"),),
    ("a card rests on memory",),
    ("No estimate of part P9: part P9 has no build-up.",),
    (("build-up.yaml", "e" * 64),),
)


def chapters(papers: Papers) -> list[dict]:
    return contents(papers)["chapters"]


def test_nobody_asked_nothing_is_there(papers: Papers) -> None:
    assert NAME not in [one["title"] for one in chapters(papers)]
    assert "Estimate" not in json.dumps(chapters(papers))


def test_it_stands_before_the_signatures_and_after_the_evidence(papers: Papers) -> None:
    without = [one["title"] for one in chapters(papers)]
    titles = [one["title"] for one in chapters(replace(papers, estimate=FOUND))]
    at = titles.index(NAME)
    assert titles[at : at + 2] == [NAME, f"{NAME}: plot"]
    assert titles[:at] + titles[at + 2 :] == without
    assert at + 2 == titles.index(without[-1])  # the signatures come last


def test_state_and_pressure_beside_the_planned_cycle(papers: Papers) -> None:
    chapter = next(one for one in chapters(replace(papers, estimate=FOUND)) if one["title"] == NAME)
    state, pressure = [block for block in chapter["blocks"] if block["kind"] == "table"]
    [row] = state["rows"]
    assert row[:5] == ["TC7 (part P1, z), recorded", "350.3", "0.800 (0.900)", "260–368", "–"]
    assert row[5:] == ["yes", "depends", "–", "0.810 (0.910)"]
    assert "T, °F" in state["head"]
    [row] = pressure["rows"]
    assert row[1:] == ["79.8 (87.0)", "79.8 at 1:00 (87.0 at 1:01)", "79.8 (87.0)", "14.5 at 0:50 (14.5 at 0:51)"]


BAND = StateBand(
    "TC7 (part P1, z)", "recorded", (450.0, 450.0), (0.78, 0.82), (400.0, 460.0), None, 1.0, ("rate of cure",)
)


def margin_of(value: str) -> Margin:
    return Margin(value, "degF", None, "TC7", "1", "2")


def verdict(part: str, value: str, outcome: Outcome, clause: str = "4.11") -> Verdict:
    return Verdict(
        part, "S", "A", clause, "at event", "at event", part, outcome, "why", "at most 140 degF", margin_of(value)
    )


def test_bands_stand_below_the_state(papers: Papers) -> None:
    states = (replace(FOUND.states[0], bands=(BAND,), not_varied=("thickness",)),)
    chapter = next(
        one for one in chapters(replace(papers, estimate=replace(FOUND, states=states))) if one["title"] == NAME
    )
    table = [block for block in chapter["blocks"] if block["kind"] == "table"][2]
    assert table["head"] == ["Place", "T, °F", "Cure", "Tg, °F", "Pa s", "Gelled in"]
    assert table["rows"] == [["TC7 (part P1, z), recorded", "350.3", "0.780–0.820", "260–368", "–", "100%"]]
    words = json.dumps(chapter, ensure_ascii=False)
    assert "varied: rate of cure" in words
    assert "nobody stated how well it is known: thickness" in words


def test_how_sure_the_model_is_of_what_some_samples_do_not_meet(papers: Papers) -> None:
    """Three of four samples meet it, by 1, 1, 2 and not by -4 degF: the band is that of NumPy; another part is left out."""
    parts, values = ("P1", "P2"), ("1", "1", "2", "-4")
    predicted = [verdict(part, "1.5", Outcome.MET) for part in parts]
    samples = [
        [verdict(part, value, Outcome.NOT_MET if value == "-4" else Outcome.MET) for part in parts] for value in values
    ]
    judged = JudgedSamples(5, 1, verdict_bands(predicted, samples), (), ())
    chapter = next(
        one for one in chapters(replace(papers, estimate=replace(FOUND, judged=judged))) if one["title"] == NAME
    )
    table = [block for block in chapter["blocks"] if block["kind"] == "table"][2]
    low, high = np.quantile([1.0, 1.0, 2.0, -4.0], [0.025, 0.975])
    assert table["head"][-1] == "Not met, of 4"
    [row] = table["rows"]
    assert row[:2] == ["part P1, clause 4.11 at event (at most 140 °F)", "1.5 °F"]
    assert [float(end) for end in row[2].split(" to ")] == pytest.approx(
        [low, high], abs=0.051
    )  # to the tenth, two digits of a band 5.6 wide
    assert row[3] == "1 (25%)"
    words = json.dumps(chapter, ensure_ascii=False)
    assert "no probability that the real run conforms" in words
    assert "nothing here changes them" in words


def test_a_void_margin_that_a_leak_raised_is_pointed_out(papers: Papers) -> None:
    place = STATE.places[0]
    leaked = replace(place, pressed=PressedUntilGel((5.5e5, 3600.0), 5.5e5, (1.2e5, 3000.0)))
    lower = replace(place, pressed=PressedUntilGel((5.5e5, 3600.0), 5.5e5, (0.8e5, 3000.0)))
    tight = replace(place, pressed=PressedUntilGel((6e5, 3600.0), 6e5, (1.2e5, 3000.0)))
    unplanned = replace(leaked, nominal_pressed=None)
    assert [misleads(one) for one in (leaked, lower, tight, unplanned)] == [True, False, False, False]
    told = replace(FOUND, states=(replace(FOUND.states[0], state=replace(STATE, places=(leaked,))),))
    words = json.dumps(chapters(replace(papers, estimate=told)), ensure_ascii=False)
    assert "17.4 at 0:50 (14.5 at 0:51) !" in words  # 1.2 bar and 1 bar
    assert "gas that leaks into the bag raises the number" in words
    assert "raises the number" not in json.dumps(chapters(replace(papers, estimate=FOUND)), ensure_ascii=False)


def test_it_says_what_it_is_what_it_stands_on_and_what_is_missing(papers: Papers) -> None:
    words = json.dumps(chapters(replace(papers, estimate=FOUND)), ensure_ascii=False)
    for told in (
        "No verdict of this record depends on it",
        "no disposition",
        "a card rests on memory",
        "P9 has no build-up",
        "e" * 64,
    ):
        assert told in words
    for decided in ("use as is", "use-as-is", "rework", "scrap", "acceptable"):
        assert decided not in words.lower()


def test_it_can_be_typeset(papers: Papers) -> None:
    pdf = typeset(replace(papers, estimate=FOUND), [], "")
    text = " ".join(page.extract_text() for page in PdfReader(io.BytesIO(pdf)).pages)
    assert NAME in text
    assert "79.8 (87.0)" in text


def test_without_a_plan_no_word_speaks_of_one(papers: Papers) -> None:
    """A bag 0.5 bar above the air outside: 5.5 bar lie on the laminate under a vessel of 6 bar gauge."""
    place = replace(
        STATE.places[0], nominal=None, nominal_end=None, nominal_pressed=None,
        pressed=PressedUntilGel((5.5e5, 3600.0), 5.5e5, (1.2e5, 3000.0), 6e5),
    )  # fmt: skip
    tight = replace(place, pressed=PressedUntilGel((6.9e5, 3600.0), 6.9e5, (1e5, 3000.0), 6e5))
    assert [warning_of([one]) for one in (place, tight)] == [PUSHED, None]
    told = replace(FOUND, states=(replace(FOUND.states[0], state=replace(STATE, places=(place,))),))
    chapter = next(one for one in chapters(replace(papers, estimate=told)) if one["title"] == NAME)
    state, pressure = [block for block in chapter["blocks"] if block["kind"] == "table"]
    assert state["head"][2] == "Cure"
    assert state["head"][-1] == "Cure at the end"
    assert pressure["rows"][0][3] == "79.8 [87.0] !"  # psi
    words = json.dumps(chapter, ensure_ascii=False)
    assert "the gas in the bag stands above the air outside" in words
    assert UNPLANNED in words
    assert "(planned)" not in words
    assert "in brackets the planned" not in words
    [line] = hold_lines((replace(place, hold=None),), "180 degC")
    assert "no cycle is planned" in str(line)


def test_which_comparison_shows_the_deviation_alone(papers: Papers) -> None:
    words = json.dumps(chapters(replace(papers, estimate=FOUND)), ensure_ascii=False)
    assert ISOLATES in words
    one = STATE.places[0]
    lines = [str(line) for line in hold_lines((replace(one, hold=1140.0), replace(one, by="replayed", hold=0.0)), "x")]
    assert lines[1].endswith("recorded: 0:19 (hours and minutes)")
    assert lines[2].endswith("replayed: none")
    assert "two questions" in lines[3]
    assert len([*hold_lines((replace(one, hold=1140.0),), "x")]) == 2
