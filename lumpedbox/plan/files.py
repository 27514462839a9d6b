"""Plans that come with lumpedbox, and plans that are changed."""

from __future__ import annotations

from ..tables.shipped import data_folder
from .reading import read_plan


def demo_plan():
    """Return the invented plan of the demonstration: the minibus of a technical college."""
    return read_plan(data_folder() / "upgrade_plan.toml", my_parts=data_folder() / "none")
