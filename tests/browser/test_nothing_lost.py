"""What was done on a page is there again when the tab is loaded again, and nowhere else."""

import re

import pytest

from tests.browser.conftest import LINK_WAITS

pytestmark = [pytest.mark.browser, pytest.mark.long]

LESSON = "closed_box.ipynb"
VOLUME = "Net volume [litres]"
NAME = "Your name"
REMEMBERED = "Object.values(sessionStorage).join()"


def write(page, label, text):
    """Type into a field with real keys, in place of what stands there, and leave it with the enter key."""
    page.get_by_label(label, exact=True).click()
    page.keyboard.press("Control+a")
    page.keyboard.type(text)
    page.keyboard.press("Enter")


def marked(page, number):
    """What is said about an answer."""
    line = page.locator(".widget-vbox").filter(has=page.get_by_label(f"Answer {number}", exact=True)).last
    return line.locator(".lb-marked").inner_text()


def says(visitor, number, text):
    visitor.until(lambda: marked(visitor.page, number) == text, f"answer {number} is not told: {text}")


def qtc(page):
    """Right answer to the first exercise, from what is asked (Small 1972, from memory)."""
    asked = r"Qts = ([\d.]+) and Vas = ([\d.]+) litres\. What is Qtc in a tight closed box of ([\d.]+) litres"
    total, compliance, volume = map(float, re.search(asked, page.locator("#rendered_cells").inner_text()).groups())
    return f"{total * (1 + compliance / volume) ** 0.5:.3f}"


def code(page):
    return page.locator("code").last.inner_text()


def loaded_again(visitor):
    visitor.page.reload()
    visitor.wait_for_live()


def stands(visitor, label, text):
    field = visitor.page.get_by_label(label, exact=True)
    visitor.until(lambda: field.input_value() == text, f"{label} is not {text}")


def test_two_answers_the_name_the_tries_and_the_code_are_there_again(visit):
    visitor = visit()
    visitor.open_live(LESSON)
    page = visitor.page
    write(page, NAME, "Ada")
    visitor.until(lambda: "Ada" in page.evaluate(REMEMBERED), "the name is not remembered")
    write(page, "Answer 1", qtc(page))
    says(visitor, 1, "Right.")
    for left, wrong in (("2 more tries", "701 L"), ("1 more try", "702 L")):
        write(page, "Answer 4", wrong)
        visitor.until(lambda left=left: left in marked(page, 4), "it is not marked")
    done, before = code(page), [page.locator("#rendered_cells").get_by_text(f"{n}. A ").inner_text() for n in (1, 4)]
    loaded_again(visitor)
    stands(visitor, NAME, "Ada")
    stands(visitor, "Answer 4", "702 L")
    says(visitor, 1, "Right.")
    assert "1 more try until you may see the answer." in marked(page, 4)
    assert code(page) == done
    assert [page.locator("#rendered_cells").get_by_text(f"{n}. A ").inner_text() for n in (1, 4)] == before
    write(page, "Answer 4", "703 L")
    page.get_by_role("button", name="Show the answer").last.click()
    visitor.until(lambda: marked(page, 4).startswith("The answer is "), "three tries are not counted over the reload")
    assert visitor.wrong == []


def test_a_name_typed_after_the_first_answer_loses_nothing(visit):
    visitor = visit()
    visitor.open_live(LESSON)
    page = visitor.page
    answer = qtc(page)
    write(page, "Answer 1", answer)
    says(visitor, 1, "Right.")
    write(page, NAME, "Ada")
    page.get_by_text("so your code leaves it out").first.wait_for()
    stands(visitor, "Answer 1", answer)
    says(visitor, 1, "Right.")
    loaded_again(visitor)
    stands(visitor, "Answer 1", answer)
    page.get_by_role("button", name="Ask me with my own numbers").locator("visible=true").click()
    stands(visitor, "Answer 1", "")
    write(page, "Answer 1", qtc(page))
    page.get_by_text("Result code to hand in").wait_for()
    assert visitor.wrong == []


