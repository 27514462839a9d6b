"""How sure a curve is: bands of driver and box together, against first-order propagation and closed forms.

Sources: propagation of uncertainty to first order (JCGM 100:2008, 5.1.2, from memory); the standard error of a
percentile (order statistics, from memory). The closed forms are derived.
"""

import dataclasses
import re

import numpy as np
import pytest
from scipy.stats import norm

from lumpedbox import (
    BuildSpread,
    Driver,
    InfiniteBaffle,
    Loudspeaker,
    PassiveRadiator,
    PassiveRadiatorBox,
    Port,
    SealedBox,
    Spread,
    VentedBox,
    frequencies,
    solve,
)
from lumpedbox.design.certainty import WORDS, doubts, in_words
from lumpedbox.parts.spread import USUAL, USUAL_BUILD
from lumpedbox.response.band import MEMBERS
from lumpedbox.units import cm, cm2, gram, litre, mH, mm

GRID = frequencies(18, 200, 8)
ONE_SIGMA = norm.cdf(1) - norm.cdf(-1)
DRIVER = Driver(
    Re=3.4, Bl=9.4, Mms=53 * gram, Cms=0.39 * mm, Rms=2.3, Sd=330 * cm2, Le=0.7 * mH, xmax=6 * mm, spread=USUAL
)
BOXES = {
    "sealed": SealedBox(volume=30 * litre, Ql=8, Qa=30, spread=USUAL_BUILD),
    "tuned": VentedBox(volume=50 * litre, fb=32, port_area=80 * cm2, Ql=7, spread=USUAL_BUILD),
    "ported": VentedBox(volume=50 * litre, port=Port(length=20 * cm, diameter=9 * cm), Ql=7, spread=USUAL_BUILD),
}


def scaled(spread, by):
    return type(spread)(**{spec.name: by * getattr(spread, spec.name) for spec in dataclasses.fields(spread)})


def installed(box, by=1.0, driver=DRIVER):
    box, driver = (dataclasses.replace(part, spread=scaled(part.spread, by)) for part in (box, driver))
    return solve(Loudspeaker(driver=driver, box=box), GRID)


@pytest.mark.parametrize("name", BOXES)
def test_a_small_spread_is_that_of_first_order_propagation(name):
    """20,000 members know a standard deviation from percentiles to 0.9 %; 3 % is more than three of these."""
    response = installed(BOXES[name], by=0.1)
    curves = ["level", "excursion", "group_delay", "impedance", *(["port_velocity"] if name != "sealed" else [])]
    for curve in curves:
        low, high = response.band(curve, share=ONE_SIGMA, members=20_000)
        assert (high - low) / 2 == pytest.approx(doubts(response, curve).deviation, rel=0.03), curve


def test_first_order_in_closed_form():
    """In the pass-band the level is 20 lg(Bl Sd / (Mms Re)): each logarithm counts 8.686 dB."""
    driver = dataclasses.replace(DRIVER, Le=0.0, spread=Spread(Bl=0.02, Mms=0.03, Re=0.01, Sd=0.04))
    found = doubts(solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), 4000.0))
    decibel = 20 / np.log(10)
    expected = {"Bl": 0.02 * decibel, "Mms": -0.03 * decibel, "Re": -0.01 * decibel, "Sd": 0.04 * decibel}
    assert {name: part[0] for name, part in found.parts.items()} == pytest.approx(expected, rel=1e-3)
    assert found.deviation[0] == pytest.approx(decibel * np.sqrt(0.0030), rel=1e-3)
    assert list(found.shares(0)) == ["Sd", "Mms", "Bl", "Re"]
    assert found.shares(0)["Sd"] == pytest.approx(16 / 30, rel=2e-3)


def test_two_seeds_agree_within_what_their_number_leaves_open():
    """Standard error of a percentile p of n: sqrt(p (1 - p) / n) over the density there; five of them an edge."""
    response = installed(BOXES["tuned"])
    first, second = (response.band("level", share=0.8, seed=seed) for seed in (1, 2))
    error = np.sqrt(0.1 * 0.9 / MEMBERS) / norm.pdf(norm.ppf(0.1)) * doubts(response).deviation
    assert np.all(abs(first - second) < 5 * np.sqrt(2) * error)
    assert not np.array_equal(first, second)
    assert MEMBERS >= 2000


def test_the_band_is_what_solving_each_member_gives():
    response = installed(BOXES["ported"])
    drivers, boxes = DRIVER.members(40), BOXES["ported"].members(40)
    alone = [solve(Loudspeaker(driver=drivers.member(i), box=boxes.member(i)), GRID).level for i in range(40)]
    found = response.band("level", share=0.5, members=40)
    assert found == pytest.approx(np.percentile(alone, [25, 75], axis=0), abs=1e-9)


