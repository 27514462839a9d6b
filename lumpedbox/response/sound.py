"""Two responses as sound: one after the other in one file, equally loud, so that the ear hears the difference alone."""

from __future__ import annotations

import io
from typing import NamedTuple

import numpy as np

from ..arguments import FREQUENCY, Axis, Single, takes
from ..errors import Refused
from ..quantity import OneOf, Quantity, frozen

RATE = Quantity(unit="Hz", meaning="samples a second", low=8000.0, high=192000.0, slips=("kHz",))
SECONDS = Quantity(unit="s", meaning="duration of each half", low=0.5, high=60.0)
LEVEL_CURVE = Axis(Quantity(unit="dB", meaning="level of the response", low=-300.0, high=300.0))
SAMPLES = Axis(Quantity(unit="", meaning="sample of the programme, full scale 1", low=-1e6, high=1e6))
PHON = Quantity(unit="phon", meaning="loudness level", low=20.0, high=90.0)
PROGRAMMES = OneOf(("noise", "bass line"))
EQUAL = OneOf(("loudness", "volume setting"))

LOUDNESS_LEVEL = 60.0  # phon at which the two halves are made equally loud
TARGET = -26.0  # dB re full scale, weighted, r.m.s.
HIGHEST_PEAK = -3.0  # dB re full scale
FADE = 0.02  # s, at both ends of each half
DEEPEST = -120.0  # dB under the highest level: what lies lower is taken as that
OVERSAMPLED = 8  # times the length of a half, so that the phase has room for long ringing
# A bass line of our own: notes [Hz] and their lengths in quarters, two bars at 120 beats a minute.
NOTES = ((41.2, 1), (41.2, 0.5), (49.0, 0.5), (55.0, 1), (61.7, 0.5), (55.0, 0.5), (49.0, 1), (36.7, 1), (41.2, 2))
BEAT, PARTIALS, DECAY = 0.5, (1.0, 0.6, 0.35, 0.2, 0.12, 0.08), 0.35  # s; over the first; s

# ISO 226:2003, table 1: frequency [Hz], exponent, transfer at threshold over 1 kHz [dB], threshold [dB]. From memory.
CONTOURS = np.array(
    [
        (20, 0.532, -31.6, 78.5),
        (25, 0.506, -27.2, 68.7),
        (31.5, 0.480, -23.0, 59.5),
        (40, 0.455, -19.1, 51.1),
        (50, 0.432, -15.9, 44.0),
        (63, 0.409, -13.0, 37.5),
        (80, 0.387, -10.3, 31.5),
        (100, 0.367, -8.1, 26.5),
        (125, 0.349, -6.2, 22.1),
        (160, 0.330, -4.5, 17.9),
        (200, 0.315, -3.1, 14.4),
        (250, 0.301, -2.0, 11.4),
        (315, 0.288, -1.1, 8.6),
        (400, 0.276, -0.4, 6.2),
        (500, 0.267, 0.0, 4.4),
        (630, 0.259, 0.3, 3.0),
        (800, 0.253, 0.5, 2.2),
        (1000, 0.250, 0.0, 2.4),
        (1250, 0.246, -2.7, 3.5),
        (1600, 0.244, -4.1, 1.7),
        (2000, 0.243, -1.0, -1.3),
        (2500, 0.243, 1.7, -4.2),
        (3150, 0.243, 2.5, -6.0),
        (4000, 0.242, 1.2, -5.4),
        (5000, 0.242, -2.1, -1.5),
        (6300, 0.245, -7.1, 6.0),
        (8000, 0.254, -11.2, 12.6),
        (10000, 0.271, -10.7, 13.9),
        (12500, 0.301, -3.1, 12.3),
    ]
)


class Pair(NamedTuple):
    """Two responses as samples, one after the other.

    Attributes
    ----------
    samples : array, shape (n,)
        The first half, then the second; full scale is 1. [1]
    rate : float
        Samples a second. [Hz]
    gains : tuple of float
        What each half was turned up by, over the programme through its response; alike at one volume setting. [dB]
    """

    samples: np.ndarray
    rate: float
    gains: tuple

    def swapped(self):
        """Return the pair with the second response first."""
        first, second = np.split(self.samples, 2)
        return Pair(frozen(np.concatenate([second, first])), self.rate, self.gains[::-1])

    def as_wave(self):
        """Return the samples as a WAV file of 32-bit numbers, which changes none of them by more than 1e-7: bytes."""
        from scipy.io import wavfile

        file = io.BytesIO()
        wavfile.write(file, round(self.rate), self.samples.astype("<f4"))
        return file.getvalue()


