"""What the board of a page does in a real browser, by labels, keys, finger and link."""

import itertools
import math
import re

import pytest

from tests.browser.conftest import COUNT_FRAMES

pytestmark = [pytest.mark.browser, pytest.mark.long]

LESSON = "sealed_or_vented.ipynb"
VOLUME = "Net volume [litres]"

# counts how often something is read out from now on
COUNT_SPEECH = """() => {
  window.spoken = 0;
  const speaking = new MutationObserver(() => window.spoken++), quiet = document.querySelector(".lb-board .lb-quiet");
  speaking.observe(quiet, {childList: true, characterData: true, subtree: true});
}"""
# whether the picture has a pixel for each of the screen's, and a corner as dark as the page
PICTURE_SUITS = """density => {
  const image = document.querySelector("img.widget-image"), canvas = document.createElement("canvas");
  if (!image?.complete || Math.abs(image.naturalWidth - density * image.clientWidth) > 1) return false;
  const context = canvas.getContext("2d");
  context.drawImage(image, 0, 0);
  return context.getImageData(0, 0, 1, 1).data[0] < 50;
}"""


@pytest.fixture
def opened(visit):
    """Function that opens a lesson, its answer shown, in a window of some size: (visitor, page)."""

    def opened(lesson=LESSON, wide=1366, high=638, colours="light", address=""):
        visitor = visit(colours)
        visitor.page.set_viewport_size({"width": wide, "height": high})
        visitor.open_live(lesson) if not address else visitor.page.goto(address)
        awake(visitor)
        return visitor, visitor.page

    return opened


def test_nothing_gives_a_guess_away(visit):
    """The way on to *Draw the box* tells which box to build."""
    visitor = visit("light")
    visitor.open_live("which_box.ipynb")
    visitor.page.locator(".lb-asleep").wait_for(state="attached")
    ways = visitor.page.locator(".lb-ways a", has_text="Draw it")
    ways.first.wait_for(state="attached")
    assert not ways.first.is_visible()
    visitor.page.get_by_role("button", name="Show me at once").click()
    ways.first.wait_for()
    assert visitor.wrong == []


def unknown(visitor):
    """Open the lesson as in a tab that has not been here."""
    visitor.open_live(LESSON)
    visitor.page.locator(".lb-asleep").wait_for(state="attached")


def awake(visitor):
    """Show the answer at once, if it waits for a guess."""
    page = visitor.page
    page.locator(".lb-board").wait_for(state="attached")  # it has no box of its own
    if page.locator(".lb-asleep").count():
        page.get_by_role("button", name="Show me at once").click()
    page.locator(".lb-board:not(.lb-asleep)").wait_for(state="attached")


def headline(page):
    return page.locator(".lb-headline").inner_text()


def typed(page, label, text):
    page.get_by_label(f"{label}, typed").fill(text)
    page.keyboard.press("Enter")


def reads(visitor, label, text):
    field = visitor.page.get_by_label(f"{label}, typed")
    visitor.until(lambda: field.input_value() == text, f"{label} does not read {text}")


def bottom(page, selector):
    """How far down something ends on the page."""
    return page.locator(selector).evaluate("e => e.getBoundingClientRect().bottom + scrollY")


def row(page, label):
    return page.locator(".lb-row").filter(has=page.get_by_label(f"{label}, typed"))


def test_a_typed_value_stays_as_typed_and_arrows_go_in_steps(opened):
    visitor, page = opened()
    typed(page, VOLUME, "33.3")
    reads(visitor, VOLUME, "33.3")
    page.get_by_label("Units", exact=True).first.select_option("US customary")
    reads(visitor, "Net volume [cubic feet]", "1.176")  # 33.3 / 28.316847
    for system in ("metric", "US customary", "metric", "US customary", "metric"):  # quicker than the page can follow
        page.get_by_label("Units", exact=True).first.select_option(system)
    reads(visitor, VOLUME, "33.3")
    page.get_by_role("slider", name=VOLUME).press("ArrowRight")
    reads(visitor, VOLUME, "34.0")
    assert visitor.wrong == []


@pytest.mark.parametrize("text", ["20 L", "0.02 m^3", "20000 cm^3", "20.000"])
def test_what_the_page_has_already_is_shown_in_the_fields_unit_however_it_is_typed(opened, text):
    """20 litres, as at the start: nothing moves, but what was typed does not stand before "litres"."""
    visitor, page = opened()
    typed(page, VOLUME, text)
    reads(visitor, VOLUME, "20.0")
    assert not row(page, VOLUME).get_by_role("status").inner_text()
    assert visitor.wrong == []


