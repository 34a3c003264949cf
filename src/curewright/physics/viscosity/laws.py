"""The laws of viscosity by name."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.physics.viscosity import castro_macosko, lee_1982

if TYPE_CHECKING:
    import numpy as np
    from numpy.typing import NDArray

    from curewright.physics.card import Law

VALUES = {law.NAME: law.VALUES for law in (lee_1982, castro_macosko)}
LAWS = {law.NAME: law.viscosity for law in (lee_1982, castro_macosko)}


def viscosity(law: Law, T: NDArray[np.float64], alpha: NDArray[np.float64]) -> NDArray[np.float64]:
    """Viscosity [Pa s], shape of T [K] and alpha, by a card's law; not a number beyond its range."""
    return LAWS[law.name](T, alpha, *law.numbers)  # type: ignore[no-any-return] # of a table of functions
