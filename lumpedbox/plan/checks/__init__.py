"""Find out what you have: what a reading of a ten-minute check means, and which check could change most."""

from .battery import drain, drop, over_a_fuse, supply
from .room import cabin_tones, depth_left, draught, litres, litres_lost
from .signal import clipping, meter_error, tones
from .typed import Reading, read, read_several
from .wires import COIL, cone_moves, pair, polarity, shared, swapped
from .worth import Question, Ranking, Worth, open_questions, rank, regret, swing

__all__ = [
    "COIL",
    "Question",
    "Ranking",
    "Reading",
    "Worth",
    "cabin_tones",
    "clipping",
    "cone_moves",
    "depth_left",
    "drain",
    "draught",
    "drop",
    "litres",
    "litres_lost",
    "meter_error",
    "open_questions",
    "over_a_fuse",
    "pair",
    "polarity",
    "rank",
    "read",
    "read_several",
    "regret",
    "shared",
    "supply",
    "swapped",
    "swing",
    "tones",
]
