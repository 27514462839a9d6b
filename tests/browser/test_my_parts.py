"""In a real browser: what is kept on one page is offered on the next, also after the server was stopped."""

import io
import json
import re
import shutil
from pathlib import Path

import psutil
import pypdf
import pytest

pytestmark = [pytest.mark.browser, pytest.mark.long]

ROOT = Path(__file__).resolve().parents[2]
SCREEN = {"width": 1366, "height": 638}

SHEET = {
    "Name": "door <woofer>",
    "Rated impedance [ohm]": "4 ohm",
    "Resonance fs [Hz]": "45 Hz",
    "Coil resistance Re [ohm]": "3.4 ohm",
    "Mechanical Qms": "4.5",
    "Electrical Qes": "0.6",
    "Vas [L]": "0.7 ft^3",
    "Cone area Sd [cm²]": "150 cm^2",
    "Linear travel xmax [mm]": "4 mm",
}


def type_in(page, sheet):
    for label, text in sheet.items():
        page.get_by_label(label, exact=True).first.fill(text)
        page.keyboard.press("Tab")


def kept_by(page):
    """What says that something is kept."""
    return page.locator(".lb-kept").get_by_text("Kept.")


def press(page, name):
    page.get_by_role("button", name=name, exact=True).first.click()


def open_awake(visitor, name):
    """Open a live page, have it answer, and open its fold for other pages."""
    visitor.open_live(name)
    page = visitor.page
    page.locator(".lb-board").wait_for(state="attached")  # it has no box of its own
    if page.locator(".lb-asleep").count():
        press(page, "Show me at once")
    page.get_by_text("Use on other pages", exact=True).click()
    return page


def test_choices_and_a_box_are_kept_on_one_page_and_taken_up_on_the_next(visit, kept):
    visitor = visit()
    visitor.open_live("my_parts.ipynb")
    keep_a_driver(visitor.page)
    page = open_awake(visitor, "sealed_or_vented.ipynb")
    page.get_by_label("Driver", exact=True).select_option("door <woofer>")
    press(page, "Keep these choices")
    page.get_by_text("Kept: Driver door <woofer>").wait_for()
    page.get_by_label("Keep this box as").fill("wheel arch")
    press(page, "Keep this box")
    page.get_by_text("Kept the box wheel arch.").wait_for()
    page.get_by_label("Net volume [litres], typed").fill("33")
    page.keyboard.press("Enter")
    page.get_by_label("Take up a kept box").select_option("wheel arch")
    page.get_by_text("wheel arch: Net volume 20.0 litres").wait_for()
    assert page.get_by_label("Net volume [litres], typed").input_value() == "20.0"
    assert page.get_by_label("Take up a kept box").input_value() == "choose one"

    page = open_awake(visitor, "small_woofers.ipynb")
    press(page, "Take up what was kept")
    page.get_by_text("Third door <woofer>").wait_for()
    assert page.get_by_label("Third", exact=True).input_value() == "door <woofer>"
    assert page.get_by_label("Power [W], typed").input_value() == "25"
    assert visitor.wrong == []


def test_a_channel_is_kept_and_taken_up_where_two_share_one(visit, kept):
    visitor = visit()
    visitor.open_live("my_parts.ipynb")
    page = visitor.page
    page.get_by_role("button", name="A channel").click()
    form = page.locator(".lb-typed").nth(5)  # after driver, box, amplifier, head unit, cabin
    form.get_by_label("Name", exact=True).fill("front left")
    form.get_by_label("It feeds", exact=True).fill("165 mm panel + 19 mm dash tweeter")
    form.get_by_label("Wired", exact=True).select_option("in parallel")
    page.reload()
    page.get_by_role("button", name="A channel").click()
    form.get_by_role("button", name="Bring it back").click()
    page.wait_for_function("document.querySelector('.lb-field-wiring select').value.includes('parallel')")
    form.get_by_label("Capacitors [µF]", exact=True).fill("19 mm dash tweeter = 4.7")
    form.get_by_label("Driven by", exact=True).fill("head unit of the minibus")
    form.get_by_role("button", name="Keep", exact=True).click()
    page.get_by_text("Kept. The other pages offer it as front left.").wait_for()
    page.wait_for_function("[...document.querySelectorAll('.lb-state')].every((one) => !one.textContent)")
    assert '"19 mm dash tweeter" = ["4.7 µF in series"]' in kept.read_text(encoding="utf-8")

    page = open_awake(visitor, "shared_channel.ipynb")
    page.get_by_label("Take up a kept channel").select_option("front left")
    page.get_by_text("front left: Woofer 165 mm panel; Second 19 mm dash tweeter").wait_for()
    assert page.get_by_label("Second", exact=True).input_value() == "19 mm dash tweeter"
    assert page.get_by_label("Wiring", exact=True).input_value() == "parallel"
    assert page.get_by_label("Capacitor [µF], typed").input_value() == "4.7"
    assert visitor.wrong == []


