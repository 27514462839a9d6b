"""In a real browser: someone finds out from the page alone, by keyboard, what is wrong with a box that was built."""

import re

import numpy as np
import pytest
from axe_playwright_python.sync_playwright import Axe

from lumpedbox.units import litre
from tests.browser.conftest import LINK_WAITS
from tests.sliders.test_as_planned import LINE, ohms, volts

pytestmark = [pytest.mark.browser, pytest.mark.long]

READINGS = "Readings, one a line"
EVERY_HEADLINE = """
  addEventListener("DOMContentLoaded", () => {
    window.headlines = [];
    window.plans = []; // that each of them holds for
    new MutationObserver(() => {
      const now = document.querySelector(".lb-headline")?.textContent;
      if (!now || now === headlines.at(-1)) return;
      headlines.push(now);
      plans.push(document.querySelector(".lb-why p:last-child")?.textContent);
    }).observe(document.body, { subtree: true, childList: true, characterData: true });
  });
"""
WIDTHS = ({"width": 390, "height": 844}, {"width": 683, "height": 384}, {"width": 1366, "height": 638})


def opened(visit, colours="light"):
    visitor = visit(colours)
    visitor.page.add_init_script(EVERY_HEADLINE)
    visitor.open_live("as_planned.ipynb")
    page = visitor.page
    page.get_by_role("button", name="Add the reading").wait_for()
    if page.get_by_role("button", name="Clear the readings").is_visible():  # of the test before
        page.get_by_role("button", name="Clear the readings").click()
    said(page, "Nothing is measured yet")
    return visitor


def said(page, words):
    """The headline, once it has some words."""
    line = page.locator(".lb-headline", has_text=words).first
    line.wait_for()
    return line.inner_text()


def compared(page, count, words):
    """The headline, once a comparison of so many readings has begun, is through, and says some words."""
    page.wait_for_function(
        """([count, words]) => {
          const begun = headlines.findLastIndex((told) => told.startsWith(`Comparing ${count} readings`));
          return begun >= 0 && headlines.slice(begun + 1).some((told) => told.includes(words));
        }""",
        arg=[count, words],
    )
    return said(page, words)


def test_someone_finds_a_leak_from_the_page_alone_by_keyboard(visit):
    """By the textbook's circuit: a box of 25 litres that leaks four times as much as planned."""
    visitor, draw = opened(visit), np.random.default_rng(2)
    page = visitor.page
    page.get_by_label("Net volume [litres], typed").fill("25")
    page.keyboard.press("Enter")
    page.get_by_label("Frequency [Hz]").focus()
    for count in range(1, 21):
        f = float(page.get_by_label("Frequency [Hz]").input_value())
        load = ohms(25 * litre, 2.5, tones=np.array([f]))[0]
        across = 0.5 * np.array([load, LINE]) / (load + LINE) * np.exp(0.004 * draw.standard_normal(2))
        if count == 1:
            page.keyboard.press("Tab")
        page.keyboard.type(f"{across[0]:.4f}")
        page.keyboard.press("Tab")
        page.keyboard.type(f"{across[1]:.4f}".replace(".", ",") if count == 3 else f"{across[1]:.4f}")
        page.keyboard.press("Enter")
        page.locator(".lb-meter-note", has_text=re.compile(rf"^{count} readings")).wait_for()
        page.wait_for_function("document.activeElement.dataset.reading === 'driver' && !document.activeElement.value")
    told = compared(page, 20, "leaks")
    assert float(re.search(r"leaks ([\d.]+) times", told)[1]) == pytest.approx(4, rel=0.12)
    assert told.endswith("seal joints and gasket, then measure again.")
    lines = page.get_by_label(READINGS).input_value()
    assert len(lines.splitlines()) == 21
    page.reload()
    said(page, told)
    assert page.get_by_label(READINGS).input_value() == lines
    bad = {"name": "mine.csv", "mimeType": "text/csv", "buffer": b"frequency [Hz],level [dB]\n20,80\n"}
    page.get_by_label("Read a file").set_input_files(bad)
    page.locator(".lb-meter-wrong", has_text="is a level curve").wait_for()
    assert page.get_by_label(READINGS).input_value() == lines
    page.get_by_role("button", name="Clear the readings").click()
    said(page, "Nothing is measured yet")
    page.get_by_role("button", name="Undo").click()
    said(page, told)
    page.get_by_role("button", name="Clear the readings").click()
    said(page, "Nothing is measured yet")


def counted(page, count):
    page.locator(".lb-meter-note", has_text=re.compile(rf"(^|\. ){count} readings")).wait_for()


def with_readings(page, count):
    """Lines of a box of 25 litres that leaks four times as much as planned, typed below each other."""
    page.get_by_label("Net volume [litres], typed").fill("25")
    page.keyboard.press("Enter")
    tones = np.geomspace(15, 250, count)
    page.get_by_label(READINGS).fill(volts(ohms(25 * litre, 2.5, tones=tones), tones, noise=0.0))
    page.get_by_label(READINGS).blur()
    counted(page, count)


