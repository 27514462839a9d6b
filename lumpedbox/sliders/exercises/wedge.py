"""Exercises of the lesson on the wedge."""

from __future__ import annotations

import functools

import numpy as np

from ...build import Board, Carcass, Inside, PortRun, Profile, Seat, net_account
from ...parts.box import SealedBox
from ...parts.driver import Driver
from ...parts.port import Port
from ...parts.variants import with_total_q
from ...units import cm2, mm
from ..kit.drawn import Drawn
from ..kit.exercises import Exercise, Misconception, Step
from ..kit.sheet import Sheet
from ..kit.systems import AREA, LENGTH, QUALITY, VOLUME
from .kinds import NUMBER, PERCENT

SIDE = {
    "floor": Drawn(LENGTH, (300, 330, 360)),
    "top": Drawn(LENGTH, (150, 190)),
    "height": Drawn(LENGTH, (320, 380)),
}
BOARD = Drawn(LENGTH, (15, 18))
WHAT = "A wedge is {floor} deep at the floor, {top} at the top and {height} high"
TUBE_WALL, NARROW = 3 * mm, 0.3  # m: a width at which only the side is looked at
NO_SIZE = {"fs": 32, "Qes": 0.42, "Qms": 5, "Sd": 214 * cm2, "Re": 3.3}  # a bass driver's: only Qts and Vas count


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((outside(), inside(), built(), wide(), springs()), "wedge")


def wedge_of(given, width, board=18 * mm):
    """Return a wedge of boards. [m]"""
    return _made(*(given[name] for name in ("floor", "top", "height")), width, board)


@functools.cache
def _made(floor, top, height, width, board):
    profile = Profile(points=((0, 0), (floor, 0), (top, height), (0, height)), names=("floor", "front", "top", "back"))
    return Carcass(profile=profile, width=width, board=Board(thickness=board))


def outside():
    """Ask for the litres that a wedge takes."""
    return Exercise(
        question=WHAT + ", all outside. It is {width} wide. How much space does it take?",
        numbers=SIDE | {"width": Drawn(LENGTH, (350, 420, 480))},
        answer=lambda given: wedge_of(given, given["width"]).outside_volume,
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "it was taken as deep everywhere as at the floor",
                lambda given: given["floor"] * given["height"] * given["width"],
                "It gets shallower on the way up. How deep is it half way?",
            ),
            Misconception(
                "it was taken as a triangle",
                lambda given: given["floor"] * given["height"] * given["width"] / 2,
                "It does not end in an edge: the top has a depth, too.",
            ),
        ),
        steps=(
            Step(
                "middle",
                LENGTH,
                lambda at: (at["floor"] + at["top"]) / 2,
                "Half way up it is ({floor} + {top}) / 2 = {middle} deep.",
            ),
            Step(
                "side",
                AREA,
                lambda at: wedge_of(at, at["width"]).profile.area,
                "The side: {middle} · {height} = {side}.",
            ),
            Step(
                "space",
                VOLUME,
                lambda at: wedge_of(at, at["width"]).outside_volume,
                "Times the width: {side} · {width} = {space}.",
            ),
        ),
    )


def inside():
    """Ask for the litres between the boards."""
    return Exercise(
        question=WHAT
        + " and {width} wide, all outside. Its boards are {board}. How much is inside, while it is empty?",
        numbers=SIDE | {"width": Drawn(LENGTH, (350, 420, 480)), "board": BOARD},
        answer=lambda given: wedge_of(given, given["width"], given["board"]).inside_volume,
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "one board was taken off each way",
                lambda given: _block(given, 1),
                "There is a board at either end.",
            ),
            Misconception(
                "the boards at the two sides were forgotten",
                lambda given: _block(given, 2) / (given["width"] - 2 * given["board"]) * given["width"],
                "The cheeks are boards as well.",
            ),
        ),
        steps=BETWEEN_BOARDS,
    )


