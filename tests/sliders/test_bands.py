"""A stand-in is drawn with the band that its spread makes, on every panel, and says that it is one."""

import numpy as np
import pytest

from lumpedbox import Driver, InfiniteBaffle, Loudspeaker, solve
from lumpedbox.figures.levels import levels
from lumpedbox.sliders.kit.facts import STAND_IN as WHAT_A_BAND_MEANS
from lumpedbox.sliders.kit.predict import Question
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented
from lumpedbox.sliders.lessons.small_woofers import GRID, small_woofers
from lumpedbox.tables import demo_drivers

STAND_IN = "165 mm rear panel, stand-in"


@pytest.fixture
def page():
    page = small_woofers()
    page.put(third=STAND_IN)
    return page


def outline(page, curve, panel):
    """The lower and the upper edge of a band as drawn."""
    drawn = page.scene.stack.bands[curve, panel].get_xy()[:-1]  # the last point closes the outline
    return drawn[: len(GRID), 1], drawn[len(GRID) :, 1][::-1]


def test_the_band_drawn_is_four_of_five_members_solved_one_by_one(page):
    driver = demo_drivers()[STAND_IN]
    members = [driver.members(200).member(i) for i in range(200)]
    responses = [solve(Loudspeaker(driver=member, box=InfiniteBaffle()), GRID) for member in members]
    for panel, curve in (("level", "level"), ("reach", "level_within_travel"), ("excursion", "excursion")):
        drawn = outline(page, "third", panel)
        scale = 1e3 if panel == "excursion" else 1.0  # mm
        solved = scale * np.percentile([getattr(response, curve) for response in responses], [10, 90], axis=0)
        assert np.array(drawn) == pytest.approx(solved, abs=1e-9)


def test_it_says_so_wherever_it_shows(page):
    assert STAND_IN in page.board.answer["conditions"]
    assert WHAT_A_BAND_MEANS in page.board.answer["details"]
    assert "four of five such drivers" in WHAT_A_BAND_MEANS, "as drawn: from the tenth to the ninetieth in a hundred"
    page.reset()
    assert "stand-in" not in str(page.board.answer)
    assert np.isnan(page.scene.stack.bands["third", "level"].get_xy()).all()


def test_the_incremental_picture_is_that_of_a_full_redraw(page):
    page.put(voltage=5.0)
    moved = page.picture.pixels()
    for artist in page.scene.moving:
        artist.set_animated(False)
    page.scene.figure.canvas.draw()
    assert np.count_nonzero(moved != page.picture.pixels()) == 0


def test_the_band_is_there_when_the_guess_is_marked():
    """Before, the browser hides the picture whole, whatever is in it: tests/browser."""
    page = sealed_or_vented()
    page.put(driver=STAND_IN)
    seen = page.picture.pixels()
    page.ask(Question("?", ("a", "b"), right="a", why="", look=""), obligatory=True)
    page.put(driver="200 mm bass")
    assert np.any(page.picture.pixels() != seen)
    page.put(driver=STAND_IN)
    assert page.board.asleep
    page.board._handle_custom_msg({"guess": "b"}, [])
    assert not page.board.asleep
    assert np.all(page.picture.pixels() == seen)


def test_a_picture_of_a_few_lines_has_the_band_too():
    driver = Driver.typical(size=0.165, kind="woofer")
    response = solve(Loudspeaker(driver=driver, box=InfiniteBaffle()), GRID)
    drawn = levels({driver.name: response}).bands[driver.name, "level"].get_xy()[:-1, 1]
    assert drawn == pytest.approx(np.concatenate([response.band("level")[0], response.band("level")[1][::-1]]))
