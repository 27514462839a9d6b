"""The lesson on the wedge: its litres by hand, the worked example to the digit, and what they do to the bass."""

import dataclasses

import numpy as np
import pytest

from lumpedbox.sliders.lessons.wedge import BOTH, CLOSED, GRID, NOTHING, STEP, STRAIGHT, VENTED, wedge
from lumpedbox.tables import demo_drivers
from lumpedbox.units import litre, mm
from tests.sliders.conftest import details, drawn, headline, put, textbook

EXAMPLE = {
    **{"back": STEP, "height": 480 * mm, "depth": 400 * mm, "top": 360 * mm, "width": 275 * mm, "board": 18 * mm},
    **{"port": VENTED, "length": 281.2 * mm, "more": BOTH},
}


@pytest.fixture(scope="module")
def made():
    return wedge()


def inside_by_hand(values):
    """Mid-depth less the back and the leaning front as the level cuts it, times clear height and width. [m3]"""
    t = values["board"]
    slant = np.hypot(1, (values["depth"] - values["top"]) / values["height"])
    middle = (values["depth"] + values["top"]) / 2 - t - t * slant
    return middle * (values["height"] - 2 * t) * (values["width"] - 2 * t)


def net_by_hand(values):
    """The 200 mm bass: 1.4 litres from the flange, a hole of 181 mm; tube of 66 mm; bar and cup 0.474. [m3]"""
    net = inside_by_hand(values) + np.pi / 4 * 0.181**2 * values["board"] - 1.4e-3
    if values["port"] == VENTED:
        net -= np.pi / 4 * 0.066**2 * (values["length"] - values["board"])
    return net - (0.474e-3 if values["more"] == BOTH else 0)


def column(page, name, of="as built"):
    """The number of one column of a fact. [SI]"""
    (number,) = page.answer[name][of].numbers.values()
    return number.value


def test_the_start_by_hand(page):
    """240 x 400 x 400 mm are 38.4 litres; 203.21 x 364 x 364 are 26.924, and + 0.463 - 1.4 are 25.987."""
    assert column(page, "litres", "by the outside") == pytest.approx(38.4 * litre, rel=1e-12)
    assert column(page, "litres") == pytest.approx(25.987 * litre, abs=5e-4 * litre)
    assert column(page, "litres") == pytest.approx(net_by_hand(page.values), rel=1e-12)
    assert column(page, "boards take") == pytest.approx((38.4 - 26.924) * litre, abs=1e-3 * litre)
    assert column(page, "driver takes") == pytest.approx((1.4 - 0.4631) * litre, abs=1e-4 * litre)
    assert headline(page) == "38.4 litres of space hold 26.0 litres of air: Qtc is 0.57, not 0.52."
    assert [fact.name for fact in page.answer.facts][-1] == "driver takes"


def test_the_worked_example_to_the_digit(page):
    """139,500 mm2 x 275 outside; 110,317.25 x 239 inside; + 0.4631 - 1.4 - 0.9005 - 0.474 leave 24.0544 litres.

    Worked by hand in tests/unit/build/test_carcass.py and test_account.py.
    """
    put(page, **EXAMPLE)
    account = {line.name: round(line.volume / litre, 4) for line in page.scene.account.lines}
    assert account == {
        **{"inside": 26.3658, "hole in the front": 0.4631, "200 mm bass": -1.4},
        **{"port": -0.9005, "brace": -0.324, "terminal cup": -0.15},
    }
    assert column(page, "litres") == pytest.approx(24.0545 * litre, abs=1e-4 * litre)
    assert column(page, "litres", "by the outside") == pytest.approx(139_500 * 275e-6 * litre, rel=1e-9)
    assert column(page, "port, brace, cup") == pytest.approx((0.9005 + 0.474) * litre, abs=5e-5 * litre)
    assert column(page, "boards take") == pytest.approx(11.997 * litre, abs=5e-4 * litre)
    assert column(page, "port tunes to") == pytest.approx(33.0, abs=0.05)
    assert headline(page) == "38.4 litres of space hold 24.1 litres of air: the port tunes to 33 Hz, not 26 Hz."


def test_qtc_by_the_closed_form(page):
    """Qtc = Qts sqrt(1 + Vas / V): R. H. Small, JAES 20 (1972), from memory."""
    driver = demo_drivers()["200 mm bass"]
    for of, volume in (("by the outside", 38.4 * litre), ("as built", net_by_hand(page.values))):
        assert column(page, "Qtc", of) == pytest.approx(driver.Qts * np.sqrt(1 + driver.Vas / volume), rel=1e-9)


def test_the_tuning_goes_with_the_root_of_the_litres(page):
    """A Helmholtz resonator: the same port in V and V' tunes as sqrt(V'/V)."""
    put(page, port=VENTED, length=0.2)
    ratio = np.sqrt(column(page, "litres", "by the outside") / column(page, "litres"))
    assert column(page, "port tunes to") / column(page, "port tunes to", "by the outside") == pytest.approx(ratio)


