"""A prediction in words, for the terminal: segments, sensors, zones, the verdicts it would get, and all that has to be said with it."""

from __future__ import annotations

from functools import partial
from typing import TYPE_CHECKING, Any

from rich.table import Table
from rich.text import Text

from curewright.predict.band import NOT_CARDS
from curewright.predict.stands_on import TOLD
from curewright.record.cautions import CAUTIONS
from curewright.record.state_words import EXTRAPOLATED, clock, ends, marked
from curewright.record.table import mark
from curewright.record.words import actual_words, counted, margin_words, name_of
from curewright.text.shown import plain

if TYPE_CHECKING:
    from collections.abc import Iterable, Iterator, Mapping, Sequence

    from rich.console import RenderableType

    from curewright.predict.band import Band, Share
    from curewright.predict.fit_vessel import FittedVessel, Rate
    from curewright.predict.predicted import Prediction
    from curewright.predict.residuals import Residual
    from curewright.predict.summary import PlaceSummary, ZoneSummary
    from curewright.terms.cycle import VesselHeat
    from curewright.terms.learnt import LearntZone
    from curewright.text.in_units import Shown, ShownByPart

Block = dict[str, Any]
DOUBTFUL = 3.0  # K: a recorded air that lies farther off a lumped vessel is told
EXOTHERM = 10.0  # K above the air: from there on it is told (our own choice)
NEAREST = 5  # so many verdicts with the least margin are shown
OF_THE_MAP = (
    "count",
    "recording",
)  # kinds that say something of the sensor map and the prediction's own output, not of the cure


def head(title: str, prediction: Prediction) -> Iterator[RenderableType]:
    """What this is, and what it is not."""
    yield Text(title, style="bold")
    yield Text(prediction.warnings[0])
    yield Text("segments from  " + ", ".join(f"{clock(at)} {name}" for at, name in prediction.seen.segments))
    vented = prediction.seen.vented
    end = f"ends at {clock(prediction.seen.end)}"
    yield Text(end if vented is None else f"bags vented at {clock(vented)}, {end} (hours and minutes since the start)")


def headed(*headings: str) -> Table:
    """A table of columns under headings, without lines; what is too long wraps."""
    table = Table(box=None, padding=(0, 1), pad_edge=False, header_style="bold")
    for heading in headings:
        table.add_column(heading, overflow="fold")
    return table


def sensor_table(places: Iterable[PlaceSummary], units: ShownByPart) -> Table:
    """Every sensor: how hot, how late."""
    table = headed("sensor", "part, zone", units.headed("hottest"), "at", units.headed("most behind the air"), "at")
    for one in places:
        shown = units.of(one.part)
        table.add_row(
            one.sensor,
            f"{one.part}, {one.zone}",
            units.degrees(one.part, shown.hot(one.hottest)),
            clock(one.hottest_at),
            units.degrees(one.part, shown.by(one.lags)),
            clock(one.lags_at),
        )
    return table


VOID_MARGIN_MEANS = (
    "void margin: the least, from full pressure in the vessel to gel, of the resin's pressure less that which water needs to boil out "
    "(before, cold resin lies under the vacuum alone). It knows only water: where a bag "
    "leaks, the gas in it raises the computed pressure of the resin and with it this number, while the pressure on the laminate falls "
    "and the gas that gets in makes voids of its own. A higher margin in a leaking bag is no comfort"
)


def zone_table(zones: Iterable[ZoneSummary], units: ShownByPart) -> Table:
    """Every zone: its hottest place, and what becomes of its resin."""
    told = tuple(zones)
    table = headed(
        "part, zone",
        units.headed("hottest"),
        units.headed("over air"),
        "cure",
        units.headed("Tg"),
        "gels",
        units.headed_pressure(f"least void margin {_between(told)}"),
    )
    for one in told:
        shown = units.of(one.part)
        if one.refused:
            table.add_row(f"{one.part}, {one.zone}", f"not predicted: {one.refused}")
            continue
        table.add_row(
            f"{one.part}, {one.zone}",
            f"{units.degrees(one.part, shown.hot(one.hottest))} at {clock(one.hottest_at)}",
            units.degrees(one.part, shown.by(one.over)),
            marked(ends(one.cure, lambda value: f"{value:.2f}"), one.outside.gained if one.outside else None),
            units.degrees(one.part, ends(one.glass, partial(shown.hot, decimals=0))),
            ends(one.gels, clock),
            _void_margin(one, units),
        )
    table.caption = (
        "hottest: anywhere inside, and when; over air: the most by which the hottest place lies above the air before the last cooling "
        "(exotherm, or lag behind an air that falls); cure and glass transition (Tg) at the end, over the depth and all published laws; "
        + VOID_MARGIN_MEANS
        + (f". {EXTRAPOLATED}" if any(one.outside and one.outside.gained >= TOLD for one in told) else "")
    )
    table.caption_justify = "left"
    return table


