"""Two loudspeakers on one channel by Kirchhoff's laws in complex numbers: nothing of the library but its drivers."""

import numpy as np

from lumpedbox import Air

AIR = Air()


def impedance(driver, s):
    """Coil and moving parts of a driver in a large panel (Small 1972, from memory)."""
    moving = s * driver.Mms + driver.Rms + 1 / (s * driver.Cms)
    return driver.Re + s * driver.Le + driver.Bl**2 / moving


def level(driver, frequency, volts):
    """Level in a large panel, half space, 1 m: Small's closed form, and above c / (2 pi a) the printed sensitivity.

    A raised cosine over the octave around joins the two: ours.
    """
    s = 2j * np.pi * frequency
    coil = driver.Re + s * driver.Le
    velocity = driver.Bl / coil / (s * driver.Mms + driver.Rms + 1 / (s * driver.Cms) + driver.Bl**2 / coil)
    pressure = s * AIR.density * driver.Sd * velocity / (2 * np.pi)
    limit = AIR.sound_speed / (2 * np.pi * np.sqrt(driver.Sd / np.pi))
    share = (1 - np.cos(np.pi * np.clip(np.log2(frequency / limit) + 0.5, 0, 1))) / 2
    lift = driver.sensitivity - 20 * np.log10(2.83) - 20 * np.log10(abs(pressure) / 20e-6)
    return pressure * volts * 10 ** (share * lift / 20)


def beside(*impedances):
    return 1 / sum(1 / one for one in impedances)


class TwoOnAChannel:
    """A woofer and another, at one volt: volts across each driver, and the load.

    The other stands behind its capacitor [F]. `behind` [ohm] is across the driver alone, `resistor` [ohm] across
    driver and capacitor, `pad` the two resistors [ohm] of a pad ahead of both.
    """

    def __init__(self, woofer, other, wiring, frequency, capacitor=None, resistor=None, behind=None, pad=None):
        self.drivers, self.frequency = (woofer, other), np.asarray(frequency, dtype=float)
        s = 2j * np.pi * self.frequency
        first, driver = impedance(woofer, s), impedance(other, s)
        inner = driver if behind is None else beside(driver, behind)
        branch = inner if capacitor is None else inner + 1 / (s * capacitor)
        after = 1.0
        whole = branch if resistor is None else beside(branch, resistor)
        if pad is not None:
            loaded = beside(branch, pad[1])
            whole, after = pad[0] + loaded, loaded / (pad[0] + loaded)
        self.load = first + whole if wiring == "series" else beside(first, whole)
        self.at_woofer = first / self.load if wiring == "series" else np.ones_like(first)
        self.at_branch = whole / self.load if wiring == "series" else np.ones_like(first)
        self.at_other = self.at_branch * after * inner / branch
        self.watts = {}
        if resistor is not None:
            self.watts["across"] = np.max(abs(self.at_branch) ** 2) / resistor
        if behind is not None:
            self.watts["across"] = np.max(abs(self.at_other) ** 2) / behind
        if pad is not None:
            self.watts["in series"] = np.max(abs(self.at_branch * (1 - after)) ** 2) / pad[0]
            self.watts["across"] = np.max(abs(self.at_branch * after) ** 2) / pad[1]

    @property
    def pressures(self):
        """Of woofer and other. [Pa]"""
        volts = (self.at_woofer, self.at_other)
        return [level(driver, self.frequency, one) for driver, one in zip(self.drivers, volts, strict=True)]


def mean_level(pressure):
    return 10 * np.log10(np.mean(abs(pressure) ** 2) / 20e-6**2)


OCTAVE = 2.0 ** np.linspace(0, 1, 25)


def off(**circuit):
    """How much louder the other is from 4243 to 8485 Hz than the woofer from 1061 to 2121 Hz. [dB]"""
    high = TwoOnAChannel(frequency=3000 * np.sqrt(2) * OCTAVE, **circuit).pressures[1]
    low = TwoOnAChannel(frequency=3000 / np.sqrt(8) * OCTAVE, **circuit).pressures[0]
    return mean_level(high) - mean_level(low)


def tilt(**circuit):
    """Treble, 800 to 8000 Hz, against bass, 100 to 315 Hz, of both. [dB]"""
    return mean_level(sum(TwoOnAChannel(frequency=np.geomspace(800, 8000, 600), **circuit).pressures)) - mean_level(
        sum(TwoOnAChannel(frequency=np.geomspace(100, 315, 300), **circuit).pressures)
    )


def lost(frequency, **circuit):
    """What the woofer loses against itself alone. [dB]"""
    return -20 * np.log10(abs(TwoOnAChannel(frequency=frequency, **circuit).at_woofer))


def least(**circuit):
    """Lowest load from 20 Hz to 20 kHz. [ohm]"""
    return np.min(abs(TwoOnAChannel(frequency=np.geomspace(20, 20000, 4000), **circuit).load))


def watts(volts, **circuit):
    """Most that each resistor takes of a sine, from 20 Hz to 20 kHz. [W]"""
    most = TwoOnAChannel(frequency=np.geomspace(20, 20000, 4000), **circuit).watts
    return {place: volts**2 * one for place, one in most.items()}
