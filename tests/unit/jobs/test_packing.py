"""Packing that is begun before the run is read: the same container, and only from the very bytes that were judged."""

from pathlib import Path

import pytest

from curewright.jobs import packing
from curewright.jobs.demo import write_demo
from curewright.jobs.judge_run import judge_run
from curewright.jobs.packing import packing_of
from curewright.jobs.understand_run import RunFiles
from curewright.record.container import NAME as CONTAINER
from curewright.record.cure_record.papers import Print
from curewright.record.folder import RECORD
from curewright.record.verify import verify


@pytest.fixture
def shop(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    """The demo, as if its recording were too large to attach."""
    folder = tmp_path / "shop"
    write_demo(folder)
    monkeypatch.setattr(packing, "ATTACHED_RECORDINGS", 1000)
    return folder


def printed(shop: Path, out: Path, begun: packing.Packed | None) -> dict[str, bytes]:
    judge_run(RunFiles(shop), out, how=Print(), packing=lambda: begun)
    assert not [one for one in verify(out) if one.wrong]
    return {name: (out / name).read_bytes() for name in (RECORD, CONTAINER)}


def test_the_record_has_the_same_bytes_whether_packing_was_begun_before_or_not(shop: Path, tmp_path: Path) -> None:
    begun = packing_of(shop / "run.yaml")()
    assert begun is not None
    assert begun.recordings[0][:2] == ("recorder.csv", (shop / "recorder.csv").read_bytes())
    before = printed(shop, tmp_path / "before", begun)
    assert before[CONTAINER] == begun.container
    assert before == printed(shop, tmp_path / "after", None)


def test_what_was_packed_of_other_bytes_than_were_judged_is_packed_anew(shop: Path, tmp_path: Path) -> None:
    log = shop / "recorder.csv"
    judged = log.read_bytes()
    log.write_bytes(judged + b"\r\n")
    begun = packing_of(shop / "run.yaml")()
    log.write_bytes(judged)
    made = printed(shop, tmp_path / "anew", begun)
    assert begun is not None
    assert made[CONTAINER] != begun.container
    assert made == printed(shop, tmp_path / "after", None)


def test_nothing_is_begun_for_small_recordings_or_a_sheet_that_cannot_be_read(shop: Path, tmp_path: Path) -> None:
    packing.ATTACHED_RECORDINGS = 10**9  # put back by the fixture
    assert packing_of(shop / "run.yaml")() is None
    packing.ATTACHED_RECORDINGS = 1000
    assert packing_of(tmp_path / "none.yaml")() is None
    (shop / "run.yaml").write_text("run: [")
    assert packing_of(shop / "run.yaml")() is None


def test_a_recording_that_is_gone_is_told_by_whoever_reads_the_run(shop: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    def gone(_: Path) -> bytes:
        raise FileNotFoundError("recorder.csv")

    names = packing._large(shop / "run.yaml")
    assert names == ["recorder.csv"]
    monkeypatch.setattr(packing, "_large", lambda _: names)
    monkeypatch.setattr(Path, "read_bytes", gone)
    assert packing_of(shop / "run.yaml")() is None
