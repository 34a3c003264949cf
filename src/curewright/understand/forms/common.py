"""What the kinds of requirement share: the thing judged, signal, phase, limits, allowance, condition and authority."""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING, Any

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS, THINGS, Allowance, Event, Group, Phase, Signal
from curewright.terms.units import UNITS
from curewright.text import quantities
from curewright.text.fields import Fields, one_of, phrase, text
from curewright.text.quantities import Measure, amount_text, difference_of, duration_text
from curewright.understand.because import because_tree, read_because, require_because
from curewright.understand.conditions import condition_text, read_condition
from curewright.understand.events import is_later, read_later, refuse_loose_ending
from curewright.understand.rules import NO_LIMIT, limited, limited_text
from curewright.understand.sentences import Sentence
from curewright.understand.setting import Heard, HeardEvent
from curewright.understand.signals import GROUP_WORDS, read_whole_signal, refuse_unknown_event, signal_text
from curewright.understand.things import groups_in, line_of, parts_of, settled_thing

if TYPE_CHECKING:
    from collections.abc import Callable, Mapping

    from curewright.terms.requirement import Because, Condition, Form, Limits
    from curewright.terms.units import Unit
    from curewright.text.yaml import Node
    from curewright.understand.setting import Setting
    from curewright.understand.tree import Tree

STAYS = (
    Sentence("For each {for each}, {signal} must be {within} from {from!q} to {to!q}."),
    Sentence("Each {for each} must be {within} from {from!q} to {to!q}."),
)
AT_EVENT = (
    Sentence("For each {for each}, {signal} must be {within} at {event!q}."),
    Sentence("Each {for each} must be {within} at {event!q}."),
)
WHILE = Sentence("It counts only while {while}.")
OUTSIDE = Sentence(
    "It may be outside by at most: {except.by at most}; at a time: {except.at a time}; in all: {except.in all}."
)
WHY = (Sentence("Because {because.text!q}, approved by {because.approved by!q}."), Sentence("Because {because}."))
ALLOWANCE_KEYS = ("by at most", "at a time", "in all")
_OWNERS = {"part thermocouple": "part", "tool thermocouple": "part", "bag vacuum": "bag", "source vacuum": "bag"}