@takes(frequency=FREQUENCY, loudness_level=Single(PHON))
def equal_loudness(frequency, loudness_level=LOUDNESS_LEVEL):
    r"""Level of a tone that sounds as loud as one at 1 kHz of as many decibels as phon. [dB re 20 uPa]

    .. math:: L_p = \frac{10}{\alpha_f} \lg A_f - L_U + 94, \quad
              A_f = 0.00447 (10^{0.025 L_N} - 1.15) + \left[0.4 \cdot 10^{(T_f + L_U)/10 - 9}\right]^{\alpha_f}

    Between the frequencies of the standard the level is interpolated over the logarithm of frequency; beyond them it
    stays. Valid 20 to 90 phon, 20 Hz to 4 kHz.

    Parameters
    ----------
    frequency : float or array
        [Hz]
    loudness_level : float
        [phon]

    References
    ----------
    ISO 226:2003 (from memory).
    """
    f, alpha, transfer, threshold = CONTOURS.T
    loudness = (
        4.47e-3 * (10 ** (0.025 * loudness_level) - 1.15) + (0.4 * 10 ** ((threshold + transfer) / 10 - 9)) ** alpha
    )
    level = 10 / alpha * np.log10(loudness) - transfer + 94
    return np.interp(np.log(frequency), np.log(f), level)


def weighted_level(spectrum, rate, count):
    r"""Level of a signal as the ear weighs it at 60 phon, re full scale. [dB]

    .. math:: 10 \lg \frac{2}{N^2} \sum_k |X_k|^2\, 10^{-(L_p(f_k) - L_p(1\,\mathrm{kHz})) / 10}

    Parameters
    ----------
    spectrum : array, complex
        Of its `count` samples, by `numpy.fft.rfft`.
    """
    weights = _weights(np.fft.rfftfreq(count, 1 / rate)[1:])
    return 10 * np.log10(2 / count**2 * np.sum(np.abs(spectrum[1:]) ** 2 * weights))


def weighted_bands(played, rate, frequency):
    r"""Power of a programme around each frequency, as the ear weighs it at 60 phon, shape (nf,). [1]

    .. math:: W_i = \sum_{k\,\text{nearest}\,i} |X_k|^2\, 10^{-(L_p(f_k) - L_p(1\,\mathrm{kHz})) / 10}

    Through a response of the level L it is heard at 10 lg of the sum of W times 10^(L/10), up to a constant.

    Parameters
    ----------
    played : array, shape (n,)
        Samples. [1]
    rate : float
        [Hz]
    frequency : array, shape (nf,)
        In rising order. [Hz]
    """
    at = np.fft.rfftfreq(len(played), 1 / rate)[1:]
    nearest = np.searchsorted(np.sqrt(frequency[1:] * frequency[:-1]), at)
    return np.bincount(nearest, np.abs(np.fft.rfft(played)[1:]) ** 2 * _weights(at), minlength=len(frequency))


def _weights(frequency):
    """Return how much of a power the ear counts at 60 phon, over that at 1 kHz. [1]"""
    return 10 ** (-(equal_loudness(frequency) - equal_loudness(1000.0)) / 10)