def test_a_broken_file_is_told_beside_the_sliders_and_left_alone(visit, kept):
    broken = '# mine\n[driver."door"]\nfs = "45 Herz"\n'
    kept.write_text(broken, encoding="utf-8")
    visitor = visit()
    page = open_awake(visitor, "sealed_or_vented.ipynb")
    page.get_by_text("my_parts.toml, [driver.\"door\"]: fs = '45 Herz'").first.wait_for()
    before = page.locator(".lb-wrong").count()
    press(page, "Keep these choices")
    page.wait_for_function("count => document.querySelectorAll('.lb-wrong').length > count", arg=before)
    assert kept.read_text(encoding="utf-8") == broken
    assert visitor.wrong == []


def test_letters_typed_into_the_form_are_no_commands_of_the_notebook(visit, kept):
    visitor = visit()
    notebook = visitor.open_code("my_parts.ipynb")
    page = visitor.page
    name = page.get_by_label("Name", exact=True).first
    name.press_sequentially("abddxmy")
    page.get_by_label("Kind", exact=True).press("b")
    assert page.get_by_label("Kind", exact=True).input_value() == "bass"
    assert page.locator(".jp-Notebook .jp-Cell").count() == len(notebook.cells)
    assert name.input_value() == "abddxmy"
    assert visitor.wrong == []


GONE = "The server has stopped: this page no longer answers, and keeps nothing any more."


@pytest.fixture
def stopped(running):
    """Function that stops the server; it runs again afterwards, for the other tests of this module."""
    yield running.stop
    running.start()


def keep_a_driver(page):
    type_in(page, SHEET)
    page.get_by_text(re.compile(r"0\.700 cubic feet")).wait_for()
    press(page, "Keep")
    page.get_by_text("The other pages offer it as door <woofer>.").wait_for()


def test_a_live_page_whose_server_has_stopped_says_that_nothing_is_kept(visit, kept, stopped):
    visitor = visit()
    visitor.open_live("my_parts.ipynb")
    page = visitor.page
    keep_a_driver(page)
    assert page.get_by_text(GONE).count() == 0
    before = kept.read_bytes()
    stopped()
    page.get_by_text(GONE).wait_for()
    page.get_by_label("Resonance fs [Hz]", exact=True).first.fill("50 Hz")
    press(page, "Keep")
    assert page.get_by_text(GONE).is_visible()
    assert page.get_by_role("alert").bounding_box()["y"] == 0  # wherever the page is scrolled to
    assert not kept_by(page).is_visible()
    assert kept.read_bytes() == before


def test_a_page_of_sliders_says_it_too(visit, kept, stopped):
    page = open_awake(visit(), "sealed_or_vented.ipynb")
    press(page, "Keep these choices")
    page.get_by_text("Kept: ").wait_for()
    volume, old = page.get_by_label("Net volume [litres], typed"), page.get_by_text("An old answer: it belongs to")
    assert not old.is_visible()
    stopped()
    page.get_by_text(GONE).wait_for()
    assert not page.locator(".lb-kept").get_by_text("Kept: ").is_visible()
    page.get_by_role("slider", name="Tuning [Hz]").press("ArrowRight")
    volume.fill("33.3")
    volume.press("Enter")
    press(page, "Keep this")
    page.get_by_text("The server has stopped: nothing can be kept.").wait_for()
    assert old.is_visible()
    assert float(page.locator(".lb-headline").evaluate("e => getComputedStyle(e).opacity")) < 1
    assert volume.input_value() == "33.3", "what was typed is lost"
    page.evaluate("scrollTo(0, 0)")
    said, link = page.get_by_text(GONE).bounding_box(), page.get_by_role("link", name="All lessons").bounding_box()
    assert said["y"] + said["height"] <= link["y"], "the links are covered"


