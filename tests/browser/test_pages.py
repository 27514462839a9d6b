"""Every lesson in a real browser: as a live page and as a notebook, with nothing wrong and nobody else reached."""

import io
import re
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pypdf
import pytest

pytestmark = pytest.mark.browser

LESSONS = sorted(path.name for path in (Path(__file__).resolve().parents[2] / "notebooks").glob("*.ipynb"))
START = (Path(__file__).resolve().parents[2] / "notebooks" / "start.ipynb").read_text(encoding="utf-8")
LINKED = [f"/voila/render/{name}" for name in re.findall(r"\]\((\w+\.ipynb)\)", START)]
EVERY_LESSON = pytest.mark.parametrize("lesson", ["trial.ipynb", *LESSONS])
# Every live page runs all code of its notebook. These are opened with their code shown too; --every-view opens all.
WITH_CODE = ("trial.ipynb", "my_parts.ipynb", "sealed_or_vented.ipynb")
WRONG = '[data-mime-type="application/vnd.jupyter.stderr"], [data-mime-type="application/vnd.jupyter.error"]'
WORDS_OF_FAILURE = r"Traceback|should not have happened|Error displaying widget|Loading widget|\$\$|\\frac|\\sqrt"
NOT_MEANT_TO_BE_READ = r"<\w+ size \d+x\d+|\bnan\b|Traceback"
FIRST_SLIDER = {
    "alignments.ipynb": "Total Q of the driver, Qts",
    "bass_meets_panels.ipynb": "Corner of both filters [Hz]",
    "closed_box.ipynb": "Net volume [litres]",
    "crossing_over.ipynb": "Corner of both networks [Hz]",
    "how_loud.ipynb": "Net volume [litres]",
    "which_box.ipynb": "Space inside the box [litres]",
    "data_sheet.ipynb": "Moving mass [times the sheet's]",
    "sealed_or_vented.ipynb": "Net volume [litres]",
    "loud_tweeter.ipynb": "Pad before the tweeter [dB]",
    "small_woofers.ipynb": "Frequency to look at [Hz]",
    "decibels.ipynb": "Power, multiplied by [times]",
}
IN_VIEW = "e => { const box = e.getBoundingClientRect(); return box.top >= 0 && box.bottom <= innerHeight; }"
NAME_IN_USE = """() => {
  const used = document.activeElement;
  return used === document.body ? "" : used.getAttribute("aria-label") || used.innerText.trim();
}"""
PICTURES = {"closed_box.ipynb": 1, "crossing_over.ipynb": 1, "sealed_or_vented.ipynb": 1, "small_woofers.ipynb": 2}
CUT_OFF = "formulas => formulas.filter(one => one.scrollWidth > one.clientWidth + 1).map(one => one.textContent)"
HREFS = "links => links.map(link => link.href)"
BROKEN_IMAGES = "images => images.filter(image => image.complete && !image.naturalWidth).map(image => image.alt)"

# counts how often something is read out from now on
COUNT_SPEECH = """() => {
  window.spoken = 0;
  const speaking = new MutationObserver(() => window.spoken++);
  speaking.observe(document.querySelector("[aria-live=polite]"), {childList: true, characterData: true, subtree: true});
}"""

# whether the figure has a pixel for each of the screen's, and a corner as dark as the page
FIGURE_SUITS = """density => {
  const figure = [...document.querySelectorAll(".widget-image")].at(-1), canvas = document.createElement("canvas");
  if (!figure?.complete || figure.naturalWidth !== density * figure.clientWidth) return false;
  const context = canvas.getContext("2d");
  context.drawImage(figure, 0, 0);
  return context.getImageData(0, 0, 1, 1).data[0] < 50;
}"""

# how light the ink of an element is, and the ground behind it
SHADES = """element => {
  const shade = (colour) => colour.match(/[0-9.]+/g).slice(0, 3).reduce((sum, part) => sum + Number(part), 0) / 765;
  let ground = element;
  while (/rgba\\(.*, 0\\)/.test(getComputedStyle(ground).backgroundColor)) ground = ground.parentElement;
  return [shade(getComputedStyle(element).color), shade(getComputedStyle(ground).backgroundColor)];
}"""


