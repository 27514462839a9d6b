"""How a response does by the measures of a brief: f3, peak, droop, delay, travel and port speed."""

from __future__ import annotations

import numpy as np

from ...parts.box import VentedBox
from ...response.crossing import zero_between
from ...response.level import HALF_POWER
from ...response.shape import droop, over_passband, peak

SHELF = 0.005  # dB above half power that a shelf must keep while searching: it may dip between two frequencies


def performance(response, brief, refine=True):
    """Return how a response does by the measures of a brief.

    Parameters
    ----------
    response : Response
        At the brief's voltage; each member of a family counts by itself.
    brief : Brief
    refine : bool
        Whether to solve for f3, or read it off between the response's frequencies.

    Returns
    -------
    dict
        f3 [Hz]; ripple [dB]; droop [dB]; delay [s]; excursion over xmax, 0 if xmax is not known [1]; port_speed, 0
        without a port [m/s]. `lowest` is the tone from which on travel and port speed are kept [Hz]. `strain` is the
        voltage over the highest that keeps them [1].
    """
    frequency, driver = response.frequency, response.loudspeaker.driver
    played = frequency >= brief.lowest * (1 - 1e-9)
    over = over_passband(response)
    travel = np.zeros_like(over) if driver.xmax is None else response.excursion / driver.xmax
    strain = travel / (brief.excursion or np.inf)
    f3 = _or_an_end(response.cutoff(HALF_POWER if refine else HALF_POWER - SHELF, refine), over, frequency)
    found = {
        "f3": f3,
        "ripple": peak(over),
        "droop": droop(over, frequency, f3),
        "delay": np.nanmax(response.group_delay[..., played], axis=-1),
        "excursion": travel[..., played].max(axis=-1),
        "port_speed": np.zeros(over.shape[:-1]),
    }
    if isinstance(response.loudspeaker.box, VentedBox):
        speed = response.port_velocity
        found["port_speed"] = speed[..., played].max(axis=-1)
        strain = np.maximum(strain, speed / (brief.port_speed or np.inf))
    return found | {"lowest": _clean_from(strain, frequency), "strain": strain[..., played].max(axis=-1)}


def _clean_from(strain, frequency):
    """Return the frequency above which a strain stays at most 1, by a straight line between frequencies. [Hz]"""
    passed = strain > 1
    last = strain.shape[-1] - 1 - np.argmax(passed[..., ::-1], axis=-1)
    after = np.minimum(last + 1, len(frequency) - 1)
    high, low = (np.take_along_axis(strain, np.expand_dims(at, -1), -1)[..., 0] for at in (last, after))
    with np.errstate(divide="ignore", invalid="ignore"):
        crossed = zero_between(frequency[last], frequency[after], high - 1, low - 1)
    return np.where(passed.any(axis=-1), np.where(passed[..., -1], np.inf, crossed), frequency[0])


def _or_an_end(found, over, frequency):
    """Return f3, the lowest frequency if the level never falls that far, infinity if it never rises that far."""
    loud = over[..., 0] >= -HALF_POWER
    return np.where(np.isnan(found), np.where(loud, frequency[0], np.inf), found)
