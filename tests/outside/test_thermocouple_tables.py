"""What a wrong wire or a missing reference junction looks like, by a general ITS-90 library (``thermocouple_its90``).

Nothing of this is in the program (a recorder gives temperatures). The values guard the figures that its manual and demo speak of. The
coefficients of NIST Monograph 175 are the library's; the printed values are the well-known tables' (from memory).
"""

from __future__ import annotations

import pytest
from thermocouple_its90 import TypeJ, TypeK, TypeT

from curewright.physics.thermocouples import tolerance

EMF = [  # °C, K, J, T in mV
    (25, 1.000, 1.277, 0.992),
    (100, 4.096, 5.269, 4.279),
    (121, 4.961, 6.415, 5.277),
    (135, 5.532, 7.184, 5.959),
    (177, 7.220, 9.503, 8.081),
    (180, 7.340, 9.669, 8.237),
    (200, 8.138, 10.779, 9.288),
]


@pytest.mark.parametrize("celsius, k, j, t", EMF)
def test_table_values(celsius: float, k: float, j: float, t: float) -> None:
    found = [wire.emf(celsius) for wire in (TypeK, TypeJ, TypeT)]
    assert found == pytest.approx([k, j, t], abs=5.1e-4)


def test_T19_type_K_wire_on_a_channel_set_to_J_reads_40_K_low() -> None:
    """A K junction at 180 °C shows 137.8 °C with its reference at 0 °C, 142.9 °C with terminals at 25 °C and J compensation."""
    at_zero = TypeJ.temperature(TypeK.emf(180.0))
    at_25 = TypeJ.temperature(TypeK.emf(180.0) - TypeK.emf(25.0), reference=25.0)
    assert (at_zero, at_25) == (pytest.approx(137.8, abs=0.05), pytest.approx(142.9, abs=0.05))
    assert 180 - at_25 > 10 * tolerance("K", "standard", 453.15), "far outside what new wire may be off"


def test_a_tolerance_in_kelvin_is_many_steps_of_a_recorder() -> None:
    """Special-limit J at 177 °C: 1.1 K is 61 µV, and 0.1 K is 5.5 µV (slope of the table, 55.4 µV/K)."""
    slope = (TypeJ.emf(178.0) - TypeJ.emf(176.0)) / 2
    assert slope * 1000 == pytest.approx(55.4, abs=0.1)
    assert tolerance("J", "special", 450.15) * slope * 1000 == pytest.approx(61, abs=0.5)
