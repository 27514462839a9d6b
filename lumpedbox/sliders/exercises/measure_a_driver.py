"""Exercises of the lesson on measuring a driver; the library reads the meters, with the noise of cheap ones."""

from __future__ import annotations

import functools

import numpy as np

from ...parts.box import InfiniteBaffle, SealedBox
from ...parts.driver import Driver
from ...parts.loudspeaker import Loudspeaker
from ...response import solve
from ...units import cm2, litre
from ..kit.drawn import Drawn, Follows
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import FREQUENCY, MASS, QUALITY, VOLUME, same
from .kinds import MILLIVOLT, NUMBER

OHMS = same("ohm", decimals=2)
HERTZ = same("Hz", decimals=1)
VOLTS, NOISE = 1.0, 0.003  # of the amplifier, and a share of each reading
MOVING, COMPLIANCE, AREA = 0.014, 0.55e-3, 137 * cm2  # kg, m/N, m2: of an invented woofer


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((two_voltages(), in_line(), from_the_peak(), from_a_mass(), from_a_box()), "measure_a_driver")


def noisy(value, *seed):
    """Return a value as a cheap meter reads it; the same seed gives the same reading."""
    draw = np.random.default_rng([round(1e6 * abs(float(number))) for number in seed])
    return float(value * np.exp(NOISE * draw.standard_normal()))


def woofer(Re=3.4, Qms=5.0, mass=MOVING):
    """Return an invented woofer; a mass on its cone changes nothing else."""
    w = 1 / np.sqrt(MOVING * COMPLIANCE)
    return Driver(Re=Re, Bl=5.4, Mms=mass, Cms=COMPLIANCE, Rms=w * MOVING / Qms, Sd=AREA)


@functools.lru_cache(maxsize=512)
def impedance(Re, Qms, frequency):
    """Return the impedance of that woofer in free air. [ohm]"""
    there = solve(Loudspeaker(driver=woofer(Re, Qms), box=InfiniteBaffle()), np.array([frequency]))
    return complex(there.impedance[0])


def two_voltages():
    """Ask for the impedance from two readings of the meter."""

    def read(given, part):
        load = impedance(3.4, 5.0, given["f"])
        share = abs(load if part == "driver" else given["line"]) / abs(load + given["line"])
        return noisy(VOLTS * share, given["f"], given["line"], len(part))

    return Exercise(
        question=(
            "At {f} the meter reads {driver} across the driver, and {resistor} across the resistor of {line} in line. "
            "What is the driver's impedance there?"
        ),
        numbers={
            "f": Drawn(FREQUENCY, (31.5, 40, 63, 80, 125, 200)),
            "line": Drawn(OHMS, (8.2, 10, 12)),
            "driver": Follows(MILLIVOLT, lambda given: read(given, "driver")),
            "resistor": Follows(MILLIVOLT, lambda given: read(given, "resistor")),
        },
        answer=lambda given: given["line"] * given["driver"] / given["resistor"],
        kind=OHMS,
        misconceptions=(
            Misconception(
                "the ratio was turned round",
                lambda given: given["line"] * given["resistor"] / given["driver"],
                "The same current goes through both: more volts means more ohms.",
            ),
            Misconception(
                "the volts of both were taken for those of the driver",
                lambda given: given["line"] * (given["driver"] + given["resistor"]) / given["resistor"],
                "That is driver and resistor together.",
            ),
        ),
        steps=(
            Step("ratio", NUMBER, lambda at: at["driver"] / at["resistor"], "{driver} / {resistor} = {ratio}."),
            Step("found", OHMS, lambda at: at["line"] * at["ratio"], "{line} · {ratio} = {found}."),
        ),
    )


def in_line():
    """Ask for the resistor in line, from a known one in place of the driver."""
    return Exercise(
        question=(
            "You take the resistor in line for {line}. With a known resistor of {known} in place of the driver, the "
            "page works out {shown}. How large is the resistor in line really?"
        ),
        numbers={
            "line": Drawn(OHMS, (8.2, 10, 12)),
            "known": Drawn(OHMS, (4.7, 6.8, 8.2)),
            "off": Drawn(same("%", 1e-2, 0), (106, 108, 92, 94)),
            "shown": Follows(
                OHMS, lambda given: noisy(given["known"] / given["off"], given["known"], given["line"], given["off"])
            ),
        },
        answer=lambda given: given["line"] * given["known"] / given["shown"],
        kind=OHMS,
        misconceptions=(
            Misconception(
                "the correction went the wrong way",
                lambda given: given["line"] * given["shown"] / given["known"],
                "Too many ohms are shown where the resistor in line is smaller than you take it for.",
            ),
            Misconception(
                "nothing was corrected",
                lambda given: given["line"],
                "Then the known resistor would read its own ohms.",
            ),
        ),
        steps=(
            Step(
                "share", NUMBER, lambda at: at["known"] / at["shown"], "True over shown: {known} / {shown} = {share}."
            ),
            Step("real", OHMS, lambda at: at["line"] * at["share"], "{line} · {share} = {real}."),
        ),
        tolerance=0.01,
    )


