"""Beside every band stands what is not in it."""

from rich.console import Console

from curewright.predict.band import Band
from curewright.record.prediction_print import band_tables
from curewright.record.state_words import band_words
from curewright.text.in_units import ShownByPart, shown_in


def test_a_band_says_that_the_choice_of_card_is_not_in_it() -> None:
    console = Console(width=400)
    with console.capture() as captured:
        for line in band_tables(Band(20, {}, {}, {}, {}, (), 0), ShownByPart({}, shown_in({}))):
            console.print(line)
    for words in (captured.get(), band_words((), ())):
        assert (
            "the choice of the material card is not in it: another published card of the same resin can differ by more"
            in words
        )
