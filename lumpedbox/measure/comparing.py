"""What was measured against what was predicted: which one difference explains most."""

from __future__ import annotations

from dataclasses import dataclass
from functools import partial
from typing import NamedTuple

import numpy as np

from ..air import AIR, Air
from ..arguments import DISTANCE, PROGRESS, VOLTAGE, Single, takes
from ..errors import Refused
from ..parts.filters import LevelTable
from ..parts.system import System
from ..response import Response, SystemResponse
from ..units import litre
from .curves import FEWEST, Predicted, WhatWasMeasured
from .knobs import reversed_polarity, turned
from .trial import STEP, ImpedanceCurve, LevelCurve, Trial, stepped

WHO = "compare"
SURE, EACH_MORE = 9.0, 4.0  # chi-square that a cause must explain: three standard deviations, and two for each more
BOX = ("volume", "tuning", "leak", "loss")
SUSPENSION = ("Cms", "Rms")
CAUSES = (*BOX, "suspension", "level", "place")
OR_MORE = " It may be off by more: that is as far as is tried."
ONE_WAY = ("leak", "loss")  # less of these than planned is no fault


class Cause(NamedTuple):
    """One difference that would explain the measurement.

    Attributes
    ----------
    name : str
        "volume", "tuning", "leak", "loss", "suspension", "polarity", "level" or "place".
    loudspeaker : str
        Whose it is, or the channel's name; empty where there is one loudspeaker only.
    amount : float
        How far it is off: the logarithm of a factor, dB of a level, m of a place; 0 of polarity.
    deviation : float
        Its standard deviation, in the same unit; infinite at the limit of what is tried.
    gain : float
        Chi-square that it explains.
    sentence : str
    """

    name: str
    loudspeaker: str
    amount: float
    deviation: float
    gain: float
    sentence: str


@dataclass(frozen=True, slots=True, eq=False)
class Comparison:
    """A measurement against a prediction.

    Attributes
    ----------
    causes : tuple of Cause
        What was tried, the one that explains most first.
    first : Cause or None
        The first, if it explains enough to be named.
    before, after : float
        Root mean square by which prediction and measurement differ, as predicted and with the first cause. It is a
        share of an impedance [1], and in [dB] of a level. With the cause all else may differ as it usually does.
    alone : float
        The same with the first cause in it and nothing else.
    values : dict
        Of a built box from its impedance: "volume", "tuning", "Ql", "Qa" as they came out, in SI units.
    standard_deviations : dict
        Of those; infinite where a value stands at the limit of what is tried: beyond it nothing is known.
    corrected : System
        The prediction with the first cause in it.
    """

    causes: tuple
    first: Cause | None
    before: float
    after: float
    alone: float
    values: dict
    standard_deviations: dict
    corrected: object

    def __str__(self):
        if self.first is None:
            return "It came out as planned, within what hands and parts usually differ."
        return self.first.sentence


@takes(
    measured=WhatWasMeasured(),
    predicted=Predicted(),
    voltage=Single(VOLTAGE),
    distance=Single(DISTANCE),
    air=Single(AIR),
    progress=PROGRESS,
)
def compare(measured, predicted, *, voltage=2.83, distance=1.0, air=Air(), progress=None):
    r"""Say what differs between a measurement and its prediction, and which one cause explains it best.

    Parameters
    ----------
    measured : Measured, tuple (frequency, impedance), or LevelTable
        The impedance of a built box [Hz], [ohm]; or a level curve taken in the vehicle, as `read_levels` gives it.
        Of a level curve the overall level is left open, since a phone knows none. In a cabin by its resonances
        readings within half an octave of its `modal_limit` are left out: phases mean nothing there.
    predicted : Loudspeaker, System, Response or SystemResponse
        The plan. `spread` of driver and box say how far they usually differ; else the usual ones hold.
    voltage, distance : float
        Of the measurement, where no response says it. [V], [m]
    air : Air
    progress : function, optional
        Called before each cause is tried with two numbers, fits done and in all; the first fit is done by then. Raise
        from it to end the comparison.

    Returns
    -------
    Comparison
        With `causes`, `first` and, of a box, its `values`.

    Raises
    ------
    ValueError, TypeError
        If an impedance is compared with several loudspeakers, or something is not a prediction. If there are fewer
        than six readings that count. If no cause brings the two together at all, as when units are mixed up.

    Notes
    -----
    Driver and box may differ within their usual spreads: so a fit with all of them, each held by its spread, comes
    first. Then each cause in turn is freed from its spread, and all is fitted again:

    .. math:: \chi^2 = \sum_i \frac{r_i^2}{\sigma^2} + \sum_q \frac{x_q^2}{\sigma_q^2}

    A cause is named if that sum falls by more than chance explains. So there are never more free numbers than the data
    carry.

    Examples
    --------
    >>> from dataclasses import replace
    >>> from lumpedbox import Loudspeaker, SealedBox, Spread, frequencies, solve
    >>> from lumpedbox.tables import demo_drivers
    >>> from lumpedbox.units import litre
    >>> driver = replace(demo_drivers()["200 mm bass"], spread=Spread(Bl=0.004, Mms=0.006, Cms=0.006, Rms=0.01))
    >>> plan = Loudspeaker(driver=driver, box=SealedBox(volume=20 * litre, Ql=10))
    >>> built = replace(plan, box=SealedBox(volume=15 * litre, Ql=10))
    >>> f = frequencies(15, 500, per_octave=24)
    >>> print(compare((f, solve(built, f).impedance), plan))
    The box holds 15.0 litres, not 20.0.
    """
    if isinstance(predicted, (Response, SystemResponse)):
        voltage, air = predicted.voltage, predicted.air
        distance = predicted.distance if isinstance(predicted, Response) else max(predicted.distances)
        predicted = predicted.loudspeaker if isinstance(predicted, Response) else predicted.system
    system = predicted if isinstance(predicted, System) else System(channels=(predicted,))
    if isinstance(measured, LevelTable):
        curve = LevelCurve(measured, system, voltage, distance, air)
    elif len(system.loudspeakers) > 1:
        raise Refused(WHO, "predicted", "must be one loudspeaker where an impedance was measured, got several")
    else:
        curve = ImpedanceCurve(measured, air)
    if len(curve.frequency) < FEWEST:
        problem = f"has {len(curve.frequency)} readings that count, and {FEWEST} are the fewest"
        raise Refused(WHO, "measured", problem, ": measure more, and below the cabin's modal limit")
    return _compared(curve, system, air, progress or (lambda done, count: None))


