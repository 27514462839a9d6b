"""Exercises of the lesson on the door of a vehicle."""

from __future__ import annotations

import numpy as np

from ...air import Air
from ...parts.box import Door
from ..kit.drawn import SPEED_OF_SOUND, Drawn, Follows
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import AREA, DRAUGHT, FREQUENCY, LENGTH, LEVEL, TRAVEL, VOLUME, WAY, same
from .kinds import METRE, NUMBER, SPEED_AS_C, VOLUME_AND_AREA, converted

TIMES_AS_MUCH = same("times", decimals=1)
DEGREES = same("", decimals=1)
SHARE = same("", decimals=3)


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((hole_resonance(), round_the_edge(), tissue(), crack(), how_high()), "sealed_door")


STEPS_OF_RESONANCE = (
    *VOLUME_AND_AREA,
    Step(
        "L",
        METRE,
        lambda at: at["ends"] * at["d"] / 2,
        "So deep the hole seems: {ends} · {d} / 2 = {L}.",
    ),
    Step(
        "resonance",
        FREQUENCY,
        lambda at: at["c"] / (2 * np.pi) * np.sqrt(at["S"] / (at["V"] * at["L"])),
        "A mass on a spring: {c} / 2π · √({S} / ({V} · {L})) = {resonance}.",
    ),
)


def hole_resonance():
    """Ask where the air in a hole resonates on the spring of the air in the door."""
    return Exercise(
        question=(
            "A door holds {volume} of air and has a round hole, {diameter} across, in thin sheet. Where does the air "
            "in the hole resonate? Sound travels at {speed}. The air beyond both ends moves along: it makes the hole "
            "seem {ends} times its radius deep. (Leave out the sheet's own thickness.)"
        ),
        numbers={
            "volume": Drawn(VOLUME, (20, 25, 30, 40)),
            "diameter": Drawn(LENGTH, (80, 100, 120, 150, 200)),
            "speed": SPEED_OF_SOUND,
            "ends": Follows(NUMBER, lambda given: 1.7),
        },
        answer=_resonance,
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "the air at one end only was counted",
                lambda given: _resonance(given) * np.sqrt(2),
                "The air moves along inside the door as well as outside.",
            ),
            Misconception(
                "the square root was forgotten",
                lambda given: 2 * np.pi * _resonance(given) ** 2 / given["speed"],
                "A resonance follows the square root of the spring's stiffness over the mass.",
            ),
        ),
        steps=STEPS_OF_RESONANCE,
    )


STEPS_OF_A_DIPOLE = (
    converted("path", "way", "The path in metres"),
    SPEED_AS_C,
    Step(
        "half",
        DEGREES,
        lambda at: 180 * at["frequency"] * at["way"] / at["c"],
        "Half of the angle: 180 · {frequency} · {way} / {c} = {half} degrees.",
    ),
    Step(
        "left",
        SHARE,
        lambda at: 2 * np.sin(np.radians(at["half"])),
        "What is left: 2 · sin({half} degrees) = {left}.",
    ),
    Step("softer", LEVEL, lambda at: -20 * np.log10(at["left"]), "−20 · log({left}) = {softer}."),
)


def round_the_edge():
    """Ask how much softer a cone is whose back is heard too, out of step and a little later."""
    return Exercise(
        question=(
            "Far below its resonance a large hole moves as much air as the cone, and against it. It lies {path} "
            "further from the ear. Sound travels at {speed}. How much softer is {frequency} than from the cone alone? "
            "(The sum of two equal tones is 2 · sin(half of the angle by which the later one lags) times one of them.)"
        ),
        numbers={
            "path": Drawn(WAY, (0.2, 0.25, 0.3, 0.35, 0.4, 0.5)),
            "speed": SPEED_OF_SOUND,
            "frequency": Drawn(FREQUENCY, (20, 25, 30, 40, 50)),
        },
        answer=lambda given: -20 * float(np.log10(_left(given))),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the whole angle was taken for its half",
                lambda given: -20 * float(np.log10(2 * np.sin(2 * _half_angle(given)))),
                "Halve the angle before you take the sine.",
            ),
            Misconception(
                "it was counted as power",
                lambda given: -10 * float(np.log10(_left(given))),
                "The sine gives a sound pressure: of that, decibels are 20 times the logarithm.",
            ),
        ),
        steps=STEPS_OF_A_DIPOLE,
        tolerance=0.3,
    )


