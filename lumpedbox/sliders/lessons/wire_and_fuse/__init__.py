"""The page on what feeds an amplifier."""

from .page import wire_and_fuse

__all__ = ["wire_and_fuse"]
