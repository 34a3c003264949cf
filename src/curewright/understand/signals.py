"""The words for signals: ``coldest part thermocouple``, ``mean of air thermocouple minus coldest part thermocouple``, ``vessel pressure``.

One grammar, read by :func:`read_signal` and written by :func:`signal_text`.
"""

from __future__ import annotations

from dataclasses import replace
from typing import TYPE_CHECKING

from curewright.terms.errors import AmbiguousClause, FileError
from curewright.terms.requirement import Computation, Group, Signal
from curewright.terms.units import UNITS
from curewright.text.near import did_you_mean
from curewright.text.phrase import bare
from curewright.text.quantities import decimal_text, number
from curewright.understand.setting import Heard

if TYPE_CHECKING:
    from curewright.terms.errors import Place
    from curewright.terms.units import Unit
    from curewright.text.phrase import Words
    from curewright.understand.setting import Setting

THERMOCOUPLES = ("part thermocouple", "tool thermocouple", "air thermocouple")
# word of the phrase: (group of the plan, quantity under ``units:``, pressure references that fit)
GROUP_WORDS: dict[str, tuple[str, str, tuple[str, ...]]] = {
    **{role: (role, "temperature", ()) for role in THERMOCOUPLES},
    **{f"{role}s": (role, "temperature", ()) for role in THERMOCOUPLES},
    "bag vacuum": ("bag vacuum", "vacuum", ("vacuum",)),
    "bag pressure": ("bag vacuum", "pressure", ("gauge", "absolute")),
    "source vacuum": ("source vacuum", "vacuum", ("vacuum",)),
    "source pressure": ("source vacuum", "pressure", ("gauge", "absolute")),
    "vessel pressure": ("vessel pressure", "pressure", ("gauge", "absolute")),
    "temperature of channel": ("channel", "temperature", ()),
    "pressure of channel": ("channel", "pressure", ("gauge", "absolute")),
    "vacuum of channel": ("channel", "vacuum", ("vacuum",)),
}
TAKES = {
    "coldest": "coldest",
    "hottest": "hottest",
    "mean of": "mean",
    "mean": "mean",
    "spread of": "spread",
    "each": "each",
    "lagging": "coldest",
    "leading": "hottest",
}
COMPUTED = {"degree of cure": "fraction", "glass transition": "temperature", "viscosity": "viscosity"}
TAKE_TEXT = {
    "coldest": "coldest ",
    "hottest": "hottest ",
    "mean": "mean of ",
    "spread": "spread of ",
    "each": "each ",
    "single": "",
}
STARTS = (*TAKES, *GROUP_WORDS, *COMPUTED, "raw", "it")
ALONE = ("coldest", "hottest", "lagging", "leading")  # without a group they mean the part's thermocouples
_SPEAKING = {
    "vacuum": UNITS["inHg of vacuum"],
    "temperature": UNITS["degC"],
    "temperature difference": UNITS["degC difference"],
}
_WHICH_ONE = "coldest {0}", "hottest {0}", "mean of {0}s", "for each: {0}"


def begins_signal(words: Words) -> bool:
    """Whether a signal comes next (rather than the name of a state)."""
    return any(words.sees(*start.split()) for start in STARTS)


def read_signal(words: Words, setting: Setting) -> Heard:
    """A signal, or the difference of two; ``it`` stands for the signal of the requirement."""
    if setting.it is not None and words.accept("it"):
        return setting.it
    first = _one_signal(words, setting)
    if not words.accept("minus"):
        return _settled_measure(first, setting)
    second = _one_signal(words, setting)
    return _difference(first, second, setting, words.scalar.place)


def heating_only(heard: Heard, setting: Setting, *, heating: bool) -> Signal:
    """The signal, where a trade word is only taken if the requirement is about heating: then lagging is coldest, leading hottest."""
    word = heard.trade_word
    if word is None:
        return heard.signal
    take = TAKES[word]
    if not heating:
        other = {"coldest": "hottest", "hottest": "coldest"}[take]
        found = f"'{word}' where this is not about heating: while cooling the slowest is the {other}, not the {take}"
        raise AmbiguousClause(found, choices=("coldest", "hottest"), where=heard.place)
    setting.notes.append(f"{heard.place}: '{word}' is read as {take}, because this is about heating.")
    return heard.signal


