"""Expected samples against read ones, to the grain and the nanosecond.

A value's grain is reckoned here from its decimal text with exact fractions; the definitions of the units are those of
NIST SP 811 (degC, degF, psi, bar, inHg at 0 degC), written down again so that nothing comes from the program.
"""

from decimal import Decimal
from fractions import Fraction

from tests.torture.case import Case, Track
from tests.torture.reading import Reading

PSI = Fraction(45359237, 10**8) * Fraction(980665, 10**5) / Fraction(254, 10**4) ** 2
INHG = Fraction(135951, 10) * Fraction(980665, 10**5) * Fraction(254, 10**4)
PASCALS = {"bar": Fraction(10**5), "mbar": Fraction(100), "kPa": Fraction(1000), "psi": PSI, "inHg": INHG}


def grains(text: str, unit: str) -> int:
    """A decimal number in a unit as whole microkelvin or millipascal; a vacuum is kept as negative gauge pressure."""
    number = Fraction(Decimal(text))
    if unit == "degC":
        exact = (number + Fraction("273.15")) * 10**6
    elif unit == "degF":
        exact = (number + Fraction("459.67")) * Fraction(5, 9) * 10**6
    else:
        name, _, reference = unit.partition(" ")
        exact = number * PASCALS[name] * 1000 * (-1 if reference == "of vacuum" else 1)
    return round(exact)


def wanted(track: Track) -> dict[int, float | str | None]:
    """Instant to value, as a reading has it."""
    return {t: value if value is None or not track.unit else grains(value, track.unit) for t, value in track.samples}


def differs(case: Case, reading: Reading) -> list[str]:
    """Every sample that is not as it has to be."""
    found = []
    names = {name for name, _ in reading.samples}
    for name, track in case.tracks.items():
        want = wanted(track)
        have = {t: value for (channel, t), (value, _) in reading.samples.items() if channel == name}
        found += [
            f"{name} at {t}: {have.get(t, 'no sample')}, expected {v}"
            for t, v in want.items()
            if t not in have or have[t] != v
        ]
        found += [f"{name} at {t}: {v}, expected no sample" for t, v in have.items() if t not in want]
    return found + [f"a channel {name} that nobody expects" for name in sorted(names - case.tracks.keys())]
