"""For a cure record, when somebody asks: what each deviation did to the resin of its part, beside the planned cycle."""

from __future__ import annotations

from contextlib import suppress
from dataclasses import replace
from typing import TYPE_CHECKING, Any

from curewright.jobs.draw_prediction import REPLAYED, plots_of_part, shown_for
from curewright.jobs.draw_state import state_picture
from curewright.jobs.judge_samples import judged_replays
from curewright.jobs.predict_run import replay_run
from curewright.jobs.state_of_part import bands_of_part, planned, state_at_instant
from curewright.record.cure_record.papers import EstimateOfCure, Plot, StateAtDeviation
from curewright.record.prediction_file import Picture
from curewright.record.state_words import clock
from curewright.record.words import name_of
from curewright.terms.errors import CurewrightError

if TYPE_CHECKING:
    from collections.abc import Callable, Iterator, Sequence

    from curewright.jobs.predict_run import Predicted, Replayed
    from curewright.jobs.understand_run import RunFiles
    from curewright.predict.verdict_band import JudgedSamples

    Block = dict[str, Any]

MOST_INSTANTS = 3  # of one part
MOST_PARTS = 12
SAMPLES = 64  # of what is doubtful
READ_AS = "The numbers are in the tables of the estimate, and in what curewright replay writes."


def estimate_of_cure(files: RunFiles, document: Block, step: Callable[[str], None] = lambda _: None) -> EstimateOfCure:
    """The estimate for everything that is not met and has a deciding instant. What cannot be estimated is said, never raised: a record is
    printed all the same.
    """
    instants = _instants(document)
    if not instants:
        return EstimateOfCure(
            without=("Nothing that is not met has a deciding instant: there is nothing to estimate.",)
        )
    try:
        replayed = replay_run(files, step)
    except CurewrightError as error:
        return EstimateOfCure(without=(f"No estimate: {error}",))
    without: list[str] = []
    nominal = _planned(files, replayed, without, step)
    states = [_with_band(replayed, one, without, step) for one in _states(replayed, nominal, instants, without)]
    serials = list(dict.fromkeys(one.state.part for one in states))
    if len(serials) > MOST_PARTS:
        without.append(f"{len(serials) - MOST_PARTS} more parts have no plot here.")
    pictures = [*_pictures(replayed, nominal, states)]
    plots = [plot for serial in serials[:MOST_PARTS] for plot in plots_of_part(replayed, nominal, serial)]
    warnings = dict.fromkeys(words for one in states for words in one.state.warnings)
    known = {(one["file"], one["sha256"]) for one in document["inputs"]}
    judged = _judged(replayed, without, step) if states else None
    return EstimateOfCure(
        tuple(states),
        tuple(
            Plot(f"estimate-{number}.svg", svg, f"{picture.shows}. An estimate, never evidence. {READ_AS}")
            for number, (picture, svg) in enumerate([*pictures, *plots])
        ),
        tuple(warnings),
        tuple(without),
        tuple(one for one in replayed.given.files if one not in known),
        judged,
    )


def _instants(document: Block) -> dict[str, list[tuple[int, str]]]:
    """By part: the deciding instants [ns] of what is not met, with what they decided; those of one instant together."""
    found: dict[str, dict[int, list[str]]] = {}
    for verdict in document["verdicts"]:
        at = (verdict["margin"] or {}).get("at")
        if verdict["outcome"] == "not met" and at and verdict["part"]:
            words = f"{name_of(verdict)}, clause {verdict['clause']} {verdict['form']}"
            found.setdefault(verdict["part"], {}).setdefault(at["ns"], []).append(words)
    return {part: [(ns, "; ".join(words)) for ns, words in sorted(at.items())] for part, at in found.items()}


def _planned(files: RunFiles, replayed: Replayed, without: list[str], step: Callable[[str], None]) -> Predicted | None:
    try:
        return planned(files, replayed, step)
    except CurewrightError as error:
        without.append(f"No planned cycle stands beside it: {error}")
        return None


def _states(
    replayed: Replayed, nominal: Predicted | None, instants: dict[str, list[tuple[int, str]]], without: list[str]
) -> Iterator[StateAtDeviation]:
    for part, found in instants.items():
        for ns, decided in found[:MOST_INSTANTS]:
            try:
                state = state_at_instant(replayed, nominal, part, ns / 1e9)
            except CurewrightError as error:
                without.append(f"No estimate of part {part}: {error}")
                break
            yield StateAtDeviation(state, decided, shown_for(replayed, part))
        if len(found) > MOST_INSTANTS:
            without.append(f"Of part {part} the first {MOST_INSTANTS} of {len(found)} deciding instants are shown.")


def _pictures(
    replayed: Replayed, nominal: Predicted | None, states: Sequence[StateAtDeviation]
) -> Iterator[tuple[Picture, bytes]]:
    """Each part through its thickness at the instants that decided; of one in which nothing that cures is replayed there is none."""
    for number, one in enumerate(states):
        with suppress(CurewrightError):
            svg = state_picture(replayed, nominal, one.state, one.bands)
            shows = f"{REPLAYED}: part {one.state.part} through its thickness, {clock(one.state.t)} after the start"
            yield Picture(f"state-{number}.svg", shows), svg


def _with_band(
    replayed: Replayed, one: StateAtDeviation, without: list[str], step: Callable[[str], None]
) -> StateAtDeviation:
    """The state with its bands; without them, and with the reason, where too many samples have no answer."""
    try:
        bands, left_out = bands_of_part(replayed, one.state.part, one.state.t, SAMPLES, step)
    except CurewrightError as error:
        without.append(f"No band of part {one.state.part}: {error}")
        return one
    return replace(one, bands=bands, not_varied=left_out)


def _judged(replayed: Replayed, without: list[str], step: Callable[[str], None]) -> JudgedSamples | None:
    try:
        return judged_replays(replayed, SAMPLES, step)
    except CurewrightError as error:
        without.append(f"How sure the model is of the requirements is not known: {error}")
        return None
