"""The folder of judgements: the newest at the top, every one under its number, with its record or without."""

from pathlib import Path

import pytest

from curewright.record import folder as kept_in
from curewright.record.container import NAME as CONTAINER
from curewright.record.folder import RECORD, keep, keep_record, kept
from curewright.record.seal import sealed_text
from curewright.record.verdicts import Document


def numbered(document: Document, number: int) -> Document:
    return document | {"judgement": document["judgement"] | {"number": number}}


def put(out: Path, document: Document, record: dict[str, bytes] | None) -> None:
    keep(out, document, sealed_text(document))
    if record is not None:
        keep_record(out, document, record)


def there(out: Path) -> dict[str, bytes]:
    return {
        path.relative_to(out).as_posix(): path.read_bytes()
        for path in out.rglob("*")
        if path.name in (RECORD, CONTAINER)
    }


def test_a_record_lies_at_the_top_and_under_its_number(document: Document, tmp_path: Path) -> None:
    put(tmp_path, document, {RECORD: b"a", CONTAINER: b"b"})
    assert there(tmp_path) == {
        RECORD: b"a",
        CONTAINER: b"b",
        f"judgements/0001/{RECORD}": b"a",
        f"judgements/0001/{CONTAINER}": b"b",
    }
    assert len(kept(tmp_path)) == 1


def test_a_print_on_other_paper_takes_the_place_of_the_first(document: Document, tmp_path: Path) -> None:
    put(tmp_path, document, {RECORD: b"a4", CONTAINER: b"b"})
    put(tmp_path, document, {RECORD: b"letter"})
    assert there(tmp_path) == {RECORD: b"letter", f"judgements/0001/{RECORD}": b"letter"}


def test_judging_again_without_a_record_leaves_the_one_there_is(document: Document, tmp_path: Path) -> None:
    put(tmp_path, document, {RECORD: b"a"})
    put(tmp_path, document, None)
    assert there(tmp_path) == {RECORD: b"a", f"judgements/0001/{RECORD}": b"a"}


def test_at_the_top_is_never_the_record_of_an_older_judgement(document: Document, tmp_path: Path) -> None:
    put(tmp_path, document, {RECORD: b"a", CONTAINER: b"b"})
    put(tmp_path, numbered(document, 2), None)
    assert there(tmp_path) == {f"judgements/0001/{RECORD}": b"a", f"judgements/0001/{CONTAINER}": b"b"}


def test_a_large_file_has_two_names_and_takes_its_room_once(
    document: Document, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(kept_in, "LARGE", 10)
    put(tmp_path, document, {RECORD: b"small", CONTAINER: b"large " * 10})
    assert (tmp_path / CONTAINER).samefile(tmp_path / "judgements" / "0001" / CONTAINER)
    assert not (tmp_path / RECORD).samefile(tmp_path / "judgements" / "0001" / RECORD)
    put(tmp_path, numbered(document, 2), {RECORD: b"other", CONTAINER: b"another" * 10})
    assert (tmp_path / "judgements" / "0001" / CONTAINER).read_bytes() == b"large " * 10
    assert not list(tmp_path.rglob("*.part"))


def test_where_a_disk_gives_no_second_name_it_is_copied(
    document: Document, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def refused(self: Path, other: Path) -> None:
        raise OSError(1, "Operation not permitted")

    monkeypatch.setattr(kept_in, "LARGE", 10)
    monkeypatch.setattr(Path, "hardlink_to", refused)
    put(tmp_path, document, {RECORD: b"a", CONTAINER: b"large " * 10})
    assert there(tmp_path)[CONTAINER] == b"large " * 10
