"""Shares of a difference: sums, symmetry, orders worked out here, and closed forms at the travel limit.

L. S. Shapley (1953) and G. Owen (1977), from memory: the axioms below fix the value.
"""

import dataclasses
import itertools

import numpy as np
import pytest
from scipy.special import j1

from lumpedbox import (
    Air,
    Cabin,
    Capacitor,
    HighPass,
    InfiniteBaffle,
    Loudspeaker,
    Port,
    SealedBox,
    VentedBox,
    frequencies,
    in_series,
    l_pad,
    solve,
)
from lumpedbox.design.causes import CAUSES, causes
from lumpedbox.tables import demo_drivers

GRID = frequencies(15, 300, 12)
DRIVERS = demo_drivers()
BIG, SMALL = DRIVERS["200 mm panel"], DRIVERS["130 mm step well"]
BOXES = {
    "baffle": InfiniteBaffle(),
    "sealed": SealedBox(volume=0.01, Ql=7, Qa=30),
    "sealed, filled": SealedBox(volume=0.02, filling=1.2, leak_resistance=3e4),
    "vented": VentedBox(volume=0.02, fb=45.0, Ql=7, Qa=50, Qp=60),
    "by a port": VentedBox(volume=0.03, port=Port(length=0.12, diameter=0.07), Ql=10),
}
PAIRS = list(itertools.permutations(BOXES, 2))


def level(speaker, volts=2.83, metres=1.0):
    return solve(speaker, GRID, volts, metres).level


def full(pair=("sealed", "vented")):
    """Two loudspeakers that differ in everything."""
    first, second = (BOXES[name] for name in pair)
    before = Loudspeaker(driver=BIG, box=first, position=(1.0, 0.0, 0.0))
    after = Loudspeaker(
        driver=SMALL,
        box=second,
        network=l_pad(attenuation=3.0, impedance=4.0),
        filters=(HighPass(frequency=40.0, order=2),),
        source_resistance=0.3,
        cabin=Cabin(length=2.5, width=1.4, height=1.15),
        position=(2.0, 0.0, 0.0),
    )
    return before, after


@pytest.mark.parametrize("pair", PAIRS)
def test_shares_add_up_to_the_difference(pair):
    before, after = full(pair)
    found = causes(before, after, GRID, voltages=(2.83, 8.0), distances=(1.0, 1.5))
    exact = level(after, 8.0, 1.5) - level(before, 2.83, 1.0)
    assert found.difference == pytest.approx(exact, abs=1e-9)
    assert sum(found.parts.values()) == pytest.approx(exact, abs=1e-9)
    assert found.parts["cone"] == pytest.approx(sum(found.cone.values()), abs=1e-12)
    back = causes(after, before, GRID, voltages=(8.0, 2.83), distances=(1.5, 1.0))
    for name, part in found.parts.items():
        assert back.parts[name] == pytest.approx(-part, abs=1e-9), name


def mixed(first, second, fields):
    return dataclasses.replace(first, **{name: getattr(second, name) for name in fields})


def test_two_causes_are_the_mean_of_both_orders():
    """Motor and suspension, exchanged in either order, solved here one by one."""
    motor, suspension = ("Bl", "Re", "Le"), ("Cms", "Rms")
    other = mixed(mixed(BIG, SMALL, motor), SMALL, suspension)
    box = VentedBox(volume=0.02, fb=45.0, Ql=7)
    drivers = (BIG, mixed(BIG, SMALL, motor), mixed(BIG, SMALL, suspension), other)
    speakers = [Loudspeaker(driver=driver, box=box) for driver in drivers]
    none, only_motor, only_suspension, both = map(level, speakers)
    found = causes(speakers[0], speakers[3], GRID)
    assert found.parts["motor"] == pytest.approx((only_motor - none + both - only_suspension) / 2, abs=1e-9)
    assert found.parts["suspension"] == pytest.approx((only_suspension - none + both - only_motor) / 2, abs=1e-9)
    for name in set(CAUSES) - {"motor", "suspension", "stroke"}:
        assert np.all(found.parts[name] == 0), name


