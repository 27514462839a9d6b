"""What is told of the work: in which order the saw cuts the boards, how they are glued, and what to buy."""

from __future__ import annotations

import math
import string
from collections import Counter

import numpy as np

from ...build.carcass import RIGHT
from ...build.shopping import SCREWS_IN_INCHES, SCREWS_IN_MM, shopping_list
from ...units import inch
from .lengths import METRIC, angle_text, fine_text, length_text, sheet_text

FOOT, OUNCE = 12 * inch, 0.45359237 / 16
SHORT = 0.2  # m: what is shorter is told as a length to saw is
SQUARE_WITHIN = 1e-9  # m
ENDS = ("left end", "right end", "lower side", "upper side")
KEEPS = "The tip stays at the end of the blank: its length does not change."
JOINING = (
    "Glue every joint. Where a board covers the edge of another, screw through it into the middle of that edge, in "
    "pilot holes (common practice, no source). Drill in line with the board behind, so that no tip comes out of it."
)

SLOT_LAST = (
    "Only screw the boards of a slot and the {last} in at first, with tape over the seams. Glue them once the tuning "
    "is measured."
)
BENT_SLOT = (
    "The boards of a bent slot are numbered from its panel on. Left and right are seen on the way in: the drawing "
    "of the box names each. The outer face of a shelf lies in the slot."
)
SHORT_STRIP = (
    "A short strip brings the hand to the blade. So saw the tilted end on a long board first. Then cut off the "
    "{strips}, with a push stick (common practice, no source)."
)
STRIP = 0.1  # m from end to end: what is tilted and shorter brings the hand near the blade (ours)


def sawing_lines(parts, holes, system, laid_out, cups=()):
    """Return what the saw does, in order: blanks, what is no rectangle, tilts, holes.

    Parameters
    ----------
    parts : sequence of CutPart
    holes : dict
        Name of a part: its `Hole`s.
    system : str
    laid_out : bool
        Whether the parts lie on sheets of board.
    cups : sequence of Cup
        Terminals: their holes are as their makers say.
    """
    how = "in the order of the cuts under Sheets of board" if laid_out else "to its length and breadth"
    steps = [f"Saw every blank {how}, with the saw upright. {_ripped(parts, system)}".strip()]
    upright = [part for part in parts if not any(part.tilts)]
    if aslant := "; ".join(f"{part.name} ({edge})" for part in upright for edge in slanting(part)):
        steps.append(f"The saw still upright, cut along the line between the corners told under Boards: {aslant}.")
    if both := ", ".join(part.name for part in parts if any(part.tilts) and slanting(part)):
        steps.append(f"Mark the corners told under Boards on the outer face: {both}. Tilted cuts follow these lines.")
    steps += _tilted(parts)
    bored = [f"{hole.name} in the {part.name}" for part in parts for hole in holes.get(part.name, ())]
    bored += [f"terminal in the {cup.panel}, as its maker says" for cup in cups if cup.panel]
    if bored:
        steps.append(f"Cut the holes: {'; '.join(bored)}.")
    return [f"{number}. {step}" for number, step in enumerate(steps, start=1)]


def _ripped(parts, system):
    """Say what is ripped to which breadth."""
    breadths = {}
    for part in parts:
        if part.is_rectangle:
            breadths.setdefault(length_text(part.breadth, system), []).append(part.name)
    return " ".join(
        f"Rip to {breadth} with one setting of the fence: {', '.join(of)}." for breadth, of in breadths.items()
    )


def _tilted(parts):
    """Say which ends are sawn at which tilt."""
    tilts = {}
    for part in parts:
        for which, end in zip(ENDS, (part.start, part.end, *part.sides), strict=True):
            if end.tilt > 0:
                tilts.setdefault(angle_text(end.tilt), []).append(f"{part.name} ({which}, {end.longer} longer)")
    keeps = "" if any(any(part.tilts) and slanting(part) for part in parts) else f" {KEEPS}"
    told = [f"Tilt the saw to {tilt}: {'; '.join(ends)}.{keeps}" for tilt, ends in sorted(tilts.items())]
    if strips := ", ".join(part.name for part in parts if any(part.tilts) and part.length < STRIP):
        told.append(SHORT_STRIP.format(strips=strips))
    return told


def slanting(part):
    """Return the edges of a part that are not square to its blank: their corners, and the angle from square.

    Parameters
    ----------
    part : CutPart
    """
    found, letters = [], string.ascii_uppercase[: len(part.outline)]
    edges = np.roll(part.outline, -1, axis=0) - part.outline
    for letter, to, edge in zip(letters, letters[1:] + letters[0], edges, strict=True):
        low, high = sorted(np.abs(edge))
        if low > SQUARE_WITHIN:
            found.append(f"{letter} to {to}, {angle_text(math.atan2(low, high))} from square")
    return found


def turns_of(part, order):
    """Return the turn, or the turns, at which a part is glued, as text; like cheeks are one line and two turns.

    Parameters
    ----------
    part : CutPart
    order : sequence of str
        As `gluing_sequence` returns it.
    """
    return f"{part.glued}, {order.index(RIGHT) + 1}" if part.name == "cheek" else str(part.glued)


def gluing_lines(order):
    """Return in which order the parts are glued, and how.

    Parameters
    ----------
    order : sequence of str
        As `gluing_sequence` returns it.
    """
    slot = [SLOT_LAST.format(last=order[-1])] if any(" of port " in name for name in order) else []
    bent = [BENT_SLOT] if any("shelf 1 of port " in name for name in order) else []
    return [", then ".join(order) + ".", JOINING, *slot, *bent]


def bought_lines(box, inside, system, laid=()):
    """Return what to buy, and what the amounts assume.

    Parameters
    ----------
    box : Carcass or Hopper
    inside : Inside
    system : str
    laid : sequence of Sheet, optional
        Of board, with the parts on them.
    """
    stock = Counter(sheet.stock for sheet in laid)
    screws = SCREWS_IN_MM if system == METRIC else SCREWS_IN_INCHES
    drivers = Counter(seat.driver.name or "without a name" for seat in inside.drivers)
    return [
        *(
            f"board, {_board(each, system)}: {many} {'sheet' if many == 1 else 'sheets'}."
            for each, many in stock.items()
        ),
        *(f"driver, {name}: {many}." for name, many in drivers.items()),
        *([f"terminal: {len(inside.cups)}."] if inside.cups else []),
        *(
            f"{line.item}: {_amount(line.amount, line.unit, system)} ({line.assumes.format(each=_each(line, system))})."
            for line in shopping_list(box, inside, screws)
        ),
    ]


def _board(stock, system):
    return f"{sheet_text(stock.length, stock.width, system)}, {fine_text(stock.thickness, system)} thick"


def _amount(amount, unit, system):
    if unit == "kg":
        return f"{amount * 1e3:.0f} g" if system == METRIC else f"{amount / OUNCE:.2f} ounces"
    if unit == "m" and amount < SHORT:
        return length_text(amount, system)
    if unit == "m":
        return f"{amount:.2f} m" if system == METRIC else f"{amount / FOOT:.1f} feet"
    return f"{amount:g} {unit}"


def _each(line, system):
    """Return what an amount is reckoned with."""
    if line.unit == "kg":
        ounces = f"{line.each * FOOT**2 / OUNCE:.2f} ounces a square foot"
        return f"{line.each * 1e3:.0f} g/m²" if system == METRIC else ounces
    if line.unit == "pieces":
        return length_text(line.each, system)
    return fine_text(line.each, system)  # a board's thickness, as the cut list says it
