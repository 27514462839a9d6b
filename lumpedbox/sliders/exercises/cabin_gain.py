"""Exercises of the lesson on what a cabin does."""

from __future__ import annotations

import numpy as np

from ...parts.cabin import Cabin
from ...units import ms
from ..kit.drawn import SPEED_OF_SOUND, Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import DELAY, FREQUENCY, LEVEL, same
from .kinds import NUMBER, SECOND

LENGTH = same("m", decimals=2)
VOLUME = same("m³", decimals=1)
LENGTHS = Drawn(LENGTH, (2.0, 2.1, 2.2, 2.3, 2.4, 2.6, 2.8, 3.0, 3.2, 3.5, 3.8, 4.2, 4.6, 5.0))
VOLUMES = Drawn(VOLUME, (2.5, 2.8, 3.2, 3.5, 4.0, 4.5, 5.0, 6.0, 7.0, 8.0, 9.0, 11.0, 12.0, 14.0))


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((first_resonance(), corner_by_volume(), added_below(), softer_at_the_ear(), crowded()), "cabin_gain")


def first_resonance():
    """Ask where the first resonance of a cabin lies."""
    return Exercise(
        question="Sound travels at {c}. A cabin is {length} long, its longest side. What is the first resonance?",
        numbers={"c": SPEED_OF_SOUND, "length": LENGTHS},
        answer=lambda given: float(_cabin(given["length"]).first_resonance()),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "a whole wave was fitted between the walls",
                lambda given: given["c"] / given["length"],
                "Half a wave is enough: it presses at one end while it draws at the other.",
            ),
            Misconception(
                "a quarter of a wave was fitted between the walls",
                lambda given: given["c"] / (4 * given["length"]),
                "A quarter fits a tube with one open end. A cabin is closed at both.",
            ),
        ),
        steps=(
            Step(
                "wave", LENGTH, lambda at: 2 * at["length"], "Half a wave fits, so the wave is 2 · {length} = {wave}."
            ),
            Step("f", FREQUENCY, lambda at: at["c"] / at["wave"], "f = c / wave = {c} / {wave} = {f}."),
        ),
    )


def corner_by_volume():
    """Ask below which frequency a cabin adds, by its volume."""
    return Exercise(
        question=(
            "A cabin holds {volume} of air, and its panels make it 1.5 times as soft. Sound travels at {c}. Below "
            "which frequency does it add, against half space at 1 m?"
        ),
        numbers={"volume": VOLUMES, "c": SPEED_OF_SOUND},
        answer=lambda given: float(_of_volume(given["volume"]).volume_corner()),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the panels were taken as stiff",
                lambda given: float(_of_volume(given["volume"]).volume_corner()) * np.sqrt(1.5),
                "Soft panels act as more air: the volume counts 1.5 times.",
            ),
            Misconception(
                "the circle's 2 pi was left out before the root",
                lambda given: given["c"] * np.sqrt(2 * np.pi / (1.5 * given["volume"])),
                "That is the angular frequency: divide it by 2 pi.",
            ),
        ),
        steps=(
            Step("V", VOLUME, lambda at: 1.5 * at["volume"], "The air counts as 1.5 · {volume} = {V}."),
            Step(
                "f",
                FREQUENCY,
                lambda at: at["c"] / (2 * np.pi) * np.sqrt(2 * np.pi / at["V"]),
                "fc = c / 2π · √(2π · 1 m / V) = {c} / 2π · √(2π · 1 m / {V}) = {f}.",
            ),
        ),
    )


def added_below():
    """Ask what a tight cabin adds below its corner."""
    return Exercise(
        question="By its volume a cabin without leaks adds below {corner}. How much does it add at {frequency}?",
        numbers={
            "corner": Drawn(FREQUENCY, (40, 47, 55, 63, 70)),
            "frequency": Drawn(FREQUENCY, (15, 18, 20, 25)),
        },
        answer=lambda given: 10 * np.log10(1 + (given["corner"] / given["frequency"]) ** 4),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "6 dB an octave were taken",
                lambda given: 20 * np.log10(given["corner"] / given["frequency"]),
                "The pressure in a closed volume goes with the travel: 12 dB an octave against open air.",
            ),
            Misconception(
                "12 dB were taken for each step of the lower frequency, not for each octave",
                lambda given: 12 * (given["corner"] / given["frequency"] - 1),
                "An octave is twice the frequency: count doublings.",
            ),
        ),
        steps=(
            Step("ratio", NUMBER, lambda at: at["corner"] / at["frequency"], "{corner} / {frequency} = {ratio}."),
            Step(
                "added",
                LEVEL,
                lambda at: 10 * np.log10(1 + at["ratio"] ** 4),
                "10 · log(1 + {ratio}⁴) = {added}.",
            ),
        ),
        tolerance=0.2,
    )


def softer_at_the_ear():
    """Ask how much softer a resonance is at the ear than at the wall."""
    return Exercise(
        question=(
            "A cabin is {length} long. In its first resonance pressure goes as cos(π x / length), x from its front. "
            "How many dB softer is it at {ear} than at the front?"
        ),
        numbers={"length": Drawn(LENGTH, (2.3, 3.0, 4.2, 5.0)), "ear": Drawn(LENGTH, (0.7, 0.8, 0.9, 1.0))},
        answer=lambda given: -20 * np.log10(np.cos(np.pi * given["ear"] / given["length"])),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the pressure was taken to fall in a straight line to the middle",
                lambda given: -20 * np.log10(1 - 2 * given["ear"] / given["length"]),
                "It falls as a cosine does: slowly at the wall, quickly near the middle.",
            ),
            Misconception(
                "the pressure was taken as a power",
                lambda given: -10 * np.log10(np.cos(np.pi * given["ear"] / given["length"])),
                "A level is 20 times the logarithm of a ratio of pressures.",
            ),
        ),
        steps=(
            Step(
                "share",
                NUMBER,
                lambda at: np.cos(np.pi * at["ear"] / at["length"]),
                "The share that is left: cos(π · {ear} / {length}) = {share}.",
            ),
            Step("softer", LEVEL, lambda at: -20 * np.log10(at["share"]), "-20 · log({share}) = {softer}."),
        ),
        tolerance=0.2,
    )


def crowded():
    """Ask above which frequency resonances crowd."""
    return Exercise(
        question="A cabin of {volume} has a reverberation time of {time}. From which frequency do resonances crowd?",
        numbers={"volume": VOLUMES, "time": Drawn(DELAY, (60, 80, 100, 120, 150))},
        answer=lambda given: float(_of_volume(given["volume"], given["time"]).modal_limit),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the root was left out",
                lambda given: 2000 * given["time"] / given["volume"],
                "Take the root of time over volume.",
            ),
            Misconception(
                "time and volume were swapped",
                lambda given: 2000 * np.sqrt(given["volume"] / given["time"]),
                "A larger cabin crowds lower: the volume is below the line.",
            ),
        ),
        steps=(
            Step("T", SECOND, lambda at: at["time"], "The time in seconds: {time} = {T}."),
            Step(
                "f",
                FREQUENCY,
                lambda at: 2000 * np.sqrt(at["T"] / at["volume"]),
                "fx = 2000 · √(T / V) = 2000 · √({T} / {volume}) = {f}.",
            ),
        ),
    )


def _cabin(length):
    return Cabin(length=length, width=1.0, height=1.0)


def _of_volume(volume, time=80 * ms):
    """Return a cabin of some volume [m3] and reverberation time [s]; its sides are of no account."""
    side = volume ** (1 / 3)
    return Cabin(length=side, width=side, height=side, reverberation_time=time)
