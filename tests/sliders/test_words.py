"""Labels, options and defaults that a user sees stand in `tests/words.csv`, with where the trade has them or "ours"."""

import argparse
import csv
import dataclasses
import html
import re
from pathlib import Path

import pytest

import lumpedbox.serve
from lumpedbox.serve import parser
from lumpedbox.sliders.kit.controls import Slider
from lumpedbox.sliders.kit.exercises import Sheet
from lumpedbox.sliders.kit.keeping import NONE
from lumpedbox.sliders.kit.predict import Guess, Question
from lumpedbox.sliders.kit.replacing import Place, Replacing
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.sliders.lessons.alignments import alignments
from lumpedbox.sliders.lessons.bass_meets_panels import bass_meets_panels
from lumpedbox.sliders.lessons.closed_box import closed_box
from lumpedbox.sliders.lessons.crossing_over import crossing_over
from lumpedbox.sliders.lessons.data_sheet import data_sheet
from lumpedbox.sliders.lessons.decibels import decibels
from lumpedbox.sliders.lessons.how_loud import how_loud
from lumpedbox.sliders.lessons.loud_tweeter import loud_tweeter
from lumpedbox.sliders.lessons.my_parts import FORMS, my_parts
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented
from lumpedbox.sliders.lessons.small_woofers import small_woofers
from lumpedbox.sliders.lessons.which_box import which_box
from lumpedbox.tables import demo_drivers

LISTED = Path(__file__).resolve().parents[1] / "words.csv"


def rows():
    with open(LISTED, newline="", encoding="utf-8") as file:
        return list(csv.DictReader(line for line in file if not line.startswith("#")))


def widgets_in(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from widgets_in(child)


def words_of_widget(widget):
    """Yield (kind, words) of one widget: what is written on it, and what can be chosen."""
    if getattr(widget, "description", ""):
        yield "label", re.sub(r" \[.*\]$", "", widget.description)
    if getattr(widget, "placeholder", "").strip("\u200b"):
        yield "label", widget.placeholder
    for title in getattr(widget, "titles", ()):
        yield "label", title


def words_of_page(page):
    for widget in widgets_in(page.widget):
        yield from words_of_widget(widget)
    drivers, cabins = page_data(page)
    for control in page.controls.values():
        if isinstance(control, Slider):
            yield "default", f"{control.label} = {control.kind.metric.text(control.start)}"
        else:
            yield "default", f"{control.label} = {control.start}"
            yield from (("option", option) for option in control.widget.options if option not in drivers | cabins)
    for axes in page.scene.figure.axes:
        yield "label", " ".join(axes.get_ylabel().split())
        yield "label", axes.get_xlabel()
    for legend in page.scene.figure.legends:
        yield from (("label", text.get_text()) for text in legend.get_texts())


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
        yield from (("option", written) for entry in entries for written, _ in entry.options)
    yield "option", NONE


def words_of_templates():
    """What stands on the pages around a lesson."""
    folder = Path(lumpedbox.serve.__file__).parent / "jupyter" / "nbconvert" / "templates" / "lumpedbox"
    for template in ("index.html.j2", "tree.html"):
        for words in re.findall(r">([^<>{}]*[a-z][^<>{}]*)<", (folder / template).read_text(encoding="utf-8")):
            yield "label", html.unescape(words.strip())


def words_of_command():
    for action in parser()._actions:
        yield from (("option", option) for option in action.option_strings)
        if action.default not in (None, argparse.SUPPRESS) and isinstance(action.default, (int, bool)):
            yield "default", f"{action.option_strings[-1]} = {action.default}"


def everything():
    lessons = (
        alignments,
        bass_meets_panels,
        closed_box,
        crossing_over,
        data_sheet,
        how_loud,
        which_box,
        loud_tweeter,
        sealed_or_vented,
        small_woofers,
        decibels,
    )
    capped = {
        name: dataclasses.replace(driver, built_in_capacitance=4.7e-6) if driver.fs > 1000 else driver
        for name, driver in demo_drivers().items()
    }
    pages = [*(make() for make in lessons), loud_tweeter(capped)]
    found = {word for page in pages for word in words_of_page(page)}
    found |= {("option", system) for system in SYSTEMS}
    guess = Guess(Question("", ("",), right="", why="", look=""), then=None)
    found |= {word for widget in widgets_in(guess.widget) for word in words_of_widget(widget)}
    sheet = Sheet(())
    found |= {word for widget in widgets_in(sheet.widget) for word in words_of_widget(widget)}
    from lumpedbox.sliders.lessons.decibels import decibel_sheet

    found |= {word for widget in widgets_in(decibel_sheet().widget) for word in words_of_widget(widget)}
    found |= set(words_of_command()) | set(words_of_templates()) | set(words_of_forms())
    return {(kind, word) for kind, word in found if word}


@pytest.fixture(scope="module")
def seen():
    return everything()


def test_every_word_is_listed(seen):
    listed = {(row["kind"], row["words"]) for row in rows()}
    assert seen - listed == set(), "words that a user sees and tests/words.csv does not list"


def test_nothing_listed_is_gone(seen):
    listed = {(row["kind"], row["words"]) for row in rows()}
    assert listed - seen == set(), "words in tests/words.csv that no user sees any more"


def test_every_word_says_where_it_is_from():
    for row in rows():
        assert row["from"] == "ours" or len(row["from"]) > 10, row
