"""Draw the box in a real browser: dragged by mouse, finger and keys, typed, turned, on every size of screen."""

import math
import re

import pytest

from lumpedbox.tables import demo_drivers
from tests.browser.test_pages import complaints, on_paper, tabbed
from tests.browser.test_tasks import Person

pytestmark = [pytest.mark.browser, pytest.mark.long]

PAGE = "draw_the_box.ipynb"
SIZES = {"desk": (1366, 638), "full": (1920, 1080), "zoom": (683, 384), "phone": (390, 844)}
OVERFLOW = "document.documentElement.scrollWidth - innerWidth"
STICKING_OUT = """() => [...document.querySelectorAll(".lb-box-svg :is(text, polygon, circle.lb-box-dot)")]
  .filter((one) => {
    const place = one.getBoundingClientRect(), room = document.querySelector(".lb-box-side").getBoundingClientRect();
    return place.left < Math.min(room.left, 0) - 1 || place.right > room.right + 8 || place.top < room.top - 8;
  })
  .map((one) => one.outerHTML.slice(0, 120))"""
TOP_FRONT = '.lb-box-handle[aria-label="Corner where the top starts"]'


@pytest.fixture
def opened(visit):
    """Function that opens the page at a size of screen."""

    def opened(colours="light", size="desk"):
        visitor = visit(colours)
        width, height = SIZES[size]
        visitor.page.set_viewport_size({"width": width, "height": height})
        visitor.open_live(PAGE)
        visitor.page.locator(TOP_FRONT).wait_for()
        return visitor

    return opened


def middle(element):
    box = element.bounding_box()
    return box["x"] + box["width"] / 2, box["y"] + box["height"] / 2


def where(page):
    """How far along and up the dragged corner says that it is. [mm]"""
    return [int(number) for number in re.findall(r"\d+", page.locator(TOP_FRONT).get_attribute("aria-valuetext"))]


def net_by_hand(depth, height, width, driver):
    """Of a square box of 18 mm with a port 60 mm wide and 280 mm long in 3 mm of wall. [litres]"""
    inside = (depth - 36) * (height - 36) * (width - 36)
    hole, port = math.pi / 4 * (1e3 * driver.cutout) ** 2 * 18, math.pi / 4 * 66**2 * (280 - 18)
    return (inside + hole - port) * 1e-6 - 1e3 * driver.displacement


def test_a_corner_follows_the_mouse_and_the_keys(opened):
    visitor = opened()
    page, corner = visitor.page, visitor.page.locator(TOP_FRONT)
    before, (x, y) = where(page), middle(corner)
    page.mouse.move(x, y)
    page.mouse.down()
    for step in range(1, 11):
        page.mouse.move(x - 4 * step, y + 2 * step)
    visitor.until(lambda: where(page)[0] < before[0] and where(page)[1] < before[1], "the corner does not follow")
    page.mouse.up()
    page.wait_for_timeout(500)
    after = where(page)
    page.keyboard.press("ArrowRight")
    visitor.until(lambda: where(page) == [after[0] + 1, after[1]], "an arrow key does not move it by a millimetre")
    page.keyboard.press("Shift+ArrowUp")
    visitor.until(lambda: where(page) == [after[0] + 1, after[1] + 10], "with Shift it is not ten")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == "Corner where the top starts"
    assert visitor.wrong == []


def test_what_is_typed_wrong_is_said_and_the_way_back_is_a_button(opened):
    visitor = opened()
    page, person = visitor.page, Person(visitor)
    headline = person.headline()
    person.fill_in("Lean of the front [degrees]", "58")
    person.see("lean it less, or make the box deeper or lower")
    assert person.headline() == headline
    person.press("Back to the last box that can be built")
    visitor.until(lambda: page.locator(".lb-wrong").first.inner_text() == "", "what is wrong stays")
    assert page.get_by_label("Lean of the front [degrees], typed").input_value() == "5"
    assert visitor.wrong == []


def test_a_box_is_drawn_solved_and_laid_out(opened):
    visitor = opened()
    page, person = visitor.page, Person(visitor)
    person.fill_in("Lean of the front [degrees]", "0")
    person.fill_in("Width [mm]", "300")
    driver = demo_drivers()["200 mm bass"]
    person.read(person.fact("net volume"), r"([\d.]+) litres, wanted 30 litres", net_by_hand(400, 480, 300, driver))
    person.choose("Now set", "litres")
    person.press("Make it 30.0 litres and 33.0 Hz by the width")
    person.read(person.fact("net volume"), r"30 litres, wanted 30 litres")
    person.read(person.fact("tuned to"), r"33 Hz")
    page.locator("summary", has_text="Cut list and sheet").click()
    person.see("Wear a mask against the dust")
    boards = page.locator(".lb-box-sheets rect.lb-box-board")
    visitor.until(lambda: boards.count() == 6, "not every part lies on a sheet")
    page.locator("summary", has_text="Solid view").click()
    picture = page.locator(".lb-box-solid")
    picture.wait_for()
    before = picture.get_attribute("src")
    page.get_by_label("Turn").focus()
    page.keyboard.press("ArrowRight")
    visitor.until(lambda: picture.get_attribute("src") != before, "the solid does not turn")
    assert visitor.wrong == []


