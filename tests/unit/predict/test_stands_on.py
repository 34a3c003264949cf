"""What a prediction stands on. Expected degrees of cure in closed form: first order without activation, α = 1 - (1 - α0) exp(-A t)."""

from dataclasses import replace

import numpy as np
import pytest
from rich.console import Console

from curewright.predict.planned import surroundings
from curewright.predict.predicted import LoadToPredict, predict, warnings_of_part
from curewright.predict.resin import of_trace, state_at
from curewright.predict.stands_on import factors_of, gained_outside, outside_law
from curewright.predict.summary import zones
from curewright.read.cards import packaged_card
from curewright.record.prediction_print import zone_table
from curewright.record.state_print import state_table
from curewright.record.state_words import EXTRAPOLATED
from curewright.terms.build_up import Zone, ZoneFace, ZoneLayer
from curewright.terms.cycle import Segment
from curewright.terms.material import LayerMaterial
from curewright.text.in_units import ShownByPart, shown_in
from tests.unit.predict.test_predicted import HEAT, SITE, TAU, asked, cycle, load, part
from tests.unit.predict.test_resin import HUBERT, SEEN
from tests.unit.predict.test_resin import part as built_up

A = 3e-4  # 1/s
NARROW = LayerMaterial(
    "a narrow one", 2700.0, (900.0, 0.0, 0.0), (200.0, 0.0, 0.0), 0.0, "nth order", (A, 0.0, 1.0), (0.1, 0.5),
    law_covers=(250.0, 350.0),
)  # fmt: skip
RAMP = cycle(Segment("up", target=400.0, rate=1 / 60))


def predicted(material: LayerMaterial, **face: object):
    side = ZoneFace(0.5, **face)  # type: ignore[arg-type]
    plate = Zone("z", (ZoneLayer("plate", 0.01, "narrow"),), ZoneFace(1.0), side)
    question = asked(part("1", plate, degree_of_cure=0.1))
    question = LoadToPredict(question.load, question.build_up, lambda layer: material, question.convection, "nitrogen")
    return predict(question, surroundings(RAMP, HEAT, ["B1"], SITE, {})[0])


def test_what_was_gained_hotter_than_the_law_covers_is_said() -> None:
    found = predicted(NARROW)
    told = outside_law(found.zones[0].found)
    assert told is not None
    passes, end = (350 - 300) * 60 + TAU, 6000.0  # the plate is behind the air by the rate times its time constant
    gained = 0.9 * (np.exp(-A * passes) - np.exp(-A * end))
    assert 0.15 < gained < 0.25
    assert told.gained == pytest.approx(gained, abs=0.9 * A * 60)  # an interval of 30 s counts whole, at either end
    assert told.gained >= gained - 1e-4
    assert (told.low, told.high) == (250.0, 350.0)
    (line,) = [words for words in found.warnings if "extrapolated" in words]
    assert "the law of 'a narrow one' covers -23 to 77 °C" in line
    assert "part 1, zone z" in line


def test_inside_of_what_the_law_covers_nothing_is_said() -> None:
    found = predicted(replace(NARROW, law_covers=(250.0, 450.0)))
    assert outside_law(found.zones[0].found) is None
    assert not [words for words in found.warnings if "extrapolated" in words]


@pytest.mark.parametrize("covers, marked", [((250.0, 350.0), True), ((250.0, 450.0), False)])
def test_a_cure_from_outside_is_marked_in_the_table(covers: tuple[float, float], marked: bool) -> None:
    found = predicted(replace(NARROW, law_covers=covers))
    card = packaged_card("hubert_2001")
    table = zone_table(zones(found, load(), lambda zone: (zone.layers[0], card)), ShownByPart({}, shown_in({})))
    console = Console(width=400)
    with console.capture() as captured:
        console.print(table)
    row = next(line for line in captured.get().splitlines() if line.lstrip().startswith("1, z"))
    assert (" !" in row) is marked
    assert (EXTRAPOLATED in str(table.caption)) is marked


