"""The pressure that follows a step of the voltage."""

from __future__ import annotations

import math

import numpy as np

from ..circuit.solver import Solution, computed

MOST_OF_A_STEP = 1e6  # duration x bandwidth x members: some 500 MB


def step_response(response, duration, bandwidth):
    r"""Return time and the pressure that follows a step, band-limited by a raised cosine. [s], [Pa]

    It is the inverse Laplace integral along a line Re s > 0. So a step that never dies out (a cabin without leak) does
    not fold back:

    .. math:: p(t) = \frac{e^{\sigma t}}{2\pi} \int P(\sigma + j\omega)\,e^{j\omega t} / (\sigma + j\omega)\,d\omega
    """
    _check_size(duration, bandwidth, math.prod(response.shape))
    period = 8 * duration
    sigma = 12 / period
    frequency = np.arange(int(bandwidth * period) + 1) / period
    s = sigma + 2j * np.pi * frequency
    spectrum = computed(response.circuit, s, Solution.pressure) / s
    spectrum = spectrum * np.cos(np.pi / 2 * frequency / bandwidth) ** 2
    points = 8 * len(frequency)
    time = np.arange(points) * period / points
    pressure = np.fft.irfft(spectrum, points) * points / period * np.exp(sigma * time)
    followed = time <= duration
    return time[followed], pressure[..., followed]


def _check_size(duration, bandwidth, members):
    if duration * bandwidth * members > MOST_OF_A_STEP:
        raise ValueError(
            f"step_response.duration times bandwidth must be at most {MOST_OF_A_STEP:g} over all members, got "
            f"{duration:g} s times {bandwidth:g} Hz for {members}: reduce one of them"
        )
