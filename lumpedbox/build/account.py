"""How many litres are left in a box, line by line, and the box of a number of litres."""

from __future__ import annotations

import dataclasses
from typing import NamedTuple

import numpy as np

from ..arguments import Single, takes
from ..errors import Refused
from ..parts.displacement import assumed_from, displacement
from ..quantity import Holds, OneOf, Quantity, Text
from .carcass import Carcass
from .hopper import Hopper
from .inside import FLANGE, INNER_FACE, Inside
from .workings.sizes import CUTOUT, check_panels, cutout_of
from .workings.slots import Slot

BOX = Holds((Carcass, Hopper))
INSIDE = Single(Holds((Inside,)))
NET = Single(Quantity(unit="m3", meaning="net volume", low=1e-4, high=10.0, slips=("litre", "cubic_foot", "cm3")))
FIRST_STEP, SMALLEST_STEP, FARTHEST = 1e-3, 1e-9, 4.0  # m that a panel is moved


class AccountLine(NamedTuple):
    """One line of the account.

    Attributes
    ----------
    name : str
    volume : float
        Negative for what takes air away. [m3]
    source : str
        Where it came from, and what is assumed.
    """

    name: str
    volume: float
    source: str


class NetAccount(NamedTuple):
    """Litres as an account.

    Attributes
    ----------
    lines : tuple of AccountLine
    sum : float
        The net volume. [m3]
    """

    lines: tuple
    sum: float


@takes(box=BOX, inside=INSIDE)
def net_account(box, inside):
    r"""Return what is inside a box, line by line, and the sum. [m3]

    .. math:: V = V_{inside} - V_{layers} + \sum \frac{\pi d^2}{4} t - \sum V_{driver} - \sum A_{port} (L - t)
                  - \sum V_{brace} - V_{cup}

    Parameters
    ----------
    box : Carcass or Hopper
    inside : Inside

    Returns
    -------
    NetAccount

    Raises
    ------
    ValueError
        If nothing is left, or `inside` names a panel that the box does not have.

    Notes
    -----
    The hole that a driver fills is air, where its printed displacement starts at the flange: it counts the basket in
    the hole. Where it starts at the inner face of the board, the hole does not count. Air in a port is not the box's.

    Examples
    --------
    >>> from lumpedbox.build import Board, Cup, Profile
    >>> wedge = Profile(points=((0, 0), (0.3, 0), (0.2, 0.4), (0, 0.4)), names=("floor", "front", "top", "back"))
    >>> box = Carcass(profile=wedge, width=0.4, board=Board(thickness=0.018))
    >>> for line in net_account(box, Inside(others=Cup(volume=0.15e-3))).lines:
    ...     print(f"{line.volume * 1e3:7.3f}  {line.name}: {line.source}")
     28.281  inside: from the inner faces of the boards
     -0.150  terminal cup: as given
    """
    check_panels(box, inside)
    lines = [AccountLine("inside", box.inside_volume, "from the inner faces of the boards")]
    lined = box.with_layers(inside.layers) if inside.layers else box
    if inside.layers:
        taken = lined.inside_volume - box.inside_volume
        lines.append(AccountLine("second layer", taken, "from the inner faces with it, fitted between the boards"))
    for seat in inside.drivers:
        lines += _driver_lines(seat, lined.thickness_of(seat.panel))
    lines += [_port_line(run, lined) for run in inside.ports]
    lines += [AccountLine("brace", -brace.volume, "as given, less its windows") for brace in inside.braces]
    lines += [AccountLine("terminal cup", -cup.volume, "as given") for cup in inside.cups]
    net = float(sum(line.volume for line in lines))
    if net <= 0:
        taken = f"takes up {(box.inside_volume - net) * 1e3:.3g} litres, but the box has only"
        raise Refused("net_account", "inside", f"{taken} {box.inside_volume * 1e3:.3g} litres inside")
    return NetAccount(tuple(lines), net)


def _driver_lines(seat, thickness):
    name = seat.driver.name or "driver"
    assumed = assumed_from(seat.driver)
    told = f"estimated from {assumed}" if assumed else "as printed"
    driver = AccountLine(name, -float(displacement(seat.driver)), f"{told}, from the {seat.printed_from}")
    if seat.printed_from == INNER_FACE:
        return [driver._replace(source=f"{driver.source}: the hole in the {seat.panel} is not counted")]
    source = "its cutout through the board"
    if seat.driver.cutout is None:
        source = f"assumed: {CUTOUT} of the cone's diameter through the board; common practice, no source"
    hole = np.pi * cutout_of(seat.driver) ** 2 / 4 * thickness
    return [AccountLine(f"hole in the {seat.panel}", float(hole), source), driver]