def from_the_peak():
    r"""Ask for Qms from a peak and its width.

    At both edges :math:`|Z| = \sqrt{R_e Z_{max}}`.
    """

    def edge(given, side):
        return noisy(_edges(given["Re"], given["true"])[side], given["Re"], given["true"], side + 1)

    return Exercise(
        question=(
            "A coil of {Re} peaks with {top} at {fs}. At {low} and at {high} the impedance is √({Re} · {top}). "
            "How large is Qms?"
        ),
        numbers={
            "Re": Drawn(OHMS, (3.2, 3.4, 3.7)),
            "true": Drawn(QUALITY, (3.5, 4.5, 6, 7.5)),
            "fs": Follows(HERTZ, lambda given: woofer().fs),
            "top": Follows(OHMS, lambda given: abs(impedance(given["Re"], given["true"], woofer().fs))),
            "low": Follows(HERTZ, lambda given: edge(given, 0)),
            "high": Follows(HERTZ, lambda given: edge(given, 1)),
        },
        answer=lambda given: given["fs"] * np.sqrt(given["top"] / given["Re"]) / (given["high"] - given["low"]),
        kind=QUALITY,
        misconceptions=(
            Misconception(
                "the root of the height was left out",
                lambda given: given["fs"] / (given["high"] - given["low"]),
                "The edges lie at the geometric mean, not half way down. So the height counts too.",
            ),
            Misconception(
                "the height was taken without its root",
                lambda given: given["fs"] * given["top"] / given["Re"] / (given["high"] - given["low"]),
                "Of the height, the root counts.",
            ),
        ),
        steps=(
            Step("height", NUMBER, lambda at: at["top"] / at["Re"], "The height: {top} / {Re} = {height}."),
            Step("width", HERTZ, lambda at: at["high"] - at["low"], "The width: {high} − {low} = {width}."),
            Step("root", NUMBER, lambda at: np.sqrt(at["height"]), "Its root: √{height} = {root}."),
            Step(
                "found", QUALITY, lambda at: at["fs"] * at["root"] / at["width"], "{fs} · {root} / {width} = {found}."
            ),
        ),
    )


@functools.lru_cache(maxsize=64)
def _edges(Re, Qms):
    """Return where the impedance of that woofer is the geometric mean of Re and its peak. [Hz]"""
    driver = woofer(Re, Qms)
    f = np.geomspace(driver.fs / 4, driver.fs * 4, 4001)
    magnitude = np.abs(solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), f).impedance)
    above = np.flatnonzero(magnitude > np.sqrt(Re * magnitude.max()))
    return float(f[above[0]]), float(f[above[-1]])


def from_a_mass():
    """Ask for the moving mass from the shift of the peak with a mass on the cone."""

    def peak(moving, mass, time):
        return noisy(woofer(mass=moving).fs, moving, mass, time)

    return Exercise(
        question=(
            "In free air a driver peaks at {fs}, with {mass} of clay on its cone at {loaded}. How large is its moving "
            "mass?"
        ),
        numbers={
            "cone": Drawn(MASS, (10.3, 12.4, 15.1, 18.7)),
            "mass": Drawn(MASS, (6, 8, 10, 12)),
            "fs": Follows(HERTZ, lambda given: peak(given["cone"], given["mass"], 1)),
            "loaded": Follows(HERTZ, lambda given: peak(given["cone"] + given["mass"], given["mass"], 2)),
        },
        answer=lambda given: given["mass"] / ((given["fs"] / given["loaded"]) ** 2 - 1),
        kind=MASS,
        misconceptions=(
            Misconception(
                "the ratio was not squared",
                lambda given: given["mass"] / (given["fs"] / given["loaded"] - 1),
                "Four times the mass halves the frequency.",
            ),
            Misconception(
                "the clay was counted in",
                lambda given: given["mass"] / ((given["fs"] / given["loaded"]) ** 2 - 1) + given["mass"],
                "That is what moves with the clay on it.",
            ),
        ),
        steps=(
            Step("ratio", NUMBER, lambda at: (at["fs"] / at["loaded"]) ** 2, "({fs} / {loaded})² = {ratio}."),
            Step("found", MASS, lambda at: at["mass"] / (at["ratio"] - 1), "{mass} / ({ratio} − 1) = {found}."),
        ),
    )


def from_a_box():
    """Ask for Vas from the shift of the peak on a sealed box."""

    def closed(given):
        box, driver = SealedBox(volume=given["volume"]), woofer(mass=given["cone"])
        return noisy(box.resonance(driver), given["volume"] / litre, given["cone"])

    return Exercise(
        question=(
            "In free air a driver peaks at {fs}, on a sealed box of {volume} at {closed}. Air of which volume is as "
            "compliant as its suspension (Vas)?"
        ),
        numbers={
            "cone": Drawn(MASS, (10.3, 12.4, 15.1, 18.7)),
            "volume": Drawn(VOLUME, (8, 10, 12, 15)),
            "fs": Follows(HERTZ, lambda given: noisy(woofer(mass=given["cone"]).fs, given["volume"], given["cone"])),
            "closed": Follows(HERTZ, closed),
        },
        answer=lambda given: given["volume"] * ((given["closed"] / given["fs"]) ** 2 - 1),
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the 1 was left out",
                lambda given: given["volume"] * (given["closed"] / given["fs"]) ** 2,
                "The suspension is a spring as well: take off its share.",
            ),
            Misconception(
                "the ratio was not squared",
                lambda given: given["volume"] * (given["closed"] / given["fs"] - 1),
                "Four times the stiffness doubles the frequency.",
            ),
        ),
        steps=(
            Step("ratio", NUMBER, lambda at: (at["closed"] / at["fs"]) ** 2, "({closed} / {fs})² = {ratio}."),
            Step("found", VOLUME, lambda at: at["volume"] * (at["ratio"] - 1), "{volume} · ({ratio} − 1) = {found}."),
        ),
    )
