"""Words about how two speakers share a channel."""

from __future__ import annotations

PARALLEL, SERIES, NOT_KNOWN = "parallel", "series", "not known yet"
UNPLUG = {  # how to make sure
    PARALLEL: "Make sure: unplug one, and the other plays on.",
    SERIES: "Make sure: unplug one, and both are silent.",
}
