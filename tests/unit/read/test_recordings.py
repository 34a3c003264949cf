# ruff: noqa: E501  (messages stand as they are printed)
"""Several recorders of one run, and several files of one recorder: what is joined, moved, noted and refused."""

from dataclasses import replace
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.read.folder import RunInputs, read_folder
from curewright.read.joined import joined
from curewright.terms.errors import CurewrightError
from curewright.terms.run import Channel, RecorderClock
from curewright.terms.units import UNITS
from tests.unit.read.test_folder import FILES

SECOND = 10**9
MAIN = FILES["layout.yaml"].replace("layout: L\n", "layout: L\nrecorder: main\n")
BACKUP = (
    FILES["layout.yaml"].replace("layout: L\n", "layout: M\nrecorder: backup\n").replace("columns: B,", "columns: B2,")
)


def stamp(second: float) -> str:
    whole = round(second)
    return f"2031-03-04T{20 + whole // 3600:02d}:{whole // 60 % 60:02d}:{whole % 60:02d}Z"


def log(first: int, count: int, every: int, *, ahead: int = 0, seed: int = 0, skip: range = range(0)) -> str:
    """Rows of A [degF] and B [inHg of vacuum]: a hump that tells its time, with noise of 0.1; the clock is so many seconds ahead."""
    rng = np.random.default_rng(seed)
    rows = ["Time,A,B"]
    for i in range(count):
        at, noise = first + i * every, rng.normal(0, 0.1)
        if at not in skip:
            rows.append(f"{stamp(at + ahead)},{200 + 100 * np.sin(at / 900) + noise:.1f},25.0")
    return "\n".join(rows) + "\n"


def run(
    tmp_path: Path, logs: dict[str, tuple[str, str]], *, also: str = "", clocks: str = "", backup: str = BACKUP
) -> RunInputs:
    """A folder with these logs, each under the layout of its recorder."""
    path = tmp_path / "run"
    path.mkdir(parents=True)
    recordings = ", ".join(f"{{file: {name}, layout: {layout}.yaml}}" for name, (layout, _) in logs.items())
    sheet = FILES["run.yaml"].replace("[{file: log.csv, layout: layout.yaml}]", f"[{recordings}]") + clocks
    vessel = FILES["vessel.yaml"].replace("measures: temperature}", f"measures: temperature{also}}}")
    files = FILES | {"run.yaml": sheet, "vessel.yaml": vessel, "main.yaml": MAIN, "backup.yaml": backup}
    files |= {name: text for name, (_, text) in logs.items()}
    for name, text in files.items():
        (path / name).write_text(text, encoding="utf-8")
    return read_folder(path)


def refused(tmp_path: Path, logs: dict[str, tuple[str, str]], **how: str) -> str:
    with pytest.raises(CurewrightError) as error:
        run(tmp_path, logs, **how)
    return str(error.value)


# ------------------------------------------------------------------------------------------------- files of one recorder
def test_a_restarted_recorder_is_one_channel_with_the_gap_it_left(tmp_path: Path) -> None:
    found = run(tmp_path, {"b.csv": ("main", log(6000, 20, 30)), "a.csv": ("main", log(0, 100, 30))}).run
    channel = found.channels["A"]
    assert channel.t.tolist() == [i * 30 * SECOND for i in range(100)] + [(6000 + i * 30) * SECOND for i in range(20)]
    assert channel.row.tolist() == [*range(2, 102), *range(2, 22)]
    assert (channel.file, channel.joined) == ("a.csv", ((6000 * SECOND, "b.csv"),))
    assert [channel.file_at(t) for t in (0, 2970 * SECOND, 6000 * SECOND, 6570 * SECOND)] == [
        "a.csv",
        "a.csv",
        "b.csv",
        "b.csv",
    ]
    (recording,) = found.recordings
    assert recording.files == ("a.csv", "b.csv")
    assert recording.gaps == ((2970 * SECOND, 6000 * SECOND),)
    assert recording.notes == ("2 files joined in the order of time: a.csv, b.csv",)
    assert {file.file for file in found.reading} == {"a.csv", "b.csv"}


def test_rows_that_stand_in_two_files_count_once(tmp_path: Path) -> None:
    whole = log(0, 100, 30)
    lines = whole.splitlines()
    again = "\n".join([lines[0], *lines[60:]]) + "\n"
    found = run(tmp_path, {"a.csv": ("main", "\n".join(lines[:71]) + "\n"), "b.csv": ("main", again)}).run
    assert found.channels["A"].t.tolist() == [i * 30 * SECOND for i in range(100)]
    assert found.recordings[0].notes[1] == "11 row(s) stood in two of them with the same values, and count once"
    assert found.channels["A"].file_at(69 * 30 * SECOND) == "a.csv"