@pytest.mark.parametrize("view", ["live", "code"])
def test_a_page_whose_process_has_ended_says_that_nothing_is_kept(visit, running, kept, view):
    visitor = visit()
    if view == "live":
        visitor.open_live("my_parts.ipynb")
    else:  # a fresh copy, for one that has been run is not run again
        shutil.copy(ROOT / "notebooks" / "my_parts.ipynb", running.folder)
        visitor.open_code("my_parts.ipynb")
    page = visitor.page
    keep_a_driver(page)
    _, kernels = running.ask("/api/kernels")
    ids = [visitor.kernel] if view == "live" else [kernel["id"] for kernel in json.loads(kernels)]
    ended = [child for child in running.process.children(recursive=True) if any(i in str(child.cmdline()) for i in ids)]
    assert ended
    for child in ended:
        child.kill()
    psutil.wait_procs(ended)
    page.get_by_text(GONE).wait_for()
    assert not kept_by(page).is_visible()


def test_a_driver_is_replaced_only_when_told_so_and_put_back(visit, kept):
    visitor = visit()
    visitor.open_live("my_parts.ipynb")
    page = visitor.page
    keep_a_driver(page)
    type_in(page, {"Resonance fs [Hz]": "50 Hz"})
    press(page, "Keep")
    page.get_by_text("A part named door <woofer> is kept already, and differs.").wait_for()
    assert 'fs = "45 Hz"' in kept.read_text(encoding="utf-8")
    press(page, "Replace it")
    page.get_by_text("It replaces the old one.").wait_for()
    assert 'fs = "50 Hz"' in kept.read_text(encoding="utf-8")
    type_in(page, {"Resonance fs [Hz]": "99 Hz"})
    page.get_by_label("Open a kept one", exact=True).first.select_option("door <woofer>")
    page.get_by_text(re.compile("^You typed this on .*, and did not keep it: “door <woofer>”, 8 values.$")).wait_for()
    press(page, "Bring it back")
    page.wait_for_function("[...document.querySelectorAll('input')].some((field) => field.value === '99 Hz')")
    press(page, "Put the old door <woofer> back")
    page.get_by_text("The old one is back.").wait_for()
    assert 'fs = "45 Hz"' in kept.read_text(encoding="utf-8")
    assert page.get_by_label("Resonance fs [Hz]", exact=True).first.input_value() == "45 Hz"


def test_a_question_is_not_answered_about_another_name(visit, kept):
    visitor = visit()
    visitor.open_live("my_parts.ipynb")
    page = visitor.page
    keep_a_driver(page)
    type_in(page, {"Resonance fs [Hz]": "50 Hz"})
    press(page, "Keep")
    page.get_by_role("button", name="Replace it", exact=True).wait_for()
    type_in(page, {"Name": "another"})
    page.get_by_role("button", name="Replace it", exact=True).wait_for(state="detached")
    press(page, "Keep")
    page.get_by_text("The other pages offer it as another.").wait_for()
    assert 'fs = "45 Hz"' in kept.read_text(encoding="utf-8")
    assert visitor.wrong == []


REMEMBERED = "Object.values(localStorage).map((text) => JSON.parse(text).typed)"
IN_USE = """() => {
  const used = document.activeElement;
  if (used === document.body) return "";
  return used.labels?.[0]?.textContent || used.getAttribute("aria-label") || used.innerText;
}"""
CUT_OFF = """() => [...document.querySelectorAll(".lb-typed, .lb-typed *")].filter((place) => place.offsetParent &&
  !/INPUT|SELECT/.test(place.tagName) && place.scrollWidth > place.clientWidth + 1 &&
  getComputedStyle(place).overflowX !== "visible").map((place) => place.className)"""
