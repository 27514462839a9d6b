"""Random briefs, and a dense family of boxes for each in closed form: what a search must not be worse than.

Everything is written from the papers and nothing is taken from lumpedbox but its parts: R. H. Small, JAES 20 (1972)
798-808 and JAES 21 (1973) (from memory; derived anew). The driver has no inductance, so that these forms are exact.
"""

import numpy as np

from lumpedbox import Air, Amplifier, Brief, Driver
from lumpedbox.units import cm2, litre, mm

SIDE = 450  # 202,500 vented boxes
VOLUMES = 20_000  # sealed ones, of one parameter only
AIR = Air()
END = (0.82167 + 0.6127) / np.sqrt(np.pi)  # both ends of a port, over the root of its area


def random_case(seed):
    """Return a driver and a brief."""
    random = np.random.default_rng(seed)
    Qts = random.uniform(0.25, 0.6)
    driver = Driver.from_thiele_small(
        fs=random.uniform(22, 60),
        Qes=Qts / (1 - Qts / 6),
        Qms=6.0,
        Vas=random.uniform(15, 90) * litre,
        Sd=random.uniform(120, 500) * cm2,
        Re=3.4,
        xmax=random.uniform(3, 12) * mm,
        displacement=0.0,  # the closed forms are of the net volume
        name="a driver",
    )
    brief = Brief(
        volume=random.uniform(10, 60) * litre,
        amplifier=Amplifier(power=random.uniform(2, 40), rated_impedance=4, minimum_load=2),
        port_area=random.uniform(30, 150) * cm2,
        lowest=random.uniform(25, 50),
        droop=random.uniform(0.1, 1.5),
        ripple=random.uniform(0.3, 4),
        delay=[None, random.uniform(0.008, 0.03)][random.integers(2)],
        aim=str(random.choice(["f3", "volume", "ripple", "delay", "excursion", "port_speed"])),
    )
    return driver, brief


def dense_best(kind, driver, brief):
    """Return the lowest aim of a dense family of boxes that keep every limit; infinity if none does."""
    least, most = np.log(brief.volume / 25), np.log(brief.volume)
    if kind == "sealed":
        return _lowest(sealed(driver, brief, np.exp(np.linspace(least, most, VOLUMES))), brief)
    tunings = np.geomspace(0.5 * driver.fs, max(3 * driver.fs, np.sqrt(2) * brief.lowest), SIDE)
    rows = np.exp(np.linspace(least, most, SIDE))
    return min(_lowest(vented(driver, brief, volume, tunings), brief) for volume in rows)


def _lowest(found, brief):
    kept = (found["volume"] <= brief.volume) & (found["ripple"] <= brief.ripple) & (found["droop"] <= brief.droop)
    kept &= found["f3"] <= 250
    kept &= (found["excursion"] <= brief.excursion) & (found["port_speed"] <= brief.port_speed)
    kept &= (found.get("opening", 0.0) <= brief.port_area) & found.get("helps", True)
    if brief.delay is not None:
        kept &= found["delay"] <= brief.delay
    return float(np.min(found[brief.aim][kept], initial=np.inf))


def sealed(driver, brief, volume):
    """With T = QL / wc of the leak, U0 = Sd v s T / (1 + s T):

    G = s^3 Ts^2 T / M,  M = (1 + s T)(1 + s Ts/Q + s^2 Ts^2) + alpha s T,  x/x0 = (1 + s T) / M
    """
    ws, Q = 2 * np.pi * driver.fs, driver.Qts
    alpha = AIR.stiffness * driver.Sd**2 * driver.Cms / volume
    T, Ts = brief.Ql / (ws * np.sqrt(1 + alpha)), 1 / ws
    M = [Ts**2 * T, Ts**2 + T * Ts / Q, T * (1 + alpha) + Ts / Q, np.ones_like(T)]
    return _read(driver, brief, volume, M, [T * Ts**2, 0, 0, 0], [T, 1.0], None)


