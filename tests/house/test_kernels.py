"""Kept machine code is named by the sources of all kernels: so kernels must live, and import from, where those sources are looked for."""

from __future__ import annotations

import ast
from typing import TYPE_CHECKING

import pytest

from curewright.physics.compiled import PACKAGE, SOURCE_FOLDERS

if TYPE_CHECKING:
    from pathlib import Path


def kernel_files() -> list[Path]:
    return sorted(file for file in PACKAGE.rglob("*.py") if " = compiled(" in file.read_text(encoding="utf-8"))


def inside(path: str) -> bool:
    return any(path == folder or path.startswith(folder + "/") for folder in SOURCE_FOLDERS)


def imported(file: Path) -> set[str]:
    """Modules of ours that a file imports when it runs (not those that only types need)."""
    tree = ast.parse(file.read_text(encoding="utf-8"))
    return {
        node.module
        for node in tree.body
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("curewright")
    }


def test_there_are_kernels():
    assert len(kernel_files()) >= 10


@pytest.mark.parametrize("file", kernel_files(), ids=lambda file: file.relative_to(PACKAGE).as_posix())
def test_a_kernel_lives_and_imports_where_its_sources_are_looked_for(file):
    assert inside(file.relative_to(PACKAGE).as_posix())
    for module in imported(file):
        assert inside(module.removeprefix("curewright.").replace(".", "/")), module
