"""What the cards of a build-up say of themselves."""

from dataclasses import replace

from curewright.jobs.materials import Materials
from curewright.physics.card import Card
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
        "card own revision 3: its writer's own choice, not published: range of temperature, of heating, of predictions",
        "card glass revision 1 is after: Another study",
        "the cure of part 1 stands on card own revision 3 (your own, hubert_2001.yaml)",
    )


def test_a_laminate_tells_its_fibre_volume() -> None:
    """The card of this laminate states 0.54 (second-hand, a reprint of the 1992 paper)."""
    zone = Zone("z", (ZoneLayer("laminate", 0.002, "bogetti_1991_polyester"),), ZoneFace(1.0), ZoneFace(1.0))
    build_up = BuildUp("r", "P", (PartBuildUp("1", (zone,), (), 300.0, 0.01),))
    assert "(fibre volume 0.54) is after: " in Materials({}, "build-up.yaml").notes(build_up)[0]


def notes_of(resin: Card, *, own: bool, parts: int = 1) -> tuple[str, ...]:
    layer = ZoneLayer("laminate", 0.002, resin=resin.name, fibre="johnston_1997_fibre", fibre_volume=0.5)
    zone = Zone("z", (layer,), ZoneFace(1.0), ZoneFace(1.0))
    built = tuple(PartBuildUp(str(1 + one), (zone,), (), 300.0, 0.01) for one in range(parts))
    return Materials({resin.name: resin} if own else {}, "build-up.yaml").notes(BuildUp("r", "P", built))


def test_every_part_tells_the_card_that_its_cure_stands_on() -> None:
    said = notes_of(packaged_card("hubert_2001"), own=False, parts=2)
    title = packaged_card("hubert_2001").title
    assert f"the cure of parts 1, 2 stands on card {title}" in said


def test_a_card_of_ones_own_without_a_known_time_is_told() -> None:
    card = replace(packaged_card("hubert_2001"), name="own")
    assert card.known_times
    assert not [words for words in notes_of(card, own=True) if "known time" in words]
    (told,) = [words for words in notes_of(replace(card, known_times=()), own=True) if "known time" in words]
    assert told.startswith(
        f"card {card.title} (your own): nothing here could check the unit of time of its rate constants"
    )


def test_what_a_card_s_writer_chose_is_marked() -> None:
    card = replace(packaged_card("hubert_2001"), name="own")
    assert card.gel
    assert card.heat
    chosen = replace(
        card,
        gel=replace(card.gel, confidence="our own choice"),
        heat=replace(card.heat, value=replace(card.heat.value, confidence="read")),
    )
    (told,) = [words for words in notes_of(chosen, own=True) if "card own revision" in words and "own choice" in words]
    assert "gel" in told.split(": ")[2]
    assert "heat of reaction" not in told
