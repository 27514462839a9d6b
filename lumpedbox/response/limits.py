"""How loud a loudspeaker plays before something gives, and what gives first."""

from __future__ import annotations

import dataclasses
import functools
from dataclasses import dataclass, field

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, FREQUENCIES, VOLTAGE, Single, takes
from ..circuit.transfer import transfer
from ..families import common_shape
from ..parts.amplifier import SOURCE
from ..parts.filters import FAMILIES, ORDERS, HighPass
from ..parts.loudspeaker import LOUDSPEAKER, Loudspeaker
from ..parts.system import HEARD
from ..quantity import Holds, OneOf, Quantity, Whole, named_shapes, needed
from . import Response, frequencies, solve
from .each_limit import voltage_within_travel as voltage_within_travel  # it belongs to the limits
from .heat import THERMAL
from .remarks import CAUTION_SPEED
from .system_limits import CLIPPING, CURRENT, HEAT, PORT, RADIATOR_TRAVEL, TRAVEL, Limits, driven, of_one

SPEED = Quantity(unit="m/s", meaning="peak speed of the air in the port", low=0.5, high=100.0)
HIGHEST_CORNER = 200.0  # Hz, of a protective high-pass; a bass driver that needs more is the wrong driver
LOWEST = Quantity(unit="Hz", meaning="lowest frequency that is played", low=1.0, high=HIGHEST_CORNER)


@dataclass(frozen=True, slots=True, eq=False)
class MaximumLevel:
    """The loudest steady tone at every frequency.

    Attributes
    ----------
    frequency : array, shape (nf,)
        [Hz]
    voltage : array, shape (..., nf)
        Highest r.m.s. EMF at the amplifier's output; of a system that of the source, ahead of all filters. [V]
    level : array, shape (..., nf)
        Level at that voltage; r.m.s., a steady sine. [dB re 20 uPa]
    gives, who : array of str, shape (..., nf)
        What gives first, and whose limit that is: a loudspeaker's, or a channel's for its amplifier. Where several
        give at once, the first of them.
    voltages, levels : dict
        The same for each limit alone, by its name; of a system by (who, name). [V], [dB re 20 uPa]
    unknown : tuple of str
        Limits that could not be applied, and what is missing; of a system each says first whose it is.

    Examples
    --------
    >>> from lumpedbox import Amplifier, Loudspeaker, SealedBox, maximum_level
    >>> from lumpedbox.tables import demo_drivers
    >>> from lumpedbox.units import litre
    >>> speaker = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=SealedBox(volume=20 * litre))
    >>> amplifier = Amplifier(power=75, rated_impedance=4, minimum_load=2)
    >>> loudest = maximum_level(speaker, [30, 120], amplifier=amplifier)
    >>> loudest.gives.tolist()
    ['travel', 'amplifier voltage']
    """

    frequency: np.ndarray
    voltage: np.ndarray
    level: np.ndarray
    gives: np.ndarray
    who: np.ndarray
    voltages: dict
    levels: dict
    unknown: tuple
    _about: object = field(default=tuple, repr=False)

    @property
    def remarks(self):
        """What to keep in mind when reading these numbers, as a tuple of sentences."""
        return self._about()


