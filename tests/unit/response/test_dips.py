"""What a dip is, against scipy's prominences; and how a head gets out of one."""

from dataclasses import replace

import numpy as np
import pytest
from scipy.signal import find_peaks

from lumpedbox import Cabin, Loudspeaker, SealedBox, VentedBox, frequencies, solve
from lumpedbox.response.dips import CLEAR, Dip, deepest, dips, dips_of, way_out
from lumpedbox.units import cm2, litre

EAR = (1.5, 0.5, 0.9)


def cabin(ear_box, ear=EAR):
    return Cabin(length=3, width=1.6, height=1.2, law="modes", ear=ear, ear_box=ear_box)


GRID = frequencies(14, 320, per_octave=24)


def used(levels, end=160.0):
    """The depth of the deepest dip from 20 Hz to an end: scipy's prominence, an octave to each side. [dB]"""
    bottoms, found = find_peaks(-levels, prominence=0, wlen=2 * 24 + 1)
    band = (GRID[bottoms] >= 20) & (GRID[bottoms] <= end)
    return np.max(found["prominences"] * band, initial=0.0)


@pytest.mark.parametrize("seed", range(20))
def test_every_dip_has_the_prominence_of_scipy(seed):
    """Smooth random levels; what lies less than an octave from an end has the side that there is."""
    random = np.random.default_rng(seed)
    grid = frequencies(10, 640, per_octave=24)
    level = 6 * np.convolve(random.normal(size=len(grid) + 8), np.hanning(9), "valid")
    bottoms, found = find_peaks(-level, prominence=3.0, wlen=2 * 24 + 1)
    told = dips(grid, level)
    assert [dip.frequency for dip in told] == list(grid[bottoms])
    assert [dip.depth for dip in told] == pytest.approx(found["prominences"])
    assert deepest(told).depth == pytest.approx(found["prominences"].max())


def test_a_level_that_only_rises_has_no_dip():
    assert dips(GRID, np.log(GRID)) == ()
    assert deepest(()) is None


def test_a_dip_is_found_by_its_sides():
    f, level = np.arange(10.0, 19.0), np.array([0, 5, 1, 3, -4, -6, 4, 0, 2.0])
    assert dips(f, level) == (Dip(15.0, 10.0),)
    assert dips(f, level, least=2) == (Dip(12.0, 2.0), Dip(15.0, 10.0), Dip(17.0, 2.0))
    assert dips(f, level, least=11) == ()


CROWDED = 2000 * np.sqrt(0.08 / 14.4)  # Hz; M. R. Schroeder (1962, from memory)


def bus(box, ear=(2.6, 0.5, 1.15), ear_box=0.15, T60=0.15):
    cabin = Cabin(length=5, width=1.8, height=1.6, law="modes", ear=ear, ear_box=ear_box, reverberation_time=T60)
    return cabin, box


def test_dips_are_told_of_the_band_of_a_bass_box_below_where_resonances_crowd(driver):
    for T60, end in ((0.15, 160.0), (0.03, 2000 * np.sqrt(0.03 / 14.4))):  # Schroeder (1962, from memory)
        cabin, place = bus((4.0, 1.65, 0.4), T60=T60)
        response = solve(
            Loudspeaker(driver=driver, box=SealedBox(volume=40 * litre), cabin=cabin, position=place), GRID
        )
        bottoms, _ = find_peaks(-response.level, prominence=3.0, wlen=2 * 24 + 1)
        below = [f for f in GRID[bottoms] if 20 <= f <= end]
        assert [dip.frequency for dip in dips_of(response)] == below


@pytest.mark.parametrize("box", [(4.0, 1.65, 0.4), (4.3, 0.3, 0.3), (4.5, 1.6, 0.1)])
def test_the_shortest_move_is_the_first_that_halves_the_deepest_dip(driver, box):
    """Each place of the head is solved alone."""
    cabin, place = bus(box, ear=(2.2, 0.45, 1.1), T60=0.08)
    speaker = Loudspeaker(driver=driver, box=SealedBox(volume=40 * litre), cabin=cabin, position=place)
    response = solve(speaker, GRID)

    def left(x, y):
        there = replace(speaker, cabin=replace(cabin, ear=(x, y, 1.1)))
        return used(solve(there, GRID).level, CROWDED)

    most, move = used(response.level, CROWDED) / 2, way_out(response)
    ways = {"back": (1, 0), "forward": (-1, 0), "to the right": (0, 1), "to the left": (0, -1)}
    for number in range(1, 13):
        lost = [
            way
            for way, (along, across) in ways.items()
            if 0 <= 0.45 + 0.05 * number * across <= 1.8
            and left(2.2 + 0.05 * number * along, 0.45 + 0.05 * number * across) <= most
        ]
        if lost:
            assert (move.way, move.distance) == (lost[0], pytest.approx(0.05 * number))
            return
    assert move is None


@pytest.mark.parametrize("ear_box", [0.0, 0.15, 0.6, 1.0])
def test_no_move_goes_into_a_cone(driver, ear_box):
    """A cube as large as the cabin allows leaves fewer places; each that is left is solved without an error."""
    speaker = Loudspeaker(
        driver=driver, box=SealedBox(volume=40 * litre), cabin=cabin(ear_box), position=(2.3, 0.5, 0.9)
    )
    response = solve(speaker, GRID)
    move = way_out(response)
    if move is not None:
        there = Loudspeaker(driver=driver, box=speaker.box, cabin=cabin(ear_box, move.ear), position=speaker.position)
        assert used(solve(there, GRID).level) <= used(response.level) / 2
        assert np.linalg.norm(np.subtract(move.ear, speaker.position)) >= CLEAR


def test_no_move_goes_into_a_port(driver):
    """Ports stand around the head; it stops before them, or goes elsewhere."""
    box = VentedBox(volume=40 * litre, fb=35, port_area=80 * cm2)
    for port in ((1.7, 0.5, 0.89), (0.8, 0.5, 0.89), (1.2, 1.0, 0.89)):
        speaker = Loudspeaker(
            driver=driver, box=box, cabin=cabin(0.15, (1.2, 0.5, 0.9)), position=(2.6, 1.3, 0.2), port_position=port
        )
        move = way_out(solve(speaker, GRID))
        assert move is None or np.linalg.norm(np.subtract(move.ear, port)) >= CLEAR
