"""The lesson: its page and its exercises."""

from ...exercises.alignments import sheet as alignments_sheet
from ...exercises.closed_alignments import sheet as closed_alignment_sheet
from ...exercises.vented_alignments import sheet as vented_alignment_sheet
from .page import QUESTION, alignments

__all__ = ["QUESTION", "alignments", "alignments_sheet", "closed_alignment_sheet", "vented_alignment_sheet"]
