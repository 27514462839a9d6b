"""Boxes built from a plan, each a little off and one cause much, for the tests of `lumpedbox.measure`; all invented."""

import dataclasses

import numpy as np

from lumpedbox import (
    Gain,
    HighPass,
    LevelTable,
    Loudspeaker,
    LowPass,
    SealedBox,
    Spread,
    System,
    VentedBox,
    solve,
)
from lumpedbox.parts.spread import USUAL_BUILD
from tests.measured_drivers import driver_of, impedance, read_with

MEASURED = Spread(Re=0.002, Bl=0.004, Mms=0.006, Cms=0.006, Rms=0.01)  # of a driver that was measured before
FREQUENCY = np.geomspace(12, 400, 120)
OF_SEALED, OF_VENTED = ("volume", "leak"), ("volume", "tuning", "leak")


def plan_of(draw, vented):
    """Return a loudspeaker as planned."""
    driver = dataclasses.replace(driver_of(draw), spread=MEASURED)
    volume = driver.Vas * draw.uniform(0.4, 1.2)
    if vented:
        return Loudspeaker(driver=driver, box=VentedBox(volume=volume, fb=driver.fs * draw.uniform(0.75, 1.1), Ql=10))
    return Loudspeaker(driver=driver, box=SealedBox(volume=volume, Ql=15))


def built_from(draw, plan, cause=""):
    """Return the plan as built: all a little off as usual, and one cause planted."""
    driver = plan.driver.members(1, int(draw.integers(2**31))).member(0)
    warm = {"Re": np.array([1.0 + 0.01 * draw.standard_normal()]), "Cms": np.exp(0.03 * draw.standard_normal(1))}
    usual = {
        name: np.exp(getattr(USUAL_BUILD, name) * draw.standard_normal(1))
        for name in ("volume", "port_length", "losses")
    }
    sign = draw.choice([-1, 1])
    if cause == "volume":
        usual["volume"] = np.exp([sign * draw.uniform(0.15, 0.35)])
    if cause == "tuning":
        usual["port_length"] = np.exp([sign * draw.uniform(0.2, 0.5)])
    box = plan.box.varied(usual).member(0)
    if cause == "leak":
        box = dataclasses.replace(box, Ql=draw.uniform(1.5, 3.0))
    return dataclasses.replace(plan, driver=driver.varied(warm).member(0), box=box)


def impedance_of(draw, built, noise=0.01, phase=True):
    return FREQUENCY, read_with(draw, impedance(built, FREQUENCY), noise, phase)


def vehicle_of(draw, cabin=None):
    """Return a system as planned: a bass box and a panel, each on a channel, met at 100 Hz."""
    low, high = LowPass(frequency=100.0, order=2), HighPass(frequency=100.0, order=2)
    bass, panel = plan_of(draw, vented=True), plan_of(draw, vented=False)
    places = {"position": (3.6, 1.4, 0.35)}, {"position": (0.7, 0.1, 0.4)}
    if cabin is None:
        places = {}, {}
    bass = dataclasses.replace(bass, filters=(low,), name="bass box", cabin=cabin, **places[0])
    panel = dataclasses.replace(panel, filters=(high,), name="panel", cabin=cabin, **places[1])
    return System(channels=(bass, panel))


def vehicle_built(draw, plan, cause=""):
    """Return the system as built, and whose the cause is."""
    place = int(draw.integers(2)) if cause in ("polarity", "level") else 0
    inner = {"volume", "tuning", "leak"} & {cause}
    each = [built_from(draw, one, cause if inner and at == place else "") for at, one in enumerate(plan.loudspeakers)]
    if cause == "polarity":
        each[place] = dataclasses.replace(each[place], polarity="reversed")
    if cause == "level":
        louder = Gain(level=float(draw.choice([-1, 1]) * draw.uniform(5, 9)))
        each[place] = dataclasses.replace(each[place], filters=(*each[place].filters, louder))
    built = dataclasses.replace(plan, channels=tuple(each))
    if cause == "place":
        ear = np.array(built.listener) + draw.choice([-1, 1], 3) * (0.5, 0.25, 0.1)
        built = dataclasses.replace(built, ear=tuple(ear))
    return built, plan.names[place]


def level_of(draw, built, noise=0.5, distance=1.0):
    """Return a level curve as a phone takes it, whatever it calls 0 dB."""
    frequency = np.geomspace(20, 400, 60)
    level = solve(built, frequency, distance=distance).level + noise * draw.standard_normal(60) + draw.uniform(-30, 10)
    return LevelTable(points=tuple(zip(frequency.tolist(), level.tolist(), strict=True)))
