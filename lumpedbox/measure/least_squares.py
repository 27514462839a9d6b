"""Least squares with outliers left out and values that are known beforehand; it knows no loudspeaker."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

NORMAL = 1.4826  # times the median of what is left over: the standard deviation of normal noise without its outliers
BEND = 1.345  # standard deviations from which a misfit pulls no harder (P. J. Huber, 1964; the number from memory)
OUTLIER = 4.5  # standard deviations from which a reading is left out: normal noise has one in 150,000 there
FLOOR = 1e-9  # least noise, unless the fit is told another
STEPS, BENDS = 30, 3
GAIN = 1e-3  # of chi-square: what wins less moves nothing by a twentieth of its standard deviation
LEAST_DAMPING, AGAIN = 1e-7, 1e-3  # and where it begins after a step that led uphill


@dataclass(frozen=True, slots=True, eq=False)
class Fitted:
    """What a fit ended with.

    Attributes
    ----------
    x : array, shape (p,)
    covariance : array, shape (p, p)
    noise : float
        Standard deviation of the data.
    freedom : float
        How many data are left over to judge the noise by.
    misses : array, shape (n,)
        Model minus data.
    kept : array of bool, shape (n,)
        Which data are no outliers.
    slopes : array, shape (n, p)
    """

    x: np.ndarray
    covariance: np.ndarray
    noise: float
    freedom: float
    misses: np.ndarray
    kept: np.ndarray
    slopes: np.ndarray


class Known:
    """Values that are known beforehand, each with a standard deviation; infinite where nothing is known."""

    def __init__(self, values, deviations):
        self.values, self.weights = np.asarray(values, dtype=float), np.square(1 / np.asarray(deviations, dtype=float))


def fit(model, start, known, together, noise=0.01, floor=FLOOR):
    r"""Return the values that agree best with data, outliers left out.

    Parameters
    ----------
    model : function
        From x to misses, shape (n,), and their slopes by x, shape (n, p).
    start : array, shape (p,)
    known : Known
    together : array of int, shape (n,)
        The datum that each belongs with: both are kept, or none.
    noise : float
        A first guess.
    floor : float
        No data are taken as more exact than this.

    Notes
    -----
    With the covariance :math:`(J^T J / \sigma^2 + \Lambda)^{-1}`, in which :math:`\Lambda` is what is known beforehand.
    The noise follows from what is left over.
    """
    model = _Remembering(model)
    x = descend(model, np.asarray(start, dtype=float), known, np.full(len(together), 1 / noise**2))
    x, noise = _bent(model, x, known, floor)
    kept = None
    for _ in range(4):
        misses, _ = model(x)
        good = np.abs(misses) < OUTLIER * noise
        before, kept = kept, np.bincount(together, weights=~good)[together] == 0
        if before is not None and (before == kept).all():
            break
        x = descend(model, x, known, kept / noise**2)
        noise, _ = _noise(model, x, known, kept, noise, floor)
    return _described(model, x, known, kept, noise, floor)


class _Remembering:
    """A model that is not worked out twice at one place."""

    def __init__(self, model):
        self.model, self.found = model, {}

    def __call__(self, x):
        key = x.tobytes()
        if key not in self.found:
            self.found[key] = self.model(x)
        return self.found[key]


def _bent(model, x, known, floor):
    """Return x and the noise with outliers held back."""
    for _ in range(BENDS):
        misses, _ = model(x)
        noise = max(NORMAL * float(np.median(np.abs(misses))), floor)
        weights = np.minimum(1.0, BEND * noise / np.maximum(np.abs(misses), FLOOR)) / noise**2
        x = descend(model, x, known, weights, steps=3)
    return x, noise


def _noise(model, x, known, kept, noise, floor):
    """Return the standard deviation of the data, and how many are left over to judge it by."""
    misses, slopes = model(x)
    normal = slopes.T @ (kept[:, np.newaxis] * slopes) / noise**2
    spent = np.trace(np.linalg.pinv(normal + np.diag(known.weights), hermitian=True) @ normal)  # some may be unknown
    freedom = max(kept.sum() - spent, 1.0)
    return max(float(np.sqrt(np.sum(kept * misses**2) / freedom)), floor), freedom


def _described(model, x, known, kept, noise, floor):
    misses, slopes = model(x)
    noise, freedom = _noise(model, x, known, kept, noise, floor)
    normal = slopes.T @ (kept[:, np.newaxis] * slopes) / noise**2 + np.diag(known.weights)
    return Fitted(x, np.linalg.pinv(normal, hermitian=True), noise, freedom, misses, kept, slopes)


def descend(model, x, known, weights, steps=STEPS):
    r"""Return the x of the least weighted sum of squares, from a start on (Levenberg and Marquardt).

    .. math:: (J^T W J + \Lambda + \mu D)\,\Delta = -J^T W r - \Lambda (x - x_0)
    """

    def cost(misses, x):
        return weights @ misses**2 + known.weights @ (x - known.values) ** 2

    (misses, slopes), damping = model(x), 1e-4
    least = cost(misses, x)
    for _ in range(steps):
        weighted = slopes.T * weights
        normal = weighted @ slopes + np.diag(known.weights)
        downhill = -(weighted @ misses) - known.weights * (x - known.values)
        step = np.linalg.lstsq(normal + damping * np.diag(np.diag(normal)), downhill, rcond=None)[0]
        gain = step @ downhill
        tried, tried_slopes = model(x + step)
        found = cost(tried, x + step)
        if found <= least:
            x, misses, slopes, least, damping = x + step, tried, tried_slopes, found, max(damping / 10, LEAST_DAMPING)
        else:
            damping = max(10 * damping, AGAIN)
        if gain < GAIN or damping > 1e9:
            break
    return x
