"""Which format the times of an export are written in: all that fit every row, and what tells them apart."""

from __future__ import annotations

import re
from dataclasses import dataclass
from itertools import pairwise
from typing import TYPE_CHECKING

import numpy as np

from curewright.read.kernels import clock
from curewright.read.times import DAY, ELAPSED_CLOCK, ISO, plain_times

if TYPE_CHECKING:
    from collections.abc import Sequence

    from numpy.typing import NDArray

DATES = (
    (r"\d{4}-\d\d?-\d\d?", ("%Y-%m-%d",)),
    (r"\d{4}/\d\d?/\d\d?", ("%Y/%m/%d",)),
    (r"\d{4}\.\d\d?\.\d\d?", ("%Y.%m.%d",)),
    (r"\d{8}", ("%Y%m%d",)),
    (r"\d\d?/\d\d?/\d{4}", ("%d/%m/%Y", "%m/%d/%Y")),
    (r"\d\d?-\d\d?-\d{4}", ("%d-%m-%Y", "%m-%d-%Y")),
    (r"\d\d?\.\d\d?\.\d{4}", ("%d.%m.%Y", "%m.%d.%Y")),
    (r"\d\d?/\d\d?/\d\d", ("%d/%m/%y", "%m/%d/%y", "%y/%m/%d")),
    (r"\d\d?-\d\d?-\d\d", ("%d-%m-%y", "%m-%d-%y", "%y-%m-%d")),
    (r"\d\d?\.\d\d?\.\d\d", ("%d.%m.%y", "%m.%d.%y", "%y.%m.%d")),
    (r"\d\d? [A-Za-z]{3,9} \d{4}", ("%d %b %Y",)),
    (r"\d\d?-[A-Za-z]{3,9}-\d{4}", ("%d-%b-%Y",)),
    (r"\d\d?-[A-Za-z]{3,9}-\d\d", ("%d-%b-%y",)),
    (r"[A-Za-z]{3,9} \d\d?, \d{4}", ("%b %d, %Y",)),
    (r"[A-Za-z]{3,9} \d\d? \d{4}", ("%b %d %Y",)),
)
TIMES = (
    (r"\d\d?:\d\d:\d\d\.\d{1,9}", ":%M:%S.%f"),
    (r"\d\d?:\d\d:\d\d,\d{1,9}", ":%M:%S,%f"),
    (r"\d\d?:\d\d:\d\d", ":%M:%S"),
    (r"\d\d?:\d\d", ":%M"),
)
HALF = r"(\s*)([AaPp]\.?[Mm]\.?)"
ISO_TIME = r"\d{4}-\d\d-\d\d[T ]\d\d:\d\d(:\d\d([.,]\d{1,9})?)?(Z|[+-]\d\d(:?\d\d)?)?"
ELAPSED_UNITS = {
    "s": "elapsed s", "sec": "elapsed s", "secs": "elapsed s", "second": "elapsed s", "seconds": "elapsed s", "ms": "elapsed ms",
    "min": "elapsed min", "mins": "elapsed min", "minute": "elapsed min", "minutes": "elapsed min", "h": "elapsed h", "hr": "elapsed h",
    "hrs": "elapsed h", "hour": "elapsed h", "hours": "elapsed h",
}  # fmt: skip
LENGTH_OF_TIME = r"(\d+[ .d] ?)?\d+:\d\d(:\d\d([.,]\d{1,9})?)?"


@dataclass(frozen=True)
class Clock:
    """A format that fits all rows, or the several that do; ``why`` says what it was told from."""

    formats: tuple[str, ...]
    why: str
    offset: bool = False  # whether each time carries its offset
    newest_first: bool = False


def dates_of(text: str) -> tuple[str, ...]:
    """The date formats that a text fits."""
    return tuple(form for pattern, forms in DATES if re.fullmatch(pattern, text) for form in forms)


def time_of_day(text: str) -> str:
    """The format of a time of day; '' for none."""
    for pattern, rest in TIMES:
        if re.fullmatch(pattern, text):
            return "%H" + rest
        if half := re.fullmatch(f"{pattern}{HALF}", text):
            return "%I" + rest + (" %p" if half[1] else "%p")
    return ""


def formats_of(text: str) -> tuple[str, ...]:
    """The formats of a date with a time of day that a text fits."""
    if re.fullmatch(ISO_TIME, text):
        return (ISO,)
    for cut in (r"\s+", "T"):
        for found in re.finditer(cut, text):
            day, rest = text[: found.start()], text[found.end() :]
            between = " " if cut == r"\s+" else "T"
            if (after := time_of_day(rest)) and (before := dates_of(day)):
                return tuple(f"{one}{between}{after}" for one in before)
            if (first := time_of_day(day)) and (last := dates_of(rest)):
                return tuple(f"{first}{between}{one}" for one in last)
    return ()


