"""The bars of a difference are the shares that were computed, stacked on either side of the line."""

import numpy as np
import pytest

from lumpedbox import InfiniteBaffle, Loudspeaker, SealedBox, frequencies
from lumpedbox.design.causes import causes
from lumpedbox.figures.shares import BARS, shares
from lumpedbox.figures.style import new_figure
from lumpedbox.tables import demo_drivers


def test_bars_are_the_shares():
    drivers = demo_drivers()
    before = Loudspeaker(driver=drivers["200 mm panel"], box=InfiniteBaffle())
    after = Loudspeaker(driver=drivers["130 mm step well"], box=SealedBox(volume=0.02))
    found = causes(before, after, frequencies(15, 300), voltages=(2.83, 4.0))
    axes, artists = shares(new_figure(dpi=80).subplots(), found)
    rows = found.bands()
    assert list(artists) == ["cone", "suspension", "motor", "box", "electrical", "difference"]
    for name, bars in artists.items():
        if name != "difference":
            assert [bar.get_height() for bar in bars] == pytest.approx([row[2][name] for row in rows])
    ends = np.array([[(bar.get_y(), bar.get_y() + bar.get_height()) for bar in artists[n]] for n in list(artists)[:-1]])
    assert ends.max(axis=(0, 2)) + ends.min(axis=(0, 2)) == pytest.approx([row[1] for row in rows])
    assert artists["difference"].get_ydata() == pytest.approx([row[1] for row in rows])
    named = [label.get_text() for label in axes.get_xticklabels()]  # as IEC 61260 calls them (from memory)
    assert named == ["16", "20", "25", "31.5", "40", "50", "63", "80", "100", "125", "160", "200", "250"]
    assert len({hatch for _, hatch in BARS.values()}) == len(BARS)