def built():
    """Ask for the air that is left beside a driver and a port."""
    return Exercise(
        question=(
            "A straight box has {wide} × {high} × {deep} inside. The driver takes up {driver}, printed from the flange "
            "on, and its hole is {hole} in a board of {board}. A tube, {tube} over its wall, reaches {length} into the "
            "box. How much air is left?"
        ),
        numbers={
            "wide": Drawn(LENGTH, (250, 300)),
            "high": Drawn(LENGTH, (260,)),
            "deep": Drawn(LENGTH, (200, 240)),
            "driver": Drawn(VOLUME, (1.3, 1.7)),
            "hole": Drawn(LENGTH, (181,)),
            "board": Drawn(LENGTH, (18, 24)),
            "tube": Drawn(LENGTH, (66,)),
            "length": Drawn(LENGTH, (180, 210)),
        },
        answer=lambda given: _line(given, "net"),
        kind=VOLUME,
        misconceptions=(
            Misconception(
                "the hole was forgotten",
                lambda given: _line(given, "net") - _line(given, "hole in the back"),
                "The printed figure counts the basket in the hole too, and there is no wood.",
            ),
            Misconception(
                "the tube was forgotten",
                lambda given: _line(given, "net") - _line(given, "port"),
                "The air in the port swings as a mass: it is not the box's.",
            ),
        ),
        steps=LINE_BY_LINE,
        tolerance=0.01,
    )


def wide():
    """Ask for the width that makes a wanted number of litres."""
    return Exercise(
        question=(
            WHAT
            + ", outside. Its boards are {board}. Driver and port take up {taken}. How wide must it be outside for "
            "{net} of air?"
        ),
        numbers=SIDE
        | {
            "board": BOARD,
            "taken": Drawn(VOLUME, (1.2, 2.1)),
            "net": Drawn(VOLUME, (15, 20)),
        },
        answer=lambda given: _clear(given, _side(given)) + 2 * given["board"],
        kind=LENGTH,
        misconceptions=(
            Misconception(
                "the two cheeks were forgotten",
                lambda given: _clear(given, _side(given)),
                "That is the width of the air. The cheeks come on top.",
            ),
            Misconception(
                "the side was taken as it is outside",
                lambda given: _clear(given, wedge_of(given, NARROW).profile.area) + 2 * given["board"],
                "The air has a smaller side than the box: floor, top, back and front are boards.",
            ),
        ),
        steps=(
            Step(
                "side",
                AREA,
                _side,
                "The side of the air, as before: {side}.",
            ),
            Step("all", VOLUME, lambda at: at["net"] + at["taken"], "{net} + {taken} = {all} must be inside."),
            Step("clear", LENGTH, lambda at: at["all"] / at["side"], "{all} / {side} = {clear} between the cheeks."),
            Step("outer", LENGTH, lambda at: at["clear"] + 2 * at["board"], "{clear} + 2 · {board} = {outer}."),
        ),
    )


def springs():
    """Ask for the Qtc of the box that was built."""
    return Exercise(
        question=(
            "A closed box takes {space} of space, and {share} of that is air. The driver has Qts = {Qts} and "
            "Vas = {Vas}. What is Qtc?"
        ),
        numbers={
            "space": Drawn(VOLUME, (24, 30, 40)),
            "share": Drawn(PERCENT, (60, 70)),
            "Qts": Drawn(QUALITY, (0.35, 0.45)),
            "Vas": Drawn(VOLUME, (40, 50, 60)),
        },
        answer=lambda given: _qtc(given, given["space"] * given["share"]),
        kind=QUALITY,
        misconceptions=(
            Misconception(
                "the space was taken for air",
                lambda given: _qtc(given, given["space"]),
                "Boards are no spring. Only the air counts.",
            ),
            Misconception(
                "the square root was forgotten",
                lambda given: given["Qts"] * (1 + given["Vas"] / (given["space"] * given["share"])),
                "Q grows as the resonance does: with the root of the stiffness.",
            ),
        ),
        steps=(
            Step("air", VOLUME, lambda at: at["space"] * at["share"], "Air: {share} of {space} = {air}."),
            Step("alpha", NUMBER, lambda at: at["Vas"] / at["air"], "α = {Vas} / {air} = {alpha}."),
            Step("stiffer", NUMBER, lambda at: 1 + at["alpha"], "1 + α = {stiffer} times as stiff as without a box."),
            Step("Qtc", QUALITY, lambda at: _qtc(at, at["air"]), "{Qts} · √{stiffer} = {Qtc}."),
        ),
    )


