"""Two responses as sound: the right spectrum and phase, equally loud, no peak too high, no click."""

import numpy as np
import pytest
from scipy import signal

from lumpedbox import Loudspeaker, SealedBox, frequencies, solve
from lumpedbox.response.sound import (
    FADE,
    OVERSAMPLED,
    equal_loudness,
    minimum_phase,
    one_after_the_other,
    programme,
    weighted_bands,
    weighted_level,
)
from lumpedbox.tables import demo_drivers

RATE, SECONDS = 12000, 4.0  # low, to save time; one test hears the usual 48 kHz
COUNT = int(RATE * SECONDS)
F = frequencies(10, 20000, 24)
BOX = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=SealedBox(volume=0.02))
BASSY, THIN = np.zeros(len(F)), 10 * np.log10(F**4 / (F**4 + 80.0**4))

# Source: ISO 226:2003, table 1 and formula (1), from memory: level of 60 and 80 phon to two decimals, derived apart
# from lumpedbox. At 1 kHz it is 0.01 off its own phon, since the standard rounds its constants.
CONTOUR = {20: (109.51, 118.99), 40: (94.18, 105.34), 100: (78.65, 92.48), 200: (69.86, 85.92), 1000: (60.01, 80.01)}


def halves(pair):
    return pair.samples[:COUNT], pair.samples[COUNT:]


@pytest.mark.parametrize("frequency", CONTOUR)
def test_contours_of_equal_loudness(frequency):
    found = [equal_loudness(frequency, phon) for phon in (60.0, 80.0)]
    assert found == pytest.approx(CONTOUR[frequency], abs=0.006)


COUNT_OF_A_TRANSFER = OVERSAMPLED * COUNT


def test_phase_is_that_of_a_filter_of_minimum_phase():
    """scipy.signal: a Butterworth high-pass of order 2, made digital by the bilinear transform, is of minimum phase."""
    b, a = signal.butter(2, 60.0, "high", fs=RATE)
    frequency, exact = signal.freqz(b, a, worN=np.fft.rfftfreq(COUNT_OF_A_TRANSFER, 1 / RATE), fs=RATE)
    level = 20 * np.log10(np.maximum(np.abs(exact), 1e-6))
    found = minimum_phase(level, COUNT_OF_A_TRANSFER)
    inside = (frequency > 20) & (frequency < 5000)
    assert np.abs(found[inside] / exact[inside] - 1).max() < 0.006  # 0.05 dB


@pytest.mark.parametrize("response", ["closed box", "thin"])
def test_the_spectrum_is_the_response_within_a_twentieth_of_a_decibel(response):
    """Of noise, against the unfiltered noise under the same fades: averages over third octaves."""
    level = solve(BOX, F).level if response == "closed box" else THIN
    level = level - level.max()
    pair = one_after_the_other(F, level, BASSY, rate=RATE, seconds=SECONDS)
    first, flat = (np.abs(np.fft.rfft(half)) ** 2 for half in halves(pair))
    at = np.fft.rfftfreq(COUNT, 1 / RATE)
    for centre in (31.5, 63, 125, 500, 4000):
        band = (at > centre * 2 ** (-1 / 6)) & (at < centre * 2 ** (1 / 6))
        expected = np.sum(flat[band] * 10 ** (np.interp(np.log(at[band]), np.log(F), level) / 10)) / np.sum(flat[band])
        gain = pair.gains[0] - pair.gains[1]
        assert 10 * np.log10(first[band].sum() / flat[band].sum()) - gain == pytest.approx(
            10 * np.log10(expected), abs=0.05
        )


@pytest.mark.parametrize("music", ["noise", "bass line"])
def test_both_halves_are_equally_loud(music):
    pair = one_after_the_other(F, BASSY, THIN, music, rate=RATE)
    loud = [weighted_level(np.fft.rfft(half), RATE, COUNT) for half in halves(pair)]
    assert loud[0] == pytest.approx(loud[1], abs=0.2)
    assert loud[0] < -25.5


def test_loudness_is_weighted_by_the_contour_of_60_phon():
    """By hand: 40 Hz, 30 dB above 1 kHz, weighs 94.18 - 60.01 dB less. Without it, 10 lg(1 + 10^-0.417) dB are gone."""
    time = np.arange(RATE) / RATE
    tones = 10**1.5 * np.sin(2 * np.pi * 40 * time) + np.sin(2 * np.pi * 1000 * time)
    without = np.where(F < 300, -100.0, 0.0)
    pair = one_after_the_other(F, BASSY, without, tones, rate=RATE)
    assert pair.gains[1] - pair.gains[0] == pytest.approx(10 * np.log10(1 + 10**-0.417), abs=0.02)


