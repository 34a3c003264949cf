"""Requirements that the local atmosphere makes impossible: more vacuum than there is air above."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.requirement import AtEvent, Band, LeakCheck

if TYPE_CHECKING:
    from curewright.judge.scene import Scene
    from curewright.terms.requirement import Limits, Requirement


def unattainable_form(scene: Scene, form: Requirement) -> str:
    """Why a form cannot be met here ('' where it can, or where the local atmosphere is not known)."""
    ambient = scene.hall.run.barometer
    return "" if ambient is None else unattainable(form, ambient)


def unattainable(form: Requirement, ambient: float) -> str:
    """Why a form asks for more vacuum than the ambient pressure (grains) allows, '' where it does not."""
    for limits in _vacuum_limits(form):
        if limits.low is not None and limits.low.unit.reference == "vacuum" and limits.low.grains > ambient:
            there_is = in_unit_to(ambient, limits)
            return f"{limits.low} is impossible here: the local atmosphere allows {there_is} {limits.low.unit.name}"
    return ""


def in_unit_to(ambient: float, limits: Limits) -> str:
    """The ambient pressure in the unit of the low limit, to two decimals."""
    assert limits.low is not None
    return f"{limits.low.unit.from_grains(ambient):.2f}"


def _vacuum_limits(form: Requirement) -> tuple[Limits, ...]:
    if isinstance(form, Band | AtEvent):
        return (form.limits,)
    if isinstance(form, LeakCheck) and form.starting is not None:
        return (form.starting,)
    return ()
