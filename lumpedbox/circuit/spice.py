"""A circuit as a SPICE netlist, for a second opinion by an independent solver."""

from __future__ import annotations

from functools import singledispatch

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, FREQUENCIES, VOLTAGE, Single, takes
from ..parts.loudspeaker import LOUDSPEAKER
from ..parts.system import CHANNEL
from .build import circuit, shared_circuit
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
from .transfer import Lag, Rational

HEAD = """\
* {title}
* Impedance analogy: a voltage is also a force [N] or pressure [Pa], a current a velocity [m/s] or volume flow [m3/s].
* A source V_NAME measures the flow through NAME; net "pressure" is the sound pressure at the listener."""

# Without the floor under hertz, the operating point at 0 Hz aborts.
OMEGA = "(6.283185307179586*max(hertz,1e-6))"

# rshunt gives nets between capacitors a path to ground at 0 Hz; at 1e20 ohm it changes no printed digit.
CONTROL = """\
.options rshunt=1e20 pivtol=1e-40
.control
set numdgt=16
foreach point {points}
  ac lin 1 $point $point
  print frequency {vectors}
end
quit
.endc
.end
"""


@takes(
    loudspeaker=Single(LOUDSPEAKER),
    frequency=FREQUENCIES,
    voltage=Single(VOLTAGE),
    distance=Single(DISTANCE),
    air=Single(AIR),
    channel=Single(CHANNEL),
)
def netlist(loudspeaker, frequency, voltage=2.83, distance=1.0, air=Air(), channel=None):
    """Write a loudspeaker as a netlist that ngspice runs as it is (`ngspice -b file`).

    Parameters
    ----------
    loudspeaker : Loudspeaker
        A single one; for a family take `loudspeaker.member(index)`.
    frequency : float or array, shape (nf,)
        [Hz]
    voltage, distance : float
        [V], [m]
    air : Air
    channel : Channel, optional
        The channel that the loudspeaker shares with others, if any: the netlist holds all of it.

    Returns
    -------
    str
        It prints, at each frequency, the complex pressure, the voltage at the terminals, and the flow through every
        place and element. In a cabin that is no circuit (by its resonances, or measured) it leaves out the pressure.

    Raises
    ------
    ValueError
        If the loudspeaker is a family, is heard off its axis, or is not on the channel.
    """
    if loudspeaker.angle:
        raise ValueError(f"netlist needs a loudspeaker on its axis, got Loudspeaker.angle = {loudspeaker.angle:g} deg")
    if channel is None:
        built = circuit(loudspeaker, voltage, distance, air)
    elif loudspeaker in channel.each:
        built = shared_circuit(channel, channel.each.index(loudspeaker), voltage, distance, air)
    else:
        name = f" {loudspeaker.name!r}" if loudspeaker.name else ""
        raise ValueError(f"netlist.loudspeaker{name} is not on netlist.channel, so nothing feeds it")
    writer = Writer()
    write(built.terminals, "terminals", "0", (), writer)
    writer.source(built)
    lumped = loudspeaker.cabin is None or loudspeaker.cabin.lumped
    if lumped:
        writer.radiation(built)
    else:
        writer.lines.append(f'* The pressure is left out: a cabin of law "{loudspeaker.cabin.law}" is no circuit.')
    heard = ["v(pressure)"] if lumped else []
    vectors = [*heard, "v(terminals)", *(f"i({meter})" for meter in writer.meters.values())]
    points = " ".join(repr(float(f)) for f in frequency)
    head = HEAD.format(title=loudspeaker.name or loudspeaker.driver.name or "a loudspeaker")
    return "\n".join([head, *writer.lines, CONTROL.format(points=points, vectors=" ".join(vectors))])


