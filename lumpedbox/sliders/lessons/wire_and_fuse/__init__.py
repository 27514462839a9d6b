"""The page on what feeds an amplifier."""

from .page import QUESTION, wire_and_fuse

__all__ = ["QUESTION", "wire_and_fuse"]
