"""How far the drivers of one kind differ."""

from __future__ import annotations

import dataclasses

import numpy as np

from ..quantity import Part, Quantity, part, quantity

COUNT = Quantity(unit="", meaning="number of members", low=1, high=1e6)
SEED = Quantity(unit="", meaning="seed of the random numbers", low=0, high=2**63)


def deviation(meaning):
    return quantity("", f"standard deviation of the logarithm of the {meaning}", 0.0, 1.0, default=0.0)


@part
class Spread(Part):
    """Standard deviations of the natural logarithms of what a driver is made of.

    Only quantities that come about by themselves have one: resonance, Q and equivalent volume follow from them, so
    that a heavier cone lowers the resonance *and* the level.

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

    def factors(self, count, seed):
        """Draw factors on each quantity.

        Parameters
        ----------
        count, seed : int

        Returns
        -------
        dict
            Name: array of shape (count,). [1]
        """
        random = np.random.default_rng(int(SEED.single("Spread", "seed", seed)))
        count = int(COUNT.single("Spread", "count", count))
        names = [spec.name for spec in dataclasses.fields(self)]
        return {name: np.exp(getattr(self, name) * random.standard_normal(count)) for name in names}
