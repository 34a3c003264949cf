# ruff: noqa: E501  (messages stand as they are printed)
"""Reading a file field by field: every error is kept with its place, and all are told at once."""

from __future__ import annotations

from dataclasses import dataclass
from datetime import UTC, date, datetime
from decimal import Decimal
from typing import Any

import pytest

from curewright.terms.errors import CurewrightError, Errors, FileError, Place, flat
from curewright.terms.units import UNITS, Quantity
from curewright.text import fields
from curewright.text.fields import Fields, Reader, items, record, text
from curewright.text.quantities import TIME, Measure
from curewright.text.yaml import Node, read_text

MOMENT = "expected a date and time with its zone, such as 2026-03-31T07:00:00+02:00. To do: the zone is never guessed"


@dataclass(frozen=True)
class Bag:
    name: str
    ports: tuple[str, ...]
    note: str | None


def read_bag(bag: Fields) -> Bag:
    name = bag.required("name", text, remedy="give it one")
    ports = bag.required("ports", items(text))
    note = bag.optional("note", text, None)
    bag.close()
    return Bag(name, ports, note)


def node(written: str) -> Node:
    return read_text(written, "f.yaml")


def value(read: Reader[Any], written: str) -> Any:
    return read(node(written))


def said(read: Reader[Any], written: str) -> list[str]:
    with pytest.raises(CurewrightError) as caught:
        read(node(written))
    return [str(error) for error in flat(caught.value)]


def test_a_record() -> None:
    assert value(record(read_bag, "a bag"), "name: A\nports: [1, '02']\n") == Bag("A", ("1", "02"), None)
    assert value(record(read_bag, "a bag"), "name: A\nports: []\nnote: x\n") == Bag("A", (), "x")


def test_all_errors_at_once() -> None:
    assert said(items(record(read_bag, "a bag")), "- {ports: [1, {}], nota: x}\n- {name: A}\n- 3\n") == [
        "f.yaml:1:3: a bag without 'name'; expected 'name: …'. To do: give it one",
        "f.yaml:1:15: a mapping; expected a text",
        "f.yaml:1:20: 'nota' is no field of a bag. To do: did you mean 'note'?",
        "f.yaml:2:3: a bag without 'ports'; expected 'ports: …'",
        "f.yaml:3:3: a bag is '3'; expected fields, each 'name: value' on its own line. To do: write them one below the other, or as {name: value, name: value}",
    ]


def test_a_comma_in_braces_is_explained() -> None:
    (message,) = said(record(read_bag, "a bag"), "{name: A, or B, ports: []}")
    assert message == (
        "f.yaml:1:11: 'or B' is no field of a bag. To do: inside { } a comma starts a new field: put a text with commas in quotes; "
        "known here: 'name', 'ports', 'note'"
    )


def test_places_and_others() -> None:
    bag = Fields(node("a: 1\nb: 2\n"), "x")
    assert bag.place == Place("f.yaml", 1, 1)
    assert "a" in bag
    assert "c" not in bag
    assert bag.place_of("b") == Place("f.yaml", 2, 1)
    assert bag.place_of("c") == Place("f.yaml", 1, 1)
    assert bag.required("a", text) == "1"
    assert [key.text for key, _ in bag.others()] == ["b"]


def test_an_error_without_a_place_gets_that_of_the_mapping() -> None:
    bag = Fields(node("a: 1\n"), "x")
    bag.refuse(FileError("odd"))
    bag.optional("a", text, None)
    with pytest.raises(Errors) as caught:
        bag.close()
    assert str(caught.value) == "f.yaml:1:1: odd"


def test_flat_opens_errors_within_errors() -> None:
    one, two = FileError("one"), FileError("two")
    assert flat(Errors((Errors((one,)), two))) == (one, two)
    assert flat(one) == (one,)


