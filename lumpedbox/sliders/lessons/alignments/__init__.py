"""The lesson: its page and its exercises."""

from .exercises import alignments_sheet
from .page import QUESTION, alignments

__all__ = ["QUESTION", "alignments", "alignments_sheet"]
