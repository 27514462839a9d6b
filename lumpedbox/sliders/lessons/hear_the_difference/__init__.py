"""The page on which two loudspeakers are heard, one after the other."""

from .page import hear_the_difference

__all__ = ["hear_the_difference"]
