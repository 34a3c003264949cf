"""The plots of a cure record: the whole load, and each part, over clock time."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.jobs.cards import cards_of
from curewright.picture.judged_run import JudgedRun
from curewright.picture.whole_run import whole_run
from curewright.record.cure_record.papers import Papers, Plot

if TYPE_CHECKING:
    from curewright.jobs.understand_run import Understood
    from curewright.terms.verdict import Judgement

READ_AS = (
    "Temperatures of the air and of the part thermocouples with the coldest and the hottest, vessel pressure and bag vacuum over time, "
    "with limits, events and what was lost. The values are in the tables of this record and in the attached recordings."
)


def with_plots(papers: Papers, understood: Understood, judgement: Judgement) -> Papers:
    """The papers with their plots: the whole load first; of one part alone that is the same plot."""
    inputs = understood.inputs
    judged = JudgedRun(
        understood.specifications, inputs.vessel, inputs.load, inputs.run, judgement, inputs.rulings,
        cards_of(understood.specifications),
    )  # fmt: skip
    whole = Plot("whole-run.svg", whole_run(judged), "The whole load.", f"Plot of the whole run. {READ_AS}")
    serials = [part.serial for part in inputs.load.parts] if len(inputs.load.parts) > 1 else []
    of_parts = {
        serial: Plot(
            f"part-{number}.svg",
            whole_run(judged, serial),
            f"Part {serial} over the whole run.",
            f"Plot of part {serial}. {READ_AS}",
        )
        for number, serial in enumerate(serials)
    }
    return replace(papers, whole_run=whole, part_plots=of_parts)
