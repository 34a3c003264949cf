"""The judge: a plan held against a run, one verdict for every requirement and thing.

A pure function of the sorted log, the sensor map, the rulings, the specifications and whether the run is closed: the
same in, the same out.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.judge import budgets, coverage
from curewright.judge.applies import applies
from curewright.judge.aside import may_yet_be_set_aside
from curewright.judge.behind import sensors_behind, why_not_aside
from curewright.judge.concession import check_concessions, conceded, with_limits
from curewright.judge.envelope import Atom, Envelope
from curewright.judge.events import when
from curewright.judge.evidence import quoted_around, quoted_beside
from curewright.judge.forms import judge_form, look_at_form
from curewright.judge.limits import MissingAttributeError
from curewright.judge.probability import probability_text
from curewright.judge.result import WORST, Result, second_notes
from curewright.judge.scene import Hall, Options, Scene
from curewright.judge.signals import envelope
from curewright.judge.things import things_of
from curewright.judge.trace import difference
from curewright.terms.errors import CurewrightError, NeedsBarometer
from curewright.terms.requirement import KINDS, Exposure
from curewright.terms.verdict import Judgement, Outcome, SetAside, Stretch, Verdict
from curewright.understand.attainable import why_impossible

if TYPE_CHECKING:
    from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence

    from curewright.judge.kinds.exposure import Share
    from curewright.judge.scene import Thing
    from curewright.physics.card import Card
    from curewright.terms.load import Load, Part, Ruling, Vessel
    from curewright.terms.requirement import Clause, Requirement, Specification
    from curewright.terms.run import Run

    # shares of earlier runs in exposures, by (serial, clause, form); None where one is not known
    Earlier = Mapping[tuple[str, str, str], tuple[Share, ...] | None]

FOREVER = 2**62
KIND_OF = {kind: name for name, kind in KINDS.items()}
PartFound = tuple["list[Verdict]", "list[Stretch]", "dict[str, tuple[str, ...]]"]


def judge(
    specifications: tuple[Specification, ...],
    vessel: Vessel,
    load: Load,
    run: Run,
    rulings: tuple[Ruling, ...] = (),
    *,
    number: int = 1,
    person: str = "",
    at: str = "",
    program: str = "",
    earlier: Earlier | None = None,
    inputs: tuple[tuple[str, str], ...] = (),
    cards: tuple[Card, ...] = (),
    each: Callable[[Callable[[Part], PartFound], Sequence[Part]], Iterable[PartFound]] = map,
    lean: bool = False,
) -> Judgement:
    """All verdicts of a run. ``earlier``: shares of earlier runs in exposures, by (serial, clause, form); None where
    one is not known. ``each``: a map over the parts, for whoever wants to use several cores. ``lean``: outcomes, reasons, limits,
    margins and phases alone, the same as otherwise, in half the time, for a run of which there are many (a sample of a prediction).

    Raises :class:`~curewright.terms.errors.CurewrightError` where a part follows a specification that was not given, and
    :class:`~curewright.terms.errors.NeedsBarometer` where a change of pressure reference needs the ambient pressure.
    """
    hall = hall_of(vessel, load, run, rulings, largest_gap(specifications))
    hall.cards = cards

    def found_of(part: Part) -> PartFound:
        if lean:
            alone = Options(others=False, outcomes_only=True)
            return judge_part(scene_for(hall, part, specifications, alone), earlier or {}), [], {}
        scene = scene_for(hall, part, specifications)
        return judge_part(scene, earlier or {}), coverage.uncovered(scene), budgets.unstated(hall)

    verdicts: list[Verdict] = []
    uncovered: list[Stretch] = []
    for judged, open_stretches, unstated in each(found_of, load.parts):
        verdicts += judged
        uncovered += open_stretches
        budgets.unstated(hall).update(unstated)
    used = [spec for spec in specifications if any(_follows(part, spec) for part in load.parts)]
    clauses = [clause for spec in used for clause in spec.clauses]
    return Judgement(
        number,
        run.number,
        tuple(verdicts),
        roll_up(load, verdicts),
        sum(bool(clause.forms) for clause in clauses),
        sum(clause.by_person is not None for clause in clauses),
        sum(clause.not_covered is not None for clause in clauses),
        tuple(uncovered),
        person,
        at,
        program,
        inputs,
        (*run.notes, *budgets.notes(hall)),
    )


def largest_gap(specifications: Iterable[Specification]) -> int:
    """The largest gap that any of the specifications joins over."""
    return max((spec.largest_gap for spec in specifications), default=0)


def hall_of(vessel: Vessel, load: Load, run: Run, rulings: tuple[Ruling, ...] = (), gap: int = 0) -> Hall:
    """What all parts of a run share; ``gap`` is the largest gap, by which a silent channel holds back an open run at
    most.
    """
    end = run.closing.end if run.closing else horizon(load, run, gap)
    return Hall(run, vessel, load, rulings, end, bool(run.closing and run.closing.covers))


def horizon(load: Load, run: Run, gap: int) -> int:
    """To what instant an open run is known: the oldest last sample of its mapped channels.

    A silent channel holds it back at most ``gap``: whatever it may still send cannot be joined to its last sample.
    """
    mapped = {line.channel for line in load.map}
    last = [int(channel.t[-1]) for name, channel in run.channels.items() if len(channel.t) and name in mapped]
    return max(min(last), max(last) - gap) if last else 0


def specification_of(part: Part, specifications: Iterable[Specification]) -> Specification:
    """The specification revision that a part follows; raises :class:`CurewrightError` where it was not given."""
    given = list(specifications)
    for spec in given:
        if _follows(part, spec):
            return spec
    named = ", ".join(f"{spec.number} revision {spec.revision}" for spec in given) or "none"
    raise CurewrightError(
        f"part {part.serial} follows specification {part.specification} revision {part.specification_revision}, which was not given",
        expected=f"that specification file, of that revision (given: {named})",
        remedy="add it, or correct the load",
    )


def scene_for(hall: Hall, part: Part, specifications: Iterable[Specification], options: Options | None = None) -> Scene:
    """The scene of one part under the specification revision that it follows."""
    one = specification_of(part, specifications)
    bag = next((bag for bag in hall.load.bags if bag.name == part.bag), None)
    check_concessions(part, one)
    return Scene(hall, one, part, bag, options or Options(), when)


def _follows(part: Part, spec: Specification) -> bool:
    return (part.specification, part.specification_revision) == (spec.number, spec.revision)


def judge_part(scene: Scene, earlier: Earlier) -> list[Verdict]:
    """All verdicts for one part, in the order of its specification; where something was set aside, or a second recorder
    fills a gap, each with the outcome without that.
    """
    verdicts = _as_seen(scene, earlier)
    if scene.options.others and scene.second_used:
        verdicts = _beside_the_first_alone(scene, earlier, verdicts)
    if not scene.options.others or not _anything_aside(scene):
        return verdicts
    options = replace(scene.options, rulings=False, rule=False, others=False, outcomes_only=True)
    without = _as_seen(replace(scene, options=options, events={}, kept={}), earlier)
    outcomes = {_key(verdict): verdict.outcome for verdict in without}
    compared = [_compared(verdict, outcomes.get(_key(verdict))) for verdict in verdicts]
    return _with_those_left_out(compared, without)


def _beside_the_first_alone(scene: Scene, earlier: Earlier, verdicts: list[Verdict]) -> list[Verdict]:
    """The verdicts, each with its outcome from the first recorder alone where that is another one."""
    options = replace(scene.options, second=False, others=False, outcomes_only=True)
    alone = {
        _key(each): each.outcome for each in _as_seen(replace(scene, options=options, events={}, kept={}), earlier)
    }
    return [
        replace(verdict, without_second_recorder=alone[_key(verdict)])
        if alone.get(_key(verdict), verdict.outcome) is not verdict.outcome
        else verdict
        for verdict in verdicts
    ]


def looked_at(scene: Scene) -> Iterator[None]:
    """Asks the run everything that the verdicts of one part ask, in slices: one form and thing after the other."""
    for clause in scene.specification.clauses:
        if applies(clause, scene.part)[0] is not None:
            continue
        for form in clause.forms:
            try:
                things = things_of(scene, form)
            except CurewrightError:
                continue
            for thing in things:
                yield from _made_ready(scene, form, thing)
                _asked(scene, clause, form, thing)
                yield


def _made_ready(scene: Scene, form: Requirement, thing: Thing) -> Iterator[None]:
    """Makes the differences of a spread's or a difference's sensors beforehand, a few in a slice."""
    signal = getattr(form, "signal", None)
    if signal is None or (signal.minus is None and signal.take != "spread"):
        return
    try:
        found = envelope(scene, signal, thing, form.unit.reference)
    except CurewrightError:
        return
    if found.less and found.crest is None:
        for top in found.sensors:
            for bottom in found.less:
                if top is not bottom:
                    difference(top.label, top.trace, bottom.trace)
            yield


def _asked(scene: Scene, clause: Clause, form: Requirement, thing: Thing) -> None:
    """Asks what a form asks for a thing, also as a concession has it."""
    concession = conceded(scene.part, clause, form)
    for each in (form,) if concession is None else (form, with_limits(form, concession.limits)):
        try:
            look_at_form(scene, each, thing)
        except CurewrightError:
            continue


def _anything_aside(scene: Scene) -> bool:
    return any(isinstance(found, Envelope) and found.aside for found in scene.kept.values())


def _compared(verdict: Verdict, without: Outcome | None) -> Verdict:
    return replace(verdict, without_set_aside=without) if without not in (None, verdict.outcome) else verdict


def _with_those_left_out(verdicts: list[Verdict], without: list[Verdict]) -> list[Verdict]:
    """A sensor that is set aside over a whole phase has no verdict of its own there: the first verdict of the same
    form says so, with what it would have been.
    """
    there = {_key(verdict) for verdict in verdicts}
    gone: dict[tuple[str, str], list[Verdict]] = {}
    for verdict in without:
        if _key(verdict) not in there:
            gone.setdefault((verdict.clause, verdict.form), []).append(verdict)
    found = []
    for verdict in verdicts:
        left_out = gone.pop((verdict.clause, verdict.form), [])
        found.append(_speaking_for(verdict, left_out) if left_out else verdict)
    return found


def gone_note(left_out: Verdict) -> str:
    """What is said of a sensor that is set aside over the whole phase, by the verdict that speaks for it."""
    return f"{left_out.thing} is set aside over the whole phase; without that it would be {left_out.outcome}"


def _speaking_for(verdict: Verdict, left_out: list[Verdict]) -> Verdict:
    notes = tuple(gone_note(each) for each in left_out)
    least = worst([verdict.outcome, *(each.outcome for each in left_out)])
    changed = verdict.without_set_aside or (least if least is not verdict.outcome else None)
    return replace(verdict, notes=(*verdict.notes, *notes), without_set_aside=changed)


def _key(verdict: Verdict) -> tuple[str, str, str]:
    return verdict.clause, verdict.form, verdict.thing


def _as_seen(scene: Scene, earlier: Earlier) -> list[Verdict]:
    return [verdict for clause in scene.specification.clauses for verdict in _clause(scene, clause, earlier)]


def _clause(scene: Scene, clause: Clause, earlier: Earlier) -> list[Verdict]:
    verdicts: list[Verdict] = []
    whether, why = applies(clause, scene.part)
    for form in clause.forms:
        if whether is not None:
            verdicts.append(_plain(scene, clause, form.name, KIND_OF[type(form)], whether, why))
        else:
            verdicts += _form(scene, clause, form, earlier)
    if whether is Outcome.NOT_APPLICABLE:  # nor has anybody to sign, or anything to miss, for this part
        return verdicts or [_plain(scene, clause, "by a person", "by a person", whether, why)]
    if clause.by_person is not None:
        signed, note = _signed(scene, clause)
        verdicts.append(
            replace(_plain(scene, clause, "by a person", "by a person", Outcome.BY_PERSON, note), settled=signed)
        )
    if clause.not_covered is not None:
        verdicts.append(_plain(scene, clause, "not covered", "not covered", Outcome.NOT_COVERED, clause.not_covered))
    return verdicts


def _plain(scene: Scene, clause: Clause, form: str, kind: str, outcome: Outcome, reason: str) -> Verdict:
    spec = scene.specification
    return Verdict(
        scene.part.serial, spec.number, spec.revision, clause.number, form, kind, scene.part.serial, outcome, reason, ""
    )


def _signed(scene: Scene, clause: Clause) -> tuple[bool, str]:
    """Whether a sentence that a person judges is signed: their hand entry 'clause <number>' stands beside it, whatever
    it says.
    """
    wanted = f"clause {clause.number}"
    about = {scene.part.serial, scene.part.bag, "run", ""}
    found = [entry for entry in scene.hall.run.entries if entry.name == wanted and entry.thing in about]
    if not found:
        return False, f"to be judged and signed by: {clause.by_person}"
    entry = found[-1]
    return True, f"{entry.text or 'entered'} ({entry.person})"


def _form(scene: Scene, clause: Clause, form: Requirement, earlier: Earlier) -> list[Verdict]:
    try:
        things = things_of(scene, form)
    except CurewrightError as error:
        return [_plain(scene, clause, form.name, KIND_OF[type(form)], Outcome.NOT_SHOWN, str(error))]
    shares = earlier.get((scene.part.serial, clause.number, form.name), ()) if scene.part.earlier_runs else ()
    if scene.part.earlier_runs and (scene.part.serial, clause.number, form.name) not in earlier:
        shares = None
    verdicts = []
    for thing in things:
        result = _result(scene, form, thing, shares)
        if result is None:
            continue
        verdicts.append(
            _with_concession(scene, clause, form, thing, shares, _verdict(scene, clause, form, thing, result))
        )
    return verdicts or [
        _plain(
            scene,
            clause,
            form.name,
            KIND_OF[type(form)],
            Outcome.NOT_SHOWN,
            "every sensor is set aside: nothing to judge",
        )
    ]


def _with_concession(
    scene: Scene, clause: Clause, form: Requirement, thing: Thing, shares: tuple[Share, ...] | None, verdict: Verdict
) -> Verdict:
    """The verdict under the part's concession for this form, with the outcome before it; unchanged where it has none."""
    concession = conceded(scene.part, clause, form) if scene.part.concessions else None
    if concession is None:
        return verdict
    changed = with_limits(form, concession.limits)
    eased = _result(scene, changed, thing, shares)
    if eased is None:
        return verdict
    note = f"by concession of {concession.authority}: {eased.limit}; without it: {verdict.outcome}"
    eased = replace(eased, notes=(*eased.notes, note))
    return replace(_verdict(scene, clause, changed, thing, eased), before_concession=verdict.outcome)