PHONE, DOUBLED = {"width": 390, "height": 844}, {"width": 683, "height": 384}  # a phone; a screen at 200 %


@pytest.fixture
def parts(visit, kept):
    """A visitor on the page of parts, whose browser remembers nothing from before."""
    visitor = visit()
    visitor.open_live("my_parts.ipynb")
    visitor.page.evaluate("localStorage.clear()")
    visitor.page.reload()
    visitor.page.wait_for_function("document.querySelector('.lb-typed input')")
    yield visitor
    visitor.page.set_viewport_size(SCREEN)
    visitor.page.evaluate("localStorage.clear()")


def draft(page):
    return page.get_by_text(re.compile("^You typed this on "))


def field(page, label):
    return page.get_by_label(label, exact=True).first


def by_key(page, label, text):
    """Type with the keyboard, letter by letter, and stay in the field."""
    field(page, label).focus()
    page.keyboard.type(text)


def test_a_bare_number_is_shown_with_the_unit_that_was_taken(parts):
    page = parts.page
    by_key(page, "Resonance fs [Hz]", "58")
    page.keyboard.press("Tab")
    page.wait_for_function("[...document.querySelectorAll('input')].some((field) => field.value === '58 Hz')")
    assert page.evaluate(IN_USE) == "Coil resistance Re [ohm]"
    field(page, "Units").select_option("US customary")
    by_key(page, "Vas [ft³]", "0.53")
    page.keyboard.press("Enter")
    page.get_by_text("15.01 litres").wait_for()
    assert field(page, "Vas [ft³]").input_value() == "0.53 ft³"
    assert field(page, "Resonance fs [Hz]").input_value() == "58 Hz"
    assert parts.wrong == []


def test_what_cannot_be_read_is_said_at_its_field_by_eye_and_by_ear(parts):
    page = parts.page
    for label, text in {"Nominal size [mm]": "6x9", "Electrical Qes": "1,600"}.items():
        by_key(page, label, text)
        page.keyboard.press("Tab")
    slip = page.get_by_text("Must be between 40 and 1000 mm (axis of an oval), got 6x9 mm: did you mean 6 x 9 in?")
    slip.first.wait_for()
    wrong = field(page, "Nominal size [mm]")
    assert wrong.get_attribute("aria-invalid") == "true"
    told = page.locator(f"[id='{wrong.get_attribute('aria-describedby')}']")
    assert told.bounding_box()["y"] - wrong.bounding_box()["y"] < 60  # right under it
    page.wait_for_function(
        "[...document.querySelectorAll('.lb-quiet')].some((quiet) => quiet.textContent.includes('write a point'))"
    )
    wrong.fill("6x9 in")
    wrong.press("Tab")
    page.get_by_text("152 x 229 mm").wait_for()
    assert wrong.get_attribute("aria-invalid") == "false"
    assert not told.is_visible()
    assert parts.wrong == []


