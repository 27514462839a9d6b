"""What is to be as low as it can, and how good boxes are at it."""

from __future__ import annotations

from dataclasses import dataclass

import numpy as np

from .brief import HIGHEST, ROUNDING
from .limits import ratios
from .optimiser import penalised

# Which of the ports that are tried for each box it is to have: the widest that fits, the smallest that is slow enough
# within the brief, or the smallest that is slow enough whatever the brief says of its size.
WIDEST, SLOW, NEEDED = "widest", "slow", "needed"
SMALL_PORTS = {"volume": SLOW, "port_area": NEEDED, "port_length": NEEDED}  # a port takes room
TIE = 1e-9  # of what comes to the same, the one that reaches lower


def with_port(values, port):
    """Return what boxes come to with one of the ports that were tried: a dict of name to array, in SI units.

    Parameters
    ----------
    values : dict
        What they come to with the widest port; with another one, whatever it changes has that port's name before it.
    port : str
        "widest", "slow" or "needed".
    """
    changed = {
        name: values[f"{port}_{name}"] for name in ("volume", "area", "port_speed") if f"{port}_{name}" in values
    }
    return values | changed


@dataclass(frozen=True, slots=True, eq=False)
class Goal:
    """What is to be as low as it can.

    Attributes
    ----------
    aim : str
        A value of a box.
    ignored : tuple of Limit
        The limits that do not count meanwhile.
    port : {"widest", "slow", "needed"}
    """

    aim: str
    ignored: tuple = ()
    port: str = WIDEST

    @classmethod
    def of(cls, aim, ignored=()):
        """Return the goal of an `aim` with the port that suits it, with some limits `ignored`."""
        return cls(aim, ignored, SMALL_PORTS.get(aim, WIDEST))

    def ratios(self, values, brief):
        """Return how far what boxes come to, their `values`, is beyond what a `brief` allows: `Limit` to array. [1]"""
        return ratios(with_port(values, self.port), brief, self.ignored)

    def aimed(self, values):
        """Return what is to be low, of the `values` of boxes, in SI units."""
        return with_port(values, self.port)[self.aim]

    def merit(self, values, brief):
        """Return what is to be low: the aim where every limit is kept, else by how much the worst is passed.

        Parameters
        ----------
        values : dict
            What boxes come to.
        brief : Brief
        """
        passed = self.ratios(values, brief)
        worst = np.max([ratio / limit.tolerance for limit, ratio in passed.items()], axis=0)
        return penalised(self.aimed(values) + TIE * np.minimum(values["f3"], HIGHEST), worst, ROUNDING)
