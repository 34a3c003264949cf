"""One place of a part, cut through its thickness: its layers from the lower face to the upper, and what lies on either face."""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING

if TYPE_CHECKING:
    from curewright.terms.course import Course
    from curewright.terms.material import LayerMaterial


@dataclass(frozen=True)
class Layer:
    """A layer that stores and conducts heat, and cures where its material does.

    thickness [m]. cured: degree of cure at the start; None: the lowest from which the material's law may be started.
    cells: into how many cells it is cut at least; 0 leaves that to the solver.
    """

    name: str
    material: LayerMaterial
    thickness: float
    cured: float | None = None
    cells: int = 0


@dataclass(frozen=True)
class Film:
    """A resistance to heat that stores none [m²K/W]: a bag film, a contact, an open sub-structure under a tool."""

    name: str
    resistance: float


@dataclass(frozen=True)
class Stack:
    """The layers and films of one zone, from the lower face (mostly the tool's) to the upper (mostly the bag's)."""

    name: str
    layers: tuple[Layer | Film, ...]


@dataclass(frozen=True, eq=False)
class Face:
    """What one face is exposed to: gas of a temperature [K], exchanging heat by h = factor × (a + b u(t)^exponent) [W/m²K].

    ``depends_on`` is u, for instance the absolute pressure [Pa]; None for a steady h = factor × a. ``factor`` is the position factor: how
    much better or worse than the vessel's survey says this place is served. ``imposed``: a heat flow into the face besides [W/m²].
    """

    gas: Course
    a: float = 0.0
    b: float = 0.0
    exponent: float = 1.0
    depends_on: Course | None = None
    factor: float = 1.0
    imposed: Course | None = None


@dataclass(frozen=True)
class Probe:
    """Where a thermocouple sits: at a fraction of a layer's thickness from its lower side, and how much of the air it sees.

    shows = air × T_gas + (1 - air) × T_place, with the gas of the face named by ``beside`` ("lower" or "upper").
    """

    name: str
    layer: str
    depth: float
    air: float = 0.0
    beside: str = "upper"
