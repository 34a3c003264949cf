"""What the commands about predictions print. Imported only when one of them runs."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING

from curewright.cli.codes import MET, NOT_SHOWN
from curewright.cli.show import console

if TYPE_CHECKING:
    from rich.console import Console

    from curewright.jobs.materials import Materials
    from curewright.predict.predicted import Prediction
    from curewright.predict.verdict_band import JudgedSamples
    from curewright.terms.load import Load
    from curewright.text.in_units import ShownByPart


def show_prediction(folder: str, samples: int | None, shares: bool, out: Path | None) -> int:
    """Predict the planned load of a folder, print what comes out and, with ``out``, keep it there. The exit code says only that it
    was predicted.
    """
    from curewright.cli.progress import Progress
    from curewright.jobs.draw_prediction import keep, prediction_files
    from curewright.jobs.judge_samples import judged_samples, waits
    from curewright.jobs.predict_run import band_of, predict_load, shares_of, unpredicted
    from curewright.predict.summary import zones
    from curewright.record.prediction_print import (
        band_tables,
        exotherm_lines,
        head,
        not_shown_lines,
        share_table,
        verdict_lines,
        void_lines,
    )
    from curewright.text.in_units import shown_by_part

    with Progress() as progress:
        found = predict_load(Path(folder), progress.step)
        band = band_of(found, samples, progress.step) if samples else None
        judged = judged_samples(found, samples, progress.step) if samples else None
        told = shares_of(found, progress.step) if shares else None
        if out:
            progress.step("drawing the plots")
            keep(out, prediction_files(found, band, judged))
    cycle = found.plan.prediction.cycle
    assert cycle is not None
    screen = console()
    what = f"run {found.plan.number} in vessel {found.plan.load.vessel}, cycle {cycle.name} revision {cycle.revision}"
    title = f"PREDICTED, not recorded: {what}"
    for line in head(title, found.prediction):
        screen.print(line)
    units = shown_by_part(found.plan.load, found.specifications)
    _tables(screen, found.prediction, found.plan.load, found.materials, units)
    for table in (*(band_tables(band, units) if band else ()), *((share_table(*told),) if told else ())):
        screen.print()
        screen.print(table)
    screen.print()
    for line in verdict_lines(found.document, ranked=judged is not None):
        screen.print(line)
    if judged:
        screen.print()
        _risk(screen, judged, units, waits=waits(cycle))
        screen.print()
    told_zones = zones(found.prediction, found.plan.load, found.materials.resin_of)
    for line in (*exotherm_lines(told_zones), *void_lines(told_zones, units)):
        screen.print(line)
    for line in not_shown_lines(found.document, unpredicted(found.plan.load, found.run)):
        screen.print(line)
    _foot(screen, found.prediction)
    _kept(screen, out, banded=samples is not None)
    return MET


def show_replay(folder: str, samples: int | None, out: Path | None) -> int:
    """Put the recorded air and pressure of a run to the model, print it beside what was recorded and, with ``out``, keep it there."""
    from curewright.cli.progress import Progress
    from curewright.jobs.draw_prediction import keep, replay_files
    from curewright.jobs.judge_samples import judged_replays
    from curewright.jobs.predict_run import band_of, predict_load, replay_run
    from curewright.jobs.understand_run import RunFiles
    from curewright.predict.summary import zones
    from curewright.record.prediction_print import band_tables, exotherm_lines, head, residual_table, void_lines
    from curewright.text.in_units import shown_by_part

    with Progress() as progress:
        found = replay_run(RunFiles(Path(folder)), progress.step)
        band = band_of(found, samples, progress.step) if samples else None
        judged = judged_replays(found, samples, progress.step) if samples else None
        if out:
            planned = predict_load(Path(folder), progress.step) if found.given.cycle else None
            progress.step("drawing the plots")
            keep(out, replay_files(found, planned, band, judged))
    units = shown_by_part(found.inputs.load, found.papers[0])
    screen = console()
    run = found.inputs.run
    for line in head(
        f"REPLAYED: run {run.number} in vessel {run.vessel}, its recorded air and pressure put to the model",
        found.prediction,
    ):
        screen.print(line)
    _tables(screen, found.prediction, found.inputs.load, found.materials, units)
    screen.print()
    part_of = {place.sensor: one.part.serial for one in found.prediction.zones for place in one.part.places}
    screen.print(residual_table(found.residuals(), units, part_of))
    for table in band_tables(band, units) if band else ():
        screen.print()
        screen.print(table)
    if judged:
        screen.print()
        screen.print(
            "What the model's temperatures would have got in the recorded air and pressure. The run's own verdicts are those of "
            "'curewright judge'; nothing here changes them."
        )
        _risk(screen, judged, units, waits=False)
    told_zones = zones(found.prediction, found.inputs.load, found.materials.resin_of)
    for line in (*exotherm_lines(told_zones), *void_lines(told_zones, units)):
        screen.print(line)
    _foot(screen, found.prediction)
    _kept(screen, out, banded=samples is not None)
    return MET


def show_places(folder: str, out: str | None) -> int:
    """Learn from a recorded run and print what it taught, and what it could not."""
    from curewright.cli.progress import Progress
    from curewright.jobs.learn_places import learn_places
    from curewright.jobs.understand_run import RunFiles
    from curewright.record.prediction_print import learnt_table, not_kept_lines, sensors_before_and_after

    with Progress() as progress:
        taught = learn_places(RunFiles(Path(folder)), Path(out) if out else None, progress.step)
    screen = console()
    screen.print(f"What run {taught.run} taught (position factors of the tool's side, with standard errors)")
    screen.print()
    screen.print(learnt_table(taught.zones))
    screen.print()
    screen.print(sensors_before_and_after(taught.zones))
    for line in (*not_kept_lines(taught.zones), *taught.remarks):
        screen.print(line)
    for name, why in taught.refused:
        screen.print(f"{name}: not learnt. {why}")
    if out and taught.zones:
        screen.print(f"Kept in {out}. Predictions use it where the run sheet says 'learnt: {Path(out).name}'.")
    return MET if taught.zones else NOT_SHOWN


def show_vessel(folder: str, out: str | None) -> int:
    """Fit a vessel to a recorded run and print what it tells, beside what the file says."""
    from curewright.cli.progress import Progress
    from curewright.jobs.fit_vessel import fit_vessel
    from curewright.jobs.understand_run import RunFiles
    from curewright.record.cautions import CAUTIONS
    from curewright.record.prediction_print import vessel_lines, vessel_table
    from curewright.text.in_units import shown_in

    with Progress() as progress:
        told = fit_vessel(RunFiles(Path(folder)), Path(out) if out else None, progress.step)
    shown = shown_in(told.units)
    screen = console()
    screen.print(f"What run {told.run} tells of vessel {told.vessel} (with standard errors)")
    screen.print()
    screen.print(vessel_table(told.found, told.stated, shown))
    screen.print()
    for line in vessel_lines(told.found, shown):
        screen.print(line)
    if out:
        screen.print(f"Written: {out}. Predictions use it where the run sheet says 'vessel heat: {Path(out).name}'.")
    for caution in CAUTIONS:
        screen.print(caution)
    return MET


def show_state(
    folder: str, part: str, asked: tuple[str, str | None], samples: int | None, pictures: Path | None
) -> int:
    """Print the state of a part's resin at an instant, ``asked`` for with or without the temperature of a further hold; draw it where
    asked to.
    """
    from curewright.cli.progress import Progress
    from curewright.jobs.draw_state import draw_state
    from curewright.jobs.state_of_part import bands_of_part, instant, state_of_part, temperature_of
    from curewright.jobs.understand_run import RunFiles
    from curewright.record.prediction_print import foot
    from curewright.record.state_print import band_table, hold_lines, pressure_table, state_table
    from curewright.record.state_words import BAND_OF_EACH, ISOLATES, UNPLANNED, clock, warning_of
    from curewright.text.in_units import shown_by_part

    at, hold_at = asked
    held = temperature_of(hold_at) if hold_at else None
    with Progress() as progress:
        found, replayed = state_of_part(
            RunFiles(Path(folder)), part, lambda run: instant(at, run), hold_at=held, step=progress.step
        )
        bands = bands_of_part(replayed, part, found.t, samples, progress.step) if samples else None
        drawn = (
            draw_state(RunFiles(Path(folder)), replayed, found, bands[0] if bands else (), pictures)
            if pictures
            else None
        )
    shown = shown_by_part(replayed.inputs.load, replayed.papers[0]).of(part)
    screen = console()
    screen.print(
        f"Part {found.part} of run {replayed.inputs.run.number}, {clock(found.t)} after the start: what the laws say of its resin"
    )
    screen.print(
        "an engineering estimate, never evidence" + ("; the planned cycle's cure in brackets" if found.planned else "")
    )
    screen.print(f"{ISOLATES if found.planned else UNPLANNED}.")
    screen.print()
    screen.print(state_table(((one.by, one.state, one.nominal) for one in found.places), shown, planned=found.planned))
    if bands and samples:
        screen.print()
        screen.print(band_table(*bands, samples, shown))
        if found.planned:
            screen.print(f"{BAND_OF_EACH}.")
    screen.print()
    screen.print(pressure_table(found.places, shown, planned=found.planned))
    warning = warning_of(found.places)
    if warning:
        screen.print(f"{warning}.", style="bold")
    screen.print()
    screen.print("At the end of the run:")
    screen.print(
        state_table(((one.by, one.at_end, one.nominal_end) for one in found.places), shown, planned=found.planned)
    )
    if hold_at:
        screen.print()
        for line in hold_lines(found.places, hold_at):
            screen.print(line)
    screen.print()
    for text in foot(("", *found.warnings)):
        screen.print(text)
    if drawn:
        screen.print(f"Drawn: {drawn}")
    return MET


def _risk(screen: Console, judged: JudgedSamples, units: ShownByPart, *, waits: bool) -> None:
    from curewright.record.risk_print import inside_table, risk_lines

    for line in risk_lines(judged.verdicts, judged.samples, judged.refused, waits=waits):
        screen.print(line)
    table = inside_table(judged.inside, units)
    if table:
        screen.print()
        screen.print(table)


def _tables(screen: Console, prediction: Prediction, load: Load, materials: Materials, units: ShownByPart) -> None:
    from curewright.predict.summary import places, zones
    from curewright.record.prediction_print import sensor_table, zone_table

    screen.print()
    screen.print(sensor_table(places(prediction), units))
    screen.print()
    screen.print(zone_table(zones(prediction, load, materials.resin_of), units))


def _foot(screen: Console, prediction: Prediction) -> None:
    from curewright.record.prediction_print import foot

    screen.print()
    for line in foot(prediction.warnings):
        screen.print(line)


def _kept(screen: Console, out: Path | None, *, banded: bool) -> None:
    if out:
        screen.print(
            f"Kept in {out}: prediction.json (sealed), traces.csv (each part in the units of its specification), and plots:"
        )
        words = "traces-… (sensors), map-… (through the thickness), resin-… (what becomes of the resin)"
        if banded:
            words += ", margins-… (which requirement is at risk), sure-… (how sure the map is)"
        screen.print(words)