def test_what_is_typed_is_not_undone_by_moves_that_had_to_wait(opened):
    visitor, page = opened()
    page.get_by_role("slider", name=VOLUME).focus()
    for _ in range(6):
        page.keyboard.press("PageUp")
    typed(page, "Power [W]", "60")
    reads(visitor, "Power [W]", "60")
    page.wait_for_timeout(1500)
    assert page.get_by_label("Power [W], typed").input_value() == "60"
    assert visitor.wrong == []


@pytest.mark.parametrize(
    ("text", "said", "stays"),
    [
        ("many", "'many' is not a number.", "many"),
        ("1,500", "Is it 1500, or 1.500?", "1,500"),
        ("", "Type a number.", ""),
        ("🔊", "'🔊' is not a number.", "🔊"),
    ],
)
def test_what_cannot_be_taken_is_said_beside_it_and_stays(opened, text, said, stays):
    visitor, page = opened()
    typed(page, VOLUME, text)
    beside = row(page, VOLUME).get_by_role("status")
    beside.get_by_text(said).wait_for()
    reads(visitor, VOLUME, stays)
    typed(page, "Tuning [Hz]", "41")
    reads(visitor, "Tuning [Hz]", "41.0")
    assert page.get_by_label(f"{VOLUME}, typed").input_value() == stays, "what was typed is lost"
    assert beside.inner_text()
    page.get_by_label("Driver", exact=True).select_option("165 mm panel")  # its load makes the controls anew
    visitor.until(lambda: "driver=165" in page.url, "the driver is not taken")
    assert page.get_by_label(f"{VOLUME}, typed").input_value() == stays, "what was typed is lost"
    page.get_by_role("button", name="Back to start").click()
    visitor.until(lambda: not beside.inner_text(), "a refusal stays though all went back")
    reads(visitor, VOLUME, "20.0")
    assert visitor.wrong == []


def test_what_was_taken_instead_is_told_until_something_else_moves(opened):
    visitor, page = opened()
    typed(page, VOLUME, "1000")
    beside = row(page, VOLUME).get_by_role("status")
    beside.get_by_text("1000 is outside 6.0 to 80.0 litres: 80.0 is taken.").wait_for()
    reads(visitor, VOLUME, "80.0")
    page.get_by_role("slider", name="Tuning [Hz]").press("ArrowRight")
    visitor.until(lambda: not beside.inner_text(), "it is told still")
    reads(visitor, VOLUME, "80.0")
    assert visitor.wrong == []


@pytest.mark.parametrize("lesson", ["which_box.ipynb", "closed_box.ipynb", LESSON])
def test_the_facts_are_in_view_on_a_desk(opened, lesson):
    """Also where there are six of them, with heads, and where the names of the curves fill two lines."""
    visitor, page = opened(lesson)
    visitor.until(lambda: bottom(page, ".lb-facts") <= 638, "not all facts are in view")


# what stands on more than one line of what should stand on one
WRAPPED = """selector => [...document.querySelectorAll(selector)].filter((e) => {
  const range = document.createRange();
  range.selectNodeContents(e);
  return new Set([...range.getClientRects()].filter(r => r.width > 1).map(r => Math.round(r.bottom / 8))).size > 1;
}).map(e => e.textContent)"""


@pytest.mark.parametrize("lesson", ["cabin_gain.ipynb", "small_woofers.ipynb", "set_the_levels.ipynb"])
def test_names_and_numbers_of_facts_stand_on_one_line(opened, lesson):
    """Of four columns too; on a phone names may wrap, but no number is parted from its unit."""
    visitor, page = opened(lesson)
    visitor.until(lambda: not page.evaluate(WRAPPED, ".lb-facts th, .lb-facts td > span"), "a fact wraps")
    page.set_viewport_size({"width": 390, "height": 844})
    short = ".lb-facts thead th, .lb-facts td > span"
    visitor.until(
        lambda: all(len(text) > 10 for text in page.evaluate(WRAPPED, short)), "a number is parted from its unit"
    )
    assert page.evaluate("document.documentElement.scrollWidth") <= 390
    assert visitor.wrong == []