def _between(zones: Iterable[ZoneSummary]) -> str:
    """From when to when a void margin counts."""
    full = next((one.full for one in zones if one.full is not None), None)
    return "from full pressure to gel" if full is None else f"from full pressure ({clock(full)}) to gel"


def _void_margin(one: ZoneSummary, units: ShownByPart) -> str:
    """The least void margin of a zone and when, marked where it is negative; or why there is none."""
    if one.margin is None:
        early = one.full is not None and one.gels is not None and one.gels[1] <= one.full
        return "gels before full pressure" if early else "not known"
    words = f"{units.pressed(one.part, units.of(one.part).pressed(one.margin[0]))} at {clock(one.margin[1])}"
    return f"{words} !" if one.margin[0] < 0.0 else words


def void_lines(zones: Iterable[ZoneSummary], units: ShownByPart) -> Iterator[RenderableType]:
    """Every zone where water could boil out of the resin under full pressure, in plain words; nothing where there is none."""
    below = [one for one in zones if one.margin is not None and one.margin[0] < 0.0]
    if below:
        yield Text(
            "! Void margin below 0 under full pressure: there the resin's pressure is too low to hold the water in it, and bubbles of "
            "water vapour can grow before it gels (for information: no clause asks for it):"
        )
    for one in below:
        assert one.margin is not None
        shown = units.of(one.part)
        least = f"{shown.pressed(one.margin[0])} {shown.pressure_difference} at {clock(one.margin[1])}"
        yield Text(f"- part {one.part}, {one.zone}: {least}")


def exotherm_lines(zones: Iterable[ZoneSummary]) -> Iterator[RenderableType]:
    """Every zone that cures and gets much hotter than its air, the most first; nothing where none does. Differences in kelvin."""
    told = sorted((one for one in zones if one.resin and one.over >= EXOTHERM), key=lambda one: -one.over)
    if told:
        yield Text(f"Exotherm: hottest place {EXOTHERM:g} K or more above the air (our own choice of figure):")
    for one in told:
        yield Text(f"- part {one.part}, {one.zone}: exotherm {one.over:.0f} K above the air at {clock(one.over_at)}")


def verdict_lines(document: Block, *, ranked: bool = False) -> Iterator[RenderableType]:
    """The verdicts that the cycle would get: those not met, and those nearest to their limits, unless a table of bands ranks them."""
    yield Text(f"Verdicts that this cycle would get: {counted(document)}", style="bold")
    if not ranked:
        yield from _nearest(document)


def _nearest(document: Block) -> Iterator[RenderableType]:
    for verdict in document["verdicts"]:
        if verdict["outcome"] == "not met":
            yield Text.assemble(mark("not met"), f"  {_line(verdict)}")
    met = [v for v in document["verdicts"] if v["outcome"] == "met" and v["kind"] not in OF_THE_MAP]
    near = sorted((v for v in met if _share(v) is not None), key=_share_of)
    if near:
        yield Text("Nearest to their limits (--band says how sure that is):")
    for verdict in near[:NEAREST]:
        yield Text.assemble(mark("met"), f"  {_line(verdict)}")


