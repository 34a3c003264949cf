"""The authority of a choice that the paper does not make: why, and by whose approval."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.requirement import Because
from curewright.text.fields import Fields, prose
from curewright.text.yaml import Mapping

if TYPE_CHECKING:
    from curewright.terms.errors import Place
    from curewright.text.yaml import Node
    from curewright.understand.tree import Tree

BY_THE_PAPER = "the paper says so"
PAPER = Because(BY_THE_PAPER, "the paper")
_APPROVED = ", approved by "


def read_because(node: Node) -> Because:
    """``the paper says so``, ``letter of 3 May, approved by M&P``, or ``{text: …, approved by: …}``."""
    if isinstance(node, Mapping):
        fields = Fields(node, "'because'")
        reason = fields.required("text", prose)
        approver = fields.required("approved by", prose)
        fields.close()
        return Because(reason, approver)
    found = prose(node)
    if found == BY_THE_PAPER:
        return PAPER
    reason, joint, approver = found.rpartition(_APPROVED)
    if not joint:
        remedy = "say who approved it, or 'because: the paper says so' where the sentence itself does"
        raise FileError(
            f"'{found}' names no approver", expected="'…, approved by NAME OR ROLE'", where=node.place, remedy=remedy
        )
    return Because(reason, approver)


def because_tree(because: Because) -> Tree:
    """An authority as :func:`read_because` reads it back."""
    return BY_THE_PAPER if because == PAPER else {"text": because.text, "approved by": because.approved_by}


def require_because(choices: tuple[str, ...], because: Because | None, place: Place | None) -> None:
    """Raises :class:`AmbiguousClause` where a choice is made and nobody answers for it."""
    if choices and because is None:
        raise AmbiguousClause(
            f"{' and '.join(choices)} without 'because'",
            choices=("because: (letter, planning, interpretation), approved by (whom)", f"because: {BY_THE_PAPER}"),
            where=place,
        )
