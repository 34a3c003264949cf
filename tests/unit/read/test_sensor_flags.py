"""Sensor faults put into made-up channels, each found by its kind and instants; and what is no fault is left alone."""

import numpy as np
import pytest
from numpy.typing import NDArray

from curewright.read.sensor_flags import flag_notes, flagged
from curewright.terms.run import FLAGS, Channel, Flag
from curewright.terms.units import UNITS

Floats = NDArray[np.float64]
SECOND = 10**9
N = 480  # four hours at 30 s
T = np.arange(N) * 30 * SECOND
SOAK = np.interp(np.arange(N), [0, 120, 300, 420], [20, 180, 180, 60])  # 2.67 K/min up, 2 K/min down


def channels(*faults: tuple[int, Floats | None, NDArray[np.bool_] | None], n: int = 6) -> dict[str, Channel]:
    """Six thermocouples of one recorder with noise of 0.1 K at a resolution of 0.1 K; ``faults``: number, values, bad."""
    rng = np.random.default_rng(7)
    degrees = {i: np.round(SOAK - 0.5 * i + rng.normal(0, 0.1, N), 1) for i in range(n)}
    bad = {i: np.zeros(N, bool) for i in range(n)}
    for i, values, marks in faults:
        degrees[i] = degrees[i] if values is None else values
        bad[i] = bad[i] if marks is None else marks
    return {f"TC{i}": made(f"TC{i}", degrees[i], bad[i]) for i in range(n)}


def made(name: str, degrees: Floats, bad: NDArray[np.bool_], t: NDArray[np.int64] = T, unit: str = "degC") -> Channel:
    raw = UNITS[unit].to_grains(degrees)
    return Channel(name, UNITS[unit], "continuous", t, np.where(bad, np.nan, raw), bad, raw, t, recorder="main")


def value_of(i: int) -> Floats:
    return UNITS["degC"].from_grains(channels()[f"TC{i}"].raw)


def marks(*stretches: tuple[int, int]) -> NDArray[np.bool_]:
    bad = np.zeros(N, bool)
    for first, last in stretches:
        bad[first : last + 1] = True
    return bad


