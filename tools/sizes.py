"""Functions, files and folders that have grown past the guide: 40 lines, 400 lines, 4 arguments, 14 files. Never fails.

What is long is not wrong; it is where to look first when something is hard to follow.
"""

import ast
from collections.abc import Iterator
from pathlib import Path

ROOT = Path(__file__).resolve().parents[1]
FOLDERS = ("src", "tests", "tools", "bench")
LINES_OF_FUNCTION, LINES_OF_FILE, ARGUMENTS, FILES_IN_FOLDER = 40, 400, 4, 14


def python_files() -> list[Path]:
    """All Python files of the project."""
    return sorted(file for folder in FOLDERS for file in (ROOT / folder).rglob("*.py"))


def long_functions(file: Path, tree: ast.Module) -> Iterator[tuple[int, str]]:
    """Functions of one file with more lines (docstring apart) or more arguments than the guide says."""
    for node in ast.walk(tree):
        if not isinstance(node, ast.FunctionDef | ast.AsyncFunctionDef):
            continue
        where = f"{file.relative_to(ROOT)}:{node.lineno} {node.name}"
        lines = lines_of(node)
        if lines > LINES_OF_FUNCTION:
            yield lines, f"{where}: {lines} lines"
        arguments = [a for a in node.args.posonlyargs + node.args.args if a.arg not in ("self", "cls")]
        if len(arguments) > ARGUMENTS:
            yield len(arguments), f"{where}: {len(arguments)} positional arguments"


def lines_of(node: ast.FunctionDef | ast.AsyncFunctionDef) -> int:
    """Lines from `def` to the end, less the docstring, which is the manual and may be as long as it needs."""
    first = node.body[0]
    has_docstring = (
        isinstance(first, ast.Expr) and isinstance(first.value, ast.Constant) and isinstance(first.value.value, str)
    )
    docstring = first.end_lineno - first.lineno + 1 if has_docstring and first.end_lineno else 0
    return (node.end_lineno or node.lineno) - node.lineno + 1 - docstring


def section(title: str, rows: list[tuple[int, str]]) -> None:
    """Print one kind of finding, largest first."""
    print(f"{title}: {len(rows) or 'none'}")
    for _, text in sorted(rows, key=lambda row: (-row[0], row[1])):
        print(f"  {text}")


def main() -> None:
    """Print the four lists."""
    files = python_files()
    functions = [row for file in files for row in long_functions(file, ast.parse(file.read_text(encoding="utf-8")))]
    section(f"Functions over {LINES_OF_FUNCTION} lines", [row for row in functions if row[1].endswith(" lines")])
    section(f"Functions of more than {ARGUMENTS} arguments", [row for row in functions if row[1].endswith("arguments")])

    lengths = [(len(file.read_text(encoding="utf-8").splitlines()), file) for file in files]
    long_files = [(n, f"{file.relative_to(ROOT)}: {n} lines") for n, file in lengths if n > LINES_OF_FILE]
    section(f"Files over {LINES_OF_FILE} lines", long_files)

    folders = {file.parent for file in files}
    counts = [(sum(file.parent == folder for file in files), folder) for folder in folders]
    full_folders = [(n, f"{folder.relative_to(ROOT)}: {n} files") for n, folder in counts if n > FILES_IN_FOLDER]
    section(f"Folders of more than {FILES_IN_FOLDER} Python files", full_folders)


if __name__ == "__main__":
    main()
