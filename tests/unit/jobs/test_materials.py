"""What the cards of a build-up say of themselves."""

from dataclasses import replace

from curewright.jobs.materials import Materials
from curewright.read.cards import packaged_card, packaged_solid
from curewright.terms.build_up import BuildUp, PartBuildUp, Zone, ZoneFace, ZoneLayer


def test_every_card_tells_its_work_and_its_notes_once() -> None:
    resin = replace(
        packaged_card("hubert_2001"), name="own", revision="3", work="An invented study", notes=("Not for ships.",)
    )
    fibre = replace(packaged_solid("johnston_1997_fibre"), name="glass", revision="1", work="Another study", notes=())
    layers = (
        ZoneLayer("upper", 0.002, resin="own", fibre="glass", fibre_volume=0.5),
        ZoneLayer("lower", 0.002, resin="own", fibre="glass", fibre_volume=0.6),
    )
    zone = Zone("z", layers, ZoneFace(1.0), ZoneFace(1.0))
    build_up = BuildUp("r", "P", (PartBuildUp("1", (zone,), (), 300.0, 0.01),))
    assert Materials({"own": resin, "glass": fibre}, "build-up.yaml").notes(build_up) == (
        "card own revision 3 is after: An invented study",
        "card own revision 3: Not for ships.",
        "card glass revision 1 is after: Another study",
    )


def test_a_laminate_tells_its_fibre_volume() -> None:
    """The card of this laminate states 0.54 (second-hand, a reprint of the 1992 paper)."""
    zone = Zone("z", (ZoneLayer("laminate", 0.002, "bogetti_1991_polyester"),), ZoneFace(1.0), ZoneFace(1.0))
    build_up = BuildUp("r", "P", (PartBuildUp("1", (zone,), (), 300.0, 0.01),))
    assert "(fibre volume 0.54) is after: " in Materials({}, "build-up.yaml").notes(build_up)[0]
