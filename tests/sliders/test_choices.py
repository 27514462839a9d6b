"""What is kept on one page and taken up on the next: choices, and boxes."""

import pytest

from lumpedbox import VentedBox
from lumpedbox.sliders.kit.keeping import NONE, Keeping
from lumpedbox.sliders.kit.offered import offered
from lumpedbox.sliders.kit.predict import Question
from lumpedbox.sliders.lessons.closed_box import closed_box
from lumpedbox.sliders.lessons.crossing_over import crossing_over
from lumpedbox.sliders.lessons.data_sheet import data_sheet
from lumpedbox.sliders.lessons.decibels import decibels
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented
from lumpedbox.sliders.lessons.small_woofers import small_woofers
from lumpedbox.tables import demo_amplifiers, demo_head_units
from lumpedbox.tables.my_parts import keep, keep_choices, read
from lumpedbox.tables.shipped import notebooks_folder
from lumpedbox.units import cm2, litre
from tests.sliders.conftest import CABIN, SHEET, ask, conditions

SAID = '<div class="lb-wrong">'


def test_a_choice_kept_on_one_page_is_taken_up_on_the_next(place):
    keep("driver", "mine", SHEET)
    keep("cabin", "van", CABIN)
    first = sealed_or_vented()
    first.put(driver="mine", cabin="van", voltage=7.3, volume=33.3 * litre)
    first.keeping.keep.click()
    assert first.keeping.said.value.startswith("Kept: ")
    assert "Driver mine" in first.keeping.said.value
    second = small_woofers()
    second.keeping.take.click()
    assert "Not on this page: volume" in second.keeping.said.value
    assert second.values["third"] == "mine"
    assert second.values["cabin"] == "van"
    assert second.values["voltage"] == pytest.approx(7.3)
    assert second.values["first"] == second.controls["first"].start
    assert "Third mine" in second.keeping.said.value
    assert "mine" in conditions(second)
    second.put(third="165 mm panel")
    second.keeping.keep.click()
    assert read().choices["driver"] == "mine"
    second.keeping.replacing.replace.click()
    again = sealed_or_vented()
    again.keeping.take.click()
    assert again.values["driver"] == "165 mm panel"
    assert again.values["volume"] == pytest.approx(33.3 * litre)  # the other page has none


@pytest.mark.parametrize(("make", "name"), [(closed_box, "driver"), (data_sheet, "sheet"), (small_woofers, "third")])
def test_every_page_with_a_driver_offers_and_takes_up_ones_own(place, make, name):
    keep("driver", "mine", SHEET)
    keep_choices({"driver": "mine"})
    page = make()
    page.keeping.take.click()
    assert page.values[name] == "mine"
    assert page.message == ""
    assert "mine" in conditions(page)


def test_what_a_page_does_not_reach_or_offer_is_said(place):
    keep_choices({"driver": "gone <b>", "volume": 2000 * litre, "voltage": 5.0})
    page = sealed_or_vented()
    page.keeping.take.click()
    said = page.keeping.said.value
    assert page.values["volume"] == pytest.approx(80 * litre)
    assert page.values["voltage"] == 5.0
    assert page.values["driver"] == page.controls["driver"].start
    assert "Net volume: the slider goes to 80.0 litres only." in said
    assert "Driver: gone &lt;b&gt; is not offered here" in said


def test_nothing_kept_is_said(place):
    page = sealed_or_vented()
    before = page.values
    page.keeping.take.click()
    assert page.keeping.said.value == "Nothing is kept yet."
    assert page.values == before
    assert not place.exists()


def test_a_box_is_kept_and_taken_up(place):
    page = sealed_or_vented()
    page.put(volume=25 * litre, fb=33.0, port_area=60 * cm2, Ql=9.0)
    page.keeping.keep_part.click()
    assert page.keeping.said.value == f"{SAID}give it a name first</div>"
    page.keeping.name.value = "wheel arch"
    page.keeping.keep_part.click()
    kept = offered().boxes["wheel arch"]
    assert type(kept) is VentedBox
    assert (kept.volume, kept.fb, kept.port_area, kept.Ql) == pytest.approx((25 * litre, 33, 60 * cm2, 9))
    page.reset()
    page.keeping.boxes.value = "wheel arch"
    assert page.values["volume"] == pytest.approx(25 * litre)
    assert page.values["fb"] == pytest.approx(33.0)
    assert page.values["port_area"] == pytest.approx(60 * cm2)
    assert page.keeping.boxes.value == NONE


