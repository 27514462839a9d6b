"""How far drivers of one type differ, and boxes built from one drawing."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..arguments import Axis, Named, takes
from ..quantity import Part, Quantity, Whole, missing, part, quantity

COUNT = Whole("number of members", range(1, 10**6 + 1))
SEED = Whole("seed of the random numbers", range(2**63))
AXES = Whole("number of axes after that of the members", range(17))
FACTOR = Axis(Quantity(unit="", meaning="factor on a quantity", low=1e-6, high=1e6))


def deviation(meaning):
    return quantity("", f"standard deviation of the logarithm of the {meaning}", 0.0, 1.0, default=0.0)


class Drawn(Part):
    """Standard deviations of natural logarithms, and factors drawn from them."""

    stream = ()  # behind the seed: each kind draws numbers of its own

    @takes(count=COUNT, seed=SEED)
    def factors(self, count, seed):
        r"""Draw factors on each quantity.

        Parameters
        ----------
        count, seed : int

        Returns
        -------
        dict
            Name: array of shape (count,). [1]

        Notes
        -----
        .. math:: e^{\sigma z}

        with z drawn from the standard normal distribution.
        """
        random = np.random.default_rng((seed, *self.stream))
        names = [spec.name for spec in dataclasses.fields(self)]
        return {name: np.exp(getattr(self, name) * random.standard_normal(count)) for name in names}


@part
class Spread(Drawn):
    """Standard deviations of the natural logarithms of what a driver is made of.

    Only independent quantities have one: resonance, Q and equivalent volume follow from them. So a heavier cone lowers
    the resonance *and* the level.

    Parameters
    ----------
    Re, Bl, Mms, Cms, Rms, Sd, Le, xmax : float
        Of the quantity of `Driver` of that name; 0.05 is about 5 %. [1]

    Examples
    --------
    >>> Spread(Mms=0.05, Cms=0.1).factors(3, seed=1)["Bl"]
    array([1., 1., 1.])
    """

    Re: float = deviation("resistance of the voice coil")
    Bl: float = deviation("force factor")
    Mms: float = deviation("moving mass")
    Cms: float = deviation("compliance of the suspension")
    Rms: float = deviation("resistance of the suspension")
    Sd: float = deviation("radiating area")
    Le: float = deviation("inductance of the voice coil")
    xmax: float = deviation("linear travel")


@part
class BuildSpread(Drawn):
    """Standard deviations of the natural logarithms of what a box is made of.

    The tuning follows from volume and port: a box that came out larger is tuned lower.

    Parameters
    ----------
    volume : float
        Of the net volume; 0.05 is about 5 %. [1]
    port_length : float
        Of the port's length; where only the tuning is given, of its length with both end corrections. [1]
    losses : float
        Of Ql, Qa and Qp together, and of the resistance of a leak. [1]

    Examples
    --------
    >>> BuildSpread(volume=0.03).factors(2, seed=1)["losses"]
    array([1., 1.])
    """

    stream = (1,)

    volume: float = deviation("net volume")
    port_length: float = deviation("length of the port")
    losses: float = deviation("Q of the losses")


def _factors(kind):
    return Named(FACTOR, "factors, one for each member", tuple(spec.name for spec in dataclasses.fields(kind)))


DRIVER_FACTORS, BOX_FACTORS = _factors(Spread), _factors(BuildSpread)
# Common practice, no source: how far drivers of one type lie apart, and boxes sawn by hand from one drawing.
USUAL = Spread(Re=0.02, Bl=0.04, Mms=0.03, Cms=0.12, Rms=0.15, Sd=0.01, Le=0.1, xmax=0.05)
USUAL_BUILD = BuildSpread(volume=0.03, port_length=0.03, losses=0.3)


def varied(part_, factors, axes):
    """Return some fields of a part, multiplied by factors.

    Parameters
    ----------
    part_ : Part
    factors : dict
        Name of a field: array of shape (count,). [1]
    axes : int
        How many axes follow that of the members.

    Returns
    -------
    dict
        Name: new value.
    """
    after = (1,) * axes
    values = {name: getattr(part_, name) for name in factors}
    return {name: values[name] * factors[name].reshape(-1, *after) for name in factors if values[name] is not None}


def spread_of(part_, meaning):
    """Return the spread of a part, or refuse by name where it has none."""
    if part_.spread is None:
        who = type(part_).__name__
        raise missing(f"{who}.spread", meaning, "members are drawn from a spread, so give it one")
    return part_.spread
