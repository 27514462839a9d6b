"""The plan from above in a real browser: what is dragged moves the sliders, by mouse and by key, and the other way."""

import pytest

pytestmark = [pytest.mark.browser, pytest.mark.long]

EAR = "ear, on the plan"


@pytest.fixture
def page(visit):
    visitor = visit()
    visitor.open_live("cabin_gain.ipynb")
    visitor.page.get_by_role("button", name="Show me at once").click()
    visitor.page.wait_for_selector(".lb-plan-map:not(.lb-plan-waits)")
    yield visitor.page
    assert visitor.wrong == []


def stands(page, label, text):
    """Wait until a field reads so."""
    page.wait_for_function(
        '([label, text]) => document.querySelector(`[aria-label="${label}, typed"]`)?.value === text', arg=[label, text]
    )


def told(page, text):
    """Wait until the ear on the plan says where it is."""
    page.wait_for_function(
        "([name, text]) => document.querySelector(`[aria-label=\"${name}\"]`).getAttribute('aria-valuetext') === text",
        arg=[EAR, text],
    )


def test_the_arrow_keys_move_the_ear_by_five_centimetres(page):
    page.get_by_role("slider", name=EAR).focus()
    for key in ("ArrowRight", "ArrowRight", "ArrowUp"):
        page.keyboard.press(key)
    stands(page, "Ear from front [m]", "2.70")
    stands(page, "Ear from left [m]", "0.55")
    told(page, "2.70 m from the front, 0.55 m from the left, 1.15 m high")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == EAR


def test_after_show_me_at_once_the_keyboard_goes_on_at_the_headline(visit):
    visitor = visit()
    visitor.open_live("cabin_gain.ipynb")
    page = visitor.page
    page.get_by_role("button", name="Show me at once").focus()
    page.keyboard.press("Enter")
    page.wait_for_function("document.activeElement.classList.contains('lb-headline')")
    page.keyboard.press("Tab")
    assert page.evaluate("document.activeElement !== document.body")


def test_who_is_in_a_field_when_the_answer_comes_stays_there(visit):
    """The headline took the keyboard, and what was typed right after the button was lost now and then."""
    visitor = visit()
    visitor.open_live("cabin_gain.ipynb")
    page, once, field = visitor.page, "Show me at once", "Box height [m], typed"
    handles = [page.get_by_role("button", name=once), page.get_by_label(field, exact=True)]
    page.evaluate("both => { both[0].click(); both[1].focus() }", [one.element_handle() for one in handles])
    page.locator(".lb-board:not(.lb-asleep)").wait_for(state="attached")
    page.evaluate("() => new Promise(done => requestAnimationFrame(() => requestAnimationFrame(done)))")
    assert page.evaluate("document.activeElement.getAttribute('aria-label')") == field


def test_the_corner_is_a_button_beside_the_box_and_in_view(page):
    page.set_viewport_size({"width": 1366, "height": 638})
    page.evaluate("scrollTo(0, 0)")
    group = page.locator("fieldset").filter(has=page.get_by_role("slider", name="Box height [m]", exact=True))
    button = group.get_by_role("button", name="Box to the corner")
    box = button.bounding_box()
    assert box["y"] + box["height"] <= 638
    before = page.locator(".lb-facts tr", has_text="level at 80 Hz").locator("td").nth(1).inner_text()
    button.click()
    stands(page, "Box from front [m]", "4.90")
    page.wait_for_function(
        "text => document.querySelector('.lb-facts').innerText.includes('was') && "
        "[...document.querySelectorAll('.lb-facts td')].some(cell => cell.innerText.startsWith(text))",
        arg=before,
    )


def test_what_is_dragged_lands_on_the_stops_of_the_sliders(page):
    """To scale: the walls, drawn 5 m apart, say how many pixels a metre has."""
    walls, ear = page.locator(".lb-plan-walls"), page.locator(f'[aria-label="{EAR}"] .lb-plan-hold')
    ear.scroll_into_view_if_needed()
    metre = walls.bounding_box()["width"] / 5.0
    box = ear.bounding_box()
    x, y = box["x"] + box["width"] / 2, box["y"] + box["height"] / 2
    assert x - walls.bounding_box()["x"] == pytest.approx(2.6 * metre, abs=2)
    page.mouse.move(x, y)
    page.mouse.down()
    page.mouse.move(x - 0.61 * metre, y - 0.29 * metre, steps=5)
    page.mouse.up()
    stands(page, "Ear from front [m]", "2.00")
    stands(page, "Ear from left [m]", "0.80")


def test_a_slider_moves_the_mark_and_a_page_without_places_has_no_plan(page, visit):
    page.get_by_role("slider", name="Ear from front [m]", exact=True).focus()
    page.keyboard.press("ArrowLeft")
    told(page, "2.55 m from the front, 0.50 m from the left, 1.15 m high")
    other = visit()
    other.open_live("how_loud.ipynb")
    assert other.page.locator(".lb-plan[hidden]").count() == 1
