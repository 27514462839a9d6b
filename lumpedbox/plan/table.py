"""An order of stages as a table: what each stage costs, and what is heard then."""

from __future__ import annotations

import numpy as np

from ..arguments import Several, takes
from ..errors import Refused
from ..quantity import OneOf, Text
from .figures import figures
from .search import PLAN

AS_FOUND = "as found"


class Order:
    """Names of stages in order, or the name of an order of the plan."""

    def accept(self, owner, name, value):
        if isinstance(value, str) or (isinstance(value, (list, tuple)) and not value):
            return value
        return Several(Text(), "names of stages").accept(owner, name, value)


def in_order(plan, order, owner):
    """Return the names of stages, of an order that may be given by its name in the plan.

    Parameters
    ----------
    plan : Plan
    order : str, or sequence of str
    owner : str
        The function whose argument it is, for an error.

    Raises
    ------
    ValueError
        If there is no such stage, if one stands there twice, or stands before one that it comes after.
    """
    if isinstance(order, str):
        return plan.orders[OneOf(tuple(plan.orders)).accept(owner, "order", order)]
    known = OneOf(tuple(plan.stages))
    for place, name in enumerate(known.accept(owner, f"order[{i}]", name) for i, name in enumerate(order)):
        if name in order[:place]:
            raise Refused(owner, "order", f"holds {name!r} twice")
        if late := [other for other in plan.stages[name].after if other not in order[:place]]:
            raise Refused(owner, "order", f"has {name!r} before {late[0]!r}, which it comes after")
    return order


@takes(plan=PLAN, order=Order())
def table(plan, order):
    """Return an order of stages as a table: a row for what is found, and one for each stage.

    Parameters
    ----------
    plan : Plan
    order : str, or sequence of str
        Names of stages, or the name of an order of the plan.

    Returns
    -------
    pandas.DataFrame
        Units stand in its headings.

    Raises
    ------
    ValueError
        If the order is not possible.

    Examples
    --------
    >>> from lumpedbox.plan import demo_plan, table
    >>> table(demo_plan(), "team two")["so far [credits]"].tolist()
    [0.0, 0.0, 0.0, 28.0, 153.0, 211.0, 289.0]
    """
    import pandas

    order = in_order(plan, order, "table")
    states = [plan.after(*order[:count]) for count in range(len(order) + 1)]
    return pandas.DataFrame([_row(state) for state in states], index=pandas.Index((AS_FOUND, *order), name="stage"))


def _row(state):
    found = figures(state)
    levels = {f"{low} to {high} Hz [dB]": found.bands.get((low, high)) for low, high in found.bands}
    return {
        f"so far [{state.plan.currency}]": float(state.cost),
        "clean, 40 to 80 Hz [dB]": found.clean,
        "music that loud, a day [min]": found.exposure.minutes if found.exposure else np.nan,
        "treble against bass [dB]": found.thinness,
        "f3 [Hz]": found.f3,
        "f10 [Hz]": found.f10,
        "gives first": found.first,
        **levels,
        "set": ", ".join(f"{name} {level:+.0f} dB" for name, level in found.levels.items() if level),
        "does not fit": " ".join(state.unfit),
    }
