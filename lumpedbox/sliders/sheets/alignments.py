"""Exercises of the lesson on alignments."""

from __future__ import annotations

import numpy as np

from ...design.alignments import POWER_LAWS, closed_alignment, named_alignment, power_law
from ...parts.radiator import PassiveRadiator
from ...response import PolesAndZeros
from ...units import litre
from ..exercises import Exercise, Misconception, Sheet
from ..systems import FREQUENCY, LEVEL, QUALITY, VOLUME, same
from .draw import one_of

TOTAL_Q = same("", decimals=3)


def alignments_sheet():
    """Return the exercises of the lesson on alignments."""
    return Sheet(
        (
            f3_of_a_closed_butterworth(),
            q_of_a_pole(),
            q_of_a_leaky_b4(),
            miss_of_a_power_law(),
            notch_of_a_radiator(),
            price_of_a_lower_f3(),
        )
    )


def f3_of_a_closed_butterworth():
    """Ask for f3 of a driver in the closed box that makes Butterworth of it."""
    return Exercise(
        draw=lambda random: {"fs": one_of(random, (25, 28, 32, 36)), "Qts": one_of(random, (0.3, 0.35, 0.4, 0.45))},
        ask=lambda given, system: (
            f"A driver has fs = {given['fs']:.0f} Hz and Qts = {QUALITY.metric.text(given['Qts'])}. Its closed box is "
            "made so small that Qtc = 0.707. Where is half of the power left?"
        ),
        answer=lambda given: given["fs"] * _lift(given) * closed_alignment(2**-0.5).f3_over_fc,
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the resonance of the driver was given",
                lambda given: given["fs"],
                "The box lifts the resonance by as much as it lifts Q.",
            ),
            Misconception(
                "the ratio of the two Q was squared",
                lambda given: given["fs"] * _lift(given) ** 2,
                "Stiffness grows with the square; resonance and Q grow alike.",
            ),
        ),
    )


def _lift(given):
    return 2**-0.5 / given["Qts"]


def q_of_a_pole():
    """Ask for the Q of a pair of poles."""
    return Exercise(
        draw=lambda random: {
            "left": one_of(random, (8, 10, 12, 15)),
            "up": one_of(random, (20, 24, 28, 32)),
        },
        ask=lambda given, system: (
            f"A pair of poles lies {given['left']:.0f} Hz to the left of the imaginary axis and {given['up']:.0f} Hz "
            "above and below the real one. What is its Q?"
        ),
        answer=lambda given: _pair(given).resonances[0][1],
        kind=QUALITY,
        misconceptions=(
            Misconception(
                "only the way upwards was taken for its frequency",
                lambda given: given["up"] / (2 * given["left"]),
                "Its frequency is the distance from the origin.",
            ),
            Misconception(
                "the 2 was forgotten",
                lambda given: float(np.hypot(given["left"], given["up"]) / given["left"]),
                "On the real axis, where it no longer swings, Q is a half.",
            ),
        ),
    )


def _pair(given):
    upper = 2 * np.pi * (-given["left"] + 1j * given["up"])
    return PolesAndZeros(poles=np.array([upper.conjugate(), upper]), zeros=np.zeros(2, complex), gain=1.0)


def q_of_a_leaky_b4():
    """Ask which driver becomes a B4 in a box that leaks."""
    return Exercise(
        draw=lambda random: {"Ql": one_of(random, (5, 7, 10, 15))},
        ask=lambda given, system: (
            "B4 is tuned to fs with and without leaks, and its a1 is 2.613. With h = 1, a1 = 1 / QL + 1 / QT. Which "
            f"Qts does it ask for in a box of QL = {given['Ql']:.0f}?"
        ),
        answer=lambda given: named_alignment("B4", Ql=given["Ql"]).Qts,
        kind=TOTAL_Q,
        misconceptions=(
            Misconception(
                "the leak was left out",
                lambda given: named_alignment("B4").Qts,
                "Both brake: what the leak does already, the driver must not do again.",
            ),
            Misconception(
                "the leak was taken off on the wrong side",
                lambda given: 1 / (1 / named_alignment("B4").Qts + 1 / given["Ql"]),
                "The two brakes together make 2.613; the driver's is what the leak leaves.",
            ),
        ),
        tolerance=0.005,
    )


