"""The page on your own parts."""

from .page import my_parts

__all__ = ["my_parts"]
