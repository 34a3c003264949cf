"""The vessel file: sensors with their corrections and calibrations, ports, recorders, the pressure of the site."""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.read.forms import (
    DATE,
    DIFFERENCE,
    FILE,
    TEXT,
    Field,
    Filled,
    Form,
    Kind,
    items,
    one_of,
    quantity,
    table,
)
from curewright.read.ports import port_list
from curewright.terms.errors import FileError, each
from curewright.terms.load import Calibration, Correction, Port, Recorder, Sensor, Vessel
from curewright.text import fields as text_fields
from curewright.text.phrase import words_of
from curewright.text.quantities import TEMPERATURE_DIFFERENCE, Measure, amount

if TYPE_CHECKING:
    from collections.abc import Callable

    from curewright.terms.units import Quantity
    from curewright.text.yaml import Node

MEASURES = ("temperature", "pressure", "vacuum", "state")
TOLERANCES = ("standard", "special", "class 1", "class 2", "class 3")
WIRES = ("B", "C", "E", "J", "K", "N", "R", "S", "T")  # letters of ASTM E230
LIMITS_OR_STANDARD = ("limits", "standard uncertainty")


def _within(node: Node) -> Quantity:
    """``within 5 degF``: how far a thermocouple may be from the median of all."""
    words = words_of(node)
    words.expect("within")
    found = amount(words, Measure(TEMPERATURE_DIFFERENCE.quantity))
    words.done()
    return found


WITHIN = Kind(_within, {"type": "string", "pattern": "^within ", "examples": ["within 5 degF"]})


def _wire(node: Node) -> str:
    """A wire type as the standards write it; any other word is taken as it is."""
    found = text_fields.text(node)
    if found.upper() in WIRES and found not in WIRES:
        raise FileError(
            f"'{found}'", expected="a wire type such as K, J or T", where=node.place, remedy=f"write '{found.upper()}'"
        )
    return found


WIRE = Kind(_wire, {"type": "string", "examples": ["K", "J", "T"]})
CALIBRATION = Form(
    "a calibration",
    "A calibration certificate.",
    (
        Field("certificate", TEXT, "the number of the certificate"),
        Field("due", DATE, "the last day on which it holds"),
        Field("uncertainty", DIFFERENCE, "the uncertainty that it states", required=False),
        Field(
            "stated as",
            one_of(*LIMITS_OR_STANDARD),
            "what that uncertainty is; needed where one is stated",
            required=False,
        ),
    ),
)
CORRECTION = Form(
    "a correction",
    "What has to be added to a reading.",
    (
        Field(
            "of",
            TEXT,
            "what it corrects: wire roll, recorder channel, transducer; one of each holds on a day, and they add up",
        ),
        Field("add", DIFFERENCE, "what is added to the reading as displayed, with the sign of the certificate"),
        Field("certificate", TEXT, "the number of the certificate"),
        Field("valid from", DATE, "the first day on which it holds"),
        Field("valid to", DATE, "the last day on which it holds"),
    ),
)


def _calibration(filled: Filled) -> Calibration:
    if (filled["uncertainty"] is None) != (filled["stated as"] is None):
        raise FileError(
            "'uncertainty' and 'stated as' belong together",
            expected="both or neither",
            where=filled.place(),
            remedy="write 'stated as: limits' or 'stated as: standard uncertainty', as on the certificate",
        )
    return Calibration(
        filled["certificate"], filled["due"], filled["uncertainty"], filled["stated as"] == "standard uncertainty"
    )


def _correction(filled: Filled) -> Correction:
    if filled["valid to"] < filled["valid from"]:
        raise FileError("the correction ends before it begins", where=filled.place("valid to"))
    return Correction(
        add=filled["add"],
        certificate=filled["certificate"],
        valid_from=filled["valid from"],
        valid_to=filled["valid to"],
        of=filled["of"],
        line=filled.line,
    )


