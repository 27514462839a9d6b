"""What to cut: from a design to wood."""

from .board import Board
from .carcass import Carcass
from .hopper import Hopper
from .panel import End, Panel
from .profile import Profile

__all__ = ["Board", "Carcass", "End", "Hopper", "Panel", "Profile"]