class Writer:
    """Collects the lines of a netlist.

    Attributes
    ----------
    lines : list of str
    meters : dict
        Address of each piece: name of the source that measures the flow through it.
    """

    def __init__(self):
        self.lines = []
        self.meters = {}
        self._taken = {}

    def name(self, words):
        """Return words as a name that no other piece has."""
        name = words.replace(" ", "_").replace("-", "_")
        self._taken[name] = count = self._taken.get(name, 0) + 1
        return name if count == 1 else f"{name}_{count}"

    def source(self, built):
        """Write the amplifier: its EMF, the filters before it and its resistance."""
        self.lines.append(f"V_emf source 0 AC {float(built.voltage)!r}")
        net = "source"
        for transfer in built.before:
            net = act(transfer, net, self)
        resistance = float(built.source.value)
        self.lines.append(f"E_amplifier amplifier 0 {net} 0 1")
        self.lines.append(
            f"R_source amplifier terminals {resistance!r}" if resistance else "V_wire amplifier terminals 0"
        )

    def radiation(self, built):
        """Write the pressure: that of the one net flow, or the sum of what each opening adds."""
        if len(built.openings) == 1:
            self._heard(built.openings[0], "pressure")
            return
        nets = [self._heard(opening, self.name(f"pressure of {opening.name}")) for opening in built.openings]
        self.lines.append(f"B_pressure pressure 0 V={'+'.join(f'v({net})' for net in nets)}")

    def _heard(self, opening, net):
        """Write the volume flow of an opening through the mass of the air outside, s rho / (Omega r), and its delay."""
        half_space, *others = opening.transfers
        cabin = [transfer for transfer in others if isinstance(transfer, Rational)]
        signed = half_space.numerator[0] * opening.sign
        density, sign, air = abs(signed), -1 if signed < 0 else 1, f"cabin{net.removeprefix('pressure')}"
        self.lines.append(f"F_{net.replace('pressure', 'radiation')} 0 {net} {self.meters[opening.address]} {sign}")
        end = air if cabin else "0"
        self.lines.append(f"L_{net.replace('pressure', 'radiation')} {net} {end} {float(density)!r}")
        for transfer in cabin:
            self._cabin(float(density), transfer, air)
        for transfer in (transfer for transfer in others if isinstance(transfer, Lag)):
            self.lines.append(f"E_{net} {net}_unloaded 0 {net} 0 1")
            net = act(transfer, f"{net}_unloaded", self)
        return net

    def _cabin(self, density, transfer, net):
        """Write k (s^2 + a s + b) / (s + wl) - k s as a resistance and a leaky compliance in series."""
        (_, a, b), (_, wl, _) = transfer.numerator, transfer.denominator
        stiffness = density * (b - wl * (a - wl))
        self.lines.append(f"R_{net} {net} {net}_air {float(density * (a - wl))!r}")
        self.lines.append(f"C_{net} {net}_air 0 {float(1 / stiffness)!r}")
        if wl:
            self.lines.append(f"R_{net}_leak {net}_air 0 {float(stiffness / wl)!r}")


def write(node, a, b, address, writer):
    """Write a one-port between two nets, behind a source of 0 V that measures the flow through it."""
    name = writer.name(node.name if isinstance(node, (Element, Transformer, Gyrator)) else node.place)
    writer.meters[address] = f"V_{name}"
    writer.lines.append(f"V_{name} {a} {name}_in 0")
    body(node, name, f"{name}_in", b, address, writer)


@singledispatch
def body(node, name, a, b, address, writer):
    """Write what lies between the meter of a piece and its far end."""
    raise TypeError(f"no netlist is known for {type(node).__name__}")


@body.register
def body_of_resistance(node: Resistance, name, a, b, address, writer):
    writer.lines.append(f"R_{name} {a} {b} {float(node.value)!r}")


@body.register
def body_of_inertance(node: Inertance, name, a, b, address, writer):
    writer.lines.append(f"L_{name} {a} {b} {float(node.value)!r}")


@body.register
def body_of_compliance(node: Compliance, name, a, b, address, writer):
    writer.lines.append(f"C_{name} {a} {b} {float(node.value)!r}")


