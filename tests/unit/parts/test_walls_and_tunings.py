"""Walls of both ends of a port, the longest path in a box, and the tunings of boxes that differ."""

import numpy as np
import pytest

from lumpedbox import Port, VentedBox


def test_each_end_has_the_wall_it_stands_in():
    """0.8217 radii in a wide wall (King 1936), 0.298192 in one of twice the port's radius (mode matching, the table in
    tests/reference/data, good to 2e-4 radii; the code's fit to 4e-4)."""
    narrow = np.pi * 0.1**2
    for inner, outer in ((narrow, np.inf), (np.inf, narrow)):
        port = Port(length=0.2, diameter=0.1, inner_end="flush", inner_wall=inner, outer_wall=outer)
        assert port.effective_length == pytest.approx(0.2 + (0.8217 + 0.298192) * 0.05, abs=6e-4 * 0.05)
    # a free end has no wall: what is said of it changes nothing
    free = Port(length=0.2, diameter=0.1, inner_end="free", inner_wall=narrow)
    assert free.effective_length == pytest.approx(0.2 + (0.8217 + 0.6127) * 0.05, abs=1e-4 * 0.05)


def test_a_box_without_a_port_is_as_long_as_its_longest_side():
    assert VentedBox(volume=0.027, fb=40.0).longest_path == pytest.approx(0.3)
    assert VentedBox(volume=0.027, fb=40.0, longest_side=0.45).longest_path == pytest.approx(0.45)


def test_the_tunings_of_boxes_that_differ_follow_helmholtz():
    """A tuning given as such moves as that of a resonator does, with 1/sqrt(V L'): every member for itself."""
    factors = {"volume": np.array([1.0, 1.1, 0.9]), "port_length": np.array([1.2, 1.0, 0.8]), "losses": np.ones(3)}
    members = VentedBox(volume=0.04, fb=35.0, Ql=7).varied(factors)
    assert members.volume == pytest.approx(0.04 * factors["volume"])
    assert members.fb == pytest.approx(35.0 / np.sqrt(factors["volume"] * factors["port_length"]), rel=1e-12)
