"""In a real browser: what one has is found out by what stands to be read, kept over a reload, and usable by all."""

import io
import re

import pypdf
import pytest
from axe_playwright_python.sync_playwright import Axe

pytestmark = [pytest.mark.browser, pytest.mark.long]

GATES = {
    "Battery system": "12 V",
    "Hybrid or electric, high voltage": "no",
    "Sensors in the doors": "not known",
    "Sensors or airbags in the seats": "fitted",
}
PLAN = """# mine
[opening."door left"]
cutout = "165 mm"  # by hand
[channel."front left"]
source = "head unit of the minibus"
feeds = ["door left"]
[have]
"door left" = "165 mm panel"
"""
MOST = 12  # steps: ours


@pytest.fixture
def plan(running):
    """One's own plan, beside the pages; gone again afterwards."""
    path = running.folder / "my_plan.toml"
    path.write_text(PLAN, encoding="utf-8")
    yield path
    path.unlink()


def opened(visit, colours="light"):
    visitor = visit(colours)
    visitor.open_live("find_out.ipynb")
    visitor.page.get_by_role("heading", name="12. Sensors").wait_for()
    return visitor


def answer_first(page):
    for label, option in GATES.items():
        page.get_by_label(label, exact=True).select_option(option)


CUT = """() => [...document.querySelectorAll(".lb-check-field select")].filter((one) => {
  const pen = document.createElement("canvas").getContext("2d");
  pen.font = getComputedStyle(one).font;
  return one.checkVisibility() && pen.measureText(one.selectedOptions[0].text).width + 20 > one.clientWidth;
}).map((one) => one.getAttribute("aria-label") ?? one.id)"""
OVER_ITS_SCREEN = """() => [...document.querySelectorAll(".lb-check-drawing text")].filter((one) => {
  const words = one.getBoundingClientRect(), shown = one.previousElementSibling;
  if (shown?.tagName !== "rect" || !/[0-9]/.test(one.textContent) || shown.getAttribute("class")) return false;
  const screen = shown.getBoundingClientRect();
  return words.left < screen.left + 1 || words.right > screen.right - 1;
}).map((one) => one.textContent)"""


def card(page, title):
    return page.get_by_role("region", name=title)


def fill(page, title, readings):
    for label, text in readings.items():
        card(page, title).get_by_label(label, exact=True).fill(text)


def test_someone_with_a_meter_finds_out_in_a_dozen_steps_and_writes_it_down(visit, plan):
    """By hand: 1.9 less 0.2 is 1.7 ohm, which 3.4 twice across each other make."""
    visitor = opened(visit)
    page = visitor.page
    page.get_by_text("Answer these four questions first.").wait_for()
    answer_first(page)  # four
    page.get_by_text("Measure this next: 1. Series or parallel?").wait_for()
    fill(page, "Series or parallel?", {"Leads, touched [ohm]": "0,2", "The pair [ohm]": "1.9"})  # six
    card(page, "Series or parallel?").get_by_text("1.70 ohm: several ways fit.").wait_for()
    fill(page, "Series or parallel?", {"With one unplugged [ohm]": "3.6"})  # seven
    card(page, "Series or parallel?").get_by_text("In parallel: coils of 3.40 ohm and 3.40 ohm.").wait_for()
    write = card(page, "Series or parallel?").get_by_role("button", name="Write it there")
    write.click()  # eight, MOST is twelve
    page.get_by_text('Written into my_plan.toml, front left: wiring = "parallel".').wait_for()
    kept = plan.read_text(encoding="utf-8")
    assert 'wiring = "parallel"' in kept
    assert "# by hand" in kept
    page.get_by_role("button", name="Work out what to measure next").click()  # nine
    page.get_by_text("Worked out for your plan.").wait_for()
    page.get_by_role("link", name=re.compile(r"^\d+\. ")).first.click()  # ten
    assert re.search(r"#check-\d+$", page.url)
    assert visitor.wrong == []


