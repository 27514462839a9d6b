"""The start in a real browser: both doors on the first screen, whole lines on a narrow one."""

import pytest

from tests.browser.conftest import IN_VIEW

pytestmark = pytest.mark.browser

CUT_OFF = """texts => texts.filter(text => {
  const area = text.closest(".jp-InputArea");
  return area && text.getBoundingClientRect().right > area.getBoundingClientRect().right;
}).map(text => text.innerText)"""


def test_one_sees_both_doors_and_all_that_is_behind_them_without_scrolling(visit):
    visitor = visit()
    visitor.open_live("start.ipynb")
    page = visitor.page
    doors = [
        page.get_by_role("heading", name=name) for name in ("I am upgrading a vehicle", "I am learning or teaching")
    ]
    behind = [*page.locator(".celltag_way li").all(), *page.locator(".celltag_lessons li").all()]
    assert len(behind) > 16
    for element in (*doors, *behind, page.get_by_text("Nothing of yours is kept yet")):
        assert element.evaluate(IN_VIEW), element.inner_text()
    left, right = (door.bounding_box() for door in doors)
    assert left["y"] == pytest.approx(right["y"], abs=2)
    page.get_by_role("link", name="How loud?").click()
    page.wait_for_url("**/voila/render/how_loud.ipynb")


@pytest.mark.parametrize("width", [683, 390])
def test_no_line_is_cut_off_on_a_narrow_screen(visit, width):
    visitor = visit()
    visitor.page.set_viewport_size({"width": width, "height": 600})
    visitor.open_live("start.ipynb")
    texts = visitor.page.locator(".lesson p:visible, .lesson li:visible")
    assert texts.count() > 40
    assert texts.evaluate_all(CUT_OFF) == []
