"""What the search makes as low as it can, and how well boxes do at it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .brief import HIGHEST, ROUNDING
from .limits import ratios
from .optimiser import penalised

# Each box is tried with three ports. WIDEST is the widest that fits. SLOW is the smallest within the brief whose air is
# slow enough. NEEDED is the smallest whose air is slow enough, whatever size the brief allows.
WIDEST, SLOW, NEEDED = "widest", "slow", "needed"
SMALL_PORTS = {"volume": SLOW, "port_area": NEEDED, "port_length": NEEDED}  # a port takes room
TIE = 1e-9  # between equals, take the one that reaches lower


def with_port(values, port):
    """Return what boxes achieve with one of the ports that were tried: a dict of name to array, in SI units.

    Parameters
    ----------
    values : dict
        What they achieve with the widest port. What another port changes has that port's name in front.
    port : str
        "widest", "slow" or "needed".
    """
    changed = {
        name: values[f"{port}_{name}"] for name in ("volume", "area", "port_speed") if f"{port}_{name}" in values
    }
    return values | changed


@dataclass(frozen=True, slots=True, eq=False)
class Goal:
    """What the search makes as low as it can.

    Attributes
    ----------
    aim : str
        A value of a box.
    ignored : tuple of Limit
        The limits that do not count for it.
    port : {"widest", "slow", "needed"}
    """

    aim: str
    ignored: tuple = ()
    port: str = WIDEST

    @classmethod
    def of(cls, aim, ignored=()):
        """Return the goal of an `aim`, with the port that suits it and some limits `ignored`."""
        return cls(aim, ignored, SMALL_PORTS.get(aim, WIDEST))

    def ratios(self, values, brief):
        """Return how far the `values` of boxes are beyond what a `brief` allows: `Limit` to array. [1]"""
        return ratios(with_port(values, self.port), brief, self.ignored)

    def aimed(self, values):
        """Return what the goal makes low, from the `values` of boxes, in SI units."""
        return with_port(values, self.port)[self.aim]

    def merit(self, values, brief):
        """Return the number to make low: the aim if every limit is kept, else how far the worst is exceeded.

        Parameters
        ----------
        values : dict
            What boxes achieve.
        brief : Brief
        """
        passed = self.ratios(values, brief)
        worst = np.max([ratio / limit.tolerance for limit, ratio in passed.items()], axis=0)
        return penalised(self.aimed(values) + TIE * np.minimum(values["f3"], HIGHEST), worst, ROUNDING)