def test_files_that_disagree_or_interleave_are_refused(tmp_path: Path) -> None:
    first, lines = log(0, 100, 30), log(0, 130, 30).splitlines()
    lines[91] = lines[91].replace(",25.0", ",24.0")
    other = "\n".join([lines[0], *lines[81:]]) + "\n"
    assert refused(tmp_path / "1", {"a.csv": ("main", first), "b.csv": ("main", other)}) == (
        "b.csv:12: two files of the recorder main overlap with different values of 'B' for one instant: line 92 of a.csv, line 12 of b.csv. "
        "To do: if they are two recorders, name them so in their layouts; if one is a repaired copy, leave the other out"
    )
    between = log(2700, 20, 30).replace(":00Z", ":10Z")
    assert "overlap with rows of 'A' that interleave" in refused(
        tmp_path / "2", {"a.csv": ("main", first), "b.csv": ("main", between)}
    )


def test_a_channel_that_changed_between_two_files_asks(tmp_path: Path) -> None:
    path = {"a.csv": ("main", log(0, 50, 30)), "b.csv": ("backup", log(3000, 50, 30))}
    backup = MAIN.replace("unit: degF", "unit: degC")
    said = refused(tmp_path, path, backup=backup)
    assert said == (
        "b.csv: the unit of the channel 'A' is 'degF' in a.csv and 'degC' in b.csv. To do: find out whether it is the same channel; "
        "if not, give it another name in the layout of the later file"
    )


def state(labels: tuple[str, ...], words: list[str], t: list[int], file: str) -> Channel:
    v = np.array([labels.index(word) for word in words], dtype=np.float64)
    n = np.array(t, dtype=np.int64)
    return Channel("S", UNITS["count"], "state", n, v, np.zeros(len(t), bool), v, n + 2, file=file, states=labels)


def test_states_of_a_later_file_are_numbered_anew() -> None:
    one = state(("vacuum", "heat"), ["vacuum", "heat"], [0, 1], "a")
    other = state(("cool", "heat"), ["heat", "cool"], [2, 3], "b")
    made, twice = joined([other, one])
    assert twice == 0
    assert [made.states[int(i)] for i in made.v] == ["vacuum", "heat", "heat", "cool"]
    assert joined([one])[0] is one
    again, twice = joined([one, state(("vacuum", "heat"), ["heat"], [1], "b")])
    assert (again.t.tolist(), twice, again.joined) == ([0, 1], 1, ())


@given(data=st.data())
def test_however_a_record_was_cut_into_files_it_is_the_same_again(data: st.DataObject) -> None:
    """Pieces may overlap, come in any order, and hold bad samples and gaps."""
    n = data.draw(st.integers(2, 25))
    t = np.cumsum(np.array(data.draw(st.lists(st.integers(1, 400), min_size=n, max_size=n))))
    v = np.array(data.draw(st.lists(st.integers(-3, 3), min_size=n, max_size=n)), dtype=np.float64)
    bad = np.array(data.draw(st.lists(st.booleans(), min_size=n, max_size=n)))
    whole = Channel("T", UNITS["degC"], "continuous", t, np.where(bad, np.nan, v), bad, v, np.arange(n) + 2, file="0")
    cuts = [0, *sorted(data.draw(st.sets(st.integers(1, n - 1), max_size=4))), n]
    pieces = []
    for i, (start, end) in enumerate(pairwise(cuts)):
        begin = max(start - data.draw(st.integers(0, 5)), 0) if i else start
        arrays = {name: getattr(whole, name)[begin:end] for name in ("t", "v", "bad", "raw", "row")}
        pieces.append(replace(whole, file=str(i), **arrays))
    made, twice = joined(data.draw(st.permutations(pieces)))
    assert twice == sum(len(piece.t) for piece in pieces) - n
    for name in ("t", "v", "bad", "raw", "row"):
        np.testing.assert_array_equal(getattr(made, name), getattr(whole, name))


# ------------------------------------------------------------------------------------------------------ a second recorder
def two(ahead: int = 75, gap: range = range(0)) -> dict[str, tuple[str, str]]:
    return {
        "main.csv": ("main", log(0, 400, 30, skip=gap)),
        "backup.csv": ("backup", log(-3000, 150, 60, ahead=ahead, seed=1)),
    }


ALSO = ", also on: {backup: A}"


def no_vacuum(logs: dict[str, tuple[str, str]]) -> dict[str, tuple[str, str]]:
    """The backup without a column B of its own name."""
    layout, text = logs["backup.csv"]
    return logs | {"backup.csv": (layout, text.replace("Time,A,B", "Time,A,B2"))}


def test_the_offset_is_found_from_the_junction_on_both(tmp_path: Path) -> None:
    found = run(tmp_path, no_vacuum(two()), also=ALSO).run
    assert list(found.channels) == ["A", "B", "A (backup)", "B2"]
    second = found.channels["A (backup)"]
    assert (second.second_of, second.recorder, second.name) == ("A", "backup", "A (backup)")
    main, backup = found.recordings
    assert (main.recorder, main.clock, backup.recorder) == ("main", None, "backup")
    clock = backup.clock
    assert clock is not None
    assert clock.standard is not None
    assert abs(clock.ahead - 75 * SECOND) <= 2 * clock.standard
    assert 3 * clock.standard <= clock.plus_minus < 10 * SECOND
    assert clock.how.startswith("A recorded by both, at ")
    assert found.start.isoformat() == "2031-03-04T21:00:00+01:00", "the first recorder's first sample"
    assert second.t[0] == -3000 * SECOND + 75 * SECOND - clock.ahead
    assert any("against the first one and on average: A" in note for note in found.notes)