def not_shown_lines(document: Block, unpredicted: Mapping[str, str]) -> Iterator[RenderableType]:
    """Every form that is not shown, once for each reason: why, for which things, and which readings cannot be predicted."""
    found: dict[tuple[str, str, str, str], list[Block]] = {}
    for verdict in document["verdicts"]:
        if verdict["outcome"] == "not shown":
            key = verdict["specification"], verdict["clause"], verdict["form"], verdict["reason"]
            found.setdefault(key, []).append(verdict)
    for (paper, clause, form, reason), verdicts in found.items():
        things = ", ".join(dict.fromkeys(name_of(verdict) for verdict in verdicts))
        lacking: dict[str, list[str]] = {}
        for sensor in dict.fromkeys(name for verdict in verdicts for name in verdict["behind"] if name in unpredicted):
            lacking.setdefault(unpredicted[sensor], []).append(sensor)
        words = "".join(f"; not predicted: {', '.join(names)} ({why})" for why, names in lacking.items())
        yield Text.assemble(mark("not shown"), f"  {things}, clause {clause} {form} of {paper}: {reason}{words}")
    if found:
        yield Text("What people do or write down (closing a source, a leak check, a signature) is never predicted.")


def _line(verdict: Block) -> str:
    margin = verdict["margin"]
    found = f": {actual_words(margin)}, margin {margin_words(margin)}" if margin else f": {verdict['reason']}"
    return f"{name_of(verdict)}, clause {verdict['clause']} {verdict['form']} ({plain(verdict['limit'])}){found}"


def _share(verdict: Block) -> float | None:
    """The margin against the size of what was found: how near a verdict of any kind is to its limit."""
    margin = verdict["margin"]
    try:
        return float(margin["value"]) / max(abs(float(margin["actual"])), 1e-9)
    except (TypeError, KeyError, ValueError):
        return None


def _share_of(verdict: Block) -> float:
    share = _share(verdict)
    return 0.0 if share is None else share


def band_tables(band: Band, units: ShownByPart) -> Iterator[RenderableType]:
    """The middle 95 % of a band: how hot each zone gets inside, and how far it cures; then what was not varied."""
    table = headed("part, zone", units.headed("hottest inside"), "least cure at the end")
    for (part, zone), hottest in band.hottest.items():
        cure = band.cure.get((part, zone))
        table.add_row(
            f"{part}, {zone}",
            units.degrees(part, ends(hottest, units.of(part).hot)),
            ends(cure, lambda value: f"{value:.3f}"),
        )
    table.title = f"Band: the middle 95 % of {band.samples} samples"
    table.title_justify = "left"
    yield table
    yield Text(NOT_CARDS[:1].upper() + NOT_CARDS[1:])
    if band.left_out:
        yield Text("Not varied, because nobody stated how well it is known: " + ", ".join(band.left_out))
    if band.refused:
        yield Text(f"{band.refused} samples were refused by the solver and are not in the band")


SHARES_MEAN = (
    "Sobol's indices. Alone (first order): the share of the variance of that temperature that would go if this doubt were settled. With "
    "interactions (total): the share that would be left if all the other doubts were settled. Near 1: measure this first; near 0: it "
    "does not matter here. They come from samples: values just below 0 or above 1 mean 0 and 1"
)


def share_table(zone: str, shares: Iterable[Share]) -> Table:
    """Which doubt matters most for the hottest temperature of a zone (Sobol's indices)."""
    table = headed("doubt", "share of the variance alone", "with interactions")
    for one in shares:
        table.add_row(one.doubt, f"{one.alone:.2f}", f"{one.total:.2f}")
    table.title = f"What decides how hot {zone} gets"
    table.title_justify = "left"
    table.caption = SHARES_MEAN
    table.caption_justify = "left"
    return table


def residual_table(residuals: Iterable[Residual], units: ShownByPart, part_of: Mapping[str, str]) -> Table:
    """Recorded minus replayed, sensor by sensor; ``part_of``: the part on which each sits."""
    table = headed("sensor", units.headed("recorded - replayed: mean"), "root mean square", "largest", "at")
    for one in residuals:
        part = part_of[one.sensor]
        by = [units.degrees(part, units.of(part).by(value)) for value in (one.mean, one.rms, one.largest)]
        table.add_row(one.sensor, *by, clock(one.largest_at))
    table.caption = "published models of this sort agree with measurement within 1 to 5 K where convection was surveyed"
    table.caption_justify = "left"
    return table


