"""What is heard, and what moves: one solve, every curve a property."""

from .grid import frequencies
from .remarks import EFFICIENCY_REMARK
from .single import Response
from .solving import solve
from .system import SystemResponse

__all__ = [
    "EFFICIENCY_REMARK",
    "Response",
    "SystemResponse",
    "frequencies",
    "solve",
]
