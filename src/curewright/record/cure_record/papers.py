"""All that a cure record is printed from, and how it is to be printed."""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import TYPE_CHECKING, Any

from curewright.record.instants import rfc3339
from curewright.record.words import when
from curewright.terms.load import ALWAYS

if TYPE_CHECKING:
    from collections.abc import Mapping

    from curewright.predict.part_state import PartState
    from curewright.predict.state_band import StateBand
    from curewright.predict.verdict_band import JudgedSamples
    from curewright.record.manifest import Filed
    from curewright.terms.load import Load, Vessel
    from curewright.terms.requirement import Specification
    from curewright.terms.run import Run
    from curewright.text.in_units import Shown

PAPERS = {"a4": "a4", "letter": "us-letter"}  # as a person says it: as the typesetter says it


@dataclass(frozen=True)
class Print:
    """How a record is printed: on which paper, and what is marked on every page (export control), if anything."""

    paper: str = "a4"
    marking: str = ""


@dataclass(frozen=True)
class Plot:
    """A plot as SVG, with words for whoever cannot see it."""

    name: str
    svg: bytes
    says: str


@dataclass(frozen=True)
class Plots:
    """The plots of a record: of the whole run, ``parts`` by serial, ``deviations`` by the place of the verdict in the document."""

    whole_run: Plot | None = None
    parts: Mapping[str, Plot] = field(default_factory=dict)
    deviations: Mapping[int, Plot] = field(default_factory=dict)

    def all(self) -> list[Plot]:
        """Every plot."""
        return [*([self.whole_run] if self.whole_run else ()), *self.parts.values(), *self.deviations.values()]


@dataclass(frozen=True)
class StateAtDeviation:
    """What is estimated of a part at the instant that ``decided`` a deviation, in the units of its specification; ``bands``: how sure."""

    state: PartState
    decided: str
    shown: Shown
    bands: tuple[StateBand, ...] = ()
    not_varied: tuple[str, ...] = ()


@dataclass(frozen=True)
class EstimateOfCure:
    """What somebody asked to be estimated: ``without`` says of what there is no estimate, and why; ``files``: name and SHA-256.

    ``judged``: what the model's temperatures would have got, by samples of what is doubtful; None where that is not known.
    """

    states: tuple[StateAtDeviation, ...] = ()
    plots: tuple[Plot, ...] = ()
    warnings: tuple[str, ...] = ()
    without: tuple[str, ...] = ()
    files: tuple[tuple[str, str], ...] = ()
    judged: JudgedSamples | None = None


@dataclass(frozen=True)
class Papers:
    """A judgement (the verdicts ``document``, ``verdicts_seal``) with the nouns it was made from, and the files that belong to it.

    ``seal`` is that of the manifest, which names every file. ``estimate``: None where nobody asked for one.
    """

    document: dict[str, Any]
    verdicts_seal: str
    run: Run
    vessel: Vessel
    load: Load
    specifications: tuple[Specification, ...]
    files: tuple[Filed, ...]
    container: Filed | None
    seal: str
    plots: Plots = field(default_factory=Plots)
    print: Print = field(default_factory=Print)
    estimate: EstimateOfCure | None = None

    def instant(self, since: int | None) -> dict[str, Any] | None:
        """An instant of the run [ns since its start] as the verdicts file has it; None where there is none (no end, no beginning)."""
        if since is None or abs(since) >= ALWAYS:
            return None
        return {"time": rfc3339(self.run.start, since), "ns": since}

    def when(self, since: int | None, otherwise: str = "") -> str:
        """An instant of the run [ns since its start] as the clock and the time since the start."""
        return when(self.instant(since), self.document) or otherwise
