"""A wall in place of a box."""

from __future__ import annotations

from ...quantity import Part, part


@part
class InfiniteBaffle(Part):
    """A wall so large that sound from the rear of the cone never meets sound from its front. It has no losses.

    Examples
    --------
    >>> InfiniteBaffle().longest_path
    0.0
    """

    @property
    def longest_path(self):
        """Longest path of sound inside it. [m]"""
        return 0.0
