"""What size of a driver was likely meant by one that cannot be."""

from __future__ import annotations

import math
import re

from ..arguments import takes
from ..parts.stand_in import as_round
from ..quantity import Holds, Quantity, Text
from ..units import cm, inch, mm
from .quantity_text import NUMBER, axes_of

USUAL_SIZE = 165 * mm  # in the middle of what is fitted in vehicles: common practice, no source


@takes(rule=Holds((Quantity,)), typed=Text())
def meant_size(rule, typed):
    """Return what was likely meant: the same numbers in inches or cm, whichever is nearer to a usual size.

    Parameters
    ----------
    rule : Quantity
        Of a size, or of an axis of an oval. [m]
    typed : str
        One number, or two.

    Returns
    -------
    str
        A question; empty where nothing is likely.
    """
    numbers = [re.match(NUMBER, axis) for axis in axes_of(typed)]
    if not all(numbers):
        return ""
    as_typed = tuple(float(number[0]) for number in numbers)
    likely = {"in": inch, "cm": cm, "mm": mm}
    meant = {unit: tuple(number * factor for number in as_typed) for unit, factor in likely.items()}
    possible = [unit for unit, axes in meant.items() if all(rule.low <= axis <= rule.high for axis in axes)]
    if not possible:
        return ""
    nearest = min(possible, key=lambda unit: abs(math.log(as_round(meant[unit][:1] + meant[unit][-1:]) / USUAL_SIZE)))
    return f": did you mean {' x '.join(number[0] for number in numbers)} {nearest}?"