def test_a_finger_drags_the_driver_along_its_panel(opened):
    visitor = opened(size="phone")
    page, driver = visitor.page, visitor.page.locator('.lb-box-handle[aria-label^="The 200 mm bass"]')
    before, (x, y) = driver.get_attribute("aria-valuetext"), middle(driver)
    touch = page.context.new_cdp_session(page)
    for kind, place in (("touchStart", [(x, y)]), ("touchMove", [(x, y + 30)]), ("touchEnd", [])):
        points = [{"x": x, "y": y} for x, y in place]
        touch.send("Input.dispatchTouchEvent", {"type": kind, "touchPoints": points})
        page.wait_for_timeout(100)
    visitor.until(lambda: driver.get_attribute("aria-valuetext") != before, "the driver does not follow a finger")
    assert visitor.wrong == []


@pytest.mark.parametrize("size", SIZES)
def test_it_fits_every_screen(opened, size):
    visitor = opened(size=size)
    page = visitor.page
    assert page.evaluate(OVERFLOW) <= 0
    assert page.evaluate(STICKING_OUT) == []
    words = [words.inner_text() for words in page.locator(".lb-says:visible").all()]
    assert sum(len(text.split()) for text in words) <= 60
    if size == "desk":
        facts = page.locator(".lb-facts table").bounding_box()
        assert facts["y"] + facts["height"] <= page.viewport_size["height"]
    for fold in page.locator(".lb-box-fold > summary").all():
        fold.click()
    page.locator(".lb-box-sheets svg").first.wait_for()
    assert page.evaluate(OVERFLOW) <= 0
    assert visitor.wrong == []


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_everyone_can_use_it(opened, colours):
    visitor = opened(colours)
    page = visitor.page
    assert complaints(page) == []
    for fold in page.locator(".lb-box-fold > summary").all():
        fold.click()
    page.locator(".lb-box-sheets svg").first.wait_for()
    assert complaints(page) == []
    page.evaluate("document.activeElement.blur()")
    wanted = {handle.get_attribute("aria-label") for handle in page.locator(".lb-box-handle").all()}
    assert wanted - set(tabbed(page, 60)) == set(), "the Tab key does not reach these"


def test_a_link_opens_it_as_it_stood(opened):
    visitor = opened()
    page, person = visitor.page, Person(visitor)
    person.choose("Shape", "step")
    person.fill_in("Width [mm]", "320")
    visitor.until(lambda: "width=0.32" in page.url, "the address does not follow")
    headline = person.headline()
    page.reload()
    visitor.wait_for_live()
    person.read(person.headline, re.escape(headline))


def test_paper_has_the_drawing_and_the_facts(opened):
    text = " ".join(line for lines in on_paper(opened().page) for line in lines)
    assert "front 482 mm" in text
    assert "in a crash" in text


def test_paper_has_the_cut_list_once_it_was_opened_and_no_empty_one(opened):
    page = opened().page
    cuts = page.locator("details", has_text="Cut list and sheet of board")
    page.emulate_media(media="print")
    cuts.wait_for(state="hidden")
    page.emulate_media(media="screen")
    cuts.locator("summary").click()
    cuts.locator("td", has_text="floor").first.wait_for()
    page.emulate_media(media="print")
    cuts.wait_for(state="visible")


def test_what_is_folded_is_typed_refused_and_kept_in_the_address(opened):
    visitor = opened()
    page, person = visitor.page, Person(visitor)
    person.choose("Now set", "driver and port")
    inside = page.locator("summary", has_text="More inside: braces, terminal")
    inside.click()
    braces = page.get_by_label("Braces [mm]: length x breadth x thickness")
    braces.fill("300 by 60")
    braces.blur()
    person.see("write length x breadth x thickness, as in 300 x 60 x 18")
    assert braces.input_value() == "300 by 60"
    braces.fill("2 of 300 x 60 x 18")
    braces.blur()
    person.see("Counted, but not drawn, for no place is told: 2 braces.")
    visitor.until(lambda: "braces=2" in page.url, "the address does not follow")
    headline = person.headline()
    page.reload()
    visitor.wait_for_live()
    person.read(person.headline, re.escape(headline))
    braces.wait_for()  # what is not at its start unfolds
    assert braces.input_value() == "2 of 300 x 60 x 18"
    inside.click()
    person.choose("It leaves by the", "top")
    assert not braces.is_visible(), "who closes a fold keeps it closed"
    assert complaints(page) == []
    assert visitor.wrong == []


