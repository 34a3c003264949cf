"""A whole load as its samples have it: what has one cause varies as one, everything fills its own Latin hypercube."""

from dataclasses import replace

import numpy as np
import pytest
from scipy import stats

from curewright.predict.sampled_load import Doubtful, doubtful, not_varied, sampled_loads
from curewright.terms.build_up import BuildUp, Doubts, ZoneFace, ZoneLayer
from curewright.terms.cycle import Convection
from tests.unit.predict.test_predicted import asked, part, zone

N = 40


def load(doubts: Doubts, convection: float | None = None, side: float | None = None):
    plate = replace(zone(), layers=(ZoneLayer("plate", 0.01, "prepreg"),), tool_side=ZoneFace(0.5, None, side))
    first, second = part("1", plate), part("2", plate)
    second = replace(second, places=tuple(replace(one, sensor=f"{one.sensor}b", share=0.5) for one in second.places))
    question = asked(first, second, convection=Convection("straight", (50.0, 0.0), source="s", error=convection))
    return replace(question, build_up=BuildUp("r", "P", question.build_up.parts, doubts=doubts))


def faces(one, side: str) -> list[float]:
    return [getattr(each.zones[0], side).position_factor for each in one.build_up.parts]


def filled(values: list[float], error: float) -> bool:
    """Whether there is one value in each of N equal chances of a normal deviate."""
    return sorted(np.floor(stats.norm.cdf(np.array(values) / error) * N).tolist()) == list(range(N))


def test_each_thing_that_varies_by_itself_is_named_with_its_uncertainty() -> None:
    found = doubtful(load(Doubts(thickness=0.02, rate_of_cure=0.1, depth=3e-4), convection=0.3, side=0.15))
    assert found == {
        Doubtful("convection"): 0.3,
        Doubtful("rate of cure"): 0.1,
        Doubtful("thickness", "1"): 0.02,
        Doubtful("thickness", "2"): 0.02,
        Doubtful("tool side position", "1", "z"): 0.15,
        Doubtful("tool side position", "2", "z"): 0.15,
        **{Doubtful("thermocouple depth", "1", name): 3e-4 for name in ("TC1", "TC2")},
        **{Doubtful("thermocouple depth", "2", name): 3e-4 for name in ("TC1b", "TC2b")},
    }


def test_the_convection_of_the_vessel_is_the_same_for_all_parts_and_fills_its_hypercube() -> None:
    samples = sampled_loads(load(Doubts(), convection=0.1), N)
    pairs = [faces(one, "bag_side") for one in samples]
    assert all(a == b for a, b in pairs)
    assert filled([a - 1 for a, _ in pairs], 0.1)
    assert [faces(one, "tool_side")[0] for one in samples] == pytest.approx([a / 2 for a, _ in pairs])


def test_each_part_has_a_thickness_and_each_face_a_position_of_its_own() -> None:
    samples = sampled_loads(load(Doubts(thickness=0.02), side=0.15), N)
    thick = [[each.zones[0].layers[0].thickness / 0.01 - 1 for each in one.build_up.parts] for one in samples]
    served = [[factor / 0.5 - 1 for factor in faces(one, "tool_side")] for one in samples]
    for found, error in ((thick, 0.02), (served, 0.15)):
        assert filled([a for a, _ in found], error)
        assert filled([b for _, b in found], error)
        assert (
            abs(np.corrcoef(np.array(found).T)[0, 1]) < 0.6
        )  # not the same one (1.0); 40 pairs by chance seldom reach 0.4


def test_rate_and_heat_are_the_resins_and_so_the_same_everywhere() -> None:
    question = load(Doubts(rate_of_cure=0.1, heat_of_reaction=0.03))
    as_stated = question.material(question.build_up.parts[0].zones[0].layers[0])
    of = [one.material(one.build_up.parts[1].zones[0].layers[0]) for one in sampled_loads(question, N)]
    assert filled([one.heat_of_cure / as_stated.heat_of_cure - 1 for one in of], 0.03)
    assert filled([one.constants[0] / as_stated.constants[0] - 1 for one in of], 0.1)


def test_a_thermocouple_moves_by_itself_and_stays_in_its_layer() -> None:
    samples = sampled_loads(load(Doubts(depth=3e-4)), N)
    shares = np.array([[place.share for each in one.build_up.parts for place in each.places] for one in samples])
    assert filled(list((shares[:, 0] - 0.5) * 0.01), 3e-4)  # in the middle of 10 mm, so far from both its faces
    assert filled(list((shares[:, 2] - 0.5) * 0.01), 3e-4)
    assert shares[:, 1].max() == 1.0  # one that sits on the tool cannot go deeper
    assert (shares[:, 1] < 1.0).sum() == N // 2


def test_the_same_again_for_the_same_seed_and_what_was_not_stated_is_named() -> None:
    question = load(Doubts(), convection=0.1)
    first, again, other = (sampled_loads(question, N, seed) for seed in (1, 1, 2))
    assert [faces(one, "bag_side") for one in first] == [faces(one, "bag_side") for one in again]
    assert [faces(one, "bag_side") for one in first] != [faces(one, "bag_side") for one in other]
    assert "convection" not in not_varied(question)
    assert "thickness" in not_varied(question)
