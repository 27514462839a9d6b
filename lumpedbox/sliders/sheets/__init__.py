"""The exercises of each lesson."""

from .alignments import alignments_sheet
from .bass_meets_panels import bass_meets_panels_sheet
from .closed_box import closed_box_sheet
from .crossing_over import crossing_over_sheet
from .data_sheet import data_sheet_sheet
from .decibels import decibel_sheet
from .how_loud import how_loud_sheet
from .loud_tweeter import loud_tweeter_sheet
from .sealed_or_vented import sealed_or_vented_sheet
from .small_woofers import small_woofer_sheet
from .which_box import which_box_sheet

__all__ = [
    "alignments_sheet",
    "bass_meets_panels_sheet",
    "closed_box_sheet",
    "crossing_over_sheet",
    "data_sheet_sheet",
    "decibel_sheet",
    "how_loud_sheet",
    "loud_tweeter_sheet",
    "sealed_or_vented_sheet",
    "small_woofer_sheet",
    "which_box_sheet",
]
