"""The page that holds what was measured against what was planned."""

from .page import as_planned

__all__ = ["as_planned"]