def learnt_table(zones: Iterable[LearntZone]) -> Table:
    """What a run taught, zone by zone; differences in kelvin."""
    table = headed("part, tool, zone", "factor", "offsets, K", "root mean square before, K", "after")
    for one in zones:
        offsets = ", ".join(f"{each.place} {each.offset:+.1f} ± {each.standard_error:.1f}" for each in one.offsets)
        table.add_row(
            f"{one.part_number}, {one.tool}, {one.zone}", f"{one.factor:.2f} ± {one.standard_error:.2f}", offsets,
            f"{one.rms_before:.1f}", f"{one.rms_after:.1f}",
        )  # fmt: skip
    return table


WORSE = 0.05  # K: a root mean square that grew by more is marked (our own choice)


def sensors_before_and_after(zones: Iterable[LearntZone]) -> Table:
    """Recorded against predicted of every thermocouple, with the build-up alone and with what was learnt; those that got worse marked."""
    table = headed("thermocouple", "root mean square with the build-up, K", "with what was learnt")
    worse = False
    for one in zones:
        for sensor, before, after in one.by_sensor:
            grew = after > before + WORSE
            worse |= grew
            table.add_row(sensor, f"{before:.2f}", f"{after:.2f}" + (" ! worse" if grew else ""))
    if worse:
        table.caption = "! worse: with what was learnt the model meets this thermocouple worse than before; look at its place and its layer"
        table.caption_justify = "left"
    return table


def not_kept_lines(zones: Iterable[LearntZone]) -> Iterator[str]:
    """The offsets that are no answer, by the rule that a factor is refused by."""
    for one in zones:
        for each in one.not_kept:
            yield (
                f"offset of {each.place} ({one.part_number}, {one.tool}, {one.zone}): {each.offset:+.1f} ± {each.standard_error:.1f} K is "
                "not kept: smaller than three standard errors, and a factor is refused for that too"
            )


def vessel_table(found: FittedVessel, stated: VesselHeat | None, shown: Shown) -> Table:
    """What a run tells of its vessel, beside what the vessel heat file says."""
    unit = shown.temperature.difference().name
    table = headed("", "found", f"in {stated.file}" if stated else "")
    table.add_row("control lag, s", f"{found.lag:.1f} ± {found.lag_error:.2g}", f"{stated.lag:g}" if stated else "")
    for name, rate in (("heating", found.heating), ("cooling", found.cooling)):
        power = (stated.heating if name == "heating" else stated.cooling) if stated else 0.0
        said = f"{_per_minute(power / stated.thermal_mass, shown)} ({power / 1e3:.4g} kW)" if stated else ""
        table.add_row(f"greatest {name}, {unit}/min", _rate(rate, shown), said)
    return table


def _per_minute(rate: float, shown: Shown, digits: str = ".2f") -> str:
    return f"{shown.temperature.difference().from_grains(rate * 60e6):{digits}}"


def _rate(rate: Rate | None, shown: Shown) -> str:
    if rate is None:
        return "not told: the run has none"
    if rate.standard_error is None:
        return f"at least {_per_minute(rate.value, shown)}"
    return f"{_per_minute(rate.value, shown)} ± {_per_minute(rate.standard_error, shown, '.1g')}"


def vessel_lines(found: FittedVessel, shown: Shown) -> Iterator[RenderableType]:
    """How well a lumped vessel describes the recorded air, and what has to be said with it."""
    unit = shown.temperature.difference().name
    yield Text(
        f"Recorded minus modelled air: {shown.by(found.rms)} {unit} (root mean square of {found.samples} means over half a minute); "
        f"at rest the air reads {shown.by(found.offset)} {unit} above its set point."
    )
    if found.rms > DOUBTFUL:
        yield Text("! A lumped vessel describes this air badly: mind that before you plan with it.")
    if any(rate is not None and rate.at_least for rate in (found.heating, found.cooling)):
        yield Text("At least: the air kept up with its set point, so that no limit of the vessel showed.")
    yield Text("Power and thermal mass show only as their ratio; the thermal mass stays as the file says.")
    for note in found.notes:
        yield Text(f"- {note}")


def foot(warnings: Sequence[str]) -> Iterator[RenderableType]:
    """All that has to be said with the numbers (the first was said at the head), and the cautions."""
    yield Text("What this stands on:", style="bold")
    for warning in warnings[1:]:
        yield Text(f"- {warning}")
    for caution in CAUTIONS:
        yield Text(caution, style="italic")
