"""The schematic shows what is solved: every component once, at its place, with its value and unit."""

import dataclasses

import numpy as np
import pytest

from lumpedbox import (
    Capacitor,
    Inductor,
    InfiniteBaffle,
    Loudspeaker,
    Resistor,
    SideBySide,
    across,
    frequencies,
    in_series,
    l_pad,
    solve,
)
from lumpedbox.design.ladders import ladder, resonance_conjugate
from lumpedbox.design.ratings import ratings
from lumpedbox.figures.schematic import schematic
from lumpedbox.figures.style import new_figure


def drawn(driver, network, **more):
    axes = new_figure(dpi=100).subplots()
    speaker = Loudspeaker(driver=driver, box=InfiniteBaffle(), network=network, **more)
    axes, artists = schematic(axes, speaker)
    return axes, artists, speaker


def ends(lines):
    points = np.concatenate([line.get_xydata() for line in lines])
    return points[0], points[-1]


def test_every_component_that_is_solved_is_drawn(driver):
    network = ladder(arm="high-pass", family="Butterworth", order=3, frequency=3e3, load=4.0)
    network += l_pad(attenuation=4.0, impedance=4.0) + resonance_conjugate(driver, loss=0.2)
    axes, artists, speaker = drawn(driver, network)
    assert list(artists) == [*(one.name for one in ratings(speaker, frequencies(100, 1e4, 3), 2.83)), "driver"]
    shown = {text.get_text() for text in axes.texts}
    assert {text.get_text() for *_, text in artists.values()} <= shown


def test_where_components_stand(driver):
    network = in_series(Capacitor(capacitance=10e-6)) + across(Inductor(inductance=3e-4), Resistor(resistance=2.0))
    _, artists, _ = drawn(driver, network)
    *line, _ = artists["capacitor in series"]
    first, last = ends(line)
    assert first[1] == last[1] == 2.0, "in the line, above two components one under another"
    *coil, _ = artists["inductor across"]
    *resistor, _ = artists["resistor across"]
    assert ends(coil)[0][0] == pytest.approx(ends(coil)[1][0])
    assert ends(coil)[0][1] == 2.0
    assert ends(coil)[1] == pytest.approx(ends(resistor)[0])
    assert ends(resistor)[1][1] == pytest.approx(0.0)
    assert last[0] < ends(coil)[0][0], "the amplifier is to the left"


def test_what_stands_side_by_side_joins_the_same_two_points(driver):
    three = (Resistor(resistance=8.0), Inductor(inductance=3e-4), Capacitor(capacitance=2e-5))
    axes, artists, speaker = drawn(
        driver, in_series(SideBySide(components=three)) + across(SideBySide(components=three))
    )
    assert list(artists) == [*(one.name for one in ratings(speaker, frequencies(100, 1e4, 3), 2.83)), "driver"]
    for placed, along in (("in series", 0), ("across", 1)):
        reach = [ends(artists[f"{kind} side by side {placed}"][:-1]) for kind in ("resistor", "inductor", "capacitor")]
        assert len({(first[along], last[along]) for first, last in np.round(reach, 9)}) == 1
        assert len({first[1 - along] for first, _ in reach}) == 3
    assert max(text.get_position()[1] for text in axes.texts) < axes.get_ylim()[1]


@pytest.mark.parametrize(
    ("part", "words"),
    [
        (Capacitor(capacitance=4.7e-6), "4.7 µF"),
        (Inductor(inductance=0.33e-3, resistance=0.25), "0.33 mH\n0.25 Ω"),
        (Resistor(resistance=3.3), "3.3 Ω"),
    ],
)
def test_values_have_units(driver, part, words):
    _, artists, _ = drawn(driver, in_series(part))
    assert artists[f"{type(part).__name__.lower()} in series"][-1].get_text() == words


def test_what_is_not_fitted_is_not_drawn(driver):
    network = (
        in_series(Resistor(resistance=0.0), Inductor(inductance=0.0))
        + in_series(Capacitor(capacitance=np.inf))
        + across(Resistor(resistance=np.inf))
        + across(Inductor(inductance=np.inf))
        + across(Capacitor(capacitance=0.0), Resistor(resistance=2.0))
    )
    _, artists, speaker = drawn(driver, network)
    assert list(artists) == ["driver"]
    grid = frequencies(20, 2e3, 3)
    bare = Loudspeaker(driver=driver, box=InfiniteBaffle())
    assert solve(speaker, grid).level == pytest.approx(solve(bare, grid).level)


def test_polarity_and_texts_within_the_picture(driver):
    for polarity, sign in (("as marked", "+"), ("reversed", "−")):
        axes, _, _ = drawn(driver, l_pad(attenuation=6.0, impedance=4.0), polarity=polarity)
        assert sign in [text.get_text() for text in axes.texts]
        x, y = zip(*(text.get_position() for text in axes.texts), strict=True)
        assert axes.get_xlim()[0] < min(x) < max(x) < axes.get_xlim()[1]
        assert axes.get_ylim()[0] < min(y) < max(y) < axes.get_ylim()[1]


def test_dollars_in_a_name_are_no_formula(driver):
    axes, _, _ = drawn(dataclasses.replace(driver, name=r"5 $\q$ bass"), in_series(Resistor(resistance=1.0)))
    axes.figure.canvas.draw()
    assert axes.texts[-1].get_text() == r"5 $\q$ bass"


def test_families_are_refused(driver):
    with pytest.raises(ValueError, match="schematic needs a single loudspeaker, got a family"):
        drawn(driver, in_series(Resistor(resistance=np.array([1.0, 2.0]))))
