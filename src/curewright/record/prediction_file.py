"""The prediction file: what was predicted or replayed, from which files, as a sealed document that any program can read.

Described in ``docs/formats/prediction.md`` and, for programs, in ``schemas/prediction.schema.json``. Numbers are decimal text in the units
that the document states; times are seconds since the start of the run. It is no evidence, and says so.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Any

from curewright.predict.band import NOT_CARDS
from curewright.predict.stands_on import factors_of
from curewright.predict.verdict_band import RISKS, SHARES_ONLY
from curewright.record.cautions import CAUTIONS
from curewright.record.instants import rfc3339
from curewright.record.prediction_traces import six_digits
from curewright.record.verdicts import shown as file_shown

if TYPE_CHECKING:
    from collections.abc import Sequence
    from datetime import datetime

    import numpy as np
    from numpy.typing import NDArray

    from curewright.predict.band import Band
    from curewright.predict.inside import InsideBand
    from curewright.predict.predicted import Prediction
    from curewright.predict.residuals import Residual
    from curewright.predict.resin import ResinCourse
    from curewright.predict.stands_on import FactorOf, OutsideLaw
    from curewright.predict.summary import PlaceSummary, ZoneSummary
    from curewright.predict.verdict_band import JudgedSamples, VerdictBand
    from curewright.text.in_units import Shown, ShownByPart

FORMAT, VERSION = "curewright prediction", 2
JSON, TRACES = "prediction.json", "traces.csv"

Block = dict[str, Any]


@dataclass(frozen=True)
class Picture:
    """A plot of a prediction: its file and what it shows."""

    file: str
    shows: str


@dataclass(frozen=True, eq=False)
class Estimate:
    """All that the prediction file says. ``start``: None for a plan without one; ``outcomes``: of the verdicts a cycle would get."""

    kind: str
    program: str
    run: str
    vessel: str
    start: datetime | None
    cycle: tuple[str, str] | None
    inputs: tuple[tuple[str, str], ...]
    prediction: Prediction
    sensors: tuple[PlaceSummary, ...]
    zones: tuple[ZoneSummary, ...]
    residuals: tuple[Residual, ...] = ()
    band: Band | None = None
    band_times: NDArray[np.float64] | None = None
    outcomes: Block | None = None
    judged: JudgedSamples | None = None


def prediction_document(
    estimate: Estimate, units: ShownByPart, pictures: Sequence[Picture], digests: dict[str, str]
) -> Block:
    """The document without its seal; ``units``: of each part; ``digests``: SHA-256 of every file beside it, by name."""
    prediction, write = estimate.prediction, _Writer(units, part_of_sensors(estimate.prediction))
    vented = prediction.seen.vented
    return {
        "format": FORMAT,
        "version": VERSION,
        "program": estimate.program,
        "kind": estimate.kind,
        "says": prediction.warnings[0],
        "run": {
            "number": estimate.run,
            "vessel": estimate.vessel,
            "start": None if estimate.start is None else rfc3339(estimate.start, 0),
        },
        "cycle": None if estimate.cycle is None else {"name": estimate.cycle[0], "revision": estimate.cycle[1]},
        "inputs": [{"file": file_shown(name), "sha256": digest} for name, digest in estimate.inputs],
        "units": {"time": "s"},
        "segments": [{"from": write.time(at), "name": name} for at, name in prediction.seen.segments],
        "vented": None if vented is None else write.time(vented),
        "end": write.time(prediction.seen.end),
        "sensors": [write.sensor(one) for one in estimate.sensors],
        "zones": [write.zone(one) for one in estimate.zones],
        "position factors": [write.factor(one) for one in factors_of((one.part, one.zone) for one in prediction.zones)],
        "residuals": [write.residual(one) for one in estimate.residuals],
        "band": None if estimate.band is None else write.band(estimate.band, estimate.band_times),
        "verdicts it would get": estimate.outcomes,
        "verdicts of the samples": None if estimate.judged is None else write.judged(estimate.judged),
        "warnings": list(prediction.warnings),
        "cautions": list(CAUTIONS),
        "traces": {"file": TRACES, "sha256": digests[TRACES]},
        "pictures": [{"file": one.file, "sha256": digests[one.file], "shows": one.shows} for one in pictures],
    }


def part_of_sensors(prediction: Prediction) -> dict[str, str]:
    """The part on which each placed sensor sits."""
    return {place.sensor: one.part.serial for one in prediction.zones for place in one.part.places}


class _Writer:
    """Every block about a part in the units of that part's specification, which the block states."""

    def __init__(self, units: ShownByPart, part_of: dict[str, str]) -> None:
        self.units, self.part_of = units, part_of

    def of(self, serial: str) -> _InUnits:
        return _InUnits(self.units.of(serial))

    def time(self, t: float) -> str:
        return _time(t)

    def sensor(self, one: PlaceSummary) -> Block:
        return self.of(one.part).sensor(one)

    def zone(self, one: ZoneSummary) -> Block:
        return self.of(one.part).zone(one)

    def residual(self, one: Residual) -> Block:
        return self.of(self.part_of[one.sensor]).residual(one)

    def inside(self, one: InsideBand) -> Block:
        return self.of(one.limit.part).inside(one)

    def factor(self, one: FactorOf) -> Block:
        """A position factor, where it comes from, and the faces that it is for."""
        return {
            "position factor": six_digits(one.factor),
            "standard uncertainty": None if one.error is None else six_digits(one.error),
            "from": one.origin or None,
            "faces": [{"part": part, "zone": zone, "side": side} for part, zone, side in one.faces],
        }

    def band(self, one: Band, times: NDArray[np.float64] | None) -> Block:
        at = [] if times is None else [self.time(t) for t in times.tolist()]
        return {
            "says": f"the middle 95 % of the samples; {NOT_CARDS}",
            "samples": one.samples,
            "refused": one.refused,
            "not varied": list(one.left_out),
            "zones": [
                {
                    "part": part,
                    "zone": zone,
                    "units": self.of(part).stated,
                    "hottest": _ends(hottest, self.of(part).hot),
                    "least degree of cure at the end": _ends(one.cure.get((part, zone)), six_digits),
                }
                for (part, zone), hottest in one.hottest.items()
            ],
            "times": at,
            "sensors": [
                {
                    "sensor": sensor,
                    "units": self.of(self.part_of[sensor]).stated,
                    "low": [self.of(self.part_of[sensor]).hot(v) for v in one.low[sensor].tolist()],
                    "high": [self.of(self.part_of[sensor]).hot(v) for v in one.high[sensor].tolist()],
                }
                for sensor in one.low
            ],
        }

    def judged(self, found: JudgedSamples) -> Block:
        return {
            "says": SHARES_ONLY,
            "samples": found.samples,
            "refused": found.refused,
            "not varied": list(found.left_out),
            "verdicts": [_verdict_band(one) for one in found.verdicts],
            "hottest inside": [self.inside(one) for one in found.inside],
        }


