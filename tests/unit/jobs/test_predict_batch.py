"""A batch on threads and on dask workers: the same solutions, in order, with progress, refusals in place, and a way to stop."""

from __future__ import annotations

import sys
from concurrent.futures import Executor, Future
from dataclasses import replace

import numpy as np
import pytest

from curewright.jobs.predict_batch import StoppedError, on_machines, predict_batch
from curewright.physics.solve.many import Case, solve_all
from curewright.terms.errors import CurewrightError
from tests.physics.stacks import Stack, random_case


def batch(count: int) -> list[Case]:
    found = []
    for seed in range(count):
        stack, faces, end = random_case(seed, "toughened N", thickness=0.01)
        found.append(Case(stack, faces, np.linspace(0.0, end, 12)))
    return found


def same(one, two) -> bool:
    return all(np.array_equal(a.T, b.T) for a, b in zip(one, two, strict=True))


def test_on_threads_as_one_after_another_and_in_order():
    cases = batch(11)
    told = []
    found = predict_batch(cases, progress=lambda done, total: told.append((done, total)), chunk=3)
    assert same(found, solve_all(cases))
    assert told[0] == (0, 11)
    assert told[-1] == (11, 11)
    assert [done for done, _ in told] == sorted(done for done, _ in told)


def test_a_refused_case_stops_none():
    cases = batch(3)
    cases[1] = replace(cases[1], stack=Stack("empty", ()))
    found = predict_batch(cases, chunk=1)
    assert isinstance(found[1], CurewrightError)
    assert same([found[0], found[2]], solve_all([cases[0], cases[2]]))


def test_an_empty_batch_is_done_at_once():
    assert predict_batch([]) == []


class TwoOnly(Executor):
    """Runs the first two things at once and never begins another."""

    def __init__(self) -> None:
        self.futures: list[Future] = []

    def submit(self, function, /, *args, **named):
        future: Future = Future()
        if len(self.futures) < 2:
            future.set_result(function(*args, **named))
        self.futures.append(future)
        return future


def test_stopped_between_two_pieces():
    cases, told, executor = batch(6), [], TwoOnly()
    with pytest.raises(StoppedError, match="after 2 of 6") as stopped:
        predict_batch(cases, executor, progress=lambda done, _: told.append(done), stop=lambda: told[-1] >= 2, chunk=1)
    assert stopped.value.done == 2
    assert [future.cancelled() for future in executor.futures] == [False, False, True, True, True, True]


@pytest.mark.filterwarnings("ignore")  # what dask says about its own ports
def test_on_dask_workers_as_on_threads():
    distributed = pytest.importorskip("distributed")
    cases = batch(5)
    cluster = distributed.LocalCluster(n_workers=2, threads_per_worker=1, processes=False, dashboard_address=None)
    with cluster, on_machines(cluster.scheduler_address) as machines:
        told = []
        found = predict_batch(cases, machines, progress=lambda done, _: told.append(done), chunk=2)
        assert told[-1] == 5
        with pytest.raises(StoppedError):
            predict_batch(cases, machines, stop=lambda: True)
    assert same(found, solve_all(cases))


def test_without_the_extra_it_says_what_to_install(monkeypatch):
    monkeypatch.setitem(sys.modules, "distributed", None)
    with pytest.raises(CurewrightError, match="extra 'machines'"), on_machines("tcp://nowhere:1"):
        pass


def test_keeping_only_what_is_needed():
    cases = batch(3)
    found = predict_batch(cases, keep=lambda solution: float(solution.T.max()))
    assert found == [float(solution.T.max()) for solution in solve_all(cases)]
