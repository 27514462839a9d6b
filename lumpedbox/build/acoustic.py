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
from .workings.settling import settled
from .workings.sizes import longest_inside

ACOUSTIC = Single(Holds((SealedBox, VentedBox)))
SHORTER = 1e-9  # m: a port that wants to be as much shorter than its hole is too small
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
    A bare hole ends flush with the inside of its panel. A tube that reaches into the box by its radius or more ends
    free. One between is taken as far between (ours). A slot's mouth is mirrored in each wall that it shares, so that k
    walls make it :math:`2^k` times as large. Of two opposite cheeks one counts. The air beyond it grows by
    :math:`\sqrt{2^k}` (ours).
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
    """Return the port with the inner end of its place, longer by what else the air beyond it adds there."""
    panel, port = box.with_layers(inside.layers).panel(run.panel), run.port
    radius = np.sqrt(port.area / np.pi)
    reach = float(np.clip((port.length - panel.thickness) / radius, 0.0, 1.0))
    wall = max(panel.inside_area, 1.01 * port.area)
    flush, free = end_correction("flush", radius, wall), end_correction("free", radius, np.inf)
    beyond = (1 - reach) * flush + reach * free
    named, own = ({"inner_end": "flush", "inner_wall": wall}, flush) if reach < 1 else ({"inner_end": "free"}, free)
    cheeks = min(1, sum(name.endswith("cheek") for name in run.shares))
    walls = sum(not name.endswith("cheek") for name in run.shares) + cheeks
    return dataclasses.replace(port, length=port.length + beyond * np.sqrt(2.0**walls) - own, **named)


@takes(acoustic=ACOUSTIC, box=BOX, inside=INSIDE, by=Text(), air=Single(AIR))
def carcass_for(acoustic, box, inside, by="width", air=Air()):
    """Return a box of boards with the net volume and the tuning of one that is solved, such as the search finds. [m3]

    Parameters
    ----------
    acoustic : SealedBox or VentedBox
    box : Carcass or Hopper
        Its shape, to be changed in one dimension.
    inside : Inside
        What is in it; each port of a vented box gets the length that tunes its share of the volume.
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
    if not vented:
        return with_net_volume(box, inside, acoustic.volume, by), inside
    return _tuned(acoustic, box, inside, by, air)


def _tuned(acoustic, box, inside, by, air):
    """Return the box and what is in it: a port is as long as its end wants, which lies in the box that it makes."""
    area, count = inside.ports[0].port.area, len(inside.ports)
    if any(run.port.area != area for run in inside.ports):
        raise Refused("carcass_for", "inside", "must have ports of one area, each for its share of the volume")
    fb, share = float(acoustic.tuning(air) * np.sqrt(acoustic.filling)), acoustic.volume / count

    def wanted(made, inside):
        return [_length(run, made, inside, fb, share, air) for run in inside.ports]

    def built(lengths):
        ports = [_with_length(run, float(each)) for run, each in zip(inside.ports, lengths, strict=True)]
        fitted = dataclasses.replace(inside, ports=ports)
        return with_net_volume(box, fitted, acoustic.volume, by), fitted

    def lengths_in(made, fitted):
        pairs = zip(wanted(made, fitted), fitted.ports, strict=True)
        return np.array([_possible(length, run, made, fitted) for length, run in pairs])

    lengths = settled(lambda lengths: lengths_in(*built(lengths)), lengths_in(box, inside))
    made, inside = built(lengths)
    least = min(zip(wanted(made, inside), lengths, strict=True), key=lambda pair: pair[0] - pair[1])
    if least[0] < least[1] - SHORTER:
        told = f"{area * 1e4:.4g} cm2 would be {least[0] * 1e3:.0f} mm long, less than the board it goes through"
        raise Refused("carcass_for", "inside", f"has a port that is too small: one of {told}", ": take a larger one")
    return made, inside


def _length(run, box, inside, fb, volume, air):
    """Return the length that tunes a volume, with the end of the port's place as it is. [m]"""
    in_place = _port_in_place(run, box, inside)
    return float(in_place.length_for(fb, volume, air)) - (in_place.length - run.port.length)


def _possible(length, run, box, inside):
    """Return a length that a port can have, or that of its hole, where it is less. [m]"""
    last = max((after for after, _ in run.bends), default=0.0)
    if run.bends and length <= last:
        told = f"asks for a port of {length * 1e3:.0f} mm, but the one inside has a bend after {last * 1e3:.0f} mm"
        raise Refused("carcass_for", "acoustic", told)
    length = max(length, box.with_layers(inside.layers).thickness_of(run.panel))
    return implied(Port, "length", length, "the box's tuning and volume")


def _with_length(run, length):
    return dataclasses.replace(run, port=dataclasses.replace(run.port, length=length))