def _slant(given):
    """Return how much thicker the leaning front is as the level cuts it. [1]"""
    return np.hypot(1.0, (given["floor"] - given["top"]) / given["height"])


def _middle(given):
    """Return the depth half way up, outside. [m]"""
    return (given["floor"] + given["top"]) / 2


def _block(given, boards):
    """Return the litres when some boards are taken off each way. [m3]"""
    off = boards * given["board"]
    return (_middle(given) - off) * (given["height"] - off) * (given["width"] - off)


@functools.cache
def _account(wide, high, deep, driver, hole, board, tube, length):
    """Return the account of a straight box with a driver and a port in its back: name of a line: volume. [m3]"""
    outer = {"floor": deep + 2 * board, "top": deep + 2 * board, "height": high + 2 * board}
    bass = Driver.from_thiele_small(**NO_SIZE, Vas=0.03, displacement=driver, cutout=hole)
    port = Port(length=length + board, diameter=tube - 2 * TUBE_WALL)
    run = PortRun(port=port, panel="back", along=high / 4, wall=TUBE_WALL)
    within = Inside(drivers=Seat(driver=bass, panel="back", along=high / 2), ports=run)
    account = net_account(wedge_of(outer, wide + 2 * board, board), within)
    return {line.name: line.volume for line in account.lines} | {"net": account.sum}


def _line(given, name):
    """Return one line of the account of that box. [m3]"""
    names = ("wide", "high", "deep", "driver", "hole", "board", "tube", "length")
    return _account(*(given[one] for one in names))[name]


def _side(given):
    """Return the side of the air. [m2]"""
    empty = wedge_of(given, NARROW, given["board"])
    return empty.inside_volume / empty.clear_width


def _clear(given, side):
    """Return the width between the cheeks that makes the wanted litres of a side. [m]"""
    return (given["net"] + given["taken"]) / side


def _qtc(given, volume):
    """Return Qtc in a tight closed box. [1]"""
    driver = with_total_q(Driver.from_thiele_small(**NO_SIZE, Vas=given["Vas"]), given["Qts"])
    return float(SealedBox(volume=volume).Qtc(driver))


BETWEEN_BOARDS = (
    Step(
        "slant",
        LENGTH,
        lambda at: at["board"] * _slant(at),
        "The front leans. Cut level, its board is {board} · √(1 + (({floor} − {top}) / {height})²) = {slant}.",
    ),
    Step(
        "middle",
        LENGTH,
        lambda at: _middle(at) - at["board"] - at["slant"],
        "Half way up it is ({floor} + {top}) / 2 − {board} − {slant} = {middle} deep inside.",
    ),
    Step("high", LENGTH, lambda at: at["height"] - 2 * at["board"], "{height} − 2 · {board} = {high} high."),
    Step(
        "clear",
        LENGTH,
        lambda at: wedge_of(at, at["width"], at["board"]).clear_width,
        "{width} − 2 · {board} = {clear} wide.",
    ),
    Step(
        "empty",
        VOLUME,
        lambda at: wedge_of(at, at["width"], at["board"]).inside_volume,
        "{middle} · {high} · {clear} = {empty}.",
    ),
)

LINE_BY_LINE = (
    Step(
        "empty",
        VOLUME,
        lambda at: _line(at, "inside"),
        "Empty: {wide} · {high} · {deep} = {empty}.",
    ),
    Step(
        "gap",
        VOLUME,
        lambda at: _line(at, "hole in the back"),
        "The hole through the board: π / 4 · ({hole})² · {board} = {gap}.",
    ),
    Step(
        "pipe",
        VOLUME,
        lambda at: -_line(at, "port"),
        "The tube: π / 4 · ({tube})² · {length} = {pipe}.",
    ),
    Step(
        "left",
        VOLUME,
        lambda at: at["empty"] + at["gap"] - at["driver"] - at["pipe"],
        "{empty} + {gap} − {driver} − {pipe} = {left}.",
    ),
)
