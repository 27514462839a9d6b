"""The one function that solves."""

from __future__ import annotations

import warnings

from ..air import AIR, Air
from ..arguments import DISTANCE, FREQUENCIES, VOLTAGE
from ..families import anywhere
from ..parts.room import apart
from ..parts.small_signal import reference_efficiency
from ..parts.system import HEARD, System
from .remarks import EFFICIENCY_REMARK, HIGHEST_EFFICIENCY
from .single import Response
from .system import SystemResponse


def solve(loudspeaker, frequency, voltage=2.83, distance=1.0, air=Air()):
    """Solve a loudspeaker, a system of several, or a family of either, over frequency.

    Parameters
    ----------
    loudspeaker : Loudspeaker or System
        Any of its quantities may be an array: the result then has the family's shape before the frequency axis.
    frequency : float or array, shape (nf,)
        [Hz]
    voltage : float or array
        r.m.s. EMF of the channel. [V]
    distance : float or array
        From loudspeaker to listener. A system with an `ear`, and a cabin of law "modes", use positions instead. [m]
    air : Air

    Returns
    -------
    Response or SystemResponse

    Raises
    ------
    ValueError, TypeError
        If an argument is of the wrong kind or out of range; the message names it.

    Warns
    -----
    UserWarning
        If the driver turns more than 5 % of its power into sound, which the model does not allow for.

    Examples
    --------
    >>> from lumpedbox import Driver, Loudspeaker, SealedBox
    >>> from lumpedbox.units import cm2, litre
    >>> driver = Driver.from_thiele_small(fs=35, Qes=0.45, Qms=5, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
    >>> response = solve(Loudspeaker(driver=driver, box=SealedBox(volume=30 * litre)), 100)
    >>> [round(float(x), 1) for x in response.level]
    [92.8]
    """
    HEARD.accept("solve", "loudspeaker", loudspeaker)
    AIR.accept("solve", "air", air)
    frequency = FREQUENCIES.accept("solve", "frequency", frequency)
    voltage, distance = VOLTAGE.accept("solve", "voltage", voltage), DISTANCE.accept("solve", "distance", distance)
    if too_efficient(loudspeaker, air):
        warnings.warn(EFFICIENCY_REMARK, stacklevel=2)
    return solved(loudspeaker, frequency, voltage, distance, air)


def too_efficient(loudspeaker, air):
    """Whether any of its drivers turns more power into sound than the model allows for."""
    speakers = loudspeaker.loudspeakers if isinstance(loudspeaker, System) else (loudspeaker,)
    return any(anywhere(reference_efficiency(speaker.driver, air) > HIGHEST_EFFICIENCY) for speaker in speakers)


def solved(loudspeaker, frequency, voltage, distance, air):
    """Return the response to arguments that are known to be right."""
    if isinstance(loudspeaker, System):
        return SystemResponse(loudspeaker, frequency, voltage, distance, air)
    ear = loudspeaker.cabin.listener if loudspeaker.by_places else None
    distance = distance if ear is None else apart(loudspeaker.position, ear)
    return Response(loudspeaker, frequency, voltage, distance, air, ear=ear)
