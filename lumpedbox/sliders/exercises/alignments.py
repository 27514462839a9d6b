"""Exercises of the lesson on alignments: closed boxes and poles, then vented families."""

from __future__ import annotations

from ..kit.sheet import Sheet
from . import closed_alignments, vented_alignments


def sheet():
    """Return the sheet of the lesson."""
    return Sheet((*closed_alignments.exercises(), *vented_alignments.exercises()), "alignments")
