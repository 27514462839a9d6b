"""Exercises of the lesson on which box to build."""

from __future__ import annotations

from ...design.alignments import best_f3
from ...design.certainty import Doubt
from ...units import cm2, litre
from ..exercises import Exercise, Misconception, Sheet
from ..systems import AREA, FREQUENCY, LEVEL, VOLUME, same
from .draw import one_of

POWER = same("W", decimals=1)


def which_box_sheet():
    """Return the exercises of the lesson on which box to build."""
    return Sheet(
        (litres_for_a_lower_f3(), f3_of_a_louder_driver(), area_of_a_port(), power_for_a_travel(), two_doubts())
    )


def litres_for_a_lower_f3():
    """Ask for the volume that a lower f3 takes at the same efficiency and shape."""
    return Exercise(
        draw=lambda random: {
            "volume": one_of(random, (10, 12, 15, 20)) * litre,
            "high": one_of(random, (50, 55, 60)),
            "low": one_of(random, (40, 42, 45)),
        },
        ask=lambda given, system: (
            f"{VOLUME.shown(system).text(given['volume'])} reach down to {given['high']:.0f} Hz. Another driver of the "
            f"same efficiency shall reach {given['low']:.0f} Hz in a box of the same kind and shape of response. How "
            "large is that?"
        ),
        answer=lambda given: given["volume"] * (given["high"] / given["low"]) ** 3,
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the volume was taken to go with the frequency",
                lambda given: given["volume"] * given["high"] / given["low"],
                "It goes with the third power: half the frequency takes eight times the box.",
            ),
            Misconception(
                "the volume was taken to go with the square of the frequency",
                lambda given: given["volume"] * (given["high"] / given["low"]) ** 2,
                "Efficiency over f3 cubed times volume is what stays.",
            ),
        ),
    )


def f3_of_a_louder_driver():
    """Ask where a more efficient driver reaches in the same volume."""
    return Exercise(
        draw=lambda random: {"f3": one_of(random, (36, 40, 45, 50)), "more": one_of(random, (2, 3, 4))},
        ask=lambda given, system: (
            f"The best vented box of some volume reaches {given['f3']:.0f} Hz with a driver. Another driver is "
            f"{given['more']:.0f} dB more efficient. Where does its best vented box of the same volume reach?"
        ),
        answer=lambda given: given["f3"] * float(_reach(given) / best_f3("vented", 0.005, 0.03)),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the decibels were taken for a ratio of frequencies",
                lambda given: given["f3"] * 10 ** (given["more"] / 20),
                "3 dB are twice the efficiency, and of that the cube root counts.",
            ),
            Misconception(
                "more efficiency was taken to reach lower",
                lambda given: given["f3"] * 10 ** (-given["more"] / 30),
                "What is gained in efficiency is lost in bass, if the box stays.",
            ),
        ),
    )


def _reach(given):
    return best_f3("vented", 0.005 * 10 ** (given["more"] / 10), 0.03)


def area_of_a_port():
    """Ask how large a port must be for the air in it to be slower."""
    return Exercise(
        draw=lambda random: {"area": one_of(random, (30, 40, 50)) * cm2, "speed": one_of(random, (22, 25, 28))},
        ask=lambda given, system: (
            f"In a port of {AREA.shown(system).text(given['area'])} the air reaches {given['speed']:.0f} m/s. Tuning "
            "and volts stay. At which area does it reach 17 m/s?"
        ),
        answer=lambda given: given["area"] * given["speed"] / 17,
        kind=AREA,
        misconceptions=(
            Misconception(
                "the ratio was squared",
                lambda given: given["area"] * (given["speed"] / 17) ** 2,
                "The same air passes each second: area times speed stays. (The port must grow in length, too.)",
            ),
            Misconception(
                "the ratio was turned round",
                lambda given: given["area"] * 17 / given["speed"],
                "A smaller port makes the air faster.",
            ),
        ),
    )


def power_for_a_travel():
    """Ask for the power at which the cone stays within its travel."""
    return Exercise(
        draw=lambda random: {
            "power": one_of(random, (60, 80, 100)),
            "moved": one_of(random, (10, 12, 14)),
            "xmax": one_of(random, (6, 7, 8)),
        },
        ask=lambda given, system: (
            f"With {given['power']:.0f} W the cone moves {given['moved']:.0f} mm, and {given['xmax']:.0f} mm is its "
            "linear travel. How many watts may it get?"
        ),
        answer=lambda given: given["power"] * (given["xmax"] / given["moved"]) ** 2,
        kind=POWER,
        misconceptions=(
            Misconception(
                "power was taken to go with the travel",
                lambda given: given["power"] * given["xmax"] / given["moved"],
                "Travel goes with the volts, and power with their square.",
            ),
            Misconception(
                "travel was taken to go with the square of the power",
                lambda given: given["power"] * (given["xmax"] / given["moved"]) ** 0.5,
                "It is the other way round: half the travel is a quarter of the power.",
            ),
        ),
    )


def two_doubts():
    """Ask for the spread that two causes make together."""
    return Exercise(
        draw=lambda random: {"suspension": one_of(random, (0.6, 0.8, 1.2)), "motor": one_of(random, (0.5, 0.9, 1.6))},
        ask=lambda given, system: (
            f"The compliance alone leaves the level open by a standard deviation of {given['suspension']:.1f} dB, the "
            f"force factor alone by {given['motor']:.1f} dB. By how much do both together, if they have nothing to do "
            "with each other?"
        ),
        answer=lambda given: float(Doubt(dict(given)).deviation),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the two were added",
                lambda given: given["suspension"] + given["motor"],
                "They would have to be high together every time: squares add up.",
            ),
            Misconception(
                "the larger one was taken for the whole",
                lambda given: max(given.values()),
                "The smaller one still adds its square.",
            ),
        ),
        tolerance=0.03,
    )
