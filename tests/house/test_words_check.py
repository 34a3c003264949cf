"""Words that may not land are found, in the files where they may not."""

from pathlib import Path

import pytest

from tools import words_check

ON_A_MACHINE = "/" + "work" + "/main/x.py"


@pytest.fixture
def root(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> Path:
    monkeypatch.setattr(words_check, "ROOT", tmp_path)
    return tmp_path


def test_a_path_of_one_machine_is_found_with_its_place(root):
    (root / "a.md").write_text(f"one\nsee {ON_A_MACHINE}\n", encoding="utf-8")
    (found,) = words_check.hits(root / "a.md")
    assert found.startswith("a.md:2: a path of one machine: ")


def test_a_word_of_work_left_undone_counts_only_in_the_source(root):
    for folder in ("src", "docs"):
        (root / folder).mkdir()
        (root / folder / "a.py").write_text("# " + "TO" + "DO\n", encoding="utf-8")
    assert len(words_check.hits(root / "src" / "a.py")) == 1
    assert words_check.hits(root / "docs" / "a.py") == []


def test_words_that_only_contain_such_a_path_are_left_alone(root):
    (root / "a.md").write_text("frame" + "work" + "/x and net" + "work" + "/y\n", encoding="utf-8")
    assert words_check.hits(root / "a.md") == []