def _result(scene: Scene, form: Requirement, thing: Thing, shares: tuple[Share, ...] | None) -> Result | None:
    """What a form finds for a thing; None where the thing is a sensor that is set aside over the whole phase."""
    try:
        result = judge_form(scene, form, thing, shares)
    except NeedsBarometer:
        raise  # the paper can be judged once the reading is given: asked for, not guessed around
    except MissingAttributeError as error:
        return Result(Outcome.NOT_SHOWN, f"attribute missing: {error}", "")
    except CurewrightError as error:
        return Result(Outcome.NOT_SHOWN, str(error), "")
    if thing.member is not None and _gone(result, thing):
        return None
    ambient = scene.hall.run.barometer
    why = "" if ambient is None else why_impossible(form, ambient)
    if not why:
        return result
    if result.outcome is Outcome.NOT_MET:
        return replace(result, notes=(*result.notes, why))
    return replace(result, outcome=Outcome.NOT_MET, reason=why, beyond=False)


def _gone(result: Result, thing: Thing) -> bool:
    """Whether a judged sensor is set aside over the whole of its phase, or, where its outcome hangs on the whole phase,
    over some of it.
    """
    if not result.set_aside or result.phase is None or result.phase.earliest_start is None:
        return False
    start = result.phase.earliest_start
    end = FOREVER if result.phase.latest_end is None else result.phase.latest_end
    own = [entry for entry in result.set_aside if entry.channel == thing.name]
    whole = any(entry.start <= start and end <= entry.end for entry in own)
    some = result.needs_whole_phase and any(entry.start < end and start < entry.end for entry in own)
    return whole or (some and result.outcome is Outcome.NOT_SHOWN)


