"""Law: text → plan → English → the same plan, and plan → text → the same plan, for any plan that the language can say."""

import sys
from pathlib import Path

from hypothesis import given

sys.path.insert(0, str(Path(__file__).parent))

from plans import specifications  # noqa: E402

from curewright.terms.requirement import Specification  # noqa: E402
from curewright.understand.english import english, read_back  # noqa: E402
from curewright.understand.specification import understand, without_places  # noqa: E402
from curewright.understand.writer import write  # noqa: E402


@given(specifications())
def test_what_is_written_is_understood_as_the_same_plan(plan: Specification) -> None:
    text = write(plan)
    understood = without_places(understand(text, "plan.yaml"))
    assert understood == plan
    assert write(understood) == text


@given(specifications())
def test_the_english_tells_the_whole_plan(plan: Specification) -> None:
    assert without_places(read_back(english(plan))) == plan
