"""Kept machine code is named by the sources of all kernels: so kernels must live, and import from, where those sources are looked for."""

from __future__ import annotations

import ast
from typing import TYPE_CHECKING

import pytest

from curewright.jobs.warm import KERNELS
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
    found = [
        node
        for node in tree.body
        if isinstance(node, ast.ImportFrom) and node.module and node.module.startswith("curewright")
    ]
    return {
        f"{node.module}.{name.name}" if file_of(f"{node.module}.{name.name}").is_file() else str(node.module)
        for node in found
        for name in node.names
    }


def file_of(module: str) -> Path:
    return PACKAGE / f"{module.removeprefix('curewright.').replace('.', '/')}.py"


def test_there_are_kernels():
    assert len(kernel_files()) >= 10


def test_set_up_compiles_all_of_them():
    """Directly, or because a file that it names imports them, or one that is imported there."""
    reached, next_ones = set(), {file_of(name) for name in KERNELS}
    while next_ones:
        reached |= next_ones
        next_ones = {file_of(module) for file in next_ones for module in imported(file)} - reached
    assert set(kernel_files()) <= reached


@pytest.mark.parametrize("file", kernel_files(), ids=lambda file: file.relative_to(PACKAGE).as_posix())
def test_a_kernel_lives_and_imports_where_its_sources_are_looked_for(file):
    assert inside(file.relative_to(PACKAGE).as_posix())
    for module in imported(file):
        assert inside(module.removeprefix("curewright.").replace(".", "/")), module
