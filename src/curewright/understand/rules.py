"""The rules at the head of a specification: units, how values meet limits, gaps, lost thermocouples, a second recorder."""

from __future__ import annotations

from typing import TYPE_CHECKING, TypeVar

from curewright.terms.errors import AmbiguousClause, FileError, UnitError
from curewright.terms.requirement import Comparison, Decision, LostThermocouples, SecondRecorder
from curewright.terms.units import UNITS, Quantity, unit_named
from curewright.text.fields import Fields, duration, items, one_of, phrase, prose, text
from curewright.text.quantities import Measure, a_unit, amount_text, decimal_text, duration_text, number
from curewright.text.yaml import Mapping, Node, Scalar

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.terms.units import Unit
    from curewright.text.fields import Reader
    from curewright.text.phrase import Words
    from curewright.understand.tree import Tree

T = TypeVar("T")

# name under ``units:`` -> (quantity of the unit, pressure references that fit)
UNIT_NAMES: dict[str, tuple[str, tuple[str, ...]]] = {
    "temperature": ("temperature", ()),
    "pressure": ("pressure", ("gauge", "absolute")),
    "vacuum": ("pressure", ("vacuum",)),
    "time": ("time", ()),
    "temperature rate": ("temperature rate", ()),
    "pressure rate": ("pressure rate", ()),
    "fraction": ("fraction", ()),
    "viscosity": ("viscosity", ()),
}
ABSOLUTE, ROUNDING = "absolute", "rounding to"
SIMPLE, GUARD = "simple acceptance", "guard band"
NOT_STATED = "not stated"
SET_ASIDE = {"may be set aside": True, "are never set aside": False}
NOT_ALLOWED = "not allowed"
NO_LIMIT = "not limited"


# ---------------------------------------------------------------------------------------------------------------------- units
def read_units(node: Node) -> tuple[tuple[str, Unit], ...]:
    """``units:`` the unit that a number without one has, for each quantity."""
    fields = Fields(node, "units")
    found = [(name, fields.optional(name, _unit_reader(name), None)) for name in UNIT_NAMES]
    fields.close()
    order = [key.text for key, _ in fields.node.items]
    stated = {name: unit for name, unit in found if unit is not None}
    return tuple((name, stated[name]) for name in order)


def _unit_reader(name: str) -> Reader[Unit]:
    quantity, references = UNIT_NAMES[name]

    def read(node: Node) -> Unit:
        found = text(node)
        try:
            unit = unit_named(found)
        except UnitError as error:
            error.where = node.place
            raise
        if unit.quantity != quantity or (references and unit.reference not in references):
            expected = f"a unit of {quantity} ({' or '.join(references)})" if references else a_unit(Measure(quantity))
            remedy = f"a {name} has a unit of its own: correct it, or leave '{name}' out where no clause needs it"
            raise UnitError(f"'{found}' for {name}", expected=expected, where=node.place, remedy=remedy)
        return unit

    return read


# ------------------------------------------------------------------------------------------------------- comparison, decision
def read_comparison(words: Words) -> Comparison:
    """``absolute``, or ``rounding to 1 degF, 1 psi gauge``: half to even, in the unit of the requirement."""
    if words.accept("absolute"):
        return Comparison("absolute")
    if not words.accept("rounding", "to"):
        raise AmbiguousClause(
            "how a value meets a limit is not stated",
            choices=(f"'{ABSOLUTE}' (as it is)", f"'{ROUNDING} 1 degF, 1 psi gauge, …' (half to even, ASTM E29)"),
            where=words.place,
        )
    return Comparison("rounding", _listed(words, _place))


def _place(words: Words) -> Quantity:
    """A place of rounding: a number above 0 with its unit."""
    return _exactly(words, ("{}",))


def _width(words: Words) -> Quantity:
    """An expanded uncertainty: of temperatures and pressures it is a difference."""
    return _exactly(words, ("{} difference", "{}"))


def _exactly(words: Words, forms: tuple[str, ...]) -> Quantity:
    start = words.place
    value = number(words)
    if value <= 0:
        raise FileError(f"'{value}'", expected="a number above 0", where=start)
    for length in (3, 2, 1):
        ahead = words.tokens[words.position : words.position + length]
        name = " ".join(token.text for token in ahead).removesuffix(" difference" if len(forms) > 1 else ",")
        unit = next((UNITS[form.format(name)] for form in forms if form.format(name) in UNITS), None)
        if unit is not None and len(ahead) == length:
            words.position += length
            return Quantity(value, unit)
    raise words.wrong(expected="a unit by its full name, such as degF or psi gauge")


def _listed(words: Words, read: Callable[[Words], Quantity]) -> tuple[Quantity, ...]:
    found = [read(words)]
    while words.accept(","):
        found.append(read(words))
    return tuple(found)


def comparison_text(comparison: Comparison) -> str:
    """A comparison as it is read back."""
    if comparison.method == "absolute":
        return ABSOLUTE
    return f"{ROUNDING} " + ", ".join(_exact(place) for place in comparison.places)


