"""The command line: arguments → job → text and an exit code. What a command needs is imported when it runs."""

from __future__ import annotations

import gc
import os
import sys
from pathlib import Path
from typing import TYPE_CHECKING, Any, NoReturn

import click

import curewright
from curewright.cli.codes import DEFECT, UNUSABLE, USAGE
from curewright.cli.pipe import as_pipe
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Callable

FOLDER = click.Path(exists=True, file_okay=False)
FILE = click.Path(exists=True, dir_okay=False)
CODES = """
Exit codes: 0 everything met (at least one verdict), 10 something not met, 12 nothing broken but something still
open, 11 nothing broken or open but something not shown, not covered or not signed yet, 2 wrong usage, 65 unusable
input.
"""


class Ordered(click.Group):
    """The commands in the order of the job, not of the alphabet."""

    def list_commands(self, ctx: click.Context) -> list[str]:  # noqa: ARG002 - click asks so
        """Names in the order in which they were added."""
        return list(self.commands)


@click.group(cls=Ordered, context_settings={"max_content_width": 100}, epilog=CODES)
@click.version_option(curewright.__version__, message="curewright %(version)s")
def cli() -> None:
    """Judge recorded autoclave cures against their specification, clause by clause.

    Advisory only: not a control, not a safety function, never a disposition.
    """


def run_files(command: Callable[..., int]) -> Callable[..., int]:
    """The options that name each file of a run, for commands that take a folder or single files."""
    options = (
        click.argument("folder", type=FOLDER, required=False),
        click.option("--run", "run_file", type=FILE, help="run file: which log, when it started, who closed it"),
        click.option("--vessel", "vessel_file", type=FILE, help="vessel file"),
        click.option("--load", "load_file", type=FILE, help="load file with the sensor map"),
        click.option(
            "--specification",
            "specification_files",
            type=FILE,
            multiple=True,
            help="specification file (may be repeated)",
        ),
        click.option("--layout", "layout_files", type=FILE, multiple=True, help="layout of the recorder's export"),
        click.option("--log", "log_files", type=FILE, multiple=True, help="the recorder's export (may be repeated)"),
        click.option("--entries", "entries_files", type=FILE, multiple=True, help="hand entries (may be repeated)"),
        click.option("--rulings", "rulings_files", type=FILE, multiple=True, help="rulings"),
    )
    for option in reversed(options):
        command = option(command)
    return command


@cli.command(short_help="Write an invented shop and run, and judge it.")
@click.argument("folder", type=click.Path(file_okay=False), default="demo-run")
def demo(folder: str) -> int:
    """Write an invented shop and a run of seven hours into FOLDER (demo-run), and judge it."""
    from curewright.cli.show import show_demo

    return show_demo(folder)


@cli.command(short_help="Judge a recorded run.")
@run_files
@click.option(
    "--out", type=click.Path(file_okay=False), help="where verdicts.json and verdicts.csv go (FOLDER/verdicts)"
)
@click.option("--person", default="", help="who asks for this judgement; printed on it ('nobody named' where left out)")
@click.option("--dated", default="", help="date and time to print on it (RFC 3339); no clock is read otherwise")
@click.option("--paper", type=click.Choice(["a4", "letter"]), default="a4", help="paper of the cure record (a4)")
@click.option("--marking", default="", help="marked on every page of the cure record (export control)")
@click.option("--with-prediction", is_flag=True, help="the record ends with an estimate of the cure (never evidence)")
@click.option("--no-record", is_flag=True, help="judge only; print no cure record")
@click.option("--deviations-only", is_flag=True, help="on the terminal, only what is not met, not shown or open")
def judge(
    out: str | None,
    person: str,
    dated: str,
    paper: str,
    marking: str,
    with_prediction: bool,
    no_record: bool,
    deviations_only: bool,
    **files: Any,
) -> int:
    """Judge the run in FOLDER, or the one whose files are named by options, and print its cure record."""
    from curewright.cli.show import show_judgement

    record = None if no_record else (paper, marking, with_prediction)
    return show_judgement(files, out, person, dated, record, deviations_only=deviations_only)


@cli.command(short_help="Check that a cure record is what was written.")
@click.argument("record", type=click.Path(exists=True))
def verify(record: str) -> int:
    """Take every digest in and beside RECORD again (a PDF, or the folder of verdicts). Needs no network."""
    from curewright.cli.show import show_verification

    return show_verification(record)


