"""Spread: the hottest less the coldest of a group stays within limits over a phase; a band on the greatest of all
differences.

A least spread is refused: no cure paper asks for one, and the least of a greatest difference has no plain meaning.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.kinds.band import judge_band
from curewright.terms.errors import SpecificationError

if TYPE_CHECKING:
    from curewright.judge.result import Result
    from curewright.judge.scene import Scene, Thing
    from curewright.terms.requirement import Spread


def judge_spread(scene: Scene, form: Spread, thing: Thing) -> Result:
    """A spread for a thing; raises :class:`SpecificationError` for a low limit."""
    if form.limits.low is not None or form.limits.low_attribute is not None:
        raise SpecificationError(
            "a spread with a least value",
            expected="'at most' a spread",
            where=form.place,
            remedy="state the greatest spread",
        )
    return judge_band(scene, form, thing)
