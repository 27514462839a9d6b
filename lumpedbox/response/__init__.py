"""What is heard, and what moves: one solve, every curve a property."""

from .asked import frequencies
from .single import Response
from .solving import solve
from .together import SystemResponse

__all__ = ["Response", "SystemResponse", "frequencies", "solve"]
