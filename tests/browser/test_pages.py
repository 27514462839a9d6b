"""Every lesson in a real browser: as a live page and as a notebook, with nothing wrong and nobody else reached."""

import io
import re
from itertools import combinations
from pathlib import Path
from urllib.parse import unquote, urlsplit

import pypdf
import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.conftest import IN_VIEW

pytestmark = pytest.mark.browser

LESSONS = sorted(path.name for path in (Path(__file__).resolve().parents[2] / "notebooks").glob("*.ipynb"))
START = (Path(__file__).resolve().parents[2] / "notebooks" / "start.ipynb").read_text(encoding="utf-8")
LINKED = [
    f"/voila/render/{name}"
    for section in START.split('"## ')  # a page once in each
    for name in dict.fromkeys(re.findall(r"\]\(((?:teaching/)?\w+\.ipynb)\)", section))
]
EVERY_LESSON = pytest.mark.parametrize("lesson", ["trial.ipynb", *LESSONS])
# What every run opens; the others are opened by the command for what takes long.
OPENED = ("trial", "start", "my_parts", "sealed_or_vented", "cabin_gain", "data_sheet")
LIVE = [
    pytest.param(lesson, marks=[] if lesson.removesuffix(".ipynb") in OPENED else pytest.mark.long)
    for lesson in ("trial.ipynb", *LESSONS)
]
# Every live page runs all code of its notebook. These are opened with their code shown too; --every-view opens all.
WITH_CODE = ("trial.ipynb", "my_parts.ipynb", "sealed_or_vented.ipynb")
WRONG = '[data-mime-type="application/vnd.jupyter.stderr"], [data-mime-type="application/vnd.jupyter.error"]'
WORDS_OF_FAILURE = r"Traceback|should not have happened|Error displaying widget|Loading widget|\$\$|\\frac|\\sqrt"
NOT_MEANT_TO_BE_READ = r"<\w+ size \d+x\d+|\bnan\b|Traceback"
NAME_IN_USE = """() => {
  const used = document.activeElement;
  return used === document.body ? "" : used.getAttribute("aria-label") || used.innerText.trim();
}"""
CUT_OFF = "formulas => formulas.filter(one => one.scrollWidth > one.clientWidth + 1).map(one => one.textContent)"
HREFS = "links => links.map(link => link.href)"
BROKEN_IMAGES = "images => images.filter(image => image.complete && !image.naturalWidth).map(image => image.alt)"

# how light the ink of an element is, and the ground behind it
SHADES = """element => {
  const shade = (colour) => colour.match(/[0-9.]+/g).slice(0, 3).reduce((sum, part) => sum + Number(part), 0) / 765;
  let ground = element;
  while (/rgba\\(.*, 0\\)/.test(getComputedStyle(ground).backgroundColor)) ground = ground.parentElement;
  return [shade(getComputedStyle(element).color), shade(getComputedStyle(ground).backgroundColor)];
}"""


def is_legible(page, dark):
    """Return whether the texts of the live page stand out from a ground that is light, or dark."""
    texts = (
        page.get_by_role("heading", level=1),
        page.locator("label, .widget-label").first,
        page.locator(".way a").first,
    )
    shades = [text.evaluate(SHADES) for text in texts]
    return all(abs(ink - ground) > 0.4 and (ink > ground) is dark for ink, ground in shades)


def tabbed(page, count):
    """Press the Tab key so many times; return the name of what is in use each time."""
    names = []
    for _ in range(count):
        page.keyboard.press("Tab")
        names.append(page.evaluate(NAME_IN_USE))
    return names


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


LETTER = 0.4  # of its height that a letter is wide, at least: common practice, no source


def printed_over(sheet):
    """Return pairs of texts on a sheet of which one lies over the other, but not on its line."""
    texts = []

    def see(text, cm, tm, _font, size):
        x, y = (tm[4] * cm[axis] + tm[5] * cm[2 + axis] + cm[4 + axis] for axis in (0, 1))
        high = abs(size * tm[3] * cm[3])
        if len(text.strip()) > 1:  # a sign alone, as the index of a symbol, is raised or lowered on purpose
            texts.append((text.strip(), x, y, LETTER * high * len(text.strip()), high))

    sheet.extract_text(visitor_text=see)
    return [
        (text, other)
        for (text, x, y, wide, high), (other, x_other, y_other, wide_other, high_other) in combinations(texts, 2)
        if 1 < abs(y - y_other) < 0.6 * min(high, high_other) and -wide < x - x_other < wide_other
    ]


def on_paper(page):
    """Return the lines of each sheet that comes out of a printer; no text may be printed over another."""
    sheets = pypdf.PdfReader(io.BytesIO(page.pdf())).pages
    assert [over for sheet in sheets for over in printed_over(sheet)] == []
    return [[line.strip() for line in sheet.extract_text().splitlines() if line.strip()] for sheet in sheets]


def check_paper(page):
    """All of a live page is printed, without what only a screen can do, and no heading is left behind by its text."""
    sheets, headings = on_paper(page), [words.removesuffix("¶") for words in page.locator("h1, h2").all_inner_texts()]
    words = " ".join(" ".join(line for lines in sheets for line in lines).split())
    assert headings[-1] in words
    assert not any(button in words for button in ("See this page with its code", "Show the answer"))
    assert not {lines[-1] for lines in sheets if lines} & set(headings)  # a picture may have a sheet of its own


