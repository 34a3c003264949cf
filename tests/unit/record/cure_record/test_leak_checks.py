"""A leak check on paper: instants within bounds, ends of the window, units. By hand; 1 inHg = 33.86389 mbar (NIST SP 811)."""

from dataclasses import replace
from decimal import Decimal

import numpy as np
import pytest

from curewright.record.cure_record.leak_checks import _bounded, _read_at, _starting, _window
from curewright.record.cure_record.papers import Papers
from curewright.terms.requirement import Group, LeakCheck, Limits, Signal
from curewright.terms.run import Channel
from curewright.terms.units import UNITS, Quantity

MINUTE = 60 * 10**9
INHG, MBAR = UNITS["inHg of vacuum"], UNITS["mbar of vacuum"]


def form(starting: Limits | None = None, rule: str = "first") -> LeakCheck:
    loses = Limits(high=Quantity(Decimal(5), INHG.difference()))
    return LeakCheck(
        "leak check", "bag", INHG, None, None, Signal(Group("bag vacuum"), "single"), "source closed", None, MINUTE, 2 * MINUTE, rule,
        loses, starting,
    )  # fmt: skip


def gauge(bad: tuple[int, ...] = (), reference: str = "gauge") -> Channel:
    """800, 790, 780, 770, 760 mbar of vacuum, one a minute, in lines 7 to 11."""
    v = UNITS["mbar gauge"].to_grains(np.array([-800.0, -790.0, -780.0, -770.0, -760.0]))
    t = np.arange(5, dtype=np.int64) * MINUTE
    marked = np.isin(np.arange(5), bad)
    return Channel(
        "BT1", UNITS["mbar gauge"], "continuous", t, v, marked, v, np.arange(5) + 7, "log.csv", "main", reference
    )


def at(clock: str, ns: int = 0) -> dict[str, object]:
    return {"time": f"2026-03-04T{clock}+01:00", "ns": ns}


@pytest.mark.parametrize("possible, sure", [("07:19:50", "07:20:10"), ("07:20:10", "07:19:50")])
def test_an_instant_by_hand_has_its_doubt(possible: str, sure: str) -> None:
    seconds = {"07:19:50": 0, "07:20:10": 20 * 10**9}
    document = {"run": {"start": at("07:00:00")}}
    assert _bounded(at(possible, seconds[possible]), at(sure, seconds[sure]), document) == "07:20:00 ± 10 s"


def test_an_instant_that_is_known_has_none() -> None:
    document = {"run": {"start": at("07:00:00")}}
    assert _bounded(at("07:20:00", 5), at("07:20:00", 5), document) == "07:20:00"
    assert _bounded(None, at("07:20:00", 5), document) == "07:20:00"


def test_the_limit_at_the_start_also_in_the_unit_of_the_loss() -> None:
    limits = Limits(low=Quantity(Decimal(850), MBAR))
    assert _starting(form(limits), MBAR) == "at the start at least 850 mbar of vacuum"
    told, _, also = _starting(form(limits), INHG).partition(" (")
    assert (told, also.split()[1:]) == ("at the start at least 850 mbar of vacuum", ["inHg", "of", "vacuum)"])
    assert float(also.split()[0]) == pytest.approx(850 / 33.86389, rel=1e-6)
    assert _starting(form(), MBAR) == _starting(None, MBAR) == ""


def test_a_reading_on_a_sample_between_two_and_where_there_is_none(papers: Papers) -> None:
    def words(at: int, **more: object) -> str:
        return _read_at(gauge(**more), at, MBAR, papers).split(" ", 1)[-1]  # type: ignore[arg-type]

    assert words(2 * MINUTE) == "(780 mbar of vacuum, line 9)"
    assert words(MINUTE // 2) == "(795 mbar of vacuum, between lines 7 and 8)"
    assert words(2 * MINUTE, bad=(2,)) == "(780 mbar of vacuum, between lines 8 and 10)"
    for where, more in ((-MINUTE, {}), (5 * MINUTE, {}), (MINUTE, {"reference": "absolute"})):
        assert "mbar" not in words(where, **more)


@pytest.mark.parametrize("rule, begins", [("first", ("790", "line 8")), ("whole", ("790", "line 8"))])
def test_the_window_that_decided(papers: Papers, rule: str, begins: tuple[str, str]) -> None:
    papers = replace(papers, run=replace(papers.run, channels={"BT1": gauge()}))
    bounds = {"from": papers.instant(0), "to": papers.instant(4 * MINUTE)}
    verdict = {
        "margin": {"at": papers.instant(3 * MINUTE), "channel": "BT1", "unit": "mbar difference"},
        "phase": {"sure": bounds, "possible": bounds},
        "used": ["BT1"],
    }
    (words,) = _window(verdict, form(rule=rule), MBAR, papers)
    # first: 3 less 2 min; whole: closed at 0, settled for 1 min
    assert f"({begins[0]} mbar of vacuum, {begins[1]}) to " in words
    assert "(770 mbar of vacuum, line 10)" in words
    assert _window({**verdict, "margin": None}, form(), MBAR, papers) == []
