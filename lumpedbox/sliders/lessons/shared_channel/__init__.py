"""The lesson: its page and its exercises."""

from ...exercises.shared_channel import sheet as shared_channel_sheet
from .page import QUESTION, shared_channel

__all__ = ["QUESTION", "shared_channel", "shared_channel_sheet"]
