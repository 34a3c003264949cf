"""The words for conditions: ``coldest part thermocouple reaches 340 degF``, ``source valve is atmosphere``, ``… and (… or …)``.

One grammar, read by :func:`read_condition` and written by :func:`condition_text`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.terms.errors import FileError, Place, SpecificationError
from curewright.terms.requirement import AllOf, AnyOf, Compare, Group, Limits, StateIs
from curewright.text.near import did_you_mean
from curewright.text.phrase import Words, bare, quoted
from curewright.text.quantities import Measure, amount, amount_text, begins_limits, limits
from curewright.text.yaml import Scalar
from curewright.understand.signals import STARTS, begins_signal, heating_only, read_signal, signal_text

if TYPE_CHECKING:
    from collections.abc import Iterator

    from curewright.terms.requirement import Condition, Signal
    from curewright.understand.setting import Setting

# verb: (which limit it sets, whether the level itself is left out, how the limit is written)
VERBS = {
    "reaches": ("low", False, "at least"),
    "rises above": ("low", True, "above"),
    "falls to": ("high", False, "at most"),
    "falls below": ("high", True, "below"),
}
RISING = ("reaches", "rises above")


def read_condition(words: Words, setting: Setting) -> Condition:
    """A condition; several are joined by ``and`` or by ``or``, and brackets tell what belongs together."""
    parts = [_one(words, setting)]
    joint = ""
    while (found := _joint(words)) and (not joint or found == joint):
        joint = found
        words.expect(joint)
        parts.append(_one(words, setting))
    if found:
        raise words.wrong(expected=f"'{joint}' again, or brackets", remedy="write '(a and b) or c' or 'a and (b or c)'")
    if not joint:
        return parts[0]
    return AllOf(tuple(parts)) if joint == "and" else AnyOf(tuple(parts))


def _joint(words: Words) -> str:
    if words.sees("and", "stays"):
        return ""
    return next((joint for joint in ("and", "or") if words.sees(joint)), "")


def _one(words: Words, setting: Setting) -> Condition:
    if words.accept("("):
        inside = read_condition(words, setting)
        words.expect(")")
        return inside
    if setting.it is not None and begins_limits(words):
        return Compare(setting.it.signal, _levels(words, setting.it.measure))
    return _comparison(words, setting) if begins_signal(words) else _state(words)


def _comparison(words: Words, setting: Setting) -> Compare:
    heard = read_signal(words, setting)
    if words.accept("is"):
        return Compare(heating_only(heard, setting, heating=False), _levels(words, heard.measure))
    verb = words.one_of(VERBS, "'reaches', 'rises above', 'falls to', 'falls below' or 'is'")
    side, is_open, written = VERBS[verb]
    level = amount(words, heard.measure)
    text = f"{written} {amount_text(level)}"
    low, high = (level, None) if side == "low" else (None, level)
    signal = heating_only(heard, setting, heating=verb in RISING)
    return Compare(signal, Limits(low, high, is_open and side == "low", is_open and side == "high", written=text))


def _levels(words: Words, measure: Measure) -> Limits:
    place = words.place
    found = limits(words, measure)
    if found.low_attribute or found.high_attribute:
        raise SpecificationError(
            "a part's own limit in a condition", expected="a level", where=place, remedy="write the level"
        )
    return found


def _state(words: Words) -> StateIs:
    start = words.place
    name = words.name("a signal, or the name of a state channel")
    if not words.accept("is") or begins_limits(words):
        raise FileError(
            f"'{name}' is no signal known here", expected="a signal", where=start, remedy=did_you_mean(name, STARTS)
        )
    states = [words.name("a state")]
    while _another_state(words):
        words.expect("or")
        states.append(words.name("a state"))
    return StateIs(Group("channel", name=name), tuple(states))


def _another_state(words: Words) -> bool:
    """Whether ``or "STATE"`` comes next, and not another condition that begins with a name in quotation marks."""
    ahead = words.tokens[words.position : words.position + 3]
    names_a_state = words.sees("or") and len(ahead) > 1 and ahead[1].kind == "quoted"
    return names_a_state and not (len(ahead) > 2 and ahead[2].text == "is")


# -------------------------------------------------------------------------------------------------------------------- writing
def condition_text(condition: Condition, it: Signal | None = None) -> str:
    """A condition as :func:`read_condition` reads it back; ``it``: the signal of the requirement, then called so."""
    match condition:
        case Compare(signal, found):
            unit = next(each.unit for each in (found.low, found.high) if each is not None)
            name = "it" if signal == it else signal_text(signal, unit)
            return f"{name} is {found.written}"
        case StateIs(group, states):
            return f"{_state_name(group.name or '')} is {_states_text(states)}"
        case AllOf(parts):
            return " and ".join(_bracketed(each, it) for each in parts)
        case AnyOf(parts):
            return " or ".join(_bracketed(each, it) for each in parts)


def _state_name(name: str) -> str:
    """The name of a state channel, in quotation marks where it could be taken for a signal."""
    return quoted(name) if begins_signal(Words(Scalar(name, Place()))) else bare(name)


def _states_text(states: tuple[str, ...]) -> str:
    first, *others = states
    return " or ".join([bare(first), *(quoted(each) for each in others)])


def _bracketed(condition: Condition, it: Signal | None) -> str:
    text = condition_text(condition, it)
    return f"({text})" if isinstance(condition, AllOf | AnyOf) else text


def event_text(condition: Condition) -> str:
    """A condition as something that happens: ``reaches``, ``falls below`` where it has one level, else as it is."""
    if isinstance(condition, Compare):
        found = condition.limits
        for verb, (side, is_open, written) in VERBS.items():
            level = found.low if side == "low" else found.high
            if level is not None and found == replace(
                _only(side, is_open, found), written=f"{written} {amount_text(level)}"
            ):
                return f"{signal_text(condition.signal, level.unit)} {verb} {amount_text(level)}"
    return condition_text(condition)


def _only(side: str, is_open: bool, found: Limits) -> Limits:
    if side == "low":
        return Limits(low=found.low, low_open=is_open)
    return Limits(high=found.high, high_open=is_open)


def comparisons(condition: Condition | None) -> Iterator[Compare]:
    """Every comparison within a condition."""
    match condition:
        case Compare():
            yield condition
        case AllOf(parts) | AnyOf(parts):
            for part in parts:
                yield from comparisons(part)
        case _:
            return


def state_channels(condition: Condition | None) -> Iterator[StateIs]:
    """Every state within a condition."""
    match condition:
        case StateIs():
            yield condition
        case AllOf(parts) | AnyOf(parts):
            for part in parts:
                yield from state_channels(part)
        case _:
            return