def _compared(curve, system, air, progress):
    """Fit as predicted, then with each cause free, and rank them."""
    usual = Trial(curve, system)
    trials = _each_cause(curve, system, usual, progress)
    noise = min(trial.fitted.noise for trial in (usual, *trials.values()))
    worst = usual.chi_square(noise)
    causes = {key: _cause(key, trial, worst - trial.chi_square(noise), air) for key, trial in trials.items()}
    order = sorted(causes, key=lambda key: causes[key].gain, reverse=True)
    named = order[0] if order and causes[order[0]].gain > SURE else None
    values, deviations = _built(curve, system, usual, air) if isinstance(curve, ImpedanceCurve) else ({}, {})
    after = usual if named is None else trials[named]
    _check_explained(after.fitted.misses, curve)
    corrected = system if named is None else _with_cause(named, after)
    return Comparison(
        causes=tuple(causes[key] for key in order),
        first=causes.get(named),
        before=_size(_plain(curve, system), curve),
        after=_size(after.fitted.misses, curve),
        alone=_size(_plain(curve, corrected), curve),
        values=values,
        standard_deviations=deviations,
        corrected=corrected,
    )


def _each_cause(curve, system, usual, progress):
    """Return the fit with each cause free, by its name and place."""
    groups = _groups(usual.knobs)
    fits = {key: partial(Trial, curve, system, free, start=usual.fitted.x) for key, free in groups.items()}
    swapped = _wired_together(system) if isinstance(curve, LevelCurve) else ()
    fits |= {("polarity", places): partial(Trial, curve, reversed_polarity(system, places)) for places in swapped}
    found = {}
    for key, made in fits.items():
        progress(1 + len(found), 1 + len(fits))
        found[key] = made()
    return found


def _plain(curve, system):
    """Return how far a system as it stands is off a curve."""
    off = curve(system) - curve.data
    return off - off.mean() if curve.open_level else off


def _check_explained(misses, curve):
    """Refuse what no cause explains, as when units are mixed up: nothing is told of it, nor that all is well."""
    size = _size(misses, curve)
    if size > curve.farthest:
        off = f"{size:.0f} dB" if curve.open_level else f"{100 * size:.0f} %"
        problem = f"lies {off} off the prediction, whatever one cause is put right"
        raise Refused(WHO, "measured", problem, f": is it of what was planned, wired as planned, and {curve.slips}?")


def _wired_together(system):
    """Return whose wires may be swapped: each loudspeaker's, and a whole channel's; a dict, places to its name."""
    places = iter(range(len(system.loudspeakers)))
    each = {(place,): name for place, name in enumerate(system.names)}
    channels = [tuple(next(places) for _ in channel.each) for channel in system.wired]
    found = each | {mine: system.channel_names[at] for at, mine in enumerate(channels) if len(mine) > 1}
    return {mine: name for mine, name in found.items() if len(mine) < len(each)}


def _size(misses, curve):
    """Root mean square of misses, in the unit of the curve."""
    return float(np.sqrt(np.mean(np.square(misses))) / curve.unit)


