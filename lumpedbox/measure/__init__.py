"""A driver from its measured impedance, and what was measured against what was worked out."""

from .curves import Measured
from .driver import driver_from_impedance
from .readings import read_impedance
from .result import Finding, MeasuredDriver

__all__ = ["Finding", "Measured", "MeasuredDriver", "driver_from_impedance", "read_impedance"]
