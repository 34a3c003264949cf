"""The container for large recordings: a ZIP that any program opens, the same bytes for the same files."""

import io
import zipfile

from curewright.record.container import container

FILES = [("a.csv", b"1,2\n" * 5000), ("logs/b.csv", b"\xff\x00 raw"), ("Prüfung.csv", b"")]


def test_the_files_come_back_as_they_were() -> None:
    with zipfile.ZipFile(io.BytesIO(container(FILES))) as archive:
        assert archive.testzip() is None
        assert [(name, archive.read(name)) for name in archive.namelist()] == FILES


def test_the_same_files_give_the_same_bytes_whenever_they_are_written() -> None:
    assert container(FILES) == container(iter(FILES))
    with zipfile.ZipFile(io.BytesIO(container(FILES))) as archive:
        assert {entry.date_time for entry in archive.infolist()} == {(1980, 1, 1, 0, 0, 0)}


def test_rows_of_numbers_become_smaller() -> None:
    assert len(container(FILES[:1])) < len(FILES[0][1]) / 10
