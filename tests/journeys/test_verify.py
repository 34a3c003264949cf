"""A changed byte anywhere in a record is found, offline; what was not changed is said to be whole."""

import io
import json
import subprocess
import zipfile
from pathlib import Path
from shutil import copytree

import pikepdf
import pytest

from curewright.record.folder import keep
from curewright.record.seal import sealed_text
from curewright.record.verdicts import read_verdicts
from curewright.record.verify import verify
from tests.conftest import ROOT
from tests.journeys.conftest import Curewright

RECORD = "cure-record.pdf"


def wrong(path: Path) -> list[str]:
    return [f"{one.file}: {one.wrong}" for one in verify(path) if one.wrong]


def changed(file: Path, place: int, bit: int = 0) -> None:
    content = bytearray(file.read_bytes())
    content[place] ^= 1 << bit
    file.write_bytes(content)


@pytest.fixture
def verdicts(demo_folder: Path) -> Path:
    return demo_folder / "verdicts"


def test_as_it_was_written_it_is_whole(demo_folder: Path, curewright: Curewright) -> None:
    for path in (demo_folder, demo_folder / "verdicts", demo_folder / "verdicts" / RECORD):
        done = curewright("verify", path)
        assert done.returncode == 0, done.stdout
        assert "✗" not in done.stdout
        assert "all as written" in done.stdout
        assert "does not show who wrote it" in done.stdout


def test_a_changed_record_ends_with_20(verdicts: Path, curewright: Curewright) -> None:
    changed(verdicts / RECORD, 5000)
    done = curewright("verify", verdicts / RECORD)
    assert done.returncode == 20
    assert "✗ CHANGED: 1 of 1 are not what was written (exit code 20)" in done.stdout
    done = curewright("verify", verdicts)
    assert done.returncode == 20
    assert "✗ cure-record.pdf: it is not the one of judgements/0001" in done.stdout


def test_a_changed_export_beside_an_intact_record_is_named_and_ends_with_21(
    demo_folder: Path, curewright: Curewright
) -> None:
    changed(demo_folder / "recorder.csv", 5000)
    (demo_folder / "load.yaml").write_text("part: [\n")
    (demo_folder / "entries.yaml").unlink()
    for path in (demo_folder, demo_folder / "verdicts", demo_folder / "verdicts" / RECORD):
        done = curewright("verify", path)
        assert done.returncode == 21, done.stdout
        last = done.stdout.splitlines()[-2]
        assert last.startswith("✗ the files this judgement was made from: ")
        for said in (
            "recorder.csv has CHANGED since",
            "load.yaml has CHANGED since",
            "entries.yaml is NOT THERE any more",
        ):
            assert said in last
        assert "vessel.yaml" not in last
        assert "✓ vessel.yaml: as it was judged" in done.stdout
    changed(demo_folder / "verdicts" / RECORD, 5000)  # a changed record comes first
    assert curewright("verify", demo_folder).returncode == 20


def test_of_a_single_pdf_it_says_what_was_compared(demo_folder: Path, tmp_path: Path, curewright: Curewright) -> None:
    done = curewright("verify", demo_folder / "verdicts" / RECORD)
    assert f"and the 8 files it was made from, in {demo_folder}. Not compared: verdicts and other" in done.stdout
    lone = tmp_path / "archive" / "of" / RECORD
    lone.parent.mkdir(parents=True)
    lone.write_bytes((demo_folder / "verdicts" / RECORD).read_bytes())
    done = curewright("verify", lone)
    assert done.returncode == 0
    assert "none of them lies beside the record" in done.stdout


def test_a_specification_in_a_folder_of_its_own_is_found(demo_folder: Path, curewright: Curewright) -> None:
    """The record has its name without that folder."""
    (demo_folder / "papers").mkdir()
    paper = demo_folder / "specification-EX-180-M.yaml"
    paper.rename(demo_folder / "papers" / paper.name)
    assert curewright("verify", demo_folder).returncode == 0


