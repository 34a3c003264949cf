"""The compiled reading of dates and times, held against Python's own datetime; different words against Python's dict."""

from datetime import datetime, timedelta

import numpy as np
import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.read.kernels import clock
from curewright.read.kernels.words import words
from curewright.read.times import plain_times

EPOCH = datetime(1970, 1, 1)


def one(text: str, form: str) -> tuple[int, int]:
    content = np.frombuffer((text + "\n").encode(), dtype=np.uint8)
    instants, kinds = plain_times(content, np.array([[[0, len(content) - 1]]]), form)
    return int(kinds[0]), int(instants[0])


MOMENTS = st.datetimes(datetime(1900, 1, 1), datetime(2199, 12, 31, 23, 59, 59))
FORMS = [
    "%d.%m.%Y %H:%M:%S",
    "%m/%d/%Y %I:%M:%S %p",
    "%Y-%m-%d %H:%M:%S",
    "%d-%b-%Y %H:%M:%S",
    "%B %d, %Y %H:%M:%S",
    "%Y%m%d%H%M%S",
]


@pytest.mark.parametrize("form", FORMS)
@given(moment=MOMENTS)
def test_every_moment_is_that_of_strftime(form: str, moment: datetime) -> None:
    whole = moment.replace(microsecond=0)
    assert one(whole.strftime(form), form) == (clock.LOCAL, (whole - EPOCH) // timedelta(seconds=1) * 10**9)


@given(moment=MOMENTS, offset=st.integers(-14 * 60, 14 * 60))
def test_iso_with_and_without_an_offset(moment: datetime, offset: int) -> None:
    ns = (moment - EPOCH) // timedelta(microseconds=1) * 1000
    for sep in "T ":
        text = moment.isoformat(sep)
        assert one(text, "iso") == (clock.LOCAL, ns)
        sign, (hours, minutes) = "-" if offset < 0 else "+", divmod(abs(offset), 60)
        assert one(f"{text}{sign}{hours:02}:{minutes:02}", "iso") == (clock.WITH_OFFSET, ns - offset * 60 * 10**9)


@given(year=st.integers(1900, 2199), month=st.integers(0, 13), day=st.integers(0, 32))
def test_only_days_of_the_calendar_are_dates(year: int, month: int, day: int) -> None:
    try:
        real = datetime(year, month, day)
    except ValueError:
        real = None
    kind, at = one(f"{day}.{month}.{year} 00:00", "%d.%m.%Y %H:%M")
    assert (kind == clock.LOCAL) == (real is not None)
    assert real is None or at == (real - EPOCH) // timedelta(seconds=1) * 10**9


@pytest.mark.parametrize(
    "text",
    [
        "",
        "1.2.2031",
        "1.2.2031 10",
        "1.2.2031 10:1x",
        "x1.2.2031 10:00",
        "1.2.2031 10:00 ",
        "1.2.2031  25:00",
        "1.2.31 10:00",
        "1" * 80,
    ],
)
def test_what_is_not_plainly_a_time_is_left(text: str) -> None:
    assert one(text, "%d.%m.%Y %H:%M")[0] == clock.NO_TIME


@given(
    st.lists(st.sampled_from(["", "a", "ab", "ba", "b", "open", "closed", "Ω", *map(str, range(200))]), max_size=400)
)
def test_different_words_in_order_of_appearance(texts: list[str]) -> None:
    content = "\n".join([*texts, ""]).encode()
    ends = [i for i, byte in enumerate(content) if byte == 10]
    starts = [0, *(end + 1 for end in ends)][: len(ends)]
    spans = np.array(list(zip(starts, ends, strict=True)), dtype=np.int64).reshape(-1, 2)
    which = np.empty(len(texts), dtype=np.int64)
    first = words(np.frombuffer(content + b"\n", dtype=np.uint8), spans, which)
    found = [texts[i] for i in first.tolist()]
    assert found == list(dict.fromkeys(texts))
    assert [found[i] for i in which.tolist()] == texts
