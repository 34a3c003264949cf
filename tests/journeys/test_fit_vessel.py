"""What a recorded run tells of its vessel, through the command line."""

from pathlib import Path

from tests.journeys.conftest import Curewright

ROWS = ("control lag", "greatest heating", "greatest cooling")


def test_the_demo_tells_its_lag_and_no_limit(demo_folder: Path, curewright: Curewright) -> None:
    out = demo_folder / "fitted.yaml"
    told = curewright("fit", "vessel", demo_folder, "--out", out, COLUMNS="120")
    assert told.returncode == 0, told.stderr
    rows = {name: next(line for line in told.stdout.splitlines() if line.startswith(name)) for name in ROWS}
    lag, heating, cooling = rows.values()
    assert lag.split()[-1] == "120"  # what the file says
    assert 119.0 < float(lag.split()[3]) < 121.0
    assert "at least 3.60" in heating  # degF/min: 2 degC/min
    assert "at least 3.24" in cooling  # 1.8 degC/min
    again = curewright("fit", "vessel", demo_folder, "--out", out)
    assert again.returncode == 65
    assert "is there already and is left as it is" in again.stderr
    sheet = demo_folder / "run.yaml"
    sheet.write_text(sheet.read_text(encoding="utf-8").replace("vessel-heat.yaml", "fitted.yaml"), encoding="utf-8")
    predicted = curewright("predict", demo_folder, "--no-files", COLUMNS="200")
    assert predicted.returncode == 0, predicted.stderr
    assert "written by process engineer P, fitted to run DEMO-1, 2026-03-04" in predicted.stdout