@pytest.mark.filterwarnings("ignore:The driver's reference efficiency")
def test_the_cone_by_owen():
    """Area, mass and box: the cone is one of two causes, and its members stand in either order beside each other."""
    other = mixed(BIG, SMALL, ("Sd", "Mms"))
    boxes = InfiniteBaffle(), VentedBox(volume=0.02, fb=45.0)
    v = {
        (cone, box): level(Loudspeaker(driver=mixed(BIG, SMALL, cone), box=boxes[box]))
        for cone in ((), ("Sd",), ("Mms",), ("Sd", "Mms"))
        for box in (0, 1)
    }
    found = causes(Loudspeaker(driver=BIG, box=boxes[0]), Loudspeaker(driver=other, box=boxes[1]), GRID)
    area = sum(v[("Sd",), b] - v[(), b] + v[("Sd", "Mms"), b] - v[("Mms",), b] for b in (0, 1)) / 4
    assert found.cone["area of the cone"] == pytest.approx(area, abs=1e-9)
    box = sum(v[c, 1] - v[c, 0] for c in ((), ("Sd", "Mms"))) / 2
    assert found.parts["box"] == pytest.approx(box, abs=1e-9)


def test_a_cause_without_effect_has_none_and_two_alike_have_equal_shares():
    """A motor changed so that current and force keep (Bl and Re by one factor, at twice the volts through a pad): here
    the plainest: another name, another xmax, another position do nothing. Two like causes: halving the voltage by the
    electrical side and doubling the distance both take 6.02 dB."""
    driver = dataclasses.replace(BIG, xmax=9e-3, name="another")
    before, after = (Loudspeaker(driver=d, box=BOXES["vented"]) for d in (BIG, driver))
    found = causes(before, after, GRID)
    assert all(np.max(np.abs(part)) < 1e-12 for part in found.parts.values())
    found = causes(before, before, GRID, voltages=(4.0, 2.0), distances=(1.0, 2.0))
    assert found.parts["electrical"] == pytest.approx(np.full(len(GRID), -20 * np.log10(2)), abs=1e-12)
    assert found.parts["place"] == pytest.approx(found.parts["electrical"], abs=1e-12)


@pytest.mark.parametrize("pair", PAIRS)
def test_at_the_travel_limit_area_and_stroke_are_their_ratios(pair):
    """Pressure is proportional to Sd x there, whatever drives it: 20 log of the ratios, and mass, suspension and motor
    exactly nothing, in every box."""
    before, after = (Loudspeaker(driver=d, box=BOXES[name]) for d, name in zip((BIG, SMALL), pair, strict=True))
    found = causes(before, after, GRID, at_travel_limit=True)
    for share, name in ((found.cone["area of the cone"], "Sd"), (found.parts["stroke"], "xmax")):
        ratio = getattr(SMALL, name) / getattr(BIG, name)
        assert share == pytest.approx(np.full(len(GRID), 20 * np.log10(ratio)), abs=1e-9)
    for nothing in (found.cone["mass of the cone"], found.parts["suspension"], found.parts["motor"]):
        assert np.max(np.abs(nothing)) < 1e-9
    exact = [solve(speaker, GRID).level_within_travel for speaker in (before, after)]
    assert sum(found.parts.values()) == pytest.approx(exact[1] - exact[0], abs=1e-9)


def test_a_built_in_capacitor_is_of_the_electrical_side():
    tweeter = DRIVERS["25 mm pillar tweeter"]
    inside = Loudspeaker(driver=dataclasses.replace(tweeter, built_in_capacitance=5e-6), box=InfiniteBaffle())
    outside = Loudspeaker(driver=tweeter, box=InfiniteBaffle(), network=in_series(Capacitor(capacitance=5e-6)))
    bare = Loudspeaker(driver=tweeter, box=InfiniteBaffle())
    taken = [causes(bare, speaker, GRID).parts["electrical"] for speaker in (inside, outside)]
    assert taken[0] == pytest.approx(taken[1], abs=1e-12)
    assert np.all(taken[0] < 0)


