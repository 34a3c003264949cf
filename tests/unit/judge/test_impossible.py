"""What the local atmosphere makes impossible is not met in a run that was made all the same (semantics 6.6, case 31)."""

import pytest

from curewright.terms.requirement import Alternative, Band, Clock, Compare, Duration, Group, Phase, Signal
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import at_least, at_most, channel, quantity, run_of, specification, verdict

BAG = Signal(Group("bag vacuum"), "single")
WHOLE = Phase("record starts", "record ends")
SITE = quantity("79.50 kPa absolute").grains
# The middle sample is bad: by the data alone the band would be not shown.
POINTS = [(0, 20), (1, 20), (2, 20)]


def judged(form, unit: str, barometer: float | None):
    return verdict(specification(form), run_of(channel("BAG1", POINTS, unit, bad=(1,)), barometer=barometer))


def band(unit: str, limits):
    return Band("band", "bag", unit_named(unit), None, None, BAG, WHOLE, limits)


def test_more_vacuum_than_there_is_air():
    # 79.50 kPa / 3.386389 kPa/inHg (NIST SP 811) = 23.48 inHg.
    found = judged(band("inHg of vacuum", at_least("25 inHg of vacuum")), "inHg of vacuum", SITE)
    assert found.outcome is Outcome.NOT_MET
    words = "is impossible here: 23.48 inHg of vacuum is all there is at 79.50 kPa absolute"
    assert found.notes[-1].endswith(words)
    nothing_read = run_of(channel("BAG1", POINTS, "inHg of vacuum", bad=(0, 1, 2)), barometer=SITE)
    unread = verdict(specification(band("inHg of vacuum", at_least("25 inHg of vacuum"))), nothing_read)
    assert unread.outcome is Outcome.NOT_MET
    assert unread.reason.endswith(words)


@pytest.mark.parametrize(
    "asked, outcome", [("-0.8 bar gauge", Outcome.NOT_MET), ("-0.79 bar gauge", Outcome.NOT_SHOWN)]
)
def test_a_gauge_pressure_below_nothing(asked, outcome):
    form = band("bar gauge", at_most(asked))
    points = [(0, -0.795), (1, -0.795), (2, -0.795)]
    found = verdict(specification(form), run_of(channel("BAG1", points, "bar gauge", bad=(1,)), barometer=SITE))
    assert found.outcome is outcome


def test_a_clock_that_can_never_run():
    def timed(level: str):
        clock = Clock("bag", Compare(BAG, at_least(level)), "pauses")
        return Duration(
            "duration", "bag", unit_named("min"), None, None, (Alternative(WHOLE, clock, at_least("1 min")),)
        )

    impossible = judged(timed("25 inHg of vacuum"), "inHg of vacuum", SITE)
    assert impossible.outcome is Outcome.NOT_MET
    assert "impossible here" in impossible.reason
    assert judged(timed("20 inHg of vacuum"), "inHg of vacuum", SITE).outcome is Outcome.NOT_SHOWN


def test_where_the_atmosphere_is_not_known_nothing_is_impossible():
    found = judged(band("inHg of vacuum", at_least("25 inHg of vacuum")), "inHg of vacuum", None)
    assert "impossible" not in found.reason
