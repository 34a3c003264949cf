"""Fitting a vessel from a folder: the truth is the demo's own model (a lag of 2 min, no limit of power: jobs/demo_run.py)."""

from pathlib import Path

import pytest

from curewright.jobs.fit_vessel import ToldOfVessel, fit_vessel, with_fit
from curewright.jobs.understand_run import RunFiles
from curewright.predict.fit_vessel import FittedVessel, Rate
from curewright.read.vessel_heat import read_vessel_heat
from curewright.terms.errors import CurewrightError, FileError

FILE = """# ours
vessel: v
written by: engineer P
gas: air
heating: 400 kW   # as bought
cooling: 300 kW
thermal mass: 4500 kJ/K
control lag: 5 min
convection:
  straight: {a: 20.1 W/m2/K, b: 9.3e-5 W/m2/K/Pa}
  source: a survey
"""


def told(heating: Rate | None, cooling: Rate | None, text: str = FILE) -> ToldOfVessel:
    found = FittedVessel(150.0, 3.0, heating, cooling, 0.4, 0.2, 800, ())
    return ToldOfVessel('R "1"', "2031-03-04", "v", found, read_vessel_heat(text.encode(), "heat.yaml"), ())


def test_the_lag_of_the_demo_is_found_and_its_powers_only_bounded(demo_folder: Path, tmp_path: Path) -> None:
    out = tmp_path / "fitted.yaml"
    found = fit_vessel(RunFiles(demo_folder), out).found
    assert abs(found.lag - 120.0) < 4 * found.lag_error
    assert found.lag_error < 1.0
    assert found.heating is not None
    assert found.cooling is not None
    assert (found.heating.at_least, found.cooling.at_least) == (True, True)
    assert found.heating.value == pytest.approx(2.0 / 60, rel=1e-3)  # 129 K in 64.5 min
    assert found.cooling.value == pytest.approx(1.8 / 60, rel=1e-3)  # 135 K in 75 min
    assert found.offset == pytest.approx((0.4 - 0.3) / 2, abs=0.02)  # what the two air thermocouples are off by
    written = read_vessel_heat(out.read_bytes(), "fitted.yaml")
    before = read_vessel_heat((demo_folder / "vessel-heat.yaml").read_bytes(), "vessel-heat.yaml")
    assert written.lag == pytest.approx(found.lag, abs=0.1)
    assert (written.heating, written.cooling, written.convection) == (before.heating, before.cooling, before.convection)
    assert written.fitted_to == "run DEMO-1, 2026-03-04"
    with pytest.raises(FileError, match="there already and is left as it is"):
        fit_vessel(RunFiles(demo_folder), out)


def test_without_a_file_to_copy_the_run_tells_and_nothing_is_written(demo_folder: Path, tmp_path: Path) -> None:
    sheet = demo_folder / "run.yaml"
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("vessel heat: vessel-heat.yaml\n", ""), encoding="utf-8")
    assert fit_vessel(RunFiles(demo_folder)).stated is None
    with pytest.raises(FileError, match="names no file that says how the vessel heats"):
        fit_vessel(RunFiles(demo_folder), tmp_path / "fitted.yaml")
    assert not (tmp_path / "fitted.yaml").exists()


def test_a_limit_becomes_a_power_by_the_stated_thermal_mass() -> None:
    text = with_fit(FILE, told(Rate(0.05, 0.001), Rate(0.02, 0.0005)))
    back = read_vessel_heat(text.encode(), "heat.yaml")
    assert (back.heating, back.cooling, back.lag) == pytest.approx((0.05 * 4.5e6, 0.02 * 4.5e6, 150.0))
    assert back.fitted_to == 'run R "1", 2031-03-04'
    assert "heating: 225 kW   # ± 4.5 kW" in text
    assert text.startswith("# ours\nvessel: v\n")


def test_a_lower_bound_changes_only_a_file_that_it_contradicts() -> None:
    text = with_fit(FILE, told(Rate(0.05, None), Rate(0.1, None)))
    back = read_vessel_heat(text.encode(), "heat.yaml")
    assert (back.heating, back.cooling) == pytest.approx((400e3, 450e3))
    assert "heating: 400 kW   # as bought" in text
    assert "cooling: 450 kW   # at least" in text


def test_a_second_fit_replaces_the_first() -> None:
    once = with_fit(FILE, told(None, None))
    assert with_fit(once, told(None, None, once)) == once


def test_a_file_that_is_written_otherwise_is_not_guessed_at() -> None:
    text = FILE.replace("control lag: 5 min", "? control lag\n: 5 min")
    with pytest.raises(CurewrightError):
        with_fit(text, told(None, None))