def _time(t: float) -> str:
    return f"{t:.1f}"


class _InUnits:
    """Numbers as decimal text in the units of one part's specification."""

    def __init__(self, shown: Shown) -> None:
        self.shown = shown

    @property
    def stated(self) -> Block:
        return {"temperature": self.shown.temperature.name, "pressure difference": self.shown.pressure_difference}

    def time(self, t: float) -> str:
        return _time(t)

    def hot(self, kelvin: float) -> str:
        return self.shown.hot(kelvin, 3)

    def by(self, kelvin: float) -> str:
        return six_digits(self.shown.temperature.difference().from_grains(kelvin * 1e6))

    def pressed(self, pascal: float) -> str:
        return six_digits(self.shown.pressure.difference().from_grains(pascal * 1e3))

    def sensor(self, one: PlaceSummary) -> Block:
        return {
            "sensor": one.sensor,
            "part": one.part,
            "zone": one.zone,
            "units": self.stated,
            "hottest": {"temperature": self.hot(one.hottest), "at": self.time(one.hottest_at)},
            "most behind the air": {"difference": self.by(one.lags), "at": self.time(one.lags_at)},
        }

    def zone(self, one: ZoneSummary) -> Block:
        block: Block = {"part": one.part, "zone": one.zone}
        if one.refused:
            return block | {"refused": one.refused}
        margin = one.margin and {"least": self.pressed(one.margin[0]), "at": self.time(one.margin[1])}
        return block | {
            "units": self.stated,
            "hottest": {"temperature": self.hot(one.hottest), "at": self.time(one.hottest_at), "layer": one.layer},
            "over the air": self.by(one.over),
            "degree of cure at the end": _ends(one.cure, six_digits),
            "glass transition at the end": _ends(one.glass, self.hot),
            "gels": _ends(one.gels, self.time),
            "void margin from full pressure to gel": margin,
            "pressure on the laminate": self.pressure(one.resin[len(one.resin) // 2]) if one.resin else None,
            "outside the law": one.outside and self.outside(one.outside),
        }

    def outside(self, one: OutsideLaw) -> Block:
        """What the law covers, between what the layer was, and the degree of cure gained outside."""
        return {
            "material": one.material,
            "law covers": _ends((one.low, one.high), self.hot),
            "was at": _ends((one.coldest, one.hottest), self.hot),
            "degree of cure gained outside": six_digits(one.gained),
        }

    def pressure(self, middle: ResinCourse) -> Block:
        """The pressure on the laminate where the middle of the layer gels, and the least before, from full pressure on."""
        at_gel, least = middle.pressed_at_gel, middle.least_pressed
        return {
            "at gel": None if at_gel is None else self.pressed(at_gel),
            "least from full pressure to gel": None if least is None else self.pressed(least[0]),
            "at": None if least is None else self.time(least[1]),
        }

    def residual(self, one: Residual) -> Block:
        return {
            "sensor": one.sensor,
            "units": self.stated,
            "mean": self.by(one.mean),
            "root mean square": self.by(one.rms),
            "largest": self.by(one.largest),
            "at": self.time(one.largest_at),
        }

    def inside(self, one: InsideBand) -> Block:
        return {
            "part": one.limit.part,
            "zone": one.zone,
            "units": self.stated,
            "clause": one.limit.clause,
            "form": one.limit.form,
            "limit": one.limit.words,
            "thermocouple in the zone": one.sensed,
            "over the limit": self.by(one.predicted),
            "middle 95 %": _ends(one.band, self.by),
            "over in": one.over,
            "of": one.samples,
        }


def _verdict_band(one: VerdictBand) -> Block:
    verdict, margin = one.verdict, one.verdict.margin
    return {
        "part": verdict.part,
        "thing": verdict.thing,
        "clause": verdict.clause,
        "form": verdict.form,
        "limit": verdict.limit,
        "risk": RISKS[one.rank],
        "outcome": verdict.outcome.value,
        "reason": verdict.reason,
        "margin": margin and {"value": margin.value, "unit": margin.unit},
        "middle 95 % of margins": _ends(one.margin, six_digits),
        "samples": {"met": one.met, "not met": one.not_met, "not shown": one.not_shown},
    }


def _ends(ends: tuple[float, float] | None, words: Any) -> Block | None:
    return None if ends is None else {"low": words(ends[0]), "high": words(ends[1])}