SENSOR = Form(
    "a sensor",
    "A thermocouple, a transducer or a state of the vessel, and the recorder channel behind it.",
    (
        Field("channel", TEXT, "its recorder channel"),
        Field("measures", one_of(*MEASURES), "what it measures"),
        Field("wire", WIRE, "the wire type (K, J, T, …)", required=False),
        Field(
            "tolerance", one_of(*TOLERANCES), "the tolerance class of the wire (ASTM E230 or IEC 60584)", required=False
        ),
        Field("roll", TEXT, "the roll that the wire came from", required=False),
        Field("corrections", items(CORRECTION.kind(_correction)), "corrections by certificate", required=False),
        Field("calibration", CALIBRATION.kind(_calibration), "its calibration", required=False),
        Field("drift", DIFFERENCE, "the drift to be expected until the due date", required=False),
        Field(
            "also on",
            table(TEXT),
            "further recorders that this very junction or gauge is wired to, by name, and its channel there",
            required=False,
        ),
    ),
)
RECORDER = Form(
    "a recorder",
    "A recorder and what is known of its errors.",
    (
        Field("accuracy", DIFFERENCE, "limits of error of a reading", required=False),
        Field("reference junction", DIFFERENCE, "limits of error of the reference junction", required=False),
        Field("resolution", DIFFERENCE, "the step of the last digit", required=False),
        Field("calibration", CALIBRATION.kind(_calibration), "its calibration", required=False),
    ),
)
PORT = Form(
    "a port",
    "A vacuum port or a thermocouple jack of the vessel.",
    (
        Field("kind", one_of("vacuum", "thermocouple"), "what it is for"),
        Field("sensor", TEXT, "the sensor behind it; 'none' for a line without one"),
    ),
)
VESSEL = Form(
    "a vessel",
    "An autoclave: sensors, ports, recorders and the pressure of its site.",
    (
        Field("vessel", TEXT, "the name of the vessel"),
        Field("facility", TEXT, "the plant that it stands in; printed on the cure record", required=False),
        Field(
            "site pressure",
            quantity(Measure("pressure", references=("absolute",)), "98.2 kPa absolute"),
            "the usual air pressure at the site, for changes of reference where no barometer was read",
            required=False,
        ),
        Field(
            "agreement at ambient",
            WITHIN,
            "how far a thermocouple may be from the median of all before heating",
            required=False,
        ),
        Field("recorders", table(RECORDER.kind()), "the recorders by name", required=False),
        Field("sensors", table(SENSOR.kind()), "the sensors by name"),
        Field("ports", table(PORT.kind()), "the ports by number", required=False),
        Field("ports file", FILE, "a CSV or Excel file with the ports instead", required=False),
    ),
)


def read_vessel(content: bytes, file: str, beside: Callable[[str], bytes] | None = None) -> Vessel:
    """A vessel file; ``beside`` gives the bytes of the port list that it names. Raises with file, line and column."""
    filled = VESSEL.of_file(content, file)
    if filled["ports"] is not None and filled["ports file"] is not None:
        raise FileError(
            "ports here and in a file", where=filled.place("ports file"), expected="one of them", remedy="delete one"
        )
    return Vessel(
        name=filled["vessel"],
        sensors=each(_sensor, filled["sensors"]),
        ports=_ports(filled, file, beside),
        recorders=tuple(_recorder(name, form) for name, form in filled["recorders"] or ()),
        site_pressure=filled["site pressure"],
        file=file,
        agreement_at_ambient=filled["agreement at ambient"],
        facility=filled["facility"] or "",
    )


def _sensor(named: tuple[str, Filled]) -> Sensor:
    name, form = named
    corrections: tuple[Correction, ...] = form["corrections"] or ()
    wanted = "temperature difference" if form["measures"] == "temperature" else "pressure difference"
    for what in ("drift",) if form["drift"] else ():
        _refuse_unit(form[what], wanted, name, form, what)
    for correction in corrections:
        _refuse_unit(correction.add, wanted, name, form, "corrections")
    _refuse_two_at_once(name, corrections, form)
    return Sensor(
        name=name,
        channel=form["channel"],
        measures=form["measures"],
        wire=form["wire"] or "",
        tolerance=form["tolerance"] or "",
        roll=form["roll"] or "",
        corrections=corrections,
        calibration=form["calibration"],
        drift=form["drift"],
        line=form.line,
        also_on=tuple(form["also on"] or ()),
    )


def _refuse_unit(found: Quantity, wanted: str, name: str, form: Filled, what: str) -> None:
    if found.unit.quantity != wanted:
        raise FileError(
            f"the sensor {name} measures {form['measures']}, and '{found.number} {found.unit.name}' is a {found.unit.quantity}",
            expected=f"a {wanted}",
            where=form.place(what),
        )


def _refuse_two_at_once(name: str, corrections: tuple[Correction, ...], form: Filled) -> None:
    for i, one in enumerate(corrections):
        for other in corrections[i + 1 :]:
            if one.of == other.of and one.valid_from <= other.valid_to and other.valid_from <= one.valid_to:
                raise FileError(
                    f"two corrections of the sensor {name} for its {one.of} are valid on {max(one.valid_from, other.valid_from)} "
                    f"(lines {one.line} and {other.line})",
                    where=form.place("corrections"),
                    remedy="end the old one before the new one begins; only one may be applied",
                )


def _recorder(name: str, form: Filled) -> Recorder:
    return Recorder(
        name, form["accuracy"], form["reference junction"], form["resolution"], form["calibration"], form.line
    )


def _ports(filled: Filled, file: str, beside: Callable[[str], bytes] | None) -> tuple[Port, ...]:
    if filled["ports file"] is not None:
        if beside is None:
            raise FileError(
                "a port list beside this file cannot be reached from here", where=filled.place("ports file")
            )
        return port_list(beside(filled["ports file"]), filled["ports file"])
    rows = filled["ports"] or ()
    return tuple(
        Port(number, form["kind"], None if form["sensor"] == "none" else form["sensor"], form.line, file)
        for number, form in rows
    )
