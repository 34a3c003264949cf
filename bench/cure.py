"""One simulated cure, and many: ours against SUNDIALS CVODE and SciPy's BDF, at equal error, in one process on the same equations.

Random stacks of 5 to 50 mm with every kinetic law, temperatures and cure of all cells put out every minute. The error of each is the
greatest difference of temperature over cells and minutes from CVODE at rtol 1e-11 on the same grid; each solver is run at several
tolerances, and its time at 0.1 K is read off between them (both logarithmic). CVODE gets a compiled right-hand side, its banded
solver, and the better of two ways: restarted at the kinks of the program, or not. Times are processor times, the least of several.
"""

from __future__ import annotations

import warnings
from concurrent.futures import ThreadPoolExecutor
from dataclasses import dataclass, replace
from functools import partial
from time import perf_counter, process_time

import numpy as np

from bench import measure
from bench.peers import cure_ode
from curewright.jobs.cores import cores
from curewright.jobs.predict_batch import on_machines, predict_batch
from curewright.physics.solve.many import Case, solve_all
from curewright.physics.solve.solve import StackError, solve
from tests.physics.stacks import RESINS, random_case

TARGET = 0.1  # K
OURS = (1.6, 0.8, 0.4, 0.2, 0.1, 0.05, 0.02, 0.01)  # tolerances of ours [K]
CVODE = (3e-3, 1e-3, 3e-4, 1e-4, 3e-5, 1e-5, 3e-6)
BDF = (1e-3, 1e-4, 1e-5)
WIDTHS = (30, 12, 12, 12, 12, 12)


@dataclass
class Subject:
    """One stack to be timed, with its equations and what CVODE at rtol 1e-11 makes of them."""

    name: str
    stack: object
    faces: tuple
    times: np.ndarray
    problem: cure_ode.Problem
    exact: np.ndarray


def subjects(count: int) -> list[Subject]:
    """As many stacks, the laws in turn; those whose reaction front needs a finer grid than usual are left out, and named."""
    found, left_out, seed = [], [], 5000
    while len(found) < count:
        resin = list(RESINS)[seed % len(RESINS)]
        stack, faces, end = random_case(seed, resin)
        seed += 1
        times = np.append(np.arange(0.0, end, 60.0), end)
        try:
            if solve(stack, faces, times).finer > 1:
                raise StackError("finer")
        except StackError:
            left_out.append(stack.name)
            continue
        problem = cure_ode.problem_of(stack, faces, end)
        found.append(Subject(stack.name, stack, faces, times, problem, cure_ode.cvode(problem, times, 1e-11, 1e-11)[0]))
    if left_out:
        print(f"  left out, with a reaction front on the usual grid: {', '.join(left_out)}")
    return found


def least(action, rounds: int) -> float:
    """Least processor time of several calls."""
    times = []
    for _ in range(rounds):
        start = process_time()
        action()
        times.append(process_time() - start)
    return min(times)


def at_target(points: list[tuple[float, float]]) -> float:
    """Time at TARGET from (error, time) at several tolerances: between them straight in logarithms; beyond them, the nearest one."""
    frontier = sorted(points)
    errors, times = np.log([max(e, 1e-9) for e, _ in frontier]), np.log([t for _, t in frontier])
    times = np.minimum.accumulate(times)  # a worse answer that takes longer does not count
    return float(np.exp(np.interp(np.log(TARGET), errors, times)))


def ours(one: Subject, rounds: int) -> tuple[float, float]:
    """Time at TARGET of one simulation, and of one among others in a batch: both read off between the same tolerances."""
    alone, together = [], []
    for tolerance in OURS:
        once = partial(solve, one.stack, one.faces, one.times, tolerance=tolerance, finer=1)
        try:
            error = float(np.abs(once().T - one.exact).max())
        except StackError:
            continue
        alone.append((error, least(once, rounds)))
        together.append((error, per_case_in_a_batch(one, tolerance, rounds)))
    return at_target(alone), at_target(together)


def with_cvode(one: Subject, rounds: int) -> float:
    points = []
    for rtol in CVODE:
        atol = np.tile([rtol, 0.1 * rtol], one.problem.cells.shape[1])  # K and degree of cure
        for way in (cure_ode.cvode, cure_ode.cvode_through_kinks):
            once = partial(way, one.problem, one.times, rtol, atol)
            points.append((float(np.abs(once()[0] - one.exact).max()), least(once, rounds)))
    return at_target(points)


def with_scipy(one: Subject) -> float:
    points = []
    for rtol in BDF:
        start = process_time()
        found = cure_ode.scipy_bdf(one.problem, one.times, rtol)[0]
        points.append((float(np.abs(found - one.exact).max()), process_time() - start))
    return at_target(points)


def geometric(values) -> float:
    return float(np.exp(np.mean(np.log(list(values)))))