class FormFields:
    """The fields of one exact form, read against a setting; errors are kept and told together by :meth:`finish`."""

    def __init__(self, name: str, node: Node, setting: Setting, clause: str = "") -> None:
        self.name, self.clause = name, clause
        self.fields = Fields(node, f"'{name}'")
        self.thing: str | None = self.fields.optional("for each", one_of(*THINGS), None)
        self.because: Because | None = self.fields.optional("because", read_because, None)
        self.setting = setting.seen_from(self.thing)
        self.groups: list[Group] = []
        self.used: list[str] = []
        self.choices: list[str] = []

    # ------------------------------------------------------------------------------------------------------------- signals
    def signal(self) -> Heard | None:
        """The signal; for each thermocouple it is that thermocouple where none is written."""
        if "signal" not in self.fields and self.thing is not None and self.thing.endswith("thermocouple"):
            self.fields.known.append("signal")
            return self.heard(
                Heard(Signal(Group(self.thing), "each"), self.setting.measure(GROUP_WORDS[self.thing][1]))
            )
        return self.heard(self.fields.required("signal", phrase(lambda words: read_whole_signal(words, self.setting))))

    def heard(self, heard: Heard | None) -> Heard | None:
        """Keeps the sensors that a signal looks at; refuses a single one that the thing judged has several of."""
        if heard is not None:
            for part in parts_of(heard.signal):
                self.groups.append(part.group)
                self._refuse_several(part)
        return heard

    def _refuse_several(self, signal: Signal) -> None:
        group = signal.group
        owner = _OWNERS.get(group.role)
        below = self.thing is not None and owner is not None and owner not in line_of(self.thing)
        if below and signal.take in ("single", "each"):
            found = f"the {group.role} for each {self.thing}: there may be several"
            choices = (f"for each: {owner}", f"for each: {'part' if owner == 'bag' else 'part thermocouple'}")
            self.fields.refuse(AmbiguousClause(found, choices=choices, where=self.fields.place_of("signal")))

    def condition(self, key: str, it: Heard | None) -> Condition | None:
        """A condition under a key (``while``, ``runs while``), in which ``it`` is the signal of the form."""
        setting = self.setting.seen_from(self.thing, it)
        found = self.fields.optional(key, phrase(lambda words: read_condition(words, setting)), None)
        self.groups.extend(groups_in(found))
        return found

    def condition_on(self, key: str, it: Heard | None) -> Condition | None:
        """A condition on the form's own signal; passed over where that signal was not understood."""
        if it is None:
            self.fields.known.append(key)
            return None
        return self.condition(key, it)

    # -------------------------------------------------------------------------------------------------------------- limits
    def limits(self, measure: Measure | None, key: str = "within") -> Limits:
        """The limits under a key, in a measure (None: the signal was not understood, so they cannot be read)."""
        found: Limits = self.fields.required(key, limits_reader(measure))
        return found

    def allowance(self, measure: Measure | None) -> Allowance | None:
        """``except:`` what is tolerated outside the limits; a choice that has to be answered for."""
        found = self.fields.optional("except", lambda node: read_allowance(node, measure, self.setting), None)
        if found is not None:
            self.choices.append("'except'")
        return found

    # -------------------------------------------------------------------------------------------------------------- events
    def event(self, key: str, *, ending: bool = False) -> str:
        """The name of an event under a key; ``5 min after EVENT`` makes one."""
        return self.fields.required(key, lambda node: self._event(node, ending=ending))

    def optional_event(self, key: str) -> str | None:
        """The name of an event under a key, or None."""
        return self.fields.optional(key, lambda node: self._event(node, ending=False), None)

    def _event(self, node: Node, *, ending: bool) -> str:
        name = event_name(node, self.setting)
        heard = self.setting.events.get(name)
        if heard is not None:
            if ending:
                refuse_loose_ending(heard, node)
            self._refuse_thing(heard, node)
        self.used.append(name)
        return name

    def _refuse_thing(self, heard: HeardEvent, node: Node) -> None:
        owner = heard.event.for_each
        if self.thing is not None and owner not in line_of(self.thing):
            found = f"the event '{heard.event.name}' is for each {owner}, but this is for each {self.thing}"
            raise AmbiguousClause(
                found, choices=(f"for each: {owner}", f"an event for each {self.thing}"), where=node.place
            )

    def phase(self) -> Phase:
        """``from:`` and ``to:``."""
        start, end = self.event("from"), self.event("to", ending=True)
        if start == end and start is not None:
            self.fields.refuse(
                FileError("a phase that begins and ends with the same event", where=self.fields.place_of("to"))
            )
        return Phase(start, end)

    # -------------------------------------------------------------------------------------------------------------- result
    def finish(self, unit: Unit | None) -> dict[str, Any]:
        """Raises what was wrong; else what every form has, as arguments."""
        self.fields.close()
        whose = [heard.event.for_each for name in self.used if (heard := self.setting.events.get(name))]
        thing = settled_thing(self.thing, self.groups, whose, self.fields.place)
        require_because(tuple(self.choices), self.because, self.fields.place)
        place = replace(self.fields.place, clause=self.clause)
        return {"name": self.name, "for_each": thing, "unit": unit, "because": self.because, "place": place}


def event_name(node: Node, setting: Setting) -> str:
    """The event that a field names; ``5 min after vent begins`` is one more event. Raises for one that there is not."""
    name = text(node)
    if name in (RECORD_STARTS, RECORD_ENDS) or name in setting.events:
        return name
    if is_later(name):
        after, delay = phrase(lambda words: read_later(words, setting))(node)
        name = f"{duration_text(delay)} after {after}"
        setting.events.setdefault(name, HeardEvent(_later_event(name, after, delay, node, setting), stated=True))
        return name
    refuse_unknown_event(name, setting, node.place)
    return name


def _later_event(name: str, after: str, delay: int, node: Node, setting: Setting) -> Event:
    """An event that is nothing but so long after another one, for the same things."""
    heard = setting.events.get(after)
    return Event(name, heard.event.for_each if heard else "vessel", (), after, delay, place=node.place)


