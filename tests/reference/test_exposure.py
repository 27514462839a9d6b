"""Exposure and masking by noise.

Sources: NIOSH Publication 98-126 (1998): 85 dB(A) for 8 hours, exchange rate 3 dB; Directive 2003/10/EC, article 3;
IEC 61672-1, annex E for the weightings (from memory).
"""

import numpy as np
import pytest

from lumpedbox.response.hearing import exposure, lowest_heard
from lumpedbox.tables import demo_noise

AT_1_KHZ = [(1000.0, 0.0)]


@pytest.mark.parametrize(("level", "minutes"), [(85, 480), (88, 240), (91, 120), (94, 60), (97, 30), (100, 15)])
def test_minutes_of_niosh(level, minutes, agreement):
    found = exposure(level, crest=12, spectrum=AT_1_KHZ).minutes
    agreement("minutes a day at a level", "NIOSH 98-126, from memory", abs(found / minutes - 1), 1e-3)


def test_weightings_of_a_programme():
    """Two third octaves, alike: 40 Hz has -34.54 dB of A, 1 kHz none (IEC 61672-1); powers add."""
    found = exposure(100.0, crest=15, spectrum=[(40.0, 0.0), (1000.0, 0.0)])
    assert found.a_weighted == pytest.approx(100 + 10 * np.log10((10**-3.454 + 1) / 2), abs=0.005)
    assert found.peak == 115.0
    assert found.c_peak == pytest.approx(115 + 10 * np.log10((10**-0.2 + 1) / 2), abs=0.02)  # C at 40 Hz: -2.0 dB


def test_a_loud_low_programme_is_called_loud_whatever_its_weighting():
    """120 dB at 40 Hz are 85.5 dB(A): eight hours by the letter, and still too loud."""
    found = exposure(120.0, crest=3.01, spectrum=[(40.0, 0.0)])
    assert found.a_weighted == pytest.approx(85.46, abs=0.01)
    assert found.loud
    assert "too loud at any frequency" in str(found)
    assert not exposure(94.0, crest=12).loud
    assert exposure(112.0, crest=25).loud, "its peaks pass 135 dB(C)"
    assert "Hearing does not grow back" in str(exposure(80.0, crest=12))
    assert "hours a day" in str(exposure(80.0, crest=12))


def test_the_printed_time_goes_with_the_printed_level():
    """Both are rounded to the careful side: 97.8 and 97.2 dB(A) are printed as 98, which NIOSH 98-126 (table 1-1, from
    memory) gives 23 minutes and 49 seconds."""
    for level in (97.2, 97.8, 98.0):
        assert str(exposure(level, crest=12, spectrum=AT_1_KHZ)).startswith("98 dB(A), with peaks of")
        assert "at most 23 minutes a day" in str(exposure(level, crest=12, spectrum=AT_1_KHZ))
    assert "85 dB(A)" in str(exposure(85.0, crest=12, spectrum=AT_1_KHZ))
    assert "at most 8 hours a day" in str(exposure(85.0, crest=12, spectrum=AT_1_KHZ))


def test_the_lowest_tone_above_the_noise():
    """A level that rises 12 dB an octave crosses a flat noise where the straight line does."""
    frequency = np.geomspace(10, 100, 60)
    level = 80 + 12 * np.log2(frequency / 31.5)
    assert lowest_heard(frequency, level, [(10.0, 80.0), (200.0, 80.0)]) == pytest.approx(31.5, rel=1e-6)
    assert lowest_heard(frequency, level, [(10.0, 50.0), (200.0, 50.0)]) == 10.0
    assert np.isnan(lowest_heard(frequency, level, [(10.0, 150.0), (200.0, 150.0)]))
    standing, driving = (lowest_heard(frequency, level, table.points) for table in demo_noise().values())
    assert standing < driving
