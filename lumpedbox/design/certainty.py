"""How sure a curve is, and which quantity makes it unsure."""

from __future__ import annotations

import dataclasses
from dataclasses import dataclass

import numpy as np

from ..arguments import FREQUENCY, Single, takes
from ..parts.spread import COUNT, BuildSpread, Spread
from ..quantity import Holds, Whole
from ..response import Response
from ..response.band import CURVE, MEMBERS, magnitudes

RESPONSE = Holds((Response,))
STEP = 1e-3  # of a logarithm, to either side: the error of the derivative is of the order of its square
WORDS = {
    "Re": "resistance of the coil",
    "Bl": "force factor",
    "Mms": "moving mass",
    "Cms": "compliance of the suspension",
    "Rms": "loss of the suspension",
    "Sd": "area of the cone",
    "Le": "inductance of the coil",
    "xmax": "linear travel",
    "volume": "volume of the box",
    "port_length": "length of the port",
    "losses": "losses of the box",
}


@dataclass(frozen=True, slots=True, eq=False)
class Doubt:
    """What makes a curve unsure, to first order.

    Attributes
    ----------
    parts : dict
        Quantity: what one standard deviation of it does to the curve, in its unit; array of shape (nf,), signed.
    """

    parts: dict

    @property
    def deviation(self):
        """Standard deviation of the curve: the root of the sum of squares, in its unit. shape (nf,)"""
        return np.sqrt(sum(np.square(part) for part in self.parts.values()))

    def shares(self, index=...):
        """Return each quantity's share of the variance, the largest first: a dict of name to share. [1]

        Parameters
        ----------
        index : int, optional
            Which frequency; by default the mean over all of them.
        """
        count = len(next(iter(self.parts.values())))
        if index is not ...:
            index = Whole("which frequency", range(-count, count)).accept("Doubt.shares", "index", index)
        squares = {name: np.mean(np.square(part)[index]) for name, part in self.parts.items()}
        total = sum(squares.values())
        ordered = sorted(squares, key=squares.get, reverse=True)
        return {name: float(squares[name] / total) if total else 0.0 for name in ordered}


@takes(response=Single(RESPONSE), curve=CURVE)
def doubts(response, curve="level"):
    r"""Return how unsure each spread of driver and box makes a curve, to first order.

    Parameters
    ----------
    response : Response
        Of a single loudspeaker whose driver or box has a spread.
    curve : str
        As for `Response.band`.

    Returns
    -------
    Doubt

    Raises
    ------
    ValueError
        If neither has a spread, if it is a family, or if the curve is a number that this response does not have.

    Notes
    -----
    .. math:: \sigma^2 = \sum_q \left(\frac{\partial L}{\partial \ln q}\right)^2 \sigma_q^2

    The derivatives are central differences, all solved as one family. This holds for small spreads; `Response.band`
    holds for any.
    """
    driver, box = response.loudspeaker.driver, response.loudspeaker.box
    deviations = {
        name: value
        for part in (driver, box)
        for name, value in _deviations(getattr(part, "spread", None)).items()
        if value and getattr(part, name, 0.0) is not None
    }
    if not deviations:
        raise ValueError("doubts needs a driver or a box with a spread: neither says how much it varies")
    names, steps = list(deviations), np.kron(np.eye(len(deviations)), [[STEP], [-STEP]])
    factors = {name: np.exp(steps[:, names.index(name)]) if name in names else np.ones(len(steps)) for name in WORDS}
    family = response.with_parts(
        driver.varied({name: factors[name] for name in _names(Spread)}),
        box.varied({name: factors[name] for name in _names(BuildSpread)}) if hasattr(box, "varied") else box,
    )
    values = magnitudes(family, curve)
    if values.ndim == 1 and np.isnan(values).any():
        raise ValueError(f"doubts: this response has no {curve}; `cutoff_in_words` says why")
    slopes = (values[0::2] - values[1::2]) / (2 * STEP)
    return Doubt({name: slope * deviations[name] for name, slope in zip(names, slopes, strict=True)})


def _names(kind):
    return [spec.name for spec in dataclasses.fields(kind)]


def _deviations(spread):
    return {} if spread is None else {name: float(getattr(spread, name)) for name in _names(type(spread))}


@takes(response=Single(RESPONSE), frequency=Single(FREQUENCY), members=COUNT)
def in_words(response, frequency, members=MEMBERS):
    """Say how sure the level is at a frequency, and what makes it most unsure.

    Parameters
    ----------
    response : Response
        Of a single loudspeaker whose driver or box has a spread.
    frequency : float
        Within those of the response. [Hz]
    members : int
        How many are drawn.

    Returns
    -------
    str

    Raises
    ------
    ValueError, TypeError
        As for `doubts`, or if the frequency is not a number or lies outside the response.
    """
    lowest, highest = response.frequency.min(), response.frequency.max()
    if not lowest <= frequency <= highest:
        raise ValueError(
            f"in_words.frequency must lie within the response, {lowest:.4g} to {highest:.4g} Hz, got {frequency:.4g} Hz"
        )
    found = doubts(response)
    logarithms = np.log(response.frequency / frequency)
    low, high = (np.interp(0.0, logarithms, edge) for edge in response.band("level", members=members))
    index = int(np.argmin(np.abs(logarithms)))
    parts = [f"{100 * share:.0f} % from the {WORDS[name]}" for name, share in found.shares(index).items()]
    told = [part for part in parts[:2] if not part.startswith("0 %")]
    of_that = f" That spread comes {' and '.join(told)}." if told else ""
    deepest, shallowest = response.band("f3", members=members)
    reach = f" Their f3 lies between {deepest:.1f} and {shallowest:.1f} Hz." if np.isfinite(deepest) else ""
    return f"At {frequency:.0f} Hz four of five play between {low:.1f} and {high:.1f} dB.{of_that}{reach}"
