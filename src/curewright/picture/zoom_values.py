"""Close views of values against limits: band, spread, at event, computed."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.limits import held
from curewright.judge.signals import envelope
from curewright.picture.limits_shown import levels
from curewright.picture.panel import LimitLine
from curewright.picture.shown import number_words, signs
from curewright.picture.signals_shown import known_of
from curewright.picture.zoom import DECIDING, LOWER, NEIGHBOUR, SECOND, Curve, Row, Shade, Spot
from curewright.terms.errors import CurewrightError
from curewright.terms.requirement import AtEvent, Band, Computed, Group, Spread
from curewright.terms.units import DEGREES, MINUTE, UNITS

if TYPE_CHECKING:
    from curewright.judge.envelope import Envelope
    from curewright.judge.trace import Trace
    from curewright.picture.zoom import View
    from curewright.terms.requirement import Allowance, Signal
    from curewright.terms.units import Unit

NAMES = {
    "part thermocouple": "part thermocouples",
    "tool thermocouple": "tool thermocouples",
    "air thermocouple": "air",
    "bag vacuum": "bag",
    "source vacuum": "source line",
    "vessel pressure": "vessel pressure",
}


def values(view: View) -> list[Row]:
    """A band, a spread, a value at an event or a computed signal: the signal, its limits and what lies outside."""
    form = view.form
    assert isinstance(form, Band | Spread | AtEvent | Computed)
    signal = envelope(view.scene, form.signal, view.thing, form.unit.reference)
    focus = _focus(view)
    view.show(*focus)
    if signal.less:
        return [_sensors_row(view, form.signal, signal), _judged_row(view, form.signal, signal, LOWER)]
    return [_judged_row(view, form.signal, signal)]


def _focus(view: View) -> tuple[int, int]:
    """The deciding excursion, else the unknown stretch, else the deciding instant, else the phase."""
    verdict = view.verdict
    at = verdict.margin.at if verdict.margin is not None else None
    around = [one for one in verdict.excursions if at is not None and one.start <= at <= one.end] or list(
        verdict.excursions
    )
    if around:
        return around[0].start, around[0].end
    first, last = view.possible
    stretches = [
        (max(one.start, first), min(one.end, last)) for one in verdict.unknown if one.start <= last and one.end >= first
    ]
    if verdict.outcome.value == "not shown" and stretches:
        return stretches[0]
    if at is not None:
        return at, at
    return first, last


def _judged_row(view: View, signal: Signal, found: Envelope, height: float | None = None) -> Row:
    """The row in which the signal is held against its limits."""
    form = view.form
    assert isinstance(form, Band | Spread | AtEvent | Computed)
    row = Row(title_of(signal), form.unit, unknown=unknown_of(view))
    if height is not None:
        row.height = height
    name = _name_of(signal, found)
    trace = known_of(found, name, view.first, view.last)
    deciding = _deciding(view)
    if not found.less:
        row.curves += neighbours(view, signal, found, deciding)
    whole = len(found.all_sensors) > 1 and not found.less
    row.curves.append(
        Curve(
            trace, SECOND if whole else DECIDING, "signal" if found.less or whole else "reading", name, dotted=not whole
        )
    )
    row.limits += _limit_lines(view)
    row.levels += _levels_beyond(view)
    for one in view.verdict.excursions:
        beyond = _beyond(view, trace.value(one.at))
        if beyond is not None:
            row.shades.append(Shade(trace, beyond, one.start, one.end))
    row.spots += _spots(view, trace)
    return row


def _sensors_row(view: View, signal: Signal, found: Envelope) -> Row:
    """The readings that a difference is made of, the two that decide it in bold."""
    unit = _sensor_unit(view, found)
    groups = [signal.group, *([signal.minus.group] if signal.minus is not None else [])]
    title = " and ".join(dict.fromkeys(NAMES.get(group.role, group.role) for group in groups))
    row = Row(title, unit, unknown=unknown_of(view))
    deciding = _deciding(view)
    for atom in found.all_sensors:
        bold = atom.label in deciding
        pen = NEIGHBOUR if not bold else DECIDING if atom.label == deciding[0] else SECOND
        row.curves.append(Curve(atom.trace, pen, "reading", atom.label))
    row.curves.sort(key=lambda curve: curve.pen.width)
    at = view.verdict.margin.at if view.verdict.margin is not None else None
    if at is not None:
        row.marks.append((at, view.clock(at)))
    return row


def _sensor_unit(view: View, found: Envelope) -> Unit:
    """The unit in which the readings of a difference are shown: that of its limit, in the reading's own reference."""
    name = view.form.unit.name.split()[0]
    return (
        UNITS[name]
        if name in DEGREES
        else UNITS[f"{name} {found.all_sensors[0].members[0].channel.reference or 'gauge'}"]
    )


