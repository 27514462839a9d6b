"""Exercises of the lesson on the order of steps: every level is that of the invented plan."""

from __future__ import annotations

import functools
import itertools

import numpy as np

from ...plan import demo_plan, figures
from ...plan.together import BASS
from ..kit.drawn import Follows, Name
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import LEVEL, VOLTAGE
from .kinds import NUMBER

SEAL, SMALL, ROOF = "seal the step wells", "small drivers in the step wells", "keep bass from the roof"
TWEETERS, AMPLIFIER, BOX = "tweeters at the middle row", "amplifier", "bass box"
EVERY = (SEAL, SMALL, TWEETERS, ROOF, AMPLIFIER, BOX)
THEN, NOTHING = ", then ", "nothing"
BEGUN = Name((NOTHING, TWEETERS, AMPLIFIER, THEN.join((AMPLIFIER, BOX))))
NEAR = 0.15  # dB, for what is made of several printed levels
SMALLEST = 1.0  # dB, of a share that is asked for


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((on_average(), alone_and_after(), loudest_clean(), fair_share()), "free_steps")


@functools.cache
def _plan():
    return demo_plan()


@functools.cache
def _figures(done):
    return figures(_plan().after(*done))


def _done(given, *names):
    """Return the steps that some drawn names stand for, one each or several."""
    steps = [step for name in names for step in given[name].split(THEN)]
    return frozenset(step for step in steps if step != NOTHING)


def _clean(*names):
    """Return the number of a question that is the clean bass once the steps of some drawn names are done."""
    return Follows(LEVEL, lambda given: _figures(_done(given, *names)).clean)


def _possible(order):
    return BOX not in order or AMPLIFIER in order[: order.index(BOX)]


def _in_turn(orders):
    return Name(tuple(THEN.join(order) for order in orders if _possible(order)))


def on_average():
    """Ask for what an order of three steps averages."""

    def after(count):
        return Follows(LEVEL, lambda given: _figures(frozenset(given["order"].split(THEN)[:count])).clean)

    def total(given):
        return given["first"] + given["second"] + given["third"]

    return Exercise(
        question=(
            "Three steps are done: {order}. The clean bass is {found} as found, then {first}, {second} and {third}. "
            "What does it average over these three steps?"
        ),
        numbers={
            "order": _in_turn(itertools.permutations(EVERY, 3)),
            **dict(zip(("found", "first", "second", "third"), map(after, range(4)), strict=True)),
        },
        answer=lambda given: total(given) / 3,
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "what was found was counted as a step",
                lambda given: (total(given) + given["found"]) / 4,
                "You have that anyhow: only what comes after each step counts.",
            ),
            Misconception(
                "only the end was taken",
                lambda given: given["third"],
                "The end is the same in many orders. What do you listen to until then?",
            ),
        ),
        steps=(
            Step("total", LEVEL, total, "Added up: {first} + {second} + {third} = {total}."),
            Step("mean", LEVEL, lambda at: at["total"] / 3, "Over three steps: {total} / 3 = {mean}."),
        ),
        tolerance=0.1,
    )


TWO_STEPS = {  # numbers of a question on two steps
    "begun": BEGUN,
    "step": Name((SEAL, SMALL, ROOF, BOX)),
    "other": Name((SEAL, SMALL, ROOF, BOX)),
    "found": _clean("begun"),
    "one": _clean("begun", "step"),
    "before": _clean("begun", "other"),
    "both": _clean("begun", "other", "step"),
}
HAVING = (
    "Done already: {begun}. The clean bass is {found} then. The step “{step}” alone makes it {one}, the step “{other}” "
    "alone {before}, both {both}. "
)


def _two_steps(given):
    """Return whether two different steps are left, and what they need is there."""
    left, begun = {given["step"], given["other"]}, given["begun"].split(THEN)
    return len(left) == 2 and not left & set(begun) and (BOX not in left or AMPLIFIER in begun)


def _alone(given):
    return given["one"] - given["found"]


def _late(given):
    return given["both"] - given["before"]


ALONE = Step("alone", LEVEL, _alone, "Alone it changes the clean bass by {one} − {found} = {alone}.")
LATE = Step("late", LEVEL, _late, "After the other step: {both} − {before} = {late}.")


def alone_and_after():
    """Ask by how much a step before changes what another one does."""
    return Exercise(
        question=HAVING + "By how many decibels does it change what “{step}” does, if “{other}” is done first?",
        numbers=TWO_STEPS,
        answer=lambda given: abs(_late(given) - _alone(given)),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the two changes were added",
                lambda given: abs(_late(given) + _alone(given)),
                "How far are the two changes apart? Mind which of them are losses.",
            ),
            Misconception(
                "the levels after the step were compared",
                lambda given: abs(given["both"] - given["one"]),
                "That is what the other step does to the level, not to the change.",
            ),
        ),
        steps=(
            ALONE,
            LATE,
            Step("apart", LEVEL, lambda at: abs(at["late"] - at["alone"]), "They are {apart} apart."),
        ),
        tolerance=NEAR,
        sensible=lambda given: _two_steps(given) and abs(_late(given) - _alone(given)) > SMALLEST,
    )


def loudest_clean():
    """Ask for the highest clean level, from the level at fixed volts."""

    def gain(given, factor=20):
        return factor * float(np.log10(given["drive"] / given["fixed"]))

    return Exercise(
        question=(
            "What is done: {done}. At {fixed} from the source the bass is {level}. The first thing gives at {drive}. "
            "How loud does the bass play clean?"
        ),
        numbers={
            "done": _in_turn(
                itertools.chain.from_iterable(itertools.combinations(EVERY, size) for size in (1, 2, 3, 4))
            ),
            "fixed": Follows(VOLTAGE, lambda given: _plan().voltage),
            "level": Follows(LEVEL, lambda given: _figures(_done(given, "done")).bands[BASS]),
            "drive": Follows(VOLTAGE, lambda given: _figures(_done(given, "done")).drive),
        },
        answer=lambda given: given["level"] + gain(given),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "10 · log was taken of volts",
                lambda given: given["level"] + gain(given, 10),
                "10 · log belongs to watts, and watts go with the square of the volts.",
            ),
            Misconception(
                "the ratio was turned round",
                lambda given: given["level"] - gain(given),
                "More volts are louder, fewer are softer.",
            ),
        ),
        steps=(
            Step("ratio", NUMBER, lambda at: at["drive"] / at["fixed"], "The volts: {drive} / {fixed} = {ratio}."),
            Step("more", LEVEL, gain, "As decibels: 20 · log({ratio}) = {more}."),
            Step("clean", LEVEL, lambda at: at["level"] + at["more"], "Clean: {level} + {more} = {clean}."),
        ),
        tolerance=NEAR,
    )


def fair_share():
    """Ask for the fair share of one of two steps."""

    def share(given):
        return (_alone(given) + _late(given)) / 2

    return Exercise(
        question=HAVING + "What is the fair share of “{step}”?",
        numbers=TWO_STEPS,
        answer=share,
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "only the order in which it comes first was counted",
                _alone,
                "There is another order, in which it comes last. Both count alike.",
            ),
            Misconception(
                "only the order in which it comes last was counted",
                _late,
                "There is another order, in which it comes first. Both count alike.",
            ),
        ),
        steps=(
            ALONE,
            LATE,
            Step(
                "share", LEVEL, lambda at: (at["alone"] + at["late"]) / 2, "The mean: ({alone} + {late}) / 2 = {share}."
            ),
        ),
        tolerance=NEAR,
        sensible=lambda given: _two_steps(given) and share(given) > SMALLEST,
    )
