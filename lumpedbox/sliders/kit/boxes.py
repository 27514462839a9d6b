"""A box as litres, tuning and port: for a file, in words, and for a link to the page that draws it."""

from __future__ import annotations

import math
from pathlib import Path
from urllib.parse import urlencode

from ...parts.box import SealedBox, VentedBox
from ...tables.entries import in_words
from .systems import VOLUME

DRAW = "draw_the_box.ipynb"
LITRES = "litres"  # of the steps of that page


def entries_of(box, digits=10):
    """Return key: text of a sealed or vented box, its losses left out."""
    known = {"volume": float(box.volume)}
    if isinstance(box, VentedBox):
        known |= {"tuning": float(box.tuning()), "port_area": float(box.opening_area)}
    return {key: in_words("box", key, value, digits=digits) for key, value in known.items()}


def said(box, system):
    """Say what kind of box it is, in a few words and in a system of units."""
    words = VOLUME.shown(system).text(box.volume)
    return f"vented, {words}, {box.tuning():.0f} Hz" if isinstance(box, VentedBox) else f"sealed, {words}"


def wanted_of(box):
    """Return what the page that draws boxes must make of one, by the names of its controls. [SI]"""
    if not isinstance(box, VentedBox):
        return {"wanted": float(box.volume), "port": 0.0}
    area = box.port_area if box.port is None else box.port.area
    return {"wanted": float(box.volume), "tuning": float(box.tuning())} | tube_of(area)


def tube_of(area):
    r"""Return the inside diameter of a tube, by the name of its control; nothing where its area is not known. [SI]

    .. math:: d = \sqrt{4 S / \pi}
    """
    return {"port": math.sqrt(4 * area / math.pi)} if area else {}


def draw_it(box, beside, system):
    """Return the link to the page that draws it, and what it says: a list with one pair, or none without that page.

    Parameters
    ----------
    box : SealedBox or VentedBox
    beside : dict
        What else the link tells, by name.
    system : str
        Of units.
    """
    if not Path(DRAW).is_file():
        return []
    told = {name: f"{value:.9g}" for name, value in wanted_of(box).items()}
    return [[f"Draw it: {said(box, system)}", f"{DRAW}#{urlencode(beside | {'step': LITRES} | told)}"]]


def boxes_of(system):
    """Return the names of the loudspeakers that stand in a box."""
    return [name for name, one in zip(system.names, system.loudspeakers, strict=True) if in_a_box(one)]


def in_a_box(speaker):
    """Whether a loudspeaker stands in a box: then its impedance tells how that came out."""
    return isinstance(speaker.box, (SealedBox, VentedBox))
