"""The lesson: its page and its exercises."""

from ...exercises.free_steps import sheet as free_steps_sheet
from .page import QUESTION, free_steps

__all__ = ["QUESTION", "free_steps", "free_steps_sheet"]
