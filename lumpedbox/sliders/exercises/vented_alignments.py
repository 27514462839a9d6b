"""Exercises on the alignments of vented boxes, and of those with a passive radiator."""

from __future__ import annotations

import numpy as np

from ...design.alignments import named_alignment, power_law, vented_alignment
from ...design.alignments.published import POWER_LAWS
from ...parts.radiator import PassiveRadiator
from ...units import litre
from ..kit.drawn import Drawn, Follows
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import FREQUENCY, LEVEL, PLAIN, QUALITY, TOTAL_Q, VOLUME
from .kinds import NUMBER


def exercises():
    """Return the exercises, from reading a table to the price of a choice."""
    return (
        volume_of_an_alignment(),
        miss_of_a_power_law(),
        q_of_a_leaky_b4(),
        notch_of_a_radiator(),
        price_of_a_lower_f3(),
    )


def sheet():
    """Return the sheet of a lesson on them."""
    return Sheet(exercises(), "vented_alignments")


def volume_of_an_alignment():
    """Ask for a volume that is read from the table."""
    return Exercise(
        question=(
            "A driver has Qts = {Qts} and Vas = {Vas}. Look its alignment up in the table, without leaks. How large "
            "is the box?"
        ),
        numbers={
            "Qts": Drawn(QUALITY, (0.25, 0.3, 0.35, 0.45, 0.5)),
            "Vas": Drawn(VOLUME, (40, 60, 80, 100)),
        },
        answer=lambda given: given["Vas"] / vented_alignment(given["Qts"]).alpha,
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the half of the table for a box that leaks was read",
                lambda given: given["Vas"] / vented_alignment(given["Qts"], 7.0).alpha,
                "The question is about a box without leaks.",
            ),
            Misconception(
                "Vas was multiplied by the number in the table",
                lambda given: given["Vas"] * vented_alignment(given["Qts"]).alpha,
                "The table prints Vas over the volume.",
            ),
        ),
        steps=(
            Step(
                "alpha",
                NUMBER,
                lambda at: vented_alignment(at["Qts"]).alpha,
                "Row {Qts}, without leaks, column Vas/V: {alpha}.",
            ),
            Step("volume", VOLUME, lambda at: at["Vas"] / at["alpha"], "V = {Vas} / {alpha} = {volume}."),
        ),
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
        steps=(
            Step(
                "law",
                VOLUME,
                lambda at: 20 * at["Vas"] * at["Qts"] ** 3.3,
                "The power law says 20 · {Vas} · {Qts}^3.3 = {law}.",
            ),
            Step(
                "miss",
                VOLUME,
                lambda at: abs(at["law"] - at["exact"]),
                "From there to what is exact: |{law} − {exact}| = {miss}.",
            ),
        ),
        tolerance=0.05,
    )


def _leaky_law(Qts):
    factor, exponent, *_ = POWER_LAWS[7.0]
    return factor * Qts**exponent


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
        steps=(
            Step("leak", NUMBER, lambda at: 1 / at["Ql"], "What the leak brakes: 1 / {Ql} = {leak}."),
            Step(
                "driver",
                NUMBER,
                lambda at: 2.613 - at["leak"],
                "What it leaves to the driver: 2.613 − {leak} = {driver}.",
            ),
            Step("Qts", TOTAL_Q, lambda at: 1 / at["driver"], "Qts is one over that: 1 / {driver} = {Qts}."),
        ),
        tolerance=0.005,
    )


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
        steps=(
            Step(
                "stiffer",
                NUMBER,
                lambda at: 1 + at["delta"],
                "At fb air and suspension are springs together, at the notch the suspension is alone. "
                "How many times as stiff is it at fb? 1 + {delta} = {stiffer}.",
            ),
            Step(
                "fp",
                FREQUENCY,
                lambda at: at["fb"] / np.sqrt(at["stiffer"]),
                "fp = fb / √(1 + δ) = {fb} / √{stiffer} = {fp}.",
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
            "A vented box plays down to {high}. You want another one of the same volume and alignment to play down to "
            "{low}. How many dB less efficient is it?"
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
        steps=(
            Step(
                "cubed",
                NUMBER,
                lambda at: (at["high"] / at["low"]) ** 3,
                "η0 = kη f3³ V, and V stays: efficiency falls by ({high} / {low})³ = {cubed} times.",
            ),
            Step("dB", LEVEL, lambda at: 10 * np.log10(at["cubed"]), "As a ratio of powers: 10 · log({cubed}) = {dB}."),
        ),
        tolerance=0.2,
    )
