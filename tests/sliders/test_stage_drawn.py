"""From a stage to *Draw the box* and back, and on to the garage."""

import math
from urllib.parse import parse_qs

import pytest

from lumpedbox.plan import read_plan
from lumpedbox.sliders.lessons.draw_the_box import draw_the_box
from lumpedbox.sliders.lessons.take_it_to_the_garage import take_it_to_the_garage
from lumpedbox.tables.my_boxes import read_boxes
from lumpedbox.units import litre
from tests.sliders.test_stages import example, given, opened  # noqa: F401

pytestmark = pytest.mark.long  # pages are made, and plans read
VENTED = 'box = { "wheel arch" = { volume = "44 litres", tuning = "34 Hz", port_area = "45 cm2", Ql = 9 } }'
SEALED = 'box = { "wheel arch" = { volume = "40 litres", Ql = 7 } }'


@pytest.fixture
def mine(example, tmp_path):  # noqa: F811
    for page in ("my_upgrade", "draw_the_box", "take_it_to_the_garage"):
        (tmp_path / f"{page}.ipynb").touch()
    return example


def drawn(page):
    """Make the litres that are wanted, by the width, in a box that is large enough."""
    page.put(depth=0.5, height=0.5, lean=0.0)
    page._do("solve", True)
    assert page.message == ""


def test_the_box_of_a_stage_is_drawn_and_its_real_litres_given_back(mine):
    """Sealed, a block of 18 mm board: inside width x 464 x 464 mm, less the driver, with its hole in the front."""
    before = mine.read_bytes()
    page = opened("draw_the_box", "bass box", "wheel arch")
    assert page.values["driver"] == "250 mm bass"
    assert page.values["wanted"] == pytest.approx(40 * litre)
    assert (page.values["port"], page.values["step"]) == (0.0, "litres")
    drawn(page)
    page.put(width=0.3)
    driver = page.drivers["250 mm bass"]
    hole = math.pi / 4 * driver.cutout**2 * 0.018
    net = 0.464 * 0.464 * (0.3 - 0.036) + hole - driver.displacement
    ((key, label),) = page.board.stage["gives"]
    assert (key, label) == ("drawn", f"sealed, {net / litre:.1f} litres, as drawn")
    said, (line,) = given(page, key)
    assert said == f"Written into my_plan.toml, bass box, wheel arch: {label}."
    assert f'volume = "{net / litre:.4g} litres", Ql = 7' in line
    assert read_plan(mine).stages["bass box"].box["wheel arch"].volume == pytest.approx(net, rel=1e-3)
    page._do("take_back", True)
    assert mine.read_bytes() == before


def test_a_vented_box_comes_with_its_tuning_and_port_and_goes_back_with_them(mine):
    text = mine.read_text(encoding="utf-8")
    assert SEALED in text
    mine.write_text(text.replace(SEALED, VENTED), encoding="utf-8")
    page = opened("draw_the_box", "bass box", "wheel arch")
    assert (page.values["wanted"], page.values["tuning"]) == (pytest.approx(44 * litre), pytest.approx(34.0))
    assert page.values["port"] == pytest.approx(math.sqrt(4 * 45e-4 / math.pi))
    drawn(page)
    given(page, "drawn")
    box = read_plan(mine).stages["bass box"].box["wheel arch"]
    assert float(box.volume) == pytest.approx(44 * litre, rel=1e-3)
    assert float(box.fb) == pytest.approx(34.0, rel=1e-3)
    assert float(box.port_area) == pytest.approx(45e-4, rel=1e-3)
    assert float(box.Ql) == 9
    page.put(port=0.0)
    given(page, "drawn")
    assert not hasattr(read_plan(mine).stages["bass box"].box["wheel arch"], "fb")


def test_what_cannot_be_built_or_is_of_another_driver_is_not_given_back(mine):
    before = mine.read_bytes()
    page = opened("draw_the_box", "bass box", "wheel arch")
    page.put(lean=58.0)
    assert page.message
    assert page.board.stage["gives"] == []
    page._do("give", "drawn")
    assert page.board.note.startswith("There is nothing to give back now")
    page.put(lean=0.0, driver="200 mm bass")
    page._do("give", "drawn")
    assert page.board.note.startswith("Driver is not that of the stage any more")
    assert mine.read_bytes() == before


