"""As far as Linux can show it: consoles without Unicode, files as Windows editors leave them, names that only Windows minds."""

import codecs
import json
import os
import subprocess
from dataclasses import replace
from pathlib import Path
from shutil import copytree

import pytest

from curewright.jobs.read_back import draw_clauses, read_back
from curewright.record import folder as kept_in
from curewright.record.seal import sealed_text
from curewright.terms.errors import FileError
from tests.conftest import ROOT
from tests.journeys.conftest import RUN, Curewright

CONSOLES = {
    "a console of Western Europe": {"PYTHONIOENCODING": "cp1252"},
    "an old console": {"PYTHONIOENCODING": "cp437"},
    "no language at all": {"LC_ALL": "C", "PYTHONUTF8": "0", "PYTHONCOERCECLOCALE": "0"},
}
TEXTS = ("*.yaml", "*.csv")


def verdicts(folder: Path) -> dict[str, object]:
    return json.loads((folder / "verdicts" / "verdicts.json").read_text(encoding="utf-8"))


def outcomes(folder: Path) -> list[tuple[object, ...]]:
    found = verdicts(folder)["verdicts"]
    assert isinstance(found, list)
    return [(one["part"], one["clause"], one["form"], one["outcome"]) for one in found]


@pytest.mark.parametrize("console", CONSOLES)
def test_a_console_that_lacks_signs_still_gets_the_words(console: str, demo_folder: Path, tmp_path: Path) -> None:
    home = copytree(demo_folder, tmp_path / "Läufe & Prüfung (März)" / "Ofen 2")
    before = (home / "verdicts" / "verdicts.json").read_bytes()
    env = {"COLUMNS": "80"} | os.environ | CONSOLES[console]
    done = subprocess.run(
        [*RUN, "judge", str(home), "--person", "operator A"], capture_output=True, env=env, check=False
    )
    assert done.returncode == 10, done.stderr
    assert b"Traceback" not in done.stderr
    assert b"NOT MET" in done.stdout
    assert json.loads(before)["verdicts"] == verdicts(home)["verdicts"]


def test_files_as_a_windows_editor_leaves_them_are_judged_the_same(demo_folder: Path, curewright: Curewright) -> None:
    before = outcomes(demo_folder)
    for file in [file for pattern in TEXTS for file in demo_folder.glob(pattern)]:
        content = file.read_bytes().replace(b"\r\n", b"\n")
        file.write_bytes(codecs.BOM_UTF8 + content.replace(b"\n", b"\r\n"))
    done = curewright("judge", demo_folder)
    assert done.returncode == 10, done.stdout + done.stderr
    assert outcomes(demo_folder) == before


def test_a_name_in_the_run_sheet_may_be_written_as_windows_does(demo_folder: Path, curewright: Curewright) -> None:
    before = outcomes(demo_folder)
    (demo_folder / "Export vom März").mkdir()
    (demo_folder / "recorder.csv").rename(demo_folder / "Export vom März" / "recorder.csv")
    sheet = demo_folder / "run.yaml"
    text = sheet.read_text(encoding="utf-8")
    assert text.count("file: recorder.csv") == 1
    sheet.write_text(text.replace("file: recorder.csv", "file: Export vom März\\recorder.csv"), encoding="utf-8")
    done = curewright("judge", demo_folder)
    assert done.returncode == 10, done.stdout + done.stderr
    assert outcomes(demo_folder) == before
    assert "Export vom März/recorder.csv" in {one["file"] for one in verdicts(demo_folder)["inputs"]}


def test_a_path_of_another_machine_is_told_with_its_place(demo_folder: Path, curewright: Curewright) -> None:
    sheet = demo_folder / "run.yaml"
    text = sheet.read_text(encoding="utf-8")
    sheet.write_text(text.replace("file: recorder.csv", "file: 'D:\\Ofen 2\\recorder.csv'"), encoding="utf-8")
    done = curewright("judge", demo_folder)
    assert done.returncode == 65
    assert "D:/Ofen 2/recorder.csv: the file cannot be read" in done.stderr


def test_the_schema_is_whole_when_a_console_of_windows_sends_it_to_a_file() -> None:
    asked = [*RUN, "schema", "specification"]
    plain, windows = (
        subprocess.run(asked, capture_output=True, env=os.environ | {"PYTHONIOENCODING": encoding}, check=True).stdout
        for encoding in ("utf-8", "cp1252")
    )
    assert json.loads(plain) == json.loads(windows.replace(b"\r\n", b"\n"))


def test_a_spreadsheet_that_holds_the_verdicts_open_is_told(
    demo_folder: Path, monkeypatch: pytest.MonkeyPatch, tmp_path: Path
) -> None:
    document = verdicts(demo_folder)
    moved = os.replace

    def held(part: object, file: object) -> None:  # what Windows does while a spreadsheet has the file open
        if str(file) == str(tmp_path / "out" / "verdicts.csv"):
            raise PermissionError(13, "Access is denied", str(file))
        moved(part, file)  # type: ignore[arg-type]

    monkeypatch.setattr(kept_in.os, "replace", held)
    with pytest.raises(FileError, match="another program holds this file"):
        kept_in.keep(tmp_path / "out", document, sealed_text(document))
    assert (tmp_path / "out" / "judgements" / "0001" / "verdicts.csv").is_file()
    assert not list((tmp_path / "out").rglob("*.part"))


def test_pictures_of_clauses_that_differ_in_a_capital_letter_do_not_overwrite_each_other(tmp_path: Path) -> None:
    paper = next(iter(sorted((ROOT / "examples" / "specifications").glob("*.yaml"))))
    specification, _ = read_back(paper)
    first = specification.clauses[0]
    twins = tuple(replace(first, number=number) for number in ("4.7a", "4.7A", "4.7/a", "4.7-a"))
    drawn = list(draw_clauses(replace(specification, number="CON.1", clauses=twins), tmp_path))
    assert len({file.name.casefold() for file in drawn}) == len(drawn) == 2 * len(twins) * len(first.forms)
    assert all(file.name.split(".")[0].casefold() != "con" for file in drawn)


def test_a_proposed_layout_is_written_the_same_from_every_console(demo_folder: Path, tmp_path: Path) -> None:
    export = tmp_path / "Schreiber März.csv"
    text = (demo_folder / "recorder.csv").read_text(encoding="utf-8-sig").replace("TC01", "Fühler Ω 01")
    export.write_text(text, encoding="utf-8")
    written = []
    for n, console in enumerate(({"PYTHONIOENCODING": "utf-8"}, {"PYTHONIOENCODING": "cp1252"})):
        out = tmp_path / f"Auslegung {n}.yaml"
        asked = [*RUN, "layout", str(export), "--out", str(out)]
        done = subprocess.run(asked, capture_output=True, env=os.environ | console, check=False)
        assert done.returncode == 0, done.stderr
        written.append(out.read_bytes())
    assert written[0] == written[1]
    assert "Fühler Ω 01" in written[0].decode("utf-8")
    assert b"\r" not in written[0]


def test_a_session_without_letters_is_told_how_to_name_a_file(demo_folder: Path, tmp_path: Path) -> None:
    export = tmp_path / "Schreiber März.csv"
    export.write_bytes((demo_folder / "recorder.csv").read_bytes())
    env = os.environ | CONSOLES["no language at all"]
    out = tmp_path / "layout.yaml"
    done = subprocess.run(
        [*RUN, "layout", str(export), "--out", str(out)], capture_output=True, env=env, encoding="utf-8", check=False
    )
    assert done.returncode == 65
    assert "set PYTHONUTF8=1" in done.stderr
    assert not out.exists()
