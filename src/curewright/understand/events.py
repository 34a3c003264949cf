"""Events: named instants, with the ways in which each shows itself, in the order in which they are tried."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.requirement import RECORD_ENDS, RECORD_STARTS, THINGS, Event, Source
from curewright.text import quantities
from curewright.text.fields import Fields, duration, one_of, one_or_more, phrase, text
from curewright.text.phrase import bare
from curewright.text.quantities import duration_text
from curewright.text.yaml import Scalar
from curewright.understand.because import because_tree, read_because, require_because
from curewright.understand.conditions import comparisons, event_text, read_condition
from curewright.understand.setting import HeardEvent
from curewright.understand.signals import refuse_unknown_event
from curewright.understand.things import groups_in, settled_thing

if TYPE_CHECKING:
    from curewright.terms.errors import Place
    from curewright.terms.requirement import Condition
    from curewright.text.phrase import Words
    from curewright.text.yaml import Node
    from curewright.understand.setting import Setting
    from curewright.understand.tree import Tree

RECORD = (RECORD_STARTS, RECORD_ENDS)
WAYS = ("when", "else", "when inferred", "else inferred")
_LATER = re.compile(r"\d[^\"]* after ")
_FIRST, _FOR_GOOD = "the first time", "for good"


def read_event(name: str, node: Node, setting: Setting) -> HeardEvent:
    """One event under ``events:``; raises all that is wrong with it."""
    if name in RECORD:
        raise FileError(f"'{name}' is the record's own event", expected="another name", where=node.place)
    fields = Fields(node, f"the event '{name}'")
    thing = fields.optional("for each", one_of(*THINGS), None)
    because = fields.optional("because", read_because, None)
    when = fields.node.get("when")
    if isinstance(when, Scalar) and is_later(when.text):
        later = fields.required("when", phrase(lambda words: read_later(words, setting)))
        fields.close()
        for_each = settled_thing(thing, (), (), fields.place) if later[0] not in RECORD else thing or "vessel"
        return HeardEvent(Event(name, for_each, (), *later, because, fields.place), stated=True)
    sources = _sources(fields, name, setting.seen_from(thing))
    after = fields.optional("after", lambda value: _event_name(value, setting), None)
    delay = fields.optional("delay", duration(setting.units.get("time")), 0)
    fields.close()
    plain = tuple(source for source, _ in sources)
    groups = [group for source in plain for group in groups_in(source.condition)]
    for_each = settled_thing(thing, groups, (), fields.place)
    event = Event(name, for_each, plain, after, delay, because, fields.place)
    require_because(choices_of(event), because, fields.place)
    return HeardEvent(event, all(stated for source, stated in sources if leaves(source.condition)))


def choices_of(event: Event) -> tuple[str, ...]:
    """What of an event is a choice that somebody has to answer for: a stay, and inferring it from a trace."""
    stays = any(source.stays for source in event.sources)
    inferred = any(source.by == "inferred" for source in event.sources)
    return ("'and stays'",) * stays + ("'inferred'",) * inferred


def is_later(text: str) -> bool:
    """Whether a phrase is of the kind ``5 min after EVENT``."""
    return _LATER.match(text) is not None


def read_later(words: Words, setting: Setting) -> tuple[str, int]:
    """``5 min after vent begins``: the event and the delay."""
    delay = quantities.duration(words, setting.units.get("time"))
    words.expect("after")
    place = words.place
    name = words.rest("an event")
    if name not in RECORD:
        refuse_unknown_event(name, setting, place)
    return name, delay


def _event_name(node: Node, setting: Setting) -> str:
    name = text(node)
    refuse_unknown_event(name, setting, node.place)
    return name


def _sources(fields: Fields, name: str, setting: Setting) -> list[tuple[Source, bool]]:
    """All ways in the order in which they are tried; ``inferred`` ones come last."""
    read = one_or_more(phrase(lambda words: _source(words, setting)))
    found: list[tuple[Source, bool]] = []
    written = [way for way in WAYS if way in fields]
    for way in WAYS:
        sources = fields.optional(way, read, ())
        found.extend(
            (replace(each, by="inferred"), stated) if "inferred" in way else (each, stated) for each, stated in sources
        )
    silent = not found and not fields.errors
    if silent or not written or written[0].startswith("else") or written[:2] == ["when", "when inferred"]:
        choices = "'when: …', then 'else: …' and 'else inferred: …' for what is tried next; or 'when inferred: …' alone"
        fields.refuse(FileError(f"the event '{name}' does not say when it is", expected=choices, where=fields.place))
    for source, _ in found:
        if source.by == "inferred" and source.condition is None:
            fields.refuse(FileError("an inferred hand entry", expected="a condition on a trace", where=fields.place))
    return found


def _source(words: Words, setting: Setting) -> tuple[Source, bool]:
    place = words.place
    if words.accept("hand", "entry"):
        entry = words.name("the entry's name") if words.next else None
        return Source("entry", None, 0, "first", entry), True
    condition = read_condition(words, setting)
    which = words.accept_one_of((_FIRST, _FOR_GOOD))
    stays = 0
    if words.accept("and", "stays"):
        stays = quantities.duration(words, setting.units.get("time"))
    which = which or words.accept_one_of((_FIRST, _FOR_GOOD))
    by = "trace" if any(True for _ in comparisons(condition)) else "state"
    source = Source(by, condition, stays, "for good" if which == _FOR_GOOD else "first")
    _refuse_rise_for_good(source, place)
    return source, which is not None


def _refuse_rise_for_good(source: Source, place: Place) -> None:
    """A rise that holds to the end of the record never comes where parts cool and the vessel is vented: raises an error."""
    if source.which == "for good" and any(each.limits.low is not None for each in comparisons(source.condition)):
        found = "a rise 'for good' must hold to the end of the record, when parts have cooled and the vessel is vented"
        raise AmbiguousClause(found, choices=(f"'{_FIRST}', with 'after: EVENT'", f"a fall '{_FOR_GOOD}'"), where=place)


def leaves(condition: Condition | None) -> bool:
    """Whether a condition is that a signal leaves (falls below, rises above) rather than arrives."""
    return any(each.limits.low_open or each.limits.high_open for each in comparisons(condition))


def refuse_loose_ending(heard: HeardEvent, node: Node) -> None:
    """An ending that is an exit says whether it is the first one (and after what) or the last: raises :class:`AmbiguousClause` where
    the event is written.
    """
    event = heard.event
    exits = [source for source in event.sources if source.by in ("trace", "inferred") and leaves(source.condition)]
    if not exits:
        return
    name, where = event.name, event.place or node.place  # what is missing has to be written there
    if not heard.stated:
        choices = (
            f"'{_FOR_GOOD}': the last time, returns before it do not end the phase",
            f"'{_FIRST}', with 'after: EVENT'",
        )
        raise AmbiguousClause(f"the ending '{name}' does not say which exit it is", choices=choices, where=where)
    if event.after is None and any(source.which == "first" for source in exits):
        choices = ("after: (the event from which the exit is looked for)", f"'{_FOR_GOOD}'")
        found = f"the ending '{name}' is the first exit, but of what? It may be so at the start of the record"
        raise AmbiguousClause(found, choices=choices, where=where)


# -------------------------------------------------------------------------------------------------------------------- writing
def event_tree(event: Event) -> Tree:
    """An event as :func:`read_event` reads it back."""
    tree: dict[str, Tree] = {"for each": event.for_each}
    if not event.sources:
        tree["when"] = f"{duration_text(event.delay)} after {event.after}"
        return tree if event.because is None else {**tree, "because": because_tree(event.because)}
    plain = [source_text(source) for source in event.sources if source.by != "inferred"]
    inferred: list[Tree] = [source_text(source) for source in event.sources if source.by == "inferred"]
    if plain:
        tree["when"] = plain[0]
    if plain[1:]:
        tree["else"] = list(plain[1:])
    if inferred:
        tree["else inferred" if plain else "when inferred"] = inferred
    if event.after is not None:
        tree["after"] = event.after
    if event.delay:
        tree["delay"] = duration_text(event.delay)
    if event.because is not None:
        tree["because"] = because_tree(event.because)
    return tree


def source_text(source: Source) -> str:
    """One way in which an event shows itself, as it is read back."""
    if source.condition is None:
        return "hand entry" + (f" {bare(source.entry)}" if source.entry else "")
    which = _FOR_GOOD if source.which == "for good" else _FIRST
    stays = f" and stays {duration_text(source.stays)}" if source.stays else ""
    return f"{event_text(source.condition)} {which}{stays}"
