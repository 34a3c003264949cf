"""A card from the text of its file: what cures (a resin, a laminate as a whole), or what does not (a fibre, a tool, a layer of a bag).

Every constant stands with its unit, source and confidence; a card without them, with a constant too many or too few, in a unit that its
law does not take, or with numbers that cannot be meant, is refused with file, line and column.
"""

from __future__ import annotations

from typing import TYPE_CHECKING

from curewright.physics.card import (
    CONFIDENCES,
    NO_PROPERTIES,
    Card,
    Heat,
    KnownTime,
    OtherLaw,
    Properties,
    SolidCard,
)
from curewright.physics.plausible import HEAT, Implausible, implausible_in_card, implausible_in_solid
from curewright.read.card_values import (
    GLASS_LAWS,
    RATE_LAWS,
    VISCOSITY_LAWS,
    a_property,
    a_range,
    law,
    law_fields,
    named,
    number,
    sort_of_rate_constant,
    value,
    value_fields,
)
from curewright.terms.errors import Errors, FileError
from curewright.text.fields import Fields, items, one_of, prose, record, text
from curewright.text.yaml import read_text

if TYPE_CHECKING:
    from curewright.physics.card import Range
    from curewright.terms.errors import Place

CURING, SOLID = ("resin", "laminate"), ("fibre", "tool", "core", "layer")
KELVINS = ("degC", "K")


def read_any(words: str, file: str) -> Card | SolidCard:
    """A card of either sort. Raises :class:`~curewright.terms.errors.Errors` with all that is wrong in it."""
    fields = Fields(read_text(words, file), "a card")
    kinds = [kind for kind in (*CURING, *SOLID) if kind in fields]
    if len(kinds) > 1:
        raise FileError(
            f"a card of {' and '.join(kinds)}", expected="one of them: a card each", where=fields.place_of(kinds[1])
        )
    return (
        _solid(fields, file, kinds[0]) if kinds and kinds[0] in SOLID else _card(fields, file, (kinds or ["resin"])[0])
    )


def _card(fields: Fields, file: str, kind: str) -> Card:
    ranges = fields.required("range", record(_ranges, "the range of a card"))
    kinetics = fields.required("degree of cure", law(RATE_LAWS, sort_of_rate_constant))
    card = Card(
        name=fields.required("card", text),
        revision=fields.required("revision", text),
        work=fields.required("work", prose),
        resin=fields.required(kind, prose),
        temperature=ranges[0] if ranges else _NOTHING,
        heating=ranges[1] if ranges else _NOTHING,
        start=ranges[2] if ranges else _NOTHING,
        degree_of_cure=kinetics,
        glass_transition=fields.optional("glass transition", law(GLASS_LAWS), None),
        viscosity=fields.optional("viscosity", law(VISCOSITY_LAWS), None),
        notes=fields.optional("notes", items(prose), ()),
        file=file,
        kind=kind,
        predictions=ranges[3] if ranges else None,
        cured_at=fields.required("cured at", value("cured at", "temperature")),
        gel=fields.optional("gel", value("gel", "1"), None),
        heat=fields.optional("heat of reaction", record(_heat, "a heat of reaction"), None),
        properties=fields.optional("properties", record(_properties, "the properties"), NO_PROPERTIES),
        fibre_volume=fields.optional("fibre volume", value("fibre volume", "1"), None),
        other_glass_transitions=fields.optional(
            "other glass transitions", items(record(_other_glass, "another law")), ()
        ),
        known_times=fields.optional("known times", items(record(_known_time, "a known time")), ()),
    )
    fields.close()
    _refuse(implausible_in_card(card), fields)
    return card


_NOTHING: Range = None  # type: ignore[assignment] # stands where an error was found, until close() tells it


def _solid(fields: Fields, file: str, kind: str) -> SolidCard:
    ranges = fields.required("range", record(_temperatures, "the range of a card"))
    card = SolidCard(
        name=fields.required("card", text),
        revision=fields.required("revision", text),
        work=fields.required("work", prose),
        kind=kind,
        what=fields.required(kind, prose),
        temperature=ranges,
        properties=fields.required("properties", record(_properties, "the properties")),
        thickness=fields.optional("thickness", a_range(("mm", "m")), None),
        notes=fields.optional("notes", items(prose), ()),
        file=file,
    )
    fields.close()
    _refuse(implausible_in_solid(card), fields)
    return card


def _refuse(found: tuple[Implausible, ...], fields: Fields) -> None:
    """Raises what cannot be meant, each at its field."""
    if found:
        raise Errors(
            tuple(
                FileError(one.found, expected=one.expected, where=_place(one.field, fields), remedy=one.remedy)
                for one in found
            )
        )


def _place(field: str, fields: Fields) -> Place:
    return fields.place_of(field if field in fields else "properties")


def _temperatures(fields: Fields) -> Range:
    found = fields.required("temperature", a_range(KELVINS))
    fields.close()
    return found


def _ranges(fields: Fields) -> tuple[Range, Range, Range, Range | None]:
    found = (
        fields.required("temperature", a_range(KELVINS)),
        fields.required("heating", a_range(("K/min",))),
        fields.required("start", a_range(("1",))),
        fields.optional("predictions", a_range(KELVINS), None),
    )
    fields.close()
    return found


def _heat(fields: Fields) -> Heat:
    per = fields.required("per", one_of(*HEAT))
    found = value_fields(fields)
    fields.close()
    return Heat(named("heat of reaction", found, "heat", fields, "unit"), per)


def _properties(fields: Fields) -> Properties:
    found = Properties(
        fields.optional("density", a_property("density"), None),
        fields.optional("specific heat", a_property("J/kg/K"), None),
        fields.optional("conductivity", a_property("W/m/K"), None),
        fields.optional("conductivity along", a_property("W/m/K"), None),
    )
    fields.close()
    return found


def _other_glass(fields: Fields) -> OtherLaw:
    work = fields.required("work", prose)
    return OtherLaw(work, law_fields(fields, GLASS_LAWS))


def _known_time(fields: Fields) -> KnownTime:
    celsius, start, reaches = (fields.required(key, number) for key in ("celsius", "start", "reaches"))
    minutes, within = fields.required("minutes", number), fields.required("within percent", number)
    source, confidence = fields.required("source", prose), fields.required("confidence", one_of(*CONFIDENCES))
    fields.close()
    return KnownTime(celsius[0] + 273.15, start[0], reaches[0], 60 * minutes[0], within[0] / 100, source, confidence)
