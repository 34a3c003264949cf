"""What a load saw of its vessel, from a recorded run; expected figures by hand."""

from datetime import UTC, datetime

import numpy as np
import pytest

from curewright.predict.recorded import recorded
from curewright.terms.errors import CurewrightError
from curewright.terms.load import ALWAYS, Assignment, Bag, Load, Vessel
from curewright.terms.run import Run
from tests.unit.judge.build import channel, quantity

ROLES = {
    "A1": ("air", "v"),
    "A2": ("air", "v"),
    "P": ("vessel pressure", "v"),
    "B": ("bag transducer", "B1"),
    "S": ("set point", "v"),
}
CHANNELS = {
    "A1": channel("A1", [(m, 20 + 2 * m) for m in range(101)]),
    "A2": channel("A2", [(m, 24 + 2 * m) for m in range(101)], bad=(50, 51, 52)),
    "P": channel("P", [(m, min(6.0, 0.1 * m)) for m in range(101)], "bar gauge"),
    "B": channel("B", [(m, 850 if m < 10 else 0) for m in range(101)], "mbar of vacuum"),
    "S": channel("S", [(m, "up" if m < 80 else "soak") for m in range(101)], kind="state", states=("up", "soak")),
}


def load(**roles: tuple[str, str]) -> Load:
    lines = tuple(Assignment(name, name, role, thing, "", 0, ALWAYS, "P") for name, (role, thing) in roles.items())
    return Load("r", "v", None, (), (Bag("B1", ()), Bag("B2", ())), lines)


def run(**changes: object) -> Run:
    given: dict[str, object] = {"channels": dict(CHANNELS), "barometer": 98_000_000.0}
    return Run("r", datetime(2031, 3, 4, tzinfo=UTC), "v", **{**given, **changes})  # type: ignore[arg-type]


VESSEL = Vessel("v", (), (), (), quantity("990 hPa absolute"))


def test_what_the_load_saw() -> None:
    seen = recorded(run(), VESSEL, load(**ROLES))
    minutes = np.array([0.0, 30.0, 100.0]) * 60
    assert seen.air.at(minutes) == pytest.approx([295.15, 355.15, 495.15], abs=0.06)  # the mean of both
    assert seen.pressure.at(minutes) == pytest.approx([98e3, 398e3, 698e3], abs=510)
    assert seen.bags["B1"].at(np.array([300.0, 3000.0])) == pytest.approx([13e3, 98e3], abs=510)
    assert seen.segments == ((0.0, "up"), (4800.0, "soak"))
    assert (seen.start, seen.end) == (0.0, 6000.0)
    assert any("bag B2 has no transducer" in note for note in seen.notes)
    assert seen.air.t.size < 20


def test_bad_samples_are_bridged_and_told() -> None:
    seen = recorded(run(), VESSEL, load(A2=("air", "v"), P=("vessel pressure", "v")))
    assert seen.air.at(np.array([51 * 60.0])) == pytest.approx([24 + 102 + 273.15], abs=0.06)
    assert any("A2: 4.0 min without a value" in note for note in seen.notes)


@pytest.mark.parametrize(
    "barometer, vessel, site",
    [
        (98_000_000.0, VESSEL, 98e3),
        (None, VESSEL, 99e3),
        (None, Vessel("v", (), (), ()), 101_325.0),  # ISO 2533, from memory
    ],
)
def test_where_the_pressure_of_the_site_comes_from(barometer: float | None, vessel: Vessel, site: float) -> None:
    seen = recorded(run(barometer=barometer), vessel, load(**ROLES))
    assert seen.site == site
    assert any("standard atmosphere" in note for note in seen.notes) == (site == 101_325.0)


def test_fast_samples_are_averaged() -> None:
    rng = np.random.default_rng(3)
    fast = channel("A1", [(s / 60, 100.0 + rng.normal(0.0, 0.2)) for s in range(3600)])
    seen = recorded(run(channels={"A1": fast, "P": CHANNELS["P"]}), VESSEL, load(A1=ROLES["A1"], P=ROLES["P"]))
    inside = seen.air.value[1:-1]
    assert seen.air.t.size <= 122
    assert np.abs(inside - 373.15).max() < 5 * 0.2 / np.sqrt(30) + 0.05  # five standard errors of a mean of thirty


@pytest.mark.parametrize("left_out, told", [("P", "no vessel pressure"), ("A", "no air thermocouple")])
def test_a_run_without_air_or_pressure_is_no_replay(left_out: str, told: str) -> None:
    kept = {name: role for name, role in ROLES.items() if not name.startswith(left_out)}
    with pytest.raises(CurewrightError, match=told):
        recorded(run(), VESSEL, load(**kept))