def test_choices_and_boxes_are_replaced_only_when_told_so_and_can_be_put_back(place):
    page = sealed_or_vented()
    keeping = page.keeping
    page.put(volume=25 * litre)
    keeping.name.value = "wheel arch"
    for press, kept in (
        (keeping.keep, lambda: read().choices["volume"]),
        (keeping.keep_part, lambda: read().parts["box"]["wheel arch"].volume),
    ):
        press.click()
        press.click()
        assert "replace" not in keeping.said.value  # there is nothing new
        page.put(volume=40 * litre)
        press.click()
        assert "is kept already, and differs. Nothing is changed yet: replace it?" in keeping.said.value
        assert kept() == pytest.approx(25 * litre)
        page.put(volume=50 * litre)  # while it asks: what is kept is what the page shows
        keeping.replacing.replace.click()
        assert keeping.said.value.startswith("Kept")
        assert kept() == pytest.approx(50 * litre)
        keeping.replacing.back.click()
        assert kept() == pytest.approx(25 * litre)
        page.put(volume=25 * litre)


def test_a_question_about_a_box_is_withdrawn_under_another_name(place):
    page = sealed_or_vented()
    keeping = page.keeping
    keeping.name.value = "wheel arch"
    keeping.keep_part.click()
    page.put(volume=40 * litre)
    keeping.keep_part.click()
    keeping.name.value = "shelf"
    assert (keeping.replacing.widget.children, keeping.said.value) == ((), "")
    keeping.keep_part.click()
    assert sorted(read().parts["box"]) == ["shelf", "wheel arch"]


def test_a_sealed_box_leaves_tuning_and_leakage_as_they_are(place):
    keep("box", "sealed", {"volume": "15 L"})
    page = sealed_or_vented()
    page.keeping.boxes.value = "sealed"
    assert page.values["volume"] == pytest.approx(15 * litre)
    assert (page.values["fb"], page.values["Ql"]) == (page.controls["fb"].start, page.controls["Ql"].start)


def test_the_voltage_of_an_amplifier(place):
    keep("amplifier", "mine", {"power": "25 W", "rated_impedance": "4 ohm", "minimum_load": "2 ohm"})
    page = sealed_or_vented()
    sources = page.keeping.sources
    assert sources.options == (NONE, "mine", *demo_amplifiers(), *demo_head_units())
    sources.value = "mine"
    assert page.values["voltage"] == pytest.approx(10.0)  # the root of 25 W times 4 ohm
    sources.value = next(iter(demo_head_units()))
    assert page.values["voltage"] == pytest.approx(9.1)


def titles_of(page):
    """The titles of all folds on a page."""

    def inside(widget):
        return [
            *getattr(widget, "titles", ()),
            *(t for child in getattr(widget, "children", ()) for t in inside(child)),
        ]

    return inside(page.widget)


def test_a_page_without_such_choices_has_no_fold(place):
    page = decibels()
    page.keeping._look()
    assert page.keeping.title not in titles_of(page)
    assert page.keeping.title in titles_of(sealed_or_vented())


def test_what_is_said_of_the_fold_on_the_page_of_parts_is_so(place):
    text = (notebooks_folder() / "my_parts.ipynb").read_text(encoding="utf-8")
    missing = [make for make in (crossing_over, decibels) if sealed_or_vented().keeping.title not in titles_of(make())]
    assert (f"Most pages have *{Keeping.title}*: it keeps" in text) is bool(missing)
    assert "each page keeps" not in text


def test_what_is_taken_up_does_not_show_the_answer_before_an_obligatory_guess(place):
    question = Question("Which?", ("this", "that"), right="this", why="So.", look="There.")
    page = sealed_or_vented().ask(question, obligatory=True)
    keep_choices({"volume": 30 * litre})
    page.keeping.take.click()
    assert page.values["volume"] == pytest.approx(30 * litre)
    assert page.board.asleep
    ask(page, guess="that")
    assert not page.board.asleep


def test_moving_several_controls_draws_once(place, monkeypatch):
    page = sealed_or_vented()
    keep_choices({"volume": 30 * litre, "voltage": 5.0, "tuning": 40.0})
    drawn = []
    draw = page.picture.draw
    monkeypatch.setattr(page.picture, "draw", lambda: drawn.append(1) or draw())
    page.keeping.take.click()
    assert (page.values["volume"], page.values["voltage"], page.values["fb"]) == pytest.approx((0.03, 5.0, 40.0))
    assert drawn == [1]
