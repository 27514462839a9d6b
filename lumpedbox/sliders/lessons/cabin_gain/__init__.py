"""The page on what a cabin does to the bass: `page.py`; `scene.py` computes, `answering.py` has the words."""

from ...exercises.cabin_gain import sheet as cabin_gain_sheet
from .page import QUESTION, cabin_gain

__all__ = ["QUESTION", "cabin_gain", "cabin_gain_sheet"]
