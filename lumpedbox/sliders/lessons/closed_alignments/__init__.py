"""The lesson: its page and its exercises."""

from .exercises import closed_alignment_sheet
from .page import QUESTION, closed_alignments

__all__ = ["QUESTION", "closed_alignment_sheet", "closed_alignments"]
