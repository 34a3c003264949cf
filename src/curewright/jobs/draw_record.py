"""The plots of a cure record: the whole load and each part over clock time, and a close view of each deviation."""

from __future__ import annotations

from typing import TYPE_CHECKING, Any

from curewright.jobs.cards import cards_of
from curewright.picture.deviation import deviation
from curewright.picture.judged_run import JudgedRun
from curewright.picture.whole_run import whole_run
from curewright.record.cure_record.deviations import deviating
from curewright.record.cure_record.papers import Plot, Plots
from curewright.record.words import DEVIATIONS, MARKS

if TYPE_CHECKING:
    from curewright.jobs.understand_run import Understood
    from curewright.terms.verdict import Judgement

READ_AS = (
    "Temperatures of the air and of the part thermocouples with the coldest and the hottest, vessel pressure and bag vacuum over time, "
    "with limits, events and what was lost. The values are in the tables of this record and in the attached recordings."
)

SHOWN_AS = "The limit, what was found and the deciding samples are in words above and below."
MOST = 40  # close views in one record; the deciding samples of all deviations are quoted
FEW = 12  # parts with a plot of their own


def plots_of(understood: Understood, judgement: Judgement, document: dict[str, Any]) -> Plots:
    """The plots of a judgement: of the whole load, of its parts (of one part alone that would be the same plot), of its deviations."""
    inputs = understood.inputs
    judged = JudgedRun(
        understood.specifications, inputs.vessel, inputs.load, inputs.run, judgement, inputs.rulings,
        cards_of(understood.specifications),
    )  # fmt: skip
    whole = Plot("whole-run.svg", whole_run(judged), f"Plot of the whole run. {READ_AS}")
    of_parts = {
        serial: Plot(f"part-{number}.svg", whole_run(judged, serial), f"Plot of part {serial}. {READ_AS}")
        for number, serial in enumerate(_drawn_parts(document))
    }
    return Plots(whole, of_parts, _close_views(judged, document))


def _drawn_parts(document: dict[str, Any]) -> list[str]:
    """The parts with a plot of their own: all of a small load, of a large one the worst; of one part alone none."""
    lines = document["roll_up"]
    if len(lines) > FEW:
        order = list(MARKS)
        deviating = [line for line in lines if line["outcome"] in DEVIATIONS]
        lines = sorted(deviating, key=lambda line: order.index(line["outcome"]))[:FEW]
    return [line["part"] for line in lines] if len(document["roll_up"]) > 1 else []


def _close_views(judged: JudgedRun, document: dict[str, Any]) -> dict[int, Plot]:
    """The close view of each deviation that has one, by its place in the document; the worst first, none of what is still open."""
    found: dict[int, Plot] = {}
    settled = [place for place in deviating(document) if document["verdicts"][place]["outcome"] != "open"]
    for place in settled[:MOST]:
        verdict = judged.judgement.verdicts[place]
        svg = deviation(judged, verdict)
        if svg is not None:
            says = f"Close view of {verdict.part} {verdict.thing}, clause {verdict.clause} {verdict.form}: {verdict.reason}. {SHOWN_AS}"
            found[place] = Plot(f"deviation-{place}.svg", svg, says)
    return found