def neighbours(view: View, signal: Signal, found: Envelope, deciding: list[str]) -> list[Curve]:
    """The other thermocouples of the group thin in grey, and the deciding one of several bold."""
    members = {atom.label: atom.trace for atom in found.all_sensors if atom.label != "mean"}
    curves = []
    if len(members) > 1:
        for label, trace in members.items():
            bold = label in deciding
            curves.append(Curve(trace, DECIDING if bold else NEIGHBOUR, "reading", label, dotted=bold))
    elif signal.computed is None and signal.take in ("each", "single", "mean"):
        for label, trace in _rest_of_group(view, signal.group, found):
            curves.append(Curve(trace, NEIGHBOUR, "neighbour", label))
    return sorted(curves, key=lambda curve: curve.pen.width)


def _rest_of_group(view: View, group: Group, found: Envelope) -> list[tuple[str, Trace]]:
    try:
        members = view.scene.members(Group(group.role), view.part) if group.role != "channel" else ()
        reference = getattr(view.form.unit, "reference", None)
        own = {atom.label for atom in found.sensors}
        return [(member.name, view.scene.trace(member, reference)) for member in members if member.name not in own]
    except CurewrightError:
        return []


def title_of(signal: Signal) -> str:
    """What a signal is, for the head of its panel."""
    if signal.computed is not None:
        return f"{signal.computed.quantity} by card {signal.computed.card}"
    own = _plain_title(signal)
    return f"{own} less {_plain_title(signal.minus)}" if signal.minus is not None else own


def _plain_title(signal: Signal) -> str:
    name = (
        signal.group.name
        if signal.group.role == "channel" and signal.group.name
        else NAMES.get(signal.group.role, signal.group.role)
    )
    single = signal.take in ("each", "single")
    return name if single else f"{signal.take} of the {name}"


def _name_of(signal: Signal, found: Envelope) -> str:
    if found.less:
        return "difference" if signal.take != "spread" else "spread"
    return found.sensors[0].label if len(found.all_sensors) == 1 else signal.take


def _deciding(view: View) -> list[str]:
    margin = view.verdict.margin
    return margin.channel.split(" - ") if margin is not None and margin.channel else []


def unknown_of(view: View) -> list[tuple[int, int, str]]:
    """The stretches over which something was not known, each with whose and why."""
    together: dict[tuple[int, int, str], list[str]] = {}
    for one in view.verdict.unknown:
        together.setdefault((one.start, min(one.end, view.end), one.why), []).append(one.channel)
    return [
        (first, last, f"{names[0] if len(names) == 1 else f'{len(names)} sensors'} not known: {why}")
        for (first, last, why), names in together.items()
    ]


def _limit_lines(view: View) -> list[LimitLine]:
    """The limits over the phase, with what an allowance tolerates where that is no level."""
    form = view.form
    assert isinstance(form, Band | Spread | AtEvent | Computed)
    allowance = form.allowance if isinstance(form, Band | Spread) else None
    more = f"; {allowance_words(allowance)}" if allowance is not None and allowance.depth is None else ""
    return [
        LimitLine(value, upper, signs(words) + more, view.possible, view.sure)
        for value, upper, words in levels(view.scene, form.limits, form.unit, form.unit)
    ]


def _levels_beyond(view: View) -> list[tuple[float, str]]:
    """What an allowance tolerates beyond the limits, and the tightened limits of a guard band, in the unit of the limits."""
    form = view.form
    found: list[tuple[float, str]] = []
    if isinstance(form, Band | Spread) and form.allowance is not None and form.allowance.depth is not None:
        depth = form.allowance.depth.grains / form.unit.scale
        words = allowance_words(form.allowance)
        found += [
            (value + depth if upper else value - depth, words)
            for value, upper, _ in levels(view.scene, form.limits, form.unit, form.unit)
        ]
    assert isinstance(form, Band | Spread | AtEvent | Computed)
    guarded = held(view.scene, form.limits, form.unit).guarded
    for threshold in (guarded.low, guarded.high) if guarded is not None else ():
        if threshold is not None:
            value = form.unit.from_grains(threshold.grains)
            found.append((value, f"guard band: {number_words(f'{value:.3f}', form.unit.name)}"))
    return found


def allowance_words(allowance: Allowance) -> str:
    """What an allowance tolerates, in words."""
    pieces = [] if allowance.depth is None else [f"by at most {signs(str(allowance.depth))}"]
    for length, what in ((allowance.at_a_time, "at a time"), (allowance.in_all, "in all")):
        if length is not None:
            pieces.append(f"{length / MINUTE:g} min {what}")
    return "allowed: " + ", ".join(pieces)


def _beyond(view: View, value: float | None) -> float | None:
    """The limit [grains] that a value lies beyond."""
    form = view.form
    assert isinstance(form, Band | Spread | AtEvent | Computed)
    ready = held(view.scene, form.limits, form.unit, decide=False)
    if value is None:
        return None
    if ready.high is not None and value > ready.high.grains:
        return ready.high.grains
    return ready.low.grains if ready.low is not None and value < ready.low.grains else None


def _spots(view: View, trace: Trace) -> list[Spot]:
    margin = view.verdict.margin
    if margin is None or margin.at is None:
        return []
    value = trace.value(margin.at)
    if value is None:
        return []
    return [Spot(margin.at, value, f"{number_words(margin.actual, '')} at {view.clock(margin.at)}")]
