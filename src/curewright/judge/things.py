"""Which things of a part a requirement is judged for."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.judge.scene import Thing
from curewright.terms.errors import TraceabilityError
from curewright.terms.requirement import Group

if TYPE_CHECKING:
    from curewright.judge.scene import Scene
    from curewright.terms.requirement import Form


def things_of(scene: Scene, form: Form) -> tuple[Thing, ...]:
    """The things: the part, its bag, the vessel, or each of its thermocouples (those of the group that the form's
    signal names).
    """
    key = ("things", scene.hall.token(form))
    found = scene.kept.get(key)
    if found is None:
        found = scene.kept[key] = _things_of(scene, form)
    return found  # type: ignore[return-value]


def _things_of(scene: Scene, form: Form) -> tuple[Thing, ...]:
    if form.for_each == "part":
        return (Thing("part", scene.part.serial),)
    if form.for_each == "bag":
        return (Thing("bag", scene.part.bag),)
    if form.for_each in ("vessel", "run"):
        return (Thing("vessel", scene.hall.vessel.name),)
    return _sensors(scene, form)


def _sensors(scene: Scene, form: Form) -> tuple[Thing, ...]:
    group = getattr(getattr(form, "signal", None), "group", None) or getattr(form, "group", None)
    if group is None or group.role != form.for_each:
        group = Group(form.for_each)
    part = Thing("part", scene.part.serial)
    members = scene.members(group, part)
    if not members:
        raise TraceabilityError(
            f"part {scene.part.serial} has no {form.for_each} on the sensor map",
            expected=f"at least one {form.for_each}",
            where=form.place,
            remedy="complete the sensor map of the load",
        )
    return tuple(Thing(form.for_each, member.name, member) for member in members)