def _in_phase(result: Result) -> tuple[SetAside, ...]:
    """What is set aside at some instant of the phase; what is set aside elsewhere says nothing about this verdict."""
    phase = result.phase
    if not result.set_aside or phase is None or phase.earliest_start is None:
        return result.set_aside
    end = FOREVER if phase.latest_end is None else phase.latest_end
    return tuple(entry for entry in result.set_aside if entry.start <= end and phase.earliest_start <= entry.end)


def _verdict(scene: Scene, clause: Clause, form: Requirement, thing: Thing, result: Result) -> Verdict:
    outcome = result.outcome
    growing = scene.hall.run.closing is None and outcome is Outcome.NOT_SHOWN
    still_open = growing and (result.beyond or may_yet_be_set_aside(scene))
    margin = result.margin
    spec = scene.specification
    if scene.options.outcomes_only:
        names = (spec.number, spec.revision, clause.number, form.name, KIND_OF[type(form)], thing.name)
        judged = Outcome.OPEN if still_open else outcome
        found = margin, (), result.phase
        return Verdict(scene.part.serial, *names, judged, result.reason, result.limit, *found, settled=not still_open)
    notes = result.notes + second_notes(result)
    if outcome is Outcome.NOT_SHOWN:
        notes += why_not_aside(scene, form, thing, result)
    verdict = Verdict(
        scene.part.serial,
        spec.number,
        spec.revision,
        clause.number,
        form.name,
        KIND_OF[type(form)],
        thing.name,
        Outcome.OPEN if still_open else outcome,
        result.reason,
        result.limit,
        margin,
        result.allowance_left,
        result.phase,
        result.excursions,
        result.unknown,
        _in_phase(result),
        tuple([atom.label for atom in result.atoms]),
        others=result.others,
        notes=notes,
        probability=probability_text(scene, form, thing, result),
        settled=not still_open,
        share=_share(form, result),
        behind=sensors_behind(scene, form, thing),
    )
    quoted = quoted_around(_quotable(result), margin.channel, margin.at) if margin else ()
    if outcome is Outcome.NOT_SHOWN:
        quoted += quoted_beside(result.atoms, result.unknown, quoted)
    return verdict.quoting(quoted) if quoted else verdict


