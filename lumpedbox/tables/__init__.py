"""Tables in and out, quantities as text, and what a person keeps."""

from .demo import (
    demo_amplifiers,
    demo_cabins,
    demo_converters,
    demo_drivers,
    demo_head_units,
    demo_levels,
    demo_noise,
    demo_readings,
    demo_sheets,
)
from .read import read_drivers, read_levels, read_parts, read_sheets

__all__ = [
    "demo_amplifiers",
    "demo_cabins",
    "demo_converters",
    "demo_drivers",
    "demo_head_units",
    "demo_levels",
    "demo_noise",
    "demo_readings",
    "demo_sheets",
    "read_drivers",
    "read_levels",
    "read_parts",
    "read_sheets",
]