def test_what_was_typed_survives_a_closed_tab_to_the_last_key(parts):
    """Also the key that the page had not handed on yet; and it is offered until it is kept, or thrown away."""
    page = parts.page
    field(page, "Kind").select_option("woofer")
    by_key(page, "Name", "door")
    by_key(page, "Resonance fs [Hz]", "58 H")
    assert page.evaluate(REMEMBERED) == [{"name": "door", "kind": "woofer", "fs": "58 H"}]
    page.goto("about:blank")
    parts.open_live("my_parts.ipynb")
    draft(page).wait_for()
    assert draft(page).bounding_box()["y"] < 300  # where one looks first
    assert re.search(
        r"on \w+day,? \d+ \w+ at \d\d:\d\d, and did not keep it: “door”, 2 values", draft(page).inner_text()
    )
    assert field(page, "Name").input_value() == ""  # nothing is filled in unasked
    page.get_by_role("button", name="Bring it back").press("Enter")
    page.wait_for_function("[...document.querySelectorAll('input')].some((field) => field.value === '58 H')")
    page.get_by_text("Here it is again. It is not kept yet.").wait_for()
    assert (field(page, "Name").input_value(), field(page, "Kind").input_value()) == ("door", "woofer")
    assert page.evaluate(IN_USE) == "Name"
    assert draft(page).count() == 0

    page.goto("about:blank")  # brought back, and still not kept
    parts.open_live("my_parts.ipynb")
    draft(page).wait_for()
    page.get_by_role("button", name="Bring it back").click()
    page.wait_for_function("[...document.querySelectorAll('input')].some((field) => field.value === '58 H')")
    type_in(page, {"Resonance fs [Hz]": "58"})
    press(page, "Keep")
    page.get_by_text("Kept. The other pages offer it once it is complete.").wait_for()
    page.wait_for_function(f"{REMEMBERED}.length === 0")

    by_key(page, "Vas [L]", "1")
    page.goto("about:blank")
    parts.open_live("my_parts.ipynb")
    page.get_by_role("button", name="Throw it away").click()
    assert page.evaluate(REMEMBERED) == []
    assert draft(page).count() == 0
    assert page.evaluate(IN_USE) == "Name"
    assert parts.wrong == []


def test_each_form_remembers_its_own(parts):
    page = parts.page
    by_key(page, "Name", "door")
    page.get_by_text("A box", exact=True).click()
    page.get_by_label("Net volume [L]").fill("20")
    page.goto("about:blank")
    parts.open_live("my_parts.ipynb")
    draft(page).first.wait_for()
    assert "“door”, 0 values" in draft(page).first.inner_text()
    page.get_by_text("A box", exact=True).click()
    assert draft(page).last.inner_text().endswith("did not keep it: 1 value.")


def test_what_is_typed_after_the_server_has_stopped_is_not_lost(parts, running, stopped):
    page = parts.page
    by_key(page, "Name", "door")
    stopped()
    page.get_by_text(GONE).wait_for()
    by_key(page, "Mechanical Qms", "4.56")
    page.get_by_text("Not kept yet. This browser remembers what you type here.").wait_for()
    assert page.evaluate(REMEMBERED) == [{"name": "door", "Qms": "4.56"}]


def test_a_browser_whose_store_is_closed_says_that_it_remembers_nothing(visit, kept):
    visitor = visit()
    closed = "Object.defineProperty(window, 'localStorage', { get() { throw new DOMException('closed'); } })"
    visitor.page.add_init_script(closed)
    visitor.open_live("my_parts.ipynb")
    page = visitor.page
    by_key(page, "Name", "door")
    page.get_by_text("Not kept yet, and this browser remembers nothing: its store is full or closed.").wait_for()
    type_in(page, {"Resonance fs [Hz]": "58"})
    press(page, "Keep")
    kept_by(page).wait_for()
    assert 'fs = "58 Hz"' in kept.read_text(encoding="utf-8")


def test_two_tabs_lose_nothing_of_each_other(parts, visit, kept):
    one, other = parts.page, visit()
    other.open_live("my_parts.ipynb")
    two = other.page
    by_key(one, "Name", "one")
    by_key(two, "Name", "two")
    assert sorted(typed["name"] for typed in one.evaluate(REMEMBERED)) == ["one", "two"]
    type_in(two, {"Resonance fs [Hz]": "58"})
    press(two, "Keep")
    kept_by(two).wait_for()
    one.wait_for_function("[...document.querySelectorAll('option')].some((option) => option.textContent === 'two')")
    assert field(one, "Name").input_value() == "one"
    type_in(one, {"Name": "two", "Resonance fs [Hz]": "60"})
    press(one, "Keep")
    one.get_by_text("A part named two is kept already, and differs.").wait_for()
    one.get_by_role("button", name="Replace it").press("Enter")
    one.get_by_text("It replaces the old one.").wait_for()
    assert one.evaluate(IN_USE) != ""  # the button went away, but not whoever used it
    assert 'fs = "60 Hz"' in kept.read_text(encoding="utf-8")
    type_in(two, {"Resonance fs [Hz]": "62"})
    press(two, "Keep")
    two.get_by_text("A part named two is kept already, and differs.").wait_for()
    assert 'fs = "60 Hz"' in kept.read_text(encoding="utf-8")
    assert (parts.wrong, other.wrong) == ([], [])


