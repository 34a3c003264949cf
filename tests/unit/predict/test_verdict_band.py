"""The reduction of many verdicts to one line, by hand."""

from dataclasses import replace

import numpy as np
import pytest

from curewright.predict.verdict_band import BROKEN, CERTAIN, NEAR, NOT_JUDGED, REACHES_PAST, by_risk, verdict_bands
from curewright.terms.verdict import Margin, Outcome, Verdict

MET, NOT_MET, NOT_SHOWN = Outcome.MET, Outcome.NOT_MET, Outcome.NOT_SHOWN


def verdict(outcome: Outcome, margin: float | None = None, name: str = "band", **more: object) -> Verdict:
    found = None if margin is None else Margin(f"{margin}", "degC", None, "TC1", "1", "2", **more)  # type: ignore[arg-type]
    return Verdict("1", "S", "A", "4.5", name, "band", "TC1", outcome, "why", "at most 2 degC", found)


def one(predicted: Verdict, *samples: Verdict):
    [found] = verdict_bands([predicted], [[sample] for sample in samples])
    return found


def test_counts_and_the_middle_95_percent_of_the_margins() -> None:
    margins = np.arange(-1.0, 3.0, 0.1).round(3).tolist()  # 10 below 0, 30 not
    found = one(verdict(MET, 1.0), *(verdict(MET if m >= 0 else NOT_MET, m) for m in margins))
    assert (found.met, found.not_met, found.not_shown, found.samples) == (30, 10, 0, 40)
    assert found.margin == pytest.approx(tuple(np.quantile(margins, [0.025, 0.975])))
    assert found.rank == REACHES_PAST


def test_a_sample_without_the_verdict_is_not_shown_and_leaves_no_band() -> None:
    [found] = verdict_bands([verdict(MET, 1.0)], [[verdict(MET, 1.0)], [], [verdict(NOT_SHOWN)]])
    assert (found.met, found.not_met, found.not_shown) == (1, 0, 2)
    assert found.margin is None


def test_a_margin_of_what_is_known_only_is_no_margin() -> None:
    assert one(verdict(MET, 1.0), verdict(NOT_SHOWN, 2.0, of_known=True)).margin is None


def test_a_margin_with_two_ends_keeps_both() -> None:
    ends = [verdict(MET, 1.0, low="0.5", high="1.5")] * 2
    assert one(verdict(MET, 1.0), *ends).margin == (0.5, 1.5)


def test_what_no_program_judges_is_left_out() -> None:
    judged = [verdict(Outcome.BY_PERSON), verdict(Outcome.NOT_APPLICABLE), verdict(Outcome.NOT_COVERED)]
    assert verdict_bands(judged, [judged]) == ()


def test_ranks_by_hand() -> None:
    """Worst first; within a rank by the share that is not met, then by how many times its band a margin is away from the limit."""
    rows = {
        "certain": (verdict(MET, 0.0), [(MET, 0.0)] * 4),
        "far": (verdict(MET, 9.0), [(MET, 8.0), (MET, 8.0), (MET, 9.0), (MET, 9.0)]),
        "near": (verdict(MET, 9.0), [(MET, 3.0), (MET, 3.0), (MET, 9.0), (MET, 9.0)]),
        "one": (verdict(MET, 1.0), [(NOT_MET, -1.0), (MET, 1.0), (MET, 1.0), (MET, 2.0)]),
        "two": (verdict(MET, 1.0), [(NOT_MET, -1.0), (NOT_MET, -1.0), (MET, 1.0), (MET, 2.0)]),
        "unknown": (verdict(NOT_SHOWN), [(NOT_SHOWN, None)] * 4),
        "broken": (verdict(NOT_MET, -0.1), [(MET, 0.1), (MET, 0.1), (MET, 0.1), (NOT_MET, -0.1)]),
    }
    predicted = [replace(one, form=name) for name, (one, _) in rows.items()]
    samples = [[verdict(*of[i], name) for name, (_, of) in rows.items()] for i in range(4)]
    found = by_risk(verdict_bands(predicted, samples))
    assert [(one.verdict.form, one.rank) for one in found] == [
        ("broken", BROKEN),
        ("two", REACHES_PAST),
        ("one", REACHES_PAST),
        ("near", NEAR),
        ("far", NEAR),
        ("certain", CERTAIN),
        ("unknown", NOT_JUDGED),
    ]