def moves(page, slider, figure):
    """Press an arrow key on a slider; return whether the figure then changes."""
    figure.scroll_into_view_if_needed()
    before = figure.screenshot()
    slider.press("ArrowRight")
    for _ in range(50):
        if figure.screenshot() != before:
            return True
        page.wait_for_timeout(100)
    return False


def is_legible(page, dark):
    """Return whether the texts of the live page stand out from a ground that is light, or dark."""
    texts = page.get_by_role("heading", level=1), page.locator(".widget-label").first, page.locator(".way a").first
    shades = [text.evaluate(SHADES) for text in texts]
    return all(abs(ink - ground) > 0.4 and (ink > ground) is dark for ink, ground in shades)


def wake(page):
    """Mark a guess by keyboard, so that the curves and sliders wake; return the figure."""
    page.get_by_role("radio").first.check()
    page.get_by_role("button", name="Mark my guess", disabled=False).press("Enter")
    page.locator(".widget-readout[contenteditable=true]").first.wait_for()
    return page.locator(".lb-page .widget-image")


def tabbed(page, count):
    """Press the Tab key so many times; return the name of what is in use each time."""
    names = []
    for _ in range(count):
        page.keyboard.press("Tab")
        names.append(page.evaluate(NAME_IN_USE))
    return names


def closed_folds(page):
    """Return the heads of the folds, each a button that is closed."""
    return page.locator(".jupyter-widget-Collapse-header[role=button][aria-expanded=false]")


def wheel_to_the_end(page):
    """Turn the mouse wheel over plain text until nothing moves; return whether the last heading is then in view."""
    last, size = page.locator("h1, h2").last, page.viewport_size
    page.mouse.move(size["width"] - 40, size["height"] - 60)
    while not last.evaluate(IN_VIEW):
        before = page.evaluate("scrollY")
        page.mouse.wheel(0, 700)
        if settled(page, before) == before:
            break
    return last.evaluate(IN_VIEW)


def settled(page, before):
    """Return how far down the window stands once it has moved from where it was and rests, or will not move."""
    for _ in range(30):
        page.wait_for_timeout(100)
        if page.evaluate("scrollY") != before:
            break
    while (now := page.evaluate("scrollY")) != before:
        before = now
        page.wait_for_timeout(150)
    return now


def scrolled(page, key):
    """Press a key where nothing is in use; return by how many pixels the window then moves."""
    page.evaluate("document.activeElement.blur()")
    before = page.evaluate("scrollY")
    page.keyboard.press(key)
    return settled(page, before) - before


def drag_up(page, distance):
    """Put a finger on the page and draw it upwards by so many pixels."""
    screen = page.context.new_cdp_session(page)
    for kind, way in (("Start", 0), *(("Move", way) for way in range(20, distance + 1, 20))):
        touched = [{"x": 1000, "y": 500 - way}]
        screen.send("Input.dispatchTouchEvent", {"type": f"touch{kind}", "touchPoints": touched})
        page.wait_for_timeout(20)
    screen.send("Input.dispatchTouchEvent", {"type": "touchEnd", "touchPoints": []})


def on_paper(page):
    """Return the words that come out of a printer."""
    pages = pypdf.PdfReader(io.BytesIO(page.pdf())).pages
    return " ".join(" ".join(page.extract_text() for page in pages).split())


def fits(page):
    """Return whether the sliders and the figure lie inside the window."""
    boxes = [box.bounding_box() for box in (*page.get_by_role("slider").all()[:2], page.locator(".widget-image").last)]
    size = page.viewport_size
    return all(
        min(box["x"], box["y"]) >= 0
        and box["x"] + box["width"] <= size["width"]
        and box["y"] + box["height"] <= size["height"]
        for box in boxes
    )