def test_readings_stay_over_a_reload_until_they_are_cleared(visit):
    visitor = opened(visit)
    page = visitor.page
    answer_first(page)
    sides = {"Length [mm]": "500", "Width [mm]": "350", "Height [mm]": "120", "Board [mm]": "15"}
    fill(page, "How many litres?", sides)
    page.get_by_text("13.5 litres inside its boards, of 21 litres outside.").wait_for()
    page.reload()
    visitor.wait_for_live()
    page.get_by_text("13.5 litres inside its boards, of 21 litres outside.").wait_for()
    assert card(page, "How many litres?").get_by_label("Height [mm]").input_value() == "120"
    assert page.get_by_label("Battery system").input_value() == "12 V"
    page.get_by_role("button", name="Clear all readings").click()
    page.get_by_text("Answer these four questions first.").first.wait_for()
    assert card(page, "How many litres?").get_by_label("Height [mm]").input_value() == ""
    page.reload()
    visitor.wait_for_live()
    page.get_by_text("Answer these four questions first.").first.wait_for()
    assert visitor.wrong == []


def test_what_cannot_be_true_is_marked_at_its_field_and_read_out(visit):
    visitor = opened(visit)
    page = visitor.page
    answer_first(page)
    fill(page, "Series or parallel?", {"The pair [ohm]": "-0.4"})
    card(page, "Series or parallel?").get_by_text("There are volts on these wires.").wait_for()
    pair = card(page, "Series or parallel?").get_by_label("The pair [ohm]")
    assert pair.get_attribute("aria-invalid") == "true"
    page.locator(".lb-quiet", has_text="There are volts on these wires.").wait_for(state="attached")
    page.get_by_label("Hybrid or electric, high voltage").select_option("yes")
    page.get_by_text("High voltage: leave its wiring to the maker or a qualified person.").wait_for()
    card(page, "Series or parallel?").get_by_text("Stop: high voltage.").wait_for()
    page.get_by_role("button", name="Clear all readings").click()
    page.get_by_text("Answer these four questions first.").first.wait_for()
    assert visitor.wrong == []


@pytest.mark.parametrize("width", [1366, 683, 390])
def test_no_choice_is_cut_by_its_arrow_and_no_reading_is_wider_than_its_meter(visit, width):
    visitor = opened(visit)
    visitor.page.set_viewport_size({"width": width, "height": 638})
    visitor.page.wait_for_timeout(200)
    assert visitor.page.evaluate(CUT) == []
    assert visitor.page.evaluate(OVER_ITS_SCREEN) == []


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_the_page_is_usable_by_all_at_every_size_and_on_paper(visit, colours):
    visitor = opened(visit, colours)
    page = visitor.page
    answer_first(page)
    fill(page, "How many volts before it clips?", {"Readings, lowest first [V]": "9.1"})
    fill(page, "Battery, and what the feed loses", {"Engine off [V]": "-12"})
    page.get_by_text("9.1 V before it clips").wait_for()
    page.get_by_text("The leads are swapped").wait_for()
    found = Axe().run(page).response["violations"]
    assert [(one["id"], one["nodes"][0]["html"]) for one in found] == []
    for width, height in ((1920, 1080), (1366, 638), (683, 384), (390, 844)):
        page.set_viewport_size({"width": width, "height": height})
        page.wait_for_timeout(200)
        assert page.evaluate("document.documentElement.scrollWidth") <= width
    sheets = pypdf.PdfReader(io.BytesIO(page.pdf())).pages
    words = " ".join(" ".join(sheet.extract_text().split()) for sheet in sheets)
    assert "12. Sensors, noise cancelling, emergency call" in words
    assert "9.1 V before it clips" in words
    assert "Clear all readings" not in words
    page.get_by_role("button", name="Clear all readings").click()
    page.get_by_text("Answer these four questions first.").first.wait_for()
    assert visitor.wrong == []


def test_by_keyboard_alone(visit):
    visitor = opened(visit)
    page = visitor.page
    page.get_by_label("Battery system").focus()
    for text in ("1", "no", "none", "none"):
        page.keyboard.type(text)
        page.keyboard.press("Tab")
    page.get_by_text("Measure this next: 1. Series or parallel?").first.wait_for()
    card(page, "Series or parallel?").get_by_label("The pair [ohm]").focus()
    page.keyboard.type("OL")
    page.get_by_text("OL: nothing lets direct current through.").wait_for()
    page.get_by_role("button", name="Clear all readings").focus()
    page.keyboard.press("Enter")
    page.get_by_text("Answer these four questions first.").first.wait_for()
    assert visitor.wrong == []