def test_a_box_alone_may_differ_and_a_larger_one_is_tuned_lower():
    box = VentedBox(volume=50 * litre, fb=32, Ql=7, Qp=40, spread=BuildSpread(volume=0.1, losses=0.2))
    drawn = box.members(500)
    assert drawn.fb / 32 == pytest.approx((drawn.volume / box.volume) ** -0.5)
    assert drawn.Ql / 7 == pytest.approx(drawn.Qp / 40)
    assert np.all(np.isinf(drawn.Qa))
    assert drawn.spread is None
    longer = dataclasses.replace(box, spread=BuildSpread(port_length=0.1)).members(500)
    assert np.std(np.log(longer.fb)) == pytest.approx(0.05, rel=0.1)
    assert np.all(longer.volume == box.volume)
    response = solve(Loudspeaker(driver=dataclasses.replace(DRIVER, spread=None), box=box), GRID)
    assert response.varies
    low, high = response.band("level")
    assert np.all(low < high)


def test_the_port_itself_differs():
    box = BOXES["ported"]
    drawn = box.members(400)
    assert np.std(np.log(drawn.port.length)) == pytest.approx(USUAL_BUILD.port_length, rel=0.1)
    assert np.all(drawn.port.diameter == box.port.diameter)


def test_a_passive_radiator_keeps_and_families_have_bands():
    radiator = PassiveRadiator.from_resonance(fp=20, Vap=80 * litre, Sd=400 * cm2)
    box = PassiveRadiatorBox(volume=[40 * litre, 50 * litre], radiator=radiator, Ql=7, spread=USUAL_BUILD)
    assert solve(Loudspeaker(driver=DRIVER, box=box), GRID).band("level", members=50).shape == (2, 2, len(GRID))


def test_driver_and_box_are_drawn_apart():
    """The same seed must not make heavy cones go with large boxes."""
    drivers, boxes = DRIVER.members(4000), BOXES["tuned"].members(4000)
    assert abs(np.corrcoef(np.log(drivers.Re), np.log(boxes.volume))[0, 1]) < 0.06


def test_in_words():
    """Its numbers are those of the bands, between two frequencies as well, and of the variances."""
    response = installed(BOXES["tuned"])
    between = float(np.sqrt(GRID[4] * GRID[5]))
    said = in_words(response, between)
    frequency, low, high, first, second, deepest, shallowest = map(
        float, re.findall(r"\d+(?:\.\d+)?", said.replace("f3", ""))
    )
    edges = response.band("level")
    assert frequency == pytest.approx(between, abs=0.51)
    assert [low, high] == pytest.approx(edges[:, 4:6].mean(axis=1), abs=0.051)
    largest = list(doubts(response).shares(5).items())[:2]
    assert [first, second] == pytest.approx([100 * share for _, share in largest], abs=0.51)
    assert re.findall(r"% from the ([\w ]+?)(?: and|\.)", said) == [WORDS[name] for name, _ in largest]
    assert [deepest, shallowest] == pytest.approx(response.band("f3"), abs=0.051)


def test_what_the_spreads_do_not_touch_is_not_said_to_come_from_them():
    driver = dataclasses.replace(DRIVER, spread=Spread(xmax=0.1))
    said = in_words(solve(Loudspeaker(driver=driver, box=SealedBox(volume=0.03)), GRID), 50)
    assert "%" not in said


@pytest.mark.parametrize(
    ("frequency", "said"),
    [
        (0, "must be between"),
        (-3.0, "must be between"),
        (np.nan, "must be between"),
        ("low", "must be a number"),
        (None, "must be a number"),
        (17.0, "must lie within the response, 18 to 200 Hz, got 17 Hz"),
        (1e4, "must lie within the response, 18 to 200 Hz"),
    ],
)
def test_a_frequency_that_is_none_is_refused(frequency, said):
    with pytest.raises((ValueError, TypeError), match=r"in_words\.frequency " + said):
        in_words(installed(BOXES["sealed"]), frequency)


def test_what_does_not_vary_says_so():
    plain = Loudspeaker(driver=dataclasses.replace(DRIVER, spread=None), box=SealedBox(volume=0.03))
    with pytest.raises(ValueError, match="needs a driver or a box with a spread"):
        doubts(solve(plain, GRID))
    with pytest.raises(ValueError, match="needs a driver or a box with a spread"):
        in_words(solve(dataclasses.replace(plain, driver=dataclasses.replace(DRIVER, spread=Spread())), GRID), 50)
    with pytest.raises(ValueError, match="a band needs a driver or a box with a spread"):
        solve(plain, GRID).band("level")
    with pytest.raises(ValueError, match=r"SealedBox\.spread is missing"):
        plain.box.members(3)
    family = dataclasses.replace(plain, driver=DRIVER, box=SealedBox(volume=[0.02, 0.03]))
    with pytest.raises(ValueError, match="family of shape"):
        doubts(solve(family, GRID))
    with pytest.raises(ValueError, match="family of shape"):
        in_words(solve(family, GRID), 50)


def test_a_number_that_is_not_found_has_no_doubts():
    response = solve(Loudspeaker(driver=DRIVER, box=SealedBox(volume=0.03)), frequencies(150, 300))
    with pytest.raises(ValueError, match="this response has no f3; `cutoff_in_words` says why"):
        doubts(response, "f3")
