"""Exercises of the lesson on the order of steps: every level is that of the invented plan."""

from __future__ import annotations

import functools

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
THEN, AND = ", then ", " and "
NEAR = 0.15  # dB, for what is made of several printed levels


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((on_average(), alone_and_after(), loudest_clean(), fair_share()), "free_steps")


@functools.cache
def _plan():
    return demo_plan()


@functools.cache
def _figures(done):
    return figures(_plan().after(*done))


def _clean(*done):
    """Highest clean level from 40 to 80 Hz after some steps of the plan. [dB re 20 uPa]"""
    return _figures(frozenset(done)).clean


def _told(*done):
    return Follows(LEVEL, lambda given: _clean(*_steps(given, done)))


def _steps(given, done):
    """Return names of steps, of those that the question has drawn."""
    return [name for key in done for name in given[key].split(THEN)]


def on_average():
    """Ask for what an order of three steps averages."""
    orders = (
        (TWEETERS, SEAL, SMALL),
        (SMALL, SEAL, ROOF),
        (SEAL, ROOF, AMPLIFIER),
        (ROOF, SEAL, SMALL),
        (AMPLIFIER, BOX, ROOF),
        (SMALL, AMPLIFIER, BOX),
        (AMPLIFIER, ROOF, BOX),
        (SEAL, AMPLIFIER, BOX),
    )

    def after(count):
        return Follows(LEVEL, lambda given: _clean(*given["order"].split(THEN)[:count]))

    def mean(given):
        return (given["first"] + given["second"] + given["third"]) / 3

    return Exercise(
        question=(
            "Three steps are done: {order}. The clean bass is {found} as found, then {first}, {second} and {third}. "
            "What does it average over these three steps?"
        ),
        numbers={
            "order": Name(tuple(THEN.join(order) for order in orders)),
            "found": Follows(LEVEL, lambda given: _clean()),
            "first": after(1),
            "second": after(2),
            "third": after(3),
        },
        answer=mean,
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "what was found was counted as a step",
                lambda given: (3 * mean(given) + given["found"]) / 4,
                "You have that anyhow: only what comes after each step counts.",
            ),
            Misconception(
                "only the end was taken",
                lambda given: given["third"],
                "The end is the same in many orders. What do you listen to until then?",
            ),
        ),
        steps=(
            Step(
                "total",
                LEVEL,
                lambda at: at["first"] + at["second"] + at["third"],
                "Added up: {first} + {second} + {third} = {total}.",
            ),
            Step("mean", LEVEL, lambda at: at["total"] / 3, "Over three steps: {total} / 3 = {mean}."),
        ),
        tolerance=0.1,
    )


def alone_and_after():
    """Ask by how much a step before changes what another one does."""

    def alone(given):
        return given["one"] - given["found"]

    def late(given):
        return given["both"] - given["before"]

    names = (SEAL, SMALL, ROOF, AMPLIFIER)
    return Exercise(
        question=(
            "As found the clean bass is {found}; with the step “{step}” alone it is {one}. With the step “{earlier}” "
            "alone it is {before}, with both {both}. By how many decibels does the earlier step change what “{step}” "
            "does?"
        ),
        numbers={
            "step": Name(names),
            "earlier": Name(names),
            "found": Follows(LEVEL, lambda given: _clean()),
            "one": _told("step"),
            "before": _told("earlier"),
            "both": _told("earlier", "step"),
        },
        answer=lambda given: abs(late(given) - alone(given)),
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "the two changes were added",
                lambda given: abs(late(given) + alone(given)),
                "How far are the two changes apart? Mind which of them are losses.",
            ),
            Misconception(
                "the levels after the step were compared",
                lambda given: abs(given["both"] - given["one"]),
                "That is what the earlier step does to the level, not to the change.",
            ),
        ),
        steps=(
            Step("alone", LEVEL, alone, "Alone it changes the clean bass by {one} − {found} = {alone}."),
            Step("late", LEVEL, late, "After the earlier step: {both} − {before} = {late}."),
            Step("apart", LEVEL, lambda at: abs(at["late"] - at["alone"]), "They are {apart} apart."),
        ),
        tolerance=NEAR,
        sensible=lambda given: given["step"] != given["earlier"],
    )


def loudest_clean():
    """Ask for the highest clean level, from the level at fixed volts."""
    states = (
        (ROOF,),
        (SEAL, ROOF),
        (SMALL, ROOF),
        (SEAL, SMALL, ROOF),
        (SEAL, SMALL, AMPLIFIER),
        (AMPLIFIER, BOX, ROOF),
        (SEAL, AMPLIFIER, BOX, ROOF),
        (SEAL, SMALL, AMPLIFIER, BOX, ROOF),
    )

    def gain(given, factor=20):
        return factor * float(np.log10(given["drive"] / given["fixed"]))

    return Exercise(
        question=(
            "What is done: {done}. At {fixed} from the source the bass is {level}. The first thing gives at {drive}. "
            "How loud does the bass play clean?"
        ),
        numbers={
            "done": Name(tuple(THEN.join(state) for state in states)),
            "fixed": Follows(VOLTAGE, lambda given: _plan().voltage),
            "level": Follows(LEVEL, lambda given: _figures(frozenset(_steps(given, ["done"]))).bands[BASS]),
            "drive": Follows(VOLTAGE, lambda given: _figures(frozenset(_steps(given, ["done"]))).drive),
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
            Step(
                "more", LEVEL, lambda at: 20 * float(np.log10(at["ratio"])), "As decibels: 20 · log({ratio}) = {more}."
            ),
            Step("clean", LEVEL, lambda at: at["level"] + at["more"], "Clean: {level} + {more} = {clean}."),
        ),
        tolerance=NEAR,
    )


def fair_share():
    """Ask for the fair share of one of two steps."""

    def first(given):
        return given["one"] - given["found"]

    def last(given):
        return given["both"] - given["other"]

    pairs = ((ROOF, SEAL), (SEAL, ROOF), (ROOF, SMALL), (BOX, ROOF), (BOX, SEAL), (BOX, SMALL))

    def with_amplifier(*which):
        """The box needs the amplifier: then that is there from the start."""

        def level(given):
            pair = given["pair"].split(AND)
            begins = [AMPLIFIER] if BOX in pair else []
            return _clean(*begins, *(pair[number] for number in which))

        return Follows(LEVEL, level)

    return Exercise(
        question=(
            "There are only two steps: {pair}. The clean bass is {found} before, {one} with the first alone, {other} "
            "with the second alone, {both} with both. What is the fair share of the first?"
        ),
        numbers={
            "pair": Name(tuple(AND.join(pair) for pair in pairs)),
            "found": with_amplifier(),
            "one": with_amplifier(0),
            "other": with_amplifier(1),
            "both": with_amplifier(0, 1),
        },
        answer=lambda given: (first(given) + last(given)) / 2,
        kind=LEVEL,
        misconceptions=(
            Misconception(
                "only the order in which it comes first was counted",
                first,
                "There is another order, in which it comes last. Both count alike.",
            ),
            Misconception(
                "only the order in which it comes last was counted",
                last,
                "There is another order, in which it comes first. Both count alike.",
            ),
        ),
        steps=(
            Step("first", LEVEL, first, "It comes first: {one} − {found} = {first}."),
            Step("last", LEVEL, last, "It comes last: {both} − {other} = {last}."),
            Step(
                "share", LEVEL, lambda at: (at["first"] + at["last"]) / 2, "The mean: ({first} + {last}) / 2 = {share}."
            ),
        ),
        tolerance=NEAR,
    )
