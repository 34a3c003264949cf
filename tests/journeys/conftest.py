"""Whole stories through the command line, in a process of its own as a user has it."""

import os
import subprocess
import sys
from collections.abc import Callable
from pathlib import Path
from shutil import copytree

import pytest

Curewright = Callable[..., "subprocess.CompletedProcess[str]"]
RUN = [sys.executable, "-c", "from curewright.cli.main import main; main()"]


@pytest.fixture(scope="session")
def curewright() -> Curewright:
    def run(*arguments: object, cwd: Path | None = None, **environment: str) -> "subprocess.CompletedProcess[str]":
        words = [*RUN, *map(str, arguments)]
        env = {"COLUMNS": "80"} | os.environ | environment
        return subprocess.run(words, capture_output=True, encoding="utf-8", env=env, cwd=cwd, check=False)

    return run


@pytest.fixture(scope="session")
def demo_judged(
    curewright: Curewright, tmp_path_factory: pytest.TempPathFactory
) -> "tuple[Path, subprocess.CompletedProcess[str]]":
    folder = tmp_path_factory.mktemp("shop") / "demo-run"
    return folder, curewright("demo", folder)


@pytest.fixture
def demo_folder(demo_judged: "tuple[Path, object]", tmp_path: Path) -> Path:
    return copytree(demo_judged[0], tmp_path / "run")