@EVERY_LESSON
def test_live_page(visit, lesson):
    visitor = visit()
    visitor.open_live(lesson)
    page, text = visitor.page, visitor.page.locator("#rendered_cells")
    assert page.locator(WRONG).count() == 0
    assert not re.search(WORDS_OF_FAILURE, text.inner_text())
    assert page.title() == page.get_by_role("heading", level=1).inner_text().removesuffix("¶")
    assert page.locator(".jp-InputArea-editor").count() == 0
    assert page.locator(".busy").is_hidden()
    assert page.locator("img").evaluate_all(BROKEN_IMAGES) == []
    pictures = text.locator("img[src^='data:image/png']").evaluate_all("images => images.map(image => image.alt)")
    assert [bool(words) for words in pictures] == [True] * PICTURES.get(lesson, 0)
    given = "\n".join(text.locator(".jp-OutputArea-output").all_text_contents())  # with what is left out
    assert not re.search(NOT_MEANT_TO_BE_READ, given)
    assert "in a few lines" not in text.inner_text()
    headings = text.locator("table.dataframe th").all_inner_texts()
    assert [words for words in headings if re.search(r"_|^\d+$", words)] == [], "a table with the names of the code"
    assert text.locator("mjx-container").evaluate_all(CUT_OFF) == []
    links = [unquote(urlsplit(href).path) for href in text.locator("a[href*='.ipynb']").evaluate_all(HREFS)]
    assert all((visitor.running.folder / link.removeprefix("/voila/render/")).is_file() for link in links)
    code = page.get_by_role("link", name="See this page with its code")
    assert code.get_attribute("href") == f"/doc/tree/{lesson}"
    if lesson in FIRST_SLIDER:
        assert fits(page), "sliders and figure do not stand on the first screen"
        figure = wake(page)
        shown = figure.get_attribute("alt")
        folds = [fold.inner_text() for fold in closed_folds(page).all()]
        assert set(folds) <= set(tabbed(page, 25)), "the Tab key does not go on from the guess to every fold"
        assert moves(page, page.get_by_role("slider", name=FIRST_SLIDER[lesson]), figure)
        assert shown.strip()
        visitor.until(lambda: figure.get_attribute("alt") != shown, "the words for the picture do not follow it")
        assert figure.evaluate("image => image.naturalWidth === image.clientWidth * devicePixelRatio")
    assert wheel_to_the_end(page), "the mouse wheel does not reach the last heading"
    assert page.locator("h1, h2").last.inner_text().removesuffix("¶") in on_paper(page)
    assert visitor.outside == set()
    assert visitor.wrong == []


@EVERY_LESSON
def test_notebook(visit, lesson, request):
    if lesson not in WITH_CODE and not request.config.getoption("--every-view"):
        pytest.skip("its code is run by its live page; --every-view opens it with the code shown")
    visitor = visit()
    notebook = visitor.open_code(lesson)
    outputs = [output for cell in notebook.cells if cell.cell_type == "code" for output in cell.outputs]
    assert [output for output in outputs if output.output_type == "error" or output.get("name") == "stderr"] == []
    assert [output for output in outputs if "application/vnd.jupyter.widget-view+json" in output.get("data", {})] == []
    assert visitor.page.locator(WRONG).count() == 0
    first = visitor.page.locator(".jp-MarkdownCell").first
    first.locator(f'a[href="/voila/render/{lesson}"]').wait_for()
    if lesson in FIRST_SLIDER:
        assert fits(visitor.page), "the sliders are out of view once all cells have run"
        figure, slider = wake(visitor.page), visitor.page.get_by_role("slider", name=FIRST_SLIDER[lesson])
        assert moves(visitor.page, slider, figure)
        for command in "abddxmy":  # of the notebook: they must rest while a slider is in use
            slider.press(command)
        assert [visitor.page.locator(f".jp-Notebook .jp-{kind}Cell").count() for kind in ("Code", "Markdown")] == [
            sum(cell.cell_type == kind for cell in notebook.cells) for kind in ("code", "markdown")
        ]
    assert visitor.page.locator(".jp-LogConsoleStatusItem").is_hidden()
    assert visitor.outside == set()
    assert visitor.wrong == []


