"""Mass, forces and the bounds of the lowest resonance of a panel, by hand and against the plate's published numbers."""

import dataclasses

import numpy as np
import pytest

from lumpedbox.build import Board, Brace, Carcass, Inside, Profile, forces, panel_resonances
from lumpedbox.build.workings.plates import clamped
from lumpedbox.units import mm
from tests.unit.build.test_account import INSIDE
from tests.unit.build.test_carcass import BOARD, STEPPED


def test_the_forces_are_20_and_10_g_of_the_boards_and_what_is_added():
    """8.158 kg of board and 3 kg of driver: 11.158 x 9.80665 x 20 and x 10."""
    found = forces(STEPPED, extra=3.0)
    assert (found.mass, found.forward, found.otherwise) == pytest.approx((11.158, 2188.4, 1094.2), rel=1e-4)
    with pytest.raises(ValueError, match=r"Board\.density is missing"):
        forces(dataclasses.replace(STEPPED, board=Board(thickness=18 * mm)))


def cube(width=0.436):
    """Clear inside: 400 x 400 x 400 mm at 436 outside."""
    points = ((0, 0), (0.436, 0), (0.436, 0.436), (0, 0.436))
    return Carcass(profile=Profile(points=points, names=("floor", "front", "top", "back")), width=width, board=BOARD)


# Source: A. W. Leissa, "Vibration of plates", NASA SP-160 (1969), square plates, from memory.
# Quoted: omega a^2 sqrt(m''/D) = 19.74 (all edges simply supported), 35.99 (all edges clamped).
# Tolerance: half a unit of the last of four figures.
def test_a_square_panel_rings_between_the_published_numbers():
    D = 3e9 * 0.018**3 / (12 * (1 - 0.3**2))
    unit = np.sqrt(D / (680 * 0.018)) / 0.4**2 / (2 * np.pi)
    for found in panel_resonances(cube()):
        assert (found.low / unit, found.high / unit) == pytest.approx((19.74, 35.99), abs=5e-3)


# Source: the same, clamped rectangles, from memory. Quoted: omega a^2 sqrt(m''/D) = 60.77 at a/b = 1.5, 147.80 at 2.5.
# Tolerance: his are upper bounds too, by beam functions; these shapes come 2e-4 lower.
@pytest.mark.parametrize(("sides", "printed"), [(1.5, 60.77), (2.5, 147.80)])
def test_a_clamped_rectangle_rings_as_published(sides, printed):
    assert 2 * np.pi * clamped(sides, 1.0, 1.0) * sides**2 == pytest.approx(printed, rel=3e-4)


def test_a_long_panel_rings_like_a_strip():
    """1 m by 50 mm: pi^2 and 22.37 over the breadth squared."""
    board = dataclasses.replace(BOARD, thickness=6 * mm)
    box = Carcass(
        profile=Profile(points=((0, 0), (1, 0), (1, 0.3), (0, 0.3)), names=("floor", "front", "top", "back")),
        width=62 * mm,
        board=board,
    )
    found = {each.name: each for each in panel_resonances(box)}["floor"]
    unit = np.sqrt(board.stiffness / board.weight) / 0.05**2 / (2 * np.pi)
    assert (found.low, found.high) == pytest.approx((np.pi**2 * unit, 22.37 * unit), rel=5e-3)


def test_a_brace_across_the_middle_makes_two_fields():
    """Half a square of side a: (1 + 4) / 2 = 2.5 times the lowest resonance on hinges."""
    bar = Brace(length=0.4, breadth=0.06, thickness=18 * mm, panels=("left cheek", "right cheek"))
    found = {each.name: each for each in panel_resonances(cube(), Inside(others=bar))}
    assert found["left cheek"].braced_low == pytest.approx(2.5 * found["left cheek"].low)
    assert found["floor"].braced_low == found["floor"].low


def test_a_brace_divides_the_longer_side():
    """Clear 400 x 200 mm: two fields of 200 x 200 ring at 2 / (1 + 1/4) = 1.6 times the whole on hinges."""
    bar = Brace(length=0.2, breadth=0.06, thickness=18 * mm, panels=("floor",))
    found = {each.name: each for each in panel_resonances(cube(width=0.236), Inside(others=bar))}["floor"]
    assert found.braced_low == pytest.approx(1.6 * found.low)


def test_a_panel_within_one_that_is_larger_and_one_that_is_smaller():
    """The cheek of the stepped box rings between the rectangles round it and within it, so bounds stay in order."""
    for found in panel_resonances(STEPPED):
        assert 0 < found.low < found.high
    names = {found.name for found in panel_resonances(STEPPED, INSIDE)}
    assert "front" not in names
    assert "left cheek" in names


def test_the_inscribed_rectangle_lies_inside():
    """A bound from a rectangle that juts out would be too low: in an L it is a leg."""
    points = ((0, 0), (0.5, 0), (0.5, 0.25), (0.25, 0.25), (0.25, 0.5), (0, 0.5))
    names = ("floor", "front", "step", "riser", "top", "back")
    box = Carcass(profile=Profile(points=points, names=names), width=0.3, board=BOARD)
    found = panel_resonances(box)[0]
    root = np.sqrt(BOARD.stiffness / BOARD.weight)
    leg = (  # Rayleigh's quotient of clamped strips, which is a little too high
        root / (2 * np.pi) * np.sqrt(22.3733**2 * (1 / 0.464**4 + 1 / 0.214**4) + 2 * 12.3026**2 / (0.464 * 0.214) ** 2)
    )
    assert 0.996 * leg < found.high < leg