@cli.command(short_help="Predict a planned load.")
@click.argument("folder", type=FOLDER)
@click.option(
    "--band",
    "samples",
    type=click.IntRange(20, 5000),
    help="also the middle 95 % of so many samples of what is doubtful, each judged",
)
@click.option("--shares", is_flag=True, help="also which doubt matters most for the hottest place")
@click.option("--out", type=click.Path(file_okay=False), help="where plots and traces go (FOLDER/prediction)")
@click.option("--no-files", is_flag=True, help="print only; write nothing")
def predict(folder: str, samples: int | None, shares: bool, out: str | None, no_files: bool) -> int:
    """Predict what the planned cycle of FOLDER does to its load, and which verdicts it would get."""
    from curewright.cli.predicting import show_prediction

    return show_prediction(folder, samples, shares, None if no_files else Path(out or Path(folder) / "prediction"))


@cli.command(short_help="Put a recorded run's air to the model.")
@click.argument("folder", type=FOLDER)
@click.option(
    "--band",
    "samples",
    type=click.IntRange(20, 5000),
    help="also the middle 95 % of so many samples of what is doubtful, each judged",
)
@click.option("--out", type=click.Path(file_okay=False), help="where plots and traces go (FOLDER/replay)")
@click.option("--no-files", is_flag=True, help="print only; write nothing")
def replay(folder: str, samples: int | None, out: str | None, no_files: bool) -> int:
    """Predict the parts of FOLDER in the air and pressure that were recorded, beside what their thermocouples recorded."""
    from curewright.cli.predicting import show_replay

    return show_replay(folder, samples, None if no_files else Path(out or Path(folder) / "replay"))


@cli.command(short_help="What the resin of a part was at an instant.")
@click.argument("folder", type=FOLDER)
@click.option("--part", required=True, help="serial number")
@click.option("--at", required=True, help="+5:06 after the start, or a clock time such as 10:46:01")
@click.option("--further-hold", "hold_at", help="also: how long a hold at this temperature would take (180 degC)")
@click.option(
    "--band",
    "samples",
    type=click.IntRange(20, 5000),
    help="also the middle 95 % of so many samples of what is doubtful",
)
@click.option(
    "--pictures",
    type=click.Path(file_okay=False),
    help="draw temperature and cure through the thickness at the instant into this folder",
)
def state(folder: str, part: str, at: str, hold_at: str | None, samples: int | None, pictures: str | None) -> int:
    """Estimate degree of cure, glass transition, viscosity, gel and void margin of a part of FOLDER at an instant."""
    from curewright.cli.predicting import show_state

    return show_state(folder, part, (at, hold_at), samples, Path(pictures) if pictures else None)


@cli.command("read-back", short_help="Print a specification as plain English.")
@click.argument("specification", type=FILE)
@click.option(
    "--pictures",
    type=click.Path(file_okay=False),
    help="draw, per clause, a small trace that passes and one that fails, into this folder",
)
def read_back(specification: str, pictures: str | None) -> int:
    """Print SPECIFICATION as plain English, with everything that was chosen."""
    from curewright.cli.show import show_read_back

    return show_read_back(specification, pictures)


@cli.command(short_help="Check files and traceability, judge nothing.")
@run_files
def check(**files: Any) -> int:
    """Check the files of a run and its traceability, without judging; before or after the run."""
    from curewright.cli.show import show_check

    return show_check(files)


@cli.command(short_help="Propose the layout of a recorder's export.")
@click.argument("export", type=FILE)
@click.option("--out", type=click.Path(dir_okay=False), help="where the layout is written; printed where left out")
@click.option("--keep", type=FILE, help="an earlier layout: what it says is kept where headings and units are the same")
def layout(export: str, out: str | None, keep: str | None) -> int:
    """Propose a layout for EXPORT, with the lines it was read from; a person answers what is open, and confirms it."""
    from curewright.cli.show import show_layout

    return show_layout(export, out, keep)


@cli.group(cls=Ordered, short_help="Constants of your own from measurements.")
def fit() -> None:
    """Constants of your own from measurements, with limits; refused where the measurements cannot tell."""


