"""2,000 single bytes of exports changed: refused, or different only where they were changed (changes.py says what that means)."""

import pytest

from tests.torture.changes import Subject, tried
from tests.torture.reading import subjects

SUBJECTS = subjects(Subject)


@pytest.mark.parametrize("subject", SUBJECTS, ids=lambda subject: subject.name)
def test_a_changed_byte_is_refused_or_changes_nothing_else(subject):
    outcomes, found = tried(subject, -(-2000 // len(SUBJECTS)), seed=20310304)
    assert found == []
    assert outcomes["refused"] > 0
    assert outcomes["read"] > 0
