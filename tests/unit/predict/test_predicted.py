"""A load predicted, against lags in closed form (physics of a lump: τ = ρ c L / Σh, lag = rate × τ; any textbook of heat transfer)."""

from datetime import UTC, datetime

import numpy as np
import pytest

from curewright.physics.layers import layer_of_prepreg
from curewright.predict.planned import surroundings
from curewright.predict.predicted import LoadToPredict, predict, predict_cycle
from curewright.predict.run import run_of
from curewright.read.cards import packaged_card, packaged_solid
from curewright.terms.build_up import BuildUp, PartBuildUp, Place, Zone, ZoneFace, ZoneLayer
from curewright.terms.cycle import Convection, Cycle, Segment, VesselHeat
from curewright.terms.errors import CurewrightError
from curewright.terms.load import ALWAYS, Assignment, Bag, Load, Part
from curewright.terms.material import LayerMaterial

SITE = 1e5
STEADY = Convection("straight", (50.0, 0.0), source="invented")
METAL = LayerMaterial(
    "a metal", 2700.0, (900.0, 0.0, 0.0), (200.0, 0.0, 0.0)
)  # an aluminium, handbook values from memory
RESIN = LayerMaterial(
    "no start", 1300.0, (1000.0, 0.0, 0.0), (0.2, 0.0, 0.0), 1e8, "nth order", (1.0, 1.0, 1.0), (0.1, 0.5)
)
PREPREG = layer_of_prepreg(packaged_card("hubert_2001"), packaged_solid("johnston_1997_fibre"), 0.57)
TAU = 2700 * 900 * 0.01 / (50 + 25)


def zone(name: str = "z", *, thickness: float = 0.01, film: float | None = None, material: str = "metal") -> Zone:
    return Zone(name, (ZoneLayer("plate", thickness, material),), ZoneFace(1.0), ZoneFace(0.5, film))


def part(serial: str = "1", *zones: Zone, **changes: object) -> PartBuildUp:
    places = (Place("TC1", "z", "plate", 0.5), Place("TC2", "z", "plate", 1.0, air_share=0.4))
    given: dict[str, object] = {
        "zones": zones or (zone(),),
        "places": places,
        "temperature": 300.0,
        "degree_of_cure": 0.0,
    }
    return PartBuildUp(serial, **{**given, **changes})  # type: ignore[arg-type]


def load() -> Load:
    parts = tuple(Part(serial, "n", "A", "l", "B1", "t", "S", "A") for serial in ("1", "2"))
    lines = [
        ("TC1", "judging", "1"), ("TC2", "judging", "1"), ("TC9", "judging", "2"), ("A", "air", "v"), ("P", "vessel pressure", "v"),
        ("B", "bag transducer", "B1"), ("V", "source valve", "B1"), ("S", "set point", "v"),
    ]  # fmt: skip
    lines_ = tuple(Assignment(name, f"ch {name}", role, thing, "", 0, ALWAYS, "P") for name, role, thing in lines)
    return Load("r", "v", None, parts, (Bag("B1", ()),), lines_)


def asked(*parts: PartBuildUp, convection: Convection = STEADY) -> LoadToPredict:
    materials = {"metal": METAL, "resin": RESIN, "prepreg": PREPREG}
    return LoadToPredict(
        load(), BuildUp("r", "P", parts or (part(),)), lambda layer: materials[layer.material], convection
    )


def cycle(*segments: Segment) -> Cycle:
    return Cycle("c", "A", "P", segments, 300.0, 0.0, -80e3, 1e5)


HEAT = VesselHeat("v", 1e9, 1e9, 1e6, 0.0, "nitrogen", STEADY, "P")
RAMP = Segment("up", target=400.0, rate=1 / 60, pressure=5e5, pressure_rate=1000.0)


def test_a_thin_plate_lags_the_air_by_rate_times_its_time_constant() -> None:
    seen, _ = surroundings(cycle(RAMP), HEAT, ["B1"], SITE, {})
    found = predict(asked(), seen)
    air = seen.air.at(found.t)
    late = found.t > 6 * TAU
    assert (air - found.places["TC1"])[late] == pytest.approx(TAU / 60, abs=0.03)
    shown = 0.4 * air + 0.6 * found.places["TC1"]
    assert found.places["TC2"] == pytest.approx(shown, abs=0.05)  # the plate itself differs by q L/k < 0.01 K


