"""A specification file to its frozen plan: every choice made, or refused with the list of choices. See docs/specification.md."""

from __future__ import annotations

import hashlib
from dataclasses import fields as fields_of
from dataclasses import is_dataclass, replace
from typing import TYPE_CHECKING, Any

from curewright.terms.errors import AmbiguousClause, CurewrightError, Errors, FileError, Place, flat
from curewright.terms.requirement import Specification
from curewright.text.fields import Fields, one_of, phrase, prose
from curewright.text.yaml import Mapping, decode, mapping_of, read_text
from curewright.understand.checks import errors_in
from curewright.understand.clauses import read_clause
from curewright.understand.events import read_event
from curewright.understand.rules import (
    read_comparison,
    read_decision,
    read_lost,
    read_recording,
    read_second_recorder,
    read_units,
)
from curewright.understand.setting import Setting

if TYPE_CHECKING:
    from curewright.terms.requirement import Clause
    from curewright.text.yaml import Node, Scalar

_RULES = {
    "comparison": ("how a value meets a limit is not stated", ("comparison: absolute", "comparison: rounding to …")),
    "decision": ("the decision rule is not stated", ("decision: simple acceptance", "decision: guard band …")),
    "recording": ("what counts as a gap in the record is not stated", ("recording: {largest gap: …, lost after: …}",)),
    "thermocouples": (
        "how many thermocouples a part needs, and what may be done without, is not stated",
        (
            "thermocouples: {per part: at least …, lost ones: are never set aside}",
            "… lost ones: may be set aside, remaining: at least …",
        ),
    ),
    "second recorder": (
        "whether a second recorder may fill gaps is not stated",
        ("second recorder: not allowed", "second recorder: {at a time: …, in all: …, procedure: …}"),
    ),
}


def understand(text: str | bytes, file: str) -> Specification:
    """The plan of a specification file (its text, or its bytes as they lie on disk), with the SHA-256 of these bytes.

    Raises :class:`Errors` with everything that is unreadable, unknown or left open, each with file, line and column.
    """
    data = text.encode("utf-8") if isinstance(text, str) else text
    try:
        node = read_text(decode(data, file), file)
        return replace(understand_node(node), sha256=hashlib.sha256(data).hexdigest())
    except Errors:
        raise
    except CurewrightError as error:
        raise Errors((error,)) from None


def understand_node(node: Node) -> Specification:
    """The plan of a specification that has been read into nodes; ``sha256`` stays empty. Raises :class:`Errors`."""
    fields = Fields(mapping_of(node, "the specification"), "the specification")
    heading: dict[str, Any] = {
        "number": fields.required("specification", prose),
        "revision": fields.required("revision", prose),
        "status": fields.required("status", one_of("draft", "approved")),
        "approved_by": fields.optional("approved by", prose, None),
        "title": fields.required("title", prose),
        "source": fields.required("source", prose),
    }
    _refuse_approval(fields, heading["status"], heading["approved_by"])
    units = fields.optional("units", read_units, ())
    if "units" in fields and not units:
        _leave_the_rest(fields)
    rules = _rules(fields, Setting(dict(units)))
    setting = Setting(dict(units))
    events = _named(fields, "events")
    clauses = _named(fields, "clauses")
    _read_events(fields, [*events, *_events_within(fields, clauses)], setting)
    understood = _read_clauses(fields, clauses, setting)
    if not clauses and not fields.errors:
        fields.refuse(FileError("no clauses", expected="at least one under 'clauses:'", where=fields.place))
    fields.close()
    found = tuple(heard.event for heard in setting.events.values() if heard is not None)
    specification = Specification(
        **heading, **rules, units=units, events=found, clauses=understood, notes=tuple(setting.notes)
    )
    errors = errors_in(specification)
    if errors:
        raise Errors(errors)
    return specification


def _leave_the_rest(fields: Fields) -> None:
    """Raises what was wrong so far: without its units nothing else of the file can be read."""
    fields.known.extend(key.text for key, _ in fields.node.items)
    fields.close()


def _refuse_approval(fields: Fields, status: str | None, approver: str | None) -> None:
    if status == "approved" and approver is None:
        fields.refuse(
            FileError("approved, but not by whom", expected="'approved by: …'", where=fields.place_of("status"))
        )
    if status == "draft" and approver is not None:
        fields.refuse(
            FileError(
                "a draft that somebody approved", expected="'status: approved'", where=fields.place_of("approved by")
            )
        )


def _rules(fields: Fields, setting: Setting) -> dict[str, Any]:
    """The rules for data, each of which has to be stated."""
    for key, (found, choices) in _RULES.items():
        if key not in fields:
            fields.known.append(key)
            fields.refuse(AmbiguousClause(found, choices=choices, where=fields.place))
    gaps = fields.optional("recording", lambda node: read_recording(node, setting.units), (0, 0))
    return {
        "comparison": fields.optional("comparison", phrase(read_comparison), None),
        "decision": fields.optional("decision", phrase(read_decision), None),
        "largest_gap": gaps[0],
        "lost_after": gaps[1],
        "lost": fields.optional("thermocouples", read_lost, None),
        "second_recorder": fields.optional(
            "second recorder", lambda node: read_second_recorder(node, setting.units), None
        ),
    }


def _named(fields: Fields, key: str) -> list[tuple[Scalar, Node]]:
    """The entries of a mapping whose keys are names."""
    found = fields.optional(key, lambda node: mapping_of(node, f"'{key}'"), None)
    return list(found.items) if found is not None else []


def _events_within(fields: Fields, clauses: list[tuple[Scalar, Node]]) -> list[tuple[Scalar, Node]]:
    """The events that are written within clauses; they hold for the whole file."""
    found: list[tuple[Scalar, Node]] = []
    for _, clause in clauses:
        within = clause.get("events") if isinstance(clause, Mapping) else None
        if within is not None:
            try:
                found.extend(mapping_of(within, "'events'").items)
            except FileError as error:
                fields.refuse(error)
    return found


def _read_events(fields: Fields, written: list[tuple[Scalar, Node]], setting: Setting) -> None:
    """All events by name into the setting; names are known before any is read, so that they can refer to later ones."""
    for name, _ in written:
        if name.text in setting.events:
            found = f"the event '{name.text}' is defined twice"
            fields.refuse(FileError(found, expected="every event once", where=name.place))
        setting.events[name.text] = None
    for name, node in written:
        try:
            setting.events[name.text] = read_event(name.text, node, setting)
        except CurewrightError as error:
            for single in flat(error):
                fields.refuse(single)


def _read_clauses(fields: Fields, written: list[tuple[Scalar, Node]], setting: Setting) -> tuple[Clause, ...]:
    found = []
    for number, node in written:
        try:
            found.append(read_clause(number, node, setting))
        except CurewrightError as error:
            fields.refuse(error)
    return tuple(found)


def without_places(plan: Any) -> Any:
    """A plan, or any part of one, with no places and no hash: what two writings of the same specification share."""
    if isinstance(plan, tuple):
        return tuple(without_places(each) for each in plan)
    if not is_dataclass(plan) or isinstance(plan, type | Place):
        return plan
    changed = {field.name: without_places(getattr(plan, field.name)) for field in fields_of(plan)}
    changed = {name: None if isinstance(value, Place) else value for name, value in changed.items()}
    if isinstance(plan, Specification):
        changed |= {"sha256": "", "notes": ()}
    return type(plan)(**changed)