def limits_reader(measure: Measure | None) -> Callable[[Node], Any]:
    """A reader of limits, or of nothing where the measure is not known because the signal was not understood."""
    if measure is None:
        return _nothing
    return phrase(lambda words: quantities.limits(words, measure))


def _nothing(node: Node) -> None:
    """Passes over a field that cannot be read because the signal was not understood."""
    del node


def unit_of(limits: Limits | None, measure: Measure | None) -> Unit | None:
    """The unit in which limits are written; the file's own where they are a part's own."""
    if limits is not None:
        for level in (limits.low, limits.high):
            if level is not None:
                return level.unit
    return measure.unit if measure is not None else None


def read_allowance(node: Node, measure: Measure | None, setting: Setting) -> Allowance:
    """How far, how long at a time and how long in all a signal may be outside; each is stated, or ``not limited``."""
    fields = Fields(node, "'except'")
    missing = [key for key in ALLOWANCE_KEYS if key not in fields]
    if missing:
        choices = tuple(f"'{key}: …' or '{key}: {NO_LIMIT}'" for key in missing)
        fields.refuse(AmbiguousClause("an allowance that leaves something open", choices=choices, where=fields.place))
    time = quantities.Measure("time", setting.units.get("time"))
    read = limited(phrase(lambda words: quantities.duration(words, time.unit)))
    depth = fields.optional("by at most", limited(_depth_reader(measure)), None)
    at_a_time = fields.optional("at a time", read, None)
    in_all = fields.optional("in all", read, None)
    fields.close()
    return Allowance(depth, at_a_time, in_all)


def _depth_reader(measure: Measure | None) -> Callable[[Node], Any]:
    if measure is None:
        return _nothing
    quantity = (
        measure.quantity if measure.quantity not in ("temperature", "pressure") else f"{measure.quantity} difference"
    )
    unit = difference_of(measure.unit) if measure.unit is not None else None
    return phrase(lambda words: quantities.amount(words, Measure(quantity, unit)))


# -------------------------------------------------------------------------------------------------------------------- writing
def form_tree(form: Form, fields: Mapping[str, Tree | None]) -> dict[str, Tree]:
    """A form as it is read back: the thing judged, its own fields (None: not written), and the authority."""
    tree: dict[str, Tree] = {"for each": form.for_each}
    tree.update({key: value for key, value in fields.items() if value is not None})
    if form.because is not None:
        tree["because"] = because_tree(form.because)
    return tree


def phase_tree(phase: Phase) -> dict[str, Tree]:
    """A phase as it is read back."""
    return {"from": phase.start, "to": phase.end}


def signal_tree(form: Any) -> str | None:
    """The signal of a form as it is read back; none where it is the thermocouple that is judged."""
    if form.signal == Signal(Group(form.for_each), "each"):
        return None
    return signal_text(form.signal, form.unit)


def allowance_tree(allowance: Allowance | None) -> Tree | None:
    """An allowance as it is read back."""
    if allowance is None:
        return None
    depth = NO_LIMIT if allowance.depth is None else amount_text(allowance.depth)
    return {
        "by at most": depth,
        "at a time": limited_text(allowance.at_a_time),
        "in all": limited_text(allowance.in_all),
    }


def while_tree(condition: Condition | None, it: Signal | None) -> str | None:
    """A condition as it is read back."""
    return None if condition is None else condition_text(condition, it)


COUNT = UNITS["count"]
MINUTES = UNITS["min"]

# ------------------------------------------------------------------------------------------------- the fields, for docs and schema
FIELD_FOR_EACH = "what it is judged for: part, bag, vessel, or each thermocouple"
FIELD_SIGNAL = "what it looks at"
FIELD_FROM = "the event with which the phase begins"
FIELD_TO = "the event with which the phase ends"
FIELD_WITHIN = "the limits, with tolerance and unit"
FIELD_WHILE = "a condition that narrows the phase to where it holds"
FIELD_EXCEPT = "what is tolerated outside the limits: by at most, at a time, in all"
FIELD_BECAUSE = "why a choice that the paper does not make was made so, and who approved it"
