"""Peak, droop and crossing of levels, against closed forms of filters and straight lines."""

from pathlib import Path

import numpy as np
import pytest

from lumpedbox import Driver, Loudspeaker, SealedBox, frequencies, solve
from lumpedbox.response.crossing import falling_zero
from lumpedbox.response.shape import droop, over_passband, peak
from lumpedbox.units import cm2, litre
from tests.conftest import rows_of

TABLE = Path(__file__).parents[2] / "reference/data/closed_box.csv"
GRID = frequencies(10, 2000, per_octave=96)


def high_pass(corner):
    """Level of a first-order high-pass (textbook). [dB]"""
    return -10 * np.log10(1 + (corner / GRID) ** 2)


def test_peak_of_closed_boxes():
    """Source: tests/reference/data/closed_box.csv (Small 1972, derived numerically). A grid of 96 an octave misses the
    top, where x = f/fp is off by at most half a step, by less than 1e-3 dB."""
    rows = rows_of(TABLE)
    Qtc, highest = (np.array([float(row[name]) for row in rows]) for name in ("Qtc", "peak_dB"))
    driver = Driver.from_thiele_small(fs=20, Qes=0.3, Qms=1e3, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
    box = SealedBox(volume=driver.Vas / ((Qtc / driver.Qts) ** 2 - 1))
    assert box.Qtc(driver) == pytest.approx(Qtc, rel=1e-12)
    fc = box.resonance(driver)
    found = [
        peak(over_passband(solve(Loudspeaker(driver=driver, box=box.member(i)), fc[i] * GRID / 50)))
        for i in range(len(fc))
    ]
    assert found == pytest.approx(highest, abs=1e-3)


def test_a_level_that_never_rises_so_far_has_no_peak():
    assert peak(np.array([-3.0, -1.0, -0.2])) == 0.0
    assert peak(np.array([[-3.0, 1.5], [-2.0, -1.0]])).tolist() == [1.5, 0.0]


def test_a_first_order_high_pass_does_not_droop_and_a_dip_in_it_does():
    """By hand: a dip of 2 dB an octave above f3 is a droop of 2 dB; below f3 it is none; a steeper fall is none."""
    assert droop(high_pass(40.0), GRID, 40.0) == pytest.approx(0.0, abs=1e-12)
    dip = np.where(abs(np.log2(GRID / 80)) < 0.2, 2.0, 0.0)
    end = high_pass(40.0)[-1]  # the loudest beyond
    assert droop(high_pass(40.0) - dip, GRID, 40.0) == pytest.approx(2.0 + end, abs=1e-12)
    low = np.where(GRID < 38, 2.0, 0.0)
    assert droop(high_pass(40.0) - low, GRID, 40.0) == pytest.approx(0.0, abs=1e-12)
    second = -10 * np.log10(1 + (40.0 / GRID) ** 4)
    assert droop(second, GRID, 40.0) == pytest.approx(0.0, abs=1e-12)


def test_a_droop_counts_from_what_is_louder_beyond_and_not_from_a_peak():
    """By hand: a shelf 1 dB down up to the end has nothing louder beyond it; a peak of 3 dB beyond counts as 0 dB."""
    flat = np.full_like(GRID, -1.0)
    assert droop(flat, GRID, 1e-3) == pytest.approx(0.0, abs=1e-9)
    humped = np.where(GRID > 500, 3.0, flat)
    assert droop(humped, GRID, 1e-3) == pytest.approx(1.0, abs=1e-9)
    both = droop(np.array([flat, humped]), GRID, np.array([1e-3, 1e-3]))
    assert both == pytest.approx([0.0, 1.0], abs=1e-9)


def test_levels_and_frequencies_must_go_together():
    with pytest.raises(ValueError, match=r"^droop\.relative_level must have 3 values on its last axis"):
        droop(np.zeros(4), [20, 40, 80], 30.0)
    with pytest.raises(ValueError, match=r"^falling_zero\.difference must have 3 values"):
        falling_zero([20, 40, 80], [1.0, -1.0], 30.0)


def test_a_crossing_of_straight_lines():
    """Two levels that fall and rise by straight lines over octaves meet where the lines do; the nearest counts."""
    frequency = np.geomspace(20, 400, 40)
    octaves = np.log2(frequency / 71.0)
    assert falling_zero(frequency, -6 * octaves, 400.0) == pytest.approx(71.0)
    assert np.isnan(falling_zero(frequency, 6 * octaves, 71.0))
    assert np.isnan(falling_zero(frequency, np.full(40, 3.0), 71.0))
    twice = np.cos(2 * np.pi * octaves)  # falls through zero a quarter of an octave above 71 Hz, and at every octave
    assert falling_zero(frequency, twice, 75.0) == pytest.approx(71 * 2**0.25, rel=0.01)
    assert falling_zero(frequency, twice, 160.0) == pytest.approx(142 * 2**0.25, rel=0.01)
