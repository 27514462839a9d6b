"""What the pictures show, as plain data: the vehicle from above, money, levels at the ear, the worth of steps."""

from __future__ import annotations

import math
import re

import numpy as np

from ....plan.entries import fed
from ....tables.feeds import NOT_KNOWN
from ...kit.outcomes import beginnings
from ...kit.systems import SYSTEMS
from ...kit.thing import tape
from .words import money

SIZE = re.compile(r"(\d+) mm\b")  # of a driver, as its name tells it
NOMINAL = 1.2  # a driver over its cone: common practice, no source


def vehicle(outcomes, done):
    """Return what is seen from above once some stages are done: places, wires, sources and the ear. [m]

    Parameters
    ----------
    outcomes : Outcomes
    done : sequence of str
        The last one is marked as new.
    """
    plan = outcomes.plan
    now, before = plan.after(*done), plan.after(*done[:-1])
    doubtful = {one.where for one in outcomes[done].unfit} if done in outcomes else set()
    known = {
        place: _place(place, now.openings[place], now.drivers.get(place), before.drivers.get(place), doubtful)
        for place in now.openings
    }
    return _inside(plan.cabin) | {
        "places": list(known.values()),
        "wires": [_wire(plan.channels[line.name], line, number) for number, line in enumerate(now.lines)],
        "told": done[-1] if done else "as found",
    }


def _inside(cabin):
    """Return the walls and the ear; nothing where the cabin is not known."""
    if cabin is None:
        return {}
    return {
        "length": cabin.length,
        "width": cabin.width,
        "sizes": {side: tape(getattr(cabin, side), SYSTEMS[0]) for side in ("length", "width")},
        "ear": [float(way) for way in cabin.ear[:2]] if cabin.ear is not None else None,
    }


def _place(name, opening, driver, before, doubtful):
    x, y = (float(way) for way in opening["place"][:2]) if "place" in opening else (None, None)
    size = size_of(driver) if driver is not None else 0
    holds = f"{size} mm, {driver.name}" if driver is not None else "empty"
    doubt = ", in doubt: see the card" if name in doubtful else ""
    return {
        "name": name,
        "x": x,
        "y": y,
        "size": size,
        "doubt": name in doubtful,
        "new": driver != before,
        "said": f"{name}: {holds}{doubt}",
    }


def size_of(driver):
    """Return the nominal size of a driver, as its name tells it, or from its hole or its cone. [mm]"""
    if named := SIZE.match(driver.name):
        return int(named[1])
    return round(1e3 * (driver.cutout or NOMINAL * 2 * math.sqrt(driver.Sd / math.pi)))


def _wire(channel, line, number):
    feeds, wiring, joint = fed(channel["feeds"]), line.wiring or NOT_KNOWN, ""
    if len(feeds) > 1:
        joint = "wired in a way not known" if wiring == NOT_KNOWN else f"in {wiring}"
    source = line.source.name if line.source is not None else "nothing yet"
    said = f"{line.name}: {source}{f', {joint}' if joint else ''}"
    return {"name": line.name, "source": source, "places": feeds, "said": said, "pen": number}


def way(outcomes, order):
    """Return where an order leads: what is spent, the clean bass and treble against bass after each stage."""
    points = [outcomes[done] for done in beginnings(order) if done in outcomes]
    return [
        {
            "cost": point.cost,
            "clean": rounded(point.figures.clean),
            "thinness": rounded(point.figures.thinness),
        }
        for point in points
    ]


def axis(lines):
    """Return how the money of some plans' orders lies along an axis: what is spent in all, at most.

    Parameters
    ----------
    lines : list of (Outcomes, tuple of str)
        The reader's own first: in its currency all is counted.
    """
    total, currency = max(outcomes.plan.cost_of(order) for outcomes, order in lines), lines[0][0].plan.currency
    return {"total": total, "text": money(total, currency), "currency": currency}


def curve(found):
    """Return the level at the ear at the highest clean drive, as plain numbers; none if it is not known."""
    if not np.isfinite(found.curve).all():
        return None
    return [round(float(level), 1) for level in found.curve]


def band(edges):
    """Return the edges of a band as plain numbers; none if there is none."""
    return None if edges is None else edges.round(1).tolist()


def rounded(number):
    """Return a number as the browser takes it; None if there is none."""
    return round(float(number), 2) if np.isfinite(number) else None


def worth(shares, spans, along):
    """Return what each step is worth: its fair share, the least and the most, and what it does in this order. [dB]

    Parameters
    ----------
    shares, spans : dict
        As `lumpedbox.plan.shares` and `lumpedbox.plan.spans` tell.
    along : dict
        Stage: by how much it changes the clean bass in the order that is shown.
    """
    return [
        {
            "name": name,
            "share": rounded(share),
            "low": rounded(spans[name][0]),
            "high": rounded(spans[name][1]),
            "here": rounded(along[name]) if name in along else None,
            "said": _worth_in_words(name, share, spans[name]),
        }
        for name, share in shares.items()
    ]


def _worth_in_words(name, share, span):
    return f"{name}: fair share {share:+.1f} dB, between {span[0]:+.1f} and {span[1]:+.1f} dB"


def steps_along(outcomes, order):
    """Return stage: by how much it changes the clean bass where it stands in an order. [dB]"""
    clean = [outcome.figures.clean for outcome in outcomes.along(order)]
    return dict(zip(order, np.diff(clean), strict=True))