def fitting(texts: Sequence[str]) -> Clock | None:
    """The formats that every one of the times fits; None where there is none. Texts are those of whole rows, dates and times joined."""
    formats: list[str] = []
    for text in dict.fromkeys((*texts[:50], *texts[-50:])):
        formats += [form for form in formats_of(text) if form not in formats]
    if not formats:
        return None
    content = np.frombuffer(("\n".join(texts) + "\n").encode(), dtype=np.uint8)
    ends = np.flatnonzero(content == 10)
    spans = np.stack([np.concatenate(([0], ends[:-1] + 1)), ends], axis=1)[None].astype(np.int64)
    whole = {form: plain_times(content, spans, form) for form in formats}
    fit = {form: (at, kinds) for form, (at, kinds) in whole.items() if (kinds != clock.NO_TIME).all()}
    if not fit:
        return None
    steps = {form: np.diff(at) for form, (at, _) in fit.items()}
    return _told_apart(fit, steps)


def _told_apart(
    fit: dict[str, tuple[NDArray[np.int64], NDArray[np.uint8]]], steps: dict[str, NDArray[np.int64]]
) -> Clock:
    formats = list(fit)
    first_at, first_kinds = fit[formats[0]]
    offset = bool((first_kinds == clock.WITH_OFFSET).all())
    back = bool(len(first_at) > 2 and (steps[formats[0]] <= 0).all() and (steps[formats[0]] < 0).any())
    if len(formats) == 1:
        return Clock((formats[0],), "all times fit it, and no other format that is known here does", offset, back)
    largest = {form: int(np.abs(step).max()) if len(step) else 0 for form, step in steps.items()}
    near = [form for form in formats if largest[form] <= DAY]
    if len(near) == 1 and len(near) < len(formats):
        other = max((form for form in formats if form not in near), key=lambda form: largest[form])
        why = f"under '{other}' the rows would leave a hole of {largest[other] // DAY} days, under this one they follow each other"
        return Clock((near[0],), why, offset, back)
    if form := dotted(formats):
        return Clock((form,), "dates with points name the day first (common practice, no source)", offset, back)
    return Clock(tuple(formats), "the rows do not tell the day from the month", offset, back)


def dotted(formats: Sequence[str]) -> str:
    """Of formats with points between day, month and a year of four digits, the one with the day first; '' for others."""
    first = [form for form in formats if "%d.%m.%Y" in form]
    return first[0] if len(first) == 1 and all(".%Y" in form for form in formats) else ""


def counted(texts: Sequence[str], heading: str, unit: str, decimal_sign: str) -> Clock | None:
    """A format that counts: since 1970, in days since 1900, or from a start; None where the column is no such thing."""
    if all(re.fullmatch(LENGTH_OF_TIME, text) for text in texts) and texts:
        return _length_or_time_of_day(texts, heading)
    try:
        numbers = np.array([float(text.replace(decimal_sign, ".")) for text in texts])
    except ValueError:
        return None
    steps = np.diff(numbers)
    if not len(numbers) or not np.isfinite(numbers).all() or ((steps < 0).any() and (steps > 0).any()):
        return None
    back = bool(len(steps) and (steps <= 0).all() and (steps < 0).any())
    if numbers.min() >= 1e9 and numbers.max() < 4.2e9:
        return Clock(("epoch s",), f"{texts[0]} is a count of seconds since 1970", newest_first=back)
    if numbers.min() >= 1e12 and numbers.max() < 4.2e12:
        return Clock(("epoch ms",), f"{texts[0]} is a count of milliseconds since 1970", newest_first=back)
    if numbers.min() >= 30_000 and numbers.max() < 80_000 and (numbers % 1).any():
        return Clock(
            ("excel days",), f"{texts[0]} is a count of days since 1900, as Excel keeps dates", newest_first=back
        )
    words = [word for word in re.split(r"[^a-z]+", f"{unit} {heading}".lower()) if word in ELAPSED_UNITS]
    if words:
        return Clock((ELAPSED_UNITS[words[0]],), f"the header says '{unit or heading}'", newest_first=back)
    if (steps > 0).all() and len(steps):
        forms = ("elapsed s", "elapsed min", "elapsed h", "elapsed ms")
        return Clock(forms, "the numbers grow from row to row, and nothing says what they count")
    return None


def _length_or_time_of_day(texts: Sequence[str], heading: str) -> Clock:
    form = time_of_day(texts[0])
    hours = [int(re.split(r"[ .d]", text.partition(":")[0])[-1]) for text in texts]  # behind the days, if there are any
    falls = sum(b < a for a, b in pairwise(hours))
    if any(hour > 23 for hour in hours) or re.search(r"elapsed|duration|lapsed", heading, re.I) or not form:
        return Clock((ELAPSED_CLOCK,), "the column counts hours, minutes and seconds")
    if falls or hours[0] > 0:
        return Clock((form,), "times of day without a date")
    return Clock((ELAPSED_CLOCK, form), "the column begins near 0:00: elapsed time, or a time of day without its date")
