"""The teachers' pages in a real browser."""

import re
from urllib.parse import unquote, urlsplit

import pytest

from lumpedbox.sliders.exercises import LESSONS

pytestmark = [pytest.mark.browser, pytest.mark.long]

WIDE, PHONE = {"width": 1366, "height": 638}, {"width": 390, "height": 800}


@pytest.mark.parametrize(("lesson", "screen"), [("closed_box", WIDE), ("closed_alignments", PHONE)])
def test_a_teacher_sees_the_solutions_of_a_student(visit, lesson, screen):
    visitor = visit()
    page = visitor.page
    page.set_viewport_size(screen)
    visitor.open_live(f"teaching/{lesson}.ipynb")
    assert page.title().startswith("For teachers: ")
    page.get_by_label("Student").fill("Ada")
    page.get_by_text(re.compile(r"Compare the two springs|Its distance from the origin")).first.wait_for()
    page.get_by_label("Result code").fill("nonsense")
    page.get_by_text("This code is mistyped").wait_for()
    assert page.evaluate("document.documentElement.scrollWidth") <= screen["width"] + 2
    assert page.get_by_text("| minutes |").count() == 0, "a table that is none"
    page.get_by_role("link", name="the lesson", exact=True).click()
    page.wait_for_url(f"**/voila/render/{lesson}.ipynb")
    page.get_by_label("Your name").wait_for()
    assert visitor.wrong == []
    assert visitor.outside == set()


def test_the_folder_of_the_teachers_pages_is_listed(visit):
    visitor = visit()
    visitor.open("/voila/tree/teaching")
    listed = visitor.page.get_by_role("link", name="For teachers").evaluate_all("links => links.map(one => one.href)")
    assert {unquote(urlsplit(link).path) for link in listed} == {
        f"/voila/render/teaching/{name}.ipynb" for name in LESSONS
    }
    assert visitor.wrong == []


def test_a_teachers_page_opens_with_its_code(visit):
    notebook = (visitor := visit()).open_code("teaching/decibels.ipynb")
    assert [cell.execution_count for cell in notebook.cells if cell.cell_type == "code"] == [1]
    visitor.page.get_by_label("Student").wait_for()
    visitor.page.get_by_role("link", name="This page without its code").wait_for()
    assert visitor.wrong == []
