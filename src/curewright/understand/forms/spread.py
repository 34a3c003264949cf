"""Spread: the difference between the hottest and the coldest of a group stays within limits. Manual page: docs/requirements/spread.md."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.terms.errors import FileError
from curewright.terms.requirement import Spread
from curewright.understand.forms import band, common

if TYPE_CHECKING:
    from curewright.understand.forms.common import FormFields
    from curewright.understand.tree import Tree

FIELDS = {**band.FIELDS, "signal": "'spread of' a group of thermocouples"}
REQUIRED = ("signal", *band.REQUIRED)
SENTENCES = band.SENTENCES


def read(form: FormFields) -> Spread:
    """The form from its fields."""
    plain = band.read(form)
    if plain.signal.take != "spread":
        where = form.fields.place_of("signal")
        raise FileError("a spread of something that is no spread", expected="'signal: spread of GROUP'", where=where)
    return Spread(**vars(plain))


def tree(form: Spread) -> dict[str, Tree]:
    """The form as :func:`read` reads it back."""
    return common.form_tree(
        form,
        {
            "signal": common.signal_tree(form),
            **common.phase_tree(form.phase),
            "within": form.limits.written,
            "while": common.while_tree(form.while_, form.signal),
            "except": common.allowance_tree(form.allowance),
        },
    )