def board_of(page):
    """Return the board of a live page if it has one, with its answer shown."""
    board = page.locator(".lb-board:has(img.widget-image)")  # others have a file of their own here
    if board.count() and (at_once := page.get_by_role("button", name="Show me at once")).is_visible():
        at_once.click()
        page.locator(".lb-board:not(.lb-asleep)").wait_for(state="attached")
    return board if board.count() else None


def changes(page, element, attribute=None):
    """Return a function that tells whether an element, or one of its attributes, has changed by then."""

    def now():
        return element.get_attribute(attribute) if attribute else element.inner_text()

    before = now()
    return lambda: now() != before


def moves(visitor, board):
    """Press an arrow key on the first slider: the picture changes, and so do the words for who cannot see it."""
    page, picture = visitor.page, board.locator("img.widget-image")
    new_picture, slider = changes(page, picture, "src"), board.get_by_role("slider").first
    slider.focus()
    page.keyboard.press("ArrowRight")
    visitor.until(new_picture, "the picture does not follow the slider")
    assert slider.get_attribute("aria-valuetext").strip()
    assert picture.get_attribute("alt").strip()


def check_board(visitor, board):
    """Headline, picture and facts stand on the first screen; everything is reached by Tab and moves."""
    page = visitor.page

    def in_view(part):
        place = board.locator(part).bounding_box()
        return place["y"] + place["height"] <= page.viewport_size["height"]

    for part in (".lb-headline", "img.widget-image", ".lb-facts table"):  # the picture gives up room once it stands
        visitor.until(lambda part=part: in_view(part), f"{part} ends below the first screen")
    words = [words.inner_text() for words in page.locator(".lb-says:visible").all()]
    assert sum(len(text.split()) for text in words) <= 60
    wanted = [element.get_attribute("aria-label") for element in board.get_by_role("slider").all()]
    wanted += [
        fold.inner_text() for fold in page.locator("summary:visible, .jupyter-widget-Collapse-header:visible").all()
    ]
    wanted += ["Keep this", "Take away", "Back to start"]
    page.evaluate("document.activeElement.blur()")
    assert set(wanted) - set(tabbed(page, 60)) == set(), "the Tab key does not reach these"
    moves(visitor, board)
    width, density = board.locator("img.widget-image").evaluate(
        "i => [i.naturalWidth, i.clientWidth * devicePixelRatio]"
    )
    assert abs(width - density) <= 1, "the picture is not drawn for its width"


def complaints(page):
    """Return what axe-core finds to be serious or critical."""
    found = Axe().run(page).response["violations"]
    return [(one["id"], one["nodes"][0]["html"][:200]) for one in found if one["impact"] in ("serious", "critical")]


@pytest.mark.parametrize("lesson", LIVE)
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
    assert [bool(words) for words in pictures] == [True] * len(pictures)
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
    if lesson != "trial.ipynb":
        assert complaints(page) == []
    if board := board_of(page):
        check_board(visitor, board)
        assert complaints(page) == []
    assert wheel_to_the_end(page), "the mouse wheel does not reach the last heading"
    check_paper(page)
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
    page = visitor.page
    assert page.locator(WRONG).count() == 0
    page.locator(".jp-MarkdownCell").first.locator(f'a[href="/voila/render/{lesson}"]').wait_for()
    if board := board_of(page):
        assert board.locator("img.widget-image").evaluate(IN_VIEW), "the picture is out of view once all cells have run"
        moves(visitor, board)
        for command in "abddxmy":  # of the notebook: they must rest while a slider is in use
            board.get_by_role("slider").first.press(command)
        assert [page.locator(f".jp-Notebook .jp-{kind}Cell").count() for kind in ("Code", "Markdown")] == [
            sum(cell.cell_type == kind for cell in notebook.cells) for kind in ("code", "markdown")
        ]
    assert page.locator(".jp-LogConsoleStatusItem").is_hidden()
    assert visitor.outside == set()
    assert visitor.wrong == []


def test_a_live_page_moves_and_the_views_lead_to_each_other(visit, running):
    visitor = visit("light")
    visitor.open_live("trial.ipynb")
    page, kernel = visitor.page, visitor.kernel
    assert is_legible(page, dark=False)
    assert page.get_by_role("link", name="Without its code").count() == 0  # it would lead to where one is
    page.locator(".widget-slider").filter(has_text="Slope").get_by_role("slider").wait_for()
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


def test_what_goes_wrong_in_a_cell_is_shown_and_the_colours_are_those_of_a_dark_screen(visit):
    visitor = visit("dark")
    visitor.open_live("broken.ipynb")
    assert "ZeroDivisionError" in visitor.page.locator(WRONG).inner_text()
    visitor.page.locator(".widget-label").wait_for()
    assert is_legible(visitor.page, dark=True)


def test_all_lessons(visit):
    visitor = visit()
    visitor.open("/voila/tree")
    links = visitor.page.get_by_role("link").evaluate_all("links => links.map(link => link.getAttribute('href'))")
    assert {f"/voila/render/{lesson}" for lesson in LESSONS} <= set(links)
    assert {f"/doc/tree/{lesson}" for lesson in LESSONS} <= set(links)
    names = visitor.page.get_by_role("listitem").all_inner_texts()
    assert names[:2] == ["Start here with its code", "Find out what you have with its code"]
    sections = visitor.page.get_by_role("heading", level=2).all_inner_texts()
    assert sections[:3] == ["I am upgrading a vehicle", "I am learning or teaching", "For teachers"]
    assert links[::2][: len(LINKED) + 1] == ["/voila/render/start.ipynb", *LINKED], "not in the order of the start"
    assert visitor.outside == set()
    assert visitor.wrong == []
