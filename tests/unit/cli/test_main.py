"""The command line itself: light to start, plain in what it refuses."""

import os
import subprocess
import sys
import time
from pathlib import Path

import pytest

HEAVY = (
    "numpy",
    "numba",
    "rich",
    "matplotlib",
    "ruamel",
    "pydantic",
    "curewright.judge",
    "curewright.read",
    "curewright.jobs",
)
RUN = [sys.executable, "-c", "from curewright.cli.main import main; main()"]


def run(*arguments: str, **environment: str) -> subprocess.CompletedProcess[str]:
    return subprocess.run([*RUN, *arguments], capture_output=True, text=True, env=os.environ | environment, check=False)


def test_help_names_every_command_and_code() -> None:
    shown = run("--help").stdout
    for piece in ("demo", "judge", "read-back", "check", "schema", "Exit codes", "65", "not a safety function"):
        assert piece in shown


def test_help_imports_nothing_heavy() -> None:
    code = "import sys\nfrom curewright.cli.main import cli\ncli(['--help'], standalone_mode=False)\n"
    code += f"print([name for name in {HEAVY} if name in sys.modules], file=sys.stderr)"
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert done.stderr.strip() == "[]"


def test_help_is_there_at_once() -> None:
    # Asked for: 150 ms on a quiet machine; the best of some tries, doubled, so that a busy machine does not fail it.
    tries = []
    for _ in range(7):
        begun = time.perf_counter()
        run("--help")
        tries.append(time.perf_counter() - begun)
    assert min(tries) < 0.30


@pytest.mark.parametrize(
    "arguments",
    [
        ("nonsense",),
        ("judge",),
        ("judge", "/no/such/folder"),
        ("check",),
        ("schema", "vesel"),
        ("judge", ".", "--dated", "yesterday"),
        ("read-back",),
    ],
)
def test_wrong_usage_is_2(arguments: tuple[str, ...]) -> None:
    done = run(*arguments)
    assert done.returncode == 2
    assert "Traceback" not in done.stderr
    assert done.stderr


def test_unusable_input_is_65_and_says_where(tmp_path: Path) -> None:
    file = tmp_path / "paper.yaml"
    file.write_text("specification: EX-1\nrevision: A\nstatus: perhaps\n")
    done = run("read-back", str(file))
    assert done.returncode == 65
    assert "paper.yaml:3:" in done.stderr
    assert "draft" in done.stderr
    assert "Traceback" not in done.stderr


def told(arguments: list[str], capsys: pytest.CaptureFixture[str]) -> tuple[int, str]:
    """The exit code and what was said, in this process."""
    from curewright.cli.main import main

    with pytest.raises(SystemExit) as left:
        main(arguments)
    return int(str(left.value.code)), capsys.readouterr().err


RUBBISH = (b"\xff\xfe\x00", b"", b"\x00", b"- a\n- b\n", b"{", b"a: &x 1\nb: *x\n", b"a: 1\na: 2\n")


@pytest.mark.parametrize("content", RUBBISH)
def test_no_traceback_for_any_rubbish(content: bytes, tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    file = tmp_path / "rubbish.yaml"
    file.write_bytes(content)
    code, said = told(["read-back", str(file)], capsys)
    assert code == 65
    assert "rubbish.yaml" in said


def test_a_folder_without_a_run_sheet(tmp_path: Path) -> None:
    for command in ("judge", "check"):
        done = run(command, str(tmp_path))
        assert done.returncode == 65
        assert "run.yaml" in done.stderr


def test_a_defect_is_told_in_words(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    from curewright.cli import main, show

    def broken(file: str, pictures: str | None) -> int:
        raise ZeroDivisionError(f"{file} {pictures}")

    monkeypatch.setattr(show, "show_read_back", broken)
    paper = tmp_path / "paper.yaml"
    paper.write_text("")
    with pytest.raises(SystemExit) as left:
        main.main(["read-back", str(paper)])
    assert left.value.code == 70
    assert "defect of its own (ZeroDivisionError" in capsys.readouterr().err
    monkeypatch.setenv("CUREWRIGHT_TRACEBACK", "1")
    with pytest.raises(ZeroDivisionError):
        main.main(["read-back", str(paper)])


def test_schema_is_json() -> None:
    import json

    import jsonschema

    from curewright.jobs.schemas import schema, schema_names

    assert {"specification", "run", "vessel", "load", "layout", "entries", "rulings", "verdicts"} <= set(schema_names())
    for name in schema_names():
        jsonschema.Draft202012Validator.check_schema(schema(name))
    done = run("schema", "verdicts")
    assert done.returncode == 0
    assert json.loads(done.stdout) == schema("verdicts")


def test_version() -> None:
    import curewright

    assert run("--version").stdout.strip() == f"curewright {curewright.__version__}"
