"""The instants of a growing run that may come to bound a phase: what has passed and may still be an event, now or later.

Of what has passed only such instants can still come to be one at which an event was found (for certain, or as a bound), or since when
its condition holds without a break: every other stay was too short and is over. These are the *cuts*, with the ends of entries
and settings-aside, each shifted by the delays of the specification.
"""

from __future__ import annotations

from bisect import bisect_left
from typing import TYPE_CHECKING

import numpy as np

from curewright.judge.envelope import Envelope
from curewright.judge.steps import NEVER, TRUE, UNKNOWN, Steps

if TYPE_CHECKING:
    from numpy.typing import NDArray

    from curewright.judge.scene import Scene
    from curewright.terms.requirement import Event, Rate

SHARED = ("part", "bag", "vessel")  # kinds of things whose conditions may bound the phase of any other


def cuts_of(scene: Scene, thing: tuple[object, object]) -> NDArray[np.int64]:
    """Every instant that may come to bound a phase for a thing: of its events and of shared ones, of entries, losses and
    settings-aside.
    """
    key = ("cuts", *thing)
    if key not in scene.kept:
        times = {0} | _by_hand(scene)
        for found_key, found in scene.kept.items():
            if isinstance(found, Envelope):
                times.update(edge for entry in found.aside for edge in (entry.start, entry.end))
            elif found_key[0] == "losses":  # whether a lost sensor decided a signal is asked at its last good sample
                times.update(start for start, _ in found)  # type: ignore[attr-defined]
        for event in scene.specification.events:
            times |= edges_of(scene, event, thing)
        scene.kept[key] = np.array(sorted(time for time in times if abs(time) < NEVER), dtype=np.int64)
    return scene.kept[key]  # type: ignore[return-value]


def edges_of(scene: Scene, event: Event, thing: tuple[object, object]) -> set[int]:
    """The instants that have passed and may be an event, now or later: where it is found at present, and since when its
    conditions hold without a break (surely, or not surely not), for a thing or for one that all share.
    """
    known = ("edges", event.name, *thing)
    if known not in scene.kept:
        found: set[int] = set()
        for (name, *whose), when in scene.events.items():
            if name == event.name and (tuple(whose) == thing or whose[0] in SHARED):
                found.update((when.earliest, when.latest))
        for token in {scene.hall.token(source.condition) for source in event.sources if source.condition is not None}:
            for key, steps in list(scene.kept.items()):
                if key[:2] == ("condition", token) and (key[2:4] == thing or key[2] in SHARED):
                    assert isinstance(steps, Steps)
                    since = {open_since(steps, scene.end, codes) for codes in ((TRUE,), (UNKNOWN, TRUE))}
                    found |= {time + event.delay for time in since if time is not None}
        after = next((one for one in scene.specification.events if one.name == event.after), None)
        if after is not None:  # a condition that holds already begins there; or it is nothing but so long after it
            found |= {time + event.delay for time in edges_of(scene, after, thing)}
        scene.kept[known] = {time for time in found if abs(time) < NEVER}
    return scene.kept[known]  # type: ignore[return-value]


def open_since(steps: Steps, end: int, codes: tuple[int, ...]) -> int | None:
    """Since when only these codes have occurred up to ``end``; None where another one does there, or since ever."""
    if steps.value(end) not in codes:
        return None
    i = bisect_left(steps.times, end)
    if i < len(steps.times) and steps.times[i] == end and (steps.after[i - 1] if i else steps.before) not in codes:
        return end
    while i:
        i -= 1
        if steps.at[i] not in codes or (steps.after[i - 1] if i else steps.before) not in codes:
            return steps.times[i]
    return None


def _by_hand(scene: Scene) -> set[int]:
    """The instants of hand entries, each with its uncertainty, and where windows of leak checks begin and end from
    there.
    """
    times: set[int] = set()
    for entry in scene.hall.run.entries:
        for instant in (entry.at, entry.until):
            if instant is not None:
                times.update((instant - entry.plus_minus, instant, instant + entry.plus_minus))
    return times


def ends_of_phase(scene: Scene, form: Rate, thing: tuple[object, object]) -> set[int]:
    """Instants that may come to bound the phase of a rate."""
    names = {form.phase.start, form.phase.end}
    return {
        edge for event in scene.specification.events if event.name in names for edge in edges_of(scene, event, thing)
    }


def named(scene: Scene, name: str) -> list[Event]:
    """The event of that name; none, where it is the start or the end of the record."""
    return [event for event in scene.specification.events if event.name == name]


def surely(scene: Scene, event: Event, thing: tuple[object, object]) -> int | None:
    """The instant of an event that nothing to come can change: the first stay in a condition, found without doubt after
    one that is as sure; None where there is no such instant (yet).
    """
    if any(source.by == "entry" or source.which != "first" for source in event.sources):
        return None
    if any(surely(scene, after, thing) is None for after in named(scene, event.after or "")):
        return None
    found = {
        when_found
        for (name, *whose), when_found in scene.events.items()
        if name == event.name and (tuple(whose) == thing or whose[0] in SHARED)
    }
    instants = {edge for when_found in found for edge in (when_found.earliest, when_found.latest)}
    return instants.pop() if len(instants) == 1 and max(instants) < NEVER else None