def test_it_says_where_a_part_serves(parts):
    page = parts.page
    type_in(page, SHEET)
    press(page, "Keep")
    page.get_by_text("Kept. The other pages offer it as door <woofer>.").wait_for()
    page.get_by_text(re.compile("^Serves on: small woofers, ")).wait_for()
    page.get_by_text(re.compile("Not on: .*loud tweeter.* because its printed sensitivity is missing")).wait_for()


def test_on_a_phone_what_was_typed_is_offered_above_the_fields(parts):
    page = parts.page
    by_key(page, "Name", "door")
    page.set_viewport_size(PHONE)
    page.reload()
    draft(page).wait_for()
    assert draft(page).bounding_box()["y"] < field(page, "Name").bounding_box()["y"]
    assert page.get_by_role("button", name="Bring it back").bounding_box()["y"] < PHONE["height"]


@pytest.mark.parametrize("size", [PHONE, DOUBLED])
def test_on_a_phone_and_at_200_per_cent_nothing_is_cut_off(parts, size):
    page = parts.page
    page.set_viewport_size(size)
    type_in(page, SHEET | {"Nominal size [mm]": "6x9 in", "Electrical Qes": "1,600"})
    page.get_by_text("Is it 1600, or 1.600?").wait_for()
    for text in ("Please correct", "Pages that can use it"):
        page.get_by_text(text).wait_for()
        assert page.evaluate(CUT_OFF) == []
        assert page.evaluate("document.scrollingElement.scrollWidth - innerWidth") <= 0
        type_in(page, {"Electrical Qes": "0.6"})
    press(page, "Keep")
    told = kept_by(page)
    told.wait_for()
    assert told.bounding_box()["y"] < size["height"]


def test_everything_has_a_name_and_is_reached_by_the_tab_key(parts):
    page = parts.page
    assert (
        page.evaluate(
            """() => [...document.querySelectorAll(".lb-form input, .lb-form select")].filter(
          (one) => ![...one.labels].some((label) => label.textContent.trim())).length"""
        )
        == 0
    )
    field(page, "Units").focus()
    reached = []
    for _ in range(48):
        page.keyboard.press("Tab")
        reached.append(page.evaluate(IN_USE).strip())
    labels = page.locator(".lb-typed").first.locator("[class*=lb-field-] .widget-label").all_inner_texts()
    folds = ["A box", "An amplifier", "A head unit", "A cabin", "A channel"]
    inside = ["Open a kept one", *labels, "Keep", "Forget", "Empty the form"]
    assert reached[: len(inside) + 6] == ["A driver", *inside, *folds]


def test_a_form_that_is_opened_further_down_shows_its_head(parts):
    """The one above closes then, and would leave the reader at the new one's end."""
    page = parts.page
    head = page.locator(".jupyter-widget-Collapse-header", has_text="A cabin")
    head.scroll_into_view_if_needed()
    head.click()
    page.locator(".lb-field-reverberation_time input").wait_for()
    page.wait_for_timeout(300)
    top = head.bounding_box()["y"]
    assert 0 <= top < 400
    assert page.locator(".lb-field-name input:visible").bounding_box()["y"] > top


def test_print_shows_every_form_and_no_example_as_if_it_were_typed(parts):
    page = parts.page
    type_in(page, {"Name": "door", "Resonance fs [Hz]": "58"})
    page.get_by_text("58 Hz").first.wait_for()
    text = "".join(paper.extract_text() for paper in pypdf.PdfReader(io.BytesIO(page.pdf())).pages)
    for told in ("58 Hz", "Built-in capacitor", "Port area", "Power of a channel", "Reverberation time", "Cautions"):
        assert told in text, told
    assert "4.7" not in text