def test_words_and_bands():
    before, after = (Loudspeaker(driver=d, box=BOXES["baffle"]) for d in (BIG, SMALL))
    found = causes(before, after, GRID)
    index = int(np.argmin(abs(GRID - 40)))
    assert found.difference[index] < 0
    softer = f"{-found.difference[index]:.1f} dB softer"
    assert found.at(40.0).startswith(f"At {GRID[index]:.0f} Hz the second plays {softer}: cone ")
    assert causes(before, before, GRID).at(40.0).endswith("nothing changed.")
    rows = found.bands()
    for middle, difference, shares in rows:
        inside = (GRID >= middle / 2 ** (1 / 6)) & (GRID < middle * 2 ** (1 / 6))
        assert difference == pytest.approx(found.difference[inside].mean())
        assert sum(shares.values()) == pytest.approx(difference, abs=1e-9)
    assert [round(row[0]) for row in rows][:3] == [16, 20, 25]


def test_what_is_refused():
    before = Loudspeaker(driver=BIG, box=InfiniteBaffle())
    family = Loudspeaker(driver=BIG, box=SealedBox(volume=[0.01, 0.02]))
    with pytest.raises(ValueError, match=r"causes\.after must be one Loudspeaker, got a family of shape \(2,\)"):
        causes(before, family, GRID)
    with pytest.raises(TypeError, match=r"causes\.before must be Loudspeaker or System, got Driver"):
        causes(BIG, before, GRID)
    blind = Loudspeaker(driver=dataclasses.replace(SMALL, xmax=None), box=InfiniteBaffle())
    with pytest.raises(ValueError, match="xmax"):
        causes(before, blind, GRID, at_travel_limit=True)


@pytest.mark.parametrize("degrees", [40.0, 75.0])
def test_a_turned_driver_is_of_the_place(degrees):
    """A rigid piston off its axis loses 2 J1(x)/x, x = k a sin(angle) (L. L. Beranek, "Acoustics" (1954), from memory),
    and nothing else differs."""
    before = Loudspeaker(driver=BIG, box=BOXES["vented"])
    found = causes(before, dataclasses.replace(before, angle=degrees), [100.0, 1000.0])
    x = 2 * np.pi * np.array([100.0, 1000.0]) / Air().sound_speed * BIG.radius * np.sin(np.radians(degrees))
    assert found.parts["place"] == pytest.approx(20 * np.log10(2 * j1(x) / x), abs=1e-9)
    assert found.difference == pytest.approx(found.parts["place"], abs=1e-12)


def test_what_is_absorbed_in_the_box_stays_when_the_suspension_is_exchanged():
    """Both orders, solved here. Absorption is a resistance: at another resonance its Q is another, Qa goes with 1/w,
    w = sqrt((1/Cms + Sd^2/Cab)/Mms)."""
    other = mixed(BIG, SMALL, ("Cms", "Rms"))

    def resonance(driver):
        return np.sqrt((1 / driver.Cms + driver.Sd**2 * Air().stiffness / 0.012) / driver.Mms)

    before, kept = (SealedBox(volume=0.012, Qa=Qa) for Qa in (3.0, 3.0 * resonance(BIG) / resonance(other)))
    none, suspended, boxed, both = (
        level(Loudspeaker(driver=driver, box=box))
        for driver, box in ((BIG, before), (other, kept), (BIG, InfiniteBaffle()), (other, InfiniteBaffle()))
    )
    found = causes(Loudspeaker(driver=BIG, box=before), Loudspeaker(driver=other, box=InfiniteBaffle()), GRID)
    assert found.parts["suspension"] == pytest.approx((suspended - none + both - boxed) / 2, abs=1e-9)
    assert found.parts["box"] == pytest.approx((boxed - none + both - suspended) / 2, abs=1e-9)