def _exact(quantity: Quantity) -> str:
    return f"{decimal_text(quantity.number)} {quantity.unit.name}"


def read_decision(words: Words) -> Decision:
    """``simple acceptance``, or ``guard band 1.0 x U, U = 3.4 degF, 0.5 psi``."""
    if words.accept("simple", "acceptance"):
        return Decision("simple")
    if not words.accept("guard", "band"):
        raise AmbiguousClause(
            "the decision rule is not stated",
            choices=(f"'{SIMPLE}'", f"'{GUARD} 1.0 x U, U = 3.4 degF, …' (JCGM 106)"),
            where=words.place,
        )
    multiplier = number(words)
    for word in ("x", "U"):
        words.expect(word)
    words.expect(",")
    words.expect("U", "=")
    uncertainties = _listed(words, _width)
    written = f"{decimal_text(multiplier)} x U, U = " + ", ".join(amount_text(each) for each in uncertainties)
    widths = tuple(Quantity(multiplier * each.number, each.unit) for each in uncertainties)
    return Decision("guard", widths, written)


def decision_text(decision: Decision) -> str:
    """A decision rule as it is read back."""
    return SIMPLE if decision.rule == "simple" else f"{GUARD} {decision.written}"


# ---------------------------------------------------------------------------------------------------------- data and recorders
def read_recording(node: Node, units: dict[str, Unit]) -> tuple[int, int]:
    """``recording:`` the largest gap that is joined, and after how long without a good sample a channel is lost."""
    fields = Fields(node, "recording")
    gap = fields.required("largest gap", duration(units.get("time")))
    lost = fields.required("lost after", duration(units.get("time")))
    fields.close()
    return gap, lost


def read_lost(node: Node) -> LostThermocouples:
    """``thermocouples:`` how many a part needs, and what may be done when some are lost."""
    fields = Fields(node, "thermocouples")
    per_part = fields.required("per part", phrase(_per_part))
    may = fields.required("lost ones", one_of(*SET_ASIDE))
    remaining = fields.optional("remaining", phrase(_at_least), None)
    including = fields.optional("including", items(prose), ())
    allowed = SET_ASIDE.get(may, False)
    if allowed and remaining is None:
        choices = ("remaining: at least …", "lost ones: are never set aside")
        fields.refuse(
            AmbiguousClause("how many thermocouples must remain is not stated", choices=choices, where=fields.place)
        )
    if not allowed and (remaining is not None or including):
        remedy = "write 'lost ones: may be set aside', or leave out what must remain"
        fields.refuse(
            FileError("what must remain, though lost ones are never set aside", where=fields.place, remedy=remedy)
        )
    fields.close()
    return LostThermocouples(per_part, allowed, remaining, including)


def _per_part(words: Words) -> int | None:
    return None if words.accept("not", "stated") else _at_least(words)


def _at_least(words: Words) -> int:
    words.expect("at", "least")
    place = words.place
    value = number(words)
    if value < 1 or value % 1:
        raise FileError(f"'{value}'", expected="a whole number, 1 or more", where=place)
    return int(value)


def lost_tree(lost: LostThermocouples) -> dict[str, Tree]:
    """The rule for lost thermocouples as it is read back."""
    tree: dict[str, Tree] = {"per part": NOT_STATED if lost.per_part is None else f"at least {lost.per_part}"}
    tree["lost ones"] = next(words for words, allowed in SET_ASIDE.items() if allowed == lost.may_set_aside)
    if lost.remaining is not None:
        tree["remaining"] = f"at least {lost.remaining}"
    if lost.including:
        tree["including"] = list(lost.including)
    return tree


def read_second_recorder(node: Node, units: dict[str, Unit]) -> SecondRecorder:
    """``second recorder:`` ``not allowed``, or how long it may fill gaps of the first, and by which procedure."""
    if isinstance(node, Scalar) or not isinstance(node, Mapping):
        one_of(NOT_ALLOWED)(node)
        return SecondRecorder(False)
    fields = Fields(node, "second recorder")
    read = limited(duration(units.get("time")))
    at_a_time = fields.required("at a time", read)
    in_all = fields.required("in all", read)
    procedure = fields.required(
        "procedure", prose, remedy="name the clause or the approved shop procedure that allows it"
    )
    fields.close()
    return SecondRecorder(True, at_a_time, in_all, procedure)


def second_recorder_tree(second: SecondRecorder) -> Tree:
    """The rule for a second recorder as it is read back."""
    if not second.allowed:
        return NOT_ALLOWED
    return {
        "at a time": limited_text(second.at_a_time),
        "in all": limited_text(second.in_all),
        "procedure": second.procedure or "",
    }


def limited(read: Reader[T]) -> Reader[T | None]:
    """A reader that also takes ``not limited``."""
    return lambda node: None if isinstance(node, Scalar) and node.text == NO_LIMIT else read(node)


def limited_text(nanoseconds: int | None) -> str:
    """A duration, or ``not limited``."""
    return NO_LIMIT if nanoseconds is None else duration_text(nanoseconds)
