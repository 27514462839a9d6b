"""What is heard, and what moves: one solve, every curve a property."""

from .grid import frequencies
from .poles import PolesAndZeros, poles_and_zeros
from .remarks import EFFICIENCY_REMARK
from .single import Response
from .solving import solve
from .system import SystemResponse

__all__ = [
    "EFFICIENCY_REMARK",
    "PolesAndZeros",
    "Response",
    "SystemResponse",
    "frequencies",
    "poles_and_zeros",
    "solve",
]
