"""What a part is built up of, from the bag to the tool, and where its thermocouples sit in it: what a prediction needs to know."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class ZoneLayer:
    """One layer of a zone: its name in this zone, its thickness [m], and the material cards that it is of.

    Either ``material`` (a tool, a core, a bag's layer, or a laminate published as a whole) or a prepreg of ``resin`` and ``fibre`` with
    its ``fibre_volume`` (0 to 1).
    """

    name: str
    thickness: float
    material: str = ""
    resin: str = ""
    fibre: str = ""
    fibre_volume: float = 0.0
    line: int = 0


@dataclass(frozen=True)
class ZoneFace:
    """One face of a zone in the gas. ``position_factor`` multiplies the convection of the vessel at that place.

    ``film`` [W/m²/K]: a sub-structure, as a conductance between the outermost layer and the gas; None where there is none.
    ``position_error``: standard uncertainty of the position factor, None where nobody knows it.
    """

    position_factor: float
    film: float | None = None
    position_error: float | None = None
    factor_from: str = ""
    """where the factor comes from: a survey, a fit to a run with its date"""


@dataclass(frozen=True)
class Zone:
    """A place of a part with one thickness: layers from the bag to the tool, and both faces in the gas."""

    name: str
    layers: tuple[ZoneLayer, ...]
    bag_side: ZoneFace
    tool_side: ZoneFace
    line: int = 0

    @property
    def thickness(self) -> float:
        """Of all layers together [m]."""
        return sum(layer.thickness for layer in self.layers)

    def depth(self, layer: str, share: float) -> float:
        """How deep below the bag side's outer face a place lies [m]: ``share`` 0 at the layer's bag side, 1 at its tool side.

        Raises KeyError for a layer that the zone does not have.
        """
        above = 0.0
        for one in self.layers:
            if one.name == layer:
                return above + share * one.thickness
            above += one.thickness
        raise KeyError(layer)


@dataclass(frozen=True)
class Place:
    """Where a sensor of the map sits: in which zone and layer, how deep in it, and which share of the air it sees.

    ``share``: 0 at the bag side of the layer, 1 at its tool side. ``air_share``: 0 shows the part only, 1 the air only
    (a thermocouple at an edge shows some of each). ``offset`` [K]: added to what is shown, learnt from runs.
    """

    sensor: str
    zone: str
    layer: str
    share: float
    air_share: float = 0.0
    offset: float = 0.0
    line: int = 0


@dataclass(frozen=True)
class PartBuildUp:
    """One part's zones and places, and how it starts: temperature [K], degree of cure, humidity at lay-up (0 to 1).

    ``resin_share``: the share of the pressure on the laminate that its resin carries (0 to 1); humidity and share are None where
    nobody stated them, and then no void margin is given.
    """

    serial: str
    zones: tuple[Zone, ...]
    places: tuple[Place, ...]
    temperature: float
    degree_of_cure: float
    humidity: float | None = None
    resin_share: float | None = None
    line: int = 0

    def zone(self, name: str) -> Zone:
        """A zone by its name; raises KeyError for one that the part does not have."""
        return {zone.name: zone for zone in self.zones}[name]


@dataclass(frozen=True)
class Doubts:
    """How well a build-up is known, as standard uncertainties: thickness of what cures, rate of cure and heat of reaction relative,
    depth of thermocouples in m. None where nobody stated it: a band then leaves it out, and says so.
    """

    thickness: float | None = None
    rate_of_cure: float | None = None
    heat_of_reaction: float | None = None
    depth: float | None = None


NO_DOUBTS = Doubts()


@dataclass(frozen=True)
class BuildUp:
    """What the parts of a load are built up of, by whose word, and how well that is known."""

    load: str
    author: str
    parts: tuple[PartBuildUp, ...]
    file: str = ""
    doubts: Doubts = NO_DOUBTS

    def part(self, serial: str) -> PartBuildUp | None:
        """The build-up of a part, None where nobody wrote one (it is not predicted then)."""
        return {part.serial: part for part in self.parts}.get(serial)
