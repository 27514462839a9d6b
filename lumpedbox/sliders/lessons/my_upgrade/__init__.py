"""The page on one's own upgrade, stage by stage."""

from .page import my_upgrade

__all__ = ["my_upgrade"]