def test_a_long_choice_is_not_cut_off(opened):
    """Its own line, where the label leaves too little room: text and arrow fit."""
    visitor, page = opened("sealed_door.ipynb")
    place = page.get_by_label("Where it plays", exact=True)
    assert place.evaluate("e => e.selectedOptions[0].text") == "small hatchback, by its places"
    fits = """e => {
      const pen = document.createElement("canvas").getContext("2d");
      pen.font = getComputedStyle(e).font;
      return pen.measureText(e.selectedOptions[0].text).width + 20 <= e.clientWidth;
    }"""
    visitor.until(lambda: place.evaluate(fits), "the name of the cabin is cut off")
    place.select_option("open air (half space)")
    label = page.locator(".lb-line label").get_by_text("Where it plays", exact=True)

    def top(thing):
        return (thing.bounding_box() or {"y": math.nan})["y"]  # it may be drawn anew just now

    visitor.until(lambda: abs(top(label) - top(place)) < 10, "a short one has a line of its own")


def test_a_zoomed_picture_is_high_enough_for_what_stands_beside_its_curves(opened):
    """Also where the names of the curves fill four lines: the s-plane's axis label needs some 270 pixels."""
    visitor, page = opened("vented_alignments.ipynb", wide=683, high=384)
    visitor.until(lambda: page.locator("img.widget-image").bounding_box()["height"] >= 265, "it is too low")


@pytest.mark.parametrize("density", [1, 2])
def test_the_picture_is_as_sharp_and_as_dark_as_the_screen(visit, density):
    visitor = visit("dark")
    page, size = visitor.page, {"width": 1366, "height": 638, "mobile": False}
    screen = page.context.new_cdp_session(page)
    screen.send("Emulation.setDeviceMetricsOverride", {**size, "deviceScaleFactor": density})
    visitor.open_live(LESSON)
    awake(visitor)
    page.wait_for_function(PICTURE_SUITS, arg=density)


@pytest.mark.parametrize(("wide", "high", "least"), [(390, 844, 330), (683, 384, 560), (1920, 1080, 1000)])
def test_the_picture_is_drawn_for_the_room_it_has(opened, wide, high, least):
    """A phone, a screen of 1366 pixels at 200 %, and a large one: nothing sticks out sideways."""
    visitor, page = opened(wide=wide, high=high)
    picture = page.locator("img.widget-image")
    visitor.until(
        lambda: picture.evaluate("i => Math.abs(i.naturalWidth - i.clientWidth * devicePixelRatio) <= 1"),
        "the picture is not drawn for its width",
    )
    box = picture.bounding_box()
    assert box["width"] >= least
    assert box["x"] + box["width"] <= wide
    assert page.evaluate("document.documentElement.scrollWidth") <= wide
    first = page.locator(".lb-headline").bounding_box(), box, page.locator(".lb-controls").bounding_box()
    if wide < 960:
        assert first[0]["y"] < first[1]["y"] < first[2]["y"], "not answer, picture, controls"
    assert visitor.wrong == []


def test_on_a_phone_the_picture_stays_in_view_while_a_slider_moves(opened):
    _, page = opened(wide=390, high=844)
    slider = page.get_by_role("slider", name="Power [W]")
    slider.focus()
    page.mouse.wheel(0, 250)
    page.wait_for_timeout(400)
    assert page.locator("img.widget-image").evaluate("i => i.getBoundingClientRect().top >= -1")
    assert slider.bounding_box()["height"] >= 34
    assert page.locator(".lb-line input[type=text]").first.bounding_box()["height"] >= 34


def test_the_answer_is_read_out_once_after_the_last_move(opened):
    visitor, page = opened()
    slider = page.get_by_role("slider", name=VOLUME)
    slider.focus()
    page.wait_for_timeout(1500)
    page.evaluate(COUNT_SPEECH)
    for _ in range(20):
        page.keyboard.press("ArrowRight")
        page.wait_for_timeout(60)
    visitor.until(lambda: page.locator(".lb-board .lb-quiet").inner_text() == headline(page), "it is not read out")
    page.wait_for_timeout(1200)
    assert page.evaluate("window.spoken") == 1
    assert slider.get_attribute("aria-valuetext") == "30.0 litres"
    assert visitor.wrong == []


