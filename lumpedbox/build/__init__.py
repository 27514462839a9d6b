"""What to cut: from a design to wood; and what feeds it: wire and fuse."""

from .feed import Cable, Draw, Feed, NoFuse, SecondBattery, alternator_reserve, awg, engine_off_time

__all__ = ["Cable", "Draw", "Feed", "NoFuse", "SecondBattery", "alternator_reserve", "awg", "engine_off_time"]