def read_whole_signal(words: Words, setting: Setting) -> Heard:
    """A signal that fills a field on its own, where nothing says whether parts heat or cool."""
    heard = read_signal(words, setting)
    heating_only(heard, setting, heating=False)
    return heard


def _one_signal(words: Words, setting: Setting) -> Heard:
    raw = words.accept("raw")
    computed = words.accept_one_of(COMPUTED)
    if computed is not None:
        words.expect("of")
    heard = _taken(words, setting)
    if computed is not None:
        heard = _computed(words, computed, heard, setting)
    return replace(heard, signal=replace(heard.signal, raw=True)) if raw else heard


def _taken(words: Words, setting: Setting) -> Heard:
    place, start = words.place, words.position
    word = words.accept_one_of(TAKES)
    words.accept("the")
    group_word = words.accept_one_of(GROUP_WORDS)
    if group_word is None and word in ALONE:
        if words.next is not None and words.next.text.startswith("thermocouple"):
            raise words.wrong(
                expected="which thermocouples are meant",
                remedy=f"write '{word} part thermocouple', '{word} air thermocouple' or '{word} tool thermocouple'",
            )
        group_word = "part thermocouple"
    if group_word is None:
        raise words.wrong(
            expected="a signal", remedy=did_you_mean(" ".join(t.text for t in words.tokens[start:][:2]), STARTS)
        )
    role, quantity, references = GROUP_WORDS[group_word]
    group = _narrowed(words, role)
    if word is None and words.accept("mean"):
        word = "mean"
    take = TAKES[word] if word else _take_of_bare(group, setting, place)
    _refuse_take(take, group, setting, place)
    measure = setting.measure(quantity, references)
    return Heard(Signal(group, take), measure, word if word in ("lagging", "leading") else None, place)


def _narrowed(words: Words, role: str) -> Group:
    if role == "channel":
        return Group(role, name=words.name("the channel's name"))
    place = words.name("a place") if words.accept("at") else None
    name = words.name("a name") if words.accept("named") else None
    return Group(role, name, place)


def _take_of_bare(group: Group, setting: Setting, place: Place) -> str:
    """``part thermocouple`` alone: the one judged, or the only one at a place; otherwise it does not say which."""
    if group.role == setting.thing:
        return "each"
    if group.role not in THERMOCOUPLES or group.place or group.name:
        return "single"
    choices = tuple(choice.format(group.role) for choice in _WHICH_ONE)
    raise AmbiguousClause(f"'{group.role}' does not say which one", choices=choices, where=place)


def _refuse_take(take: str, group: Group, setting: Setting, place: Place) -> None:
    if take == "each" and group.role != setting.thing:
        raise AmbiguousClause(
            f"'each {group.role}' where the requirement is not for each {group.role}",
            choices=(f"for each: {group.role}", f"coldest {group.role}", f"hottest {group.role}"),
            where=place,
        )
    if take not in ("each", "single") and group.role not in THERMOCOUPLES:
        raise FileError(
            f"'{take}' of a {group.role}",
            expected="'coldest', 'hottest', 'mean' or 'spread' of thermocouples",
            where=place,
        )


def _settled_measure(heard: Heard, setting: Setting) -> Heard:
    return replace(heard, measure=setting.difference("temperature")) if heard.signal.take == "spread" else heard


def _difference(first: Heard, second: Heard, setting: Setting, place: Place) -> Heard:
    if "vacuum" in (*first.measure.references, *second.measure.references):
        found = "a vacuum in a difference"
        raise FileError(
            found,
            expected="'bag pressure' or 'source pressure'",
            where=place,
            remedy="vacuum counts downwards; say pressure",
        )
    if first.measure.quantity != second.measure.quantity or first.measure.quantity not in ("temperature", "pressure"):
        found = f"a {first.measure.quantity} minus a {second.measure.quantity}"
        raise FileError(found, expected="two temperatures or two pressures", where=place)
    if "spread" in (first.signal.take, second.signal.take):
        raise FileError(
            "a spread in a difference", expected="'hottest … minus coldest …', or 'spread of …' alone", where=place
        )
    signal = replace(first.signal, minus=second.signal)
    word = first.trade_word or second.trade_word
    return Heard(
        signal, setting.difference(first.measure.quantity), word, first.place if first.trade_word else second.place
    )


