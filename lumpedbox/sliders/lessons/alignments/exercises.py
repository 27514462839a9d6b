"""Exercises of the lesson on alignments."""

from __future__ import annotations

import numpy as np

from ....design.alignments import closed_alignment, named_alignment, power_law
from ....design.alignments.published import POWER_LAWS
from ....parts.radiator import PassiveRadiator
from ....response.poles import PolesAndZeros
from ....units import litre
from ...kit.drawn import Drawn, Follows
from ...kit.exercises import Exercise, Misconception, Sheet
from ...kit.systems import FREQUENCY, LEVEL, PLAIN, QUALITY, TOTAL_Q, VOLUME


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
        question=(
            "A driver has fs = {fs} and Qts = {Qts}. Its closed box is made so small that Qtc = 0.707. What is f3?"
        ),
        numbers={"fs": Drawn(FREQUENCY, (25, 28, 32, 36)), "Qts": Drawn(QUALITY, (0.3, 0.35, 0.4, 0.45))},
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
        question=(
            "A pair of poles lies {left} to the left of the imaginary axis and {up} above and below the real one. "
            "What is its Q?"
        ),
        numbers={"left": Drawn(FREQUENCY, (8, 10, 12, 15)), "up": Drawn(FREQUENCY, (12, 16, 20, 24, 28, 32))},
        answer=lambda given: _pair(given).resonances[0][1],
        kind=QUALITY,
        misconceptions=(
            Misconception(
                "only the height was taken for its frequency",
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
        question=(
            "B4 is tuned to fs with and without leaks, and its a1 is 2.613. With h = 1, a1 = 1 / QL + 1 / QT. Which "
            "Qts does it ask for in a box of QL = {Ql}?"
        ),
        numbers={"Ql": Drawn(PLAIN, (5, 6, 7, 8, 9, 10, 11, 12, 13, 14, 15, 16, 18, 20))},
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
    """Ask by how many litres a power law misses the exact volume; from a Qts of 0.3 on it misses enough to be seen."""
    return Exercise(
        question=(
            "A driver has Qts = {Qts} and Vas = {Vas}. Its alignment without leaks takes exactly {exact}. By how many "
            "{unit} does the power law 20 Vas Qts^3.3 miss that?"
        ),
        numbers={
            "Qts": Drawn(QUALITY, (0.3, 0.35, 0.4, 0.45, 0.5)),
            "Vas": Drawn(VOLUME, (40, 60, 80, 100)),
            "exact": Follows(VOLUME, lambda given: given["Vas"] / power_law(given["Qts"]).exact.alpha),
        },
        answer=lambda given: abs(given["Vas"] * power_law(given["Qts"]).volume_over_vas - given["exact"]),
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the volume of the power law itself was given",
                lambda given: given["Vas"] * power_law(given["Qts"]).volume_over_vas,
                "How far is that from what is exact?",
            ),
            Misconception(
                "it was the law for a leakage Q of 7",
                lambda given: abs(given["Vas"] * _leaky_law(given["Qts"]) - given["exact"]),
                "Each law goes with its leaks, and so does each exact volume.",
            ),
        ),
        tolerance=0.05,
    )


def _leaky_law(Qts):
    factor, exponent, *_ = POWER_LAWS[7.0]
    return factor * Qts**exponent


def notch_of_a_radiator():
    """Ask for the notch of a box with a passive radiator."""
    return Exercise(
        question=(
            "A box with a passive radiator is tuned to {fb}; Vap is {delta} times the volume of the box. Where is the "
            "notch?"
        ),
        numbers={"fb": Drawn(FREQUENCY, (28, 32, 36, 40)), "delta": Drawn(PLAIN, (1.5, 2, 3, 4, 6))},
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
        question=(
            "A vented box plays down to {high}. Another one of the same volume and the same alignment shall play down "
            "to {low}. How much less efficient is it, in dB?"
        ),
        numbers={"high": Drawn(FREQUENCY, (45, 50, 55, 60)), "low": Drawn(FREQUENCY, (25, 28, 30, 32))},
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