def test_a_clock_given_by_hand_is_taken_and_held_against_the_data(tmp_path: Path) -> None:
    stated = "clocks: {backup: {ahead by: 75 s, plus or minus: 5 s, by: C. Inspector, how: both displays on one photograph}}\n"
    found = (
        run(tmp_path / "a", no_vacuum(two()), also=ALSO, clocks=stated).run
        if (tmp_path / "a").mkdir() is None
        else None
    )
    assert found is not None
    clock = RecorderClock(75 * SECOND, 0, 5 * SECOND, "both displays on one photograph", person="C. Inspector")
    assert found.recordings[1].clock == clock
    assert found.channels["A (backup)"].t[0] == -3000 * SECOND
    assert "the data agree" in found.recordings[1].notes[0]
    wrong = stated.replace("ahead by: 75 s", "behind by: 75 s")
    noted = run(tmp_path / "b", no_vacuum(two()), also=ALSO, clocks=wrong).run.recordings[1]
    assert noted.clock is not None
    assert noted.clock.ahead == -75 * SECOND
    assert "the data DO NOT AGREE" in noted.notes[0]
    far = stated.replace(
        "ahead by: 75 s", "behind by: 5 h 58 min 40 s"
    )  # beyond the search, which then goes around what was stated
    away = run(tmp_path / "c", no_vacuum(two(ahead=75 - 6 * 3600)), also=ALSO, clocks=far).run.recordings[1]
    assert "the data agree: 2152" in away.notes[0]


def test_a_clock_for_no_recorder_or_both_ways_is_refused(tmp_path: Path) -> None:
    line = "clocks: {%s: {ahead by: 75 s, plus or minus: 5 s, by: C. Inspector, how: seen}}\n"
    said = refused(tmp_path / "a", no_vacuum(two()), also=ALSO, clocks=line % "main")
    assert "a clock is given for the recorder 'main'; expected backup" in said
    both = (line % "backup").replace("ahead by: 75 s", "ahead by: 75 s, behind by: 3 s")
    assert "expected one of 'ahead by' and 'behind by'" in refused(
        tmp_path / "b", no_vacuum(two()), also=ALSO, clocks=both
    )
    neither = (line % "backup").replace("ahead by: 75 s, ", "")
    assert "expected one of 'ahead by' and 'behind by'" in refused(
        tmp_path / "c", no_vacuum(two()), also=ALSO, clocks=neither
    )


def test_a_flat_signal_tells_no_clock_and_the_second_recorder_fills_nothing(tmp_path: Path) -> None:
    flat = {name: (layout, text) for name, (layout, text) in no_vacuum(two()).items()}
    for name, (layout, text) in flat.items():
        rows = text.splitlines()
        flat[name] = (
            layout,
            "\n".join([rows[0], *(f"{row.split(',')[0]},350.{i * 7 % 3},25.0" for i, row in enumerate(rows[1:]))])
            + "\n",
        )
    found = run(tmp_path, flat, also=ALSO).run
    assert found.recordings[1].clock is None
    (note,) = (note for note in found.notes if "backup" in note and "fills no gap" in note)
    assert note.endswith("To do: state it under 'clocks' in the run sheet")


def test_neighbours_are_no_clock(tmp_path: Path) -> None:
    """The second recorder has a thermocouple of its own beside the first one's: nothing says it is the same junction."""
    logs = no_vacuum(two())
    layout, text = logs["backup.csv"]
    own = logs | {"backup.csv": (layout, text.replace("Time,A,", "Time,A2,"))}
    found = run(tmp_path, own, backup=BACKUP.replace("columns: A,", "columns: A2,")).run
    assert found.recordings[1].clock is None
    (note,) = (note for note in found.notes if "neighbours" in note)
    assert "are no clock (on a heavier tool they lag by minutes)" in note


def test_alone_the_second_recorder_is_the_first(tmp_path: Path) -> None:
    found = run(tmp_path, {"backup.csv": no_vacuum(two())["backup.csv"]}, also=ALSO).run
    assert list(found.channels) == ["A", "B2"]
    assert found.channels["A"].second_of == ""


@pytest.mark.parametrize("rows, end", [(252, 399 * 30), (256, 12300)])
def test_a_second_recorder_that_stops_a_little_later_does_not_move_the_end(tmp_path: Path, rows: int, end: int) -> None:
    """It began 3,000 s before the first one, with a row a minute; five minutes count as a little."""
    closing = "closing: {by: A. Planner, at: 2031-03-05T06:00:00+01:00, covers the whole run: yes}\n"
    stated = "clocks: {backup: {ahead by: 0 s, plus or minus: 5 s, by: C. Inspector, how: one clock for both}}\n"
    logs = no_vacuum({"main.csv": ("main", log(0, 400, 30)), "backup.csv": ("backup", log(-3000, rows, 60, seed=1))})
    closed = run(tmp_path, logs, also=ALSO, clocks=closing + stated).run.closing
    assert closed is not None
    assert closed.end == end * SECOND