def _computed(words: Words, quantity: str, heard: Heard, setting: Setting) -> Heard:
    if heard.measure.quantity != "temperature" or heard.signal.take == "spread":
        raise FileError(
            f"{quantity} of a {heard.signal.group.role}", expected=f"{quantity} of a temperature", where=heard.place
        )
    words.expect("by", "card")
    card = words.name("the card's name")
    words.expect("revision")
    revision = words.name("the card's revision")
    words.expect("from")
    place = words.place
    starts = words.name("the event from which it is computed")
    refuse_unknown_event(starts, setting, place)
    words.expect("starting", "at")
    initial = number(words)
    if not 0 <= initial < 1:
        raise FileError(
            f"'{initial}'", expected="a degree of cure at the start, 0 or more and below 1", where=heard.place
        )
    named = _named(words)
    computation = Computation(quantity, card, revision, starts, initial, named)
    measure = setting.measure(COMPUTED[quantity])
    return replace(heard, signal=replace(heard.signal, computed=computation), measure=measure)


def _named(words: Words) -> bool:
    if words.accept("not", "named", "by", "the", "specification"):
        return False
    if words.accept("named", "by", "the", "specification"):
        return True
    raise AmbiguousClause(
        "whether the controlling specification itself names the card and revision is not stated",
        choices=("named by the specification", "not named by the specification"),
        where=words.place,
    )


def refuse_unknown_event(name: str, setting: Setting, place: Place) -> None:
    """Raises :class:`FileError` for an event that the file does not define."""
    if name not in setting.events:
        raise FileError(
            f"there is no event '{name}'",
            expected="one under 'events:'",
            where=place,
            remedy=did_you_mean(name, setting.events),
        )


# -------------------------------------------------------------------------------------------------------------------- writing
def group_text(group: Group) -> str:
    """A group as :func:`read_group` reads it back."""
    if group.role == "channel":
        return f"channel {bare(group.name or '')}"
    return group.role + _narrowing(group)


def read_group(words: Words) -> Group:
    """Which sensors are counted or listened to: ``part thermocouple``, ``bag vacuum``, ``channel NAME``."""
    roles = {word: role for word, (role, _, _) in GROUP_WORDS.items() if role != "channel"} | {"channel": "channel"}
    return _narrowed(words, roles[words.one_of(roles, "a group of sensors")])


def _narrowing(group: Group) -> str:
    place = f" at {bare(group.place)}" if group.place is not None else ""
    return place + (f" named {bare(group.name)}" if group.name is not None else "")


def signal_text(signal: Signal, unit: Unit | None) -> str:
    """A signal as :func:`read_signal` reads it back; its limits' unit tells a bag's pressure from its vacuum."""
    text = _one_text(signal, unit)
    return f"{text} minus {_one_text(signal.minus, unit)}" if signal.minus else text


def heard_text(heard: Heard) -> str:
    """A signal as it was read, with the word for a bag's pressure or vacuum that was used."""
    kind = "vacuum" if "vacuum" in heard.measure.references else heard.measure.quantity
    return signal_text(heard.signal, _SPEAKING.get(kind))


def _one_text(signal: Signal, unit: Unit | None) -> str:
    text = (
        TAKE_TEXT[signal.take]
        + _group_word(signal, unit)
        + ("" if signal.group.role == "channel" else _narrowing(signal.group))
    )
    if signal.computed is not None:
        card = signal.computed
        text = (
            f"{card.quantity} of {text} by card {bare(card.card)} revision {bare(card.revision)} from {bare(card.starts)} "
            f"starting at {decimal_text(card.initial)} {'' if card.named_by_specification else 'not '}named by the specification"
        )
    return f"raw {text}" if signal.raw else text


def _group_word(signal: Signal, unit: Unit | None) -> str:
    group = signal.group
    vacuum = unit is not None and unit.reference == "vacuum"
    if group.role == "channel":
        temperature = signal.computed is not None or (unit is not None and unit.quantity.startswith("temperature"))
        kind = "temperature" if temperature else "vacuum" if vacuum else "pressure"
        return f"{kind} of channel {bare(group.name or '')}"
    if group.role in ("bag vacuum", "source vacuum") and not vacuum:
        return group.role.replace("vacuum", "pressure")
    return f"{group.role}s" if signal.take in ("mean", "spread") else group.role
