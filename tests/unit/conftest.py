"""Invented parts that several unit tests share; no real product is meant by any number."""

import pytest

from lumpedbox import Cabin, Driver, Loudspeaker, Port, SealedBox, VentedBox
from lumpedbox.units import cm, cm2, gram, litre, mm

WOOFER = Driver.from_thiele_small(fs=58, Qes=0.6, Qms=4.5, Vas=0.015, Sd=0.0137, Re=3.4, Le=0.3e-3)
TWEETER = Driver(Re=3.3, Bl=2.5, Mms=0.36e-3, Cms=4.5e-5, Rms=1.0, Sd=6.2e-4, Le=0.03e-3)
# so heavy that motion gives nothing back from 100 Hz on: the impedance is Re, the level flat
HEAVY = Driver(Re=4.0, Bl=1.0, Mms=5.0, Cms=0.1, Rms=1e-6, Sd=0.03)
# hardly moves at all: nothing but its resistance
RESISTOR = Driver(Re=8.0, Bl=0.01, Mms=5.0, Cms=1e-3, Rms=1.0, Sd=0.01)
EAR = (2.6, 0.5, 1.15)
BUS = Cabin(length=5, width=1.8, height=1.6, law="modes", leak=12, reverberation_time=0.15, ear=EAR)


@pytest.fixture
def driver():
    return Driver(Re=3.4, Bl=9.4, Mms=53 * gram, Cms=0.39 * mm, Rms=2.3, Sd=330 * cm2, xmax=6 * mm)


@pytest.fixture
def sealed(driver):
    return Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre))


@pytest.fixture
def vented(driver):
    return Loudspeaker(driver=driver, box=VentedBox(volume=50 * litre, fb=32, port_area=80 * cm2, Ql=7))


@pytest.fixture
def port():
    return Port(length=20 * cm, diameter=10 * cm)
