"""The table of kinds: which file reads, writes and says which kind of requirement."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.requirement import KINDS
from curewright.understand.forms import (
    at_event,
    band,
    computed,
    count,
    duration,
    exposure,
    leak_check,
    order,
    rate,
    recording,
    spread,
)

if TYPE_CHECKING:
    from types import ModuleType

MODULES: dict[str, ModuleType] = {
    "band": band,
    "spread": spread,
    "rate": rate,
    "duration": duration,
    "at event": at_event,
    "order": order,
    "leak check": leak_check,
    "count": count,
    "recording": recording,
    "exposure": exposure,
    "computed": computed,
}


def kind_of(name: str) -> str | None:
    """The kind of a form by its name: ``band``, ``band 2``, ``band upper limit``; None where it is none."""
    return next((kind for kind in KINDS if name == kind or name.startswith(f"{kind} ")), None)


def module_of(form: object) -> ModuleType:
    """The file of a form's kind."""
    return next(MODULES[kind] for kind, noun in KINDS.items() if type(form) is noun)
