"""Poles and zeros against filters, the power response, and the engine that solves in numbers.

Sources: scipy.signal, which knows no loudspeakers; A. N. Thiele (1961) and R. H. Small (1972, 1973) for the closed
forms (from memory; derived anew).
"""

import dataclasses

import numpy as np
import pytest
from scipy import signal

from lumpedbox import (
    AllPass,
    Cabin,
    Capacitor,
    Delay,
    Driver,
    Gain,
    HighPass,
    Inductor,
    InfiniteBaffle,
    Inverted,
    LevelTable,
    Loudspeaker,
    PassiveRadiator,
    PassiveRadiatorBox,
    Resistor,
    SealedBox,
    VentedBox,
    across,
    frequencies,
    in_series,
    poles_and_zeros,
    solve,
)
from lumpedbox.design.alignments import named_alignment, radiator_box
from lumpedbox.response.poles import PolesAndZeros
from lumpedbox.units import cm2, litre, mH, uF

GRID = frequencies(4, 3000, 6)
COIL = Driver.from_thiele_small(fs=34, Qes=0.42, Qms=4.1, Vas=55 * litre, Sd=320 * cm2, Re=3.3, Le=0.6 * mH)
EDDY = dataclasses.replace(COIL, L2=0.8 * mH, R2=2.2)
RADIATOR = PassiveRadiator.from_resonance(fp=19, Vap=80 * litre, Sd=400 * cm2, Qmp=9)
FLATTENING = across(Resistor(resistance=3.3), Capacitor(capacitance=0.6e-3 / 3.3**2))
LADDER = in_series(Inductor(inductance=2 * mH, resistance=0.3)) + across(Capacitor(capacitance=90 * uF)) + FLATTENING
BOXES = {
    "baffle": InfiniteBaffle(),
    "sealed": SealedBox(volume=25 * litre, Ql=8, Qa=40),
    "vented": VentedBox(volume=45 * litre, fb=31),
    "lossy": VentedBox(volume=45 * litre, fb=31, Ql=7, Qa=60, Qp=25),
    "radiator": PassiveRadiatorBox(volume=45 * litre, radiator=RADIATOR, Ql=12),
}
AROUND = {
    "alone": {},
    "wire": {"source_resistance": 0.2, "network": FLATTENING},
    "ladder": {
        "network": LADDER,
        "filters": (HighPass(frequency=22, order=4, family="Butterworth"), AllPass(frequency=60, order=2, Q=0.7)),
        "cabin": Cabin(length=2.5, width=1.4, height=1.1),
    },
    "turned": {"filters": (Gain(level=-6), Inverted()), "polarity": "reversed"},
}


@pytest.mark.parametrize("around", AROUND)
@pytest.mark.parametrize("box", BOXES)
@pytest.mark.parametrize("driver", [COIL, EDDY], ids=["coil", "eddy"])
def test_as_solved_in_numbers(driver, box, around):
    speaker = Loudspeaker(driver=driver, box=BOXES[box], **AROUND[around])
    found = poles_and_zeros(speaker, distance=1.7)
    expected = solve(speaker, GRID, voltage=1.0, distance=1.7).pressure
    assert np.max(abs(found.transfer(GRID) / expected - 1)) < 1e-10
    assert found.transfer(float(GRID[3])) == found.transfer(GRID)[3]
    assert found.poles.real.max() < 0, "what is passive dies out"
    conjugates = np.sort_complex(np.conj(found.poles))
    assert np.sort_complex(found.poles) == pytest.approx(conjugates, rel=1e-6)


