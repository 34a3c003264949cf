"""A reader that leaves early (``| head``) does not stop a command: files are written whole, and the exit code is the usual one."""

import os
import subprocess
import sys
from pathlib import Path

import pytest

FILES = Path(__file__).resolve().parents[3] / "src" / "curewright" / "jobs" / "demo_files"
RUN = [sys.executable, "-c", "from curewright.cli.main import main; main()"]
SPECIFICATION = FILES / "specification-EX-180-M.yaml"


def left_early(*arguments: object, **environment: str) -> tuple[int, str]:
    """Exit code and errors of a command whose reader takes ten bytes and goes."""
    words = [*RUN, *map(str, arguments)]
    env = os.environ | {"PYTHONUNBUFFERED": ""} | environment
    with subprocess.Popen(words, stdout=subprocess.PIPE, stderr=subprocess.PIPE, bufsize=0, env=env) as running:
        assert running.stdout is not None
        assert running.stderr is not None
        running.stdout.read(10)
        running.stdout.close()
        said = running.stderr.read().decode()
        return running.wait(), said


def test_pictures_are_drawn_to_the_last_one(tmp_path: Path) -> None:
    text = SPECIFICATION.read_text(encoding="utf-8")
    head, clauses = text.split("clauses:\n")
    small = tmp_path / "small.yaml"
    small.write_text(f"{head}clauses:\n" + '  "' + '  "'.join(clauses.split('  "')[1:4]), encoding="utf-8")
    whole = subprocess.run([*RUN, "read-back", small], capture_output=True, text=True, check=True).stdout
    assert len(whole) > 1000
    assert left_early("read-back", small, "--pictures", tmp_path / "pictures") == (0, "")
    drawn = sorted(path.name for path in (tmp_path / "pictures").iterdir())
    assert len(drawn) >= 6
    assert [name.removesuffix(".png") for name in drawn if name.endswith("png")] == [
        name.removesuffix(".svg") for name in drawn if name.endswith("svg")
    ]


@pytest.mark.parametrize("unbuffered", ["", "1"])
def test_words_for_nobody_end_as_usual(tmp_path: Path, unbuffered: str) -> None:
    long = tmp_path / "long.yaml"
    text = SPECIFICATION.read_text(encoding="utf-8")
    long.write_text(text.replace("says: The vessel", f"says: {'Very slowly. ' * 9000}The vessel"), encoding="utf-8")
    assert long.stat().st_size > 65_536  # what Linux holds back in a pipe
    assert left_early("read-back", long, PYTHONUNBUFFERED=unbuffered) == (0, "")


@pytest.mark.skipif(not os.path.exists("/dev/full"), reason="a device that is always full is Linux's")
def test_a_full_disk_is_still_told() -> None:
    with open("/dev/full", "wb") as full:
        done = subprocess.run(
            [*RUN, "schema", "specification"], stdout=full, stderr=subprocess.PIPE, text=True, check=False
        )
    assert done.returncode == 65
    assert "No space left on device" in done.stderr