def _port_line(run, box):
    thickness = box.thickness_of(run.panel)
    length = run.port.length - thickness
    if length < -1e-9:
        short = f"{run.port.length * 1e3:.4g} mm, shorter than its hole through {thickness * 1e3:.4g} mm of board"
        raise Refused("net_account", "inside", f"has a port in {run.panel!r} of {short}")
    volume = run.outer_area * length if run.round else _slot_volume(run, box)
    legs = run.bends and not run.round
    source = "air and own boards of each leg, mitred" if legs else "outer section times its length inside the board"
    return AccountLine("port", -float(volume), source)


def _slot_volume(run, box):
    """Return the room that the air and the own boards of a slot take behind its panel, which may lean. [m3]"""
    slot = Slot(run, box)
    return max(sum(strip.area for strip in (*slot.air, *slot.shelves)), 0.0) * run.outer_sides[1]


@takes(box=BOX, inside=INSIDE)
def net_by_convention(box, inside):
    """Return the net volume for either convention of the printed displacement, by where it starts. [m3]

    Parameters
    ----------
    box : Carcass or Hopper
    inside : Inside

    Returns
    -------
    dict
        "flange" and "inner face".
    """
    return {start: net_account(box, _printed(inside, start)).sum for start in (FLANGE, INNER_FACE)}


def _printed(inside, start):
    seats = [dataclasses.replace(seat, printed_from=start) for seat in inside.drivers]
    return dataclasses.replace(inside, drivers=seats)


@takes(box=BOX, inside=INSIDE, net=NET, by=Text())
def with_net_volume(box, inside, net, by="width"):
    """Return the box with one dimension changed so that its net volume is right. [m3]

    Parameters
    ----------
    box : Carcass or Hopper
        What to start from.
    inside : Inside
        What is in it.
    net : float
        Wanted net volume. [m3]
    by : str
        "width", or the panel of a profile that is moved parallel to itself; "height" for a frustum.

    Returns
    -------
    Carcass or Hopper

    Raises
    ------
    ValueError
        If no such box is left between too small to build and 4 m more; the message says how far it goes.

    Notes
    -----
    The root of the whole account, since holes and ports change with the boards they go through.
    """
    changed = _change(box, by)

    def excess(distance):
        try:
            return net_account(changed(distance), inside).sum - net
        except Refused:
            return None

    near, far = _bracket(excess, by, net)
    from scipy.optimize import brentq

    return changed(brentq(excess, near, far, xtol=1e-16, rtol=1e-15))


def _change(box, by):
    """Return the box as a function of how far one dimension is changed. [m]"""
    if isinstance(box, Hopper):
        OneOf(("height",)).accept("with_net_volume", "by", by)
        return lambda distance: dataclasses.replace(box, height=box.height + distance)
    OneOf(("width", *box.profile.names)).accept("with_net_volume", "by", by)
    if by == "width":
        return lambda distance: dataclasses.replace(box, width=box.width + distance)
    return lambda distance: dataclasses.replace(box, profile=box.profile.with_edge_moved(by, distance))


def _bracket(excess, by, net):
    """Return two changes between which the net volume is met: ever larger steps, smaller ones where no box is left.

    A box that cannot be built yet is taken as too small.
    """
    near, found_near, step, growth = 0.0, excess(0.0), FIRST_STEP, 2.0
    sign = -1.0 if found_near is not None and found_near > 0 else 1.0
    while abs(near) < FARTHEST and step > SMALLEST_STEP:
        far = near + sign * step
        found = excess(far)
        if found is None and found_near is not None:
            step, growth = step / 2, 1.0
        elif found is not None and found * sign >= 0 and found_near is not None:
            return near, far
        else:
            if found is not None and found * sign >= 0:  # the first box that can be built is too large: back
                sign, step, growth = -sign, step / 2, 1.0
            near, found_near, step = far, found, step * growth
    told = "no such box can be built" if found_near is None else f"it ends at {(found_near + net) * 1e3:.4g} litres"
    raise Refused("with_net_volume", "net", f"of {net * 1e3:.4g} litres is out of reach by {by!r}: {told}")
