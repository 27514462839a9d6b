"""The page that measures a driver, and its lesson."""

from ...exercises.measure_a_driver import sheet as measure_a_driver_sheet
from .page import measure_a_driver

__all__ = ["measure_a_driver", "measure_a_driver_sheet"]
