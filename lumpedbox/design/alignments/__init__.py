"""Alignments: the shape of response that a closed or vented box gives a driver."""

from .boxes import box_of
from .closed import ClosedAlignment, closed_alignment, closed_ratio, closed_volume
from .efficiency import best_constant, best_f3, efficiency_constant
from .named import named_alignment, vented_alignment
from .published import PowerLaw, power_law
from .radiator import radiator_box
from .shapes import chebyshev, quasi_butterworth, reversed_bessel, ripple_of_chebyshev
from .vented import VentedAlignment, of_box, power_coefficients, tuned

__all__ = [
    "ClosedAlignment",
    "PowerLaw",
    "VentedAlignment",
    "best_constant",
    "best_f3",
    "box_of",
    "chebyshev",
    "closed_alignment",
    "closed_ratio",
    "closed_volume",
    "efficiency_constant",
    "named_alignment",
    "of_box",
    "power_coefficients",
    "power_law",
    "quasi_butterworth",
    "radiator_box",
    "reversed_bessel",
    "ripple_of_chebyshev",
    "tuned",
    "vented_alignment",
]
