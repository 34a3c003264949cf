"""Dates and times of day to nanoseconds since 1970, one pass over their bytes. What is not plainly a time is left to the careful reading.

A date has to be one of the calendar (Gregorian, 1900 to 2199; the count of days is that of Hinnant, "chrono-compatible low-level date
algorithms"). Hour 24 is the midnight at the end of a day (ISO 8601). A fraction of a second has one to nine digits.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.physics.compiled import compiled

if TYPE_CHECKING:
    from numpy.typing import NDArray

# what a form is made of; a number of 0 or more stands for that very byte
YEAR, SHORT_YEAR, MONTH, DAY, HOUR, HOUR_12, MINUTE, SECOND, FRACTION, HALF, MONTH_NAME, BLANKS, ISO = range(
    -1, -14, -1
)
NO_TIME, LOCAL, WITH_OFFSET = 0, 1, 2  # what a text turned out to be
FIRST_YEAR, LAST_YEAR = 1900, 2199
LONGEST = 64  # bytes of a time with its date
SPACE, TAB, PLUS, MINUS, POINT, COMMA, COLON, LOWER = 32, 9, 43, 45, 46, 44, 58, 32
MONTHS = np.frombuffer(b"janfebmaraprmayjunjulaugsepoctnovdec", dtype=np.uint8)
IN_FULL = (7, 8, 5, 5, 3, 4, 4, 6, 9, 7, 8, 8)
LENGTHS = (31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31)


def _digits(text: NDArray[np.uint8], i: int, end: int, least: int, most: int) -> tuple[int, int]:
    """``(behind, value)`` of a number of ``least`` to ``most`` digits at ``i``; -1 where there is none."""
    first, value = i, 0
    while i < end and i - first < most and 48 <= text[i] <= 57:
        value = value * 10 + (int(text[i]) - 48)
        i += 1
    return (i, value) if i - first >= least else (-1, 0)


def _fraction(text: NDArray[np.uint8], i: int, end: int) -> tuple[int, int]:
    """``(behind, ns)`` of one to nine digits after a decimal sign."""
    behind, value = digits(text, i, end, 1, 9)
    for _ in range(9 - (behind - i)):
        value *= 10
    return behind, value


def _month_name(text: NDArray[np.uint8], i: int, end: int) -> tuple[int, int]:
    """``(behind, 1 to 12)`` of an English name of a month, in full or its first three letters."""
    for month in range(12):
        if i + 3 <= end and (
            text[i] | LOWER == MONTHS[3 * month]
            and text[i + 1] | LOWER == MONTHS[3 * month + 1]
            and text[i + 2] | LOWER == MONTHS[3 * month + 2]
        ):
            behind = i + 3
            while behind < end and 97 <= text[behind] | LOWER <= 122:
                behind += 1
            return (behind, month + 1) if behind - i in (3, IN_FULL[month]) else (-1, 0)
    return -1, 0


def _days(year: int, month: int, day: int) -> int:
    """Days since 1970-01-01; a value far below every date where there is no such day."""
    leap = year % 4 == 0 and (year % 100 != 0 or year % 400 == 0)
    if not (FIRST_YEAR <= year <= LAST_YEAR and 1 <= month <= 12 and day >= 1):
        return -(10**9)
    if day > LENGTHS[month - 1] + (1 if leap and month == 2 else 0):
        return -(10**9)
    y = year - 1 if month <= 2 else year
    era, of_era = y // 400, y % 400
    of_year = (153 * (month + (-3 if month > 2 else 9)) + 2) // 5 + day - 1
    return era * 146097 + of_era * 365 + of_era // 4 - of_era // 100 + of_year - 719468


def _offset(text: NDArray[np.uint8], i: int, end: int) -> tuple[int, int]:
    """``(behind, minutes east)`` of ``Z``, ``+01:00``, ``+0100`` or ``+01``."""
    if text[i] | LOWER == 122:
        return i + 1, 0
    sign = -1 if text[i] == MINUS else 1
    if text[i] != PLUS and text[i] != MINUS:
        return -1, 0
    behind, hours = digits(text, i + 1, end, 2, 2)
    minutes = 0
    if 0 <= behind < end:
        behind, minutes = digits(text, behind + 1 if text[behind] == COLON else behind, end, 2, 2)
    return (behind, sign * (60 * hours + minutes)) if behind >= 0 and hours < 15 and minutes < 60 else (-1, 0)


def _time(text: NDArray[np.uint8], end: int, form: NDArray[np.int64]) -> tuple[int, int]:
    """``(NO_TIME, LOCAL or WITH_OFFSET, ns since 1970)`` of ``text[:end]`` under a form; with an offset it is UTC."""
    year, month, day, hour, minute, second, ns, half, offset = 1970, 1, 1, 0, 0, 0, 0, -1, 10**6
    i = 0
    for part in form:
        if part == BLANKS:
            first = i
            while i < end and (text[i] == SPACE or text[i] == TAB):
                i += 1
            if i == first:
                return NO_TIME, 0
        elif part >= 0:
            if i >= end or text[i] != part:
                return NO_TIME, 0
            i += 1
        elif part == YEAR:
            i, year = digits(text, i, end, 4, 4)
        elif part == SHORT_YEAR:
            i, year = digits(text, i, end, 2, 2)
            year += 1900 if year >= 69 else 2000  # as POSIX strptime has it
        elif part == MONTH:
            i, month = digits(text, i, end, 1, 2)
        elif part == MONTH_NAME:
            i, month = month_name(text, i, end)
        elif part == DAY:
            i, day = digits(text, i, end, 1, 2)
        elif part in (HOUR, HOUR_12):
            i, hour = digits(text, i, end, 1, 2)
            if part == HOUR_12 and not 1 <= hour <= 12:
                return NO_TIME, 0
        elif part == MINUTE:
            i, minute = digits(text, i, end, 1, 2)
        elif part == SECOND:
            i, second = digits(text, i, end, 1, 2)
        elif part == FRACTION:
            i, ns = fraction(text, i, end)
        elif part == HALF:
            if i >= end or (text[i] | LOWER != 97 and text[i] | LOWER != 112):
                return NO_TIME, 0
            half = 0 if text[i] | LOWER == 97 else 12
            i += 1
            if i < end and text[i] == POINT:
                i += 1
            if i >= end or text[i] | LOWER != 109:
                return NO_TIME, 0
            i += 1
            if i < end and text[i] == POINT:
                i += 1
        else:  # the rest of an ISO 8601 time, behind the minutes
            if i < end and text[i] == COLON:
                i, second = digits(text, i + 1, end, 2, 2)
                if 0 <= i < end and (text[i] == POINT or text[i] == COMMA):
                    i, ns = fraction(text, i + 1, end)
            if 0 <= i < end:
                i, offset = zone_offset(text, i, end)
        if i < 0:
            return NO_TIME, 0
    if half >= 0:
        hour = hour % 12 + half
    since = days(year, month, day)
    midnight = hour == 24 and minute == 0 and second == 0 and ns == 0
    if i != end or since < -(10**8) or (hour > 23 and not midnight) or minute > 59 or second > 59:
        return NO_TIME, 0
    whole = (((since * 24 + hour) * 60 + minute) * 60 + second) * 10**9 + ns
    return (LOCAL, whole) if offset == 10**6 else (WITH_OFFSET, whole - offset * 60 * 10**9)


def _times(
    text: NDArray[np.uint8],
    spans: NDArray[np.int64],
    form: NDArray[np.int64],
    instants: NDArray[np.int64],
    kinds: NDArray[np.uint8],
) -> None:
    """The times of all rows: ``instants`` in ns since 1970 (local or UTC as ``kinds`` says), shape (rows,).

    spans : int64, shape (columns, rows, 2): first and last byte of each part of a time (date and time of day, joined by a blank)
    form : int64: the parts of the form, see above
    """
    whole = np.empty(LONGEST, dtype=np.uint8)
    for row in range(len(instants)):
        end = 0
        for column in range(spans.shape[0]):
            if column > 0 and end < LONGEST:
                whole[end] = SPACE
                end += 1
            for i in range(spans[column, row, 0], spans[column, row, 1]):
                if end < LONGEST:
                    whole[end] = text[i]
                end += 1
        kind, at = (NO_TIME, 0) if end > LONGEST else time(whole, end, form)
        kinds[row] = kind
        instants[row] = at


digits = compiled("UniTuple(int64, 2)(uint8[::1], int64, int64, int64, int64)")(_digits)
fraction = compiled("UniTuple(int64, 2)(uint8[::1], int64, int64)")(_fraction)
month_name = compiled("UniTuple(int64, 2)(uint8[::1], int64, int64)")(_month_name)
days = compiled("int64(int64, int64, int64)")(_days)
zone_offset = compiled("UniTuple(int64, 2)(uint8[::1], int64, int64)")(_offset)
time = compiled("UniTuple(int64, 2)(uint8[::1], int64, int64[::1])")(_time)
times = compiled("void(Array(uint8, 1, 'C', readonly=True), int64[:, :, ::1], int64[::1], int64[::1], uint8[::1])")(
    _times
)
