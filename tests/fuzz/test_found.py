"""What fuzzing starts from is read; what it once found is read or refused like anything else."""

import pytest

from tests.fuzz.targets import TARGETS, kept, tried

SEEDS = [(name, content) for name, target in TARGETS.items() for content in target.seeds if name != "proposal"]


@pytest.mark.parametrize("name,content", SEEDS, ids=[f"{name}-{i}" for i, (name, _) in enumerate(SEEDS)])
def test_a_file_to_begin_from_is_read(name, content):
    assert tried(name, content) is None


@pytest.mark.parametrize("content", TARGETS["proposal"].seeds, ids=range(len(TARGETS["proposal"].seeds)))
def test_a_proposal_is_made_or_refused_for_every_export_of_the_torture_set(content):
    tried("proposal", content)


@pytest.mark.parametrize("name", TARGETS)
def test_what_brought_a_reader_down_once_is_read_or_refused(name):
    for file in kept(name):
        tried(name, file.read_bytes())
