"""The bench on small runs: the judge against three other writings of the same thirty requirements.

This is a check from outside: NumPy, pandas and polars find crossings, extremes, slopes and means in their own way, and the rules in
bench/peers/logic.py were written from the paper's rules, not from the judge. Nothing is timed here.
"""

from __future__ import annotations

import collections
from dataclasses import replace

import pytest

from bench import judging, monitors
from bench.compare import differences
from bench.folder import on_paper, write_folder
from bench.paper import specification
from bench.peers.logic import Peer
from bench.peers.tool import Answer
from bench.peers.wide import wide
from bench.peers.with_numpy import NumPy
from bench.scenario import FAULTS, Size, scenario
from curewright.jobs.judge_run import RunFiles, judged, understand_run
from curewright.judge.judge import judge

SMALL = Size(parts=13, every=60)


@pytest.fixture(scope="module")
def small():
    asked = scenario(SMALL)
    return asked, wide(asked), judging.ours(asked)()


def test_every_kind_of_requirement_and_outcome_is_in_it(small):
    asked, _, judgement = small
    kinds = {verdict.kind for verdict in judgement.verdicts}
    assert kinds == {
        "band", "spread", "rate", "duration", "at event", "order", "leak check", "count", "recording", "exposure",
    }  # fmt: skip
    outcomes = collections.Counter(str(verdict.outcome) for verdict in judgement.verdicts)
    assert set(outcomes) == {"met", "not met", "not shown"}
    assert len(FAULTS) == 12 < len(asked.load.parts)


@pytest.mark.parametrize("name", judging.PEERS)
def test_verdicts_equal_those_of_a_general_tool(small, name):
    _, data, judgement = small
    assert len(judgement.verdicts) > 800
    assert differences(judgement.verdicts, judging.peer(name, data)(), data) == []


@pytest.mark.parametrize("every, parts", [(7, 13), (20, 3)])
def test_verdicts_equal_at_other_spacings(every, parts):
    assert judging.disagreements(Size(parts=parts, every=every)) == {"NumPy": []}


def test_the_comparison_notices_a_changed_answer(small):
    _, data, judgement = small
    answers = Peer(NumPy(data), data).judge()
    key = ("S000", 12, "S000")
    right = answers[key]
    wrong = {
        "outcome": Answer("not met", right.margin, right.at, right.channel, right.others),
        "margin": Answer(right.outcome, right.margin + 10.0, right.at, right.channel, right.others),
        "decided at": Answer(right.outcome, right.margin, right.at + 30 * 10**9, right.channel, right.others),
        "other readings": Answer(right.outcome, right.margin, right.at, right.channel, (("least squares", "met"),)),
    }
    for what, answer in wrong.items():
        lines = differences(judgement.verdicts, {**answers, key: answer}, data)
        assert any(line.startswith(f"{key}: ") and what in line for line in lines)
    quoted = replace(right, samples=right.samples[1:])
    assert "samples quoted" in differences(judgement.verdicts, {**answers, key: quoted}, data)[0]
    rate = ("S000", 6, "TC000-1")
    numbers = tuple((name, least, most + 20.0) for name, least, most in answers[rate].numbers)
    changed = replace(answers[rate], numbers=numbers)
    assert "other rates" in differences(judgement.verdicts, {**answers, rate: changed}, data)[0]
    assert "only ours" in differences(judgement.verdicts, {k: a for k, a in answers.items() if k != key}, data)[0]


def test_a_temporal_logic_monitor_agrees_on_band_and_hold(small):
    asked, _, _ = small
    sentil = pytest.importorskip("sentil", reason="sentil is not installed (tools/setup.sh monitors)")
    assert sentil
    for name in ("TC000-1", "TC002-6", "TC004-3", "TC012-1"):
        channel = asked.run.channels[name]
        margin, hold = monitors.ours(channel)()
        theirs, held = monitors.with_sentil(channel)()
        assert abs(margin - theirs) <= 1.0
        assert hold == held


def test_the_cure_written_as_files_is_judged_as_in_memory(tmp_path):
    """The folder of the bench's ``everyday`` and ``large``, through the readers: the same outcome of every verdict, one by one."""
    made = write_folder(tmp_path, Size(parts=13, every=60))
    plan = on_paper(specification())
    understood = understand_run(RunFiles(tmp_path))
    from_files = judged(understood, tmp_path, number=1, person="", at="").verdicts
    in_memory = judge((plan,), made.vessel, made.load, made.run).verdicts
    keys = [
        [(v.part, v.clause, v.thing, v.outcome, v.margin and v.margin.value) for v in found]
        for found in (from_files, in_memory)
    ]
    assert keys[0] == keys[1]
    assert len(keys[0]) > 800
