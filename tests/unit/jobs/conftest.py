"""The demo, written once for these tests."""

from pathlib import Path
from shutil import copytree

import pytest

from curewright.jobs.demo import write_demo


@pytest.fixture(scope="session")
def demo_once(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("demo")
    write_demo(folder)
    return folder


@pytest.fixture
def demo_folder(demo_once: Path, tmp_path: Path) -> Path:
    """A fresh copy that a test may change."""
    return copytree(demo_once, tmp_path / "run")