@pytest.mark.parametrize("size", ["desk", "phone"])
def test_a_bent_slot_is_typed_in_inches_and_sawn(opened, size):
    """Half an inch of 25.4 mm is where it is typed; its label and its grey example go with the units."""
    visitor = opened(size=size)
    page, person = visitor.page, Person(visitor)
    person.choose("Now set", "driver and port")
    person.choose("Port is a", "slot of boards")
    person.choose("It runs along the", "floor")
    page.locator("summary", has_text="More on the port").click()
    page.get_by_label("Bends [mm]: along its middle, degrees").wait_for()
    person.choose("Units", "US customary")
    bends = page.get_by_label("Bends [inches]: along its middle, degrees")
    bends.wait_for()
    assert bends.get_attribute("placeholder") == "6, 90 left"
    bends.fill("6 1/2, 90 right")
    bends.blur()
    page.locator("summary", has_text="Cut list").first.click()
    person.see("left shelf 2 of port 1")
    person.see("length of a screw: 1 3/4 in")
    assert bends.input_value() == "6 1/2, 90 right"
    person.choose("Units", "metric")
    visitor.until(lambda: page.locator('[data-name="bends"]').input_value() == "165.1, 90 right", "it is not in mm")
    assert page.evaluate(OVERFLOW) <= 0
    assert visitor.wrong == []


def test_a_drawing_that_was_solved_and_kept_is_still_kept_when_it_is_loaded_again(opened):
    visitor = opened()
    page, person = visitor.page, Person(visitor)
    person.choose("Now set", "litres")
    page.get_by_role("button", name=re.compile("^Make it")).click()
    person.see("Done: 30.0 litres")
    page.get_by_role("button", name="Keep it, or start from another").click()
    page.get_by_label("Keep this drawing as").fill("solved")
    page.get_by_role("button", name="Keep this drawing").click()
    way = page.locator(".lb-board").get_by_role("link", name="Take it to the garage")
    way.wait_for()
    page.wait_for_timeout(600)  # the address follows
    page.reload()
    visitor.wait_for_live()
    way.wait_for()
    assert visitor.wrong == []


OVER_ANOTHER = """() => {
  const words = [...document.querySelectorAll(".lb-box-svg .lb-box-word")];
  const places = words.map((one) => one.getBoundingClientRect());
  const meet = (a, b) => Math.min(a.right, b.right) - Math.max(a.left, b.left) > 2
    && Math.min(a.bottom, b.bottom) - Math.max(a.top, b.top) > 4;
  return words.flatMap((one, i) => words.slice(i + 1).filter((_, j) => meet(places[i], places[i + 1 + j]))
    .map((other) => `${one.textContent} / ${other.textContent}`));
}"""


@pytest.mark.parametrize("size", ["desk", "phone", "zoom"])
def test_the_words_round_a_step_in_its_room_stand_clear_of_each_other(opened, size):
    visitor = opened(size=size)
    page, person = visitor.page, Person(visitor)
    person.choose("Shape", "step")
    person.fill_in("Step, how far in [mm]", "120")
    person.fill_in("Step, how high [mm]", "140")
    person.choose("Now set", "room for it")
    person.choose("Room for the box", "corners of the room")
    page.locator(".lb-box-svg text", has_text="free").first.wait_for()
    said = page.locator(".lb-box-svg").text_content()
    for name in ("floor", "front", "top", "wall side", "tread", "riser"):
        assert f"{name} " in said
    assert page.evaluate(OVER_ANOTHER) == []
    assert visitor.wrong == []


def test_the_sheets_of_board_stay_whole_when_a_phone_is_turned(opened):
    visitor = opened(size="phone")
    page = visitor.page
    page.set_viewport_size({"width": 844, "height": 390})
    page.locator("summary", has_text="Cut list and sheet of board").click()
    sheet = page.locator(".lb-box-sheets svg").first
    sheet.wait_for()
    wide = sheet.bounding_box()
    page.set_viewport_size({"width": 390, "height": 844})
    narrow = sheet.bounding_box()
    assert narrow["x"] + narrow["width"] <= 390
    assert narrow["height"] / narrow["width"] == pytest.approx(wide["height"] / wide["width"], rel=0.02)
    assert visitor.wrong == []


def test_a_part_too_small_for_its_name_has_it_under_its_sheet(opened):
    visitor = opened()
    page, person = visitor.page, Person(visitor)
    person.choose("Now set", "driver and port")
    person.choose("Port is a", "slot of boards")
    page.locator("summary", has_text="More on the port").click()
    person.choose("It reaches to", "left cheek")
    page.locator("summary", has_text="Cut list and sheet of board").click()
    page.locator(".lb-box-sheets p", has_text="Too small for its name").first.wait_for()
    told = page.locator(".lb-box-sheets").text_content()
    assert "side of port 1" in told
    assert visitor.wrong == []
