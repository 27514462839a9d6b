"""Wire and fuse: what feeds an amplifier, what is lost on the way, and what protects the wire."""

from .battery import SecondBattery, alternator_reserve, engine_off_time
from .cable import Cable, awg
from .draw import Draw, share_of_sine
from .fed import fed
from .feed import Feed
from .fuses import NoFuse

__all__ = [
    "Cable",
    "Draw",
    "Feed",
    "NoFuse",
    "SecondBattery",
    "alternator_reserve",
    "awg",
    "engine_off_time",
    "fed",
    "share_of_sine",
]
