"""Read a specification back: as English, and as one small trace that passes and one that fails for each requirement."""

from __future__ import annotations

import re
from typing import TYPE_CHECKING

from curewright.jobs.cards import cards_of
from curewright.understand.english import english
from curewright.understand.specification import understand

if TYPE_CHECKING:
    from collections.abc import Iterator
    from pathlib import Path

    from curewright.terms.requirement import Specification


def read_back(file: Path) -> tuple[Specification, str]:
    """A specification file as plan and as English. Raises :class:`CurewrightError` with file, line and column."""
    specification = understand(file.read_bytes(), file.name)
    return specification, english(specification)


def draw_clauses(specification: Specification, folder: Path) -> Iterator[Path]:
    """Draw every requirement of a specification into SVG and PNG files; gives their paths as they are made."""
    from curewright.picture.clause_traces import draw, save  # here: matplotlib takes its time

    folder.mkdir(parents=True, exist_ok=True)
    cards = cards_of((specification,))
    for clause in specification.clauses:
        for form in clause.forms:
            name = re.sub(r"[^A-Za-z0-9.]+", "-", f"{specification.number}-{clause.number}-{form.name}")
            figure = draw(specification, clause, form, cards)
            for ending in ("svg", "png"):
                path = folder / f"{name}.{ending}"
                save(figure, path)
                yield path
