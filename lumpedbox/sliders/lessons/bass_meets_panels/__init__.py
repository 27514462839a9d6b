"""The lesson: its page and its exercises."""

from ...exercises.bass_meets_panels import sheet as bass_meets_panels_sheet
from .page import QUESTION, bass_meets_panels

__all__ = ["QUESTION", "bass_meets_panels", "bass_meets_panels_sheet"]
