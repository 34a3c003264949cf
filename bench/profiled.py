"""Where the judge spends its time: by requirement, then by function."""

from __future__ import annotations

import cProfile
import pstats
from collections import Counter
from time import perf_counter
from typing import TYPE_CHECKING

from bench import measure
from bench.paper import specification
from bench.scenario import Size, scenario
from curewright.judge import judge as judging

if TYPE_CHECKING:
    from curewright.judge.result import Result


def run(size: Size) -> None:
    """Prints time by requirement (the first to ask for a trace pays for it) and cProfile's list by own time."""
    asked, spec = scenario(size), specification()
    label = {id(form): f"{clause.number} {form.name}" for clause in spec.clauses for form in clause.forms}
    spent: Counter[str] = Counter()
    times: Counter[str] = Counter()
    plain = judging.judge_form

    def watched(scene, form, thing, *more) -> Result:  # type: ignore[no-untyped-def]
        start = perf_counter()
        result = plain(scene, form, thing, *more)
        spent[label.get(id(form), form.name)] += perf_counter() - start  # type: ignore[assignment]
        times[label.get(id(form), form.name)] += 1
        return result

    call = lambda: judging.judge((spec,), asked.vessel, asked.load, asked.run)  # noqa: E731
    judging.judge_form = watched
    try:
        seconds, _ = measure.timed(call)
    finally:
        judging.judge_form = plain
    print(f"\nProfile: {measure.shown(seconds)} in all")
    for name, each in spent.most_common():
        print(measure.row(name, measure.shown(each), f"{times[name]} times", measure.shown(each / times[name])))
    profile = cProfile.Profile()
    profile.runcall(call)
    pstats.Stats(profile).strip_dirs().sort_stats("tottime").print_stats(30)