@pytest.mark.parametrize(
    "read, written, expected",
    [
        (fields.text, "00123", "00123"),
        (fields.prose, "one\n  two", "one two"),
        (fields.prose, "|\n  one\n   two\n", "one two"),
        (fields.one_of("a", "b"), "b", "b"),
        (fields.yes_no, "yes", True),
        (fields.yes_no, "no", False),
        (fields.items(fields.text), "[a, b]", ("a", "b")),
        (fields.one_or_more(fields.text), "[a, b]", ("a", "b")),
        (fields.one_or_more(fields.text), "a", ("a",)),
        (fields.table(fields.number), "{a: 1, b: 2}", (("a", Decimal(1)), ("b", Decimal(2)))),
        (fields.number, "-1.50", Decimal("-1.50")),
        (fields.whole_number, "12", 12),
        (fields.whole_number, "0", 0),
        (fields.quantity(Measure("length")), "0.6 in", Quantity(Decimal("0.6"), UNITS["in"])),
        (fields.duration(), "1 h 30 min", 5400 * 10**9),
        (fields.duration(UNITS["s"]), "90", 90 * 10**9),
        (fields.date, "2026-03-31", date(2026, 3, 31)),
        (fields.moment, "2026-03-31T07:00:00Z", datetime(2026, 3, 31, 7, tzinfo=UTC)),
    ],
)
def test_readers(read: Reader[Any], written: str, expected: Any) -> None:
    assert value(read, written) == expected


def test_limits() -> None:
    assert value(fields.limits(TIME), "120 +30/-0 min").written == "120 +30/-0 min"


@pytest.mark.parametrize(
    "read, written, message",
    [
        (fields.text, "[a]", "f.yaml:1:1: a list; expected a text"),
        (fields.text, "{a: b}", "f.yaml:1:1: a mapping; expected a text"),
        (fields.text, "''", "f.yaml:1:1: nothing is written here; expected a text"),
        (fields.text, "' a'", "f.yaml:1:1: ' a' has blanks at its ends or more than one line; expected one line"),
        (fields.text, '"a\\nb"', "f.yaml:1:1: 'a\nb' has blanks at its ends or more than one line; expected one line"),
        (fields.prose, "[a]", "f.yaml:1:1: a list; expected a text"),
        (
            fields.one_of("draft", "approved"),
            "drat",
            "f.yaml:1:1: 'drat'; expected 'draft' or 'approved'. To do: did you mean 'draft'?",
        ),
        (fields.yes_no, "true", "f.yaml:1:1: 'true'; expected 'yes' or 'no'"),
        (
            fields.items(fields.text),
            "a",
            "f.yaml:1:1: no list; expected a list: [one, two], or lines that begin with '- '",
        ),
        (
            fields.items(fields.text),
            "''",
            "f.yaml:1:1: nothing is written here; expected a list: [one, two], or lines that begin with '- '. To do: write [] where there is none",
        ),
        (
            fields.table(fields.text),
            "a",
            "f.yaml:1:1: this is 'a'; expected fields, each 'name: value' on its own line. To do: write them one below the other, or as {name: value, name: value}",
        ),
        (fields.number, "1.5 degC", "f.yaml:1:5: 'degC'; expected nothing more after '1.5'"),
        (fields.number, "one", "f.yaml:1:1: 'one'; expected a number"),
        (fields.whole_number, "1.5", "f.yaml:1:1: '1.5'; expected a whole number, 0 or more"),
        (fields.whole_number, "-1", "f.yaml:1:1: '-1'; expected a whole number, 0 or more"),
        (
            fields.date,
            "31.3.2026",
            "f.yaml:1:1: '31.3.2026' is no date; expected a date such as 2026-03-31. To do: write the year, then the month, then the day, with hyphens",
        ),
        (
            fields.date,
            "20260331",
            "f.yaml:1:1: '20260331' is no date; expected a date such as 2026-03-31. To do: write the year, then the month, then the day, with hyphens",
        ),
        (
            fields.date,
            "2026-02-30",
            "f.yaml:1:1: '2026-02-30' is no date; expected a date such as 2026-03-31. To do: write the year, then the month, then the day, with hyphens",
        ),
        (
            fields.moment,
            "2026-03-31T07:00:00",
            "f.yaml:1:1: '2026-03-31T07:00:00'; " + MOMENT,
        ),
        (
            fields.moment,
            "noon",
            "f.yaml:1:1: 'noon'; " + MOMENT,
        ),
    ],
)
def test_readers_refuse(read: Reader[Any], written: str, message: str) -> None:
    assert said(read, written) == [message]
