"""What is behind the cone."""

from .baffle import InfiniteBaffle
from .door import Door
from .enclosure import USUAL_LEAKAGE, Enclosure, Losses, inner_side
from .passive import PassiveRadiatorBox
from .sealed import SealedBox
from .vented import VentedBox

__all__ = [
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