def test_at_one_volume_setting_the_difference_of_levels_stays():
    pair = one_after_the_other(F, BASSY, BASSY - 10.0, equal="volume setting", rate=RATE)
    first, second = halves(pair)
    assert 20 * np.log10(np.std(second) / np.std(first)) == pytest.approx(-10.0, abs=0.01)
    assert pair.gains[0] == pytest.approx(pair.gains[1])


def test_no_peak_is_above_three_decibels_under_full_scale():
    spiky = np.zeros(RATE)
    spiky[100] = 1.0
    for music in ("noise", "bass line", spiky):
        assert np.abs(one_after_the_other(F, BASSY, THIN, music, rate=RATE).samples).max() <= 10 ** (-3 / 20) + 1e-12


def test_as_it_is_usually_played():
    pair = one_after_the_other(F, BASSY, THIN)
    assert (len(pair.samples), pair.rate) == (2 * 4 * 48000, 48000)
    assert np.abs(pair.samples).max() <= 10 ** (-3 / 20) + 1e-12


def test_there_is_no_click_at_the_joints():
    """Each half begins and ends at zero, and rises no faster than its fade lets it."""
    pair = one_after_the_other(F, BASSY, THIN, "bass line", rate=RATE)
    edge = int(FADE * RATE / 10)
    loud = np.abs(pair.samples).max()
    for joint in (0, COUNT, 2 * COUNT):
        near = pair.samples[max(joint - edge, 0) : joint + edge]
        assert np.abs(near).max() < 0.03 * loud
    assert pair.samples[[0, COUNT - 1, COUNT, -1]] == pytest.approx(0.0, abs=1e-12)


def test_a_programme_has_no_constant_part_and_music_of_ones_own_is_repeated():
    assert abs(np.mean(programme("noise", RATE, COUNT))) < 1e-9
    tone = np.sin(2 * np.pi * 100 * np.arange(RATE) / RATE)
    pair = one_after_the_other(F, BASSY, BASSY, tone, rate=RATE)
    middle = halves(pair)[0][RATE : 3 * RATE]
    assert np.argmax(np.abs(np.fft.rfft(middle))) == 200
    assert len(pair.samples) == 2 * COUNT


def test_slips_are_named():
    with pytest.raises(ValueError, match=r"one_after_the_other\.second must have one level for each frequency"):
        one_after_the_other(F, BASSY, BASSY[:-1])
    with pytest.raises(ValueError, match=r"one_after_the_other\.music is silent"):
        one_after_the_other(F, BASSY, THIN, np.zeros(100))
    with pytest.raises(ValueError, match=r"music must be one of noise, bass line"):
        one_after_the_other(F, BASSY, THIN, "song")
    with pytest.raises(ValueError, match=r"rate must be .*did you mean 48 \* kHz"):
        one_after_the_other(F, BASSY, THIN, rate=48)


def test_what_a_band_holds_adds_up_to_the_weighted_level():
    """Through a flat response the bands' sum is the weighted power; through a curve, the filtered noise's, in dB."""
    played = programme("noise", RATE, COUNT)
    bands = weighted_bands(played, RATE, F)
    both = [10 * np.log10(np.sum(bands * 10 ** (level / 10))) for level in (BASSY, THIN)]
    pair = one_after_the_other(F, BASSY, THIN, rate=RATE)
    assert both[0] - both[1] == pytest.approx(pair.gains[1] - pair.gains[0], abs=0.05)
    assert 10 * np.log10(2 / COUNT**2) + both[0] == pytest.approx(
        weighted_level(np.fft.rfft(played), RATE, COUNT), abs=1e-9
    )


def test_a_pair_swapped_has_the_second_first():
    pair = one_after_the_other(F, BASSY, THIN, rate=RATE)
    first, second = halves(pair)
    swapped = pair.swapped()
    assert np.array_equal(swapped.samples, [*second, *first])
    assert swapped.gains == pair.gains[::-1]


def test_the_file_holds_the_samples():
    """Read by the standard's own layout: RIFF, format 3 (32-bit IEEE), one channel (from memory)."""
    pair = one_after_the_other(F, BASSY, THIN, rate=RATE, seconds=0.5)
    file = pair.as_wave()
    at = file.index(b"fmt ") + 8
    kind, channels, rate = np.frombuffer(
        file[at : at + 8], dtype=[("kind", "<u2"), ("channels", "<u2"), ("rate", "<u4")]
    )[0]
    assert (file[:4], file[8:12], kind, channels, rate) == (b"RIFF", b"WAVE", 3, 1, RATE)
    data = file[file.index(b"data") + 8 :]
    assert np.array_equal(np.frombuffer(data, "<f4"), pair.samples.astype("<f4"))
