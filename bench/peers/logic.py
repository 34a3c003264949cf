"""From what a tool finds in the samples to outcomes with margins, deciding instants and other readings.

Written apart from the judge, in sets of instants: a condition is where it surely holds and where it surely does not; what
is in neither is unknown. An event is (earliest, latest). A tool answers whole lists of questions at once, so that it can
batch them.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

import numpy as np

from bench.peers import reduced
from bench.peers import stretches as sets
from bench.peers.reduced import KINDS, Phase, first, for_good
from bench.peers.tool import MET, NEVER, NOT_MET, NOT_SHOWN, Answer, Condition
from curewright.terms.units import unit_named

if TYPE_CHECKING:
    from collections.abc import Sequence

    from bench.peers.tool import Event, Found, Tool
    from bench.peers.wide import Wide

MIN = 60 * 10**9
LOST_AFTER, REMAIN = 3 * MIN, 4
WORST = {NOT_MET: 0, NOT_SHOWN: 1, MET: 3}
REACHES, EXCEEDS, FALLS_BELOW = (-1, -1), (1, 1), (1, -1)  # beside its crossing [s], on which side of the level
AT = 2.0  # grains: how near to a level the value at its crossing is, which is rounded to a nanosecond


def grains(number: float, unit: str) -> float:
    """A limit in grains."""
    return float(unit_named(unit).to_grains(np.array([number]))[0])


def F(number: float) -> float:
    """Degrees Fahrenheit."""
    return grains(number, "degF")


def psi(number: float) -> float:
    return grains(number, "psi gauge")


def inHg(number: float) -> float:
    return grains(number, "inHg of vacuum")


# Levels that conditions ask about, for every thermocouple: (degF, strictly).
LEVELS = (
    (340, False),
    (255, False),
    (285, True),
    (150, False),
    (345, False),
    (250, False),
    (100, False),
    (240, True),
    (288, False),
)
LEVELS += ((335, True), (330, True), (290, True), (360, True))
HELD_LEVELS = ((340, False), (255, False), (285, True), (345, False))


class Peer:
    """One judgement by one tool; ``judge`` does everything that is timed."""

    def __init__(self, tool: Tool, data: Wide) -> None:
        self.tool, self.data = tool, data
        self.found: dict[tuple[str, int, str], Answer] = {}
        self.end = data.end

    def judge(self) -> dict[tuple[str, int, str], Answer]:
        """All answers, by (serial, clause, thing)."""
        self.unknown = self.tool.unknown()
        self._ask_levels()
        self._vessel_events()
        self.tool.combine([("MEAN", self.data.air, "mean")])
        self.tool.combine([(f"COLD {serial}", tcs, "least") for serial, tcs in self.data.parts.items()])
        self.tool.combine([(f"DIFF {serial}", ("P1", bag), "sum") for serial, bag in self.data.bags.items()])
        seen = self._as_seen(list(self.data.parts), rule=True)
        touched = [
            serial for serial in self.data.parts if any(self._aside(serial, sides) for sides in ("c", "h", "ch"))
        ]
        bare = self._as_seen(touched, rule=False) if touched else {}
        for key, answer in bare.items():
            if key in seen and seen[key].outcome != answer.outcome:
                seen[key] = replace(seen[key], without_set_aside=answer.outcome)
        self._speak_for(seen, bare)
        return self._with_samples(seen)

    def _speak_for(self, seen: dict[tuple[str, int, str], Answer], bare: dict[tuple[str, int, str], Answer]) -> None:
        """What a thermocouple would have been that has no answer of its own, beside the first answer of its clause."""
        left_out: dict[tuple[str, int], list[str]] = {}
        for serial, clause, thing in bare.keys() - seen.keys():
            left_out.setdefault((serial, clause), []).append(bare[serial, clause, thing].outcome)
        for (serial, clause), outcomes in left_out.items():
            key = min(key for key in seen if key[:2] == (serial, clause))
            least = min([seen[key].outcome, *outcomes], key=lambda outcome: WORST[outcome])
            if seen[key].without_set_aside is None and least != seen[key].outcome:
                seen[key] = replace(seen[key], without_set_aside=least)

    def _with_samples(self, seen: dict[tuple[str, int, str], Answer]) -> dict[tuple[str, int, str], Answer]:
        """The samples that decide, quoted beside each answer."""
        asks, owners = [], []
        for key, answer in seen.items():
            if answer.at is not None and answer.channel:
                columns = [name for name in answer.channel.split(" - ") if name in self.data.row]
                asks += [(name, answer.at) for name in columns]
                owners += [key] * len(columns)
        quoted: dict[tuple[str, int, str], tuple[tuple[str, int, float], ...]] = {}
        for key, rows in zip(owners, self.tool.around(asks), strict=True):
            quoted[key] = (*quoted.get(key, ()), *rows)
        return {key: replace(answer, samples=quoted[key]) if key in quoted else answer for key, answer in seen.items()}

    # ---------------------------------------------------------------------------------------------------- what is asked once
    def _ask_levels(self) -> None:
        tcs = [tc for names in self.data.parts.values() for tc in names]
        asks = [(tc, F(level), strict, False) for tc in tcs for level, strict in LEVELS]
        asks += [(tc, F(level), strict, True) for tc in tcs for level, strict in HELD_LEVELS]
        asks += [("P1", psi(85), False, held) for held in (False, True)]
        asks += [(bag, inHg(22), False, False) for bag in self.data.bags.values()]
        self.runs = dict(zip(asks, self.tool.runs(asks), strict=True))

    def _tc(self, tc: str, level: float, *, strict: bool = False, held: bool = False) -> Condition:
        return self.runs[tc, F(level), strict, held]

    def _vessel_events(self) -> None:
        labels = self.data.states
        segments = labels["SEGMENT"]
        asks = [("SEGMENT", segments.index("heat-up")), ("SEGMENT", segments.index("cool-down"))]
        asks += [(valve, labels[valve].index("atmosphere")) for valve in sorted(set(self.data.valves.values()))]
        shown = [int(rows[0, 0]) if len(rows) else NEVER for rows in self.tool.states(asks)]
        self.heating, self.cooling = (shown[0],) * 2, (shown[1],) * 2
        self.vents = {valve: (at, at) for (valve, _), at in zip(asks[2:], shown[2:], strict=True)}
        exact, by_sample = (self._released(self.runs["P1", psi(85), False, held]) for held in (False, True))
        (self.on, self.released), (_, self.released_by_sample) = exact, by_sample

    def _released(self, pressure: Condition) -> tuple[Event, Event]:
        """When the pressure was on, and when it was released."""
        on = first(pressure, (0, 0), MIN, self.end)
        return on, for_good(pressure.inverted(), on, self.end)

    # ------------------------------------------------------------------------------------------------------------- set aside
    def _losses(self, tc: str) -> list[tuple[int, int]]:
        found = []
        for start, end, _ in self.unknown[tc]:
            begin, finish = max(start, 0), min(end, self.end)
            if finish - begin > LOST_AFTER and start > -NEVER:
                found.append((begin, NEVER if finish >= self.end else finish))
        return found

    def _aside(self, serial: str, sides: str) -> dict[str, int]:
        """Thermocouples that the rule sets aside for a signal decided by its coldest (c), hottest (h), with the instant of loss."""
        key = (serial, sides)
        if key not in self.__dict__.setdefault("_kept_aside", {}):
            self._kept_aside[key] = self._set_aside(self.data.parts[serial], sides)  # type: ignore[attr-defined]
        return self._kept_aside[key]  # type: ignore[attr-defined, no-any-return]

    def _set_aside(self, tcs: list[str], sides: str) -> dict[str, int]:
        losses = {tc: self._losses(tc) for tc in tcs if self.unknown[tc]}
        found = {}
        for tc, lost in losses.items():
            for start, _ in lost:
                remaining = [other for other in tcs if not any(a <= start < b for a, b in losses.get(other, []))]
                own, *values = self.tool.values([(tc, start), *((other, start) for other in tcs if other != tc)])
                known = [value for value in values if value is not None]
                colder, hotter = any(v < own for v in known), any(v > own for v in known)  # type: ignore[operator]
                if len(remaining) >= REMAIN and ("c" not in sides or colder) and ("h" not in sides or hotter):
                    found[tc] = start
        return found

    # --------------------------------------------------------------------------------------------------------- conditions
    def _all(self, serial: str, level: float, *, held: bool = False) -> Condition:
        """The coldest is at or above a level."""
        aside = self._aside(serial, "c") if self.rule else {}
        each = [(tc, self._tc(tc, level, held=held)) for tc in self.data.parts[serial]]
        true = [c.true if tc not in aside else np.concatenate([c.true, [[aside[tc], sets.FAR]]]) for tc, c in each]
        return Condition(
            sets.both(true, closed=True), sets.union([c.false for _, c in each], closed=False), closed=True
        )

    def _any(self, serial: str, level: float, *, strict: bool = False, held: bool = False) -> Condition:
        """The hottest is at or above (above) a level."""
        aside = self._aside(serial, "h") if self.rule else {}
        each = [(tc, self._tc(tc, level, strict=strict, held=held)) for tc in self.data.parts[serial]]
        false = [c.false if tc not in aside else np.concatenate([c.false, [[aside[tc], sets.FAR]]]) for tc, c in each]
        true = sets.union([c.true for _, c in each], closed=not strict)
        return Condition(true, sets.both(false, closed=strict), closed=not strict)

    def _within(self, tc: str, low: float, high: float) -> Condition:
        above, over = self._tc(tc, low), self._tc(tc, high, strict=True)
        true = sets.both([above.true, over.false], closed=True)
        return Condition(true, sets.union([above.false, over.true], closed=False), closed=True)

    def _unknown_in(self, tcs: Sequence[str], start: int, end: int, aside: dict[str, int]) -> bool:
        return any(
            a < end and b > start and not (tc in aside and aside[tc] <= a)
            for tc in tcs
            for a, b, _ in self.unknown.get(tc, ())
        )

    # ------------------------------------------------------------------------------------------------------------- the clauses
    def _as_seen(self, serials: list[str], *, rule: bool) -> dict[tuple[str, int, str], Answer]:
        self.rule, self.found = rule, {}
        self.serials = serials
        self._part_events()
        self._bags()
        self._vessel()
        self._orders()
        self._rates()
        self._allowed_bands()
        self._plain_bands()
        self._durations()
        self._rest()
        return self.found

    def _put(self, serial: str, clause: int, thing: str, answer: Answer) -> None:
        self.found[serial, clause, thing] = answer

    def _things(self) -> list[tuple[str, str]]:
        return [(serial, tc) for serial in self.serials for tc in self.data.parts[serial]]

    def _part_events(self) -> None:
        self.events: dict[tuple[str, str, bool], Event] = {}
        for serial in self.serials:
            for held in (False, True):
                hot, cold = self._any(serial, 285, strict=True, held=held), self._all(serial, 340, held=held)
                dwell = first(self._all(serial, 255, held=held), self.heating, MIN, self.end)
                soak = first(cold, self.heating, MIN, self.end)
                self.events["dwell starts", serial, held] = dwell
                self.events["dwell ends", serial, held] = first(hot, dwell, MIN, self.end)
                self.events["soak starts", serial, held] = soak
                self.events["soak ends", serial, held] = for_good(cold.inverted(), soak, self.end)
                for tc in self.data.parts[serial]:
                    self.events["hot", tc, held] = first(self._tc(tc, 340, held=held), self.heating, MIN, self.end)
            self.events["cool", serial, False] = first(self._any(serial, 150).inverted(), self.cooling, MIN, self.end)

    def _phase(self, start: str | Event, end: str | Event, thing: str = "", *, held: bool = False) -> Phase:
        begin, finish = (self.events[e, thing, held] if isinstance(e, str) else e for e in (start, end))
        return Phase(begin, finish, self.end)

    def _gone(self, serial: str, tc: str, phase: Phase) -> bool:
        """Whether a thermocouple is set aside over its whole phase: then it has no answer of its own."""
        aside = self._aside(serial, "ch") if self.rule else {}
        return tc in aside and phase.start[0] < NEVER and aside[tc] <= phase.start[0]

    def _bags(self) -> None:
        tool, vacuum = self.tool, inHg
        closed = {serial: self.data.entries[serial] for serial in self.serials}
        windows = [(self.data.bags[s], at + MIN, until) for s, (at, until) in closed.items()]
        begin = tool.values([(bag, at) for bag, at, _ in windows])
        after = tool.values([(bag, at + 5 * MIN) for bag, at, _ in windows])
        last = tool.values([(bag, until) for bag, _, until in windows])
        at_first = tool.values([(bag, at - MIN) for bag, at, _ in windows])
        worst = tool.falls([(bag, at, until, 5 * MIN) for bag, at, until in windows])
        pressures = tool.values([("P1", self.vents[self.data.valves[s]][0]) for s in self.serials])
        held = [
            first(self.runs[self.data.bags[s], vacuum(22), False, False], (0, 0), MIN, self.end) for s in self.serials
        ]
        ends = [self.vents[self.data.valves[s]] for s in self.serials]
        lows = tool.extremes(
            [([self.data.bags[s]], on[0], end[1], "least") for s, on, end in zip(self.serials, held, ends, strict=True)]
        )
        apart = tool.extremes([([f"DIFF {s}"], self.on[0], self.released[1], "least") for s in self.serials])
        for i, serial in enumerate(self.serials):
            bag, thing = self.data.bags[serial], "B" + serial[1:]
            loss, limit = begin[i] - after[i], vacuum(5)  # type: ignore[operator]
            met = loss <= limit and at_first[i] >= vacuum(22)  # type: ignore[operator]
            other = [
                (name, MET if fall <= limit else NOT_MET)
                for name, fall in (("worst window", worst[i]), ("whole isolated interval", begin[i] - last[i]))
            ]  # type: ignore[operator]
            self._put(
                serial,
                1,
                thing,
                Answer(MET if met else NOT_MET, limit - loss, windows[i][1] + 5 * MIN, bag, tuple(other)),
            )
            at = self.vents[self.data.valves[serial]][0]
            self._put(serial, 2, thing, reduced.in_limits(pressures[i], at, "P1", psi(15), psi(30)))
            self._put(serial, 3, thing, reduced.at_least(lows[i], vacuum(20)))
            value, when, _ = apart[i]  # type: ignore[misc]
            label = f"P1 - {bag}"
            self._put(serial, 25, thing, reduced.at_least((value, when, label), grains(80, "psi difference")))

    def _vessel(self) -> None:
        ends = (self.on[0], self.released[1])
        low, high = self.tool.extremes([(["P1"], *ends, "least"), (["P1"], *ends, "most")])
        (air,) = self.tool.extremes([(self.data.air, 0, self.end, "most")])
        rates = self.tool.rates([("P1", 0, self.on[0])], 5 * MIN, 8)[0]
        phase = Phase((0, 0), self.on, self.end)
        whole = self._whole("P1", phase)
        pressure_rate = reduced.rated(rates, whole, "end points", "rising", (None, grains(4, "psi/min")), "V1", "")
        warm = Phase(self.heating, self.cooling, self.end)
        (mean,) = self.tool.rates([("MEAN", self.heating[0], self.cooling[0])], 10 * MIN, 8)
        mean_rate = reduced.rated(
            mean, self._whole("MEAN", warm), "least squares", "rising", (None, grains(8, "degF/min")), "mean", ""
        )
        for serial in self.serials:
            self._put(serial, 4, "V1", reduced.banded(low, high, psi(84), psi(100)))
            self._put(serial, 8, "V1", replace(pressure_rate, channel="P1"))
            self._put(serial, 18, "V1", reduced.banded(None, air, None, F(390)))
            self._put(serial, 20, "V1", replace(mean_rate, channel="mean"))

    def _whole(self, name: str, phase: Phase, fixed: list[float | None] | None = None) -> float | None:
        """The rate from end to end of a phase, None where it is not known."""
        start, end = phase.start, phase.end
        if start[0] != start[1] or end[0] != end[1] or end[1] > self.end or end[1] <= start[1]:
            return None
        before, after = fixed or self.tool.values([(name, start[0]), (name, end[0])])
        return None if before is None or after is None else (after - before) / 1000.0 / ((end[0] - start[0]) / MIN)

    def _orders(self) -> None:
        for serial in self.serials:
            dwell = self.events["dwell starts", serial, False]
            found = reduced.ordered(self.on, dwell, 30 * MIN, 120 * MIN)
            self._put(
                serial,
                5,
                serial,
                replace(found, channel=self._crosses(self.data.parts[serial], F(255), REACHES, found)),
            )
            found = reduced.ordered(self.vents[self.data.valves[serial]], self.on, None, 30 * MIN)
            self._put(
                serial, 24, "B" + serial[1:], replace(found, channel=self._crosses(["P1"], psi(85), REACHES, found))
            )

    def _crosses(self, names: Sequence[str], level: float, way: tuple[int, int], answer: Answer) -> str:
        """The first by name that is at a level at the instant that decides, and beyond it a second before or after; '?' where none is
        (a loss decides, or it was so already).
        """
        if answer.at is None:
            return answer.channel
        there = self.tool.values([(name, answer.at) for name in names])
        beside = self.tool.values([(name, answer.at + way[0] * 10**9) for name in names])
        for name, value, later in zip(names, there, beside, strict=True):
            at = value is not None and abs(value - level) <= AT
            if at and later is not None and way[1] * (later - level) > AT:
                return name
        return "?"

    # ------------------------------------------------------------------------------------------------------------------ rates
    def _rates(self) -> None:
        F_min = "degF/min"
        for clause, start, end, band, sense, limits in (
            (6, self.heating, "dwell starts", (100, 240), "rising", (grains(0.5, F_min), grains(4, F_min))),
            (7, "dwell ends", "soak starts", (288, 335), "rising", (grains(0.2, F_min), grains(4, F_min))),
            (21, self.cooling, "cool", (150, 330), "falling", (None, grains(5, F_min))),
            (29, self.heating, self.released, None, "rising", (None, grains(90, F_min))),
        ):
            chosen = "sample to sample" if clause == 29 else "least squares"
            self._rate_clause(clause, start, end, band, sense, limits, chosen)  # type: ignore[arg-type]
        self._between_levels(grains(1, F_min), grains(4, F_min))

    def _rate_clause(
        self,
        clause: int,
        start: str | Event,
        end: str | Event,
        band: tuple[float, float] | None,
        sense: str,
        limits: tuple[float | None, float],
        chosen: str,
    ) -> None:
        things, phases, asks, owners = [], [], [], []
        for serial, tc in self._things():
            phase = self._phase(start, end, serial)
            if self._gone(serial, tc, phase):
                continue
            condition = None if band is None else self._within(tc, *band)
            for which, part in (("sure", phase.sure), ("possible", phase.possible)):
                if which == "possible" and part == phase.sure:
                    continue
                for stretch in self._regions(tc, part, condition):
                    asks.append((tc, *stretch))
                    owners.append((len(things), which))
            things.append((serial, tc, phase, condition))
            phases.append(phase)
        found = self.tool.rates(asks, 10 * MIN, 8 if chosen == "least squares" else 2)
        ends = [(tc, at) for _, tc, phase, _ in things for at in (phase.start[0], phase.end[0])]
        values = self.tool.values([(tc, at if at < NEVER else 0) for tc, at in ends])
        pooled: dict[tuple[int, str], list[dict[str, tuple[int, float, int, float, int]]]] = {}
        for owner, each in zip(owners, found, strict=True):
            pooled.setdefault(owner, []).append(each)
        for i, (serial, tc, phase, condition) in enumerate(things):
            sure = reduced.pooled(pooled.get((i, "sure"), []))
            possible = sure if phase.sure == phase.possible else reduced.pooled(pooled.get((i, "possible"), []))
            whole = self._whole(tc, phase, values[2 * i : 2 * i + 2])
            doubt = self._doubt(tc, phase, condition, limits, sense, 10 * MIN if chosen == "least squares" else 0)
            other_doubt = self._doubt(tc, phase, condition, limits, sense, 10 * MIN)
            short_doubt = self._doubt(
                tc, phase, condition, limits, sense, 0 if chosen == "sample to sample" else 10 * MIN
            )
            doubts = {"least squares": other_doubt, "end points": other_doubt, "sample to sample": short_doubt}
            doubts[chosen] = doubt
            self._put(
                serial, clause, tc, reduced.rated(sure, whole, chosen, sense, limits, tc, doubts, possible, phase)
            )

    def _regions(self, tc: str, part: tuple[int, int] | None, condition: Condition | None) -> list[tuple[int, int]]:
        """Stretches of a part of a phase in which the condition holds and the column is known."""
        if part is None:
            return []
        if condition is not None:
            return [(int(a), int(b)) for a, b in condition.surely(*part)]
        found, here = [], part[0]
        for a, b, _ in self.unknown.get(tc, ()):
            if a < part[1] and b > part[0]:
                if a >= here:
                    found.append((here, a))
                here = max(here, b)
        return [*found, (here, part[1])] if here <= part[1] else found

    def _doubt(
        self,
        tc: str,
        phase: Phase,
        condition: Condition | None,
        limits: tuple[float | None, float],
        sense: str,
        window: int,
    ) -> bool:
        """Whether bad samples, or a gap whose own rate breaks the limits, lie where a window would."""
        if not self.unknown.get(tc) or phase.possible is None:
            return False
        regions = [phase.possible] if condition is None else condition.possibly(*phase.possible).tolist()
        for start, end in regions:
            if end - start < window:
                continue
            for a, b, why in self.unknown[tc]:
                if not (a < end and b > start):
                    continue
                if why == "lost":
                    return True
                begin, finish = max(a, start), min(b, end)
                before, after = self.tool.values([(tc, begin), (tc, finish)])
                if before is not None and after is not None:
                    rate = (after - before) / 1000.0 / ((finish - begin) / MIN)
                    if not reduced.within(rate if sense == "rising" else -rate, limits):
                        return True
        return False

    def _between_levels(self, low: float, high: float) -> None:
        names = [f"COLD {serial}" for serial in self.serials]
        levels = (F(150), F(240))
        runs = self.tool.runs([(name, level, False, False) for name in names for level in levels])
        asks = [(f"COLD {s}", self.heating[0], self.released[0]) for s in self.serials]
        parts = [self._regions_of_part(s, a, b) for s, (_, a, b) in zip(self.serials, asks, strict=True)]
        flat = [(name, *stretch) for name, found in zip(names, parts, strict=True) for stretch in found]
        rates = iter(self.tool.rates(flat, 10 * MIN, 2))
        for i, serial in enumerate(self.serials):
            phase = Phase(self.heating, self.released, self.end)
            one = first(self._filled(serial, runs[2 * i]), self.heating, 0, self.end)
            two = first(self._filled(serial, runs[2 * i + 1]), one, 0, self.end)
            pooled = reduced.pooled([next(rates) for _ in parts[i]])
            known = any(a <= self.released[0] <= b for a, b in parts[i])
            whole = self._whole(f"COLD {serial}", phase) if known else None
            self._put(serial, 22, serial, self._levels_answer(serial, one, two, levels, pooled, whole, (low, high)))

    def _filled(self, serial: str, condition: Condition) -> Condition:
        """A condition on the coldest, with what is unknown of its members left out."""
        known = np.array(self._regions_of_part(serial, 0, self.end, split=False), np.int64)
        true = sets.both([condition.true, known], closed=True)
        return Condition(true, sets.both([condition.false, known], closed=False), closed=True)

    def _regions_of_part(self, serial: str, start: int, end: int, *, split: bool = True) -> list[tuple[int, int]]:
        """Where the coldest is known; ``split``: apart at changes of membership, which no window of a rate crosses."""
        aside = self._aside(serial, "c") if self.rule else {}
        rows = [
            (a, b)
            for tc in self.data.parts[serial]
            for a, b, _ in self.unknown.get(tc, ())
            if not (tc in aside and aside[tc] <= a)
        ]
        rows += [(at, at + 1) for at in aside.values() if split]  # the instant of loss belongs to what was before
        found, here = [], start
        for a, b in sorted(rows):
            if a <= end and b >= start:
                if a >= here:
                    found.append((here, a))
                here = max(here, b)
        return [*found, (here, end)] if here <= end else found

    def _levels_answer(
        self,
        serial: str,
        one: Event,
        two: Event,
        levels: tuple[float, float],
        rates: dict[str, tuple[int, float, int, float, int]],
        whole: float | None,
        limits: tuple[float, float],
    ) -> Answer:
        rise = (levels[1] - levels[0]) / 1000.0
        aside = self._aside(serial, "c") if self.rule else {}
        lost = any(
            why == "lost" and not (tc in aside and aside[tc] <= a) and a < self.released[1] and b > self.heating[0]
            for tc in self.data.parts[serial]
            for a, b, why in self.unknown.get(tc, ())
        )
        readings = reduced.rated(rates, whole, "between levels", "rising", limits, serial, dict.fromkeys(KINDS, lost))
        others, numbers = readings.others, readings.numbers
        if two[1] >= NEVER or two[0] - one[1] <= 0:
            return Answer(NOT_SHOWN, None, None, "", others, numbers=numbers)
        least, most = rise / ((two[1] - one[0]) / MIN), rise / ((two[0] - one[1]) / MIN)
        met = reduced.within(least, limits) and reduced.within(most, limits)
        exact = one[0] == one[1] and two[0] == two[1]
        outcome = NOT_SHOWN if not exact else (MET if met else NOT_MET)
        margin, at = min((reduced.margin_to(least, limits), two[1]), (reduced.margin_to(most, limits), two[0]))
        return Answer(outcome, float(round(margin)), at, serial, others, numbers=numbers)

    # ------------------------------------------------------------------------------------------------------------------ bands
    def _allowed_bands(self) -> None:
        """Bands of each thermocouple with an allowance: by 5 degF, 2 min at a time, 6 min in all."""
        for clause, start, end, low, high in (
            (10, "dwell starts", "dwell ends", 250, 290),
            (13, self.heating, self.released, None, 360),
        ):
            things = [(s, tc, self._phase(start, end, s)) for s, tc in self._things()]  # type: ignore[arg-type]
            things = [(s, tc, phase) for s, tc, phase in things if not self._gone(s, tc, phase)]
            asks = [
                ([tc], *part, side)
                for _, tc, phase in things
                for part in (phase.possible, phase.sure)
                if part
                for side in ("least", "most")
            ]
            asks = [ask for ask in asks if low is not None or ask[3] == "most"]
            extremes = dict(zip([(ask[0][0], *ask[1:]) for ask in asks], self.tool.extremes(asks), strict=True))
            out = {tc: self._outside(tc, low, high) for _, tc, _ in things}
            rows = [
                (tc, a, b)
                for _, tc, phase in things
                if phase.possible
                for a, b in sets.cut(out[tc], *phase.possible, closed=False).tolist()
            ]
            depth = self._depths(rows, low, high)
            for serial, tc, phase in things:
                aside = self._aside(serial, "ch") if self.rule else {}
                self._put(serial, clause, tc, self._allowed(tc, phase, out[tc], depth, extremes, low, high, aside))

    def _outside(self, tc: str, low: float | None, high: float) -> np.ndarray:
        over = self._tc(tc, high, strict=True).true
        return over if low is None else sets.union([over, self._tc(tc, low).false], closed=False)

    def _depths(
        self, rows: list[tuple[str, int, int]], low: float | None, high: float
    ) -> dict[tuple[str, int, int], float]:
        tops = self.tool.extremes([([tc], a, b, "most") for tc, a, b in rows])
        bottoms = (
            self.tool.extremes([([tc], a, b, "least") for tc, a, b in rows]) if low is not None else [None] * len(rows)
        )
        found = {}
        for row, top, bottom in zip(rows, tops, bottoms, strict=True):
            found[row] = max(top[0] - F(high), F(low) - bottom[0] if bottom and low is not None else -np.inf)  # type: ignore[index]
        return found

    def _allowed(
        self,
        tc: str,
        phase: Phase,
        out: np.ndarray,
        depth: dict[tuple[str, int, int], float],
        extremes: dict[object, Found | None],
        low: float | None,
        high: float,
        aside: dict[str, int],
    ) -> Answer:
        if phase.possible is None:
            return Answer(NOT_SHOWN)

        def both(part: tuple[int, int]) -> tuple[Found | None, Found | None]:
            return extremes.get((tc, *part, "least")), extremes.get((tc, *part, "most"))

        def exceeded(part: tuple[int, int]) -> bool:
            rows = sets.cut(out, *part, closed=False)
            if not len(rows):
                return False
            long = rows[:, 1] - rows[:, 0]
            if part == phase.possible:
                deep = max(depth[tc, int(a), int(b)] for a, b in rows)
            else:
                deep = max(self._depths([(tc, int(a), int(b)) for a, b in rows], low, high).values())
            return bool(long.max() > 2 * MIN or long.sum() > 6 * MIN or round(grains(5, "degF difference") - deep) < 0)

        limits = (None if low is None else F(low), F(high))
        if phase.sure is not None and exceeded(phase.sure):
            outcome = NOT_MET
        elif phase.sure is None or exceeded(phase.possible) or self._unknown_in([tc], *phase.possible, aside):
            outcome = NOT_SHOWN
        else:
            outcome = MET
        chosen = phase.sure if outcome == NOT_MET and phase.sure else phase.possible
        return replace(reduced.banded(*both(chosen), *limits), outcome=outcome)

    def _plain_bands(self) -> None:
        """Spreads, differences and bands of a part without an allowance."""
        dwell = [self._phase("dwell starts", "dwell ends", s) for s in self.serials]
        soak = [self._phase("soak starts", "soak ends", s) for s in self.serials]
        heating = [self._phase(self.heating, "dwell starts", s) for s in self.serials]
        spread = "degF difference"
        self._far(11, dwell, "ch", None, grains(25, spread))
        self._far(17, soak, "ch", None, grains(20, spread))
        self._far(19, heating, "c", self.data.air, grains(60, spread))
        asks = [
            (self.data.parts[s], *part, "least")
            for s, p in zip(self.serials, soak, strict=True)
            for part in (p.possible, p.sure)
            if part
        ]
        found = iter(self.tool.extremes(asks))
        for serial, phase in zip(self.serials, soak, strict=True):
            worst = next(found) if phase.possible else None
            best = next(found) if phase.sure else None
            self._put(serial, 12, serial, self._banded(serial, "c", phase, worst, best, (F(338), None)))
        self._while_hot()

    def _far(self, clause: int, phases: list[Phase], sides: str, tops: list[str] | None, limit: float) -> None:
        asks = []
        for serial, phase in zip(self.serials, phases, strict=True):
            names = self.data.parts[serial]
            asks += [(tops or names, names, *part) for part in (phase.possible, phase.sure) if part]
        found = iter(self.tool.apart(asks))
        for serial, phase in zip(self.serials, phases, strict=True):
            worst = next(found) if phase.possible else None
            best = next(found) if phase.sure else None
            self._put(serial, clause, serial, self._banded(serial, sides, phase, worst, best, (None, limit)))

    def _banded(
        self,
        serial: str,
        sides: str,
        phase: Phase,
        worst: Found | None,
        best: Found | None,
        limits: tuple[float | None, float | None],
    ) -> Answer:
        low, high = limits
        aside = self._aside(serial, sides) if self.rule else {}
        if phase.possible is None or worst is None:
            return Answer(NOT_SHOWN)

        def broken(found: Found | None) -> bool:
            return found is not None and (
                (low is not None and found[0] < low) or (high is not None and found[0] > high)
            )

        if phase.sure is not None and broken(best):
            outcome = NOT_MET
        elif phase.sure is None or broken(worst) or self._unknown_in(self.data.parts[serial], *phase.possible, aside):
            outcome = NOT_SHOWN
        else:
            outcome = MET
        shown = best if outcome == NOT_MET else worst
        return replace(
            reduced.banded(shown if low is not None else None, shown if high is not None else None, low, high),
            outcome=outcome,
        )

    def _while_hot(self) -> None:
        """Clause 28: the hottest at most 360 degF while the coldest is at least 340."""
        phase = Phase(self.heating, self.released, self.end)
        asks, owners = [], []
        for serial in self.serials:
            hot = self._all(serial, 340)
            for sure, rows in ((True, hot.surely), (False, hot.possibly)):
                for a, b in rows(*phase.possible).tolist():  # type: ignore[misc]
                    asks.append((self.data.parts[serial], a, b, "most"))
                    owners.append((serial, sure))
        pooled: dict[tuple[str, bool], list[Found]] = {}
        for owner, found in zip(owners, self.tool.extremes(asks), strict=True):
            if found is not None:
                pooled.setdefault(owner, []).append(found)
        for serial in self.serials:
            self._put(serial, 28, serial, self._while_answer(serial, phase, pooled))

    def _while_answer(self, serial: str, phase: Phase, pooled: dict[tuple[str, bool], list[Found]]) -> Answer:
        def most(sure: bool) -> Found | None:
            return min(pooled.get((serial, sure), []), key=lambda f: (-f[0], f[1], f[2]), default=None)

        worst = most(False)
        if worst is None:
            return Answer(MET)
        surely = most(True)
        limit = F(360)
        aside_c, aside_h = (self._aside(serial, sides) if self.rule else {} for sides in "ch")
        regions = self._all(serial, 340).possibly(*phase.possible).tolist()  # type: ignore[misc]
        doubt = any(
            self._unknown_in(self.data.parts[serial], a, b, aside_h)
            or (worst[0] > limit and self._unknown_in(self.data.parts[serial], a, b, aside_c))
            for a, b in regions
        )
        outcome = (
            NOT_MET if surely is not None and surely[0] > limit else (NOT_SHOWN if doubt or worst[0] > limit else MET)
        )
        return replace(reduced.banded(None, worst, None, limit), outcome=outcome)

    # -------------------------------------------------------------------------------------------------------------- durations
    def _durations(self) -> None:
        for serial in self.serials:
            dwell, soak = ("dwell starts", "dwell ends"), ("soak starts", "soak ends")
            tcs = self.data.parts[serial]
            found = self._duration(serial, serial, dwell, 255, "restarts", 60 * MIN, 150 * MIN)
            self._put(serial, 9, serial, replace(found, channel=self._crosses(tcs, F(285), EXCEEDS, found)))
            found = self._duration(serial, serial, soak, 340, "pauses", 120 * MIN, 180 * MIN)
            self._put(serial, 14, serial, replace(found, channel=self._crosses(tcs, F(340), FALLS_BELOW, found)))
            options = [self._duration(serial, serial, soak, 345, "pauses", 100 * MIN, None)]
            options.append(self._duration(serial, serial, soak, 340, "pauses", 140 * MIN, None))
            found = max(options, key=lambda answer: (WORST[answer.outcome], answer.margin))
            self._put(serial, 16, serial, replace(found, channel=self._crosses(tcs, F(340), FALLS_BELOW, found)))
            for tc in self.data.parts[serial]:
                found = self._duration(serial, tc, ("hot", (self.end, self.end)), 340, "pauses", 115 * MIN, None)
                some = found.outcome == NOT_SHOWN and self.rule and tc in self._aside(serial, "ch")
                if not some and not self._gone(serial, tc, self._phase("hot", (self.end, self.end), tc)):
                    self._put(serial, 15, tc, found)

    def _duration(
        self,
        serial: str,
        thing: str,
        phase: tuple[object, object],
        level: float,
        clock: str,
        low: int,
        high: int | None,
    ) -> Answer:
        def spent(clock: str, *, held: bool) -> tuple[tuple[int, int], tuple[int, int], Phase]:
            found = self._phase(*phase, thing, held=held)  # type: ignore[arg-type]
            condition = self._all(serial, level, held=held) if thing == serial else self._tc(thing, level, held=held)
            return (*reduced.spent(found, condition, clock), found)

        def outcome(spent: tuple[tuple[int, int], tuple[int, int], Phase]) -> str:
            time, elapsed, found = spent
            if found.never or time[1] < low or (high is not None and elapsed[0] > high):
                return NOT_MET
            return (
                MET if time[0] >= low and (high is None or elapsed[1] <= high) and found.sure is not None else NOT_SHOWN
            )

        judged = spent(clock, held=False)
        time, elapsed, found = judged
        worst, best = [time[0] - low], [time[1] - low]
        if high is not None:
            worst.append(high - elapsed[1])
            best.append(high - elapsed[0])
        at = found.end[0] if found.end[0] < NEVER else self.end
        others = tuple(
            (f"the clock {rule} when it leaves", outcome(spent(rule, held=False)))
            for rule in ("restarts", "pauses", "runs on")
            if rule != clock
        )
        others += (("first sample in band instead of the exact crossing", outcome(spent(clock, held=True))),)
        return Answer(outcome(judged), float(min(worst)), at if found.possible else None, "?", others)

    # --------------------------------------------------------------------------------------------------------------- the rest
    def _rest(self) -> None:
        at = self.released[0]
        hottest = self.tool.extremes([(self.data.parts[s], at, at, "most") for s in self.serials])
        spacings = iter(self.tool.spacing([(tc, self.heating[0], at) for _, tc in self._things()]))
        later = self.released_by_sample[0]
        by_sample = self.tool.extremes([(self.data.parts[s], later, later, "most") for s in self.serials])
        name = "first sample that shows the event instead of the exact crossing"
        for serial, most, sampled in zip(self.serials, hottest, by_sample, strict=True):
            tcs = self.data.parts[serial]
            others = ((name, self._cool(serial, sampled, later).outcome),) if later != at else ()
            self._put(serial, 23, serial, replace(self._cool(serial, most, at), others=others))
            self._put(serial, 26, serial, self._working(tcs, self._phase("soak starts", "soak ends", serial)))
            longest = max(((*next(spacings), tc) for tc in tcs), key=lambda f: (f[0], -f[1], f[2]))
            limit = 120 * 10**9
            self._put(
                serial,
                27,
                serial,
                Answer(MET if longest[0] <= limit else NOT_MET, float(limit - longest[0]), longest[1], longest[2]),
            )
            self._put(serial, 30, serial, self._exposure(serial))

    def _cool(self, serial: str, most: Found | None, at: int) -> Answer:
        """Whether the hottest is at most 140 degF at an instant."""
        aside = self._aside(serial, "h") if self.rule else {}
        answer = reduced.banded(None, most, None, F(140))
        unknown = self._unknown_in(self.data.parts[serial], at, at, aside)
        return replace(answer, outcome=NOT_SHOWN) if unknown and answer.outcome == MET else answer

    def _working(self, tcs: list[str], phase: Phase) -> Answer:
        if phase.never:
            return Answer(NOT_MET)

        def fewest(part: tuple[int, int] | None) -> tuple[int, int] | None:
            if part is None:
                return None
            dead = [(a, b) for tc in tcs for a, b, _ in self.unknown.get(tc, ()) if a < part[1] and b > part[0]]
            edges = sorted({part[0], *(max(a, part[0]) for a, _ in dead)})
            return min((len(tcs) - sum(a <= edge < b for a, b in dead), edge) for edge in edges)

        sure, possible = fewest(phase.sure), fewest(phase.possible)
        if sure is not None and sure[0] < 5:
            return Answer(NOT_MET, float(sure[0] - 5), sure[1], "")
        if possible is None:
            return Answer(NOT_SHOWN)
        return Answer(
            MET if sure is not None and possible[0] >= 5 else NOT_SHOWN, float(possible[0] - 5), possible[1], ""
        )

    def _exposure(self, serial: str) -> Answer:
        phase = Phase((0, 0), (self.end, self.end), self.end)
        (least, most), _ = reduced.spent(phase, self._any(serial, 250), "pauses")
        limit = 420 * MIN
        outcome = NOT_MET if least > limit else (MET if most <= limit else NOT_SHOWN)
        return Answer(outcome, float(limit - most), None, "")