def tissue():
    """Ask how fast the same air moves through holes of two sizes."""
    return Exercise(
        question=(
            "Through a hole of {large} a soft low tone moves the air at {slow}. The same flow goes through a hole of "
            "{small} instead. How fast does the air move there?"
        ),
        numbers={
            "large": Drawn(AREA, (150, 200, 250, 300)),
            "slow": Drawn(DRAUGHT, (0.12, 0.17, 0.2, 0.25)),
            "small": Drawn(AREA, (3, 4, 5, 8)),
        },
        answer=lambda given: given["slow"] * given["large"] / given["small"],
        kind=DRAUGHT,
        misconceptions=(
            Misconception(
                "the ratio was turned round",
                lambda given: given["slow"] * given["small"] / given["large"],
                "The same litres a second must go through less room: faster.",
            ),
            Misconception(
                "the root of the ratio was taken",
                lambda given: given["slow"] * np.sqrt(given["large"] / given["small"]),
                "Flow is speed times area, not times width.",
            ),
        ),
        steps=(
            Step("times", TIMES_AS_MUCH, lambda at: at["large"] / at["small"], "{large} / {small} = {times}."),
            Step(
                "fast",
                DRAUGHT,
                lambda at: at["slow"] * at["times"],
                "Speed times area stays: {slow} · {times} = {fast}.",
            ),
        ),
    )


STEPS_OF_A_CRACK = (
    Step(
        "thicker",
        TIMES_AS_MUCH,
        lambda at: (at["thick"] / at["thin"]) ** 3,
        "For the thickness: ({thick} / {thin})³ = {thicker}.",
    ),
    Step(
        "times",
        TIMES_AS_MUCH,
        lambda at: at["thicker"] * at["longer"] / at["length"],
        "For the length: {thicker} · {longer} / {length} = {times}.",
    ),
)


def crack():
    """Ask how much more a crack lets through where it is thicker."""
    return Exercise(
        question=(
            "A crack is {thin} thick and {length} long. In a thin crack the drag of the air counts, and it falls with "
            "the third power of the thickness. How many times as much air does the same pressure push through a crack "
            "of {thick} by {longer}, as deep as the first?"
        ),
        numbers={
            "thin": Drawn(TRAVEL, (0.3, 0.4, 0.5)),
            "length": Drawn(WAY, (0.4, 0.5, 0.6)),
            "thick": Drawn(TRAVEL, (0.6, 0.8, 1.0)),
            "longer": Drawn(WAY, (0.7, 0.8, 0.9)),
        },
        answer=lambda given: _drag(given["thin"], given["length"]) / _drag(given["thick"], given["longer"]),
        kind=TIMES_AS_MUCH,
        misconceptions=(
            Misconception(
                "only the areas were compared",
                lambda given: given["thick"] * given["longer"] / (given["thin"] * given["length"]),
                "Twice as thick is not twice as much: the walls brake what is near them.",
            ),
            Misconception(
                "the length was forgotten",
                lambda given: (given["thick"] / given["thin"]) ** 3,
                "A longer crack lets more through as well.",
            ),
        ),
        steps=STEPS_OF_A_CRACK,
    )


def how_high():
    """Ask up to where a door counts as one volume of air."""
    return Exercise(
        question=(
            "The longest side of a door is {side} inside. Sound travels at {speed}. The air in it counts as one spring "
            "as long as that side is no more than a sixth of a wavelength. Up to which frequency is that?"
        ),
        numbers={
            "side": Drawn(WAY, (0.55, 0.6, 0.65, 0.7, 0.75, 0.8, 0.85, 0.9, 0.95, 1.0, 1.05, 1.1, 1.2)),
            "speed": SPEED_OF_SOUND,
        },
        answer=lambda given: given["speed"] / (6 * given["side"]),
        kind=FREQUENCY,
        misconceptions=(
            Misconception(
                "a whole wavelength was taken",
                lambda given: given["speed"] / given["side"],
                "Six such sides make a wavelength, not one.",
            ),
            Misconception(
                "half a wavelength was taken",
                lambda given: given["speed"] / (2 * given["side"]),
                "That is where the door first resonates. The spring holds only well below.",
            ),
        ),
        steps=(
            converted("side", "a", "The side in metres"),
            SPEED_AS_C,
            Step("wave", METRE, lambda at: 6 * at["a"], "Six sides make a wavelength: 6 · {a} = {wave}."),
            Step("limit", FREQUENCY, lambda at: at["c"] / at["wave"], "The frequency: {c} / {wave} = {limit}."),
        ),
    )


def _resonance(given):
    """Of a hole with no depth but the air beyond its ends."""
    area = np.pi * given["diameter"] ** 2 / 4
    door = Door(volume=given["volume"], hole_area=area, hole_depth=0.0)
    return float(door.hole_resonance()) * given["speed"] / float(Air().sound_speed)


def _half_angle(given):
    return np.pi * given["frequency"] * given["path"] / given["speed"]


def _left(given):
    return 2 * np.sin(_half_angle(given))


def _drag(height, length):
    return float(Door(volume=0.03, crack=(height, length)).hole_resistance())
