"""Passive crossover networks: by the book into a resistance, and fitted to the driver as it is."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, Single, takes
from ..circuit.build import named_components
from ..circuit.transfer import transfer
from ..parts.driver import DRIVER
from ..parts.filters import FAMILIES, ORDERS, HighPass, LowPass, poles
from ..parts.loudspeaker import LOUDSPEAKER
from ..parts.network import LOAD, Capacitor, Inductor, Network, Resistor, SideBySide, across, in_series
from ..quantity import OneOf, Quantity, Whole
from ..response import frequencies, solve

ARM = OneOf(words=("low-pass", "high-pass"))
FAMILY, ORDER = OneOf(FAMILIES), Whole("order of the filter", ORDERS)
CORNER = Quantity(unit="Hz", meaning="corner frequency", low=10.0, high=4e4, slips=("kHz",))
LOSS = Quantity(unit="ohm", meaning="resistance that is already there", low=0.0, high=1e4)
FARTHEST = np.log(20.0)  # a component may become this many times larger or smaller than the textbook's
IDLE = 0.25  # dB: ours
SHARPNESS = Quantity(unit="", meaning="sharpness", low=0.05, high=100.0)
GONE = np.log(12.0)  # this much smaller or larger, it does almost nothing
KINDS = {"low-pass": LowPass, "high-pass": HighPass}


@takes(arm=ARM, family=FAMILY, order=ORDER, frequency=Single(CORNER), load=Single(LOAD))
def ladder(*, arm, family, order, frequency, load):
    r"""Return the textbook's network: a ladder from a source without resistance into a resistance as load.

    Parameters
    ----------
    arm : {"low-pass", "high-pass"}
        Which side of the crossover.
    family : {"Butterworth", "Bessel", "Linkwitz-Riley"}
        As for `LowPass`.
    order : {1, 2, 3, 4}
        Number of components.
    frequency : float
        Corner, as for `LowPass`. [Hz]
    load : float
        The resistance that it works into. [ohm]

    Returns
    -------
    Network

    Notes
    -----
    D(s) is the denominator of the filter. Split it into its even and its odd part, and divide the one with the higher
    power by the other. The quotients g of that continued fraction are the elements, counted from the load:

    .. math:: \frac{D_{high}}{D_{low}} = g_1 s + \cfrac{1}{g_2 s + \cfrac{1}{\dots}}

    In a low-pass, coils in the line are :math:`L = g R/\omega_0`, capacitors across it :math:`C = g/(R\omega_0)`.
    A high-pass takes 1/g, and coils and capacitors change places.

    Examples
    --------
    >>> network = ladder(arm="high-pass", family="Butterworth", order=1, frequency=2500, load=8)
    >>> print(f"{network.branches[0].components[0].capacitance * 1e6:.4f} uF")
    7.9577 uF
    """
    w0 = 2 * np.pi * frequency
    network = Network(branches=())
    for position, g in enumerate(quotients(order, family)):
        in_line = (position + order) % 2 == 1  # the element next to the source stands in the line
        network = _element(arm, g, in_line, w0, load) + network
    return network


@takes(order=ORDER, family=FAMILY)
def quotients(order, family):
    """Return the elements of a low-pass ladder for 1 ohm and 1 rad/s, counted from the load. [1]

    Parameters
    ----------
    order : int
        Of the filter.
    family : str
        Of the filter.
    """
    LowPass(frequency=1000.0, order=order, family=family)  # refuses what no filter can be
    denominator = np.real(np.poly(poles(order, family)))
    denominator = denominator / denominator[-1]
    high, low = denominator.copy(), denominator.copy()
    high[1::2], low[0::2] = 0.0, 0.0
    high, low, found = high, low[1:], []
    for _ in range(order):
        found.append(high[0] / low[0])
        rest = high - found[-1] * np.append(low, 0.0)
        high, low = low, rest[2:] if len(rest) > 2 else np.array([0.0])
    return tuple(float(g) for g in found)


def _element(arm, g, in_line, w0, load):
    """Return one element of a ladder as a network."""
    g, coil = (g, in_line) if arm == "low-pass" else (1 / g, not in_line)
    part = Inductor(inductance=g * load / w0) if coil else Capacitor(capacitance=g / (load * w0))
    return in_series(part) if in_line else across(part)


@takes(driver=Single(DRIVER), loss=Single(LOSS))
def zobel(driver, *, loss=0.0):
    r"""Return the network across a driver's terminals that makes its coil look like a resistance.

    Parameters
    ----------
    driver : Driver
        A single one, with an inductance; other coil terms are not compensated.
    loss : float
        Resistance that the capacitor has already; the resistor is smaller by that much. [ohm]

    Returns
    -------
    Network

    Notes
    -----
    .. math:: R = R_e, \quad C = L_e / R_e^2

    Exact for Re and Le alone: the resonance stays.
    """
    capacitor = Capacitor(capacitance=driver.Le / driver.Re**2, resistance=loss)
    return across(capacitor, _remaining("zobel", driver.Re, loss))


@takes(driver=Single(DRIVER), loss=Single(LOSS))
def resonance_conjugate(driver, *, loss=0.0):
    r"""Return the network across a driver's terminals that makes its resonance look like a resistance.

    Parameters
    ----------
    driver : Driver
        A single one, in free air or a large panel; for a box, pass a driver with the Q and resonance in that box.
    loss : float
        Resistance that the coil's wire has already; the resistor is smaller by that much. [ohm]

    Returns
    -------
    Network

    Notes
    -----
    .. math:: R = R_e (1 + Q_{es}/Q_{ms}), \quad C = 1 / (\omega_s Q_{es} R_e), \quad L = Q_{es} R_e / \omega_s
    """
    ws, Re = 2 * np.pi * driver.fs, driver.Re
    return across(
        Capacitor(capacitance=1 / (ws * driver.Qes * Re)),
        Inductor(inductance=driver.Qes * Re / ws, resistance=loss),
        _remaining("resonance_conjugate", Re * (1 + driver.Qes / driver.Qms), loss),
    )


@takes(frequency=Single(CORNER), Q=Single(SHARPNESS), resistance=Single(LOAD))
def trap(*, frequency, Q, resistance):
    r"""Return a parallel resonance in the line, which takes out a band even if the source has no resistance.

    Parameters
    ----------
    frequency : float
        Of the band. [Hz]
    Q : float
        Its sharpness: resistance over reactance. [1]
    resistance : float
        What is in the line at that frequency. [ohm]

    Returns
    -------
    Network

    Notes
    -----
    .. math:: L = \frac{R}{2\pi f\, Q}, \quad C = \frac{Q}{2\pi f R}

    Before a load of R0 ohm it takes off :math:`20 \log_{10}(1 + R/R_0)` dB there.
    """
    w, R = 2 * np.pi * frequency, resistance
    coil, capacitor = Inductor(inductance=R / (Q * w)), Capacitor(capacitance=Q / (w * R))
    return in_series(SideBySide(components=(Resistor(resistance=R), coil, capacitor)))


@takes(frequency=Single(CORNER), Q=Single(SHARPNESS), resistance=Single(LOAD), loss=Single(LOSS))
def notch(*, frequency, Q, resistance, loss=0.0):
    r"""Return a series resonance across the line, which takes out a narrow band if the source has resistance.

    Parameters
    ----------
    frequency : float
        Of the band. [Hz]
    Q : float
        Its sharpness: reactance over resistance. [1]
    resistance : float
        What is left across the line at that frequency. [ohm]
    loss : float
        Resistance that the coil's wire has already; the resistor is smaller by that much. [ohm]

    Returns
    -------
    Network

    Notes
    -----
    .. math:: L = \frac{Q R}{2\pi f}, \quad C = \frac{1}{2\pi f Q R}
    """
    w, R = 2 * np.pi * frequency, resistance
    coil = Inductor(inductance=Q * R / w, resistance=loss)
    return across(Capacitor(capacitance=1 / (w * Q * R)), coil, _remaining("notch", R, loss))


def _remaining(who, wanted, loss):
    """Return the resistor that is needed on top of a loss."""
    limit = Quantity(unit="ohm", meaning="loss, part of the resistance that is needed", low=0.0, high=float(wanted))
    return Resistor(resistance=float(wanted) - limit.single(who, "loss", loss))


@dataclass(frozen=True, slots=True)
class Fitted:
    """A network fitted to a driver, beside the textbook's.

    Attributes
    ----------
    network, textbook : Network
        Including any network that the driver had already.
    error, textbook_error : float
        r.m.s. distance of the level from the target, over two octaves on either side. [dB]
    idle : tuple of str
        Components of the network that do almost nothing, as named in `ratings`: leave them out.
    """

    network: Network
    textbook: Network
    error: float
    textbook_error: float
    idle: tuple


@takes(
    loudspeaker=Single(LOUDSPEAKER),
    arm=ARM,
    family=FAMILY,
    order=ORDER,
    frequency=Single(CORNER),
    load=Single(LOAD),
    distance=Single(DISTANCE),
    air=Single(AIR),
)
def fitted(loudspeaker, *, arm, family, order, frequency, load=None, distance=1.0, air=Air()):
    r"""Fit a ladder to a driver as it is, so that its sound follows the filter.

    Parameters
    ----------
    loudspeaker : Loudspeaker
        A single one, as installed. A network that it has already, such as a pad, stays between ladder and driver.
    arm : {"low-pass", "high-pass"}
        Which side of the crossover.
    family : {"Butterworth", "Bessel", "Linkwitz-Riley"}
        Of the filter that the *sound* should follow.
    order : {1, 2, 3, 4}
        Of that filter, and of the ladder.
    frequency : float
        Its corner. [Hz]
    load : float, optional
        Load of the textbook's network; the driver's rated impedance by default. [ohm]
    distance : float
        [m]
    air : Air

    Returns
    -------
    Fitted
        Never worse than the textbook's network.

    Notes
    -----
    The target is the level of the driver's pass-band, without a cabin, plus that of the filter. Least squares over the
    logarithms of the components' values (scipy.optimize) starts from the textbook's. A driver may fall by itself, as a
    cone does above its coil's corner. A component may then do best by doing almost nothing: we try that too.
    """
    from scipy.optimize import least_squares

    load = float(loudspeaker.driver.nominal_resistance) if load is None else load
    textbook = ladder(arm=arm, family=family, order=order, frequency=frequency, load=load)
    grid = frequencies(frequency / 4, frequency * 4, per_octave=12)
    # a cabin's reference band lies far below a tweeter
    plain = solve(dataclasses.replace(loudspeaker, cabin=None), grid[:1], distance=distance, air=air).reference_level
    filter_ = KINDS[arm](frequency=frequency, order=order, family=family)
    wanted = plain + 20 * np.log10(np.abs(transfer([filter_], grid)))

    def off(network):
        return solve(_behind(network, loudspeaker), grid, distance=distance, air=air).level - wanted

    def error(network):
        return float(np.sqrt(np.mean(off(network) ** 2)))

    start = np.log(_values(textbook))
    bounds = start - FARTHEST, start + FARTHEST
    tried = [
        least_squares(lambda x: off(_with_values(textbook, np.exp(x))), first, bounds=bounds, max_nfev=100)
        for first in _starts(start, arm)
    ]
    found = [_with_values(textbook, np.exp(one.x)) for one in tried]
    network = min((textbook, *found), key=error)
    fitted_network, by_the_book = (_behind(one, loudspeaker).network for one in (network, textbook))
    return Fitted(fitted_network, by_the_book, error(network), error(textbook), _idle(network, off))


def _idle(network, off):
    """Return the names of a ladder's components that change the level by less than `IDLE` dB."""
    complete, branches = off(network), network.branches
    names = [name for _, ((name, _),) in named_components(network)]
    without = [Network(branches=branches[:index] + branches[index + 1 :]) for index in range(len(branches))]
    return tuple(name for name, left in zip(names, without, strict=True) if np.max(np.abs(off(left) - complete)) < IDLE)


def _starts(textbook, arm):
    """Return logarithms to search from: the textbook's, also with the one or two next to the driver nearly gone."""
    direction = -1.0 if arm == "low-pass" else 1.0  # small ones do nothing in a low-pass, large ones in a high-pass
    positions = np.arange(len(textbook), 0, -1)  # counted from the driver
    return [textbook + direction * GONE * (positions <= count) for count in range(min(len(textbook), 2) + 1)]


def _behind(network, loudspeaker):
    """Return a loudspeaker with a network put before the one it has."""
    own = loudspeaker.network
    return dataclasses.replace(loudspeaker, network=network + own if own else network)


def _values(network):
    """Return the value of every coil and capacitor of a ladder. [H, F]"""
    parts = [branch.components[0] for branch in network.branches]
    return np.array([p.inductance if isinstance(p, Inductor) else p.capacitance for p in parts])


def _with_values(network, values):
    """Return the ladder with other values."""
    branches = []
    for branch, value in zip(network.branches, values, strict=True):
        name = "inductance" if isinstance(branch.components[0], Inductor) else "capacitance"
        part = dataclasses.replace(branch.components[0], **{name: float(value)})
        branches.append(dataclasses.replace(branch, components=(part,)))
    return Network(branches=tuple(branches))
