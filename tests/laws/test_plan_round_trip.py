"""Law: text → plan → English → the same plan, and plan → text → the same plan, for any plan that the language can say."""

from hypothesis import given, settings

from curewright.terms.requirement import Specification
from curewright.understand.english import english, read_back
from curewright.understand.specification import understand, without_places
from curewright.understand.writer import write
from tests.laws.plans import specifications


@settings(max_examples=40)
@given(specifications())
def test_what_is_written_is_understood_as_the_same_plan(plan: Specification) -> None:
    text = write(plan)
    understood = without_places(understand(text, "plan.yaml"))
    assert understood == plan
    assert write(understood) == text


@settings(max_examples=40)
@given(specifications())
def test_the_english_tells_the_whole_plan(plan: Specification) -> None:
    assert without_places(read_back(english(plan))) == plan
