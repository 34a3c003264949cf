"""Exit codes: worst first, 10 before 12 before 11 before 0 (docs/commands.md)."""

from typing import Any

import pytest

from curewright.cli.codes import code_of
from curewright.terms.verdict import Outcome


def document(signed: bool = True, not_covered: int = 0, **counts: int) -> dict[str, Any]:
    found = {outcome.value: 0 for outcome in Outcome} | {
        name.replace("_", " "): count for name, count in counts.items()
    }
    verdicts = [{"outcome": "by a person", "settled": signed}] * found["by a person"]
    return {"outcomes": found, "verdicts": verdicts, "clauses": {"not_covered": not_covered}}


@pytest.mark.parametrize(
    "given, code",
    [
        (document(met=3), 0),
        (document(met=3, not_applicable=2), 0),
        (document(met=3, by_a_person=1), 0),
        (document(met=3, by_a_person=1, signed=False), 11),
        (document(met=3, not_shown=1), 11),
        (document(met=3, not_covered=1), 11),
        (document(), 11),
        (document(not_applicable=2), 11),
        (document(met=3, open=1), 12),
        (document(met=3, open=1, not_shown=1), 12),
        (document(met=3, not_met=1, open=1, not_shown=1), 10),
    ],
)
def test_code(given: dict[str, Any], code: int) -> None:
    assert code_of(given) == code
