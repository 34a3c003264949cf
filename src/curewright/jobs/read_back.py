"""Read a specification back: as English, and as one small trace that passes and one that fails for each requirement."""

from __future__ import annotations

import re
from itertools import count
from typing import TYPE_CHECKING

from curewright.jobs.cards import cards_of
from curewright.understand.english import english
from curewright.understand.specification import understand

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator
    from pathlib import Path

    from curewright.terms.requirement import Specification

RESERVED = re.compile(r"(con|prn|aux|nul|com\d|lpt\d)(\.|$)", re.IGNORECASE)  # Windows takes these for devices


def read_back(file: Path) -> tuple[Specification, str]:
    """A specification file as plan and as English. Raises :class:`CurewrightError` with file, line and column."""
    specification = understand(file.read_bytes(), file.name)
    return specification, english(specification)


def draw_clauses(
    specification: Specification, folder: Path, tell: Callable[[str], None] = lambda _: None
) -> Iterator[Path]:
    """Draw every requirement of a specification into SVG and PNG files; gives their paths as they are made.

    A requirement for which no run could be drawn up gets no picture; ``tell`` is told so, and where one of the two traces is missing.
    """
    from curewright.picture.clause_traces import draw_found, examples, save  # here: matplotlib takes its time

    folder.mkdir(parents=True, exist_ok=True)
    cards = cards_of((specification,))
    taken: set[str] = set()
    for clause in specification.clauses:
        for form in clause.forms:
            name = _file_name(f"{specification.number}-{clause.number}-{form.name}", taken)
            found = examples(specification, clause, form, cards)
            missing = [outcome.value for outcome, each in found if each is None]
            if missing:
                tell(
                    f"{clause.number} {form.name}: no small run could be drawn up in which it is {' or '.join(missing)}"
                )
            if len(missing) == len(found):
                continue
            figure = draw_found(specification, clause, form, found)
            for ending in ("svg", "png"):
                path = folder / f"{name}.{ending}"
                save(figure, path)
                yield path


def _file_name(words: str, taken: set[str]) -> str:
    """A name that every system takes, and that differs from those taken in more than small and capital letters."""
    plain = re.sub(r"[^A-Za-z0-9.]+", "-", words).strip("-.")
    if RESERVED.match(plain):
        plain = f"paper-{plain}"
    name = next(name for i in count(1) if (name := plain if i == 1 else f"{plain}-{i}").casefold() not in taken)
    taken.add(name.casefold())
    return name
