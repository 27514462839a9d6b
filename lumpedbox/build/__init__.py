"""What to cut: from a design to wood."""

from .account import AccountLine, NetAccount, net_account, net_by_convention, with_net_volume
from .acoustic import acoustic_box, carcass_for
from .board import Board
from .carcass import Carcass
from .hopper import Hopper
from .inside import Brace, Cup, Inside, Lining, PortRun, Seat
from .panel import End, Panel
from .profile import Profile

__all__ = [
    "AccountLine",
    "Board",
    "Brace",
    "Carcass",
    "Cup",
    "End",
    "Hopper",
    "Inside",
    "Lining",
    "NetAccount",
    "Panel",
    "PortRun",
    "Profile",
    "Seat",
    "acoustic_box",
    "carcass_for",
    "net_account",
    "net_by_convention",
    "with_net_volume",
]
