"""What to cut: from a design to wood; and what feeds it: wire and fuse."""

import importlib

from .account import AccountLine, NetAccount, net_account, net_by_convention, with_net_volume
from .acoustic import acoustic_box, carcass_for
from .board import Board
from .carcass import Carcass
from .cut_list import CutPart, Restated, as_sawn, cut_list, gluing_sequence, restated
from .drawn import Drawn, as_table, from_table
from .feed import Cable, Draw, Feed, NoFuse, SecondBattery, alternator_reserve, awg, engine_off_time
from .fit import fit
from .hopper import Hopper
from .inside import Brace, Cup, Inside, Lining, PortRun, Seat
from .largest import Largest, largest
from .margin import Margin
from .panel import End, Panel
from .profile import Profile
from .shopping import LEAK_TEST, SCREWS_IN_INCHES, SCREWS_IN_MM, Bought, shopping_list
from .space import Passage, Space, straight_in
from .stock import Placed, Rectangle, Sheet, Stock, on_stock
from .strength import Forces, PanelResonance, forces, panel_resonances

__all__ = [
    "LEAK_TEST",
    "SCREWS_IN_INCHES",
    "SCREWS_IN_MM",
    "AccountLine",
    "Board",
    "Bought",
    "Brace",
    "Cable",
    "Carcass",
    "Cup",
    "CutPart",
    "Draw",
    "Drawn",
    "End",
    "Feed",
    "Forces",
    "Hopper",
    "Inside",
    "Largest",
    "Lining",
    "Margin",
    "NetAccount",
    "NoFuse",
    "Panel",
    "PanelResonance",
    "Passage",
    "Placed",
    "PortRun",
    "Profile",
    "Rectangle",
    "Restated",
    "Seat",
    "SecondBattery",
    "Sheet",
    "Space",
    "Stock",
    "acoustic_box",
    "alternator_reserve",
    "as_sawn",
    "as_table",
    "awg",
    "carcass_for",
    "cut_list",
    "engine_off_time",
    "fit",
    "forces",
    "from_table",
    "gluing_sequence",
    "largest",
    "net_account",
    "net_by_convention",
    "on_stock",
    "panel_resonances",
    "restated",
    "shopping_list",
    "straight_in",
    "with_net_volume",
    "write_cut_list",
    "write_panels",
    "write_sheet",
]


DRAWING = {"write_cut_list": "files", "write_panels": "files", "write_sheet": "sheet"}


def __getattr__(name):
    """Look up what draws when it is first used: physics never imports plotting."""
    if name not in DRAWING:
        raise AttributeError(f"module {__name__!r} has no attribute {name!r}")
    return getattr(importlib.import_module(f"..figures.garage.{DRAWING[name]}", __name__), name)
