"""Every choice that an outcome can hang on is told, with who answers for it, by hand from a small specification."""

from __future__ import annotations

from curewright.terms.requirement import Because
from curewright.understand.choices import choices
from curewright.understand.english import english, read_back
from curewright.understand.specification import understand
from tests.unit.understand.head import HEAD as HEAD_WITH_EVENTS

HEAD = HEAD_WITH_EVENTS.split("events:")[0]
PAPER = """
events:
  heating starts: {for each: vessel, when: hottest air thermocouple reaches 30 degC}
  soak starts: {for each: part, when: coldest part thermocouple reaches 174 degC, because: "note 1, approved by engineer C"}
  soak ends: {for each: part, when: coldest part thermocouple falls below 174 degC for good, after: soak starts}
  unused: {for each: vessel, when: vessel pressure falls below 5 bar gauge for good}
  late: {for each: vessel, when: 5 min after heating starts, because: "note 2, approved by engineer C"}
clauses:
  "1":
    says: Soak for an hour.
    duration:
      for each: part
      from: soak starts
      to: soak ends
      clock of: coldest part thermocouple
      runs while: it is at least 174 degC
      when it leaves: the clock pauses
      within: at least 60 min
  "2":
    says: Not above 190.
    band: {for each: part thermocouple, from: 10 min after late, to: record ends, within: at most 190 degC}
"""
NOTE_1, NOTE_2 = Because("note 1", "engineer C"), Because("note 2", "engineer C")


def test_events_that_a_clause_uses_and_clocks_are_told_with_who_answers() -> None:
    found = choices(understand(HEAD + PAPER, "s.yaml"))
    assert [(one.what, one.chosen, one.because) for one in found] == [
        ("heating starts", "hottest air thermocouple reaches 30 degC the first time", None),
        ("soak starts", "coldest part thermocouple reaches 174 degC the first time", NOTE_1),
        (
            "soak ends",
            "coldest part thermocouple falls below 174 degC for good; looked for after 'soak starts'",
            None,
        ),
        ("late", "5 min after 'heating starts'", NOTE_2),
        ("1 duration", "when it leaves, the clock pauses", None),
    ]


def test_read_back_says_likewise_and_is_heard_again() -> None:
    specification = understand(HEAD + PAPER, "s.yaml")
    text = english(specification)
    events = {block.split('"')[0]: block for block in text.split('Event "')[1:]}
    unstated = "No reason and approver stated for this definition."
    assert {name for name, block in events.items() if unstated in block.split("# Clauses")[0]} == {
        "heating starts",
        "soak ends",
    }
    assert "No reason and approver stated for 'when it leaves, the clock pauses'." in text
    assert choices(read_back(text)) == choices(specification)
