"""The lesson: its page and its exercises."""

from ...exercises.set_the_levels import sheet as set_the_levels_sheet
from .page import QUESTION, set_the_levels

__all__ = ["QUESTION", "set_the_levels", "set_the_levels_sheet"]