@pytest.mark.parametrize(("name", "parameter"), [("B4", None), ("BL4", None), ("C4", 0.55)])
def test_of_the_named_shapes(name, parameter, systems, reference_air, agreement):
    """A vented box of that alignment, solved as a circuit, has the poles of scipy's high-pass, and four zeros at 0."""
    shape = named_alignment(name, parameter)
    speaker = systems.vented(shape.Qts, shape.h, shape.alpha, np.inf, reference_air)
    found = poles_and_zeros(speaker, air=reference_air)
    theirs = {
        "B4": lambda: signal.butter(4, 1.0, "highpass", analog=True, output="zpk")[1],
        "BL4": lambda: signal.bessel(4, 1.0, "highpass", analog=True, output="zpk", norm="phase")[1],
        "C4": lambda: signal.cheby1(4, shape.ripple_db, 1.0, "highpass", analog=True, output="zpk")[1],
    }[name]()
    w0 = 2 * np.pi * systems.FS * np.sqrt(shape.h)
    scaled = np.sort_complex(theirs / abs(np.prod(theirs)) ** 0.25)
    reached = np.max(abs(np.sort_complex(found.poles) / w0 - scaled))
    agreement("poles of vented alignments B4, BL4, C4", "scipy.signal", reached, 1e-8)
    assert found.zeros == pytest.approx(np.zeros(4))
    assert np.sort_complex(shape.poles * 2 * np.pi * systems.FS) == pytest.approx(np.sort_complex(found.poles))


@pytest.mark.parametrize("Qtc", [0.45, 0.7071, 1.1])
def test_of_a_closed_box(Qtc, systems, reference_air):
    """One resonance of that Q at fc; two real poles below a Q of a half."""
    found = poles_and_zeros(systems.sealed(Qtc, 2.0, reference_air, fc=50.0), air=reference_air)
    exact = 2 * np.pi * 50 * np.roots([1, 1 / Qtc, 1])
    assert np.sort_complex(found.poles) == pytest.approx(np.sort_complex(exact), rel=1e-7)
    assert len(found.resonances) == (2 if Qtc < 0.5 else 1)
    # x'' + w/Q x' + w^2 x = 0: its slower root, by numpy
    slower = -np.roots([1, 1 / Qtc, 1]).real.max() * abs(np.prod(found.poles)) ** 0.5
    assert found.time_to_a_tenth == pytest.approx(np.log(10) / slower, rel=1e-6)
    assert found.zeros == pytest.approx([0.0, 0.0])


def test_what_nothing_brakes_never_dies_away():
    swinging = PolesAndZeros(poles=np.array([-3j, 3j]), zeros=np.zeros(2, complex), gain=1.0)
    assert swinging.time_to_a_tenth == np.inf


def test_a_passive_radiator_without_losses_has_its_notch_on_the_axis(reference_air):
    driver = Driver.from_thiele_small(fs=30, Qes=0.39, Qms=20, Vas=0.02, Sd=0.02, Re=6, air=reference_air)
    box = radiator_box(driver, named_alignment("B4"), delta=3.0, Sd=0.03, air=reference_air)
    found = poles_and_zeros(Loudspeaker(driver=driver, box=box), air=reference_air)
    assert sorted(found.zeros.imag / (2 * np.pi)) == pytest.approx([-15.0, 0.0, 0.0, 15.0], rel=1e-9, abs=1e-9)
    assert found.zeros.real == pytest.approx(0.0, abs=1e-6)


def test_what_cancels_is_left_out():
    """Across an amplifier without resistance a flattening network does nothing to the pressure."""
    plain, flattened = (
        poles_and_zeros(Loudspeaker(driver=COIL, box=BOXES["sealed"], network=network))
        for network in (None, FLATTENING)
    )
    assert np.sort_complex(plain.poles) == pytest.approx(np.sort_complex(flattened.poles))
    assert plain.gain == pytest.approx(flattened.gain)


@pytest.mark.parametrize(
    ("change", "said"),
    [
        ({"driver": dataclasses.replace(COIL, semi_inductance=0.02)}, "semi_inductance"),
        ({"filters": (Delay(time=1e-3),)}, "Delay of 1 ms"),
        ({"filters": (LevelTable(points=((20, 3), (60, 0))),)}, "LevelTable"),
        ({"angle": 30}, "Loudspeaker.angle"),
        ({"box": SealedBox(volume=[0.02, 0.03])}, "family of shape"),
    ],
)
def test_what_has_none_says_so(change, said):
    speaker = Loudspeaker(driver=COIL, box=BOXES["sealed"])
    with pytest.raises(ValueError, match=said):
        poles_and_zeros(dataclasses.replace(speaker, **change))
