"""The page on one's own parts."""

from .page import my_parts

__all__ = ["my_parts"]
