"""What is printed of a fitted vessel, in the units of the specification; expected figures by hand."""

from rich.console import Console

from curewright.predict.fit_vessel import FittedVessel, Rate
from curewright.record.prediction_print import vessel_lines, vessel_table
from curewright.terms.cycle import Convection, VesselHeat
from curewright.terms.units import UNITS
from curewright.text.in_units import Shown

FOUND = FittedVessel(150.0, 3.0, Rate(0.05, 0.0001), Rate(0.02, None), 0.5, 4.0, 800, ("A: bridged",))
HEAT = VesselHeat("v", 400e3, 300e3, 4.5e6, 120.0, "air", Convection("straight", (20.0, 1e-4)), "P", "heat.yaml")
FAHRENHEIT = Shown(UNITS["degF"], UNITS["psi gauge"])


def printed(*what: object) -> str:
    screen = Console(width=200, highlight=False)
    with screen.capture() as caught:
        for one in what:
            screen.print(one)
    return " ".join(caught.get().split())


def test_rates_stand_beside_what_the_file_says() -> None:
    text = printed(vessel_table(FOUND, HEAT, FAHRENHEIT))
    assert "in heat.yaml" in text
    assert "control lag, s 150.0 ± 3 120" in text
    assert (
        "greatest heating, degF/min 5.40 ± 0.01 9.60 (400 kW)" in text
    )  # 0.05 K/s; 400 kW over 4500 kJ/K is 5.33 K/min
    assert "greatest cooling, degF/min at least 2.16 7.20 (300 kW)" in text


def test_without_a_file_and_without_a_rate_nothing_is_made_up() -> None:
    bare = FittedVessel(150.0, 3.0, None, None, 0.0, 0.2, 800, ())
    text = printed(vessel_table(bare, None, Shown()))
    assert "greatest heating, degC/min not told: the run has none" in text
    assert "kW" not in text
    assert "At least" not in printed(*vessel_lines(bare, Shown()))


def test_what_has_to_be_said_is_said() -> None:
    text = printed(*vessel_lines(FOUND, FAHRENHEIT))
    assert "7.2 degF (root mean square of 800 means" in text  # 4 K
    assert "describes this air badly" in text
    assert "At least: the air kept up" in text
    assert "- A: bridged" in text
    assert "badly" not in printed(*vessel_lines(FittedVessel(150, 3, None, None, 0, 0.2, 800, ()), Shown()))
