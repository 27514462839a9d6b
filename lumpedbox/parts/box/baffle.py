"""A wall in place of a box."""

from __future__ import annotations

from ...quantity import Part, part


@part
class InfiniteBaffle(Part):
    """A wall so large that the sound of the cone's rear never meets that of its front; it has no losses.

    Examples
    --------
    >>> InfiniteBaffle().longest_path
    0.0
    """

    @property
    def longest_path(self):
        """Longest path of sound within it. [m]"""
        return 0.0