@takes(
    loudspeaker=HEARD,
    frequency=FREQUENCIES,
    amplifier=SOURCE,
    thermal_resistance=Single(THERMAL),
    port_speed=Single(SPEED),
    distance=DISTANCE,
    air=AIR,
)
def maximum_level(
    loudspeaker,
    frequency,
    *,
    amplifier=None,
    thermal_resistance=None,
    port_speed=CAUTION_SPEED,
    distance=1.0,
    air=Air(),
):
    r"""Return the loudest steady tone of a loudspeaker or system at every frequency, and what sets the limit there.

    Parameters
    ----------
    loudspeaker : Loudspeaker or System
        With the resistance of the cable as `source_resistance`; the amplifier's own output resistance is added.
        The filters of a single loudspeaker do not matter: the voltages are those after them. In a system one source
        drives all channels, and each channel's filters and gains count.
    frequency : array, shape (nf,)
        [Hz]
    amplifier : Amplifier or HeadUnit, optional
        What drives it; bridged channels as `amplifier.bridged()`. In a system it drives the channels that name none.
    thermal_resistance : float, optional
        From the voice coil to the air around. Without it the coil counts as cold, and nothing is said about its
        temperature. [K/W]
    port_speed : float
        Peak speed of the air in the port: 17 for caution, 10 for comfort (guidance, common practice). [m/s]
    distance : float or array
        [m]
    air : Air

    Returns
    -------
    MaximumLevel
        What is not known (xmax, power, port area, amplifier) sets no limit, and is listed in `unknown`.

    Notes
    -----
    Everything is proportional to the voltage V, so each limit is what is allowed over what one volt does:

    .. math:: x_{max} / x_1, \quad \sqrt{P / R_e(T)} / |I_1|, \quad \sqrt{P_a R_a}, \quad
              \sqrt{P_a R_a} / (R_{min} |I_{a,1}|), \quad u_{max} / u_1

    Here I is the current in the coil, so a pad takes its share of the heat, and :math:`I_a` that of the whole
    channel. Volts of the amplifier count behind the filters: its limits are divided by their gain.

    With a thermal resistance, the coil at its rated power reaches :math:`T = 20 + R_{th} P` degrees Celsius. Its limit
    is then that of the warm loudspeaker, which plays softer; in a system the other coils count as cold.

    Examples
    --------
    >>> from lumpedbox import Loudspeaker, SealedBox
    >>> from lumpedbox.tables import demo_drivers
    >>> from lumpedbox.units import litre
    >>> speaker = Loudspeaker(driver=demo_drivers()["200 mm bass"], box=SealedBox(volume=20 * litre))
    >>> loudest = maximum_level(speaker, 30)
    >>> print(f"{loudest.level[0]:.0f} dB; {loudest.gives[0]} gives first")
    92 dB; travel gives first
    """
    common_shape(named_shapes((loudspeaker, amplifier)))
    single = isinstance(loudspeaker, Loudspeaker)
    system = driven(of_one(loudspeaker, amplifier) if single else loudspeaker, amplifier)
    limits = Limits(system, frequency, thermal_resistance, port_speed, distance, air)
    unknown = tuple(": ".join(said[1:] if single else said) for said in limits.unknown)
    if not limits.known:
        raise ValueError(f"maximum_level: no limit is known ({'; '.join(unknown)})")
    return _first_of(limits, unknown, single)


def _first_of(limits, unknown, single):
    """Return the least of several limits at every frequency."""
    shape = np.broadcast_shapes(limits.cold.level.shape, *(voltage.shape for voltage, _ in limits.known.values()))
    keys = [name if single else (who, name) for who, name in limits.known]
    voltages = [np.broadcast_to(voltage, shape) for voltage, _ in limits.known.values()]
    heard = [at.level + 20 * np.log10(v) for v, (_, at) in zip(voltages, limits.known.values(), strict=True)]
    first = np.argmin(np.stack(voltages), axis=0)
    who, gives = (np.array(column)[first] for column in zip(*limits.known, strict=True))
    return MaximumLevel(
        frequency=limits.cold.frequency,
        voltage=np.min(voltages, axis=0),
        level=np.take_along_axis(np.stack(heard), first[np.newaxis], 0)[0],
        gives=gives,
        who=who,
        voltages=dict(zip(keys, voltages, strict=True)),
        levels=dict(zip(keys, heard, strict=True)),
        unknown=unknown,
        _about=limits.remarks,  # slow: the load from 5 Hz to 20 kHz
    )


@takes(response=Holds((Response,)), port_speed=Single(SPEED))
def level_at_port_speed(response, port_speed=CAUTION_SPEED):
    r"""Level of the steady tone that brings the air in the port to a speed, shape (..., nf). [dB re 20 uPa]

    .. math:: L + 20 \log_{10}(u_{max} / u)

    Parameters
    ----------
    response : Response
        Of a vented box whose port has an area.
    port_speed : float
        Peak: 17 for caution, 10 for comfort (guidance, common practice). [m/s]

    Raises
    ------
    ValueError
        If there is no port, or its area is not known.
    """
    return response.level + 20 * np.log10(port_speed / response.port_velocity)


# What happens where a limit is reached first.
HAPPENS = {
    TRAVEL: "the cone runs out of travel",
    HEAT: "the coil gets too hot",
    CLIPPING: "the amplifier clips",
    CURRENT: "the amplifier runs out of current",
    PORT: "the port gets noisy",
    RADIATOR_TRAVEL: "the passive radiator runs out of travel",
}


@takes(loudest=Holds((MaximumLevel,)))
def in_words(loudest):
    """Say what gives first, from low frequencies to high.

    Parameters
    ----------
    loudest : MaximumLevel
        Not of a family; of a system it says whose limit each is.

    Returns
    -------
    str
        Such as "below 27 Hz the cone runs out of travel, up to 37 Hz the port gets noisy, above that the amplifier
        clips".
    """
    if loudest.gives.ndim != 1:
        raise ValueError(f"in_words needs a single loudspeaker, got a family of shape {loudest.gives.shape[:-1]}")
    order = np.argsort(loudest.frequency)
    frequency, gives, who = loudest.frequency[order], loudest.gives[order], loudest.who[order]
    several = not loudest.voltages.keys() <= HAPPENS.keys()
    happens = np.array([f"{HAPPENS[g]} ({w})" if several else HAPPENS[g] for g, w in zip(gives, who, strict=True)])
    ends = np.flatnonzero(happens[1:] != happens[:-1])
    spans = [f"{'up to' if i else 'below'} {frequency[end]:.0f} Hz {happens[end]}" for i, end in enumerate(ends)]
    return ", ".join([*spans, f"above that {happens[-1]}"]) if spans else f"{happens[-1]} first at every frequency"