def miss_of_a_power_law():
    """Ask by how many litres a power law misses the exact volume."""
    return Exercise(
        draw=lambda random: {
            "Qts": one_of(random, (0.25, 0.3, 0.45, 0.5)),
            "Vas": one_of(random, (40, 60, 80, 100)) * litre,
        },
        ask=lambda given, system: (
            f"A driver has Qts = {QUALITY.metric.text(given['Qts'])} and Vas = "
            f"{VOLUME.shown(system).text(given['Vas'])}. Its alignment without leaks takes exactly "
            f"{VOLUME.shown(system).text(_exact(given))}. By how much does the power law 20 Vas Qts^3.3 miss that?"
        ),
        answer=lambda given: abs(given["Vas"] * power_law(given["Qts"]).volume_over_vas - _exact(given)),
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the volume of the power law itself was given",
                lambda given: given["Vas"] * power_law(given["Qts"]).volume_over_vas,
                "How far is that from what is exact?",
            ),
            Misconception(
                "it was the law for a leakage Q of 7",
                lambda given: abs(given["Vas"] * _leaky_law(given["Qts"]) - _exact(given)),
                "Each law goes with its leaks, and so does each exact volume.",
            ),
        ),
        tolerance=0.05,
    )


def _exact(given):
    return given["Vas"] / power_law(given["Qts"]).exact.alpha


def _leaky_law(Qts):
    factor, exponent, *_ = POWER_LAWS[7.0]
    return factor * Qts**exponent


def notch_of_a_radiator():
    """Ask for the notch of a box with a passive radiator."""
    return Exercise(
        draw=lambda random: {"fb": one_of(random, (28, 32, 36, 40)), "delta": one_of(random, (1.5, 2, 4, 6))},
        ask=lambda given, system: (
            f"A box with a passive radiator is tuned to {given['fb']:.0f} Hz; Vap is {given['delta']:g} times the "
            "volume of the box. Where is the notch?"
        ),
        answer=_notch,
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the root was forgotten",
                lambda given: given["fb"] / (1 + given["delta"]),
                "A resonance follows the square root of the stiffness.",
            ),
            Misconception(
                "the suspension of the radiator was forgotten",
                lambda given: given["fb"] / np.sqrt(given["delta"]),
                "At fb the air in the box and the suspension are springs together: 1 + delta.",
            ),
        ),
    )


def _notch(given):
    """Find fp of a radiator whose mass is made such that it tunes some box."""
    volume = 40 * litre
    soft = PassiveRadiator.from_resonance(fp=given["fb"], Vap=given["delta"] * volume, Sd=0.03)
    return float(soft.tuned(given["fb"], volume).fp)


def price_of_a_lower_f3():
    """Ask how much efficiency a lower f3 costs in the same volume."""
    return Exercise(
        draw=lambda random: {"high": one_of(random, (45, 50, 55, 60)), "low": one_of(random, (25, 28, 30, 32))},
        ask=lambda given, system: (
            f"A vented box plays down to {given['high']:.0f} Hz. Another one of the same volume and the same alignment "
            f"shall play down to {given['low']:.0f} Hz. How much less efficient is it?"
        ),
        answer=lambda given: float(30 * np.log10(given["high"] / given["low"])),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "efficiency was taken to follow f3 itself",
                lambda given: float(10 * np.log10(given["high"] / given["low"])),
                "Efficiency over f3 cubed and volume is what stays.",
            ),
            Misconception(
                "efficiency was taken to follow its square",
                lambda given: float(20 * np.log10(given["high"] / given["low"])),
                "Efficiency over f3 cubed and volume is what stays: not the square.",
            ),
        ),
        tolerance=0.2,
    )
