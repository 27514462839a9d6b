"""The shape of the bass: how high it peaks over the pass-band, and how far it droops above f3."""

from __future__ import annotations

import numpy as np

from ..arguments import FREQUENCIES, takes
from ..families import common_shape
from ..quantity import Holds, Quantity
from .level import DECIBEL
from .single import Response

RESPONSE = Holds((Response,))
RELATIVE = Quantity(unit="dB", meaning="level over that of the pass-band", low=-np.inf, high=1000.0)
LIMIT = Quantity(unit="Hz", meaning="lower frequency limit", low=1e-3, high=np.inf)


@takes(response=RESPONSE)
def over_passband(response):
    r"""Level over the reference level of f3, shape (..., nf). [dB]

    .. math:: L - L_{ref}

    Parameters
    ----------
    response : Response
    """
    return response.level - np.asarray(response.reference_level)[..., np.newaxis]


@takes(relative_level=RELATIVE)
def peak(relative_level):
    r"""Return the highest peak of the level over the pass-band, 0 where there is none. [dB]

    .. math:: \max(0, \max_f L)

    Parameters
    ----------
    relative_level : array, shape (..., nf)
        Of `over_passband`. [dB]

    Returns
    -------
    float or array
        Of the family's shape.
    """
    return np.maximum(np.max(np.atleast_1d(relative_level), axis=-1), 0.0)[()]


@takes(relative_level=RELATIVE, frequency=FREQUENCIES, f3=LIMIT)
def droop(relative_level, frequency, f3):
    r"""Return the droop above f3: how far the level lies under a first-order high-pass and what is louder beyond. [dB]

    .. math:: \max_{f > f_3} \left[\min(0, \max_{f' > f} L) - 10 \log_{10}(1 + f_3^2 / f^2) - L(f)\right]

    Parameters
    ----------
    relative_level : array, shape (..., nf)
        Of `over_passband`. [dB]
    frequency : array, shape (nf,)
        In rising order. [Hz]
    f3 : float or array
        Lower frequency limit, of the family's shape. [Hz]

    Returns
    -------
    float or array
        Of the family's shape; 0 where nothing droops.
    """
    level, f3 = np.atleast_1d(relative_level), np.asarray(f3)[..., np.newaxis]
    if level.shape[-1] != frequency.size:
        raise ValueError(f"droop.relative_level must have {frequency.size} values on its last axis, one per frequency")
    common_shape([("droop.relative_level", level.shape[:-1]), ("droop.f3", f3.shape[:-1])])
    beyond = np.minimum(np.maximum.accumulate(level[..., ::-1], axis=-1)[..., ::-1], 0.0)
    under = beyond - DECIBEL * np.log(1 + np.square(f3 / frequency)) - level
    return np.max(np.where(frequency > f3, under, 0.0), axis=-1)[()]
