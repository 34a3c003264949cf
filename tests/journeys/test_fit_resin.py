"""From calorimeter curves to a card that predicts: the sheet of the docs with curves solved by SciPy from known constants."""

from __future__ import annotations

import subprocess
import sys
from typing import TYPE_CHECKING

import numpy as np
import pytest
from scipy.integrate import solve_ivp

from curewright.jobs.fit_resin import fit_resin
from curewright.read.cards import read_card
from curewright.terms.errors import CurewrightError
from tests.unit.read.pages import example

if TYPE_CHECKING:
    from pathlib import Path

A, E, N, HEAT = 2.0e5, 6.2e4, 1.3, 520e3
RUN = [sys.executable, "-c", "from curewright.cli.main import main; main()"]


def rate(T: float, alpha: float) -> float:
    return float(A * np.exp(-E / (8.314 * T)) * max(1 - alpha, 0.0) ** N)


def write(file: Path, t: np.ndarray, celsius: np.ndarray, noise: float, rng: np.random.Generator) -> None:
    """Heat flow in W/g over a small drift, two columns in other units, one that nobody asked for."""
    solved = solve_ivp(
        lambda s, a: [rate(np.interp(s, t, celsius) + 273.15, a[0])], (0, t[-1]), [0.0], t_eval=t, rtol=1e-9, atol=1e-11,
        max_step=20.0,
    )  # fmt: skip
    flow = HEAT / 1e3 * np.array([rate(c + 273.15, a) for c, a in zip(celsius, solved.y[0], strict=True)])
    flow = flow + 0.02 + rng.normal(0, noise, t.size)
    rows = [f"{n},{s / 60:.6f},{c:.4f},{q:.6f}" for n, (s, c, q) in enumerate(zip(t, celsius, flow, strict=True))]
    file.write_text("row,t,T,q\n" + "\n".join(rows) + "\n", encoding="utf-8")


