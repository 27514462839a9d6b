"""What the reference tests share."""

from pathlib import Path

import pytest

from lumpedbox import Driver


@pytest.fixture(scope="session")
def systems(load_module):
    """The module systems.py beside this file."""
    return load_module(Path(__file__).parent / "systems.py")


@pytest.fixture(scope="session")
def table(systems):
    """Function that reads a table of data/ as a dict of columns."""
    return systems.table


@pytest.fixture(scope="session")
def reference_air(systems):
    """The air of most worked numbers: 1.2041 kg/m3, 343.2 m/s."""
    return systems.air_with(1.2041, 343.2)


@pytest.fixture(scope="session")
def driver(reference_air):
    """The driver of most worked numbers (no real product)."""
    return Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=0.06, Sd=0.033, Re=3.4, air=reference_air)


@pytest.fixture(scope="session")
def small_air(systems):
    """The air of Small's papers (from memory): 1.18 kg/m3, 345 m/s."""
    return systems.air_with(1.18, 345.0)


@pytest.fixture(scope="session")
def agreement(agreements):
    """Function that records how far a result is from an outside source, and fails beyond what is allowed."""
    return agreements.record
