"""Words about how speakers share a channel, and how to find out."""

from __future__ import annotations

from ...tables.feeds import NOT_KNOWN

__all__ = ["CALLED", "METER_OFF", "NOT_KNOWN", "PAIRS", "PARALLEL", "SERIES", "SILENT"]

PARALLEL, SERIES, PAIRS = "parallel", "series", "two series pairs"
CALLED = {PARALLEL: "in parallel", SERIES: "in series", PAIRS: "in series pairs"}
SILENT = {PARALLEL: "the other plays on", SERIES: "both are silent", PAIRS: "its pair is silent"}  # with one unplugged
METER_OFF = "Unplug both wires from the amplifier first: never measure ohms on a live output."