def test_colder_counts_too_and_an_interval_counts_whole() -> None:
    T, cure = np.array([300.0, 340.0, 360.0, 380.0, 340.0]), np.array([0.0, 0.1, 0.3, 0.6, 0.7])
    assert gained_outside(T, cure, (350.0, 370.0)).tolist() == pytest.approx([0.0, 0.1, 0.3, 0.6, 0.7])
    assert gained_outside(T, cure, (330.0, 390.0)).tolist() == pytest.approx([0.0, 0.1, 0.1, 0.1, 0.1])


def test_a_state_on_a_recorded_trace_says_so() -> None:
    """A card that may be used for estimates up to 250 °C, whose law covers 200 °C: an hour at 210 °C is all extrapolated."""
    t = np.arange(0.0, 3601.0, 60.0)
    hot = of_trace("TC1", HUBERT, t, np.full(t.size, 483.15), built_up(), SEEN, "B")
    assert any("covers 80 to 200 °C, and it was at 210 to 210 °C" in note for note in hot.notes)
    state = state_at(hot, 3600.0)
    assert state.cure is not None
    assert state.outside == pytest.approx(state.cure - 0.01)
    inside = of_trace("TC1", HUBERT, t, np.full(t.size, 450.15), built_up(), SEEN, "B")
    assert not any("extrapolated" in note for note in inside.notes)
    for course, marked in ((hot, True), (inside, False)):
        table = state_table([("recorded", state_at(course, 3600.0), None)], shown_in({}))
        assert (table.caption == EXTRAPOLATED) is marked
        assert [" !" in str(cell) for cell in table.columns[2].cells] == [marked]


def test_where_a_position_factor_comes_from_is_said() -> None:
    found = predicted(NARROW, position_error=0.15, factor_from="fit to run R-1, 2031-03-04")
    assert "position factors, fit to run R-1, 2031-03-04: 0.5 ± 15 % (part 1 z tool side)" in found.warnings
    assert "position factors, nobody said where from: 1 (part 1 z bag side)" in found.warnings
    assert [(one.factor, one.origin) for one in factors_of((one.part, one.zone) for one in found.zones)] == [
        (1.0, ""),
        (0.5, "fit to run R-1, 2031-03-04"),
    ]


def test_the_gas_is_said_beside_the_convection() -> None:
    assert "convection in nitrogen: invented" in predicted(NARROW).warnings


def test_who_wrote_it_and_which_cards_are_said() -> None:
    warnings = predicted(replace(NARROW, cards=("a_2001 revision 1", "b_1997 revision 2"))).warnings
    assert "build-up of r, written by P" in warnings
    assert "cycle c revision A, written by P" in warnings
    assert "cards: a_2001 revision 1, b_1997 revision 2" in warnings
    assert not [words for words in warnings if "is it the right one?" in words]


def test_a_build_up_of_another_load_is_told() -> None:
    question = asked()
    other = replace(question, load=replace(question.load, run="r2"))
    warnings = predict(other, surroundings(RAMP, HEAT, ["B1"], SITE, {})[0]).warnings
    assert "the build-up sheet is for load r, and this is load r2: is it the right one?" in warnings


def test_what_a_zone_left_the_range_of_is_said_with_the_zone_and_a_part_is_told_of_its_own_alone() -> None:
    """Two plates: of the first the metal's numbers hold up to 350 K only, and the air goes to 400 K."""
    cold = replace(NARROW, name="a cold one", temperature=(250.0, 350.0), warnings=("card c: x rests on memory",))
    materials = {"cold": cold, "metal": replace(NARROW, name="a warm one", law_covers=(250.0, 450.0))}
    of = [
        part(
            serial,
            Zone("z", (ZoneLayer("plate", 0.01, name),), ZoneFace(1.0), ZoneFace(0.5)),
            degree_of_cure=0.1,
            places=(),
        )
        for serial, name in (("1", "cold"), ("2", "metal"))
    ]
    question = replace(asked(*of), material=lambda layer: materials[layer.material])
    found = predict(question, surroundings(RAMP, HEAT, ["B1"], SITE, {})[0])
    assert [words for words in found.warnings if words.startswith("part 1, zone z: layer 'plate' is at")]
    assert "layer 'plate': card c: x rests on memory" in found.warnings
    for serial, there in (("1", True), ("2", False)):
        told = " ".join(warnings_of_part(question, found, serial))
        assert ("cold one" in told) is there
        assert ("part 2 z bag side" in told) is not there
        assert "no build-up" not in told
