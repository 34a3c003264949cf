"""The build-up sheet: what each part is built up of from the bag to the tool, and where its thermocouples sit in it."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.read.forms import TEXT, Field, Filled, Form, items, table
from curewright.read.physical import CONDUCTANCE, ERROR, FACTOR, SHARE, TEMPERATURE, THICKNESS
from curewright.terms.build_up import NO_DOUBTS, BuildUp, Doubts, PartBuildUp, Place, Zone, ZoneFace, ZoneLayer
from curewright.terms.errors import FileError, each

if TYPE_CHECKING:
    from curewright.terms.load import Load

LAYER = Form(
    "a layer",
    "One layer of a zone.",
    (
        Field("name", TEXT, "how the layer is called in this zone: bag, laminate, tool"),
        Field("thickness", THICKNESS, "how thick it is"),
        Field(
            "material",
            TEXT,
            "its material card: a tool, a core, a bag's layer, a laminate published as a whole",
            required=False,
        ),
        Field("resin", TEXT, "or, for a prepreg, the card of its resin", required=False),
        Field("fibre", TEXT, "and the card of its fibre", required=False),
        Field("fibre volume", SHARE, "and the share of its volume that is fibre", required=False),
    ),
)
FACE = Form(
    "a face",
    "One face of a zone in the gas.",
    (
        Field("position factor", FACTOR, "how much of the vessel's convection the place gets"),
        Field("standard uncertainty", ERROR, "of that factor", required=False),
        Field(
            "factor from", TEXT, "where the factor comes from: a survey, a fit with its run and date", required=False
        ),
        Field("sub-structure", CONDUCTANCE, "a conductance between the outermost layer and the gas", required=False),
    ),
)


def _face(filled: Filled) -> ZoneFace:
    return ZoneFace(
        filled["position factor"], filled["sub-structure"], filled["standard uncertainty"], filled["factor from"] or ""
    )


def _layer(filled: Filled) -> ZoneLayer:
    if filled["thickness"] <= 0:
        raise FileError("a layer without thickness", expected="more than 0", where=filled.place("thickness"))
    prepreg = [filled[name] for name in ("resin", "fibre", "fibre volume")]
    whole = filled["material"] is not None
    if whole == (None not in prepreg) or (whole and prepreg != [None] * 3):
        raise FileError(
            f"the layer {filled['name']} is not said to be of anything, or of two things",
            expected="'material', or all of 'resin', 'fibre' and 'fibre volume'",
            where=filled.place(),
        )
    return ZoneLayer(
        filled["name"], filled["thickness"], filled["material"] or "",
        filled["resin"] or "", filled["fibre"] or "", filled["fibre volume"] or 0.0, filled.line,
    )  # fmt: skip


ZONE = Form(
    "a zone",
    "A place of the part with one thickness.",
    (
        Field("from the bag to the tool", items(LAYER.kind(_layer)), "the layers in their order"),
        Field("bag side", FACE.kind(_face), "the face on the bag's side"),
        Field("tool side", FACE.kind(_face), "the face on the tool's side"),
    ),
)
PLACE = Form(
    "a place",
    "Where a sensor of the map sits.",
    (
        Field("zone", TEXT, "the zone"),
        Field("layer", TEXT, "the layer, by its name in that zone"),
        Field("depth", SHARE, "how deep in the layer: 0 at its bag side, 1 at its tool side"),
        Field("air share", SHARE, "the share of the air that it sees; 0 where left out", required=False),
    ),
)
PART = Form(
    "the build-up of a part",
    "One part: its zones, where its sensors sit, and how it starts.",
    (
        Field("temperature at the start", TEMPERATURE, "of part and tool"),
        Field("degree of cure at the start", SHARE, "of its resin"),
        Field("humidity at lay-up", SHARE, "relative humidity that the prepreg was exposed to", required=False),
        Field(
            "resin's share of the pressure",
            SHARE,
            "what of the pressure the resin carries until it gels",
            required=False,
        ),
        Field("zones", table(ZONE.kind()), "the zones by name"),
        Field("places", table(PLACE.kind()), "the sensors of the map by name, and where each sits"),
    ),
)
DOUBTS = Form(
    "what is doubtful",
    "Standard uncertainties, for bands of a prediction.",
    (
        Field("thickness", ERROR, "of the layers that cure, relative", required=False),
        Field("rate of cure", ERROR, "relative", required=False),
        Field("heat of reaction", ERROR, "relative", required=False),
        Field("depth of thermocouples", THICKNESS, "in the layer that they sit in", required=False),
    ),
)


def _doubts(filled: Filled) -> Doubts:
    return Doubts(*(filled[field.name] for field in DOUBTS.fields))


BUILD_UP = Form(
    "a build-up sheet",
    "What the parts of a load are built up of.",
    (
        Field("build-up", TEXT, "the load that it is for"),
        Field("written by", TEXT, "by whose word"),
        Field("standard uncertainties", DOUBTS.kind(_doubts), "how well this is known, for bands", required=False),
        Field("parts", table(PART.kind()), "the parts by serial number"),
    ),
)


def read_build_up(content: bytes, file: str, load: Load | None = None) -> BuildUp:
    """A build-up sheet. Raises with file, line and column; with ``load``, also for parts and sensors that it does not know."""
    filled = BUILD_UP.of_file(content, file)
    parts = each(lambda row: _part(row[0], row[1], load), filled["parts"])
    return BuildUp(filled["build-up"], filled["written by"], parts, file, filled["standard uncertainties"] or NO_DOUBTS)


def _part(serial: str, filled: Filled, load: Load | None) -> PartBuildUp:
    if load is not None and serial not in {part.serial for part in load.parts}:
        raise FileError(
            f"the load has no part {serial}",
            expected="one of " + ", ".join(part.serial for part in load.parts),
            where=filled.place(),
        )
    zones = each(lambda row: _zone(*row), filled["zones"])
    places = each(lambda row: _place(row[0], row[1], zones, serial, load), filled["places"])
    return PartBuildUp(
        serial, zones, places, filled["temperature at the start"], filled["degree of cure at the start"],
        filled["humidity at lay-up"], filled["resin's share of the pressure"], filled.line,
    )  # fmt: skip


def _zone(name: str, filled: Filled) -> Zone:
    layers = filled["from the bag to the tool"]
    names = [layer.name for layer in layers]
    again = sorted({one for one in names if names.count(one) > 1})
    if again or not layers:
        found = f"two layers are called '{again[0]}'" if again else "no layer"
        raise FileError(
            found,
            expected="at least one layer, each with a name of its own",
            where=filled.place("from the bag to the tool"),
        )
    return Zone(name, layers, filled["bag side"], filled["tool side"], filled.line)


def _place(sensor: str, filled: Filled, zones: tuple[Zone, ...], serial: str, load: Load | None) -> Place:
    by_name = {zone.name: zone for zone in zones}
    zone = by_name.get(filled["zone"])
    if zone is None:
        raise FileError(
            f"no zone '{filled['zone']}'", expected="one of " + ", ".join(by_name), where=filled.place("zone")
        )
    layers = [layer.name for layer in zone.layers]
    if filled["layer"] not in layers:
        raise FileError(
            f"zone {zone.name} has no layer '{filled['layer']}'",
            expected="one of " + ", ".join(layers),
            where=filled.place("layer"),
        )
    if load is not None:
        _known(sensor, serial, load, filled)
    return Place(sensor, zone.name, filled["layer"], filled["depth"], filled["air share"] or 0.0, line=filled.line)


def _known(sensor: str, serial: str, load: Load, filled: Filled) -> None:
    own = dict.fromkeys(one.sensor for one in load.map if one.thing == serial)
    if sensor not in own:
        raise FileError(
            f"the sensor map has no sensor '{sensor}' on part {serial}",
            expected="one of " + ", ".join(own) if own else "a line of the map for this part",
            where=filled.place(),
        )
