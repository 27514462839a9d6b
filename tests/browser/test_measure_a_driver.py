"""In a real browser: someone measures a driver from the page alone, by what stands to be read, and keeps it."""

import re

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.sliders.test_measure_a_driver import CLAY, FIELDS, KNOWN, LINE, LITRES, TRUE, impedance, number

pytestmark = [pytest.mark.browser, pytest.mark.long]

LABELS = {
    "line": "Resistor in line [ohm]",
    "Re": "Coil by the ohmmeter [ohm]",
    "diameter": "Cone, with half the surround [mm]",
    "known": "The known resistor [ohm]",
    "mass": "Mass on the cone [g]",
    "volume": "Net volume of the box [L]",
}
WIDTHS = ({"width": 390, "height": 844}, {"width": 683, "height": 384}, {"width": 1366, "height": 638})


def opened(visit, colours="light"):
    visitor = visit(colours)
    visitor.open_live("measure_a_driver.ipynb")
    visitor.page.get_by_role("heading", name="1. Wire it up").wait_for()
    visitor.page.get_by_role("button", name="Clear all readings").click()  # of the test before
    visitor.page.locator(".lb-me-headline", has_text="Wire it up. Type").wait_for()
    return visitor


def step(page, title):
    """Open a step by its title."""
    heading = page.get_by_role("heading", name=title)
    heading.click()
    return page.locator("details.lb-me-step", has=heading)


def measure(page, title, load, count, draw):
    """Read the meters at the tones that the page asks for, and type both volts."""
    here = step(page, title)
    for _ in range(count):
        asked = re.search(r"Next: ([\d.]+) Hz", here.get_by_role("status").inner_text())[1]
        assert here.get_by_label("Frequency [Hz]").input_value() == asked
        there = load(float(asked))
        volts = np.abs([there, LINE]) / abs(there + LINE) * np.exp(0.003 * draw.standard_normal(2))
        here.get_by_label("Across the driver [V]").fill(f"{volts[0]:.4f}")
        here.get_by_label("Across the resistor [V]").fill(f"{volts[1]:.4f}")
        done = here.get_by_role("status").inner_text()
        page.keyboard.press("Enter")
        page.wait_for_function(
            "([step, before]) => step.querySelector('[role=status]').innerText !== before && "
            "!step.querySelectorAll('[data-reading]')[1].value",
            arg=[here.element_handle(), done],
        )


def cells(page):
    rows = page.locator(".lb-me-facts tbody tr")
    return {row.locator("th").inner_text(): row.locator("td").all_inner_texts() for row in rows.all()}


def test_someone_measures_a_driver_from_the_page_alone_and_keeps_it(visit, running):
    """By the circuit of the tests: what the page finds is what the readings were made of."""
    visitor, draw = opened(visit), np.random.default_rng(7)
    page = visitor.page
    for key in ("line", "Re", "diameter"):
        page.get_by_label(LABELS[key], exact=True).fill(FIELDS[key])
    step(page, "2. First a resistor").get_by_label(LABELS["known"]).fill(FIELDS["known"])
    page.get_by_role("heading", name="2. First a resistor").click()
    measure(page, "2. First a resistor", lambda f: KNOWN, 3, draw)
    measure(page, "3. In free air", lambda f: impedance([f])[0], 14, draw)
    page.get_by_text("Now put a mass on the cone, for the rest.").wait_for()
    step(page, "4. With a mass").get_by_label(LABELS["mass"]).fill(FIELDS["mass"])
    page.get_by_role("heading", name="4. With a mass").click()
    measure(page, "4. With a mass", lambda f: impedance([f], mass=CLAY)[0], 10, draw)
    step(page, "5. On a sealed").get_by_label(LABELS["volume"]).fill(FIELDS["volume"])
    page.get_by_role("heading", name="5. On a sealed").click()
    measure(page, "5. On a sealed", lambda f: impedance([f], volume=LITRES)[0], 10, draw)
    measure(page, "6. Free air again", lambda f: impedance([f])[0], 10, draw)
    page.get_by_text("All checks agree: keep it.").wait_for()
    for name, within in (("fs", 0.01), ("Qes", 0.03), ("Qms", 0.05), ("Mms", 0.03), ("Vas", 0.03)):
        assert number(cells(page)[name][0]) == pytest.approx(TRUE[name], rel=within), name
    page.get_by_label("Name", exact=True).fill("from the bench")
    page.get_by_role("button", name="Keep as my driver").click()
    page.get_by_text("Kept as from the bench").wait_for()
    onwards = page.get_by_role("link", name="Did it come out as planned?")
    assert onwards.evaluate("one => getComputedStyle(one).textDecorationLine") == "underline", "it looked like any text"
    kept = running.folder / "my_parts.toml"
    assert '[driver."from the bench"]' in kept.read_text(encoding="utf-8")
    kept.unlink()


