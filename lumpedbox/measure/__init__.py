"""A driver from its measured impedance, and what was measured against what was worked out."""

from .comparing import Cause, Comparison, compare
from .curves import Measured
from .driver import driver_from_impedance
from .next_reading import Next, next_in_search, next_reading
from .readings import read_impedance
from .result import Finding, MeasuredDriver

__all__ = [
    "Cause",
    "Comparison",
    "Finding",
    "Measured",
    "MeasuredDriver",
    "Next",
    "compare",
    "driver_from_impedance",
    "next_in_search",
    "next_reading",
    "read_impedance",
]
