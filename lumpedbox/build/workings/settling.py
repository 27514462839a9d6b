"""Boxes whose port depends on their size, which depends on their port."""

from __future__ import annotations

from ...errors import Refused

MOST_ROUNDS, STILL = 200, 1e-11  # and by how much of itself a length then still changes


def settled(step, start):
    """Return the lengths that a step leaves as they are; refuse where even many steps come to none. [m]

    No step is taken farther than it says: a port or a box beyond may not exist.
    """
    from scipy.optimize import fixed_point

    try:
        return fixed_point(step, start, xtol=STILL, maxiter=MOST_ROUNDS, method="iteration")
    except RuntimeError:
        problem = (
            f"does not settle: after {MOST_ROUNDS} rounds its port still changes with its size, and that with its port"
        )
        raise Refused(
            "carcass_for", "inside", problem, ": take a smaller port, or let another dimension give"
        ) from None
