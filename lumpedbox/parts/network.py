"""Passive parts between amplifier and driver."""

from __future__ import annotations

import numpy as np

from ..arguments import takes
from ..quantity import Holds, OneOf, Part, Quantity, part, quantity, ruled

ATTENUATION = Quantity(unit="dB", meaning="attenuation, positive", low=1e-3, high=80.0)
LOAD = Quantity(unit="ohm", meaning="load impedance", low=0.1, high=1e4)


@part
class Resistor(Part):
    """A resistor.

    Parameters
    ----------
    resistance : float or array
        Its resistance; 0 in series and `inf` across the line stand for "not fitted". [ohm]

    Notes
    -----
    .. math:: Z = R

    Examples
    --------
    >>> in_series(Resistor(resistance=2.2)).branches[0].components
    (Resistor(resistance=2.2),)
    """

    resistance: float = quantity("ohm", "resistance", 0.0, np.inf)


@part
class Inductor(Part):
    """A coil with the resistance of its wire.

    Parameters
    ----------
    inductance : float or array
        Its inductance; 0 in series and `inf` across the line stand for "not fitted". [H]
    resistance : float or array
        Resistance of the wire. [ohm]

    Notes
    -----
    .. math:: Z = R + s L

    Examples
    --------
    >>> from lumpedbox.units import mH
    >>> coil = Inductor(inductance=1.2 * mH, resistance=0.4)
    >>> print(f"{abs(coil.resistance + 2j * np.pi * 500 * coil.inductance):.2f} ohm at 500 Hz")
    3.79 ohm at 500 Hz
    """

    inductance: float = quantity("H", "inductance", 0.0, np.inf)
    resistance: float = quantity("ohm", "resistance of the wire", 0.0, 1e4, default=0.0)

    def _check_together(self):
        # A coil above a henry is a slip of the unit, but infinity is a coil left out of a family.
        slip = Quantity(unit="H", meaning="inductance", low=0.0, high=1.0, slips=("mH", "uH"))
        slip.accept("Inductor", "inductance", np.where(np.isinf(self.inductance), 0.0, self.inductance))


@part
class Capacitor(Part):
    r"""A capacitor with its loss.

    Parameters
    ----------
    capacitance : float or array
        Its capacitance; `inf` in series and 0 across the line stand for "not fitted". [F]
    resistance : float or array
        Equivalent series resistance. [ohm]

    Notes
    -----
    .. math:: Z = R + \frac{1}{s C}

    Examples
    --------
    >>> from lumpedbox.units import uF
    >>> capacitor = Capacitor(capacitance=100 * uF)
    >>> print(f"{1 / (2 * np.pi * 500 * capacitor.capacitance):.2f} ohm at 500 Hz")
    3.18 ohm at 500 Hz
    """

    capacitance: float = quantity("F", "capacitance", 0.0, np.inf)
    resistance: float = quantity("ohm", "equivalent series resistance", 0.0, 1e4, default=0.0)

    def _check_together(self):
        slip = Quantity(unit="F", meaning="capacitance", low=0.0, high=0.1, slips=("uF",))
        slip.accept("Capacitor", "capacitance", np.where(np.isinf(self.capacitance), 0.0, self.capacitance))


@part
class SideBySide(Part):
    """Components in parallel that share the current of a branch: a trap.

    Parameters
    ----------
    components : tuple of Resistor, Inductor or Capacitor
        Two or more.

    Examples
    --------
    >>> from lumpedbox.units import uF, mH
    >>> trap = SideBySide(components=(Inductor(inductance=0.5 * mH), Capacitor(capacitance=20 * uF)))
    >>> in_series(trap).branches[0].placed
    'in series'
    """

    components: tuple = ruled(Holds((Resistor, Inductor, Capacitor), several=True))

    def _check_together(self):
        if len(self.components) < 2:
            raise ValueError(f"SideBySide.components needs two or more, got {len(self.components)}")
        shorted = np.sum(np.broadcast_arrays(*map(shorts, self.components)), axis=0)
        if np.any(shorted > 1):
            raise ValueError(
                f"SideBySide.components may hold one short circuit, got {np.max(shorted)}: how two plain wires share "
                "the current is not defined; leave one out"
            )


@part
class Branch(Part):
    """Components one after another, placed in the line or across it.

    Parameters
    ----------
    components : tuple of Resistor, Inductor, Capacitor or SideBySide
        What the current of the branch passes through, in turn.
    placed : {"in series", "across"}
        In the line to the driver, or from the line to its return.

    Examples
    --------
    >>> from lumpedbox.units import uF
    >>> branch = Branch(components=(Resistor(resistance=5.6), Capacitor(capacitance=22 * uF)), placed="across")
    >>> [type(part).__name__ for part in branch.components]
    ['Resistor', 'Capacitor']
    """

    components: tuple = ruled(Holds((Resistor, Inductor, Capacitor, SideBySide), several=True))
    placed: str = ruled(OneOf(("in series", "across")))

    def _check_together(self):
        if not self.components:
            raise ValueError("Branch.components is empty: name at least one Resistor, Inductor or Capacitor")
        if self.placed == "across" and np.any(_every(shorts, self.components)):
            raise ValueError(f"Branch.components would short the line: {self.components}")
        opened = next((part for part in self.components if np.any(opens(part))), None)
        if self.placed == "in series" and opened is not None:
            raise ValueError(
                f"Branch.components would open the line, so that nothing plays: {opened}. For a part in series that "
                "is not fitted, give a capacitor of inf F, a coil of 0 H or a resistor of 0 ohm"
            )


