"""What is behind the cone."""

from .baffle import InfiniteBaffle
from .door import SEAM, Door
from .enclosure import USUAL_LEAKAGE, Enclosure, Losses, inner_side
from .passive import PassiveRadiatorBox
from .sealed import SealedBox
from .vented import VentedBox

__all__ = [
    "SEAM",
    "USUAL_LEAKAGE",
    "Door",
    "Enclosure",
    "InfiniteBaffle",
    "Losses",
    "PassiveRadiatorBox",
    "SealedBox",
    "VentedBox",
    "inner_side",
]