def test_maps_that_become_finer_do_not_hold_up_what_is_read_out(opened):
    """The sentence stands at once and is read out soon, while the count of boxes below it goes on changing."""
    visitor, page = opened("a_million_boxes.ipynb")
    page.get_by_label("Driver", exact=True).select_option("300 mm bass")
    before = headline(page)
    slider = page.get_by_role("slider", name="Tuning [Hz]")
    slider.focus()
    for _ in range(5):
        page.keyboard.press("ArrowRight")
    visitor.until(lambda: headline(page) != before, "the tuning changes nothing")
    visitor.until(lambda: page.locator(".lb-board .lb-quiet").inner_text() == headline(page), "it is not read out")
    assert " of 1," in page.locator(".lb-facts tr", has_text="boxes").last.inner_text()
    assert visitor.wrong == []


def test_a_guess_is_made_by_keyboard_marked_and_remembered(visit):
    visitor = visit()
    unknown(visitor)
    page = visitor.page
    page.get_by_role("radio", name="The vented box").focus()
    page.keyboard.press("Space")
    card = page.get_by_role("region", name="Your guess")
    line = card.get_by_text("✗ You guessed: the vented box. Not so: the sealed box.")
    line.wait_for()
    assert not card.get_by_text("Your guess first?").is_visible()
    visitor.until(lambda: bottom(page, ".lb-facts") <= 638, "the marked guess pushes the facts out of view")
    assert card.bounding_box()["height"] < 30, "it takes more than a line"
    page.keyboard.press("Enter")  # what was chosen becomes the line, which opens
    assert "✗ your guess" in card.inner_text()
    assert "✓ right" in card.inner_text()
    assert page.locator(".lb-headline").is_visible()
    assert page.evaluate("document.activeElement !== document.body"), "marking the guess lost the focus"
    page.reload()
    line.wait_for()
    assert page.locator(".lb-headline").is_visible(), "it asks again in the same tab"
    assert visitor.wrong == []


def test_moving_a_control_wakes_the_answer(visit):
    visitor = visit()
    unknown(visitor)
    page = visitor.page
    page.get_by_role("slider", name=VOLUME).press("ArrowRight")
    page.locator(".lb-headline").wait_for()
    assert page.get_by_role("button", name="Show me at once").is_hidden()


def test_a_link_reopens_the_page_as_it_stood(opened):
    visitor, page = opened()
    typed(page, VOLUME, "42.5")
    reads(visitor, VOLUME, "42.5")
    page.get_by_label("Driver", exact=True).select_option("165 mm panel")
    visitor.until(lambda: "driver=165" in page.url, "the address does not follow")
    said, address = headline(page), page.url
    assert "token" not in address
    page.goto("about:blank")
    page.goto(address)
    page.locator(".lb-board:not(.lb-asleep)").wait_for(state="attached")
    reads(visitor, VOLUME, "42.5")
    visitor.until(lambda: headline(page) == said, "the answer is another one")
    page.goto("about:blank")
    page.goto(address.replace("165", "9000"))
    page.get_by_text("is not offered here. 200 mm bass stands in its place.").wait_for()
    reads(visitor, VOLUME, "42.5")
    assert visitor.wrong == []


def test_the_values_are_read_off_by_pointer_and_by_keys_without_the_kernel(opened):
    visitor, page = opened()
    sent = []
    page.on("websocket", lambda socket: socket.on("framesent", lambda frame: sent.append(frame)))
    box = page.locator("img.widget-image").bounding_box()
    stage = page.get_by_role("slider", name="Frequency at which the curves are read")
    before = stage.get_attribute("aria-valuetext")
    page.mouse.move(box["x"] + box["width"] / 3, box["y"] + 60)
    visitor.until(lambda: stage.get_attribute("aria-valuetext") != before, "the pointer reads nothing")
    stage.focus()
    page.keyboard.press("Home")
    text = stage.get_attribute("aria-valuetext")
    assert text.startswith("10.0 Hz: sealed ")
    assert sent == [], "the kernel is asked"
    page.keyboard.press("ArrowRight")
    assert stage.get_attribute("aria-valuetext").startswith("10.3 Hz")  # a 24th of an octave
    legend = page.locator(".lb-legend li").first.inner_text()
    assert re.search(r"sealed\s+[\d.]+ dB\s+[\d.]+ mm\s+[\d.]+ ms", legend.replace("\n", " "))


# how far under the top of the board the picture begins
PICTURE_BEGINS = """() => {
  const names = document.querySelector(".lb-names").getBoundingClientRect();
  return names.bottom - document.querySelector(".lb-page").getBoundingClientRect().top;
}"""


