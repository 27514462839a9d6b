"""Which tone to measure next, where the plan is known and the driver perhaps not."""

from __future__ import annotations

import numpy as np

from .readings import IMPEDANCE, frequencies_of

FIRST_OF_LEVEL = (20.0, 31.5, 50.0, 80.0, 125.0, 200.0, 25.0, 40.0, 63.0, 100.0, 160.0)  # Hz, of a test disc
LOW, HIGH = 15.0, 300.0  # Hz that are asked for
ENOUGH = 20  # readings: ours


def coming(scene):
    """Return the frequency to measure next. [Hz]

    Of a level the usual tones come first. Of an impedance each tone halves the longest piece of the planned curve
    between two readings, on logarithmic axes. So peaks, and the dip between them, get most.
    """
    done = np.sort(frequencies_of(scene.measured)) if scene.measured is not None else np.empty(0)
    inside = (scene.grid >= LOW) & (scene.grid <= HIGH)
    f, curve = scene.grid[inside], scene.solved(scene.system)[inside]
    if scene.kind != IMPEDANCE:
        left = [one for one in FIRST_OF_LEVEL if not np.any(np.isclose(done, one, rtol=0.02))]
        if left:
            return left[0]
        curve = np.ones_like(f)
    elif not len(done):
        return float(np.round(f[np.argmax(curve)], 1))
    way = np.concatenate([[0.0], np.cumsum(np.hypot(np.diff(np.log(f)), np.diff(np.log(curve))))])
    at = np.concatenate([[0.0], np.interp(np.log(done), np.log(f), way), [way[-1]]])
    at = np.unique(at)
    longest = int(np.argmax(np.diff(at)))
    return float(np.round(np.interp((at[longest] + at[longest + 1]) / 2, way, f), 1))
