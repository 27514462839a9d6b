"""Find out what you have: twelve ten-minute checks, what each reading means, and which check to do next."""

from .page import find_out

__all__ = ["find_out"]
