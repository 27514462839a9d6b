"""What to cut: from a design to wood; and what feeds it: wire and fuse."""

from .feed import Cable, Draw, Feed, awg

__all__ = ["Cable", "Draw", "Feed", "awg"]
