"""An export read in small pieces, side by side, gives the same as in one: no cell is lost where one piece ends."""

from concurrent.futures import ThreadPoolExecutor

import pytest

from curewright.read import lines
from curewright.read.recorder import read_export
from tests.torture.case import refused
from tests.torture.exports import CASES
from tests.torture.proposed import layout_of
from tests.torture.reading import read

READ = [name for name in CASES if name not in refused()]


@pytest.mark.parametrize("name", READ)
def test_pieces_side_by_side_give_the_same_as_one(name, monkeypatch):
    case = CASES[name]()
    file, content = case.files[0]
    layout = layout_of(case)
    whole = read(content, file, layout)
    monkeypatch.setattr(lines, "PIECE", 50)
    with ThreadPoolExecutor(3) as pool:
        export = read_export(content, file, layout, pool.map)
        channels, notes = export.channels(0)
    assert (notes, export.counted()) == whole.account
    samples = {
        (name, t): None if bad else channel.states[int(raw)] if channel.states else raw
        for name, channel in channels.items()
        for t, raw, bad in zip(channel.t.tolist(), channel.raw.tolist(), channel.bad.tolist(), strict=True)
    }
    assert samples == {key: value for key, (value, _) in whole.samples.items()}