def _groups(knobs):
    """Return which knobs each cause sets free, by its name and place."""
    groups = {}
    for at, knob in enumerate(knobs):
        name = "suspension" if knob.name in SUSPENSION else knob.name
        place = 0 if name == "place" else knob.place
        if name in CAUSES:
            groups.setdefault((name, place), []).append(at)
    return groups


def _cause(key, trial, gain, air):
    """Return a cause with what it explains; less leak or loss than planned explains nothing."""
    name, place = key
    mine = _groups(trial.knobs).get(key, [])
    amount, deviation = _amount(name, trial, mine)
    gain = 0.0 if name in ONE_WAY and amount < 0 else gain - EACH_MORE * max(len(mine) - 1, 0)
    system = trial.system
    whose = _whose(system, name, place)
    sentence = _sentence(name, whose, amount, _boxes(key, trial, air)) + (OR_MORE if np.isinf(deviation) else "")
    return Cause(name, whose, amount, deviation, float(gain), sentence)


def _whose(system, name, place):
    """Return the name of the loudspeaker or the channel that a cause is about; empty where there is one only."""
    if len(system.loudspeakers) == 1 or name == "place":
        return ""
    if name == "polarity":
        return _wired_together(system)[place]
    return system.channel_names[place] if name == "level" else system.names[place]


def _amount(name, trial, mine):
    """Return the size of a cause and its standard deviation: of a place how far, else the first of its knobs."""
    if not mine:
        return 0.0, 0.0
    x, covariance = trial.fitted.x[mine], trial.fitted.covariance[np.ix_(mine, mine)]
    along = x / np.linalg.norm(x) if name == "place" and x.any() else np.eye(len(x))[0]
    ended = trial.ended[mine] & (along != 0)
    return float(along @ x), np.inf if ended.any() else float(np.sqrt(along @ covariance @ along))


def _with_cause(key, trial):
    """Return the prediction with one cause in it, all else as predicted."""
    mine = _groups(trial.knobs).get(key, [])
    if not mine:
        return trial.system
    return turned(trial.system, [trial.knobs[at] for at in mine], trial.fitted.x[mine][:, np.newaxis]).member((0,))


def _boxes(key, trial, air):
    """Return numbers of the box as planned and with the cause in it; none where it is no matter of a box."""
    name, place = key
    if name not in BOX:
        return {}, {}
    systems = trial.system, _with_cause(key, trial)
    return tuple(_numbers(system.loudspeakers[place].box, air) for system in systems)


def _numbers(box, air):
    """Return the numbers of a box that an impedance tells, by name. [SI]"""
    tuning = {"tuning": box.tuning(air)} if hasattr(box, "tuning") else {}
    leak = {"leak_resistance": box.leak_resistance} if box.leak_resistance is not None else {"Ql": box.Ql}
    return {"volume": box.volume, **tuning, **leak, "Qa": box.Qa}


def _sentence(name, whose, amount, boxes):
    """Say what a cause is, as to a friend."""
    planned, built = boxes
    of = f" of {whose}" if whose else ""
    share = 100 * abs(np.expm1(amount))
    more = amount > 0
    if name == "volume":
        return f"The box{of} holds {built['volume'] / litre:.1f} litres, not {planned['volume'] / litre:.1f}."
    if name == "tuning":
        return f"The box{of} is tuned to {built['tuning']:.1f} Hz, not {planned['tuning']:.1f}."
    if name == "leak":
        return f"The box{of} leaks {np.exp(amount):.1f} times as much as planned."
    if name == "loss":
        return f"The box{of} loses {np.exp(amount):.1f} times as much inside as planned: look at its filling."
    return {
        "suspension": f"The suspension{of} is {share:.0f} % {'softer' if more else 'stiffer'} than planned.",
        "polarity": f"The + and - wires{of} are swapped.",
        "level": f"The level{of} is {abs(amount):.1f} dB too {'high' if more else 'low'}.",
        "place": f"The microphone was {100 * amount:.0f} cm from where it was meant.",
    }[name]


def _built(curve, system, usual, air):
    """Return the numbers of a box as built, and their standard deviations: nothing about the box is taken as known."""
    free = [at for at, knob in enumerate(usual.knobs) if knob.name in BOX]
    if not free:
        return {}, {}
    trial = Trial(curve, system, free, usual.fitted.x)
    x = np.clip(trial.fitted.x, STEP - trial.limits, trial.limits - STEP)  # a limit has no slope beyond it
    rows = _numbers(trial.turned(stepped(x)).loudspeakers[0].box, air)
    rows = {name: np.broadcast_to(value, 1 + len(x)) for name, value in rows.items()}
    slopes = {name: (row[1:] - row[0]) / STEP for name, row in rows.items()}
    deviations = {
        name: np.inf if slope[trial.ended].any() else float(np.sqrt(slope @ trial.fitted.covariance @ slope))
        for name, slope in slopes.items()
    }
    return {name: float(row[0]) for name, row in rows.items()}, deviations