def test_convection_grows_with_pressure_by_law_or_by_survey() -> None:
    seen, _ = surroundings(cycle(RAMP), HEAT, ["B1"], SITE, {})
    power = Convection("power", (50.0, 6e5, 1.0), source="invented")
    survey = Convection("survey", points=((1e5, 50 / 6), (6e5, 50.0)), source="invented")
    straight = Convection("straight", (0.0, 50 / 6e5), source="invented")
    shown = [predict(asked(convection=one), seen).places["TC1"] for one in (straight, power, survey)]
    assert shown[1] == pytest.approx(shown[0], abs=0.02)
    assert shown[2] == pytest.approx(shown[0], abs=0.02)
    with pytest.raises(CurewrightError, match="outside the survey"):
        predict(asked(convection=Convection("survey", points=((2e5, 20.0), (6e5, 50.0)))), seen)


def test_a_sub_structure_slows_the_tool_side() -> None:
    seen, _ = surroundings(cycle(RAMP), HEAT, ["B1"], SITE, {})
    film = 1 / (1 / 25 + 1 / 20)
    lag = 2700 * 900 * 0.01 / (50 + film) / 60
    shown = predict(asked(part("1", zone(film=20.0))), seen).places["TC1"]
    assert seen.air.at(5900.0) - np.interp(5900.0, np.linspace(0, 6000, shown.size), shown) == pytest.approx(
        lag, abs=0.05
    )


def test_a_hold_waits_for_the_coldest_thermocouple() -> None:
    soak = Segment("soak", hold=1200.0, counted_from=398.0, longest=9000.0)
    found = predict_cycle(asked(), cycle(RAMP, soak, Segment("down", target=350.0, rate=1 / 30)), HEAT, SITE)
    # the ramp ends TAU/60 K behind; from there 400 - T decays with TAU until it is 2 K
    reached = 6000 + TAU * np.log(TAU / 60 / 2.0)
    ends = {name: at for at, name in found.seen.segments}["down"]
    assert ends == pytest.approx(reached + 1200, abs=3.0)


@pytest.mark.parametrize("level, told", [(405.0, "does not reach"), (399.99, "longest time ends it")])
def test_a_hold_that_waits_in_vain_ends_and_says_so(level: float, told: str) -> None:
    soak = Segment("soak", hold=5000.0, counted_from=level, longest=6000.0)
    found = predict_cycle(asked(), cycle(RAMP, soak, Segment("down", target=350.0, rate=1 / 30)), HEAT, SITE)
    assert {name: at for at, name in found.seen.segments}["down"] == pytest.approx(12000.0)
    assert any(told in warning for warning in found.warnings)


def test_what_is_not_predicted_is_said() -> None:
    seen, _ = surroundings(cycle(RAMP), HEAT, ["B1"], SITE, {})
    warnings = predict(asked(), seen).warnings
    assert "part 2 has no build-up and is not predicted" in warnings
    assert "never evidence" in warnings[0]
    with pytest.raises(CurewrightError, match="no part has a build-up"):
        predict(asked(part(zones=())), seen)


def test_a_resin_that_may_not_start_there_is_refused() -> None:
    seen, _ = surroundings(cycle(RAMP), HEAT, ["B1"], SITE, {})
    with pytest.raises(CurewrightError, match=r"starts at a degree of cure of 0, which no start does not allow"):
        predict(asked(part("1", zone(material="resin"))), seen)


def test_a_prediction_as_a_run() -> None:
    found = predict_cycle(asked(), cycle(RAMP, Segment("soak", hold=1800.0)), HEAT, SITE)
    run = run_of(found, load(), "r", datetime(2031, 3, 4, tzinfo=UTC))
    assert set(run.channels) == {"ch TC1", "ch TC2", "ch A", "ch P", "ch B", "ch V", "ch S"}
    tc = run.channels["ch TC1"]
    assert tc.v / 1e6 == pytest.approx(found.places["TC1"], abs=1e-6)
    assert (tc.t[0], tc.t[-1], run.closing.end) == (0, 7_800 * 10**9, 7_800 * 10**9)  # type: ignore[union-attr]
    valve = run.channels["ch V"]
    shown = np.array(valve.states)[valve.v.astype(int)]
    vented = 100 * 10**9  # 1e5 Pa at 1000 Pa/s
    assert vented in valve.t
    assert shown.tolist() == ["source" if t < vented else "atmosphere" for t in valve.t.tolist()]
    assert np.diff(valve.t).max() <= 30 * 10**9  # a state is sampled like the rest: a gap would make it unknown
    pressure = run.channels["ch P"]
    assert pressure.v[-1] == 5e8
    assert run.barometer == 1e8
    assert run.notes[0].startswith("PREDICTED, not recorded")
