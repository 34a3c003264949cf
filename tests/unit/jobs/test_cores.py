"""Parts judged side by side give what they give one after the other."""

from __future__ import annotations

from dataclasses import replace

import numpy as np
import pytest

from curewright.jobs import cores
from curewright.judge.judge import judge
from curewright.terms.errors import CurewrightError, NeedsBarometer
from curewright.terms.load import Vessel
from curewright.terms.requirement import Band, Phase
from curewright.terms.units import unit_named
from tests.unit.judge.build import COLDEST, at_least, channel, load_of, run_of, specification


def judged(each, **more):
    """Six parts with one thermocouple each, some too cold."""
    run = run_of(*[channel(f"TC{k}", [(0, 165 + k), (1, 170), (2, 168 + k)]) for k in range(6)])
    load = load_of(run)
    parts = tuple(replace(load.parts[0], serial=f"S{k}", **more) for k in range(6))
    lines = tuple(replace(line, thing=f"S{k}") for k, line in enumerate(load.map))
    form = Band(
        "band",
        "part",
        unit_named("degC"),
        None,
        None,
        COLDEST,
        Phase("record starts", "record ends"),
        at_least("168 degC"),
    )
    return judge(
        (specification(form),), Vessel("V1", (), (), ()), replace(load, parts=parts, map=lines), run, each=each
    )


def test_the_same_verdicts_in_the_same_order():
    assert judged(cores.on_all_cores) == judged(map)
    assert [verdict.outcome for verdict in judged(map).verdicts] == ["not met"] * 3 + ["met"] * 3


def test_an_error_of_a_part_comes_out():
    with pytest.raises(CurewrightError, match="which was not given"):
        judged(cores.on_all_cores, specification="EX-2")


def test_an_error_keeps_all_its_words_on_the_way():
    def needs(_item):
        raise NeedsBarometer("found", expected="wanted", remedy="do")

    with pytest.raises(NeedsBarometer) as raised:
        cores.on_all_cores(needs, (1, 2))
    assert str(raised.value) == "found; expected wanted. To do: do"


def test_only_a_large_run_is_worth_it(monkeypatch):
    run = run_of(channel("TC1", [(0, 20), (1, 21)]))
    assert cores.map_for(run) is map
    many = np.zeros(cores.WORTH_IT)
    large = replace(run, channels={"TC1": replace(run.channels["TC1"], t=many)})
    monkeypatch.setattr(cores, "cores", lambda: 2)
    assert cores.map_for(large) is cores.on_all_cores
    monkeypatch.setattr(cores, "cores", lambda: 1)
    assert cores.map_for(large) is map


@pytest.mark.parametrize("worth_it", [0, 10**12])
def test_what_is_begun_beside_gives_its_result_or_its_error(monkeypatch: pytest.MonkeyPatch, worth_it: int) -> None:
    monkeypatch.setattr(cores, "WORTH_IT", worth_it)
    monkeypatch.setattr(cores, "cores", lambda: 2)
    run = run_of(channel("TC1", [(0, 170), (1, 170)]))

    def wrong() -> int:
        raise CurewrightError("no plot")

    with cores.beside(lambda: 42, run) as result:
        assert result() == 42
    with cores.beside(wrong, run) as result, pytest.raises(CurewrightError, match="no plot"):
        result()
    with cores.beside(lambda: 42, run):
        pass  # whoever does not ask leaves nothing behind
    assert cores._FUNCTION == []
