"""Every label and option that a user sees stands in `tests/words.csv`, with where the trade has it from if it does.

Placeholders and defaults are examples, and need no row.
"""

import csv
import dataclasses
import html
import importlib
import pkgutil
import re
from pathlib import Path

import pytest

import lumpedbox.serve
from lumpedbox.serve import parser
from lumpedbox.sliders import lessons
from lumpedbox.sliders.kit import typed
from lumpedbox.sliders.kit.controls import Slider
from lumpedbox.sliders.kit.exercises import Sheet
from lumpedbox.sliders.kit.forms import FORMS
from lumpedbox.sliders.kit.keeping import NONE
from lumpedbox.sliders.kit.predict import Guess, Question
from lumpedbox.sliders.kit.replacing import Place, Replacing
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.sliders.lessons.decibels import decibel_sheet
from lumpedbox.sliders.lessons.loud_tweeter import loud_tweeter
from lumpedbox.sliders.lessons.my_parts import my_parts
from lumpedbox.tables import demo_drivers

LISTED = Path(__file__).resolve().parents[1] / "words.csv"


def listed():
    with open(LISTED, newline="", encoding="utf-8") as file:
        rows = [row["words"] for row in csv.DictReader(line for line in file if not line.startswith("#"))]
    assert len(rows) == len(set(rows)), "a word stands in tests/words.csv twice"
    return set(rows)


def widgets_in(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from widgets_in(child)


def words_of_widget(widget):
    """Yield what is written on one widget."""
    yield re.sub(r" \[.*\]$", "", getattr(widget, "description", ""))
    yield from getattr(widget, "titles", ())


def words_of_page(page):
    for widget in widgets_in(page.widget):
        yield from words_of_widget(widget)
    drivers, cabins = page_data(page)
    for control in page.controls.values():
        if not isinstance(control, Slider):
            yield from (option for option in control.widget.options if option not in drivers | cabins)
    for axes in page.scene.figure.axes:
        yield " ".join(axes.get_ylabel().split())
        yield axes.get_xlabel()
    for legend in page.scene.figure.legends:
        yield from (text.get_text() for text in legend.get_texts())


def page_data(page):
    scene = page.scene
    drivers = {name for kind in ("_drivers", "_sheets") for name in getattr(scene, kind, ())}
    return drivers, set(getattr(scene, "_cabins", ())) - {"half space"}


def words_of_forms():
    for widget in widgets_in(my_parts().widget):
        yield from words_of_widget(widget)
    buttons = Replacing(lambda action: action)  # which appear only when something would be replaced
    buttons.offer_back(Place(what="", name="one", now=lambda: None, put=None), {})
    for button in (buttons.replace, buttons.leave, buttons.back):
        yield from words_of_widget(button)
    for _, entries in FORMS.values():
        yield from (written for entry in entries for written, _ in entry.options)
    yield from re.findall(r'button\("([^"]+)"', Path(typed.__file__).with_suffix(".js").read_text(encoding="utf-8"))
    yield NONE


def words_of_templates():
    """What stands on the pages around a lesson."""
    folder = Path(lumpedbox.serve.__file__).parent / "jupyter" / "nbconvert" / "templates" / "lumpedbox"
    for template in ("index.html.j2", "tree.html"):
        for words in re.findall(r">([^<>{}]*[a-z][^<>{}]*)<", (folder / template).read_text(encoding="utf-8")):
            yield html.unescape(words.strip())


def words_of_command():
    for action in parser()._actions:
        yield from action.option_strings


def everything():
    names = [found.name for found in pkgutil.iter_modules(lessons.__path__) if found.name != "my_parts"]
    pages = [getattr(importlib.import_module(f"{lessons.__name__}.{name}"), name)() for name in names]
    capped = {
        name: dataclasses.replace(driver, built_in_capacitance=4.7e-6) if driver.fs > 1000 else driver
        for name, driver in demo_drivers().items()
    }
    pages.append(loud_tweeter(capped))
    found = {word for page in pages for word in words_of_page(page)}
    found |= set(SYSTEMS)
    guess = Guess(Question("", ("",), right="", why="", look=""), then=None)
    found |= {word for widget in widgets_in(guess.widget) for word in words_of_widget(widget)}
    sheet = Sheet(())
    found |= {word for widget in widgets_in(sheet.widget) for word in words_of_widget(widget)}
    found |= {word for widget in widgets_in(decibel_sheet().widget) for word in words_of_widget(widget)}
    found |= set(words_of_command()) | set(words_of_templates()) | set(words_of_forms())
    return found - {""}


@pytest.fixture(scope="module")
def seen():
    return everything()


def test_every_word_is_listed(seen):
    assert seen - listed() == set(), "words that a user sees and tests/words.csv does not list"


def test_nothing_listed_is_gone(seen):
    assert listed() - seen == set(), "words in tests/words.csv that no user sees any more"
