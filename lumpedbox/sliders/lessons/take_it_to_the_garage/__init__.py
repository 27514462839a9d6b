"""The page that puts a box on paper for the garage."""

from .page import take_it_to_the_garage

__all__ = ["take_it_to_the_garage"]
