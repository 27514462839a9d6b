"""The lesson: its page and its exercises."""

from ...exercises.which_box import sheet as which_box_sheet
from .page import QUESTION, which_box

__all__ = ["QUESTION", "which_box", "which_box_sheet"]