def test_a_live_page_moves_and_the_views_lead_to_each_other(visit, running):
    visitor = visit("light")
    visitor.open_live("trial.ipynb")
    page, kernel = visitor.page, visitor.kernel
    assert is_legible(page, dark=False)
    assert page.get_by_role("link", name="Without its code").count() == 0  # it would lead to where one is
    slider = page.locator(".widget-slider").filter(has_text="Slope").get_by_role("slider")
    assert moves(page, slider, page.locator(".widget-image"))
    assert running.ask(f"/api/kernels/{kernel}")[0] == 200
    assert visitor.wrong == []

    page.get_by_role("link", name="See this page with its code").click()
    page.wait_for_url("**/doc/tree/trial.ipynb")
    visitor.until(lambda: running.ask(f"/api/kernels/{kernel}")[0] == 404, "leaving a page did not end its kernel")
    with page.expect_popup() as popup:
        page.get_by_role("link", name="Without its code").click()
    popup.value.wait_for_url("**/voila/render/trial.ipynb")
    popup.value.close()


def test_a_live_page_scrolls_by_keys_and_by_a_finger(visit):
    visitor = visit()
    visitor.open_live("sealed_or_vented.ipynb")
    page = visitor.page
    assert scrolled(page, "PageDown") > 300
    assert scrolled(page, "Space") > 300
    assert scrolled(page, "Home") < -600
    drag_up(page, 300)
    assert settled(page, 0) > 200
    assert scrolled(page, "End") > 600
    assert page.locator("h1, h2").last.evaluate(IN_VIEW)


def test_a_typed_value_stays_as_typed_and_arrows_go_in_steps(visit):
    visitor = visit()
    visitor.open_live("sealed_or_vented.ipynb")
    page = visitor.page
    wake(page)
    number = page.locator(".widget-readout").first

    def types(text):
        number.click()
        page.keyboard.press("Control+a")
        page.keyboard.type(text)
        page.keyboard.press("Enter")

    types("33.3")
    page.get_by_text("200 mm bass in 33.3 litres").wait_for()
    page.get_by_label("Units").first.select_option("US customary")
    page.get_by_text("200 mm bass in 1.176 cubic feet").wait_for()  # 33.3 / 28.316847
    for system in ("metric", "US customary", "metric", "US customary", "metric"):  # quicker than the page can follow
        page.get_by_label("Units").first.select_option(system)
    page.get_by_text("200 mm bass in 33.3 litres").wait_for()
    page.get_by_role("slider").first.press("ArrowRight")
    page.get_by_text("200 mm bass in 34.0 litres").wait_for()
    beside = page.locator(".widget-slider").first.get_by_role("status")
    types("1000")
    page.get_by_text("200 mm bass in 80.0 litres").first.wait_for()
    beside.get_by_text("1000 is outside 6 to 80: the nearest is taken.").wait_for()
    for slip, said in (("many", "is not a number."), ("12,5", "write a point for the comma.")):
        types(slip)
        beside.get_by_text(said).wait_for()
        assert number.inner_text() == "80.0"
    page.get_by_label("Units").first.select_option("US customary")  # what was typed is counted otherwise now
    page.get_by_text("200 mm bass in 2.825 cubic feet").wait_for()
    visitor.until(lambda: not beside.inner_text(), "a refusal stays when the number changes from outside")
    page.get_by_label("Units").first.select_option("metric")
    page.get_by_text("200 mm bass in 80.0 litres").first.wait_for()
    types("-5")
    beside.get_by_text("-5 is outside 6 to 80: the nearest is taken.").wait_for()
    page.wait_for_timeout(500)
    assert "the nearest is taken" in beside.inner_text(), "it must be there to be read"
    page.get_by_role("button", name="Back to start").click()
    page.get_by_text("200 mm bass in 20.0 litres").wait_for()
    visitor.until(lambda: not beside.inner_text(), "a refusal stays beside a slider that went back")
    types("many")  # leaves the number as it is, and so does what comes then
    beside.get_by_text("is not a number.").wait_for()
    page.get_by_role("button", name="Back to start").click()
    visitor.until(lambda: not beside.inner_text(), "a refusal stays though all went back")
    assert visitor.wrong == []


