"""What the commands about predictions print. Imported only when one of them runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from curewright.cli.codes import MET
from curewright.cli.show import console

if TYPE_CHECKING:
    from rich.console import Console

    from curewright.jobs.materials import Materials
    from curewright.predict.predicted import Prediction
    from curewright.record.prediction_print import Shown
    from curewright.terms.load import Load


def show_prediction(folder: str) -> int:
    """Predict the planned load of a folder and print what comes out. The exit code says only that it was predicted."""
    from curewright.cli.progress import Progress
    from curewright.jobs.predict_run import predict_load
    from curewright.record.prediction_print import head, shown_in, verdict_lines

    with Progress() as progress:
        found = predict_load(Path(folder), progress.step)
    cycle = found.plan.prediction.cycle
    assert cycle is not None
    screen = console()
    what = f"run {found.plan.number} in vessel {found.plan.load.vessel}, cycle {cycle.name} revision {cycle.revision}"
    title = f"PREDICTED, not recorded: {what}"
    for line in head(title, found.prediction):
        screen.print(line)
    _tables(screen, found.prediction, found.plan.load, found.materials, shown_in(found.units))
    screen.print()
    for line in verdict_lines(found.document):
        screen.print(line)
    _foot(screen, found.prediction)
    return MET


def _tables(screen: Console, prediction: Prediction, load: Load, materials: Materials, shown: Shown) -> None:
    from curewright.predict.summary import places, zones
    from curewright.record.prediction_print import sensor_table, zone_table

    screen.print()
    screen.print(sensor_table(places(prediction), shown))
    screen.print()
    screen.print(zone_table(zones(prediction, load, materials.resin_of), shown))


def _foot(screen: Console, prediction: Prediction) -> None:
    from curewright.record.prediction_print import foot

    screen.print()
    for line in foot(prediction):
        screen.print(line)