@body.register
def body_of_semi_inductance(node: SemiInductance, name, a, b, address, writer):
    r"""Write the eddy-current impedance as a resistance and an inductance that follow the frequency.

    .. math:: K (j\omega)^n = K \omega^n \cos\frac{n\pi}{2} + j\omega\,K \omega^{n-1} \sin\frac{n\pi}{2}
    """
    k, n = float(node.value), float(node.exponent)
    real, imaginary = float(k * np.cos(n * np.pi / 2)), float(k * np.sin(n * np.pi / 2))
    writer.lines.append(f"R_{name} {a} {name}_mid R='{real!r}*{OMEGA}^({n!r})'")
    writer.lines.append(f"L_{name} {name}_mid {b} L='{imaginary!r}*{OMEGA}^({n - 1!r})'")


@body.register
def body_of_radiation(node: Radiation, name, a, b, address, writer):
    writer.lines.append(f"R_{name} {a} {b} R='{float(node.value)!r}*{OMEGA}^2'")


@body.register
def body_of_series(node: Series, name, a, b, address, writer):
    if not node.members:
        writer.lines.append(f"V_{name}_open {a} {b} 0")
    for index, member in enumerate(node.members):
        end = b if index == len(node.members) - 1 else f"{name}_{index}"
        write(member, a, end, (*address, index), writer)
        a = end


@body.register
def body_of_parallel(node: Parallel, name, a, b, address, writer):
    for index, member in enumerate(node.members):
        write(member, a, b, (*address, index), writer)


@body.register
def body_of_gyrator(node: Gyrator, name, a, b, address, writer):
    load, ratio = (*address, 0), float(node.ratio)
    write(node.load, f"{name}_load", "0", load, writer)
    writer.lines.append(f"H_{name}_back {a} {b} {writer.meters[load]} {ratio!r}")
    writer.lines.append(f"H_{name} {name}_load 0 {writer.meters[address]} {ratio!r}")


@body.register
def body_of_transformer(node: Transformer, name, a, b, address, writer):
    ratio = float(node.ratio)
    write(node.load, f"{name}_load", "0", (*address, 0), writer)
    writer.lines.append(f"E_{name} {a} {b} {name}_load 0 {ratio!r}")
    writer.lines.append(f"F_{name} 0 {name}_load {writer.meters[address]} {ratio!r}")


@singledispatch
def act(transfer, net, writer):
    """Write a transfer that starts at a net, and return the net that it ends at."""
    raise TypeError(f"no netlist is known for {type(transfer).__name__}")


@act.register
def act_lag(transfer: Lag, net, writer):
    name, time = writer.name(transfer.name), float(transfer.time)
    if not time:
        return net
    writer.lines.append(f"T_{name} {net} 0 {name} 0 Z0=1 TD={time!r}")
    writer.lines.append(f"R_{name} {name} 0 1")
    return name


@act.register
def act_rational(transfer: Rational, net, writer):
    """State variables: capacitors that integrate, from the highest derivative down."""
    name, order = writer.name(transfer.name), len(transfer.denominator) - 1
    lead = transfer.denominator[0]
    bottom = [float(c / lead) for c in transfer.denominator[1:]]
    top = [0.0] * (order + 1 - len(transfer.numerator)) + [float(c / lead) for c in transfer.numerator]
    states = [f"{name}_state_{k}" for k in range(order)]  # the highest derivative first
    for state, before in zip(states[1:], states, strict=False):
        writer.lines += [f"C_{state} {state} 0 1", f"G_{state} 0 {state} {before} 0 1"]
    if states:
        writer.lines += [f"C_{states[0]} {states[0]} 0 1", f"G_{states[0]} 0 {states[0]} {net} 0 1"]
    for state, coefficient in zip(states, bottom, strict=True):
        writer.lines.append(f"G_{state}_back {states[0]} 0 {state} 0 {coefficient!r}")
    weights = [c - top[0] * d for c, d in zip(top[1:], bottom, strict=True)]
    terms = [f"{top[0]!r}*v({net})", *(f"{w!r}*v({s})" for w, s in zip(weights, states, strict=True))]
    writer.lines.append(f"B_{name} {name} 0 V={'+'.join(terms)}")
    return name
