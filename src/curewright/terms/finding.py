"""What was found about a run beside its verdicts: one cause, named for it, with the place in the user's file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from curewright.terms.errors import Place


@dataclass(frozen=True)
class TraceabilityFinding:
    """Something that cannot be led back, or does not agree: ``name`` is the cause (``port used twice``), ``thing`` what it is about."""

    name: str
    thing: str
    says: str
    where: Place | None = None