def test_a_driver_by_its_size_alone_is_carried_in(mine):
    text = mine.read_text(encoding="utf-8")
    was, now = 'put = { "wheel arch" = "250 mm bass"', 'put = { "wheel arch" = { size = "250 mm", kind = "bass" }'
    assert was in text
    mine.write_text(text.replace(was, now), encoding="utf-8")
    page = opened("draw_the_box", "bass box", "wheel arch")
    driver = page.values["driver"]
    assert page.drivers[driver] == read_plan(mine).stages["bass box"].put["wheel arch"]
    assert driver in next(one for one in page.board.controls if one["name"] == "driver")["options"]


def test_from_the_drawing_to_the_garage(mine):
    page = opened("draw_the_box", "bass box", "wheel arch")
    drawn(page)
    assert [href for _, href in page.board.stage["ways"]] == [""]  # it is not kept yet
    assert page.keeping.name.value == "bass box"
    page.keeping.keep.click()
    assert read_boxes()[0]["bass box"] == page.drawn
    ((label, href),) = page.board.stage["ways"]
    name, _, text = href.partition("#")
    assert (label, name) == ("Take it to the garage", "take_it_to_the_garage.ipynb")
    assert parse_qs(text) == {"box": ["bass box"], "channels": ["up to bass box, in my plan"]}
    garage = take_it_to_the_garage()
    garage._do("link", text)
    assert (garage.values["box"], garage.values["channels"]) == ("bass box", "up to bass box, in my plan")
    assert garage.board.note == ""
    page.put(width=0.31)  # another drawing than the one that is kept
    assert [href for _, href in page.board.stage["ways"]] == [""]


def test_from_which_box_to_its_drawing(mine):
    page = opened("which_box", "bass box", "wheel arch")
    ways = dict(page.board.stage["ways"])
    box = page.scene.designs["vented"].loudspeaker.box
    (address,) = (href for label, href in ways.items() if label.startswith("Draw it: vented, "))
    drawing = opened("draw_the_box", "bass box", "wheel arch")
    drawing._do("link", address.partition("#")[2])
    assert drawing.values["wanted"] == pytest.approx(box.volume, rel=1e-6)
    assert drawing.values["tuning"] == pytest.approx(float(box.tuning()), rel=1e-6)
    assert math.pi / 4 * drawing.values["port"] ** 2 == pytest.approx(float(box.opening_area), rel=1e-6)
    assert drawing.values["driver"] == "250 mm bass"
    assert drawing.board.stage["link"] == page.board.stage["link"]


def test_a_card_leads_back_to_the_drawing_that_was_kept_for_it(mine):
    page = opened("draw_the_box", "bass box", "wheel arch")
    page.put(shape="step", depth=0.55, height=0.5, lean=8.0, port_kind="slot of boards", slot_beside="left cheek")
    page.put(port=0.0, slot_wall="floor", wanted=24 * litre, tuning=33.0)
    page._do("solve", True)
    assert page.message == ""
    page.keeping.name.value = "bass box"
    page.keeping.keep.click()
    given(page, "drawn")
    again = opened("draw_the_box", "bass box", "wheel arch")
    assert again.drawn == page.drawn
    assert again.values["slot_board"] == 0.0  # still that of the box, however thick it comes
    assert again.board.note == "The drawing that you kept for this stage is open."
    assert again.values["wanted"] == pytest.approx(24 * litre, rel=1e-3)
    again.put(width=0.4)
    given(again, "drawn")
    other = opened("draw_the_box", "bass box", "wheel arch")
    assert other.values["shape"] == "wedge"  # what was kept is not what was given back


def test_what_was_moved_since_is_not_said_to_stand_at_the_stage(mine):
    """Loaded again, a link tells of the stage and of what was moved: nothing is said of where it all began."""
    page = opened("draw_the_box", "bass box", "wheel arch")
    assert "Choose what gives" in page.board.note
    page._do("link", f"stage=bass+box&plan={mine.name}&at=wheel+arch&wanted=0.024&width=0.3")
    assert (page.values["wanted"], page.board.note) == (0.024, "")


def test_a_drawing_that_is_opened_without_a_stage_wants_what_it_holds(mine):
    page = opened("draw_the_box", "bass box", "wheel arch")
    drawn(page)
    page.keeping.name.value = "forty"
    page.keeping.keep.click()
    alone = draw_the_box()
    alone.keeping.drawings.value = "forty"
    assert alone.values["wanted"] == pytest.approx(40 * litre)
    assert alone.answer.said("metric")["headline"].startswith("40 litres net, but")
