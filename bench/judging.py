"""Judging the whole run against all requirements, beside the peers, with equal verdicts."""

from __future__ import annotations

import importlib
from typing import TYPE_CHECKING

from bench import measure
from bench.compare import differences
from bench.paper import specification
from bench.peers.logic import Peer
from bench.peers.wide import wide
from bench.scenario import Scenario, Size, scenario
from curewright.jobs.cores import cores, on_all_cores
from curewright.judge.judge import judge

if TYPE_CHECKING:
    from collections.abc import Callable, Sequence

    from bench.peers.tool import Answer, Tool
    from bench.peers.wide import Wide
    from curewright.terms.verdict import Judgement

PEERS = ("NumPy", "pandas", "polars")


def tool(name: str, data: Wide) -> Tool:
    """A peer with its table ready made; raises ImportError where it is not installed."""
    module = importlib.import_module(f"bench.peers.with_{name.lower()}")
    made: Tool = getattr(module, name[0].upper() + name[1:])(data)
    return made


def ours(asked: Scenario, requirements: int = 30) -> Callable[[], Judgement]:
    """A call of the judge on a scenario."""
    spec = specification(requirements)
    return lambda: judge((spec,), asked.vessel, asked.load, asked.run)


def peer(name: str, data: Wide) -> Callable[[], dict[tuple[str, int, str], Answer]]:
    """A call of one peer; what it prepared once stays outside."""
    made = tool(name, data)
    return lambda: Peer(made, data).judge()


def disagreements(size: Size, names: Sequence[str] = ("NumPy",)) -> dict[str, list[str]]:
    """In what each peer differs from the judge on a run of this size; empty lists where verdicts are equal."""
    asked = scenario(size)
    data = wide(asked)
    verdicts = ours(asked)().verdicts
    return {name: differences(verdicts, peer(name, data)(), data) for name in names}


def run(size: Size, rounds: int, peers: Sequence[str] = PEERS) -> bool:
    """Prints the table; True where all verdicts are equal."""
    asked = scenario(size)
    data = wide(asked)
    print(
        f"\nJudging: {len(asked.run.channels)} channels x {size.hours:g} h, {asked.samples:,} samples, {size.parts} parts, 30 requirements"
    )
    actions: dict[str, Callable[[], object]] = {"Curewright": ours(asked)}
    for name in peers:
        try:
            actions[name] = peer(name, data)
        except ImportError as error:
            print(f"  {name} is not here ({error}): not measured. make setup-test installs it.")
    first, judgement = measure.timed(ours(asked))
    counts: dict[str, int] = {}
    for verdict in judgement.verdicts:
        counts[str(verdict.outcome)] = counts.get(str(verdict.outcome), 0) + 1
    print(
        f"  {len(judgement.verdicts)} verdicts: "
        + ", ".join(f"{number} {outcome}" for outcome, number in sorted(counts.items()))
    )
    equal = True
    for name in list(actions)[1:]:
        lines = differences(judgement.verdicts, actions[name](), data)  # type: ignore[arg-type]
        equal &= not lines
        print(
            f"  {name}: "
            + ("equal verdicts" if not lines else f"{len(lines)} DIFFERENCES:\n    " + "\n    ".join(lines[:10]))
        )
    found = measure.in_turn(actions, rounds)
    print(
        f"  first call in this process {measure.shown(first)}; then medians of {rounds} rounds, all in turn, one thread each:"
    )
    print(measure.row("", "wall", "x ours", "processor", "x ours"))
    for name, seconds in found.items():
        cells: list[str] = []
        for clock in (0, 1):
            middle = measure.median(seconds, clock)
            cells += [measure.shown(middle), f"{middle / measure.median(found['Curewright'], clock):.1f}"]
        print(measure.row(name, *cells))
    _side_by_side(asked, judgement, rounds)
    return equal


def _side_by_side(asked: Scenario, judgement: Judgement, rounds: int) -> None:
    """Our own time when the parts are judged on all cores, as the command line does for a large run."""
    spec = specification()
    walls, same = [], True
    for _ in range(rounds):
        wall, found = measure.timed(lambda: judge((spec,), asked.vessel, asked.load, asked.run, each=on_all_cores))
        walls.append((wall, wall))
        same &= found == judgement
    told = "the same verdicts" if same else "OTHER VERDICTS"
    print(
        f"  Curewright with its parts side by side on {cores()} cores: {measure.shown(measure.median(walls))} wall, {told}"
    )
