"""Preferred values: plain values, neighbours, refusals."""

import pytest

from lumpedbox import Capacitor, Inductor, Resistor, across, in_series
from lumpedbox.design.e_series import nearest, pair, rounded
from lumpedbox.units import mH, uF


@pytest.mark.parametrize(
    ("value", "series", "expected"), [(2.65, "E24", 2.7), (2.65, "E12", 2.7), (9.6, "E24", 10.0), (99e-6, "E12", 1e-4)]
)
def test_nearest(value, series, expected):
    assert nearest(value, series) == pytest.approx(expected)


def test_a_value_of_the_series_is_itself():
    assert nearest(4.7 * uF, "E12") == pytest.approx(4.7 * uF)
    assert pair(4.7 * uF, "E12") == (pytest.approx(4.7 * uF),)


def test_a_pair_adds_up():
    """9 is 6.8 + 2.2: two in parallel for a capacitor, in series for a coil or a resistor."""
    assert pair(9.0, "E12") == pytest.approx((6.8, 2.2))


def test_rounded_to_pairs():
    network = in_series(Capacitor(capacitance=9 * uF, resistance=0.1)) + across(Inductor(inductance=0.9 * mH))
    capacitor, coil = (branch.components[0] for branch in rounded(network, "E12", pairs=True).branches)
    assert capacitor.capacitance == pytest.approx(9.0 * uF)
    assert capacitor.resistance == 0.1
    assert coil.inductance == pytest.approx(0.9 * mH)


def test_what_is_not_fitted_stays_so():
    network = in_series(Resistor(resistance=0.0)) + across(Resistor(resistance=float("inf")))
    assert rounded(network) == network


@pytest.mark.parametrize("function", [nearest, pair])
def test_refusals(function):
    with pytest.raises(ValueError, match=rf"{function.__name__}\.series must be"):
        function(1.0, "E13")
    with pytest.raises(ValueError, match=rf"{function.__name__}\.value must be between"):
        function(-1.0, "E12")
