"""How the shapes of families combine."""

from __future__ import annotations

import numpy as np


def anywhere(true):
    """Whether something is true of any member of a family, or of the one there is (`np.any` is slow for one)."""
    return bool(true.any() if isinstance(true, np.ndarray) else true)


def common_shape(shapes):
    """Broadcast (name, shape) pairs together; refuse two that clash, naming both."""
    common, sources = (), []
    for name, shape in shapes:
        try:
            common = np.broadcast_shapes(common, shape) if common else shape
        except ValueError:
            raise ValueError(_clash(name, shape, sources)) from None
        sources.append((name, shape))
    return common


def _clash(name, shape, sources):
    other, other_shape = next(source for source in sources if not _combine(source[1], shape))
    return (
        f"{other} has shape {other_shape} and {name} has shape {shape}: these families do not combine. "
        "Give both the same length, or give one an axis of its own (x[:, np.newaxis])"
    )


def _combine(shape, other):
    return all(a == b or 1 in (a, b) for a, b in zip(reversed(shape), reversed(other), strict=False))
