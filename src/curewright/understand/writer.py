"""A plan back to a specification file: the same plan always gives the same text, and the text gives the plan again."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.text.quantities import duration_text
from curewright.understand.clauses import clause_tree
from curewright.understand.events import event_tree
from curewright.understand.rules import comparison_text, decision_text, lost_tree, second_recorder_tree
from curewright.understand.tree import yaml_text

if TYPE_CHECKING:
    from curewright.terms.requirement import Specification
    from curewright.understand.tree import Tree


def write(specification: Specification) -> str:
    """The specification as YAML; :func:`understand` reads the same plan from it, apart from places."""
    return yaml_text(specification_tree(specification))


def specification_tree(specification: Specification) -> dict[str, Tree]:
    """The specification as the names and texts of its file."""
    plan = specification
    tree: dict[str, Tree] = {"specification": plan.number, "revision": plan.revision, "status": plan.status}
    if plan.approved_by is not None:
        tree["approved by"] = plan.approved_by
    tree |= {"title": plan.title, "source": plan.source}
    if plan.units:
        tree["units"] = {name: unit.name for name, unit in plan.units}
    tree["comparison"] = comparison_text(plan.comparison)
    tree["decision"] = decision_text(plan.decision)
    tree["recording"] = {"largest gap": duration_text(plan.largest_gap), "lost after": duration_text(plan.lost_after)}
    tree["thermocouples"] = lost_tree(plan.lost)
    tree["second recorder"] = second_recorder_tree(plan.second_recorder)
    if plan.events:
        tree["events"] = {event.name: event_tree(event) for event in plan.events}
    tree["clauses"] = {clause.number: clause_tree(clause) for clause in plan.clauses}
    return tree
