"""From a heated block to the convection of a vessel: the sheet of the docs, with curves solved by SciPy from a known convection."""

import math
import re
from pathlib import Path

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from curewright.jobs.fit_convection import FittedConvection, fit_convection
from curewright.read.vessel_heat import read_vessel_heat
from curewright.terms.errors import CurewrightError
from tests.journeys.conftest import Curewright
from tests.unit.read.pages import example

A, B = 20.1, 9.3e-5  # W/m2/K and W/m2/K/Pa: what the gas does here
RUNS = {"at-1-bar.csv": 1.013e5, "at-3-bar.csv": 3e5, "at-5-bar.csv": 5e5, "at-7-bar.csv": 7e5}
CAPACITY = 2.7 * 896 / 0.04  # J/m2/K, as the sheet says


def gas(minute: np.ndarray | float) -> np.ndarray:
    return np.interp(minute, [0, 60, 120], [20, 140, 140])


def curve(p: float, noise: float, rng: np.random.Generator) -> str:
    """Half-minute samples; both thermocouples have noise [K]."""
    t = np.arange(0.0, 90.25, 0.5)
    h = A + B * p
    solved = solve_ivp(
        lambda s, T: h / CAPACITY * (gas(s / 60) - T), (0, 5400), [20.0], t_eval=t * 60, rtol=1e-9, max_step=60.0
    )
    body = solved.y[0] + rng.normal(0.0, noise, t.size)
    air = gas(t) + rng.normal(0.0, noise, t.size)
    rows = [f"{minute},{celsius:.4f},{block:.4f}" for minute, celsius, block in zip(t, air, body, strict=True)]
    return "t,air,block\n" + "\n".join(rows) + "\n"


def write(folder: Path, *changes: tuple[str, str], noise: float = 0.1, seed: int = 1) -> Path:
    rng = np.random.default_rng(seed)
    for name, p in RUNS.items():
        (folder / name).write_text(curve(p, noise, rng), encoding="utf-8")
    text = example("survey", "yaml")
    for old, new in changes:
        assert old in text
        text = text.replace(old, new)
    (folder / "sheet.yaml").write_text(text, encoding="utf-8")
    return folder / "sheet.yaml"


def test_film_coefficients_and_their_law_come_back_within_their_errors(tmp_path: Path) -> None:
    found = fit_convection(write(tmp_path))
    assert [one.file for one in found.points] == list(RUNS)
    for one in found.points:
        assert abs(one.h - (A + B * RUNS[one.file])) < 4 * one.error
        assert one.error < 0.02 * one.h
    straight, fit = found.laws[0]
    a, b = straight.values
    assert straight.law == "straight"
    assert a == pytest.approx(A, rel=0.03)
    assert b == pytest.approx(B, rel=0.02)
    assert fit.on_bound == ()


def test_the_standard_error_is_as_wide_as_the_scatter(tmp_path: Path) -> None:
    off = []
    for seed in range(8):
        found: FittedConvection = fit_convection(write(tmp_path, noise=0.3, seed=seed))
        off += [(one.h - (A + B * RUNS[one.file])) / one.error for one in found.points]
    assert np.abs(off).max() < 4.0
    assert 0.5 < math.sqrt(np.mean(np.square(off))) < 1.6  # about 1 where the errors are honest


def test_each_printed_law_can_be_copied_into_the_vessel_heat_file(tmp_path: Path) -> None:
    lines = list(fit_convection(write(tmp_path)).lines())
    assert [line.split(":")[0] for line in lines] == ["survey", "straight", "power", "source"]
    body = (
        "aluminium block of 25 mm on cork, one thermocouple in the middle, at the door end"  # of the sheet in the docs
    )
    page = example("vessel-heat", "yaml")
    head = page[: page.index("convection:")]
    for line in lines[:3]:
        text = f"{head}convection:\n  {line}\n  {lines[3]}\n"
        read = read_vessel_heat(text.encode(), "vessel-heat.yaml").convection
        assert read.source.startswith("survey S-12 in vessel 2 by process engineer P, of: ")
        assert read.source.endswith(body)
        if read.law == "survey":
            assert [p for p, _ in read.points] == pytest.approx(list(RUNS.values()))
            assert [h for _, h in read.points] == pytest.approx([A + B * p for p in RUNS.values()], rel=0.02)


def test_the_command_prints_them(tmp_path: Path, curewright: Curewright) -> None:
    told = curewright("fit", "convection", write(tmp_path))
    assert told.returncode == 0, told.stderr
    for words in (
        "Survey S-12 in vessel 2",
        "at-7-bar.csv",
        "survey: [{at: 1.013 bar absolute",
        "straight: {a:",
        "n ±",
        "can kill",
    ):
        assert words in told.stdout


@pytest.mark.parametrize(
    "old, new, message",
    [
        ("unit: min", "unit: degC", "time in degC; expected s or min or h"),
        ("column: block", "column: part", r"at-1-bar.csv:1: the headings t, air, block; expected part, once each"),
        ("at-3-bar.csv", "at-4-bar.csv", r"sheet.yaml:\d+: no file at-4-bar.csv; expected a curve beside the sheet"),
        ("column: block", "column: air", "at-1-bar.csv: body and gas within 0 K of each other"),
        (
            "conductivity: 167 W/m/K",
            "conductivity: 0.2 W/m/K",
            "at-1-bar.csv: a film coefficient of .* a Biot number of",
        ),
        ("column: t", "column: air", "the times do not rise from row to row"),
        ("mass: 2.7 kg", "mass: 2.7", "'2.7'; expected a number such as '2.4 kg'"),
    ],
)
def test_what_is_refused(tmp_path: Path, old: str, new: str, message: str) -> None:
    with pytest.raises(CurewrightError) as refused:
        fit_convection(write(tmp_path, (old, new)))
    assert re.search(message, str(refused.value)), str(refused.value)


def test_two_pressures_tell_points_and_no_law(tmp_path: Path) -> None:
    cut = ("  - {file: at-5-bar.csv, at: 5 bar absolute}\n  - {file: at-7-bar.csv, at: 7 bar absolute}\n", "")
    found = fit_convection(write(tmp_path, cut))
    assert found.laws == ()
    assert all("expected three or more" in why for why in found.refused)
    assert [line.split(":")[0] for line in found.lines()] == ["survey", "source"]