def test_loaded_again_at_once_nothing_is_lost_and_no_other_plan_is_compared(visit):
    """The link is written once the hand rests: the last reading was lost, and the plan of the start was compared."""
    page = opened(visit).page
    with_readings(page, 12)
    page.wait_for_function("new URLSearchParams(location.hash.slice(1)).has('ohms')")
    page.evaluate(LINK_WAITS)
    page.get_by_label("Frequency [Hz]").fill("300")
    for label in ("Across the box [V]", "Across the resistor [V]"):
        page.get_by_label(label).fill("0.2")
    page.keyboard.press("Enter")
    counted(page, 13)
    assert "300" not in page.url
    page.reload()
    counted(page, 13)
    compared(page, 13, "")
    assert page.get_by_label(READINGS).input_value().endswith("300, 0.2, 0.2")
    told = page.evaluate("headlines.map((told, at) => [told, plans[at]])")
    assert {plan for told, plan in told if "Nothing is measured" not in told} == {
        "200 mm bass in 25 litres, sealed, leakage Q 10, outside the vehicle."
    }
    page.evaluate(LINK_WAITS)
    page.get_by_role("button", name="Clear the readings").click()
    counted(page, 0)
    page.reload()
    page.wait_for_function("""[...document.querySelectorAll("[aria-label='Net volume [litres], typed']")]
      .some((field) => field.value === "25.0")""")  # where the link leads
    counted(page, 0)
    assert page.get_by_label(READINGS).input_value() == ""


def test_an_example_and_a_reload_take_no_readings_away(visit):
    """Undo was gone with the page, and the example had taken their place in what the browser remembers."""
    page = opened(visit).page
    with_readings(page, 8)
    lines = page.get_by_label(READINGS).input_value()
    page.get_by_role("button", name="Show an example").click()
    page.locator(".lb-meter-note", has_text="This measurement is invented.").wait_for()
    page.reload()
    page.locator(".lb-meter-note", has_text="Undo brings back yours.").wait_for()
    page.get_by_role("button", name="Undo").click()
    counted(page, 8)
    assert page.get_by_label(READINGS).input_value() == lines
    page.get_by_role("button", name="Clear the readings").click()
    said(page, "Nothing is measured yet")


def test_what_is_typed_while_a_reading_is_taken_is_the_next_one(visit):
    page = opened(visit).page
    page.get_by_label("Frequency [Hz]").fill("40")
    for label in ("Across the box [V]", "Across the resistor [V]"):
        page.get_by_label(label).fill("0.2")
    page.evaluate("""() => {
      document.querySelector(".lb-meter form").requestSubmit();
      for (const [key, text] of [["frequency", "50"], ["driver", "0.3"]])
        document.querySelector(`[data-reading="${key}"]`).value = text;
    }""")
    page.wait_for_function("""!document.querySelector('[data-reading="resistor"]').value""")
    assert page.get_by_label("Frequency [Hz]").input_value() == "50"
    assert page.get_by_label("Across the box [V]").input_value() == "0.3"
    page.get_by_label("Across the resistor [V]").fill("0.2")
    page.keyboard.press("Enter")
    counted(page, 2)
    assert page.get_by_label(READINGS).input_value().splitlines()[1:] == ["40, 0.2, 0.2", "50, 0.3, 0.2"]
    page.get_by_role("button", name="Clear the readings").click()
    said(page, "Nothing is measured yet")


def test_a_picture_is_refused_and_a_table_of_another_program_is_read(visit):
    """Of a photo of megabytes its beginning is enough; a spreadsheet saves semicolons, commas and a mark."""
    visitor, tones = opened(visit), np.geomspace(15, 300, 25)
    page = visitor.page
    page.get_by_label("Net volume [litres], typed").fill("25")
    page.keyboard.press("Enter")
    rows = zip(tones, ohms(25 * litre, 2.5, tones=tones), strict=True)
    text = "\n".join(f"{f:.2f};{z:.3f}".replace(".", ",") for f, z in rows)
    table = f"frequency [Hz];impedance [ohm]\n{text}\n"
    for encoding in ("utf-16", "utf-8-sig"):
        content = table.replace("\n", "\r\n").encode(encoding)
        page.get_by_label("Read a file").set_input_files({"name": "t.csv", "mimeType": "text/csv", "buffer": content})
        page.locator(".lb-meter-note", has_text="t.csv: 25 readings are taken.").wait_for()
        told, lines = said(page, "leaks"), page.get_by_label(READINGS).input_value()
        photo = visitor.page.screenshot() + np.random.default_rng(1).bytes(12_000_000)
        page.get_by_label("Read a file").set_input_files({"name": "p.png", "mimeType": "image/png", "buffer": photo})
        page.locator(".lb-meter-wrong", has_text="p.png holds no text: it is a picture or the like.").wait_for()
        assert page.get_by_label(READINGS).input_value() == lines
        assert said(page, "leaks") == told
        page.get_by_role("button", name="Clear the readings").click()
        said(page, "Nothing is measured yet")


@pytest.mark.parametrize("colours", ["light", "dark"])
def test_it_can_be_used_by_all_and_fits_every_screen(visit, colours):
    visitor = opened(visit, colours)
    page = visitor.page
    page.get_by_role("button", name="Show an example").click()
    said(page, "leaks")
    page.get_by_text("How to measure it").click()
    page.get_by_role("img", name="Amplifier, resistor in line").wait_for()
    wrong = Axe().run(page, context=".lb-meter").response["violations"]
    assert [(one["id"], [node["html"] for node in one["nodes"]]) for one in wrong] == []
    for size in WIDTHS:
        page.set_viewport_size(size)
        page.wait_for_timeout(200)
        assert page.evaluate("document.documentElement.scrollWidth") <= size["width"]
    page.get_by_label("Measured", exact=True).select_option("level in the vehicle")
    said(page, "begin with a tone of 20 Hz")
    page.get_by_label("Level [dB]").fill("-42.5")
    page.keyboard.press("Enter")
    said(page, "1 of 6 readings")
    assert page.get_by_text("loud sound harms hearing for good").first.is_visible()
    page.get_by_role("button", name="Clear the readings").click()
    said(page, "begin with a tone of 20 Hz")