def test_two_kept_states_are_there_again(visit):
    visitor = visit()
    visitor.open_live(LESSON)
    page = visitor.page
    page.get_by_role("button", name="Show me at once").click()
    for volume in ("30", "50"):
        write(page, f"{VOLUME}, typed", volume)
        stands(visitor, f"{VOLUME}, typed", f"{volume}.0")
        page.get_by_role("button", name="Keep this").click()
        page.get_by_text(f"Kept: {volume}.0 litres.").wait_for()
    kept = page.get_by_role("region", name="Kept for comparison")
    kept.get_by_label("Name of 30.0 litres").fill("fits the shelf")
    page.keyboard.press("Enter")
    kept.get_by_label("Name of fits the shelf").wait_for()
    visitor.until(lambda: "volume=0.05" in page.url, "the address does not follow")
    before = kept.inner_text()
    loaded_again(visitor)
    kept.get_by_label("Name of 50.0 litres").wait_for()
    assert kept.get_by_label("Name of fits the shelf").is_visible()
    visitor.until(lambda: kept.inner_text() == before, "the facts are others")
    stands(visitor, f"{VOLUME}, typed", "50.0")
    page.locator(".lb-legend").get_by_text("fits the shelf").wait_for()
    assert visitor.wrong == []


def test_a_page_that_is_loaded_again_before_its_link_is_written_stands_as_it_stood_but_not_one_that_is_opened(visit):
    visitor = visit()
    visitor.open_live(LESSON)
    page, typed = visitor.page, f"{VOLUME}, typed"
    page.get_by_role("button", name="Show me at once").click()
    write(page, typed, "42")
    visitor.until(lambda: "volume=0.042" in page.url, "the address does not follow")
    page.goto("about:blank")
    visitor.open_live(LESSON)
    stands(visitor, typed, "20.0")
    page.evaluate(LINK_WAITS)
    write(page, typed, "41")
    visitor.until(lambda: "volume=" in page.evaluate(REMEMBERED), "the move is not remembered")
    assert "volume=" not in page.url
    loaded_again(visitor)
    stands(visitor, typed, "41.0")
    visitor.until(lambda: "volume=0.041" in page.url, "the address does not follow")
    assert visitor.wrong == []


def test_another_tab_and_a_fresh_start_show_nothing_of_it(visit):
    first, second = visit(), visit()
    first.open_live(LESSON)
    write(first.page, NAME, "Ada")
    write(first.page, "Answer 1", "1")
    first.page.get_by_text("Not yet. 2 more tries").first.wait_for()
    second.open_live(LESSON)
    second.page.get_by_text("Type your name first").wait_for()
    write(second.page, NAME, "Bo")
    second.until(lambda: "Bo" in second.page.evaluate(REMEMBERED), "the name is not remembered")
    loaded_again(first)
    stands(first, NAME, "Ada")
    first.page.get_by_role("button", name="Start afresh").click()
    stands(first, NAME, "")
    first.page.get_by_role("button", name="Bring the answers back").click()
    stands(first, "Answer 1", "1")
    first.page.get_by_role("button", name="Start afresh").click()
    stands(first, NAME, "")
    first.until(lambda: "Ada" not in first.page.evaluate(REMEMBERED), "the tab still remembers it")
    loaded_again(first)
    first.page.get_by_text("Type your name first").wait_for()
    assert first.page.get_by_label(NAME).input_value() == ""
    assert first.wrong == second.wrong == []


def test_a_closed_or_damaged_store_is_told_and_the_page_works(visit):
    visitor = visit()
    visitor.page.add_init_script(
        "Object.defineProperty(window, 'sessionStorage', { get() { throw new DOMException('closed'); } })"
    )
    visitor.open_live(LESSON)
    write(visitor.page, NAME, "Ada")
    visitor.page.get_by_text("This browser remembers nothing: its store is full or closed.").first.wait_for()
    write(visitor.page, "Answer 1", qtc(visitor.page))
    says(visitor, 1, "Right.")
    other = visit()
    other.open_live(LESSON)
    write(other.page, NAME, "Ada")
    other.until(lambda: "Ada" in other.page.evaluate(REMEMBERED), "the name is not remembered")
    other.page.evaluate('Object.keys(sessionStorage).forEach((key) => sessionStorage.setItem(key, \'{"name": "A\'))')
    loaded_again(other)
    other.page.get_by_text("What this tab remembered cannot be read any more.").first.wait_for()
    write(other.page, "Answer 1", qtc(other.page))
    says(other, 1, "Right.")
    assert visitor.wrong == other.wrong == []
