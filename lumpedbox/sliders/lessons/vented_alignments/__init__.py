"""The lesson: its page and its exercises."""

from .exercises import vented_alignment_sheet
from .page import QUESTION, vented_alignments

__all__ = ["QUESTION", "vented_alignment_sheet", "vented_alignments"]
