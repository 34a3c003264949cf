"""Whatever is done to a file, it is read or refused with a message that names a place; nothing else comes out of the readers."""

from collections.abc import Callable

import pytest
from hypothesis import given
from hypothesis import strategies as st

from curewright.read.entries import read_entries
from curewright.read.layout_file import read_layout
from curewright.read.load import read_load
from curewright.read.ports import port_list
from curewright.read.recorder import read_export
from curewright.read.rulings import read_rulings
from curewright.read.run_sheet import read_run_sheet
from curewright.read.times import Clock, zone_named
from curewright.read.vessel import read_vessel
from curewright.terms.errors import CurewrightError, flat
from tests.unit.read.pages import example

CLOCK = Clock(zone_named("Europe/Berlin"), 1_930_423_200 * 10**9)
VESSEL = read_vessel(example("vessel", "yaml").encode(), "vessel.yaml", lambda _: example("ports", "csv").encode())
LAYOUT = read_layout(example("layout", "yaml").encode(), "layout.yaml")


def channels(content: bytes) -> object:
    export = read_export(content, "log.csv", LAYOUT)
    return export.channels(export.first)


READERS: dict[str, tuple[bytes, Callable[[bytes], object]]] = {
    "run": (example("run", "yaml").encode(), lambda content: read_run_sheet(content, "f")),
    "vessel": (
        example("vessel", "yaml").encode(),
        lambda content: read_vessel(content, "f", lambda _: b"port,kind,sensor\n"),
    ),
    "load": (example("load", "yaml").encode(), lambda content: read_load(content, "f", VESSEL, CLOCK)),
    "layout": (example("layout", "yaml").encode(), lambda content: read_layout(content, "f")),
    "entries": (example("entries", "yaml").encode(), lambda content: read_entries(content, "f", CLOCK)),
    "rulings": (example("rulings", "yaml").encode(), lambda content: read_rulings(content, "f", CLOCK)),
    "ports": (example("ports", "csv").encode(), lambda content: port_list(content, "f.csv")),
    "ports in a workbook": (b"PK\x03\x04", lambda content: port_list(content, "f.xlsx")),
    "log": (example("layout", "csv").encode("cp1252"), channels),
}
SIGNS = [
    b"",
    b"\n",
    b" ",
    b":",
    b"-",
    b'"',
    b"'",
    b"{",
    b"}",
    b"[",
    b"]",
    b",",
    b";",
    b"\t",
    b"#",
    b"%",
    b"|",
    b"\r",
    b"\x00",
    b"\xff",
]
WORDS = [b"&a", b"*a", b"!!", b"0", b"9999999999999999999", b"e400", b"nan", b"\xc3\xa9", b"inHg", b"1 psi", b"''"]
TIMES = [b"2031-13-45 99:99", b"9999-12-31 23:59", b"0001-01-01 00:00"]
PIECES = st.sampled_from([*SIGNS, *WORDS, *TIMES])


@st.composite
def damaged(draw: st.DrawFn, content: bytes) -> bytes:
    for _ in range(draw(st.integers(1, 4))):
        start = draw(st.integers(0, len(content)))
        end = draw(st.integers(start, min(len(content), start + 30)))
        content = content[:start] + draw(PIECES) + content[end:]
    return content


def refusal(name: str, content: bytes) -> tuple[CurewrightError, ...]:
    """The single errors that the reader has for a content; none where it reads it."""
    try:
        READERS[name][1](content)
    except CurewrightError as error:
        return flat(error) or (error,)
    return ()


@pytest.mark.parametrize("name", READERS)
@given(data=st.data())
def test_a_damaged_file_is_read_or_refused_with_a_place(name: str, data: st.DataObject) -> None:
    for error in refusal(name, data.draw(damaged(READERS[name][0]))):
        assert error.where is not None, str(error)
        assert error.where.file, str(error)
        assert error.found


@pytest.mark.parametrize("name", READERS)
@given(content=st.binary(max_size=200))
def test_any_bytes_are_read_or_refused(name: str, content: bytes) -> None:
    assert all(str(error) for error in refusal(name, content))


@pytest.mark.parametrize("name", READERS)
def test_the_undamaged_file_is_read(name: str) -> None:
    assert (refusal(name, READERS[name][0]) == ()) == (name != "ports in a workbook")