@pytest.mark.parametrize("density", [1, 2])
def test_the_figure_is_as_sharp_and_as_dark_as_the_screen(visit, density):
    visitor = visit("dark")
    screen = visitor.page.context.new_cdp_session(visitor.page)
    size = {"width": 1366, "height": 638, "mobile": False}
    screen.send("Emulation.setDeviceMetricsOverride", {**size, "deviceScaleFactor": density})
    visitor.open_live("decibels.ipynb")
    visitor.page.wait_for_function(FIGURE_SUITS, arg=density)


def test_what_goes_wrong_in_a_cell_is_shown_and_the_colours_are_those_of_a_dark_screen(visit):
    visitor = visit("dark")
    visitor.open_live("broken.ipynb")
    assert "ZeroDivisionError" in visitor.page.locator(WRONG).inner_text()
    visitor.page.locator(".widget-label").wait_for()
    assert is_legible(visitor.page, dark=True)


@pytest.mark.parametrize(("wide", "least"), [(390, 300), (683, 500)])
def test_on_a_narrow_page_the_picture_has_its_width(visit, wide, least):
    """A phone, and a screen of 1366 pixels at 200 %."""
    visitor = visit()
    visitor.page.set_viewport_size({"width": wide, "height": 800})
    visitor.open_live("sealed_or_vented.ipynb")
    page = visitor.page
    page.get_by_role("button", name="Show me at once").click()
    page.locator(".widget-readout[contenteditable=true]").first.wait_for()
    picture = page.locator(".lb-page .widget-image").bounding_box()
    assert picture["width"] >= least
    assert picture["x"] + picture["width"] <= wide
    assert page.evaluate("document.documentElement.scrollWidth") <= wide + 2
    assert visitor.wrong == []


def test_a_page_is_usable_by_ear(visit):
    visitor = visit()
    visitor.open_live("sealed_or_vented.ipynb")
    page, spoken = visitor.page, visitor.page.locator("[aria-live=polite]")
    wake(page)
    assert page.evaluate("document.activeElement !== document.body"), "marking the guess lost the focus"
    spoken.get_by_text("You guessed: The sealed box").wait_for()
    spoken.get_by_text("At 40 Hz the vented box plays").wait_for()
    fold = page.get_by_role("button", name="More to change")
    fold.press("Enter")
    page.locator(".jupyter-widget-Collapse-header[aria-expanded=true]").get_by_text("More to change").wait_for()
    page.get_by_role("slider", name="Port area").wait_for()
    fold.press("Space")
    page.get_by_role("slider", name="Port area").wait_for(state="hidden")
    page.get_by_role("slider", name="Net volume").focus()
    slider = page.get_by_role("slider", name="Net volume")
    for _ in range(3):
        slider.press("ArrowRight")
        page.wait_for_timeout(300)
    reading = page.locator(".widget-slider").filter(has_text="Net volume").locator(".widget-readout").inner_text()
    visitor.until(lambda: slider.get_attribute("aria-valuetext") == reading, "what is read out is not what is shown")
    page.wait_for_timeout(1500)
    page.evaluate(COUNT_SPEECH)
    for _ in range(8):
        page.keyboard.press("ArrowRight")
    page.wait_for_timeout(2500)
    assert page.evaluate("window.spoken") == 1
    assert visitor.wrong == []


def test_all_lessons(visit):
    visitor = visit()
    visitor.open("/voila/tree")
    links = visitor.page.get_by_role("link").evaluate_all("links => links.map(link => link.getAttribute('href'))")
    assert {f"/voila/render/{lesson}" for lesson in LESSONS} <= set(links)
    assert {f"/doc/tree/{lesson}" for lesson in LESSONS} <= set(links)
    names = visitor.page.get_by_role("listitem").all_inner_texts()
    assert names[:2] == ["Start here with its code", "Why do small woofers lose bass? with its code"]
    assert links[::2][: len(LINKED) + 1] == ["/voila/render/start.ipynb", *LINKED], "not in the order of the start"
    assert visitor.outside == set()
    assert visitor.wrong == []
