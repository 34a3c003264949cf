"""Rulings: what a named person decided about data, over which stretch, and why."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.read.forms import CLOCK_TIME, PROSE, TEXT, Field, Filled, Form, items
from curewright.terms.errors import FileError, each
from curewright.terms.load import ALWAYS, Ruling

if TYPE_CHECKING:
    from curewright.read.times import Clock

RULING = Form(
    "a ruling",
    "A sensor that is set aside over a stretch, or that is trusted there although it is flagged.",
    (
        Field("set aside", TEXT, "the sensor that is left out", required=False),
        Field("trust", TEXT, "the sensor whose flagged samples are taken as they are", required=False),
        Field("from", CLOCK_TIME, "from when; from before the run where left out", required=False),
        Field("until", CLOCK_TIME, "until when; to the end where left out", required=False),
        Field("by", TEXT, "who decided it"),
        Field("reason", PROSE, "why"),
        Field("second", TEXT, "the second person, needed where 'not met' becomes 'met'", required=False),
    ),
)
RULINGS = Form(
    "rulings", "What named persons decided about data.", (Field("rulings", items(RULING.kind()), "the rulings"),)
)


def read_rulings(content: bytes, file: str, clock: Clock) -> tuple[Ruling, ...]:
    """Rulings with times in ns since the start of the run. Raises with file, line and column."""
    return each(lambda form: _ruling(form, clock, file), RULINGS.of_file(content, file)["rulings"])


def _ruling(form: Filled, clock: Clock, file: str) -> Ruling:
    start = -ALWAYS if form["from"] is None else clock.instant(form["from"].text, form["from"].place)
    end = ALWAYS if form["until"] is None else clock.instant(form["until"].text, form["until"].place)
    if end <= start:
        raise FileError(
            "the ruling ends before it begins", where=form.place("until"), remedy="correct 'from' or 'until'"
        )
    if (form["set aside"] is None) == (form["trust"] is None):
        raise FileError("a ruling says one thing", expected="one of 'set aside' and 'trust'", where=form.place())
    if form["second"] == form["by"]:
        raise FileError(f"{form['by']} is both persons", expected="another one", where=form.place("second"))
    kind, sensor = ("trusted", form["trust"]) if form["set aside"] is None else ("set aside", form["set aside"])
    return Ruling(kind, sensor, start, end, form["by"], form["reason"], form["second"] or "", file, form.line)
