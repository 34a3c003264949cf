"""Learning position factors: what made the traces is known here, so it has to be found again within what the fit says of itself."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from curewright.physics.fitting.least_squares import CannotTellError
from curewright.predict.learn import apart, learn, learn_zone, learnt_notes, with_learnt
from curewright.predict.planned import surroundings
from curewright.predict.predicted import predict
from curewright.predict.run import run_of
from curewright.read.learnt import learnt_text, read_learnt
from curewright.record.prediction_print import not_kept_lines, sensors_before_and_after
from curewright.terms.build_up import BuildUp, PartBuildUp, ZoneFace
from curewright.terms.cycle import Segment
from tests.unit.predict.test_predicted import HEAT, SITE, asked, cycle, load, part, zone

UP = cycle(Segment("up", target=400.0, rate=1 / 60, pressure=5e5, pressure_rate=1000.0), Segment("soak", hold=3600.0))
SEEN, _ = surroundings(UP, HEAT, ["B1"], SITE, {})


def made_with(factor: float, *, noise: float = 0.0, offset: float = 0.0, seed: int = 1):
    """A run whose plate had another factor than the build-up says, with noise on what was recorded [K]."""
    true = part("1", replace(zone(), tool_side=ZoneFace(factor)))
    found = predict(asked(true), SEEN)
    rng = np.random.default_rng(seed)
    places = (
        {name: v + offset + rng.normal(0.0, noise, v.size) for name, v in found.places.items()}
        if noise or offset
        else found.places
    )
    return run_of(replace(found, places=places), load(), "R-1", datetime(2031, 3, 4, tzinfo=UTC))


def taught(run, question=None):
    question = question or asked()
    plate = question.build_up.parts[0]
    return learn_zone(question, SEEN, run, plate, plate.zones[0])


@pytest.mark.parametrize("factor", [0.3, 0.9, 2.0])
def test_a_factor_is_found_again(factor: float) -> None:
    found = taught(made_with(factor))
    assert found.factor == pytest.approx(factor, rel=2e-3)
    assert found.rms_after < 0.02 < found.rms_before
    assert (found.part_number, found.tool, found.zone, found.run, found.date) == ("n", "t", "z", "R-1", "2031-03-04")


def test_an_offset_is_told_from_a_factor() -> None:
    found = taught(made_with(0.8, offset=1.5))
    assert found.factor == pytest.approx(0.8, rel=5e-3)
    assert [one.offset for one in found.offsets] == pytest.approx([1.5, 1.5], abs=0.05)


def test_the_standard_error_is_as_wide_as_the_scatter() -> None:
    factors = [taught(made_with(0.8, noise=0.5, seed=seed)) for seed in range(12)]
    off = np.array([(one.factor - 0.8) / one.standard_error for one in factors])
    assert np.abs(off).max() < 4.0
    assert 0.4 < np.sqrt(np.mean(off**2)) < 1.8  # about 1 where the errors are honest


def test_where_the_run_cannot_tell_it_says_why() -> None:
    cold = cycle(Segment("hold", hold=7200.0))
    seen, _ = surroundings(cold, HEAT, ["B1"], SITE, {})
    run = run_of(predict(asked(), seen), load(), "R-1", datetime(2031, 3, 4, tzinfo=UTC))
    question = asked()
    plate = question.build_up.parts[0]
    with pytest.raises(CannotTellError, match="no sensor of zone z has 30 values over 20 K of heating"):
        learn_zone(question, seen, run, plate, plate.zones[0])


def test_a_factor_on_its_bound_is_no_answer() -> None:
    with pytest.raises(CannotTellError, match=r"position factor of zone z ends on its bound"):
        taught(made_with(9.0))


def test_all_zones_of_a_run_and_those_that_teach_nothing() -> None:
    two: PartBuildUp = part("1", zone(), zone("without sensors"))
    zones, refused = learn(asked(two), SEEN, made_with(0.7))
    assert [one.zone for one in zones] == ["z"]
    assert [name for name, _ in refused] == ["part 1, zone without sensors"]


def test_what_was_learnt_is_used_for_the_same_part_number_on_the_same_tool() -> None:
    one = taught(made_with(0.8, offset=1.0))
    question = asked()
    used = with_learnt(question.build_up, load(), (one,)).parts[0]
    side = used.zones[0].tool_side
    assert (side.position_factor, side.factor_from) == (one.factor, "fit to run R-1, 2031-03-04")
    assert side.position_error == pytest.approx(one.standard_error / one.factor)
    assert [place.offset for place in used.places] == [each.offset for each in one.offsets]
    other = with_learnt(question.build_up, load(), (replace(one, tool="another"),))
    assert other == question.build_up
    last = with_learnt(question.build_up, load(), (one, replace(one, factor=3.0)))
    assert last.parts[0].zones[0].tool_side.position_factor == 3.0


def test_the_file_reads_back_what_was_written() -> None:
    one = replace(taught(made_with(0.8, offset=1.0)), part_number='odd "number" \\ 7')
    vessel, (back,) = read_learnt(learnt_text("v: 1", (one,)).encode(), "learnt.yaml")
    assert vessel == "v: 1"
    assert (back.part_number, back.tool, back.zone, back.run, back.date, back.samples) == (
        one.part_number, one.tool, one.zone, one.run, one.date, one.samples,
    )  # fmt: skip
    assert back.factor == pytest.approx(one.factor, abs=5e-5)
    assert [each.offset for each in back.offsets] == pytest.approx([each.offset for each in one.offsets], abs=5e-4)


def test_an_offset_is_kept_by_the_rule_that_a_factor_is_refused_by() -> None:
    """Noise of 2 K and no offset: what comes out is scatter. With 1.5 K and no noise it is an answer."""
    noisy = taught(made_with(0.8, noise=2.0, seed=3))
    assert len(noisy.offsets) + len(noisy.not_kept) == 2
    for each in noisy.offsets:
        assert abs(each.offset) >= 3 * each.standard_error
    assert noisy.not_kept
    for each in noisy.not_kept:
        assert abs(each.offset) < 3 * each.standard_error
    assert len(list(not_kept_lines((noisy,)))) == len(noisy.not_kept)
    assert taught(made_with(0.8, offset=1.5)).not_kept == ()


def test_every_thermocouple_is_told_before_and_after() -> None:
    found = taught(made_with(0.8, offset=1.5))
    assert [sensor for sensor, _, _ in found.by_sensor] == ["TC1", "TC2"]
    assert all(after < 0.05 < before for _, before, after in found.by_sensor)
    worse = replace(found, by_sensor=(("TC1", 1.0, 0.4), ("TC2", 1.0, 1.2)))
    assert list(sensors_before_and_after((worse,)).columns[2].cells) == ["0.40", "1.20 ! worse"]


@pytest.mark.parametrize(
    "factor, error, stated, doubt, told",
    [
        (0.60, 0.17, 1.15, 0.15, True),  # 0.55 apart; twice the root of 0.17² + 0.1725² is 0.484
        (0.70, 0.17, 1.15, 0.15, False),  # 0.45 apart
        (0.60, 0.05, 1.15, 0.30, False),  # twice the root of 0.05² + 0.345² is 0.697
        (0.60, 0.05, 0.80, None, True),
        (0.72, 0.05, 0.80, None, False),
    ],
)
def test_a_factor_far_from_the_build_up_is_remarked(
    factor: float, error: float, stated: float, doubt: float | None, told: bool
) -> None:
    one = replace(taught(made_with(0.8)), factor=factor, standard_error=error)
    plate = part("1", replace(zone(), tool_side=ZoneFace(stated, position_error=doubt)))
    assert bool(list(apart(BuildUp("r", "P", (plate,)), load(), (one,)))) is told


def test_what_is_used_of_a_learnt_file_is_told_place_by_place() -> None:
    one = replace(taught(made_with(0.8, offset=1.0)), factor=0.8, standard_error=0.1)
    stated = asked().build_up
    told = list(learnt_notes(stated, load(), (one,), "learnt.yaml"))
    assert told[0].startswith(
        "learnt.yaml: part 1, zone z, tool side: position factor 0.80 ± 0.10 (standard error), fit to run R-1, 2031-03-04, in place of "
        "0.5 of the build-up; offsets: "
    )
    (none,) = learnt_notes(stated, load(), (replace(one, tool="another"),), "learnt.yaml")
    assert none.startswith("learnt.yaml: nothing of it is used")
