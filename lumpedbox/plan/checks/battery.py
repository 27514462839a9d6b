"""What volts at the battery tell: which system it is, what a feed loses, how long the battery lasts."""

from __future__ import annotations

from math import inf, log10

from ...arguments import Single, takes
from ...quantity import Quantity

# V: what each system reads with the engine off and running (common practice, no source).
FLAT, OFF, RUNNING, TWENTY_FOUR, FORTY_EIGHT = (9.0, 12.4), (12.4, 12.8), (13.8, 14.8), (24.0, 29.0), (36.0, 60.0)
SEPARATE = 0.09  # V; two separate readings, of which one takes the difference, err this much (common practice)
FUSE = (1.67e-3, 7.7e-3)  # ohm, of blade fuses from 30 A to 10 A: 0.1 mV stands for 60 to 13 mA (common practice)
SLEEP = 30.0  # minutes that a locked vehicle may take to sleep (common practice, no source)
VOLTS = Single(Quantity(unit="V", meaning="at the poles of a battery", low=0.0, high=1000.0))
LOST = Single(Quantity(unit="V", meaning="lost in a feed, or over a fuse", low=0.0, high=10.0))
CURRENT = Single(Quantity(unit="A", meaning="current", low=0.0, high=1000.0))
CHARGE = Single(Quantity(unit="Ah", meaning="usable charge", low=0.0, high=1e4))
FULL, LOW, CHARGING, HEAVY, FORTY_EIGHT_VOLTS, ODD = "full", "low", "charging", "24 V", "48 V", "odd"


@takes(volts=VOLTS)
def supply(volts):
    """Return what a battery of some volts is: "full", "low", "charging", "24 V", "48 V" or "odd", a word.

    Parameters
    ----------
    volts : float
        At its poles. [V]

    Examples
    --------
    >>> supply(12.6), supply(14.2), supply(27.6)
    ('full', 'charging', '24 V')
    """
    for (low, high), found in (
        (FLAT, LOW),
        ((FLAT[1], 13.2), FULL),  # a little above: charged not long ago
        ((13.2, 15.2), CHARGING),
        (TWENTY_FOUR, HEAVY),
        (FORTY_EIGHT, FORTY_EIGHT_VOLTS),
    ):
        if low <= volts < high:
            return found
    return ODD


@takes(volts=VOLTS)
def system_of(volts):
    """Say what the volts of a battery mean for an amplifier.

    Parameters
    ----------
    volts : float
        At its poles. [V]

    Examples
    --------
    >>> system_of(27.6)
    'The battery reads 27.6 V: every amplifier must be made for 24 V.'
    """
    found = supply(volts)
    if found in (FULL, LOW, CHARGING):
        told = "a 12 V system"
    elif found == HEAVY:
        told = "every amplifier must be made for 24 V"
    else:
        told = "that is no 12 V system: ask the maker first"
    return f"The battery reads {volts:.3g} V: {told}."


@takes(volts=LOST, system=VOLTS)
def drop(volts, system=13.8):
    r"""Return what a loss in a feed costs in level. [dB]

    Parameters
    ----------
    volts : float
        From + of the battery to + of the amplifier. [V]
    system : float
        What the battery has meanwhile. [V]

    Notes
    -----
    .. math:: \Delta = -20 \log_{10}(1 - \Delta V / V)

    Examples
    --------
    >>> from lumpedbox.plan.checks import drop
    >>> print(f"{drop(0.5):.1f} dB")
    0.3 dB
    """
    return -20 * log10(1 - volts / system)


@takes(current=CURRENT, usable=CHARGE)
def drain(current, usable):
    r"""Return how many days a battery lasts.

    Parameters
    ----------
    current : float
        While the vehicle sleeps. [A]
    usable : float
        What the battery can give and still start the engine. [Ah]

    Notes
    -----
    .. math:: d = Q / (24\,I)

    Examples
    --------
    >>> print(f"{drain(0.05, 30.0):.0f} days, and {drain(1.0, 30.0):.2f}")
    25 days, and 1.25
    """
    return usable / (24 * current) if current else inf


@takes(volts=LOST)
def over_a_fuse(volts):
    r"""Return the least and the most current through a fuse over which some volts are read. [A]

    Parameters
    ----------
    volts : float
        [V]

    Notes
    -----
    .. math:: I = U / R

    with the resistance of blade fuses from 10 to 30 A (common practice, no source).
    """
    least, most = FUSE
    return volts / most, volts / least