def found(given: dict[str, Channel], **more: object) -> dict[str, list[tuple[str, int, int | None]]]:
    """Kind and samples (by number) of every flag."""
    got = flagged(given, **more)  # type: ignore[arg-type]
    assert list(got) == list(given)
    for name, channel in got.items():
        assert channel.v is given[name].v, "what is flagged is never changed or taken out"
        assert channel.bad is given[name].bad
        assert all(flag.kind in FLAGS and flag.text for flag in channel.flags)
    at = 30 * SECOND
    return {
        name: [(f.kind, f.start // at, None if f.end is None else f.end // at) for f in channel.flags]
        for name, channel in got.items()
        if channel.flags
    }


def test_nothing_is_flagged_where_nothing_is_wrong() -> None:
    assert found(channels()) == {}
    assert flagged({}) == {}


def test_lost_and_dropouts() -> None:
    given = channels((1, None, marks((200, N - 1))), (2, None, marks((50, 52))), (3, None, marks((0, N - 1))))
    given["TC4"] = made("TC4", value_of(4)[:300], np.zeros(300, bool), T[:300])  # blank from there on: not sampled
    given["TC5"] = made(
        "TC5", np.delete(value_of(5), np.s_[100:110]), np.zeros(N - 10, bool), np.delete(T, np.s_[100:110])
    )
    assert found(given) == {
        "TC1": [("lost", 199, None)],
        "TC2": [("dropout", 49, 53)],
        "TC3": [("lost", 0, None)],
        "TC4": [("lost", 299, None)],
        "TC5": [("dropout", 99, 110)],
    }


def test_one_or_two_missing_at_the_end_are_a_dropout_and_many_holes_close_together_are_one() -> None:
    holes = marks(*((i, i) for i in range(60, 100, 4)))
    given = channels((1, None, marks((N - 2, N - 1))), (2, None, holes))
    assert found(given) == {"TC1": [("dropout", N - 3, N - 1)], "TC2": [("dropout", 59, 97)]}
    (flag,) = flagged(given)["TC2"].flags
    assert flag.text.startswith("10 holes, 10 sample(s)")


def test_a_channel_sampled_less_often_has_no_dropouts_and_a_silent_recorder_is_no_sensor_fault() -> None:
    given = channels()
    given["slow"] = made("slow", value_of(0)[::4], np.zeros(N // 4, bool), T[::4])
    silent = np.delete(T, np.s_[200:260])
    given = {
        k: made(k, np.delete(value_of(i), np.s_[200:260]), np.zeros(N - 60, bool), silent)
        for i, k in enumerate(channels())
    }
    assert found(given) == {}


def test_a_run_up_before_an_open_circuit_is_flagged_and_stays() -> None:
    values = value_of(1).copy()
    values[247:250] = [190.0, 215.0, 260.0]
    assert found(channels((1, values, marks((250, N - 1))))) == {"TC1": [("run-up", 246, 249), ("lost", 249, None)]}
    down = value_of(1).copy()
    down[247:250] = [170.0, 130.0, 40.0]
    assert found(channels((1, down, marks((250, 260)))))["TC1"][0] == ("run-up", 246, 249)


def test_a_rise_that_all_share_is_no_run_up() -> None:
    flames = {
        f"TC{i}": value_of(i) + np.where(np.arange(N) >= 246, 150.0, 0.0) * np.minimum(1, (np.arange(N) - 245) / 4)
        for i in range(6)
    }
    given = {name: made(name, v, marks((250, N - 1)) if name == "TC1" else marks()) for name, v in flames.items()}
    assert found(given) == {"TC1": [("lost", 249, None)]}


def test_clipped_at_a_stated_end_and_in_mid_rise() -> None:
    values = np.minimum(value_of(1) * 1.2, 200.0)
    by_range = found(
        channels((1, values, None)), ranges={"TC1": tuple(UNITS["degC"].to_grains(np.array([-40.0, 200.0])))}
    )
    first, last = (int(i) for i in np.flatnonzero(values == 200.0)[[0, -1]])
    assert by_range == {"TC1": [("clipped", first, last)]}
    peak = value_of(2).copy()
    peak[200:212] = [183, 190, 199, 209, 210, 210, 210, 210, 210, 204, 195, 186]
    assert found(channels((2, peak, None))) == {"TC2": [("clipped", 204, 208)]}


def test_frozen_with_a_jump_and_to_the_end_and_a_recorder_that_repeats_itself() -> None:
    stuck, to_the_end = value_of(1).copy(), value_of(2).copy()
    stuck[60:100] = stuck[60]
    to_the_end[330:] = to_the_end[330]
    assert found(channels((1, stuck, None), (2, to_the_end, None))) == {
        "TC1": [("frozen", 60, 99)],
        "TC2": [("frozen", 330, None)],
    }
    again = []
    for i in range(6):
        values = value_of(i).copy()
        values[150:158] = values[150]
        again.append((i, values, None))
    assert found(channels(*again)) == {f"TC{i}": [("frozen", 150, 157)] for i in range(6)}


def test_a_slow_sensor_in_whole_degrees_and_a_steady_pressure_are_not_frozen() -> None:
    slow = np.round(np.interp(np.arange(N), [0, N], [20, 40]))
    given = channels((1, slow, None))
    given["P"] = made("P", np.full(N, 6.4), np.zeros(N, bool), unit="bar gauge")
    assert found(given) == {}


def test_two_channels_that_agree_to_the_last_digit() -> None:
    copy = value_of(3).copy()
    copy[100:400] = value_of(2)[100:400]
    assert found(channels((3, copy, None))) == {"TC2": [("duplicate", 100, 399)], "TC3": [("duplicate", 100, 399)]}
    still = {name: made(name, np.full(N, 22.0), np.zeros(N, bool)) for name in ("TC1", "TC2")}
    assert found(still) == {}, "two cold thermocouples that read the same are no copy of each other"


def test_flags_of_another_source_are_kept_and_the_notes_count_them() -> None:
    given = channels((1, None, marks((50, 52), (200, 202))))
    own = Flag("dropout", 0, 1, "noted by the recorder")
    given["TC1"] = Channel(**{**given["TC1"].__dict__, "flags": (own,)})
    got = flagged(given)
    assert got["TC1"].flags[0] is own
    assert flag_notes(got) == ("TC1 is flagged: dropout (3)",)


@pytest.mark.parametrize("shape", [0, 1, 3])
def test_short_channels_do_no_harm(shape: int) -> None:
    values = np.zeros(shape)
    assert found({"TC1": made("TC1", values, np.zeros(shape, bool), T[:shape])}) == {}