def test_a_lone_record_shows_any_changed_byte(verdicts: Path, tmp_path: Path) -> None:
    """Every 997th byte, and every byte of the head, the tail, the metadata and around each attached file."""
    pdf = (verdicts / RECORD).read_bytes()
    places = set(range(0, len(pdf), 997)) | set(range(64)) | set(range(len(pdf) - 64, len(pdf)))
    for mark in (b"curewright-sha256-", b"/EmbeddedFile", b"/AFRelationship", b"xmpMM:InstanceID", b"/ID["):
        at = pdf.find(mark)
        assert at > 0
        places |= set(range(at - 8, min(at + 96, len(pdf))))
    lone = tmp_path / RECORD
    for number, place in enumerate(sorted(places)):
        lone.write_bytes(pdf[:place] + bytes([pdf[place] ^ (1 << number % 8)]) + pdf[place + 1 :])
        assert wrong(lone), place


def test_other_tools_find_the_same_digest(verdicts: Path) -> None:
    """The two lines of docs/cure-record.md, with grep, sed and sha256sum."""
    page = (ROOT / "docs" / "cure-record.md").read_text(encoding="utf-8")
    said, found = (
        subprocess.run(["bash", "-c", line], cwd=verdicts, capture_output=True, text=True, check=True).stdout
        for line in page.splitlines()
        if line.startswith(("grep -a", "LC_ALL=C sed"))
    )
    assert said.strip() == f"curewright-sha256-{found.split()[0]}"


def test_a_record_saved_anew_by_another_program_is_no_longer_it(verdicts: Path, tmp_path: Path) -> None:
    saved = tmp_path / RECORD
    with pikepdf.open(verdicts / RECORD) as pdf:
        pdf.save(saved)
    assert wrong(saved)


