"""Tables that come inside the program, such as tolerances of a published standard: rows as text, never guessed into numbers."""

from __future__ import annotations

import csv
from importlib import resources


def packaged_text(package: str, *path: str) -> str:
    """The text of a file that is part of the program; ``path`` leads to it from the folder of ``package``."""
    return resources.files(package).joinpath(*path).read_text(encoding="utf-8")


def packaged_table(package: str, *path: str) -> tuple[dict[str, str], ...]:
    """The rows of a CSV file that is part of the program, each cell as text under its heading."""
    return tuple(csv.DictReader(packaged_text(package, *path).splitlines()))
