"""What each command prints; the answers come from the jobs. Imported only when a command runs."""

from __future__ import annotations

import json
from datetime import datetime
from pathlib import Path
from typing import TYPE_CHECKING, Any

import click

from curewright.cli.codes import CHANGED, MET, NOT_SHOWN, OUTDATED, USAGE, code_of

if TYPE_CHECKING:
    from collections.abc import Callable

    from rich.console import Console

    from curewright.jobs.packing import Packed
    from curewright.jobs.understand_run import RunFiles
    from curewright.jobs.verify_record import Verified
    from curewright.record.cure_record.papers import EstimateOfCure
    from curewright.record.verdicts import Document

NAMED = {
    "run_file": "run",
    "vessel_file": "vessel",
    "load_file": "load",
    "specification_files": "specifications",
    "layout_files": "layouts",
    "log_files": "logs",
    "entries_files": "entries",
    "rulings_files": "rulings",
}
VERDICTS = "verdicts"
NO_INPUTS = "the files this judgement was made from (none of them lies beside the record)"
MARKING = 160  # letters of an export-control marking


def console() -> Console:
    """The terminal (or 80 columns where there is none); NO_COLOR is respected."""
    from rich.console import Console

    return Console(highlight=False, markup=False, soft_wrap=False)


def run_files_of(given: dict[str, Any]) -> RunFiles:
    """The files that the arguments name; wrong usage where nothing leads to a run sheet."""
    from curewright.jobs.understand_run import RunFiles

    folder = given.pop("folder")
    named: dict[str, Any] = {}
    for option, name in NAMED.items():
        value = given.pop(option)
        if value:
            named[name] = tuple(Path(each) for each in value) if isinstance(value, tuple) else Path(value)
    if folder is None and "run" not in named:
        raise click.UsageError("name the FOLDER of the run, or its run sheet with --run")
    return RunFiles(Path(folder) if folder else None, named)


def show_judgement(
    given: dict[str, Any],
    out: str | None,
    person: str,
    dated: str,
    record: tuple[str, str, bool] | None,
    *,
    deviations_only: bool = False,
) -> int:
    """Judge, keep and print; ``record``: paper and marking of the cure record, and whether with an estimate; None for none."""
    packing = _packing(given) if record else lambda: None  # before the imports, which take as long
    from curewright.cli.progress import Progress
    from curewright.jobs.judge_run import judge_run
    from curewright.record.cure_record.papers import Print
    from curewright.record.table import print_verdicts

    if dated:
        _refuse_undated(dated)
    if record and len(record[1]) > MARKING:
        raise click.UsageError(f"--marking has {len(record[1])} letters; {MARKING} fit on the head and foot of a page")
    files = run_files_of(given)
    place = Path(out) if out else files.home / VERDICTS
    screen = console()
    with screen:  # what it is told in here, it shows at the end
        with Progress() as progress:
            how = Print(*record[:2]) if record else None
            estimate = _estimate(files, progress.step) if record and record[2] else None
            document = judge_run(
                files, place, person=person, at=dated, how=how, step=progress.step, estimate=estimate, packing=packing,
                tell=lambda document: print_verdicts(document, screen, deviations_only=deviations_only),
            )  # fmt: skip
        return _kept(document, place, screen)


def _packing(given: dict[str, Any]) -> Callable[[], Packed | None]:
    """Begins to pack the recordings of the run sheet, unless others are named."""
    from curewright.jobs.packing import packing_of

    sheet = given["run_file"] or (given["folder"] and Path(given["folder"]) / "run.yaml")
    return packing_of(Path(sheet)) if sheet and not given["log_files"] else lambda: None


def _estimate(files: RunFiles, step: Callable[[str], None]) -> Callable[[Document], EstimateOfCure]:
    from curewright.jobs.estimate_of_cure import estimate_of_cure

    return lambda document: estimate_of_cure(files, document, step)


def _refuse_undated(dated: str) -> None:
    try:
        aware = datetime.fromisoformat(dated).tzinfo is not None
    except ValueError:
        aware = False
    if not aware:
        raise click.UsageError(
            f"--dated {dated}: write date and time with the offset, such as 2026-03-04T14:30:00+01:00"
        )


def _kept(document: Document, place: Path, screen: Console) -> int:
    """Prints the result and where it is kept; the exit code."""
    from curewright.record.table import result

    code = code_of(document)
    screen.print()
    screen.print(result(document, code))
    names = "verdicts.json (sealed), verdicts.csv"
    if (place / "cure-record.pdf").is_file():
        names += ", cure-record.pdf"
    screen.print(f"Kept in {place}: {names}, and every judgement under judgements/.")
    return code


