"""Invented parts that several unit tests share; no real product is meant by any number."""

import pytest

from lumpedbox import Driver, Loudspeaker, Port, SealedBox, VentedBox
from lumpedbox.units import cm, cm2, gram, litre, mm


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