def vented(driver, brief, volume, tunings):
    """G = s^4 Tb^2 Ts^2 / D,  x/x0 = (s^2 Tb^2 + s Tb/QL + 1) / D,  Up = U0 / (w Tb)^2"""
    Q, QL, Ts, Tb = driver.Qts, brief.Ql, 1 / (2 * np.pi * driver.fs), 1 / (2 * np.pi * tunings)
    alpha = AIR.stiffness * driver.Sd**2 * driver.Cms / volume
    D = [
        Tb**2 * Ts**2,
        Tb**2 * Ts / Q + Tb * Ts**2 / QL,
        (alpha + 1) * Tb**2 + Tb * Ts / (QL * Q) + Ts**2,
        Tb / QL + Ts / Q,
        np.ones_like(Tb),
    ]
    slope = np.square(AIR.sound_speed * Tb) / volume
    side, bare = np.cbrt(volume), END - 2 / np.sqrt(np.pi)  # a port leaves its own diameter free behind it
    opening = np.maximum((END / slope) ** 2, driver.Sd / 50)
    largest = ((bare + np.sqrt(bare**2 + 4 * slope * side)) / (2 * slope)) ** 2
    largest = np.clip(brief.port_area, opening, largest)
    found = _read(driver, brief, volume, D, [Tb**2 * Ts**2, 0, 0, 0, 0], [Tb**2, Tb / QL, 1.0], (Tb, largest))
    speeds = found["port_speed"] * largest  # of a port of 1 m2
    # the smallest port that is slow enough takes the least room; for slow air it may be as large as the room allows
    area = np.minimum(largest, np.maximum(opening, speeds / brief.port_speed))
    if brief.aim == "port_speed":
        for share in np.linspace(0, 1, 400):
            tried = opening + share * (largest - opening)
            area = np.where(volume + _taken(tried, slope) <= brief.volume, np.maximum(area, tried), area)
    fits = opening <= np.square((bare + np.sqrt(bare**2 + 4 * slope * side)) / (2 * slope))
    return found | {
        "volume": volume + _taken(area, slope),
        "port_speed": speeds / area,
        "opening": np.where(fits, opening, np.inf),
        "helps": tunings >= 0.5 * driver.fs * np.sqrt(1 + alpha),
    }


def _taken(area, slope):
    """Room that a port takes up: its area times its length."""
    return area * np.maximum(slope * area - END * np.sqrt(area), 0.0)


def _read(driver, brief, volume, bottom, top, moved, port):
    grid = np.geomspace(8, 500, 150)
    played = np.append(brief.lowest, grid[grid > brief.lowest][::2])
    voltage = np.sqrt(brief.amplifier.power * brief.amplifier.rated_impedance)
    force = driver.Bl * voltage / driver.Re
    below, wide = _polynomial(bottom, grid), _polynomial(bottom, played)
    over = 20 * np.log10(abs(_polynomial(top, grid) / below))
    travel = np.sqrt(2) * force * driver.Cms * abs(_polynomial(moved, played) / wide)
    w = 2 * np.pi * played[:, np.newaxis]
    slopes = [(len(bottom) - 1 - i) * c for i, c in enumerate(bottom[:-1])]
    delay = np.real(_polynomial(slopes, played) / wide)
    speed = np.zeros_like(w * volume)
    if port is not None:
        Tb, area = port
        flow = driver.Sd * force / (w * driver.Mms) * abs(_polynomial(top, played) / wide)
        speed = np.sqrt(2) * flow / (w * Tb) ** 2 / area
    crossing = (over[:-1] < -10 * np.log10(2)) & (over[1:] >= -10 * np.log10(2))
    last = len(grid) - 2 - np.argmax(crossing[::-1], axis=0)
    columns = np.arange(over.shape[1])
    low, high = over[last, columns], over[last + 1, columns]
    with np.errstate(divide="ignore", invalid="ignore"):
        share = (-10 * np.log10(2) - low) / (high - low)
    f3 = np.where(crossing.any(axis=0), grid[last] * (grid[1] / grid[0]) ** share, np.inf)
    below_pass_band = np.minimum(np.maximum.accumulate(over[::-1])[::-1], 0.0) - over
    first_order = 10 * np.log10(1 + (f3 / grid[:, np.newaxis]) ** 2)
    droop = np.where(grid[:, np.newaxis] > f3, below_pass_band - first_order, 0.0).max(axis=0)
    return {
        "volume": volume,
        "f3": f3,
        "droop": droop,
        "ripple": np.maximum(over.max(axis=0), 0.0),
        "delay": delay.max(axis=0),
        "excursion": travel.max(axis=0) / driver.xmax,
        "port_speed": speed.max(axis=0),
    }


def _polynomial(coefficients, frequency):
    """Value at s = j w, shape (frequencies, boxes); coefficients from the highest power down."""
    s = 2j * np.pi * frequency[:, np.newaxis]
    result = 0.0
    for coefficient in coefficients:
        result = result * s + coefficient
    return result