def show_demo(folder: str) -> int:
    """Write the demo, judge it and print."""
    from curewright.cli.progress import Progress
    from curewright.jobs.demo import demo
    from curewright.record.table import print_verdicts

    place = Path(folder)
    with Progress() as progress:
        document, changed = demo(place, progress.step)
    screen = console()
    print_verdicts(document, screen)
    code = _kept(document, place / VERDICTS, screen)
    for name in changed:
        screen.print(f"{place / name} was changed by somebody and is left as it is; this is judged.")
    screen.print(f"The files are in {place}: open them, change one, and run: curewright judge {folder}")
    return code


def show_verification(name: str) -> int:
    """Check every digest of a record, hold the files it was made from against it, and print what does not fit."""
    from curewright.jobs.verify_record import verify_record

    found = verify_record(Path(name))
    beside = found.beside
    for one in (*found.record, *beside.checked):
        click.echo(f"✗ {one.file}: {one.wrong}" if one.wrong else f"✓ {one.file}: {one.fits}")
    count, wrong = len(found.record), sum(bool(one.wrong) for one in found.record)
    if wrong:
        click.echo(f"✗ CHANGED: {wrong} of {count} are not what was written (exit code {CHANGED})")
        return CHANGED
    for line in _compared(found):
        click.echo(line)
    others = [f"{one.file} {one.wrong}" for one in beside.checked if one.wrong]
    if others:
        click.echo(f"✓ the record itself: {count} checked, all as written")
        click.echo(f"✗ the files this judgement was made from: {', '.join(others)} (exit code {OUTDATED})")
        click.echo(
            "  The verdicts are of the files as they were; the record has them attached. Judge again to judge these."
        )
        return OUTDATED
    click.echo(
        f"✓ {count + len(beside.checked)} checked, all as written. "
        "That nothing was changed since does not show who wrote it."
    )
    return MET


def _compared(found: Verified) -> list[str]:
    """What was compared and what was not: always for a single file, for a folder where its input files are not there."""
    beside = found.beside
    files = f"the {len(beside.checked)} files it was made from, in {beside.folder}" if beside.folder else ""
    if not found.alone:
        return [] if files else [f"Not compared: {NO_INPUTS}."]
    left = "verdicts and other judgements kept beside it (name the folder for these)"
    known = f"this file and what it holds or names{', and ' if files else ''}{files}"
    return [f"Compared: {known}. Not compared: {left}{'' if files else f'; {NO_INPUTS}'}."]


def show_read_back(file: str, pictures: str | None) -> int:
    """Print a specification as English; draw it where asked to."""
    from curewright.jobs.read_back import draw_clauses, read_back

    specification, text = read_back(Path(file))
    click.echo(text)
    drawn = draw_clauses(specification, Path(pictures), lambda why: click.echo(f"not drawn: {why}")) if pictures else ()
    for path in drawn:
        click.echo(f"drawn: {path}")
    return MET


def show_check(given: dict[str, Any]) -> int:
    """Check the files of a run and print what cannot be led back."""
    from curewright.jobs.check_run import check_run
    from curewright.record.verdicts import finding_block
    from curewright.record.words import finding_words

    checked = check_run(run_files_of(given))
    screen = console()
    screen.print(f"Run {checked.run}: {len(checked.files)} files read, nothing judged.")
    for name, digest in checked.files:
        screen.print(f"  {digest[:12]}  {name}")
    for one in checked.specifications:
        screen.print(f"  {one.number} revision {one.revision} ({one.status}): {len(one.clauses)} clauses")
    for note in checked.notes:
        screen.print(note)
    wrong = sum(not finding.remark for finding in checked.findings)
    count = len(checked.findings) - wrong
    remarks = f", {count} remark{'s' * (count > 1)}" if count else ""
    how = "" if checked.traced else ", as far as it goes without a log"
    screen.print(f"Traceability{how}: {wrong or 'nothing'} to put right{remarks}.")
    for finding in checked.findings:
        screen.print(f"- {finding_words(finding_block(finding))}")
    return NOT_SHOWN if wrong else MET


def show_layout(export: str, out: str | None, keep: str | None) -> int:
    """Print a proposed layout, or write it; the questions that are left go to the second stream."""
    from curewright.jobs.propose_layout import propose_layout, write_layout

    proposal = propose_layout(Path(export), Path(keep) if keep else None)
    if out:
        write_layout(proposal.yaml(), Path(out))
    else:
        click.echo(proposal.yaml(), nl=False)
    for question in proposal.questions:
        choices = f" ({' | '.join(question.choices)})" if question.choices else ""
        click.echo(f"- {question.asks}{choices}", err=True)
    count = len(proposal.questions)
    click.echo(f"{count or 'No'} question{'' if count == 1 else 's'} to answer, then confirm it by name.", err=True)
    return MET


def show_schema(name: str) -> int:
    """Print the JSON Schema of a file."""
    from curewright.jobs.schemas import schema, schema_names

    if name not in schema_names():
        click.echo(f"Error: there is no schema '{name}'; there are: {', '.join(schema_names())}", err=True)
        return USAGE
    click.echo(
        json.dumps(schema(name), indent=1)
    )  # plain ASCII: a Windows console keeps it whole when it is sent to a file
    return MET