def _quotable(result: Result) -> tuple[Atom, ...]:
    """The sensors of its own signal, and those of the event that is its deciding instant, each once."""
    if not result.deciding:
        return result.atoms
    return tuple({atom.label: atom for atom in (*result.deciding, *result.atoms)}.values())


def _share(form: Requirement, result: Result) -> tuple[int, int] | None:
    """What this run adds to an exposure, for the record of later runs."""
    if not isinstance(form, Exposure) or result.statistic is None:
        return None
    return int(result.statistic[0]), int(result.statistic[1])


def roll_up(load: Load, verdicts: Iterable[Verdict]) -> tuple[tuple[str, Outcome], ...]:
    """The worst outcome of each part: not met, not shown, open, met; nothing but 'not applicable' is not shown.

    Sentences that a person judges or that are not covered stand beside it, in the counts at the head.
    """
    found: dict[str, list[Outcome]] = {part.serial: [] for part in load.parts}
    for verdict in verdicts:
        found[verdict.part].append(verdict.outcome)
    return tuple((serial, worst(outcomes)) for serial, outcomes in found.items())


def worst(outcomes: Iterable[Outcome]) -> Outcome:
    """The worst of several outcomes; not shown where nothing was judged."""
    judged = [outcome for outcome in outcomes if outcome in WORST]
    return min(judged, key=lambda outcome: WORST[outcome]) if judged else Outcome.NOT_SHOWN
