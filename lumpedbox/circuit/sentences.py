"""A circuit as plain sentences."""

from __future__ import annotations

from functools import singledispatch

from ..air import AIR, Air
from ..arguments import Single, takes
from ..parts.loudspeaker import Loudspeaker
from ..parts.system import Channel
from ..quantity import Holds
from .build import circuit, connection
from .elements import (
    Compliance,
    Element,
    Gyrator,
    Inertance,
    Parallel,
    Radiation,
    Resistance,
    SemiInductance,
    Series,
    Transformer,
)

# Units of resistance, inertance and compliance in the three domains that a circuit passes through.
UNITS = {
    "electrical": {Resistance: "ohm", Inertance: "H", Compliance: "F", SemiInductance: "ohm s^n"},
    "mechanical": {Resistance: "N s/m", Inertance: "kg", Compliance: "m/N"},
    "acoustic": {Resistance: "Pa s/m3", Inertance: "kg/m4", Compliance: "m3/Pa", Radiation: "Pa s3/m3"},
}


@takes(loudspeaker=Single(Holds((Loudspeaker, Channel))), air=Single(AIR))
def in_sentences(loudspeaker, air=Air()):
    """Describe the circuit of a loudspeaker or a channel, one sentence for each connection.

    Parameters
    ----------
    loudspeaker : Loudspeaker or Channel
        A single one; of a channel, all that it drives.
    air : Air

    Returns
    -------
    str

    Examples
    --------
    >>> from lumpedbox import Driver, InfiniteBaffle, Loudspeaker
    >>> driver = Driver(Re=3.4, Bl=9.4, Mms=0.0532, Cms=0.388e-3, Rms=2.34, Sd=0.033)
    >>> print(in_sentences(Loudspeaker(driver=driver, box=InfiniteBaffle())))
    The amplifier drives the coil.
    The coil is one path: first coil resistance (3.4 ohm), then force factor (9.4 N/A).
    The force factor turns current into force on the cone, and the cone's velocity into voltage.
    The cone is one path: first moving mass (0.0532 kg), then suspension loss (2.34 N s/m), then suspension (0.000388 \
m/N), then cone area (0.033 m2).
    The cone area turns velocity into volume flow of the box, and the pressure of the box into force.
    The box is open: nothing stands in the way.
    """
    if isinstance(loudspeaker, Channel):
        terminals, _ = connection(loudspeaker, 0, air)
    else:
        terminals = circuit(loudspeaker, 1.0, 1.0, air).terminals
    resistance = loudspeaker.source_resistance
    source = f", through its {resistance:.4g} ohm" if resistance else ""
    opening = f"The amplifier drives the {terminals.place}{source}."
    return "\n".join([opening, *tell(terminals, "electrical")])


def label(node, domain):
    """Name a piece, with its value if it has one."""
    if isinstance(node, Element):
        exponent = f", n = {node.exponent:.4g}" if isinstance(node, SemiInductance) else ""
        return f"{node.name} ({node.value:.4g} {UNITS[domain][type(node)]}{exponent})"
    if isinstance(node, Transformer):
        return f"{node.name} ({node.ratio:.4g} m2)"
    if isinstance(node, Gyrator):
        return f"{node.name} ({node.ratio:.4g} N/A)"
    return f"the {node.place}"


@singledispatch
def tell(node, domain):
    """Yield the sentences about a piece and everything in it."""
    yield from ()


@tell.register
def tell_path(node: Series, domain):
    if not node.members:
        yield f"The {node.place} is open: nothing stands in the way."
        return
    first = "first " if len(node.members) > 1 else ""
    yield f"The {node.place} is one path: {first}{', then '.join(label(m, domain) for m in node.members)}."
    for member in node.members:
        yield from tell(member, domain)


@tell.register
def tell_side_by_side(node: Parallel, domain):
    yield f"The {node.place} has paths in parallel: {', and '.join(label(m, domain) for m in node.members)}."
    for member in node.members:
        yield from tell(member, domain)


@tell.register
def tell_motor(node: Gyrator, domain):
    yield (
        f"The {node.name} turns current into force on the {node.load.place}, "
        f"and the {node.load.place}'s velocity into voltage."
    )
    yield from tell(node.load, "mechanical")


@tell.register
def tell_cone(node: Transformer, domain):
    yield (
        f"The {node.name} turns velocity into volume flow of the {node.load.place}, "
        f"and the pressure of the {node.load.place} into force."
    )
    yield from tell(node.load, "acoustic")