def test_the_curves_are_those_of_their_litres(page):
    """Each by the textbook's closed form; f3 is where the level is 3.01 dB below that far up."""
    driver, volts = demo_drivers()["200 mm bass"], 2.83
    volumes = {"outside": 38.4 * litre, "inside": inside_by_hand(page.values), "built": net_by_hand(page.values)}
    for name, volume in volumes.items():
        exact = textbook(driver, GRID, volts, volume=volume, Ql=7).level
        assert drawn(page, name)[1] == pytest.approx(exact, abs=0.02)
    fine, far_up = np.geomspace(20, 300, 4000), np.array([2000.0])
    for of, name in (("by the outside", "outside"), ("as built", "built")):
        level = textbook(driver, fine, volts, volume=volumes[name], Ql=7).level
        bare = dataclasses.replace(driver, Le=0.0)  # without its coil's inductance the level stays level
        reference = textbook(bare, far_up, volts, volume=volumes[name], Ql=7).level[0]
        f3 = fine[np.argmax(level >= reference - 3.01)]
        assert column(page, "bass reaches down to", of) == pytest.approx(f3, rel=0.01)


def test_what_is_told_of_30_hz(page):
    driver = demo_drivers()["200 mm bass"]
    volumes = (38.4 * litre, net_by_hand(page.values))
    large, small = (textbook(driver, np.array([30.0]), 2.83, volume=volume, Ql=7).level[0] for volume in volumes)
    assert f"At 30 Hz it plays {large - small:.1f} dB softer than with all of the outside." in details(page)


def test_the_slant_and_the_other_convention_are_told(page):
    """18 x sqrt(1 + (120/400)^2) = 18.79 mm; without the hole 25.987 - 0.463 = 25.524 litres."""
    assert "18.8 mm instead of 18 mm" in details(page)
    assert "from the inner face of the board: then 25.5 litres are left." in details(page)
    assert page.controls["top"].note(page.values["top"], page.values, "metric") == "(leans 17°)"  # atan(120/400) = 16.7


def test_any_box_that_can_be_built_keeps_its_account(page):
    """Net = outside less all that is told to be taken; more board or less width never leaves more air."""
    rng = np.random.default_rng(20)
    refused = 0
    for _ in range(60):
        values = page.values | {
            "back": STRAIGHT,
            "height": rng.uniform(0.2, 0.6),
            "depth": rng.uniform(0.15, 0.6),
            "top": rng.uniform(0.05, 0.6),
            "width": rng.uniform(0.1, 1.2),
            "board": rng.uniform(9, 30) * mm,
            "port": rng.choice([CLOSED, VENTED]),
            "more": rng.choice([NOTHING, BOTH]),
        }
        page.scene.curves(values)
        answer = page.scene.answer(values)
        assert len(answer.headline.text("US customary").split()) <= 20
        if page.scene.box is None:
            refused += 1
            continue
        assert page.scene.account.sum == pytest.approx(net_by_hand(values), rel=1e-9)
        taken = sum(page.scene._taken().values())
        assert page.scene.account.sum + taken == pytest.approx(page.scene.box.outside_volume, rel=1e-12)
    assert refused < 30


def test_boards_that_leave_no_box_are_said(page):
    put(page, depth=0.15, top=50 * mm, board=30 * mm, width=0.1, height=0.2)
    assert headline(page) == "No such box: make it larger, or the boards thinner."
    assert page.answer.facts == ()


def test_a_front_that_leans_too_far_is_said(page):
    """From 400 mm to 50 mm over 400 mm: 41.2 degrees is sawn; over 300 mm it is 49.4, and no saw tilts so far."""
    put(page, depth=0.4, top=0.05, height=0.4)
    assert "of space hold" in headline(page)
    put(page, height=0.3)
    assert headline(page) == "No saw tilts so far: let the front lean less."
    assert "tilts the saw by 49.4 degrees, over 45." in details(page)


def test_a_driver_that_does_not_fit_is_said(page):
    put(page, depth=0.15, top=0.1, board=9 * mm)
    assert any(said.startswith("Does not fit: 200 mm bass") for said in page.board.answer["cautions"])


def test_the_picture_is_to_scale_and_its_bar_adds_up(page):
    put(page, **EXAMPLE)
    outline = np.column_stack(page.scene.view.outline.get_data())
    assert outline[:-1] == pytest.approx(
        np.array([(180, 0), (400, 0), (360, 480), (0, 480), (0, 260), (150, 260)]) * mm, abs=1e-12
    )
    ends = [body.get_xy()[:, 0] for body in page.scene.view.pieces.values()]
    assert ends[0].min() == 0
    assert [one.max() for one in ends[:-1]] == pytest.approx([one.min() for one in ends[1:]])
    assert ends[-1].max() == pytest.approx(1)
    shown = {name: np.ptp(end) for name, end in zip(page.scene.view.pieces, ends, strict=True)}
    assert shown["air"] == pytest.approx(24.0545 / (139.5 * 0.275), abs=1e-5)
    boards = [body.get_xy() for body in page.scene.view.boards if np.isfinite(body.get_xy()).all()]
    assert len(boards) == 6
