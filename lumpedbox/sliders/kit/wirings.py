"""Words about how speakers share a channel, and how to find out."""

from __future__ import annotations

PARALLEL, SERIES, PAIRS, NOT_KNOWN = "parallel", "series", "two series pairs", "not known yet"
CALLED = {PARALLEL: "in parallel", SERIES: "in series", PAIRS: "in series pairs"}
SILENT = {PARALLEL: "the other plays on", SERIES: "both are silent", PAIRS: "its pair is silent"}  # with one unplugged
METER_OFF = "Unplug both wires from the amplifier first: never measure ohms on a live output."
