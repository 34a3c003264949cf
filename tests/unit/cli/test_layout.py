"""The command that proposes a layout: printed or written, never over a file that is there."""

from pathlib import Path

import pytest
from click.testing import CliRunner

from curewright.cli.main import cli
from curewright.terms.errors import FileError

EXPORT = "Time,T1 (C),P (bar)\n" + "".join(f"2031-03-04 21:40:{i:02},{20 + i}.5,{i}.1\n" for i in range(20))


@pytest.fixture
def export(tmp_path: Path) -> Path:
    path = tmp_path / "log.csv"
    path.write_text(EXPORT, encoding="utf-8")
    return path


def call(*arguments: object) -> tuple[str, str]:
    result = CliRunner().invoke(cli, ["layout", *map(str, arguments)], catch_exceptions=False)
    assert result.exit_code == 0
    return result.stdout, result.stderr


def test_it_is_printed_and_the_questions_beside_it(export: Path) -> None:
    text, questions = call(export)
    assert 'zone: "?"  # asked: which time zone' in text
    assert (
        "- which unit does 'P (bar)' (column 3) have? the header says 'bar'; a pressure with its reference" in questions
    )
    assert "4 questions to answer, then confirm it by name." in questions


def test_it_is_written_once(export: Path, tmp_path: Path) -> None:
    out = tmp_path / "layout.yaml"
    assert call(export, "--out", out)[0] == ""
    assert "confirmed by:" in out.read_text(encoding="utf-8")
    with pytest.raises(FileError, match="the file is there already, and somebody may have confirmed it"):
        call(export, "--out", out)


def test_answers_of_an_earlier_layout_are_kept(export: Path, tmp_path: Path) -> None:
    out = tmp_path / "layout.yaml"
    text, _ = call(export)
    for asked, answer in (
        ('recorder: "?"', "recorder: main"),
        ('open codes: "?"', "open codes: []"),
        ('zone: "?"', "zone: UTC"),
        ('unit: "?"', "unit: bar gauge"),
        ("confirmed by:", "confirmed by: A. Person"),
    ):
        text = text.replace(asked, answer)
    out.write_text(text, encoding="utf-8")
    again, questions = call(export, "--keep", out)
    assert "unit: bar gauge" in again
    assert "No questions to answer" in questions