@pytest.fixture(scope="module")
def laboratory(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder, rng = tmp_path_factory.mktemp("laboratory"), np.random.default_rng(11)
    (folder / "sheet.yaml").write_text(example("calorimetry", "yaml"), encoding="utf-8")
    for per_minute in (2, 10):
        t = np.linspace(0, 60 * 260 / per_minute, 1200)
        write(folder / f"ramp-{per_minute}.csv", t, 30 + per_minute * t / 60, 0.0005, rng)
    for celsius, minutes in ((150, 240), (170, 120)):
        t = np.linspace(0, 60 * minutes, 1500)
        write(folder / f"hold-{celsius}.csv", t, np.full(t.size, float(celsius)), 0.0005, rng)
    return folder


def test_the_constants_come_back_within_their_limits(laboratory: Path) -> None:
    found, text = fit_resin(laboratory / "sheet.yaml")
    assert found.law.constant("E") == pytest.approx(E, rel=0.02)
    assert found.law.constant("n") == pytest.approx(N, rel=0.06)
    assert found.energy is not None
    assert found.energy.one_reaction
    assert pytest.approx(E, rel=0.04) == found.energy.E
    assert [heat / HEAT for heat in found.heats if heat is not None] == pytest.approx([1] * 4, abs=0.05)
    card = read_card(text, "card.yaml")
    assert (card.name, card.revision) == ("shop_2031_resin_8", "A")
    assert card.degree_of_cure.numbers == pytest.approx(found.law.constants)
    assert card.heat is not None
    assert card.heat.value.number == pytest.approx(520e3)
    assert card.warnings == ()
    assert "calorimetry R-77 by laboratory L" in card.work
    energy = next(value for value in card.degree_of_cure.values if value.name == "E")
    assert float(energy.low) < energy.number < float(energy.high)


def test_the_command_prints_and_writes_and_overwrites_nothing(laboratory: Path) -> None:
    card = laboratory / "mine.yaml"
    command = [*RUN, "fit", "resin", str(laboratory / "sheet.yaml"), "--card", str(card)]
    first = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    assert first.returncode == 0, first.stderr
    for words in ("ramp at 10", "Activation energy without a law", "ln k", "95 % limits", "Written:"):
        assert words in first.stdout
    written = card.read_text(encoding="utf-8")
    second = subprocess.run(command, capture_output=True, text=True, encoding="utf-8", check=False)
    assert second.returncode == 65
    assert "exists and is left as it is" in second.stderr
    assert card.read_text(encoding="utf-8") == written


def sheet_with(laboratory: Path, name: str, *changes: tuple[str, str]) -> Path:
    words = example("calorimetry", "yaml")
    for old, new in changes:
        assert old in words
        words = words.replace(old, new)
    (laboratory / name).write_text(words, encoding="utf-8")
    return laboratory / name


@pytest.mark.parametrize(
    "old, new, message",
    [
        ("exotherm: upwards\n", "", "a heat flow without its sense"),
        ("exotherm: upwards", "exotherm: downwards", "a heat of .* expected an exotherm. To do: exothermal upwards"),
        ("unit: W/g", "unit: mW", "heat flow in mW; expected W/g or mW/mg or W/kg"),
        ("column: q", "column: heat", r"ramp-2.csv:1: the headings row, t, T, q; expected heat, once each"),
        (
            "file: hold-150.csv",
            "file: hold-155.csv",
            r"broken.yaml:13: no file hold-155.csv; expected a curve beside the sheet",
        ),
        ("A: 1e5 1/s", "A: 1e5 J/mol", "A as a J/mol; expected a unit of rate"),
        ("n: 1}", "m: 1}", "'m' is no constant of the law 'nth order'"),
        (", n: 1}", "}", "no start for n"),
        ("law: nth order", "law: lee 1982", "'lee 1982'; expected 'autocatalytic with diffusion'"),
        ("total heat: 520 kJ/kg", "total heat: 300 kJ/kg", "what is left of the total"),
        ("total heat: 520 kJ/kg", "total heat: 520 kJ/mol", "a total heat that is none"),
    ],
)
def test_what_is_refused(laboratory: Path, old: str, new: str, message: str) -> None:
    sheet = sheet_with(laboratory, "broken.yaml", (old, new))
    with pytest.raises(CurewrightError) as refused:
        fit_resin(sheet)
    import re

    assert re.search(message, str(refused.value)), str(refused.value)


def test_a_cell_that_is_no_number_is_told_with_its_line(laboratory: Path) -> None:
    lines = (laboratory / "hold-170.csv").read_text(encoding="utf-8").splitlines()
    lines[41] = lines[41].rsplit(",", 1)[0] + ",n/a"
    (laboratory / "broken.csv").write_text("\n".join(lines), encoding="utf-8")
    sheet = sheet_with(laboratory, "broken.yaml", ("file: hold-170.csv", "file: broken.csv"))
    with pytest.raises(CurewrightError, match=r"broken.csv:42: 'n/a'; expected a number"):
        fit_resin(sheet)


def test_what_to_be_wary_of_is_said(laboratory: Path) -> None:
    """A total heat 15 % too high is seen by the heated runs; two runs alone tell no energy without a law."""
    found, text = fit_resin(sheet_with(laboratory, "high.yaml", ("total heat: 520 kJ/kg", "total heat: 600 kJ/kg")))
    assert any("a heated run released" in caution for caution in found.cautions)
    assert "a heated run released" in read_card(text, "card.yaml").notes[0]
    ramps = (
        "  - {name: ramp at 2, file: ramp-2.csv, temperature: heated}\n  - {name: ramp at 10, file: ramp-10.csv, temperature: heated}\n",
        "",
    )
    found, _ = fit_resin(sheet_with(laboratory, "two.yaml", ramps))
    assert found.energy is None
    assert any("not told: 2 run(s)" in caution for caution in found.cautions)
    changes = (("law: nth order", "law: nth order\nheld: {n: 3}"), (", n: 1}", "}"))
    found, text = fit_resin(sheet_with(laboratory, "wrong law.yaml", *changes))
    assert any("another law?" in caution for caution in found.cautions)
    assert text == ""
    assert "no card is made of it: shop_2031_resin_8.yaml:10:1: half cured after" in found.cautions[-1]


def test_a_recorded_degree_of_cure_needs_no_heat_and_makes_a_card_without(laboratory: Path) -> None:
    names = {"hold-150.csv": 150, "hold-170.csv": 170, "ramp-2.csv": 0, "ramp-10.csv": 0}
    for name in names:
        rows = np.genfromtxt(laboratory / name, delimiter=",", names=True)
        solved = solve_ivp(
            lambda s, a, rows=rows: [rate(np.interp(s, 60 * rows["t"], rows["T"]) + 273.15, a[0])],
            (0, 60 * rows["t"][-1]), [0.0], t_eval=60 * rows["t"], rtol=1e-8, atol=1e-10, max_step=20.0,
        )  # fmt: skip
        lines = [f"{t},{T},{100 * a:.5f}" for t, T, a in zip(rows["t"], rows["T"], solved.y[0], strict=True)]
        (laboratory / f"cured {name}").write_text("t,T,q\n" + "\n".join(lines), encoding="utf-8")
    changes = [(f"file: {name}", f"file: cured {name}") for name in names]
    changes += [("recorded: heat flow\nexotherm: upwards", "recorded: degree of cure"), ("total heat: 520 kJ/kg\n", "")]
    changes += [("heat flow: {column: q, unit: W/g}", 'degree of cure: {column: q, unit: "%"}')]
    found, text = fit_resin(sheet_with(laboratory, "cured.yaml", *changes))
    assert found.heats == (None,) * 4
    assert found.law.constant("E") == pytest.approx(E, rel=1e-3)
    assert found.law.constant("n") == pytest.approx(N, rel=1e-3)
    assert text, found.cautions
    assert read_card(text, "card.yaml").heat is None


def test_holds_alone_need_a_total_heat_and_without_one_the_ramps_give_it(laboratory: Path) -> None:
    without = ("total heat: 520 kJ/kg\n", "")
    ramps = (
        "  - {name: ramp at 2, file: ramp-2.csv, temperature: heated}\n  - {name: ramp at 10, file: ramp-10.csv, temperature: heated}\n",
        "",
    )
    with pytest.raises(CurewrightError, match="no total heat"):
        fit_resin(sheet_with(laboratory, "holds.yaml", without, ramps))
    found, _ = fit_resin(sheet_with(laboratory, "mean.yaml", without))
    assert found.total_heat == pytest.approx(HEAT, rel=0.02)
    assert any(
        "hold at 170 released" in caution and "taken to end fully cured" in caution for caution in found.cautions
    )