@pytest.mark.parametrize("wide", [1366, 1120, 683, 390])
def test_the_picture_stays_where_it_is_while_one_points_and_moves(opened, wide):
    """Numbers of two or of four digits, and the name of the start, take the room that they have in any case."""
    visitor, page = opened(wide=wide)
    stage = page.get_by_role("slider", name="Frequency at which the curves are read")
    begins = page.evaluate(PICTURE_BEGINS)
    for key in ("Home", *["PageUp"] * 8):
        stage.press(key)
        assert page.evaluate(PICTURE_BEGINS) == begins
    page.get_by_role("slider", name="Power [W]").press("ArrowRight")
    page.locator(".lb-legend").get_by_text("where you started").wait_for()
    assert page.evaluate(PICTURE_BEGINS) == begins
    assert visitor.wrong == []


@pytest.mark.parametrize(("wide", "high"), [(1366, 638), (390, 844)])
def test_what_is_kept_pushes_no_picture_and_stands_right_under_the_facts(opened, wide, high):
    visitor, page = opened(wide=wide, high=high)
    begins, table = page.evaluate(PICTURE_BEGINS), page.get_by_role("region", name="Kept for comparison")
    for volume in ("30", "40", "50", "60"):
        typed(page, VOLUME, volume)
        reads(visitor, VOLUME, f"{volume}.0")
        page.get_by_role("button", name="Keep this").click()
        table.get_by_label(f"Name of {volume}.0 litres").wait_for()
        assert page.evaluate(PICTURE_BEGINS) == begins
    beneath = table.evaluate("e => e.getBoundingClientRect().top + scrollY") - bottom(page, ".lb-facts")
    assert 0 <= beneath < 20
    if wide > 960:
        visitor.until(lambda: bottom(page, ".lb-facts") <= high, "what is kept pushes the facts out of view")
    assert page.evaluate("document.documentElement.scrollWidth") <= wide
    assert visitor.wrong == []


def test_three_states_are_kept_named_and_gone_back_to(opened):
    visitor, page = opened()
    for volume in ("30", "40", "50"):
        typed(page, VOLUME, volume)
        reads(visitor, VOLUME, f"{volume}.0")
        page.get_by_role("button", name="Keep this").click()
        page.get_by_text(f"Kept: {volume}.0 litres. It stands").wait_for()
    kept = page.get_by_role("region", name="Kept for comparison")
    assert kept.get_by_role("columnheader").count() == 4  # now, and three
    kept.get_by_label("Name of 40.0 litres").fill("fits the shelf")
    page.keyboard.press("Enter")
    page.locator(".lb-legend").get_by_text("fits the shelf").wait_for()
    kept.get_by_role("button", name="Go back to fits the shelf").click()
    reads(visitor, VOLUME, "40.0")
    kept.get_by_role("button", name="Drop 30.0 litres").click()
    visitor.until(lambda: kept.get_by_role("columnheader").count() == 3, "it is still there")
    assert visitor.wrong == []


def test_printed_the_answer_comes_out_even_if_it_waits_for_a_guess(visit):
    import io

    import pypdf

    visitor = visit()
    unknown(visitor)
    page = visitor.page
    printed = " ".join(
        " ".join(sheet.extract_text() for sheet in pypdf.PdfReader(io.BytesIO(page.pdf())).pages).split()
    )
    assert "Vented plays" in printed
    assert "bass reaches down to" in printed
    page.emulate_media(media="print")
    blocks = [page.locator(one).bounding_box() for one in (".lb-headline", ".lb-stage", ".lb-facts", ".lb-controls")]
    for above, below in itertools.pairwise(blocks):
        assert above["y"] + above["height"] <= below["y"], "one is printed over the other"
    assert not page.get_by_role("button", name="Show me at once").is_visible()
    assert not page.get_by_role("slider", name=VOLUME).is_visible()


def test_no_frame_is_asked_for_while_the_moving_section_is_out_of_sight(opened):
    """Of the whole page, with all that is on it."""
    visitor, page = opened()
    page.evaluate(COUNT_FRAMES)

    def asked():
        before = page.evaluate("asked")
        page.wait_for_timeout(1000)
        return page.evaluate("asked") - before

    page.locator(".lb-thing-drawings").scroll_into_view_if_needed()
    visitor.until(lambda: asked() > 3, "the section does not move")
    page.evaluate("scrollTo(0, document.body.scrollHeight)")
    visitor.until(lambda: asked() == 0, "frames are asked for though nobody sees the section")
    page.locator(".lb-thing-drawings").scroll_into_view_if_needed()
    visitor.until(lambda: asked() > 3, "the section does not move again")
