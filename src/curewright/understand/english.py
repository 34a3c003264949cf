"""A plan as plain English, with everything that was chosen; and the English read back to the plan.

Every fact of the plan stands in a sentence of its own kind, so that :func:`read_back` can find it again. Lines that begin with
``Note:`` explain (what happens when a signal dips and returns, what a limit is in other units) and lines that begin with ``#`` are
headings; both are passed over when reading back.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import FileError, Place
from curewright.understand.choices import UNSTATED, clock_words, events_used, unanswered
from curewright.understand.coverage import uncovered
from curewright.understand.forms.common import WHY
from curewright.understand.forms.duration import WAY_SENTENCES
from curewright.understand.forms.kinds import MODULES, kind_of, module_of
from curewright.understand.notes import clause_notes, counts, event_notes, form_notes, rule_notes
from curewright.understand.rules import NOT_ALLOWED, NOT_STATED, UNIT_NAMES
from curewright.understand.sentences import SaidTwiceError, Sentence, hear_into, nested, said_by
from curewright.understand.specification import understand_node
from curewright.understand.tree import node_of
from curewright.understand.writer import specification_tree

if TYPE_CHECKING:
    from collections.abc import Iterable

    from curewright.terms.requirement import Clause, Event, Requirement, Specification
    from curewright.understand.tree import Tree

HEADING = (
    Sentence("Specification {specification!q}, revision {revision!q}."),
    Sentence("Status: {status}, by {approved by!q}."),
    Sentence("Status: {status}."),
    Sentence("Title: {title!q}."),
    Sentence("Source: {source!q}."),
    *(Sentence(f"A {name} without a unit is in {{units.{name}}}.") for name in UNIT_NAMES),
    Sentence("A value is held against its limit as it is, not rounded.", {"comparison": "absolute"}),
    Sentence("A value is held against its limit after {comparison}."),
    Sentence("The decision rule is: {decision}."),
    Sentence(
        "Neighbouring samples are joined up to {recording.largest gap} apart; "
        "a channel without a good sample for {recording.lost after} is lost."
    ),
    Sentence("How many thermocouples a part needs is not stated.", {"thermocouples.per part": NOT_STATED}),
    Sentence("A part needs {thermocouples.per part} thermocouples."),
    Sentence("Lost thermocouples {thermocouples.lost ones}."),
    Sentence("Of them {thermocouples.remaining} must remain."),
    Sentence("Among those that remain must be {thermocouples.including!q}.", repeats=True),
    Sentence("A second recorder is not allowed.", {"second recorder": NOT_ALLOWED}),
    Sentence(
        "A second recorder may fill gaps; at a time: {second recorder.at a time}; in all: {second recorder.in all}; "
        "by {second recorder.procedure!q}."
    ),
)
EVENT = Sentence("Event {name!q}")
EVENT_SENTENCES = (
    Sentence("For each {for each}, when: {when}."),
    Sentence("For each {for each}."),
    Sentence("Where the run cannot show that: {else}.", repeats=True),
    Sentence("Where it cannot show that either, inferred from a trace: {else inferred}.", repeats=True),
    Sentence("Inferred from a trace: {when inferred}.", repeats=True),
    Sentence("It is looked for after {after!q}."),
    Sentence("The event is {delay} later than that."),
    *WHY,
)
CLAUSE = Sentence("Clause {number!q}")
CLAUSE_SENTENCES = (
    Sentence("The paper says: {says!q}."),
    Sentence("It is judged by a person: {by a person!q}."),
    Sentence("It is not covered: {not covered!q}."),
    Sentence("Illustrative: {illustrative!q}."),
)
FOR_PARTS = Sentence("It applies only to parts whose {attribute!q} is {value}.")
FORM = Sentence("Form {name!q}")
WAY = Sentence("Way {number}")
NOTE = "Note: "


# --------------------------------------------------------------------------------------------------------------------- saying
def english(specification: Specification) -> str:
    """The specification as plain English, with all that was chosen, how many clauses are judged, and what no clause looks at."""
    tree = specification_tree(specification)
    events, clauses = _names(tree.pop("events", {})), _names(tree.pop("clauses"))
    lines = ["# Specification", *said_by(HEADING, tree)]
    lines += _notes((*counts(specification), *rule_notes(specification), *specification.notes))
    used = events_used(specification)
    if events:
        lines += ["", "# Events"]
    for event in specification.events:
        said = said_by(EVENT_SENTENCES, _names(events[event.name]))
        lines += [
            "",
            *EVENT.said({"name": event.name}),
            *_indented(said + _notes((*event_notes(event), *_unstated(event, used))), 2),
        ]
    lines += ["", "# Clauses"]
    for clause in specification.clauses:
        lines += [
            "",
            *CLAUSE.said({"number": clause.number}),
            *_indented(_clause(clause, _names(clauses[clause.number])), 2),
        ]
    lines += ["", "# What no clause looks at", *_notes(str(each) for each in uncovered(specification))]
    return "\n".join(lines) + "\n"


def _clause(clause: Clause, tree: dict[str, Tree]) -> list[str]:
    """The lines of one clause: what the paper says, and each exact form with its notes."""
    names = {form.name for form in clause.forms}
    lines = said_by(CLAUSE_SENTENCES, {key: value for key, value in tree.items() if key not in names | {"for parts"}})
    for attribute, value in _names(tree.get("for parts", {})).items():
        lines += FOR_PARTS.said({"attribute": attribute, "value": value})
    lines += _notes(clause_notes(clause))
    for form in clause.forms:
        lines += FORM.said({"name": form.name})
        lines += _indented(_form(form, _names(tree[form.name])) + _notes((*form_notes(form), *_unanswered(form))), 2)
    return lines


def _form(form: Requirement, tree: dict[str, Tree]) -> list[str]:
    ways = tree.pop("either", [])
    lines = said_by(module_of(form).SENTENCES, tree)
    for number, way in enumerate(ways, start=1):
        lines += WAY.said({"number": str(number)})
        lines += _indented(said_by(WAY_SENTENCES, _names(way)), 2)
    return lines


def _unstated(event: Event, used: set[str]) -> tuple[str, ...]:
    """That nobody answers for how an event is defined that a clause uses."""
    return (f"{UNSTATED.capitalize()} for this definition.",) if unanswered(event, used) else ()


def _unanswered(form: Requirement) -> tuple[str, ...]:
    """That nobody answers for what a clock does when its signal leaves."""
    chosen = clock_words(form)
    return (f"{UNSTATED.capitalize()} for '{chosen}'.",) if chosen and form.because is None else ()


def _names(tree: Tree) -> dict[str, Tree]:
    assert isinstance(tree, dict)
    return tree


def _notes(notes: Iterable[str]) -> list[str]:
    return [f"{NOTE}{note}" for note in notes]


def _indented(lines: list[str], blanks: int) -> list[str]:
    return [" " * blanks + line for line in lines]


# ------------------------------------------------------------------------------------------------------------------ read back
def read_back(text: str) -> Specification:
    """The plan that an English text tells, apart from places and hash. Raises :class:`FileError` for a line that it cannot be."""
    reader = _Reader()
    for number, line in enumerate(text.splitlines(), start=1):
        words, where = line.strip(), Place("", number, 1)
        try:
            heard = not words or words.startswith((NOTE, "# ")) or reader.hear(words)
        except SaidTwiceError:
            raise FileError(
                f"'{words}' says again what was said before", expected="each thing once", where=where
            ) from None
        if not heard:
            raise FileError(f"'{words}'", expected="a sentence of Curewright's English", where=where)
    return understand_node(node_of(reader.tree(), Place()))


class _Reader:
    """Collects what the lines say: where a line opens an event, a clause, a form or a way, the next ones belong to it."""

    def __init__(self) -> None:
        self.heading: dict[str, Tree] = {}
        self.events: dict[str, Tree] = {}
        self.clauses: dict[str, Tree] = {}
        self.clause: dict[str, Tree] = {}
        self.form: dict[str, Tree] = {}
        self.open, self.sentences = self.heading, HEADING

    def hear(self, line: str) -> bool:
        """Takes in one line; False where it is no sentence that can stand here."""
        return self._opens(line) or self._limits_parts(line) or hear_into(self.open, self.sentences, line)

    def _opens(self, line: str) -> bool:
        found: dict[str, Tree] = {}
        if hear_into(found, (EVENT,), line):
            self.open, self.sentences = self._within(self.events, found["name"]), EVENT_SENTENCES
        elif hear_into(found, (CLAUSE,), line):
            self.open = self.clause = self._within(self.clauses, found["number"])
            self.sentences = CLAUSE_SENTENCES
        elif hear_into(found, (FORM,), line):
            kind = kind_of(str(found["name"]))
            if kind is None:
                return False
            self.open = self.form = self._within(self.clause, found["name"])
            self.sentences = MODULES[kind].SENTENCES
        elif hear_into(found, (WAY,), line):
            ways = self.form.setdefault("either", [])
            assert isinstance(ways, list)
            self.open, self.sentences = {}, WAY_SENTENCES
            ways.append(self.open)
        return bool(found)

    def _within(self, outer: dict[str, Tree], name: Tree) -> dict[str, Tree]:
        return _names(outer.setdefault(str(name), {}))

    def _limits_parts(self, line: str) -> bool:
        found: dict[str, Tree] = {}
        if hear_into(found, (FOR_PARTS,), line):
            _names(self.clause.setdefault("for parts", {}))[str(found["attribute"])] = found["value"]
        return bool(found)

    def tree(self) -> dict[str, Tree]:
        """The specification as it would be written in a file."""
        tree = nested(self.heading)
        if self.events:
            tree["events"] = {name: nested(_names(event)) for name, event in self.events.items()}
        tree["clauses"] = {number: self._clause_tree(_names(clause)) for number, clause in self.clauses.items()}
        return tree

    def _clause_tree(self, clause: dict[str, Tree]) -> dict[str, Tree]:
        return {
            key: self._form_tree(value) if kind_of(key) and isinstance(value, dict) else value
            for key, value in clause.items()
        }

    def _form_tree(self, form: dict[str, Tree]) -> dict[str, Tree]:
        ways = form.get("either", [])
        tree = nested(form)
        if ways:
            tree["either"] = [nested(_names(way)) for way in ways]
        return tree
