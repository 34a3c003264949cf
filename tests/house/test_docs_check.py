"""The docs' checker finds what it is there to find, and keeps quiet where all agrees."""

from pathlib import Path

import pytest

from tools import docs_check


@pytest.fixture
def tree(tmp_path: Path):
    def write(**files: str) -> Path:
        for name, text in files.items():
            file = tmp_path / name.replace("__", "/").replace("_md", ".md").replace("_py", ".py")
            file.parent.mkdir(parents=True, exist_ok=True)
            file.write_text(text, encoding="utf-8")
        return tmp_path

    return write


def test_a_link_to_a_missing_file_and_to_a_missing_heading_is_found(tree):
    root = tree(README_md="[a](docs/a.md) [b](docs/b.md#two-words) [c](docs/b.md#none)\n", docs__b_md="# Two words\n")
    assert list(docs_check.links(root)) == [
        "README.md:1: the link 'docs/a.md' leads nowhere",
        "README.md:1: b.md has no heading '#none'",
    ]


def test_links_in_code_and_to_the_outside_are_left_alone(tree):
    root = tree(README_md="`[a](x.md)` [b](mailto:nobody)\n```\n[c](y.md)\n```\n")
    assert list(docs_check.links(root)) == []


def test_an_example_that_comes_out_otherwise_is_found(tree):
    root = tree(docs__a_md="```python\n>>> 1 + 1\n3\n\n```\n", docs__b_md="```python\n>>> 1 + 1\n2\n```\ntext\n")
    (problem,) = docs_check.examples(root)
    assert "docs/a.md" in problem
    assert "line 2" in problem


def test_an_unknown_target_is_found(tree):
    root = tree(
        Makefile="test: setup\n\techo\n",
        README_md="make haste, in prose\n```sh\nmake test\n$ make tea\nmake X=1\n```\n",
    )
    assert list(docs_check.commands(root)) == ["README.md:4: the Makefile has no target 'tea'"]


def test_a_noun_counts_as_explained_in_one_word_or_in_several(tree):
    root = tree(
        src__curewright__terms__load_py="class LoadPlan: ...\nclass Bag: ...\nclass _Own: ...\n",
        docs__glossary_md="A **load\nplan** says where parts stand.\n",
    )
    (problem,) = docs_check.glossary(root)
    assert problem.startswith("docs/glossary.md does not explain Bag")


def test_a_change_note_without_a_kind_is_found(tree):
    root = tree(
        changes__README_md="", changes__new_md="", changes__faster_md="", **{"changes__rate-window.number_md": ""}
    )
    assert [problem.split()[0] for problem in docs_check.change_notes(root)] == ["changes/faster.md", "changes/new.md"]


def test_a_decision_without_its_cost_is_found(tree):
    root = tree(**{"docs__decisions__0001-a_md": "**Chosen** x **What would change our mind** y"})
    assert list(docs_check.decisions(root)) == ["docs/decisions/0001-a.md does not say: Cost"]


@pytest.mark.parametrize(
    "heading, anchor",
    [("Two words", "two-words"), ("`leak check` (bags)", "leak-check-bags"), ("350 °F ± 10", "350-f--10")],
)
def test_anchors_are_made_as_the_viewer_makes_them(tree, heading, anchor):
    root = tree(a_md=f"## {heading}\n")
    assert docs_check.headings(root / "a.md") == {anchor}
