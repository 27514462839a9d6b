"""In a real browser: what is kept on one page is offered on the next, also after the server was stopped."""

import json
import re
import shutil
from pathlib import Path

import psutil
import pytest

pytestmark = pytest.mark.browser

ROOT = Path(__file__).resolve().parents[2]

SHEET = {
    "Name": "door <woofer>",
    "Rated impedance": "4 ohm",
    "Resonance fs": "45 Hz",
    "Coil resistance Re": "3.4 ohm",
    "Mechanical Qms": "4.5",
    "Electrical Qes": "0.6",
    "Vas": "0.7 ft^3",
    "Cone area Sd": "150 cm^2",
    "Linear travel xmax": "4 mm",
}


@pytest.fixture
def kept(running):
    """The file in which things are kept; gone again afterwards, for the other tests of this module."""
    path = running.folder / "my_parts.toml"
    yield path
    path.unlink(missing_ok=True)


def type_in(page, sheet):
    for label, text in sheet.items():
        page.get_by_label(label, exact=True).first.fill(text)
        page.keyboard.press("Tab")


def press(page, name):
    page.get_by_role("button", name=name, exact=True).first.click()


def open_awake(visitor, name):
    """Open a live page, mark its guess, and open its fold for keeping."""
    visitor.open_live(name)
    page = visitor.page
    page.get_by_role("radio").first.check()
    press(page, "Mark my guess")
    page.locator(".widget-readout[contenteditable=true]").first.wait_for()
    page.get_by_text("Keep for other pages", exact=True).click()
    return page


def test_a_driver_is_kept_and_chosen_on_one_page_and_taken_up_on_the_next_after_a_restart(visit, running, kept):
    visitor = visit()
    visitor.open_live("my_parts.ipynb")
    page = visitor.page
    type_in(page, SHEET)
    page.get_by_text(re.compile(r"0\.700 cubic feet")).wait_for()
    press(page, "Keep")
    page.get_by_text("The other pages offer it as door <woofer>.").wait_for()
    assert str(kept) in page.locator("#rendered_cells").inner_text()
    assert 'Vas = "0.7 ft^3"' in kept.read_text(encoding="utf-8")

    page = open_awake(visitor, "sealed_or_vented.ipynb")
    page.get_by_text("More to change", exact=True).click()
    page.get_by_label("Driver", exact=True).select_option("door <woofer>")
    page.get_by_text("door <woofer> in 20.0 litres").wait_for()
    page.get_by_text("Keep for other pages", exact=True).click()
    press(page, "Keep these choices")
    page.get_by_text("Kept: ").wait_for()
    page.get_by_label("Keep this box as").fill("wheel arch")
    press(page, "Keep this box")
    page.get_by_text("Kept the box wheel arch.").wait_for()
    page.get_by_role("button", name="Back to start").click()
    page.get_by_text("200 mm bass in 20.0 litres").wait_for()
    page.get_by_label("Take up a kept box").select_option("wheel arch")
    page.get_by_text("wheel arch: Net volume 20.0 litres").wait_for()
    assert page.get_by_label("Take up a kept box").input_value() == "choose one"

    page.goto("about:blank")
    assert running.stop() == (0, [])
    running.start()
    page = open_awake(visitor, "small_woofers.ipynb")
    press(page, "Take up what was kept")
    page.get_by_text("third: door <woofer>").wait_for()
    page.get_by_text(re.compile(r"10\.00 volts r\.m\.s\., 1 m")).wait_for()
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


GONE = "The server has stopped: nothing on this page answers, and nothing is kept any more."


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
    page.get_by_label("Resonance fs", exact=True).first.fill("50 Hz")
    press(page, "Keep")
    assert page.get_by_text(GONE).is_visible()
    assert page.get_by_role("alert").bounding_box()["y"] == 0  # wherever the page is scrolled to
    assert not page.get_by_text("Kept.").first.is_visible()
    assert kept.read_bytes() == before


def test_a_page_of_sliders_says_it_too(visit, kept, stopped):
    page = open_awake(visit(), "sealed_or_vented.ipynb")
    press(page, "Keep these choices")
    page.get_by_text("Kept: ").wait_for()
    stopped()
    page.get_by_text(GONE).wait_for()
    assert not page.get_by_text("Kept: ").is_visible()


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
    assert not page.get_by_text("Kept.").first.is_visible()


def test_a_driver_is_replaced_only_when_told_so_and_put_back(visit, kept):
    visitor = visit()
    visitor.open_live("my_parts.ipynb")
    page = visitor.page
    keep_a_driver(page)
    type_in(page, {"Resonance fs": "50 Hz"})
    press(page, "Keep")
    page.get_by_text("A part named door <woofer> is kept already, and differs.").wait_for()
    assert 'fs = "45 Hz"' in kept.read_text(encoding="utf-8")
    press(page, "Replace it")
    page.get_by_text("It replaces the old one.").wait_for()
    assert 'fs = "50 Hz"' in kept.read_text(encoding="utf-8")
    type_in(page, {"Resonance fs": "99 Hz"})
    page.get_by_label("Open a kept one", exact=True).first.select_option("door <woofer>")
    page.get_by_text("What was typed is kept nowhere.").wait_for()
    press(page, "Bring back what I typed")
    page.wait_for_function("[...document.querySelectorAll('input')].some((field) => field.value === '99 Hz')")
    press(page, "Put the old door <woofer> back")
    page.get_by_text("The old one is back.").wait_for()
    assert 'fs = "45 Hz"' in kept.read_text(encoding="utf-8")
    assert page.get_by_label("Resonance fs", exact=True).first.input_value() == "45 Hz"


def test_a_question_is_not_answered_about_another_name(visit, kept):
    visitor = visit()
    visitor.open_live("my_parts.ipynb")
    page = visitor.page
    keep_a_driver(page)
    type_in(page, {"Resonance fs": "50 Hz"})
    press(page, "Keep")
    page.get_by_role("button", name="Replace it", exact=True).wait_for()
    type_in(page, {"Name": "another"})
    page.get_by_role("button", name="Replace it", exact=True).wait_for(state="detached")
    press(page, "Keep")
    page.get_by_text("The other pages offer it as another.").wait_for()
    assert 'fs = "45 Hz"' in kept.read_text(encoding="utf-8")
    assert visitor.wrong == []
