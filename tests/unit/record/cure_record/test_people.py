"""Hand entries in the cure record: what was read stands with its uncertainty."""

from types import SimpleNamespace

import pytest

from curewright.record.cure_record.people import rulings_and_entries
from curewright.terms.run import Entry
from curewright.terms.units import unit_named

VACUUM = unit_named("inHg of vacuum")


@pytest.mark.parametrize(
    "doubt, words", [("0.5", "25 inHg of vacuum ± 0.5 inHg; bag vacuum"), (None, "25 inHg of vacuum; bag vacuum")]
)
def test_a_reading_stands_with_its_uncertainty(doubt, words):
    half = None if doubt is None else VACUUM.scale * float(doubt)
    reading = Entry(
        "reading", "B1", 0, None, 60 * 10**9, "B", "bag vacuum", -25.0 * VACUUM.scale, VACUUM, half, "G-17", "e.yaml", 7
    )
    document = {
        "rulings": [], "verdicts": [], "traceability": [], "changed": [], "notes": [], "uncovered": [], "judgement": {"number": 1},
        "run": {"notes": [], "start": "2031-03-04T21:40:00+01:00"},
    }  # fmt: skip
    papers = SimpleNamespace(document=document, run=SimpleNamespace(entries=(reading,)), when=lambda _: "21:50")
    assert words in repr(list(rulings_and_entries(papers)))  # type: ignore[arg-type]