@fit.command("resin", short_help="Kinetics of a resin from calorimeter runs.")
@click.argument("sheet", type=FILE)
@click.option("--card", type=click.Path(dir_okay=False), help="write the material card here (nothing is overwritten)")
def fit_resin(sheet: str, card: str | None) -> int:
    """Fit a kinetic law to the calorimeter runs that a calorimetry SHEET names; print constants with their limits."""
    from curewright.cli.fit import show_resin

    return show_resin(sheet, card)


@fit.command("places", short_help="How well each place is served, from a recorded run.")
@click.argument("folder", type=FOLDER)
@click.option(
    "--out", type=click.Path(dir_okay=False), help="add what the run taught to this file, for the run sheet's 'learnt'"
)
def fit_places(folder: str, out: str | None) -> int:
    """Fit a position factor to every zone of the recorded run in FOLDER, and an offset to every thermocouple in it."""
    from curewright.cli.predicting import show_places

    return show_places(folder, out)


@fit.command("vessel", short_help="How a vessel's air follows its set point, from a recorded run.")
@click.argument("folder", type=FOLDER)
@click.option(
    "--out",
    type=click.Path(dir_okay=False),
    help="write a copy of the vessel heat file with what was found here (nothing is overwritten)",
)
def fit_vessel(folder: str, out: str | None) -> int:
    """Fit control lag and greatest heating and cooling rate to the recorded set point and air of the run in FOLDER."""
    from curewright.cli.predicting import show_vessel

    return show_vessel(folder, out)


@fit.command("convection", short_help="Convection of a vessel from a survey.")
@click.argument("sheet", type=FILE)
def fit_convection(sheet: str) -> int:
    """Fit film coefficients, and how they depend on pressure, to the heated body that a survey SHEET describes."""
    from curewright.cli.fit import show_convection

    return show_convection(sheet)


@cli.command(short_help="Print a JSON Schema for an editor.")
@click.argument("name")
def schema(name: str) -> int:
    """Print the JSON Schema called NAME for an editor (specification, vessel, load, ...)."""
    from curewright.cli.show import show_schema

    return show_schema(name)


def main(arguments: list[str] | None = None) -> NoReturn:
    """Run a command and leave with its exit code; an error of the input is told in words."""
    gc.set_threshold(
        50_000, 20, 20
    )  # one command and it ends: looking for circles every 700 objects costs a tenth of it
    for stream in (sys.stdout, sys.stderr):
        if hasattr(stream, "reconfigure"):
            stream.reconfigure(errors="replace")  # a terminal that cannot show a mark still shows the word beside it
    sys.stdout, sys.stderr = as_pipe(sys.stdout), as_pipe(sys.stderr)
    try:
        code = cli.main(args=arguments, prog_name="curewright", standalone_mode=False)
    except click.ClickException as wrong:
        wrong.show()
        code = USAGE
    except click.Abort:
        code = 130
    except CurewrightError as error:
        click.echo(str(error), err=True)
        code = UNUSABLE
    except OSError as error:
        click.echo(
            f"{error.filename or 'a file'}: {error.strerror or error}. To do: check the path and who may read or write it",
            err=True,
        )
        code = UNUSABLE
    except Exception as defect:  # whoever sits at the vessel needs a sentence, whoever mends it the trace
        if os.environ.get("CUREWRIGHT_TRACEBACK"):
            raise
        code = _told(defect)
    gc.freeze()  # the process ends: looking for circles among all that lives costs a third of a second and frees nothing that matters
    sys.exit(code or 0)


def _told(defect: Exception) -> int:
    """Say what stopped the program: a name that this session cannot encode, or a defect of its own; the exit code."""
    encoding = sys.getfilesystemencoding()
    if isinstance(defect, UnicodeEncodeError) and encoding != "utf-8":  # Linux without a language, UTF-8 switched off
        click.echo(f"a file's name cannot be used in the encoding of this session ({encoding})", err=True)
        click.echo("To do: set PYTHONUTF8=1, or a language with UTF-8 (LANG=C.UTF-8), and run it again", err=True)
        return UNUSABLE
    click.echo(
        f"Curewright stopped at a defect of its own ({type(defect).__name__}: {defect}). Nothing more was done; what was kept stays.",
        err=True,
    )
    click.echo("To do: report it with the files; CUREWRIGHT_TRACEBACK=1 shows where it was.", err=True)
    return DEFECT
