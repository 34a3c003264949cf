"""2,000 single bytes of exports changed: refused, or different only where they were changed (changes.py says what that means)."""

import pytest

from tests.torture.case import refused
from tests.torture.changes import subject, tried
from tests.torture.exports import CASES

READ = [name for name in CASES if name not in refused()]


@pytest.mark.parametrize("name", READ)
def test_a_changed_byte_is_refused_or_changes_nothing_else(name):
    outcomes, found = tried(subject(CASES[name]()), -(-2000 // len(READ)), seed=20310304)
    assert found == []
    assert sum(outcomes.values()) * len(READ) >= 2000


def test_some_changes_are_refused_and_some_are_read():
    outcomes, found = tried(subject(CASES["wide-comma-iso"]()), 100, seed=7)
    assert found == []
    assert min(outcomes["refused"], outcomes["read"]) > 0
