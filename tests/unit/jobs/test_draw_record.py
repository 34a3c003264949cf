"""Which plots a record has: of a small load all parts, of a large one the worst; the worst deviations first."""

from typing import Any

import pytest

from curewright.jobs.draw_record import FEW, _drawn_parts


def load_of(*outcomes: str) -> dict[str, Any]:
    return {"roll_up": [{"part": f"P{place}", "outcome": outcome} for place, outcome in enumerate(outcomes)]}


def test_of_one_part_alone_the_whole_run_is_its_plot() -> None:
    assert _drawn_parts(load_of("not met")) == []


@pytest.mark.parametrize("count", [2, FEW])
def test_of_a_small_load_every_part_has_one(count: int) -> None:
    assert len(_drawn_parts(load_of(*["met"] * count))) == count


def test_of_a_large_load_the_worst_have_one() -> None:
    found = _drawn_parts(load_of(*["met"] * FEW, "not shown", "not met"))
    assert found == [f"P{FEW + 1}", f"P{FEW}"]
    assert len(_drawn_parts(load_of(*["not met"] * 3 * FEW))) == FEW
