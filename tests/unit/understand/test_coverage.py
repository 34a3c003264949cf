"""Which stretches of a run no clause looks at, and in which order the events are taken."""

from __future__ import annotations

from curewright.understand.coverage import Uncovered, event_order, uncovered
from curewright.understand.specification import understand
from tests.unit.understand.head import HEAD, clause, text_of

TEMPERATURE, VESSEL, BAG, UPPER = (
    "part temperature",
    "vessel pressure",
    "bag vacuum",
    "the upper limit of part temperature",
)
START, END = "record starts", "record ends"


def found(text: str, quantity: str) -> list[tuple[str, str, tuple[str, ...]]]:
    stretches = uncovered(understand(text, "s.yaml"))
    return [(each.start, each.end, each.partly) for each in stretches if each.quantity == quantity]


def with_forms(*forms: str) -> str:
    return text_of(clause("\n".join(forms)))


WHOLE = [(START, END, ())]


def test_nothing_looks_at_anything() -> None:
    text = with_forms("order: {for each: part, first: soak starts, then: soak ends}")
    for quantity in (TEMPERATURE, VESSEL, BAG, UPPER):
        assert found(text, quantity) == WHOLE


def test_a_band_covers_its_phase() -> None:
    text = with_forms("band: {for each: part thermocouple, from: soak starts, to: soak ends, within: at most 360}")
    assert found(text, TEMPERATURE) == found(text, UPPER) == [(START, "soak starts", ()), ("soak ends", END, ())]
    assert found(text, VESSEL) == WHOLE


def test_a_lower_limit_is_no_upper_limit() -> None:
    text = with_forms("band: {for each: part thermocouple, from: record starts, to: record ends, within: at least 3}")
    assert found(text, TEMPERATURE) == []
    assert found(text, UPPER) == WHOLE
    own = with_forms(
        "band: {for each: part thermocouple, from: record starts, to: record ends, within: at most the part's limit}"
    )
    assert found(own, UPPER) == []


def test_a_difference_is_no_upper_limit_but_looks_at_both() -> None:
    text = with_forms(
        "band: {for each: part, signal: vessel pressure minus bag pressure, from: record starts, to: record ends, within: at least 3}"
    )
    assert found(text, VESSEL) == found(text, BAG) == []
    lag = with_forms(
        "band: {for each: part, signal: mean of air thermocouples minus coldest, from: record starts, to: record ends, within: at most 60}"
    )
    assert found(lag, TEMPERATURE) == []
    assert found(lag, UPPER) == WHOLE


def test_kinds_that_look_over_a_phase() -> None:
    phase = "from: record starts, to: record ends"
    card = "by card X revision 1 from soak starts starting at 0 named by the specification"
    for form in (
        f"rate: {{for each: part thermocouple, {phase}, sense: heating, within: at most 5 degF/min, by: whole phase, while: throughout, because: the paper says so}}",  # noqa: E501
        f"spread: {{for each: part, signal: spread of part thermocouples, {phase}, within: at most 5}}",
        f"duration: {{for each: part, {phase}, clock of: coldest, runs while: it is above 3, when it leaves: the clock pauses, within: at least 3}}",  # noqa: E501
        f"computed: {{for each: part, signal: degree of cure of coldest {card}, {phase}, within: at least 0.1 fraction}}",
    ):
        assert found(with_forms(form), TEMPERATURE) == [], form
        assert found(with_forms(form), UPPER) == WHOLE, form
    for form in (
        f"count: {{for each: part, of: working sensors, group: part thermocouple, {phase}, within: at least 3}}",
        f"recording: {{for each: part, group: part thermocouple, {phase}, within: at most 3}}",
        f"exposure: {{for each: part, of: time, {phase}, runs while: coldest is above 3, within: at most 3}}",
        f"duration: {{for each: part, {phase}, clock of: coldest, when it leaves: the clock runs on, within: at least 3}}",
        f"computed: {{for each: part, signal: degree of cure of coldest {card}, event: soak ends, within: at least 0.1 fraction}}",
    ):
        assert found(with_forms(form), TEMPERATURE) == WHOLE, form


def test_a_leak_check_covers_what_it_isolates() -> None:
    leak = "leak check: {for each: bag, isolated by: source closed, settling: 0 min, window: worst, loses: at most 5 in 5 min"
    assert found(with_forms(leak + "}"), BAG) == WHOLE
    assert found(with_forms(leak + ", until: vent begins}"), BAG) == [
        (START, "source closed", ()),
        ("vent begins", END, ()),
    ]


def test_what_is_narrowed_covers_in_part() -> None:
    text = (
        text_of(
            clause(
                "band: {for each: part thermocouple, from: record starts, to: soak starts, within: at most 360, while: it is above 3, because: the paper says so}"  # noqa: E501
            )
        )
        + '  "2":\n    says: b\n    for parts: {thickness: above 1 mm}\n'
        + "    band: {for each: part thermocouple, from: heating starts, to: record ends, within: at most 360}\n"
    )
    assert found(text, UPPER) == [
        (START, "heating starts", ("clause 1",)),
        ("heating starts", "soak starts", ("clause 1", "clause 2")),
        ("soak starts", END, ("clause 2",)),
    ]
    both = (
        text
        + '  "3":\n    says: c\n    band: {for each: part thermocouple, from: soak starts, to: soak ends, within: at most 3}\n'
    )
    assert found(both, UPPER)[-1] == ("soak ends", END, ("clause 2",))


def test_events_are_put_in_the_order_that_the_clauses_ask_for() -> None:
    head = HEAD[: HEAD.index("events:")] + (
        "events:\n"
        "  last: {for each: vessel, when: hand entry}\n"
        "  middle: {for each: vessel, when: hand entry}\n"
        "  first: {for each: vessel, when: hand entry}\n"
        "  after last: {for each: vessel, when: hand entry, after: last}\n"
    )
    forms = (
        "band: {for each: vessel, signal: vessel pressure, from: first, to: middle, within: at most 3}\n"
        "order: {for each: vessel, first: middle, then: last}"
    )
    plan = understand(text_of(clause(forms), head=head), "s.yaml")
    assert event_order(plan) == (START, "first", "middle", "last", "after last", END)


def test_orders_that_contradict_each_other_do_not_hang() -> None:
    forms = "order: {for each: part, first: soak starts, then: soak ends}\norder 2: {for each: part, first: soak ends, then: soak starts}"
    order = event_order(understand(text_of(clause(forms)), "s.yaml"))
    assert sorted(order) == sorted({START, END, *order})
    assert order.index("soak starts") < order.index("soak ends")


def test_in_words() -> None:
    assert str(Uncovered("bag vacuum", "a", "b")) == "No clause looks at bag vacuum from 'a' to 'b'."
    assert str(Uncovered("bag vacuum", "a", "b", ("clause 1", "clause 2"))) == (
        "No clause looks at bag vacuum from 'a' to 'b', except in part: clause 1, clause 2."
    )


def test_of_orders_that_contradict_each_other_the_first_is_taken() -> None:
    forms = (
        "order: {for each: part, first: soak ends, then: soak starts}",
        "order 2: {for each: part, first: soak starts, then: soak ends}",
    )
    order = event_order(understand(with_forms(*forms), "s.yaml"))
    assert order.index("soak ends") < order.index("soak starts")
    order = event_order(understand(with_forms(*reversed(forms)), "s.yaml"))
    assert order.index("soak starts") < order.index("soak ends")
