"""Formulas that are independent of the code under test."""

import contextlib
from types import SimpleNamespace

import numpy as np
import pytest

from lumpedbox import Air

AIR = Air()


def textbook(driver, frequency, voltage, volume=None, fb=None, Ql=np.inf):
    """Solve one driver in half space by the textbook's closed form, with admittances of the box.

    Source: R. H. Small, "Vented-box loudspeaker systems", Part I, JAES 21(5) 363-372 (1973), fig. 1 (from memory):
    v = (Bl V / Ze) / (Zm + Bl^2 / Ze + Sd^2 Za), written out in impedances instead of the pairs that the library uses.
    """
    s = 2j * np.pi * frequency
    rho, c = AIR.density, AIR.sound_speed
    coil = driver.Re + s * driver.Le
    moving = s * driver.Mms + driver.Rms + 1 / (s * driver.Cms) + driver.Bl**2 / coil
    if volume is None:
        velocity = driver.Bl * voltage / coil / moving
        net, port = driver.Sd * velocity, 0.0
    else:
        compliance = volume / (rho * c**2)
        alpha = driver.Cms * driver.Sd**2 / compliance
        w0 = 2 * np.pi * (driver.fs * np.sqrt(1 + alpha) if fb is None else fb)
        through_port = 0.0 if fb is None else w0**2 * compliance / s
        admittance = s * compliance + w0 * compliance / Ql + through_port
        velocity = driver.Bl * voltage / coil / (moving + driver.Sd**2 / admittance)
        inside = driver.Sd * velocity / admittance
        net, port = inside * s * compliance, inside * through_port
    pressure = s * rho * net / (2 * np.pi)
    return SimpleNamespace(
        pressure=pressure,
        level=20 * np.log10(abs(pressure) / 20e-6),
        excursion=np.sqrt(2) * abs(velocity / s),
        port_flow=np.sqrt(2) * abs(port),
    )


@pytest.fixture(scope="session")
def closed_form():
    return textbook


@pytest.fixture(scope="module", autouse=True)
def nothing_kept(tmp_path_factory):
    """A folder in which nothing is kept, so that every page offers what it offers to a newcomer."""
    with contextlib.chdir(tmp_path_factory.mktemp("nothing_kept")):
        yield


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder of one's own for one test, with what it keeps."""
    monkeypatch.chdir(tmp_path)
    return tmp_path / "my_parts.toml"
