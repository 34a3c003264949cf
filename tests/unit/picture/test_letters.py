"""Widths of words against the font itself, DejaVu Sans as matplotlib ships it."""

from pathlib import Path

import matplotlib
import pytest
from matplotlib.ft2font import FT2Font, LoadFlags

from curewright.picture.letters import fitted, width

FONTS = Path(matplotlib.__file__).parent / "mpl-data" / "fonts" / "ttf"


@pytest.mark.parametrize("bold, file", [(False, "DejaVuSans.ttf"), (True, "DejaVuSans-Bold.ttf")])
def test_every_letter_is_as_wide_as_in_the_font(bold: bool, file: str) -> None:
    font = FT2Font(str(FONTS / file))
    for code in (*range(32, 127), *range(160, 256)):
        wanted = font.load_char(code, flags=LoadFlags.NO_SCALE).horiAdvance / 2048
        assert width(chr(code), 1.0, bold=bold) == pytest.approx(wanted), chr(code)


def test_other_letters_get_room_enough() -> None:
    font = FT2Font(str(FONTS / "DejaVuSans.ttf"))
    for letter in "✗✓≤≥−–…Δ→×∇":
        assert width(letter, 1.0) >= font.load_char(ord(letter), flags=LoadFlags.NO_SCALE).horiAdvance / 2048


def test_words_are_shortened_to_their_room() -> None:
    assert fitted("TC03, surveyed leading", 9.0, 500.0) == "TC03, surveyed leading"
    short = fitted("TC03, surveyed leading", 9.0, 60.0)
    assert short.endswith("…")
    assert width(short, 9.0) <= 60.0
