"""A concession is an overlay for one serial: the original outcome stays visible, and one that fits nothing is refused."""

from __future__ import annotations

from dataclasses import replace

import pytest

from curewright.judge.concession import check_concessions
from curewright.judge.judge import judge
from curewright.terms.errors import CurewrightError
from curewright.terms.load import Concession, Part, Vessel
from curewright.terms.requirement import (
    Alternative,
    AtEvent,
    Band,
    Clock,
    Compare,
    Duration,
    Group,
    LeakCheck,
    Limits,
    Order,
    Phase,
    Signal,
)
from curewright.terms.units import unit_named
from curewright.terms.verdict import Outcome
from tests.unit.judge.build import (
    COLDEST,
    HOTTEST,
    at_least,
    at_most,
    channel,
    entry,
    event,
    load_of,
    quantity,
    run_of,
    specification,
    within,
)

WHOLE = Phase("record starts", "record ends")
CLOCK = Clock("coldest", Compare(COLDEST, at_least("170 degC")), "pauses")


def judged(form, limits, *, name=None, clause="1", events=()):
    """The one verdict with a concession on the form."""
    run = run_of(
        channel("TC1", [(t, 183.0) for t in range(61)]),
        channel("BAG1", [(t, 26.0 - t / 10) for t in range(61)], "inHg of vacuum"),
        entries=(entry("source closed", 0, 5),),
    )
    load = load_of(run)
    concession = Concession(clause, name or form.name, limits, "board 7")
    part = replace(load.parts[0], concessions=(concession,))
    spec = specification(form, events=events)
    (found,) = judge((spec,), Vessel("V1", (), (), ()), replace(load, parts=(part,)), run).verdicts
    return found


def band(limits):
    return Band("band", "part", unit_named("degC"), None, None, HOTTEST, WHOLE, limits)


def duration(*alternatives):
    return Duration("duration", "part", unit_named("min"), None, None, alternatives)


def test_a_conceded_band_is_met_and_says_what_it_was_before():
    found = judged(band(at_most("180 degC")), at_most("185 degC"))
    assert (found.outcome, found.before_concession, found.margin.value) == (Outcome.MET, Outcome.NOT_MET, "2")
    assert found.limit == "at most 185 degC"
    assert found.notes[-1] == "by concession of board 7: at most 185 degC; without it: not met"


def test_a_conceded_duration():
    found = judged(duration(Alternative(WHOLE, CLOCK, at_least("90 min"))), at_least("45 min"))
    assert (found.outcome, found.before_concession, found.margin.value) == (Outcome.MET, Outcome.NOT_MET, "15")


def test_a_conceded_leak_check():
    form = LeakCheck(
        "leak check", "bag", unit_named("inHg of vacuum"), None, None, Signal(Group("bag vacuum"), "single"), "source closed", None, 0,
        5 * 60 * 10**9, "first", at_most("0.2 inHg of vacuum"),
    )  # fmt: skip
    closed = event("source closed", None, by="entry", for_each="bag")
    found = judged(form, at_most("0.6 inHg of vacuum"), events=(closed,))
    assert (found.outcome, found.before_concession) == (Outcome.MET, Outcome.NOT_MET)


def test_a_conceded_value_at_an_event():
    form = AtEvent(
        "at event", "part", unit_named("degC"), None, None, "record ends", HOTTEST, within("100 degC", "150 degC")
    )
    found = judged(form, within("100 degC", "190 degC"))
    assert (found.outcome, found.before_concession, found.margin.value) == (Outcome.MET, Outcome.NOT_MET, "7")


@pytest.mark.parametrize(
    "form, limits, more, message",
    [
        (band(at_most("180 degC")), at_most("185 degC"), {"name": "band 2"},
         "part S1 has a concession for clause 1 'band 2', which EX-1 lacks; expected one of: 1 'band'. "
         "To do: correct the concession in the load"),
        (band(at_most("180 degC")), at_most("185 degC"), {"clause": "2"}, "for clause 2 'band', which EX-1 lacks"),
        (band(at_most("180 degC")), at_most("5 min"), {}, "a concession on 'band' is stated as time; expected temperature"),
        (duration(*[Alternative(WHOLE, CLOCK, at_least("90 min"))] * 2), at_least("45 min"), {}, "which of its 2 alternatives"),
        (Order("order", "part", unit_named("min"), None, None, "record starts", "record ends", None), at_most("5 min"), {},
         "a concession on 'order', which has no limit to change"),
    ],
)  # fmt: skip
def test_a_concession_that_fits_nothing_is_refused(form, limits, more, message):
    with pytest.raises(CurewrightError) as refused:
        judged(form, limits, **more)
    assert message in str(refused.value)


@pytest.mark.parametrize(
    "form, limits, whole",
    [
        (duration(*[Alternative(WHOLE, CLOCK, at_least("90 min"))] * 2), at_least("45 min"),
         "a concession on 'duration' does not say which of its 2 alternatives it changes; expected a requirement with one limit. "
         "To do: write the conceded alternative into a revision of the specification"),
        (Order("order", "part", unit_named("min"), None, None, "record starts", "record ends", None), at_most("5 min"),
         "a concession on 'order', which has no limit to change; expected a requirement with a limit. "
         "To do: correct the concession in the load"),
        (duration(Alternative(WHOLE, CLOCK, at_least("90 min"))), at_least("180 degC"),
         "a concession on 'duration' is stated as temperature; expected time. To do: state it in a unit of that quantity"),
        (LeakCheck(
            "leak check", "bag", unit_named("inHg of vacuum"), None, None, Signal(Group("bag vacuum"), "single"), "a", None, 0,
            1, "first", at_most("0.2 inHg of vacuum")), at_most("5 min"),
         "a concession on 'leak check' is stated as time; expected pressure. To do: state it in a unit of that quantity"),
        (band(at_most("180 degC")), Limits(quantity("5 min"), quantity("3 psi gauge")),
         "a concession on 'band' is stated as pressure and time; expected temperature. "
         "To do: state it in a unit of that quantity"),
    ],
)  # fmt: skip
def test_a_refusal_says_what_is_wrong_what_was_expected_and_what_to_do(form, limits, whole):
    """The words are ours: an engineer has to see which limit cannot be conceded and where to put it right."""
    with pytest.raises(CurewrightError) as refused:
        judged(form, limits)
    assert str(refused.value) == whole


def test_a_refusal_names_every_form_that_could_have_been_meant():
    forms = (band(at_most("180 degC")), replace(band(at_most("180 degC")), name="band 2"))
    part = Part(
        "S1", "PN-1", "A", "L1", "B1", "T1", "EX-1", "A", concessions=(Concession("9", "band", Limits(), "board 7"),)
    )
    with pytest.raises(CurewrightError) as refused:
        check_concessions(part, specification(*forms))
    assert refused.value.expected == "one of: 1 'band', 1 'band 2'"
