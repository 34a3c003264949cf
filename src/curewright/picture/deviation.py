"""The close view of one verdict, beside its words in the record: what decided, where, against what.

The stretch around the deciding instant is shown with the limit (its forbidden side hatched), the excursion shaded, the phase above
(black where sure, open where possible), the quoted samples as open dots, the neighbours thin and grey; what is not known is hatched.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.picture.zoom import View
from curewright.picture.zoom_drawn import draw
from curewright.picture.zoom_leaks import leak_check
from curewright.picture.zoom_rates import rate
from curewright.picture.zoom_sensors import count, recording
from curewright.picture.zoom_times import duration, exposure, order
from curewright.picture.zoom_values import values
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from curewright.picture.judged_run import JudgedRun
    from curewright.picture.zoom import Lanes, Row
    from curewright.terms.verdict import Verdict

WIDE = 498.0  # pt: a column of text on A4
ROWS: dict[str, Callable[[View], Sequence[Row | Lanes]]] = {
    "band": values,
    "spread": values,
    "at event": values,
    "computed": values,
    "rate": rate,
    "duration": duration,
    "order": order,
    "exposure": exposure,
    "leak check": leak_check,
    "count": count,
    "recording": recording,
}


def deviation(judged: JudgedRun, verdict: Verdict) -> bytes | None:
    """The close view of a verdict as SVG; None where there is nothing to draw.

    Nothing can be drawn of what a person judges, of what does not apply, and of a requirement whose sensors or limits the load
    does not have (the verdict says which).
    """
    form = judged.form(verdict)
    if form is None or verdict.kind not in ROWS or verdict.outcome.value == "not applicable":
        return None
    view = View(judged, verdict, form)
    try:
        rows = ROWS[verdict.kind](view)
    except CurewrightError:
        return None
    return draw(view, rows, WIDE) if rows else None
