"""The page on which a box is drawn."""

from .page import draw_the_box

__all__ = ["draw_the_box"]
