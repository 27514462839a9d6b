"""How heavy a box is, what must hold it, and where its panels ring."""

from __future__ import annotations

from typing import NamedTuple

import numpy as np

from ..arguments import Single, takes
from ..errors import Refused
from ..quantity import missing
from .account import BOX, INSIDE
from .fit import CARCASS
from .inside import Inside
from .workings.fields import One
from .workings.plates import clamped, simply_supported
from .workings.slots import Slot

GRAVITY = 9.80665  # m/s2 (standard; CGPM 1901)
FORWARD, OTHERWISE = 20.0, 10.0  # g (common practice, no source; UN R17 and ISO 27955 lie near, from memory)
EXTRA = One(unit="kg", meaning="mass of drivers and the like", low=0.0, high=200.0, slips=("gram",))
GRID = 12  # lines each way between which inscribed rectangles are sought


class Forces(NamedTuple):
    """What a fixing must hold.

    Attributes
    ----------
    mass : float
        [kg]
    forward, otherwise : float
        In a crash, forward and in any other direction. [N]
    """

    mass: float
    forward: float
    otherwise: float


@takes(box=BOX, extra=Single(EXTRA), inside=INSIDE)
def forces(box, extra=0.0, inside=Inside()):
    r"""Return the mass of a box and what its fixing must hold: 20 g forward, 10 g otherwise. [kg], [N]

    .. math:: F = 20\,m\,g, \quad F = 10\,m\,g

    Parameters
    ----------
    box : Carcass or Hopper
    extra : float
        Mass of drivers and the like; the boards are counted without their holes. [kg]
    inside : Inside
        Its braces, second layers and boards of slots are counted, as of the wood of the box.

    Returns
    -------
    Forces
        Common practice, no source: local codes and the vehicle's maker come first. Friction holds nothing.

    Raises
    ------
    ValueError
        If the density of a board is not known.
    """
    if box.mass is None:
        raise missing("Board.density", "density of the board", "weigh an offcut, or leave the forces out")
    mass = box.mass + extra + (box.board.density or 0.0) * _wood_within(box, inside)
    return Forces(mass, FORWARD * GRAVITY * mass, OTHERWISE * GRAVITY * mass)


def _wood_within(box, inside):
    """Return the volume of braces, second layers and boards of slots. [m3]"""
    lined = box.with_layers(inside.layers)
    slots = sum(board.volume for run in inside.ports if not run.round for board in Slot(run, lined).boards)
    return box.inside_volume - lined.inside_volume + sum(brace.volume for brace in inside.braces) + slots


class PanelResonance(NamedTuple):
    """Between which frequencies the lowest resonance of a panel lies.

    Attributes
    ----------
    name : str
    low, high : float
        Simply supported on the rectangle round it, and clamped on a rectangle within it. [Hz]
    braced_low, braced_high : float
        The same for the largest field that braces leave. [Hz]
    """

    name: str
    low: float
    high: float
    braced_low: float
    braced_high: float


@takes(box=CARCASS, inside=INSIDE)
def panel_resonances(box, inside=Inside()):
    r"""Return between which frequencies the panels without holes ring first. [Hz]

    .. math:: f_{low} = \frac{\pi}{2} \left(\frac{1}{a^2} + \frac{1}{b^2}\right) \sqrt{D/m''}

    .. math:: f_{high} = \frac{\lambda(a/b)}{2\pi a^2} \sqrt{D/m''}, \quad \lambda(1) = 35.99

    Parameters
    ----------
    box : Carcass
    inside : Inside
        Panels with a driver, a port or a cup are left out. A brace divides the panels that it names into equal fields,
        across their longer side.

    Returns
    -------
    tuple of PanelResonance

    Raises
    ------
    ValueError
        If density or modulus of a board is not known.

    Notes
    -----
    A panel is stiffer than the rectangle round it on hinges, and softer than one within it that is clamped. For a
    square the lower bound is 19.74 and the upper 35.99 times :math:`\sqrt{D/m''} / 2\pi a^2`. The upper one is found by
    Ritz with three shapes along each side, so from above. A brace is taken as rigid.

    References
    ----------
    A. W. Leissa, "Vibration of plates", NASA SP-160 (1969), from memory.
    """
    holed = {panel for field, panel in inside.panels if field != "others"} | {cup.panel for cup in inside.cups}
    lined = box.with_layers(inside.layers)
    return tuple(_resonance(lined, name, _fields(inside, name)) for name in box.panel_names if name not in holed)


def _fields(inside, name):
    """Return into how many fields braces divide a panel."""
    return 1 + sum(brace.count for brace in inside.braces if name in brace.panels)


def _resonance(box, name, fields):
    board = box.board_of(name)
    if board.stiffness is None or board.weight is None:
        lacking = "modulus" if board.stiffness is None else "density"
        raise missing(f"Board.{lacking}", f"{lacking} of the board of {name!r}", "give it, or leave resonances out")
    root = np.sqrt(board.stiffness / board.weight)
    around, within = _rectangles(box, name)
    bounds = [simply_supported(*around, root), clamped(*within, root)]
    braced = [simply_supported(*_divided(around, fields), root), clamped(*_divided(within, fields), root)]
    return PanelResonance(name, *map(float, (*bounds, *braced)))


def _divided(sides, fields):
    return max(sides) / fields, min(sides)


def _rectangles(box, name):
    """Return the sides of a rectangle round the free span of a panel, and of one within it. [m]"""
    if not name.endswith("cheek"):
        i = box.profile.names.index(name)
        span = float(np.hypot(*(box.inside[(i + 1) % len(box.inside)] - box.inside[i])))
        return (span, box.clear_width), (span, box.clear_width)
    return tuple(np.ptp(box.inside, axis=0)), _inscribed(box.inside)


def _inscribed(points):
    """Return the sides of the largest rectangle on a grid that lies in a polygon. [m]"""
    import shapely

    air = shapely.Polygon(points).buffer(1e-9)
    shapely.prepare(air)
    x, y = (np.union1d(np.linspace(p.min(), p.max(), GRID), p) for p in np.asarray(points).T)
    i, j = np.triu_indices(len(x), 1)
    k, m = np.triu_indices(len(y), 1)
    x0, y0 = (a.ravel() for a in np.meshgrid(x[i], y[k]))
    x1, y1 = (a.ravel() for a in np.meshgrid(x[j], y[m]))
    area = (x1 - x0) * (y1 - y0)
    order = np.argsort(-area)
    for chunk in np.array_split(order, max(1, len(order) // 500)):
        good = shapely.covers(air, shapely.box(x0[chunk], y0[chunk], x1[chunk], y1[chunk]))
        if good.any():
            first = chunk[np.argmax(good)]
            return float(x1[first] - x0[first]), float(y1[first] - y0[first])
    raise Refused("panel_resonances", "box", "has a profile too thin to find a rectangle in")
