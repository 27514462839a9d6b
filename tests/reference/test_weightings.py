"""The A- and C-weighting against the printed table.

Source: IEC 61672-1:2013, table 3 (from memory): the weightings at the exact third octaves 1000 x 10^(n/10), to a tenth
of a decibel.
"""

import numpy as np
import pytest

from lumpedbox.response.hearing import THIRD_OCTAVES, a_weighting, c_weighting, exposure

PRINTED = {
    10: (-70.4, -14.3),
    12.5: (-63.4, -11.2),
    16: (-56.7, -8.5),
    20: (-50.5, -6.2),
    25: (-44.7, -4.4),
    31.5: (-39.4, -3.0),
    40: (-34.6, -2.0),
    50: (-30.2, -1.3),
    63: (-26.2, -0.8),
    80: (-22.5, -0.5),
    100: (-19.1, -0.3),
    125: (-16.1, -0.2),
    160: (-13.4, -0.1),
    200: (-10.9, 0.0),
    250: (-8.6, 0.0),
    315: (-6.6, 0.0),
    400: (-4.8, 0.0),
    500: (-3.2, 0.0),
    630: (-1.9, 0.0),
    800: (-0.8, 0.0),
    1000: (0.0, 0.0),
    1250: (0.6, 0.0),
    1600: (1.0, -0.1),
    2000: (1.2, -0.2),
    2500: (1.3, -0.3),
    3150: (1.2, -0.5),
    4000: (1.0, -0.8),
    5000: (0.5, -1.3),
    6300: (-0.1, -2.0),
    8000: (-1.1, -3.0),
    10000: (-2.5, -4.4),
    12500: (-4.3, -6.2),
    16000: (-6.6, -8.5),
    20000: (-9.3, -11.2),
}
EXACT = 1000 * 10 ** (np.arange(-20, 14) / 10)


@pytest.mark.parametrize(("weighting", "column"), [(a_weighting, 0), (c_weighting, 1)])
def test_every_third_octave_as_printed(weighting, column, agreement):
    """Half of the last digit, and a hundredth for where both round."""
    reached = np.max(abs(weighting(EXACT) - [row[column] for row in PRINTED.values()]))
    agreement("A and C weighting of third octaves", "IEC 61672-1, from memory", reached, 0.06, "dB")
    assert weighting(1000.0) == pytest.approx(0.0, abs=1e-3)


def test_a_programme_that_is_alike_in_every_third_octave():
    """Powers of the printed weightings from 40 Hz to 8 kHz, 24 of them; 85 dB(A) for eight hours, half for 3 dB more
    (NIOSH 98-126)."""
    rows = [PRINTED[f] for f in PRINTED if 40 <= f <= 8000]
    assert len(rows) == len(THIRD_OCTAVES)
    A, C = (10 * np.log10(np.mean(10 ** (np.array(column) / 10))) for column in zip(*rows, strict=True))
    found = exposure(100.0, crest=12.0)
    assert (found.a_weighted, found.c_peak) == pytest.approx((100 + A, 112 + C), abs=0.05)
    assert found.peak == 112.0
    assert found.minutes == pytest.approx(480 / 2 ** ((100 + A - 85) / 3), rel=0.02)
