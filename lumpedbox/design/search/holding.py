"""What holds a box back: of the limits that it uses up, those where a little more would help."""

from __future__ import annotations

from dataclasses import replace

import numpy as np

from .boxes import COARSE
from .brief import VENTED
from .goal import with_port
from .limits import PORT_AREA, PORT_LENGTH, TUNING, VOLUME
from .optimiser import Stage

TOUCHES = 0.995  # of a limit: only one that a design comes closer to can hold it back
# How much more of a limit to try, as a share or in decibels. How much lower the aim must then be, as a share.
LITTLE, LITTLE_DB, GAIN = 0.01, 0.05, 1e-3
NEARBY = Stage(starts=1, fineness=COARSE, counts=(7, 13), size=1 / 240, narrowing=4, shrink=4)


def holding(boxes, goal, found):
    """Return which limits hold a box back, and which it only uses up.

    Parameters
    ----------
    boxes : Boxes
    goal : Goal
    found : Optimum

    Returns
    -------
    holds, used : tuple of Limit
    """
    touched = _touched(boxes, goal, found)
    best = _best_near(boxes, goal, found.point, -np.inf) if touched else np.inf
    holds = tuple(limit for limit in touched if _would_gain(boxes, goal, found.point, best, limit))
    return holds, tuple(limit for limit in touched if limit not in holds)


def _touched(boxes, goal, found):
    """Return the limits that a box uses up."""
    ratios = goal.ratios(found.values, boxes.brief)
    if boxes.kind == VENTED:
        area = with_port(found.values, goal.port)["area"]
        ratios[PORT_AREA] = area / boxes.brief.port_area
        ratios[PORT_LENGTH] = area / float(boxes.ports(*boxes.volumes_and_tunings(found.point[np.newaxis])).longest[0])
        ratios[TUNING] = 1 - found.point[1]
    return tuple(limit for limit, ratio in ratios.items() if ratio > TOUCHES)


def _would_gain(boxes, goal, point, best, limit):
    """Return whether a little more of a limit gives a box near a point that is better than the best one now."""
    looser = _with_more(boxes, limit)
    if looser is None or best == np.inf:
        return False
    gained = best - GAIN * max(best, GAIN)
    return _best_near(looser, goal, point, gained) < gained


def _best_near(boxes, goal, point, enough):
    """Return the aim's value for the best box near a point, or for the first found below `enough`.

    It is infinity if no such box keeps the limits.
    """
    found = boxes.problem(goal).refined(point[np.newaxis], (NEARBY._replace(enough=enough),))
    return goal.aimed(found.values) if found.feasible else np.inf


def _with_more(boxes, limit):
    """Return the boxes that a little more of a limit allows, None if there cannot be more."""
    if limit is TUNING:
        return replace(boxes, bounds=boxes.bounds - [[0.0, 0.0], [LITTLE, 0.0]])
    allowed = limit.stated(boxes.brief)
    if limit is PORT_LENGTH and allowed is None:
        return replace(boxes, reach=1 + LITTLE)
    if allowed is None:  # BASS is not a limit of the brief
        return None
    brief = boxes.brief.with_limits({limit.name: limit.more(allowed, 1 + LITTLE, LITTLE_DB)})
    larger = np.zeros_like(boxes.bounds)
    larger[0, 1] = LITTLE if limit is VOLUME else 0.0
    return brief and replace(boxes, brief=brief, bounds=boxes.bounds + larger)