def run(count: int = 56, rounds: int = 3, scipy_every: int = 4) -> dict[str, float]:
    """Prints the table and the curves; returns the ratios."""
    warnings.simplefilter("ignore")
    print(f"\nCure: {count} random stacks, all cells every minute, time at {TARGET} K (processor)")
    chosen = subjects(count)
    mine, batch = zip(*(ours(one, rounds) for one in chosen), strict=True)
    cvode = [with_cvode(one, rounds) for one in chosen]
    bdf = {i: with_scipy(one) for i, one in enumerate(chosen) if i % scipy_every == 0}
    ratios = {
        "one against CVODE": geometric(m / c for m, c in zip(mine, cvode, strict=True)),
        "batch against CVODE": geometric(b / c for b, c in zip(batch, cvode, strict=True)),
        "one against SciPy BDF": geometric(mine[i] / t for i, t in bdf.items()),
    }
    print(measure.row("", "ours", "in a batch", "CVODE", "SciPy BDF", widths=WIDTHS))
    for law in RESINS:
        here = [i for i, one in enumerate(chosen) if one.name.startswith(law)]
        if here:
            cells = [measure.shown(geometric(values[i] for i in here)) for values in (mine, batch, cvode)]
            slow = [bdf[i] for i in here if i in bdf]
            print(
                measure.row(
                    f"{law} ({len(here)})", *cells, measure.shown(geometric(slow)) if slow else "", widths=WIDTHS
                )
            )
    everything = [measure.shown(geometric(values)) for values in (mine, batch, cvode, bdf.values())]
    print(measure.row("geometric mean", *everything, widths=WIDTHS))
    for name, ratio in ratios.items():
        print(f"  {name}: 1/{1 / ratio:.1f}")
    curves()
    return ratios


def per_case_in_a_batch(one: Subject, tolerance: float, rounds: int, size: int = 4) -> float:
    """Processor time of one case among others that differ in convection, one core; all is put out, the peak is kept."""
    cases = varied(one, size, tolerance)
    return least(partial(solve_all, cases, keep=peak), rounds) / size


def peak(solution) -> float:
    """What the studies of this program keep of a simulation: how hot it got."""
    return float(solution.T.max())


def varied(one: Subject, size: int, tolerance: float) -> list[Case]:
    """The same stack many times over, its convection different each time (seeded)."""
    factors = np.random.default_rng(1).uniform(0.8, 1.25, (size, 2))
    return [
        Case(
            one.stack,
            tuple(replace(face, factor=float(f)) for face, f in zip(one.faces, pair, strict=True)),
            one.times,
            tolerance=tolerance,
        )
        for pair in factors
    ]


def curves() -> None:
    """By thickness, cells, batch size, cores and dask workers; on the wall, medians."""
    print("\n  by thickness (toughened N, tolerance 0.1 K)")
    for thickness in (5e-3, 10e-3, 20e-3, 30e-3, 50e-3):
        stack, faces, end = random_case(1, "toughened N", thickness)
        times = np.append(np.arange(0.0, end, 60.0), end)
        found = solve(stack, faces, times, tolerance=0.1)
        seconds = least(partial(solve, stack, faces, times, tolerance=0.1), 20)
        print(
            measure.row(
                f"  {1000 * thickness:.0f} mm, {found.T.shape[1]} cells",
                f"{found.steps} steps",
                measure.shown(seconds),
                widths=WIDTHS,
            )
        )
    print("  by cells (30 mm)")
    stack, faces, end = random_case(1, "toughened N", 30e-3)
    times = np.append(np.arange(0.0, end, 60.0), end)
    for finer in (1, 2, 4, 8):
        found = solve(stack, faces, times, tolerance=0.1, finer=finer)
        seconds = least(partial(solve, stack, faces, times, tolerance=0.1, finer=finer), 10)
        print(measure.row(f"  {found.T.shape[1]} cells", f"{found.steps} steps", measure.shown(seconds), widths=WIDTHS))
    one = Subject("", stack, faces, times, None, None)
    print("  by batch size, on all cores of this machine (wall, a case)")
    for size in (1, 4, 16, 64, 256):
        cases = varied(one, size, 0.1)
        print(measure.row(f"  {size} cases", measure.shown(on_threads(cases, cores()) / size), widths=WIDTHS))
    print("  by threads, 256 cases (wall, a case)")
    cases = varied(one, 256, 0.1)
    for count in range(1, cores() + 1):
        print(measure.row(f"  {count} threads", measure.shown(on_threads(cases, count) / 256), widths=WIDTHS))
    on_dask(cases)


def on_threads(cases: list[Case], count: int) -> float:
    """Seconds on the wall for all cases with so many threads."""
    with ThreadPoolExecutor(count) as pool:
        predict_batch(cases, pool, keep=peak)
        start = perf_counter()
        predict_batch(cases, pool, keep=peak)
        return perf_counter() - start


def on_dask(cases: list[Case]) -> None:
    """The same through dask.distributed, with workers that are threads of this process (what the scheduling costs)."""
    try:
        from distributed import LocalCluster
    except ImportError:
        print("  dask.distributed is not installed: no curve over workers")
        return
    for workers in (1, 2):
        cluster = LocalCluster(n_workers=workers, threads_per_worker=1, processes=False, dashboard_address=None)
        with cluster, on_machines(cluster.scheduler_address) as machines:
            predict_batch(cases[:16], machines, keep=peak)
            start = perf_counter()
            predict_batch(cases, machines, keep=peak, chunk=32)
            seconds = (perf_counter() - start) / len(cases)
        print(measure.row(f"  {workers} dask workers", measure.shown(seconds), widths=WIDTHS))