def test_what_is_typed_while_a_reading_is_taken_is_the_next_one(visit):
    page = opened(visit).page
    page.get_by_label(LABELS["line"], exact=True).fill(FIELDS["line"])
    air = step(page, "3. In free air")
    for label, text in (("Frequency [Hz]", "40"), ("Across the driver [V]", "0.2"), ("Across the resistor [V]", "0.2")):
        air.get_by_label(label).fill(text)
    air.locator(".lb-me-add").evaluate("""form => {
      form.requestSubmit();
      const [frequency, driver] = form.querySelectorAll("input");
      [frequency.value, driver.value] = ["50", "0.3"];
    }""")
    air.locator(".lb-me-next", has_text=re.compile("^1 reading")).wait_for()
    page.wait_for_function("form => !form.querySelectorAll('input')[2].value", arg=air.locator("form").element_handle())
    assert [one.input_value() for one in air.locator("form input").all()] == ["50", "0.3", ""]
    page.get_by_role("button", name="Clear all readings").click()
    page.locator(".lb-me-headline", has_text="Wire it up. Type").wait_for()


def test_nothing_typed_is_lost_over_a_reload_and_a_bad_file_can_be_undone(visit):
    visitor = opened(visit)
    page = visitor.page
    page.get_by_label("What is measured").select_option("practice driver 1 (invented)")
    air = step(page, "3. In free air")
    for count in range(1, 8):
        air.get_by_role("button", name="Let the page read the meters").click()
        air.locator(".lb-me-next", has_text=re.compile(rf"^{count} reading")).wait_for()
    before, found = page.locator(".lb-me-headline").inner_text(), cells(page)
    page.reload()
    page.get_by_role("heading", name="1. Wire it up").wait_for()
    page.locator(".lb-me-headline", has_text=before).wait_for()
    assert cells(page) == found
    air = step(page, "3. In free air")
    air.get_by_text("All readings, and a file").click()
    bad = {"name": "mine.csv", "mimeType": "text/csv", "buffer": b"frequency [Hz],level [dB]\n20,80\n"}
    air.get_by_label("Read a file").set_input_files(bad)
    air.get_by_text("is a level curve").wait_for()
    air.get_by_role("button", name="Undo").click()
    air.get_by_text("7 readings").wait_for()
    page.get_by_role("button", name="Clear all readings").click()
    page.locator(".lb-me-headline", has_text="Wire it up. Type").wait_for()


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_it_can_be_used_by_all_and_fits_every_screen(visit, colours):
    visitor = opened(visit, colours)
    page = visitor.page
    page.get_by_label("What is measured").select_option("practice driver 2 (invented)")
    air = step(page, "3. In free air")
    for count in range(1, 8):
        air.get_by_role("button", name="Let the page read the meters").click()
        air.locator(".lb-me-next", has_text=re.compile(rf"^{count} reading")).wait_for()
    wrong = Axe().run(page, context=".lb-me").response["violations"]
    assert [(one["id"], [node["html"] for node in one["nodes"]]) for one in wrong] == []
    for size in WIDTHS:
        page.set_viewport_size(size)
        page.wait_for_timeout(200)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
        outside = """svg => { const box = svg.getBoundingClientRect();
            return [...svg.querySelectorAll("text")].filter(one => { const at = one.getBoundingClientRect();
            return at.left < box.left - 1 || at.right > box.right + 1 || at.bottom > box.bottom + 1; }).length }"""
        assert page.locator(".lb-me-svg").evaluate(outside) == 0
        keep = page.get_by_role("button", name="Keep as my driver")
        assert keep.evaluate("one => one.scrollWidth <= one.clientWidth"), "its words are whole"
