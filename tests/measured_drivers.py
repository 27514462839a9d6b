"""Drivers drawn at random and impedances "measured" of them, for the tests of `lumpedbox.measure`; all invented."""

import dataclasses

import numpy as np

from lumpedbox import Air, Driver, InfiniteBaffle, Loudspeaker, SealedBox
from lumpedbox.circuit.build import circuit
from lumpedbox.circuit.solver import Solution, computed

AIR = Air()
CURVES = ("free_air", "added_mass", "known_box")
METER = np.geomspace(20, 400, 25)  # a multimeter and tones from a phone


def driver_of(draw, exponent=None):
    """Return a driver with a lossy coil, its numbers unknown to whoever measures it."""
    fs, Sd = draw.uniform(25, 90), draw.uniform(0.008, 0.05)
    Re = draw.uniform(1.6, 7)
    n = draw.uniform(0.5, 0.8) if exponent is None else exponent
    return Driver.from_thiele_small(
        fs=fs,
        Qes=draw.uniform(0.3, 0.9),
        Qms=draw.uniform(2, 9),
        Vas=3.5 * Sd**1.5 * draw.uniform(0.7, 1.5) * 40 / fs,
        Sd=Sd,
        Re=Re,
        semi_inductance=Re * draw.uniform(0.4, 0.9) / (2 * np.pi * 1000) ** n,
        semi_exponent=n,
    )


def with_a_pair(draw):
    """Return a driver whose coil is of the other form: Le, with L2 beside R2."""
    driver, knee = driver_of(draw), 2 * np.pi * 1000
    Le, L2 = driver.Re * draw.uniform(0.1, 0.4) / knee, driver.Re * draw.uniform(0.3, 0.9) / knee
    return dataclasses.replace(driver, semi_inductance=0.0, Le=Le, L2=L2, R2=driver.Re * draw.uniform(0.5, 2))


def setups(driver, mass=None, volume=None):
    """Return the mass, the volume, and the loudspeaker behind each curve by its name."""
    mass = 0.6 * driver.Mms if mass is None else mass
    volume = 0.5 * driver.Vas if volume is None else volume
    heavier = dataclasses.replace(driver, Mms=driver.Mms + mass)
    parts = ((driver, InfiniteBaffle()), (heavier, InfiniteBaffle()), (driver, SealedBox(volume=volume)))
    return mass, volume, {name: Loudspeaker(driver=d, box=b) for name, (d, b) in zip(CURVES, parts, strict=True)}


def impedance(loudspeaker, frequency):
    return computed(circuit(loudspeaker, 1.0, 1.0, AIR), 2j * np.pi * frequency, Solution.impedance)


def read_with(draw, exact, noise, phase=True):
    """Return an impedance as read with some noise, as a share of each reading."""
    if not phase:
        return np.abs(exact) * np.exp(noise * draw.standard_normal(len(exact)))
    return exact * np.exp(noise * (draw.standard_normal(len(exact)) + 1j * draw.standard_normal(len(exact))))


def grid(driver, points=200):
    return np.geomspace(driver.fs / 5, 30 * driver.fs, points)


def arguments(draw, driver, noise, names=CURVES, frequency=None, phase=True):
    """Return what `driver_from_impedance` takes, as measured."""
    frequency = grid(driver) if frequency is None else frequency
    mass, volume, speakers = setups(driver)
    before = {"free_air": (), "added_mass": (mass,), "known_box": (volume,)}
    curves = {
        name: (*before[name], frequency, read_with(draw, impedance(speakers[name], frequency), noise, phase))
        for name in names
    }
    return {"Sd": driver.Sd, **curves}


def on_a_frame(driver, frequency, mass=0.0, stiffness=0.0, loss=0.0, frame=1.5):
    r"""Impedance of a driver whose frame moves too: two masses, by Newton's laws. [ohm]

    .. math:: Z_m = R_{ms} + \frac{1}{s C_{ms}} + \frac{Z_1 Z_2}{Z_1 + Z_2}, \quad Z_1 = s M_{ms},
              \quad Z_2 = s M_f + r + k / s
    """
    s = 2j * np.pi * frequency
    cone, holder = s * (driver.Mms + mass), s * frame + loss + stiffness / s
    moving = driver.Rms + 1 / (s * driver.Cms) + cone * holder / (cone + holder)
    coil = driver.Re + driver.semi_inductance * s**driver.semi_exponent
    return coil + driver.Bl**2 / moving


def with_hum(draw, frequency, values, mains=50.0):
    """Return readings that hum disturbs at the mains frequency and its multiples."""
    near = np.abs(frequency / mains - np.maximum(np.round(frequency / mains), 1)) < 0.02
    return np.where(near & (frequency < 400), values * (1 + draw.uniform(0.1, 0.6, len(values))), values)