@pytest.mark.parametrize("name", ["verdicts.json", "verdicts.csv", RECORD])
@pytest.mark.parametrize("place", ["", "judgements/0001/"])
def test_every_kept_file_is_looked_at(verdicts: Path, name: str, place: str) -> None:
    file = verdicts / (place + name)
    size = file.stat().st_size
    for at in (0, size // 3, size // 2, size - 1):
        changed(file, at, 1)
        assert any(name in line for line in wrong(verdicts)), at
        changed(file, at, 1)
    assert wrong(verdicts) == []


def test_a_missing_file_is_found(verdicts: Path) -> None:
    (verdicts / RECORD).unlink()
    assert wrong(verdicts) == ["cure-record.pdf: it is not the one of judgements/0001"]


def test_a_record_beside_verdicts_of_another_judgement_is_found(demo_folder: Path, curewright: Curewright) -> None:
    old = (demo_folder / "verdicts" / RECORD).read_bytes()
    curewright("judge", demo_folder, "--person", "engineer C")
    for place in ("", "judgements/0002/"):
        (demo_folder / "verdicts" / place / RECORD).write_bytes(old)
    assert any("verdicts.json beside the PDF" in line for line in wrong(demo_folder / "verdicts"))


def test_verdicts_sealed_again_do_not_fit_the_record(verdicts: Path) -> None:
    """Whoever makes the margin bigger and seals the file anew still has the record against him."""
    document = read_verdicts((verdicts / "verdicts.json").read_text(encoding="utf-8"))
    document["verdicts"][0]["reason"] = "better"
    keep(verdicts, document, sealed_text(document))
    assert any("verdicts.json beside the PDF" in line for line in wrong(verdicts))


def test_nothing_to_verify_is_unusable_input(tmp_path: Path, curewright: Curewright) -> None:
    done = curewright("verify", tmp_path)
    assert done.returncode == 65
    assert "no judgement is kept here" in done.stderr
    other = tmp_path / "other.pdf"
    other.write_bytes(b"%PDF-1.7 nothing of ours")
    assert curewright("verify", other).returncode == 20
    assert curewright("verify", tmp_path / "missing.pdf").returncode == 2


# ---------------------------------------------------------------------------------------------------------------- large recordings
@pytest.fixture(scope="module")
def large(demo_judged: tuple[Path, object], tmp_path_factory: pytest.TempPathFactory, curewright: Curewright) -> Path:
    """The demo with a recording that is too large to attach: a column that is not read, of eleven thousand letters a row."""
    folder = copytree(demo_judged[0], tmp_path_factory.mktemp("large") / "run")
    log, layout = folder / "recorder.csv", folder / "layout.yaml"
    preamble, header, rows = (
        log.read_bytes()[:-2].split(b"\r\n")[:3],
        b",Remarks",
        log.read_bytes()[:-2].split(b"\r\n")[3:],
    )
    remarked = [rows[0] + header, rows[1] + b",", *(row + b"," + b"remark " * 1600 for row in rows[2:])]
    log.write_bytes(b"\r\n".join([*preamble, *remarked]) + b"\r\n")
    layout.write_text(layout.read_text() + "not read: [Remarks]\n")
    done = curewright("judge", folder, "--out", folder / "out")
    assert done.returncode == 10, done.stderr
    return folder


def test_large_recordings_lie_in_a_container_beside(large: Path) -> None:
    out = large / "out"
    with zipfile.ZipFile(out / "cure-record-recordings.zip") as archive:
        assert archive.namelist() == ["recorder.csv"]
        assert archive.read("recorder.csv") == (large / "recorder.csv").read_bytes()
    with pikepdf.open(out / RECORD) as pdf:
        assert "recorder.csv" not in pdf.attachments
        manifest = json.loads(pdf.attachments["manifest.json"].get_file().read_bytes())
    assert manifest["container"]["bytes"] == (out / "cure-record-recordings.zip").stat().st_size
    assert (out / RECORD).stat().st_size < 3 * 10**6
    assert wrong(out) == []


def test_a_changed_byte_in_the_container_is_found(large: Path, tmp_path: Path) -> None:
    out = copytree(large / "out", tmp_path / "out")
    box = out / "judgements" / "0001" / "cure-record-recordings.zip"
    size = box.stat().st_size
    for place in (*range(0, size, max(1, size // 40)), size - 1):
        changed(box, place)
        assert wrong(out)
        changed(box, place)
    assert wrong(out) == []
    box.unlink()
    assert any("it is missing" in line for line in wrong(out))


def test_a_container_that_was_packed_anew_is_found(large: Path, tmp_path: Path) -> None:
    out = copytree(large / "out", tmp_path / "out")
    box = out / "cure-record-recordings.zip"
    with zipfile.ZipFile(io.BytesIO(box.read_bytes())) as old, zipfile.ZipFile(box, "w") as new:
        new.writestr("recorder.csv", old.read("recorder.csv"))
    assert wrong(out / RECORD)


def test_a_manifest_sealed_anew_does_not_help(verdicts: Path, tmp_path: Path) -> None:
    """Its own seal would fit; the digest of the PDF does not."""
    forged = tmp_path / RECORD
    with pikepdf.open(verdicts / RECORD) as pdf:
        manifest = json.loads(pdf.attachments["manifest.json"].get_file().read_bytes())
        manifest["files"] = manifest["files"][1:]
        pdf.attachments["manifest.json"] = pikepdf.AttachedFileSpec(pdf, sealed_text(manifest).encode())
        pdf.save(forged)
    assert wrong(forged)


@pytest.mark.parametrize(
    "name, content, found",
    [
        ("notes.txt", b"Cure notes of run 7\nnothing else\n", "a text file that begins with 'Cure notes of run 7'"),
        ("empty.pdf", b"", "an empty file"),
        ("cure-record-recordings.zip", b"PK\x03\x04rest", "a ZIP archive"),
        ("photo.jpg", b"\xff\xd8\xff\0\x10JFIF", "a file of another kind (9 bytes)"),
    ],
)
def test_what_is_no_record_is_refused_and_not_called_changed(
    tmp_path: Path, curewright: Curewright, name: str, content: bytes, found: str
) -> None:
    (tmp_path / name).write_bytes(content)
    done = curewright("verify", tmp_path / name)
    assert (done.returncode, done.stdout) == (65, "")
    for said in (
        f"this is no cure record but {found}",
        "expected the PDF of a cure record",
        "name the run's folder",
        name,
    ):
        assert said in done.stderr


def test_verdicts_alone_are_checked_by_their_seal(verdicts: Path, tmp_path: Path) -> None:
    alone = tmp_path / "verdicts.json"
    alone.write_bytes((verdicts / "verdicts.json").read_bytes())
    assert [(one.file, one.wrong) for one in verify(alone)] == [("verdicts.json", "")]
    changed(alone, 500)
    assert len(wrong(alone)) == 1
