"""The state of a part through its thickness, read back: whiskers, squares and lines stand where the scales say."""

import numpy as np
import pytest

from curewright.picture.predictions.profile_sheet import ZoneProfile, profile_sheet
from tests.unit.picture.predictions.made import FAHRENHEIT
from tests.unit.picture.svg import Read

DEPTH = np.linspace(0.002, 0.012, 11)
KELVIN = np.linspace(400.0, 420.0, 11)
CURE = np.linspace(0.2, 0.4, 11)
TITLE = "REPLAYED by the model, not recorded: run 1, part 1, 2:20 after the start"


def profile(**changes) -> ZoneProfile:
    given = {
        "zone": "boss",
        "layer": "laminate",
        "depth": DEPTH,
        "temperature": KELVIN,
        "cure": CURE,
        "planned": (KELVIN - 5.0, CURE - 0.05),
        "whiskers": ((0.007, (405.0, 417.0), (0.25, 0.37)), (0.012, (410.0, 424.0), None)),
        "recorded": (("TC1", 0.012, 415.0), ("TC2", 0.012, 418.0)),
    }
    return ZoneProfile(**{**given, **changes})


def sheet(*profiles: ZoneProfile) -> Read:
    return Read(profile_sheet(TITLE, profiles or (profile(),), FAHRENHEIT))


def x_scale(read: Read, frame: tuple[int, int, int, int]):
    """The value that stands at an x [tenths of a point], by the numbers below the frame."""
    left, top, wide, high = frame
    numbers = sorted(
        (w.x, float(w.text))
        for w in read.words
        if w.anchor == "middle" and 60 < w.y - (top + high) < 160 and left <= w.x <= left + wide
    )
    (x1, v1), (x2, v2) = numbers[0], numbers[-1]
    return lambda x: v1 + (x - x1) * (v2 - v1) / (x2 - x1)


def degF(kelvin):
    return kelvin * 9 / 5 - 459.67


def test_the_lines_are_the_replay_and_the_plan() -> None:
    read = sheet()
    upper, lower = read.boxes("frame")
    hot, cure = x_scale(read, upper), x_scale(read, lower)
    for kind, kelvin, cured in (("replayed", KELVIN, CURE), ("planned", KELVIN - 5.0, CURE - 0.05)):
        first, second = read.lines(kind)
        assert [hot(x) for x in (first[0, 0], first[-1, 0])] == pytest.approx(degF(kelvin[[0, -1]]), abs=0.1)
        assert [cure(x) for x in (second[0, 0], second[-1, 0])] == pytest.approx(cured[[0, -1]], abs=0.001)
    assert first[0, 1] < first[-1, 1]  # the bag's side is above


def test_whiskers_reach_from_low_to_high_at_their_depth() -> None:
    read = sheet()
    upper, lower = read.boxes("frame")
    hot, cure = x_scale(read, upper), x_scale(read, lower)
    whiskers = read.lines("whisker")
    assert len(whiskers) == 3  # two of temperature; of the cure one, for the other is not known
    for line, ends in zip(whiskers[:2], ((405.0, 417.0), (410.0, 424.0)), strict=True):
        assert [hot(x) for x in line[:, 0]] == pytest.approx([degF(v) for v in ends], abs=0.1)
    assert [cure(x) for x in whiskers[2][:, 0]] == pytest.approx([0.25, 0.37], abs=0.001)
    replayed = read.lines("replayed")[0]
    assert whiskers[0][0, 1] == pytest.approx((replayed[0, 1] + replayed[-1, 1]) / 2, abs=2)  # 7 mm: the middle


def test_what_was_recorded_stands_as_squares_with_names_that_do_not_cover_one_another() -> None:
    read = sheet()
    hot = x_scale(read, read.boxes("frame")[0])
    centres = [hot(x + wide / 2) for x, _, wide, _ in read.boxes("recorded")]
    assert centres == pytest.approx([degF(415.0), degF(418.0)], abs=0.2)
    one, two = (next(w for w in read.words if w.text == name) for name in ("TC1", "TC2"))
    assert abs(one.y - two.y) >= 100


def test_all_zones_share_the_scales_of_values() -> None:
    read = sheet(profile(), profile(zone="flange", temperature=KELVIN - 30.0, recorded=(), whiskers=(), planned=None))
    frames = read.boxes("frame")
    first, second = read.lines("replayed")[0], read.lines("replayed")[2]
    away = (first[0, 0] - frames[0][0]) - (second[0, 0] - frames[2][0])
    hot = x_scale(read, frames[0])
    assert hot(away) - hot(0) == pytest.approx(30.0 * 9 / 5, abs=0.2)
    assert {"boss, laminate", "flange, laminate"} <= {w.text for w in read.words}
    assert "never evidence" in read.text


def test_a_cure_that_is_not_known_is_not_drawn() -> None:
    read = sheet(profile(cure=np.full(11, np.nan), planned=None, whiskers=()))
    assert len(read.lines("replayed")) == 1
