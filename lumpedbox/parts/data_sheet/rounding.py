"""How exact a printed number can be: to half a unit of its last digit."""

from __future__ import annotations

import numpy as np

from ...units import cm2, cubic_foot, gram, inch, litre, mm, mm_per_newton, square_inch

# In which a quantity may have been printed; else in its unit of the SI.
PRINTED_IN = {
    "Vas": (litre, cubic_foot),
    "Sd": (cm2, square_inch),
    "diameter": (mm, inch),
    "Mms": (gram,),
    "Mmd": (gram,),
    "Cms": (mm_per_newton,),
}
FEWEST = 2  # 5 may be 5.0, and 30 may be 30.4 as well as 30


def half_a_digit(name, value):
    r"""Return the largest rounding error that a printed value may carry, in logarithms.

    The text is not known here. The digits are those that the number needs in the unit where it needs fewest, but at
    least two. So 0.45 is taken as 0.445 to 0.455, and 100 as 95 to 105.

    Parameters
    ----------
    name : str
        Such as "Vas"; for a sensitivity, the decimals count.
    value : float
        [SI, dB]

    Notes
    -----
    .. math:: h = \ln\left(1 + \frac{10^{-n}}{2 m}\right)

    for a number of n + 1 digits whose first digits are m = 1 to 10.
    """
    if name.startswith("sensitivity"):
        decimals = len(f"{value:.6f}".rstrip("0").partition(".")[2])
        return 0.5 * 10.0**-decimals * np.log(10) / 20
    written = (f"{value / size:.10e}" for size in PRINTED_IN.get(name, (1.0,)))
    return max(_half_of_last(text.partition("e")[0].rstrip("0")) for text in written)


def _half_of_last(digits):
    places = max(len(digits.partition(".")[2]), FEWEST - 1)
    return np.log1p(0.5 * 10.0**-places / float(digits))
