"""A head with events, for clauses that are tried out one by one."""

HEAD = """\
specification: EX-1
revision: A
status: draft
title: Cure
source: illustrative
units: {temperature: degF, pressure: psi gauge, vacuum: inHg of vacuum, time: min}
comparison: absolute
decision: simple acceptance
recording: {largest gap: 2 min, lost after: 3 min}
thermocouples: {per part: at least 3, lost ones: are never set aside}
second recorder: not allowed
events:
  heating starts: {for each: vessel, when: set point segment is heat-up}
  source closed: {for each: bag, when: hand entry}
  vent begins: {for each: bag, when: source valve is atmosphere}
  dwell starts: {for each: part, when: coldest reaches 291}
  dwell ends: {for each: part, when: hottest rises above 309 the first time, after: dwell starts}
  pressure applied: {for each: vessel, when: vessel pressure reaches 85}
  soak starts: {for each: part, when: coldest reaches 340}
  soak ends: {for each: part, when: coldest falls below 340 for good}
  pressure released: {for each: vessel, when: vessel pressure falls below 80 for good}
"""


def text_of(clauses: str, *, head: str = HEAD) -> str:
    """A whole file from the lines under ``clauses:``, written from the left margin."""
    return head + "clauses:\n" + "".join(f"  {line}\n" if line else "\n" for line in clauses.splitlines())


def clause(form: str) -> str:
    """Clause 1 with one form, written from the left margin."""
    return '"1":\n  says: a sentence\n' + "".join(f"  {line}\n" for line in form.splitlines())