@dataclass(frozen=True, slots=True)
class Protection:
    """A high-pass that keeps a cone within its travel.

    Attributes
    ----------
    order : int
    corner : float
        Lowest corner that does. [Hz]
    travel, travel_without : float
        Largest excursion with the high-pass, and without. [m]
    f3, f3_without : float
        Lower frequency limits with it, and without. [Hz]
    delay, delay_without : float
        Largest group delay from `f3_without` up. [s]
    """

    order: int
    corner: float
    travel: float
    travel_without: float
    f3: float
    f3_without: float
    delay: float
    delay_without: float


@takes(
    loudspeaker=Single(LOUDSPEAKER),
    voltage=Single(VOLTAGE),
    order=Whole("order of the filter", ORDERS),
    family=OneOf(FAMILIES),
    low=Single(LOWEST),
    air=Single(AIR),
)
def protective_high_pass(loudspeaker, voltage, *, order, family="Butterworth", low=10.0, air=Air()):
    """Find the lowest corner of a high-pass that keeps the cone within its travel at a voltage.

    Parameters
    ----------
    loudspeaker : Loudspeaker
        A single one whose xmax is known.
    voltage : float
        r.m.s. EMF of a steady tone in the pass-band. [V]
    order : {1, 2, 3, 4}
        Of the high-pass.
    family : {"Butterworth", "Bessel", "Linkwitz-Riley"}
        Of the high-pass.
    low : float
        Lowest frequency that is played. [Hz]
    air : Air

    Returns
    -------
    Protection or None
        None if the cone stays within its travel without one.

    Raises
    ------
    ValueError
        If no corner up to 200 Hz does: the voltage is too high for the driver.
    """
    grid = frequencies(low, HIGHEST_CORNER * 2, per_octave=48)
    return protected(solve(loudspeaker, grid, voltage, air=air), order, family)


@takes(without=Single(Holds((Response,))), order=Whole("order of the filter", ORDERS), family=OneOf(FAMILIES))
def protected(without, order, family="Butterworth"):
    """Find what `protective_high_pass` does, such as the corner in [Hz], from a response without it.

    Parameters
    ----------
    without : Response
        Of a single loudspeaker whose xmax is known, from the lowest frequency that is played to 400 Hz.
    order : {1, 2, 3, 4}
        Of the high-pass.
    family : {"Butterworth", "Bessel", "Linkwitz-Riley"}
        Of the high-pass.

    Returns
    -------
    Protection or None
        None if the cone stays within its travel without one.

    Raises
    ------
    ValueError
        If xmax is not known, or no corner up to 200 Hz does.
    """
    loudspeaker, grid = without.loudspeaker, without.frequency
    xmax = float(needed(loudspeaker.driver, "xmax", "a protective high-pass needs it"))
    travel = without.excursion
    if travel.max() <= xmax:
        return None
    high_pass = functools.partial(HighPass, order=order, family=family)
    corner = _lowest_corner(without, high_pass, xmax)
    behind = dataclasses.replace(loudspeaker, filters=(*loudspeaker.filters, high_pass(frequency=corner)))
    response = solve(behind, grid, without.voltage, air=without.air)
    f3, f3_without = float(response.f3), float(without.f3)
    played = grid >= (f3_without if np.isfinite(f3_without) else grid[0])
    return Protection(
        order=order,
        corner=corner,
        travel=float(response.excursion.max()),
        travel_without=float(travel.max()),
        f3=f3,
        f3_without=f3_without,
        delay=float(np.nanmax(response.group_delay[played])),
        delay_without=float(np.nanmax(without.group_delay[played])),
    )


def _lowest_corner(without, high_pass, xmax):
    """Return the lowest corner at which the cone stays within its travel. [Hz]"""
    from scipy.optimize import brentq

    travel = without.excursion

    def excess(logarithm):  # ahead of the loudspeaker the filter scales every excursion
        passed = np.abs(transfer([high_pass(frequency=np.exp(logarithm))], without.frequency))
        return np.log(np.max(travel * passed) / xmax)

    ends = np.log(without.frequency[0] / 4), np.log(HIGHEST_CORNER)
    if excess(ends[1]) > 0:
        raise ValueError(
            f"protective_high_pass: at {without.voltage:g} V the cone passes its {1e3 * xmax:.3g} mm with any corner "
            f"up to {HIGHEST_CORNER:g} Hz; use less voltage"
        )
    return float(np.exp(brentq(excess, *ends, xtol=1e-9) if excess(ends[0]) > 0 else ends[0]))
