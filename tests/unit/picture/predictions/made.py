"""Small things of our own making for the plots of predictions: surroundings, sheets and courses whose positions are known beforehand."""

from datetime import UTC, datetime

import numpy as np

from curewright.picture.predictions.sheet import Shows
from curewright.predict.resin import ResinCourse
from curewright.predict.surroundings import Surroundings
from curewright.terms.course import course
from curewright.terms.units import UNITS
from curewright.text.in_units import Shown

HOUR = 3600.0
START = datetime(2026, 3, 4, 5, 40, tzinfo=UTC)
FAHRENHEIT = Shown(UNITS["degF"], UNITS["psi gauge"])
LEFT, WIDE = 460.0, 5600.0  # tenths of a point: 728 - 46 - 122 = 560 points of time scale from 46


def seen(hours: float = 2.0, **changes) -> Surroundings:
    given = {
        "kind": "planned",
        "air": course([(0, 300), (hours * HOUR, 450)]),
        "pressure": course([(0, 1e5), (hours * HOUR / 2, 7e5), (hours * HOUR, 7e5)]),
        "bags": {"B1": course([(0, 1e5)])},
        "site": 1e5,
        "segments": ((0.0, "up"), (hours * HOUR / 2, "soak")),
    }
    return Surroundings(**{**given, **changes})


def shows(title: str = "PREDICTED, not recorded: run 1", hours: float = 2.0, clock: bool = True, **changes) -> Shows:
    return Shows(title, seen(hours, **changes), START, clock)


def x_of(t: float, hours: float = 2.0) -> float:
    """Where an instant [s] stands [tenths of a point]."""
    return LEFT + WIDE * t / (hours * HOUR)


def resin(**changes) -> ResinCourse:
    """Two hours at 400 K; cure and glass transitions rise straight; gels at the middle of it (0.5)."""
    t = np.linspace(0.0, 2 * HOUR, 241)
    share = t / t[-1]
    given = {
        "place": "p",
        "card": "c",
        "t": t,
        "temperature": np.full(t.size, 400.0),
        "cure": share,
        "glass_low": 300.0 + 160.0 * share,  # crosses 400 K at 5/8
        "glass_high": 300.0 + 200.0 * share,  # at 1/2
        "viscosity": np.where(share < 0.5, 10.0 ** (1.0 + 4.0 * share), np.nan),
        "void_margin": np.where(share < 0.5, 4e5 - 2e5 * share, np.nan),
        "pressed": 6e5 - 1e5 * share,
        "gel": 0.5,
        "full": 600.0,
        "outside": np.zeros(t.size),
    }
    return ResinCourse(**{**given, **changes})
