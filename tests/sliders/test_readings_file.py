"""Files of readings as people have them: what is no text is refused, and other programs' tables are understood."""

import io

import matplotlib.image
import numpy as np
import pytest

from lumpedbox.sliders.kit.readings_file import lines_of_file, with_commas
from lumpedbox.sliders.lessons.as_planned import as_planned
from lumpedbox.sliders.lessons.measure_a_driver import measure_a_driver
from lumpedbox.sliders.lessons.measure_a_driver.steps import FREE
from tests.sliders.conftest import textbook
from tests.sliders.test_as_planned import DRIVER

TONES = np.geomspace(15, 300, 12)
OHMS = 1 / abs(textbook(DRIVER, TONES, 1.0, volume=0.02, Ql=10).current)
PLAIN = "\n".join(["frequency [Hz], impedance [ohm]", *(f"{f:.2f}, {z:.3f}" for f, z in zip(TONES, OHMS, strict=True))])


def as_saved_elsewhere(parted, decimal=",", ends="\r\n", mark="\ufeff", quote=""):
    lines = [line.replace(".", decimal).split(", ") for line in PLAIN.splitlines()]
    return mark + ends.join(parted.join(f"{quote}{cell}{quote}" for cell in cells) for cells in lines) + ends


ELSEWHERE = {
    "semicolons and decimal commas": as_saved_elsewhere(";"),
    "semicolons and decimal points": as_saved_elsewhere(";", decimal="."),
    "quoted": as_saved_elsewhere(";", quote='"'),
    "tabs": as_saved_elsewhere("\t", mark=""),
    "commas": as_saved_elsewhere(",", decimal="."),
    "old line ends": as_saved_elsewhere(",", decimal=".", ends="\r"),
    "a remark": "# taken; in the garage, cold\r\n" + as_saved_elsewhere(";", mark=""),
}


def picture():
    """A picture's bytes as the browser hands them on: no UTF-8, so by the old code page."""
    drawn = io.BytesIO()
    matplotlib.image.imsave(drawn, np.random.default_rng(1).random((20, 20, 3)), format="png")
    return drawn.getvalue().decode("latin-1")


@pytest.mark.parametrize("name", ELSEWHERE)
def test_a_table_of_another_program_is_read_like_a_plain_one(name):
    page = as_planned()
    page.meter._handle_custom_msg({"file": {"name": "mine.csv", "text": ELSEWHERE[name]}}, [])
    assert page.meter.wrong == ""
    assert page.scene.marks["curve"].get_xydata() == pytest.approx(np.column_stack([TONES, OHMS]), rel=1e-3)
    page.put(ohms="")
    page.put(ohms=ELSEWHERE[name])  # or pasted
    assert page.scene.marks["curve"].get_xydata() == pytest.approx(np.column_stack([TONES, OHMS]), rel=1e-3)
    driver = measure_a_driver()
    driver._do("file", {"curve": FREE, "name": "mine.csv", "text": ELSEWHERE[name]})
    assert driver.board.wrong == {}
    assert driver.bench.curves[FREE].magnitude == pytest.approx(OHMS, rel=1e-3)
    driver.put(**{FREE: ELSEWHERE[name]})
    assert driver.bench.curves[FREE].frequency == pytest.approx(TONES, rel=1e-3)


def test_only_numbers_of_parted_cells_get_points():
    assert with_commas("a [Hz];b\n1,5;2,5e-3\nx, y;-3,25") == "a [Hz], b\n1.5, 2.5e-3\nx, y, -3.25"
    assert with_commas("a [Hz], b\n1,5, 2") == "a [Hz], b\n1,5, 2", "which comma parts there, nobody knows"


@pytest.mark.parametrize("text", [picture(), "frequency [Hz], impedance [ohm]\n20, 7\x07", "\x00"])
def test_what_is_no_text_is_refused_and_what_was_typed_stays(text):
    page, driver = as_planned(), measure_a_driver()
    page.put(ohms=PLAIN)
    page.meter._handle_custom_msg({"file": {"name": "door.png", "text": text}}, [])
    assert page.meter.wrong.startswith("door.png holds no text: it is a picture or the like. Nothing is read")
    assert (page.values["ohms"], page.meter.undo) == (PLAIN, False)
    driver.put(**{FREE: PLAIN})
    driver._do("file", {"curve": FREE, "name": "door.png", "text": text})
    said = [line["text"] for line in driver.board.told[FREE] if line["kind"] == "wrong"]
    assert said == [page.meter.wrong]
    assert (driver.board.typed[FREE], driver.board.undo) == (PLAIN, [])


def test_a_file_that_is_no_list_of_readings_by_its_length_is_refused():
    with pytest.raises(ValueError, match=r"novel\.txt is longer than a megabyte"):
        lines_of_file({"name": "novel.txt", "text": "It was a dark night. " * 10, "cut": True})
