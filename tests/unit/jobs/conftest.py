"""The demo for these tests."""

from pathlib import Path
from shutil import copytree

import pytest


@pytest.fixture
def demo_folder(demo_once: Path, tmp_path: Path) -> Path:
    """A fresh copy that a test may change."""
    return copytree(demo_once, tmp_path / "run")
