"""Close views of the recording itself: how many sensors work, and how far apart the samples are."""

from __future__ import annotations

from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.steps import FALSE, TRUE, UNKNOWN
from curewright.judge.trace import GAP, Trace
from curewright.picture.limits_shown import levels
from curewright.picture.panel import LimitLine
from curewright.picture.shown import number_words, signs
from curewright.picture.zoom import DECIDING, LOWER, Bar, Curve, Lanes, Row, Spot
from curewright.terms.requirement import Count, Recording

if TYPE_CHECKING:
    from curewright.judge.scene import Member
    from curewright.picture.zoom import View

MOST = 12  # lanes


def count(view: View) -> list[Row | Lanes]:
    """One lane per sensor: a bar where it works, hatched where it does not; and how many work at once below."""
    form = view.form
    assert isinstance(form, Count)
    members = view.scene.members(form.group, view.thing)
    view.show(*_shortage(view, members), share=0.3)
    if form.of == "vacuum ports" or not members:
        ports = view.scene.bag.ports if view.scene.bag else ()
        words = f"{len(ports)} vacuum ports: {', '.join(ports)}" if ports else "none on the map"
        return [Lanes(signs(view.verdict.limit) or "counted", [[Bar(view.first, view.first, "open", words)]])]
    lanes = Lanes("known (hatched: not)", [_lane(view, member) for member in members[:MOST]])
    if form.of == "sensors on the map":
        return [lanes]
    row = Row("working at once", form.unit, height=LOWER)
    row.curves.append(Curve(_working(view, members), DECIDING, "count", "working"))
    for value, upper, words in levels(view.scene, form.limits, form.unit, form.unit):
        row.limits.append(LimitLine(value, upper, signs(words), view.possible, view.sure))
    return [row, lanes]


def _shortage(view: View, members: tuple[Member, ...]) -> tuple[int, int]:
    """The stretch in which the fewest work, from the deciding instant on; the phase where nothing is short of the limit."""
    at = view.verdict.margin.at if view.verdict.margin is not None else None
    if at is None or view.verdict.outcome.value == "met":
        return view.possible
    known = [view.scene.trace(member, None).known() for member in members]
    gone = [
        stretch
        for steps in known
        for stretch in steps.stretches(at, view.possible[1], (FALSE, UNKNOWN))
        if stretch[0] <= at + 1
    ]
    return at, min((last for _, last in gone), default=at)


def _lane(view: View, member: Member) -> list[Bar]:
    known = view.scene.trace(member, None).known().stretches(view.first, view.last, (TRUE,))
    bars = [Bar(view.first, view.last, "unknown"), *(Bar(a, b, "open") for a, b in known)]
    return [*bars[:-1], Bar(bars[-1].first, bars[-1].last, bars[-1].fill, member.name)]


def _working(view: View, members: tuple[Member, ...]) -> Trace:
    """How many are known at each instant, as steps."""
    known = [view.scene.trace(member, None).known() for member in members]
    aside = view.verdict.set_aside
    edges = {view.first, view.last, *(t + d for steps in known for t in steps.times for d in (0, 1))}
    edges |= {edge for one in aside for edge in (one.start, one.end)}
    t = np.array(sorted(edge for edge in edges if view.first <= edge <= view.last), dtype=np.int64)
    counted = [
        sum(
            steps.value(int(at)) == TRUE
            and not any(one.channel == member.name and one.start < at < one.end for one in aside)
            for member, steps in zip(members, known, strict=True)
        )
        for at in t.tolist()
    ]
    link = np.zeros(len(t), np.uint8)
    link[-1:] = GAP
    return Trace("working", t, np.array(counted, dtype=float), link, hold=True)


def recording(view: View) -> list[Row]:
    """The time between neighbouring good samples of the sensor that was recorded least often."""
    form = view.form
    assert isinstance(form, Recording)
    margin = view.verdict.margin
    members = (view.thing.member,) if view.thing.member is not None else view.scene.members(form.group, view.thing)
    member = next(
        (one for one in members if margin is not None and one.name == margin.channel), members[0] if members else None
    )
    if member is None:
        return []
    longest = int(float(margin.actual) * form.unit.scale) if margin is not None else 0
    at = margin.at if margin is not None and margin.at is not None else view.possible[0]
    view.show(at, at + longest, share=0.3)
    trace = view.scene.trace(member, None)
    t = trace.t[(trace.t >= view.possible[0]) & (trace.t <= view.possible[1])]
    t = np.unique(np.concatenate([t, [view.possible[1]]])).astype(np.int64)
    row = Row(f"time from each sample of {member.name} to the next", form.unit)
    if len(t) > 1:
        link = np.zeros(len(t), np.uint8)
        link[-1] = GAP
        apart = np.append(np.diff(t), 0).astype(float)
        row.curves.append(Curve(Trace(member.name, t, apart, link, hold=True), DECIDING, "interval", member.name))
    for value, upper, words in levels(view.scene, form.limits, form.unit, form.unit):
        row.limits.append(LimitLine(value, upper, signs(words), view.possible, view.sure))
    if margin is not None:
        row.spots.append(Spot(at, float(longest), f"{number_words(margin.actual, margin.unit)} from {view.clock(at)}"))
    return [row]
