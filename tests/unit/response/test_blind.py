"""A blind test: the chance of so many right guesses, by counting."""

from itertools import product
from math import comb

import pytest

from lumpedbox.response.blind import by_luck


@pytest.mark.parametrize("right", range(11))
def test_chance_by_counting_all_series_of_guesses(right):
    """All 1024 series of ten guesses, each as likely; and Pascal's triangle."""
    counted = sum(sum(series) >= right for series in product((0, 1), repeat=10)) / 1024
    assert by_luck(right) == pytest.approx(counted, abs=1e-12)
    assert counted == sum(comb(10, k) for k in range(right, 11)) / 1024


def test_other_lengths():
    assert by_luck(3, 3) == pytest.approx(1 / 8)
    assert by_luck(0, 20) == pytest.approx(1)


def test_slips_are_named():
    with pytest.raises(ValueError, match=r"by_luck\.right must be at most the 10 trials, got 11"):
        by_luck(11, 10)
    with pytest.raises(TypeError, match=r"by_luck\.right must be a whole number"):
        by_luck(7.5, 10)