def minimum_phase(level, count):
    r"""Return the minimum-phase transfer of a level on the frequencies of `numpy.fft.rfft`, complex. [1]

    .. math:: \ln H = \mathcal{F}\{ w\, \mathcal{F}^{-1} \ln|H| \}

    with w of 1 at no delay, 2 at delays, 0 at advances: the logarithm of a minimum-phase transfer is causal.

    References
    ----------
    A. V. Oppenheim, R. W. Schafer, "Discrete-time signal processing" (1989), chapter 12 (from memory).
    """
    cepstrum = np.fft.irfft(level * np.log(10) / 20, count)
    fold = np.zeros(count)
    fold[0] = fold[count // 2] = 1.0
    fold[1 : count // 2] = 2.0
    return np.exp(np.fft.rfft(cepstrum * fold))


def _transfer(frequency, level, rate, count):
    """Return the minimum-phase transfer of a curve, relative to its highest level, for `count` samples."""
    finest = OVERSAMPLED * count
    grid = np.maximum(np.fft.rfftfreq(finest, 1 / rate), 1e-3)
    relative = np.maximum(level - np.max(level), DEEPEST)
    low = grid < frequency[0]
    slope = _slope(frequency, relative)
    curve = np.interp(np.log(grid), np.log(frequency), relative)
    curve = np.where(low, np.maximum(relative[0] + slope * np.log2(grid / frequency[0]), DEEPEST), curve)
    return minimum_phase(curve, finest)[::OVERSAMPLED]


def _slope(frequency, level):
    """Slope of the lowest half octave, to go on with below it; never falling towards higher frequencies. [dB/octave]"""
    near = frequency <= np.sqrt(2) * frequency[0]
    if near.sum() < 2:
        return 0.0
    return max(float(np.polyfit(np.log2(frequency[near]), level[near], 1)[0]), 0.0)


def programme(name, rate, count):
    """Return a programme of ours: "noise" with equal power in every octave from 20 Hz on, or "bass line". [1]"""
    if name == "bass line":
        return _bass_line(rate, count)
    draw = np.random.default_rng(1)
    f = np.fft.rfftfreq(count, 1 / rate)
    phases = np.exp(2j * np.pi * draw.random(len(f)))
    size = np.where(f < 20, 0.0, 1 / np.sqrt(np.maximum(f, 20)))
    noise = np.fft.irfft(size * phases, count)
    return noise / np.std(noise)


def _bass_line(rate, count):
    """Return plucked notes with their first partials, each decaying."""
    line, start, at = np.zeros(count), 0, 0
    while start < count:
        note, quarters = NOTES[at % len(NOTES)]
        end = min(start + int(quarters * BEAT * rate), count)
        time = np.arange(end - start) / rate
        tones = (a * np.sin(2 * np.pi * k * note * time) for k, a in enumerate(PARTIALS, start=1))
        ends = np.minimum(1, np.minimum(time, time[-1] - time) / 0.005) if end - start > 1 else 0.0
        line[start:end] = sum(tones) * np.exp(-time / DECAY) * ends
        start, at = end, at + 1
    return line / np.std(line)


class ProgrammeOrSamples:
    """The name of a programme of ours, or samples of one's own."""

    def accept(self, owner, name, value):
        return PROGRAMMES.accept(owner, name, value) if isinstance(value, str) else SAMPLES.accept(owner, name, value)


@takes(
    frequency=Axis(FREQUENCY, rising=True),
    first=LEVEL_CURVE,
    second=LEVEL_CURVE,
    music=ProgrammeOrSamples(),
    equal=EQUAL,
    rate=Single(RATE),
    seconds=Single(SECONDS),
)
def one_after_the_other(frequency, first, second, music="noise", equal="loudness", rate=48000.0, seconds=4.0):
    r"""Return two responses as samples, one after the other, to hear the difference.

    Parameters
    ----------
    frequency : array, shape (nf,)
        In rising order. [Hz]
    first, second : array, shape (nf,)
        Levels of the two responses, such as `Response.level`. [dB]
    music : {"noise", "bass line"} or array
        What is played: a programme of ours, or samples of one's own, repeated as long as needed.
    equal : {"loudness", "volume setting"}
        Whether both halves are made equally loud, or keep the difference of their levels.
    rate : float
        Samples a second. [Hz]
    seconds : float
        Duration of each half. [s]

    Returns
    -------
    Pair

    Raises
    ------
    ValueError, TypeError
        If a curve has not one level for each frequency, or an argument is out of range; the message names it.

    Notes
    -----
    Minimum phase is assumed, and below the lowest frequency the slope there goes on. Each half is filtered as a loop,
    so that it has no beginning of its own. Equal loudness is the same r.m.s., weighted by the contour of ISO 226 at
    60 phon. It is -26 dB re full scale, lower if a peak would rise over -3 dB. Each half fades in and out within 20 ms.
    Laptop loudspeakers carry no bass: use headphones, and start low.

    Examples
    --------
    >>> import numpy as np
    >>> f = np.geomspace(20, 20000, 200)
    >>> thin = -10 * np.log10(1 + (80 / f) ** 4)
    >>> pair = one_after_the_other(f, np.zeros(200), thin, music="bass line", rate=8000, seconds=1.0)
    >>> print(len(pair.samples), pair.gains[1] > pair.gains[0])
    16000 True
    """
    for name, curve in (("first", first), ("second", second)):
        if len(curve) != len(frequency):
            counts = f"{len(curve)} for {len(frequency)}"
            raise Refused("one_after_the_other", name, f"must have one level for each frequency, got {counts}")
    count = int(rate * seconds) // 2 * 2
    played = programme(music, rate, count) if isinstance(music, str) else np.resize(music, count)
    if np.ptp(played) == 0:
        raise Refused("one_after_the_other", "music", "is silent")
    source = np.fft.rfft(played - played.mean())
    spectra = [source * _transfer(frequency, level, rate, count) for level in (first, second)]
    highest = np.array([np.max(first), np.max(second)])
    loud = np.array([weighted_level(spectrum, rate, count) for spectrum in spectra])
    gains = TARGET - loud if equal == "loudness" else TARGET - np.max(loud + highest) + highest
    halves = [10 ** (gain / 20) * np.fft.irfft(spectrum, count) for gain, spectrum in zip(gains, spectra, strict=True)]
    over = max(0.0, 20 * np.log10(max(np.abs(half).max() for half in halves)) - HIGHEST_PEAK)
    fade = _fade(rate, count)
    samples = np.concatenate([half * fade for half in halves]) * 10 ** (-over / 20)
    return Pair(frozen(samples), rate, tuple((gains - over - highest).tolist()))


def _fade(rate, count):
    """Return 1 with a raised cosine at both ends."""
    time = np.arange(count) / rate
    return 0.5 - 0.5 * np.cos(np.pi * np.clip(np.minimum(time, time[::-1]) / FADE, 0, 1))
