"""The chapter of the estimate: only when asked for, with everything that has to be said, and in words that decide nothing."""

import io
import json
from dataclasses import replace

from pypdf import PdfReader

from curewright.predict.part_state import PartState, PlaceState
from curewright.predict.resin import PressedUntilGel, ResinState
from curewright.record.cure_record.contents import contents
from curewright.record.cure_record.estimate import NAME
from curewright.record.cure_record.papers import EstimateOfCure, Papers, Plot, StateAtDeviation
from curewright.record.cure_record.typeset import typeset
from curewright.terms.units import UNITS
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
