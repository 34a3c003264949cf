"""What was found about a run beside its verdicts: one cause, named for it, with the place in the user's file."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from curewright.terms.errors import Place


OUT_OF_DATE, NOT_VALID = "calibration out of date", "correction not valid"
OF_THE_SENSOR = (OUT_OF_DATE, NOT_VALID)
"""Kinds of findings that doubt only what stands on the very sensor."""


@dataclass(frozen=True)
class Finding:
    """Something about a load that cannot be led back, or does not agree, reported by name while the rest is judged.

    ``kind`` is the cause (``port used twice``), ``name`` the thing it is about, ``message`` a sentence with what to
    do, ``places`` where it stands in the user's files, ``blocks`` the things (part serials, bags, the vessel) that
    cannot be judged because of it. ``sensors``: those that it is about, where it is about sensors; what many things
    share (the vessel) is then in doubt only as far as one of them speaks for it. ``remark``: nothing has to be put right.
    """

    kind: str
    name: str
    message: str
    places: tuple[Place, ...] = ()
    blocks: tuple[str, ...] = ()
    sensors: tuple[str, ...] = ()
    remark: bool = False

    def __str__(self) -> str:
        spots = "".join(f" [{place}]" for place in self.places if str(place))
        return f"{self.kind}: {self.message}{spots}"
