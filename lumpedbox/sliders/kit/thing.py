"""The thing itself: a section of each loudspeaker to scale, and how cone, port and air move at every frequency.

`thing.js` draws it.
"""

from __future__ import annotations

from dataclasses import asdict

import numpy as np

from ...circuit.solver import computed
from ...figures.style import PENS
from ...parts.box import VentedBox
from .section import section
from .systems import LENGTH, SYSTEMS, TRAVEL, VOLUME, WOOD


def things(responses, system, pens=None, deepest=None):
    """Return what is to be drawn of each loudspeaker, as plain data with its words in the reader's units.

    Parameters
    ----------
    responses : dict
        Name of the curve: Response of one loudspeaker, no family.
    system : {"metric", "US customary"}
    pens : dict, optional
        Name of the curve: (name of its pen, what to call it); the name itself by default, for both.
    deepest : float, optional
        The depth that there is for a box. [m]

    Returns
    -------
    list of dict
        "name", "pen" {"color", "dash"}, "travel" (the unit of a travel), "texts", and a `section`.

    Raises
    ------
    ValueError
        If a response is of a family.
    """
    named = {name: (name, name) for name in responses} | (pens or {})
    return [_thing(response, *named[name], system, deepest) for name, response in responses.items()]


def curves(responses, louder=lambda name: 1.0):
    """Return how cone, opening and air move, for all loudspeakers one after another.

    Parameters
    ----------
    responses : dict
        Name of the curve: Response of one loudspeaker, all on one grid.
    louder : callable
        Takes the name of a curve; returns how much more than its response it is driven: a factor, or an array of shape
        (nf,). [1]

    Returns
    -------
    bytes
        Complex numbers of two float32 each, little-endian, of shape (loudspeakers, 3, nf): see `motion`.
    """
    moving = [louder(name) * motion(response) for name, response in responses.items()]
    return np.array(moving, dtype="<c8").tobytes()


def motion(response):
    r"""Return how a loudspeaker moves, as peak phasors of exp(+j w t). shape (3, nf)

    First the displacement of the cone; then that of the air in port or hole, or of the radiator [m]. Both are positive
    *outwards*. Last the pressure in the box [Pa]. What is not there is zero.

    .. math:: x = \frac{\sqrt 2\, U}{j \omega S}

    with the outward volume flow U through the area S; the pressure is what drives the box's air inwards, reversed.
    """
    _single(response)
    s = 1j * response.angular_frequency
    sign = np.sqrt(2) * (-1.0 if response.loudspeaker.polarity == "reversed" else 1.0)
    openings = {opening.name: opening for opening in response.apertures}
    moved = {name: one.flow / (s * one.area) for name, one in openings.items() if one.area is not None}
    still = np.zeros_like(s)
    second = next((moved[name] for name in ("port", "passive radiator", "hole") if name in moved), still)
    pressure = -computed(response.circuit, s, response.circuit.drop("box"))
    return sign * np.array([moved["cone"], second, np.broadcast_to(pressure, still.shape)])


def tape(value, system):
    """Say a length as one reads it off a tape measure: in whole millimetres, or in inches and sixteenths."""
    return LENGTH.metric.text(value) if system == SYSTEMS[0] else WOOD.customary.on_tape(value)


def _single(response):
    if response.shape != ():
        raise ValueError(f"responses must hold one loudspeaker each, got a family of shape {response.shape}")


def _thing(response, pen, name, system, deepest):
    _single(response)
    drawn = section(response.loudspeaker, response.air, deepest)
    color, dash = PENS[pen].color, PENS[pen].dash
    return {
        "name": name,
        "pen": {"color": color, "dash": [] if dash == "-" else list(dash[1])},
        "travel": asdict(TRAVEL.shown(system)),
        "texts": _texts(name, response.loudspeaker, drawn, system),
        **drawn,
    }


def _texts(name, speaker, drawn, system):
    """Return what stands beside the section: its sizes, the lines under it, what is wrong with it, and all in one."""
    sizes = {key: tape(drawn["box"][key], system) for key in ("height", "width", "depth")} if drawn["box"] else {}
    port = _port_in(drawn)
    lines = [*_about_box(drawn, sizes, system), *([_about_port(port, system)] if port else [])]
    notes = list(_notes(speaker.box, drawn, system))
    inside = [f"inside {sizes['height']} high and {sizes['depth']} deep"] if sizes else []
    return {
        "height": sizes.get("height", ""),
        "depth": sizes.get("depth", ""),
        "length": tape(port["length"], system) if port and port["called"] == "port" and port["possible"] else "",
        "lines": lines,
        "notes": notes,
        "alternative": f"{name}, a section to scale: " + "; ".join([*lines, *inside, *notes]),
    }


def _port_in(drawn):
    opening = drawn["opening"]
    return opening if opening and opening["kind"] == "port" else None


def _about_box(drawn, sizes, system):
    if drawn["box"] is None:
        return ["in a large panel"]
    second = ["with a passive radiator"] if drawn["opening"] and not _port_in(drawn) else []
    litres = VOLUME.shown(system).text(drawn["box"]["volume"])
    return [f"{litres} of air", f"{sizes['width']} wide inside", *second]


def _about_port(port, system):
    across = " by ".join(tape(side, system) for side in port["sides"])
    kind, told = ("slot", across) if len(port["sides"]) > 1 else ("port", f"{across} across")
    if port["called"] != "port":
        return f"{port['called']} {told}"
    what = f"{port['count']} {kind}s, each {told}" if port["count"] > 1 else f"{kind} {told}"
    return f"{what}, {tape(port['length'], system)} long" if port["possible"] else what


def _notes(box, drawn, system):
    """Yield what does not go together."""
    driver, port = drawn["driver"], _port_in(drawn)
    if drawn["box"] and driver["depth"] > drawn["box"]["depth"] + drawn["board"]:
        yield f"The driver is {tape(driver['depth'], system)} deep and does not fit."
    if isinstance(box, VentedBox) and not port:
        yield "The port is not drawn, as its area is not known."
    elif port and not port["possible"]:
        yield "No port of that area tunes this box so high: enlarge it or tune lower."
    elif port and port["called"] == "port" and not port["fits"]:
        yield "The port does not fit straight."
