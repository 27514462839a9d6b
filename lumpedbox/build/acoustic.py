"""From a box of boards to the box that is solved, and back."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..air import AIR, Air
from ..arguments import Single, takes
from ..errors import Refused
from ..parts.box import SealedBox, VentedBox
from ..parts.port import Port, end_correction
from ..quantity import Holds, Text, implied
from .account import BOX, INSIDE, net_account, with_net_volume
from .workings.sizes import longest_inside

ACOUSTIC = Single(Holds((SealedBox, VentedBox)))
LIKE = Single(Holds((SealedBox, VentedBox), optional=True))


@takes(box=BOX, inside=INSIDE, like=LIKE)
def acoustic_box(box, inside, like=None):
    r"""Return the box that is solved: its net volume, and its ports with the end corrections of their places. [m3]

    Parameters
    ----------
    box : Carcass or Hopper
    inside : Inside
    like : SealedBox or VentedBox, optional
        Whose losses and filling to keep.

    Returns
    -------
    SealedBox or VentedBox
        Several ports that are not alike become one tuning: their masses are side by side.

    Notes
    -----
    A bare hole, or a tube that reaches into the box by less than its radius, ends flush with the inside of its panel.
    Any longer one ends free. A slot's mouth is mirrored in each wall that it shares, so that k walls make it
    :math:`2^k` times as large. Of two opposite cheeks one counts. The air beyond it grows by :math:`\sqrt{2^k}` (ours).
    """
    volume, longest = net_account(box, inside).sum, longest_inside(box)
    kept = {} if like is None else {name: getattr(like, name) for name in ("Ql", "Qa", "filling", "spread")}
    if not inside.ports:
        return SealedBox(volume=volume, longest_side=longest, **kept)
    kept |= {"Qp": like.Qp} if isinstance(like, VentedBox) else {}
    ports = [_port_in_place(run, box, inside) for run in inside.ports]
    if all(port == ports[0] for port in ports):
        together = dataclasses.replace(ports[0], count=len(ports))
        return VentedBox(volume=volume, port=together, longest_side=longest, **kept)
    area, shares = sum(port.area for port in ports), sum(port.area / port.effective_length for port in ports)
    filling = kept.get("filling", 1.0)
    fb = Air().sound_speed / (2 * np.pi) * np.sqrt(shares / (volume * filling))
    return VentedBox(volume=volume, fb=float(fb), port_area=area, longest_side=longest, **kept)


def _port_in_place(run, box, inside):
    """Return the port with the inner end of its place, longer by what shared walls add to the air beyond it."""
    lined = box.with_layers(inside.layers)
    panel, port = lined.panel(run.panel), run.port
    radius = np.sqrt(port.area / np.pi)
    flush = port.length - panel.thickness < radius
    wall = max(panel.inside_area, 1.01 * port.area)
    ends = {"inner_end": "flush", "inner_wall": wall} if flush else {"inner_end": "free", "inner_wall": np.inf}
    beyond = end_correction(ends["inner_end"], radius, ends["inner_wall"])
    cheeks = min(1, sum(name.endswith("cheek") for name in run.shares))
    walls = sum(not name.endswith("cheek") for name in run.shares) + cheeks
    return dataclasses.replace(port, length=port.length + beyond * (np.sqrt(2.0**walls) - 1), **ends)


@takes(acoustic=ACOUSTIC, box=BOX, inside=INSIDE, by=Text(), air=Single(AIR))
def carcass_for(acoustic, box, inside, by="width", air=Air()):
    """Return a box of boards with the net volume and the tuning of one that is solved, such as the search finds. [m3]

    Parameters
    ----------
    acoustic : SealedBox or VentedBox
    box : Carcass or Hopper
        Its shape, to be changed in one dimension.
    inside : Inside
        What is in it; the ports of a vented box get the length that tunes it, all of them alike.
    by : str
        The dimension that gives, as in `with_net_volume`.
    air : Air

    Returns
    -------
    tuple
        The Carcass or Hopper, and the Inside.

    Raises
    ------
    ValueError
        If a vented box gets no port, or a closed box one; if no port of that area tunes it.
    """
    vented = isinstance(acoustic, VentedBox)
    if vented != bool(inside.ports):
        needs = "at least one port for a vented box" if vented else "no port for a closed box"
        raise Refused("carcass_for", "inside", f"must have {needs}, got {len(inside.ports)}")
    if vented:
        fb = float(acoustic.tuning(air) * np.sqrt(acoustic.filling))
        inside = dataclasses.replace(inside, ports=_tuned(inside, box, fb, acoustic.volume, air))
    return with_net_volume(box, inside, acoustic.volume, by), inside


def _tuned(inside, box, fb, volume, air):
    """Return the ports with the length that tunes a volume, each taking its share of it."""
    first = inside.ports[0]
    if any(run.port.area != first.port.area or run.panel != first.panel for run in inside.ports):
        raise Refused("carcass_for", "inside", "must have ports alike, in one panel, for one length to tune them")
    share = volume / len(inside.ports)
    run = first
    for _ in range(2):  # first as a tube that ends free, then as what it has become
        in_place = _port_in_place(run, box, inside)
        added = in_place.length - run.port.length
        length = float(in_place.length_for(fb, share, air)) - added
        run = dataclasses.replace(run, port=dataclasses.replace(run.port, length=_possible(length, run, box, inside)))
    return tuple(dataclasses.replace(each, port=run.port) for each in inside.ports)


def _possible(length, run, box, inside):
    through = box.with_layers(inside.layers).thickness_of(run.panel)
    if length < through:
        told = (
            f"of {run.port.area * 1e4:.4g} cm2 would be {length * 1e3:.0f} mm long, less than the board it goes through"
        )
        raise Refused("carcass_for", "inside", f"has a port that is too small: one {told}", ": take a larger one")
    last = max((after for after, _ in run.bends), default=0.0)
    if length <= last:
        told = f"asks for a port of {length * 1e3:.0f} mm, but the one inside has a bend after {last * 1e3:.0f} mm"
        raise Refused("carcass_for", "acoustic", told)
    return implied(Port, "length", length, "the box's tuning and volume")
