"""A million boxes: how low the bass reaches, over volume and tuning, for every driver."""

from .page import a_million_boxes

__all__ = ["a_million_boxes"]
