"""The record of a judgement: what belongs to it, and what may not have changed since it was judged."""

import subprocess
import sys
from pathlib import Path

import pytest

from curewright.jobs import packing
from curewright.jobs import write_record as writing
from curewright.jobs.demo import write_demo
from curewright.jobs.judge_run import document_of, judge_run, judged
from curewright.jobs.understand_run import RunFiles, Understood, understand_run
from curewright.jobs.write_record import papers_of
from curewright.record.container import NAME as CONTAINER
from curewright.record.cure_record.papers import Papers, Print
from curewright.record.folder import RECORD
from curewright.record.verdicts import verdicts_text
from curewright.record.verify import verify
from curewright.terms.errors import FileError
from curewright.terms.verdict import Judgement

Judged = tuple[Understood, Judgement]


@pytest.fixture(scope="module")
def shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    folder = tmp_path_factory.mktemp("shop")
    write_demo(folder)
    return folder


@pytest.fixture
def demo(shop: Path) -> Judged:
    understood = understand_run(RunFiles(shop))
    return understood, judged(understood, shop, number=1, person="operator A", at="")


def papers(demo: Judged) -> tuple[Papers, list[str], str, bytes | None]:
    document = document_of(*demo, None)
    read = writing._read(demo[0])
    beside = writing._container(read)
    made, attached, manifest = papers_of(demo[0], document, verdicts_text(document), read, beside)
    return made, [file.name for file, _ in attached], manifest, beside


def test_every_file_that_was_read_belongs_to_it_once(demo: Judged) -> None:
    made, attached, _, beside = papers(demo)
    names = [name for name, _ in demo[0].files]
    assert sorted(file.name for file in made.files) == sorted([*names, "verdicts.json"])
    assert attached == [file.name for file in made.files]
    assert beside is None
    roles = {file.name: file.role for file in made.files}
    assert roles["recorder.csv"] == "recording"
    assert roles["run.yaml"] == "run sheet"
    assert roles["specification-EX-177-2.yaml"] == "specification"


@pytest.mark.parametrize("over", [0, 1])
def test_recordings_are_attached_up_to_the_limit_and_beside_from_one_byte_more(
    demo: Judged, shop: Path, monkeypatch: pytest.MonkeyPatch, over: int
) -> None:
    monkeypatch.setattr(packing, "ATTACHED_RECORDINGS", (shop / "recorder.csv").stat().st_size - over)
    made, attached, _, beside = papers(demo)
    assert ("recorder.csv" in attached) is (over == 0)
    assert (beside is not None) is (over == 1)
    assert (made.container is not None) is (over == 1)


def test_a_file_that_changed_since_it_was_judged_is_refused(demo: Judged, shop: Path) -> None:
    log = shop / "recorder.csv"
    before = log.read_bytes()
    log.write_bytes(before + b"\r\n")
    with pytest.raises(FileError, match="has changed since it was read") as refused:
        papers(demo)
    log.write_bytes(before)
    assert "recorder.csv" in str(refused.value)


def test_a_judgement_is_kept_even_where_its_record_cannot_be_printed(
    shop: Path, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    def broken(*_: object, **__: object) -> None:
        raise AssertionError("the typesetter is broken")

    monkeypatch.setattr("curewright.jobs.judge_run.write_record", broken)
    with pytest.raises(AssertionError, match="typesetter"):
        judge_run(RunFiles(shop), tmp_path, how=Print())
    assert (tmp_path / "judgements" / "0001" / "verdicts.json").is_file()


def test_each_step_is_told_and_the_record_verifies(shop: Path, tmp_path: Path) -> None:
    steps: list[str] = []
    judge_run(RunFiles(shop), tmp_path, how=Print(), step=steps.append)
    assert steps[:2] == ["reading the files", "judging"]
    assert steps[-1] == "printing the record"
    assert (tmp_path / RECORD).is_file()
    assert not (tmp_path / CONTAINER).exists()
    assert not [one for one in verify(tmp_path) if one.wrong]


def test_a_judgement_and_its_record_import_nothing_that_only_predicts_or_fits(shop: Path, tmp_path: Path) -> None:
    """Half a second for whoever waits for a record; an estimate of the cure, where one is asked for, needs it."""
    heavy = ("scipy.stats", "scipy.optimize", "scipy.linalg", "matplotlib", "curewright.predict.band")
    code = (
        "import sys\nfrom curewright.cli.main import cli\n"
        f"cli(['judge', {str(shop)!r}, '--out', {str(tmp_path)!r}], standalone_mode=False)\n"
        f"print([name for name in {heavy} if name in sys.modules], file=sys.stderr)"
    )
    done = subprocess.run([sys.executable, "-c", code], capture_output=True, text=True, check=True)
    assert (tmp_path / RECORD).is_file()
    assert done.stderr.strip() == "[]"
