"""Poles and zeros stand where they are, and coinciding zeros can be told apart."""

import numpy as np
import pytest

from lumpedbox.figures.s_plane import RINGS, crosses, mark, ring, s_plane
from lumpedbox.figures.style import DARK, PENS, new_figure


@pytest.fixture
def drawn():
    axes, artists = s_plane(new_figure(dpi=80).subplots(), -3.0, 0.5, -0.4, 2.5, "2π fs", colours=DARK)
    return axes, artists


def test_left_is_left_and_up_is_up(drawn):
    axes, artists = drawn
    mark(artists["poles"], np.array([-1 + 2j, -1 - 2j, -0.5]))
    left, up = artists["poles"].get_data()
    assert list(left) == [-1, -1, -0.5]
    assert list(up) == [2, -2, 0]
    axes.figure.canvas.draw()
    across, upright = axes.transData.transform([(1, 0), (0, 1)]) - axes.transData.transform((0, 0))
    assert across[0] == pytest.approx(upright[1]), "a circle is round"
    assert axes.get_xlim() == (-3.0, 0.5)
    assert axes.get_ylim() == (-0.4, 2.5)


def test_zeros_on_one_spot_are_rings_around_each_other(drawn):
    _, artists = drawn
    ring(artists["zeros"], np.array([0, 0, 0, 0.4j, -0.4j]))
    shown = [list(zip(*line.get_data(), strict=True)) for line in artists["zeros"]]
    assert shown[0] == [(0, 0), (0, 0.4), (0, -0.4)]
    assert shown[1] == shown[2] == [(0, 0)]
    assert shown[3:] == [[]] * (RINGS - 3)
    sizes = [line.get_markersize() for line in artists["zeros"]]
    assert np.all(np.diff(sizes) > 2 * artists["zeros"][0].get_markeredgewidth())


def test_the_guides_are_the_axes_and_the_circle_of_the_unit(drawn):
    axes, artists = drawn
    guides = [line.get_data() for line in axes.lines if line not in (artists["poles"], artists["start"])]
    circle = next((x, y) for x, y in guides if len(x) > 2)
    assert np.hypot(*circle) == pytest.approx(1.0)
    assert any(list(x) == [0, 0] for x, _ in guides), "the imaginary axis"
    assert axes.get_xlabel() == "real part [2π fs]"
    assert axes.get_ylabel() == "imaginary part [2π fs]"


def test_it_can_be_drawn_on_dark_paper(drawn):
    axes, _ = drawn
    (words,) = axes.texts
    assert words.get_text() == "x poles\no zeros"
    assert words.get_color() == DARK["ink"]


def test_crosses_of_a_family_are_as_thin_as_its_pen(drawn):
    axes, artists = drawn
    family = crosses(axes, PENS["family 1"])
    mark(family, np.array([-0.5 + 1j]))
    assert list(family.get_data()) == [[-0.5], [1.0]]
    assert family.get_color() == PENS["family 1"].color
    assert family.get_markeredgewidth() == PENS["family 1"].width < artists["poles"].get_markeredgewidth()
