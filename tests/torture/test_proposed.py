"""The torture set through proposed layouts: read exactly as it was recorded, or refused with the cause; nothing silently different."""

import re

import pytest

from curewright.terms.errors import CurewrightError
from tests.torture.case import Case, refused
from tests.torture.expected import differs
from tests.torture.exports import CASES
from tests.torture.proposed import layout_of
from tests.torture.reading import Reading, read

TO_BE_REFUSED = refused()
ROWS_LEFT_OUT = {"header": "header", "footer": "layout leaves out", "unfinished": "cut off"}


def read_all(case: Case) -> Reading:
    """All files of a case, each through its layout."""
    samples, account = {}, ()
    for n, (file, content) in enumerate(case.files):
        reading = read(content, file, layout_of(case, n))
        samples |= reading.samples
        account += reading.account
    return Reading(samples, account)


@pytest.mark.parametrize("name", [name for name in CASES if name not in TO_BE_REFUSED])
def test_an_export_is_read_exactly_as_it_was_recorded(name):
    case = CASES[name]()
    assert case.tracks
    reading = read_all(case)
    assert differs(case, reading) == []
    _rows_are_counted(case, reading)


def _rows_are_counted(case: Case, reading: Reading) -> None:
    """Rows that became no samples are counted, by cause."""
    counted = {
        one.cause: one.count for group in reading.account[1::2] for one in group if one.of == "rows" and one.left_out
    }
    for why, rows in case.set_aside.items():
        if why in ROWS_LEFT_OUT:
            assert sum(count for cause, count in counted.items() if ROWS_LEFT_OUT[why] in cause) == rows, counted


@pytest.mark.parametrize("name", TO_BE_REFUSED)
def test_an_export_is_refused_with_its_cause(name):
    cause, reason = TO_BE_REFUSED[name]
    with pytest.raises(CurewrightError) as error:
        read_all(CASES[name]())
    assert re.search(cause, str(error.value), re.IGNORECASE), f"{error.value}\n({reason})"