def _every(rule, components):
    """Whether a rule holds for each of several components, member by member of a family."""
    return np.logical_and.reduce(np.broadcast_arrays(*map(rule, components)))


def opens(component):
    """Whether a component lets nothing through, member by member of a family."""
    if isinstance(component, SideBySide):
        return _every(opens, component.components)
    if isinstance(component, Capacitor):
        return component.capacitance == 0
    return np.isinf(component.resistance if isinstance(component, Resistor) else component.inductance)


def shorts(component):
    """Whether a component lets everything through, member by member of a family."""
    if isinstance(component, SideBySide):
        return np.logical_or.reduce(np.broadcast_arrays(*map(shorts, component.components)))
    if isinstance(component, Resistor):
        return component.resistance == 0
    value = component.inductance if isinstance(component, Inductor) else 1 / np.maximum(component.capacitance, 1e-30)
    return (value == 0) & (component.resistance == 0)


@part
class Network(Part):
    """A ladder of branches, in order from the amplifier to the driver.

    Parameters
    ----------
    branches : tuple of Branch

    Examples
    --------
    >>> from lumpedbox.units import uF, mH
    >>> network = in_series(Capacitor(capacitance=10 * uF)) + across(Inductor(inductance=0.3 * mH))
    >>> len(network.branches)
    2
    """

    branches: tuple = ruled(Holds((Branch,), several=True))

    def __add__(self, other):
        """Join two networks, this one nearer to the amplifier."""
        return Network(branches=self.branches + other.branches)


def joined(first, second):
    """Return two networks as one, the first nearer to the amplifier; None is no network."""
    return first + second if first and second else first or second


def in_series(*components):
    """Return a network of one branch in the line, made of `components` one after another.

    Examples
    --------
    >>> from lumpedbox.units import uF
    >>> network = in_series(Resistor(resistance=1), Capacitor(capacitance=10 * uF))
    >>> network.branches[0].placed, len(network.branches[0].components)
    ('in series', 2)
    """
    return Network(branches=(Branch(components=components, placed="in series"),))


def across(*components):
    """Return a network of one branch across the line, made of `components` one after another.

    Examples
    --------
    >>> from lumpedbox.units import uF
    >>> across(Resistor(resistance=5.6), Capacitor(capacitance=22 * uF)).branches[0].placed
    'across'
    """
    return Network(branches=(Branch(components=components, placed="across"),))


@takes(attenuation=ATTENUATION, impedance=LOAD)
def l_pad(*, attenuation, impedance):
    r"""Return the two resistors that lower a level but keep the impedance that the source sees.

    Parameters
    ----------
    attenuation : float or array
        By how much, positive. [dB]
    impedance : float or array
        Of the load, taken as a resistance. [ohm]

    Notes
    -----
    .. math:: k = 10^{-A/20}, \quad R_s = Z (1 - k), \quad R_p = Z k / (1 - k)

    Examples
    --------
    >>> pad = l_pad(attenuation=6, impedance=8)
    >>> [round(b.components[0].resistance, 4) for b in pad.branches]
    [3.9905, 8.0381]
    """
    k = np.power(10.0, -attenuation / 20)
    return in_series(Resistor(resistance=impedance * (1 - k))) + across(Resistor(resistance=impedance * k / (1 - k)))


NETWORK = Holds((Network,))


@takes(pad=NETWORK)
def pad_resistors(pad):
    """Return the two resistors of a pad as `l_pad` makes it: the one in series, the one across. [ohm]

    Parameters
    ----------
    pad : Network

    Returns
    -------
    in_line, beside : float or array

    Raises
    ------
    ValueError
        If the network is not such a pad.
    """
    parts = [(branch.placed, *branch.components) for branch in pad.branches]
    if [(placed, *map(type, components)) for placed, *components in parts] != PAD:
        raise ValueError("pad_resistors.pad must be one resistor in series and one across, as l_pad makes it")
    return tuple(resistor.resistance for _, resistor in parts)


PAD = [("in series", Resistor), ("across", Resistor)]


@takes(pad=NETWORK, impedance=LOAD)
def attenuation_of(pad, impedance):
    r"""Return how much a pad lowers the level of a load. [dB]

    .. math:: A = 20 \log_{10} \left(1 + \frac{R_s}{R_p} + \frac{R_s}{Z}\right)

    Parameters
    ----------
    pad : Network
        Of two resistors, as `l_pad` makes it.
    impedance : float or array
        Of the load, taken as a resistance. [ohm]
    """
    in_line, beside = pad_resistors(pad)
    return 20 * np.log10(1 + in_line / beside + in_line / impedance)
