"""The lesson on thin wire: its numbers by hand, and where a wire costs nothing."""

import numpy as np
import pytest

from lumpedbox.build import Cable, Draw, Feed
from lumpedbox.build.feed import fed
from lumpedbox.parts.amplifier import Amplifier
from lumpedbox.sliders.kit.answer import ONLY
from lumpedbox.sliders.lessons.thin_wire import thin_wire
from lumpedbox.units import mm2
from tests.sliders.conftest import drawn_near, headline, number, put


@pytest.fixture(scope="module")
def made():
    return thin_wire()


def test_the_start_by_hand(page):
    """4 * 75 / 0.65 / 13.8 = 33.44 A; 6 m of 7.98 ohm/km and 3 milliohm back are 50.88, and lose 1.7017 V.

    12.098 V are left: 20 log(12.098 / 13.8) = -1.143 dB; 33.44 / 0.8 = 41.8 A.
    """
    assert number(page, "draws") == pytest.approx(33.44, abs=5e-3)
    assert number(page, "lost, there and back") == pytest.approx(1.7017, abs=2e-4)
    assert number(page, "arrives") == pytest.approx(12.098, abs=5e-4)
    assert number(page, "costs") == pytest.approx(1.143, abs=2e-3)
    assert number(page, "fuse, at least") == pytest.approx(41.81, abs=5e-3)
    assert headline(page).startswith("At 100 Hz this wire costs 1.1 dB; below ")


def test_it_costs_where_the_amplifier_clips_and_nothing_where_the_cone_gives(page):
    """The cone's limit is a volume of air: the same with any wire. The amplifier's falls by 20 log of the volts."""
    assert drawn_near(page, "wire", "cost", 20.0)[0] == pytest.approx(0, abs=1e-9)
    assert drawn_near(page, "wire", "cost", 150.0)[0] == pytest.approx(1.143, abs=2e-3)
    put(page, look=25.0)
    assert headline(page) == "At 25 Hz this wire costs nothing: the cone gives first."


def test_the_frequency_below_which_it_is_free_is_where_the_curves_part(page):
    free = page.answer.headline["free"]
    below, above = drawn_near(page, "wire", "cost", free * 0.97, free * 1.06)
    assert below < 0.06 < above


def test_thicker_shorter_and_fewer_channels_cost_less(page):
    costs = []
    for places in ({}, {"area": 4 * mm2}, {"area": 16 * mm2}, {"area": 16 * mm2, "channels": "1"}):
        put(page, **places)
        costs.append(number(page, "costs"))
    assert costs == sorted(costs, reverse=True)
    put(page, area=2.5 * mm2, channels="4", length=12.0)
    assert number(page, "lost, there and back") == pytest.approx(33.445 * (12 * 7.98e-3 + 3e-3), abs=2e-3)


def test_a_wire_that_loses_all_of_the_volts_is_said(page):
    put(page, area=0.5 * mm2, length=15.0)
    assert headline(page) == "This wire loses all of the volts: take a thicker or shorter one."
    assert (page.answer.facts, page.board.feed) == ((), [])


def test_a_wire_that_no_fuse_protects_is_said(page):
    """4 * 300 / 0.65 / 13.8 = 133.8 A, 167.2 over 0.8. By hand for 0.5 mm2 and 180 K in air: 16.7 A.

    16 mm2 carry 224 A so, and 135 at 65 K: 167.2 lie between. The lesson's own 41.8 A are more than 33.5 for 2.5 mm2.
    """
    too_large = "is too large for this wire"
    assert too_large in page.board.answer["cautions"][0]
    put(page, power=300.0, area=0.5 * mm2, length=0.3)
    assert headline(page) == (
        "No fuse protects this wire: 167 A are needed, and it burns below that. Take a thicker one."
    )
    assert str(page.answer["fuse, at least"][ONLY]) == "none: this wire burns first"
    put(page, power=300.0, area=16 * mm2, length=0.3)
    assert "No fuse protects" not in headline(page)
    assert too_large in page.board.answer["cautions"][0]
    put(page, power=300.0, area=25 * mm2, length=0.3)
    assert not any(too_large in said for said in page.board.answer["cautions"])


def test_the_lesson_chooses_no_fuse(page):
    assert any("Choose no fuse by this lesson" in said for said in page.board.answer["cautions"])
    assert page.answer["fuse, at least"][ONLY].numbers


def test_the_volts_that_arrive_scale_an_amplifier():
    """By hand: 55.74 A through 1.95 + 2.05 milliohm lose 0.223 V of 13.8; (13.577 / 13.8)^2 of 500 W is 483.97."""
    feed = Feed(
        voltage=13.8,
        cable=Cable(area=25 * mm2, length=2.5),
        draws=Draw(power=500, efficiency=0.65),
        return_resistance=2.05e-3,
    )
    left = fed(Amplifier(power=500, rated_impedance=4, minimum_load=2), feed)
    assert left.power == pytest.approx(500 * (1 - 55.741 * 4e-3 / 13.8) ** 2, rel=1e-6)
    with pytest.raises(ValueError, match=r"^Feed\.return_resistance is missing"):
        fed(Amplifier(power=500, rated_impedance=4, minimum_load=2), Feed(voltage=13.8, cable=feed.cable))


def test_bounds_of_the_headline(page):
    """Twenty words, whatever is set."""
    rng = np.random.default_rng(3)
    for _ in range(60):
        values = page.values | {
            "power": rng.uniform(10, 300),
            "length": rng.uniform(0.3, 15),
            "area": rng.choice([1.5, 4, 16, 50]) * mm2,
            "look": rng.uniform(20, 250),
            "back": rng.uniform(0.5e-3, 0.05),
        }
        page.scene.curves(values)
        assert len(page.scene.answer(values).headline.text("metric").split()) <= 20
