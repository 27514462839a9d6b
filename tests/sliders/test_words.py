"""Every label and option that a user sees stands in `tests/words.csv`, with where the trade has it from if it does.

Placeholders and defaults are examples, and need no row.
"""

import dataclasses
import html
import importlib
import pkgutil
import re
from pathlib import Path

import pytest

import lumpedbox.serve
from lumpedbox.figures.cautions import CAUTIONS
from lumpedbox.parts.amplifier import with_bridged
from lumpedbox.plan.library import Library
from lumpedbox.serve import parser
from lumpedbox.sliders import key, lessons
from lumpedbox.sliders.exercises import solutions
from lumpedbox.sliders.kit import board, checks, typed
from lumpedbox.sliders.kit.board import SCRIPTS
from lumpedbox.sliders.kit.controls import Choice
from lumpedbox.sliders.kit.forms import FORMS
from lumpedbox.sliders.kit.keeping import NONE
from lumpedbox.sliders.kit.offered import offered
from lumpedbox.sliders.kit.replacing import Place, Replacing
from lumpedbox.sliders.kit.sheet import BACK
from lumpedbox.sliders.kit.systems import SYSTEMS
from lumpedbox.sliders.kit.taking import KINDS
from lumpedbox.sliders.kit.words import OPEN_AIR
from lumpedbox.sliders.lessons.as_planned import as_planned, meter
from lumpedbox.sliders.lessons.as_planned.readings import LEVEL
from lumpedbox.sliders.lessons.decibels import decibel_sheet
from lumpedbox.sliders.lessons.draw_the_box import board as drawing_board
from lumpedbox.sliders.lessons.draw_the_box import draw_the_box
from lumpedbox.sliders.lessons.find_out import find_out
from lumpedbox.sliders.lessons.find_out.ranking import HEADS, USUAL_HEADS
from lumpedbox.sliders.lessons.hear_the_difference import ear
from lumpedbox.sliders.lessons.loud_tweeter import loud_tweeter
from lumpedbox.sliders.lessons.measure_a_driver import board as measure_board
from lumpedbox.sliders.lessons.measure_a_driver import measure_a_driver
from lumpedbox.sliders.lessons.my_parts import my_parts
from lumpedbox.sliders.lessons.my_upgrade import board as my_upgrade_board
from lumpedbox.sliders.lessons.my_upgrade import my_upgrade
from lumpedbox.sliders.lessons.my_upgrade.cards import STOP
from lumpedbox.sliders.lessons.my_upgrade.forms import PlaceForm
from lumpedbox.sliders.lessons.my_upgrade.other_forms import ChannelForm
from lumpedbox.sliders.lessons.my_upgrade.page import AIM_WORDS, BEST, WORST
from lumpedbox.sliders.lessons.my_upgrade.steps import KINDS as KINDS_OF_STEP
from lumpedbox.sliders.lessons.my_upgrade.steps import StepForm
from lumpedbox.sliders.lessons.my_upgrade.taking import TAKEAWAYS
from lumpedbox.sliders.lessons.my_upgrade.words import AS_FOUND
from lumpedbox.sliders.lessons.take_it_to_the_garage import board as garage_board
from lumpedbox.sliders.lessons.take_it_to_the_garage import take_it_to_the_garage
from lumpedbox.tables import demo_drivers
from tests.conftest import rows_of
from tests.sliders.conftest import NO_SLIDERS

pytestmark = pytest.mark.long  # every page is made, and moved through all its choices

LISTED = Path(__file__).resolve().parents[1] / "words.csv"


def listed():
    rows = [row["words"] for row in rows_of(LISTED)]
    assert len(rows) == len(set(rows)), "a word stands in tests/words.csv twice"
    return set(rows)


def widgets_in(widget):
    yield widget
    for child in getattr(widget, "children", ()):
        yield from widgets_in(child)


def words_of_widget(widget):
    """Yield what is written on one widget."""
    yield re.sub(r" (\[.*\]|\d+)$", "", getattr(widget, "description", ""))
    yield from getattr(widget, "titles", ())


def words_of_page(page):
    for widget in widgets_in(page.widget):
        yield from words_of_widget(widget)
    data = page_data(page)
    for control in page.controls.values():
        yield from (control.label, control.group)
        if isinstance(control, Choice):
            yield from (option for option in control.options if option not in data)
    yield from page.board.takeaways
    for of in words_of_answers(page, data):
        if not any(name.startswith(of) for name in data):  # else it is a part, cut short
            yield of
    for axes in page.scene.figure.axes:
        yield " ".join(axes.get_ylabel().split())
        yield axes.get_xlabel()
    for legend in page.scene.figure.legends:
        yield from (text.get_text() for text in legend.get_texts())


def words_of_answers(page, data):
    """What stands in the table and in the legend, at the start and at each choice: of parts, at the last one alone."""
    chosen = [
        {choice.name: option}
        for choice in page.controls.values()
        if isinstance(choice, Choice)
        for option in choice.options
        if option not in data or option == choice.options[-1]
    ]
    for places in ({}, *chosen):
        page.reset()
        page.put(**places)
        yield from (*(fact.name for fact in page.answer.facts), *page.answer.columns)
        yield from (entry["text"] for entry in page.board.legend)


def page_data(page):
    """The names of parts that are offered: of the demonstration, or one's own."""
    scene, offer = page.scene, offered()
    kinds = ("_drivers", "_sheets", "_cabins", "_amplifiers")
    names = {name for kind in kinds for name in getattr(scene, kind, ()) or ()}
    names |= {place for cabin in offer.cabins.values() for place, _ in cabin.places}
    names |= {*scene.plans.names[1:]} if hasattr(scene, "plans") else set()
    names |= {*offer.sheets, *offer.cabins, *with_bridged(offer.amplifiers | offer.head_units)}
    return names - {OPEN_AIR}


def words_of_scripts():
    """What the board's own scripts write: buttons, legends and names for who cannot see."""
    for name in SCRIPTS:
        text = (Path(board.__file__).parent / f"{name}.js").read_text("utf-8")
        for either in re.findall(r'moving \? "([^"]+)" : "([^"]+)"', text):
            yield from either
        yield from re.findall(r'(?:button\(|text: |"aria-label": |write\(\w+, )"([^"]*[a-z][^"]*)"', text)


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


def words_of_checks():
    for card in find_out().board.cards:
        yield card["title"]
        for field in card["fields"]:
            yield from (without_unit(field["label"]), field["row"], *field["options"])
    for gate in find_out().board.gates:
        yield from (gate["label"], *gate["options"])
    script = Path(checks.__file__).with_suffix(".js").read_text(encoding="utf-8")
    yield from re.findall(r'(?:button\(|text: |"aria-label": )"([^"]*[a-z][^"]*)"', script)
    yield from (*USUAL_HEADS, *HEADS)


def without_unit(label):
    return re.sub(r" \[.*\]$", "", label)


def words_of_upgrade():
    """What the page on an upgrade writes: on cards and pictures, in facts and forms; names of the example are data."""
    folder, page = Path(my_upgrade_board.__file__).parent, my_upgrade("nowhere.toml")
    page.finish()
    plan, library = page.plan, Library(page.plan.my_parts)
    for name in my_upgrade_board.SCRIPTS:
        text = (folder / f"{name}.js").read_text("utf-8")
        yield from re.findall(
            r'(?:button\(|text: |"aria-label": |write\(\w+, |\bwords\(|pair\(\w+, )"([^"]*[a-z][^"]*)"', text
        )
        yield from re.findall(r'(?:mine|new|copy|example): "([^"]+)"|^  \["([^"]+)", \(', text, re.MULTILINE)
    yield from (*AIM_WORDS.values(), *TAKEAWAYS, BEST, WORST, AS_FOUND, STOP, *page.answer.columns)
    yield from (fact.name for fact in page.answer.facts)
    forms = [PlaceForm(plan, ""), PlaceForm(plan, "roof left"), ChannelForm(plan, ""), StepForm(plan, "amplifier")]
    forms += [StepForm(plan, "", {"kind": kind}) for _, kind in KINDS_OF_STEP]
    names = {*plan.openings, *plan.channels, *plan.stages, *plan.items, *library.drivers, *library.sources, "left and"}
    for form in forms:
        yield from (form.new, *(text for text, _ in form.spec(1)["buttons"]))
        for field in form.fields():
            label = field["label"]
            yield label.partition(", ")[0] if any(name in label for name in names) else label
            written = [text for text, _ in field["options"] or ()]
            yield from (text for text in written if not any(name in text for name in names))


def words_of_drawing():
    """What the page on which a box is drawn writes: on controls, folds and tables; names of drivers are data."""
    page, offer = draw_the_box(), offered()
    for widget in widgets_in(page.keeping.widget):
        yield from words_of_widget(widget)
    for control in page.controls.values():
        yield from (without_unit(control.label).partition(" [")[0], control.group)
        if isinstance(control, Choice):
            yield from (option for option in control.options if option not in offer.drivers)
    yield from (fact.name for fact in page.answer.facts)
    yield from page.board.takeaways
    for name in drawing_board.SCRIPTS:
        text = (Path(drawing_board.__file__).parent / f"{name}.js").read_text("utf-8")
        yield from re.findall(r'(?:button\(|text: |"aria-label": |createFold\()"([^"]*[a-z][^"]*)"', text)
        for heads in re.findall(r'createTable\(model, "\w+", \[([^\]]*)\]', text):
            yield from re.findall(r'"([^"]+)"', heads)


def words_of_garage():
    """What the page that puts a box on paper writes; the names of boxes, plans and stages are data."""
    page = take_it_to_the_garage()
    script = Path(garage_board.__file__).with_name("garage.js").read_text(encoding="utf-8")
    yield from re.findall(r'(?:button\(|text: |"aria-label": )"([^"]*[a-z][^"]*)"', script)
    yield from (text for _, text in page.board.files)
    for control in page.controls.values():
        yield from (control.label, control.group)
        yield from (option for option in control.options if control.name != "box" and "plan" not in option)
    yield from (fact.name for fact in page.answer.facts)
    yield from (title for title, _ in page.board.contents)


def words_of_measuring():
    """What the page that measures a driver writes; the names of sheets are data."""
    page = measure_a_driver()
    script = Path(measure_board.__file__).with_name("measure.js").read_text(encoding="utf-8")
    yield from re.findall(r'(?:button\(|small\(|text: |"aria-label": )"([^"]*[a-z][^"]*)"', script)
    for step in page.board.steps:
        yield step["title"]
        for field in step["fields"]:
            yield without_unit(field["label"])
            yield from (option for option in field["options"] if option not in offered().sheets)
    yield from (*page.board.heads, page.keeping.keep.description, page.keeping.name.description)


def words_of_ear():
    """What the player of the page on which one hears two loudspeakers writes."""
    script = Path(ear.__file__).with_suffix(".js").read_text(encoding="utf-8")
    yield from re.findall(r'(?:button\(|text: |"aria-label": |now: )"([^"]*[a-z][^"]*)"', script)


def words_of_meter():
    """What the page that holds a measurement against its plan writes once something is measured."""
    page = as_planned()
    script = Path(meter.__file__).with_suffix(".js").read_text(encoding="utf-8")
    yield from re.findall(r'(?:button\(|text: |"aria-label": )"([^"]*[a-z][^"]*)"', script)
    for places in ({"box": "vented"}, {"measured": LEVEL}):
        page.put(**places)
        yield from (without_unit(field["label"]) for field in page.meter.fields)
        page.meter._handle_custom_msg({"example": True}, [])
        yield from (*(fact.name for fact in page.answer.facts), *page.answer.columns)
        yield from (entry["text"] for entry in page.board.legend)
        yield from (axes.get_ylabel() for axes in page.scene.figure.axes)


def words_of_templates():
    """What stands on the pages around a lesson."""
    folder = Path(lumpedbox.serve.__file__).parent / "jupyter" / "nbconvert" / "templates" / "lumpedbox"
    for template in ("index.html.j2", "tree.html"):
        for words in re.findall(r">([^<>{}]*[a-z][^<>{}]*)<", (folder / template).read_text(encoding="utf-8")):
            yield html.unescape(words.strip())


def words_of_commands():
    for command in (parser, key.parser):
        for action in command()._actions:
            yield from action.option_strings


def everything():
    names = [found.name for found in pkgutil.iter_modules(lessons.__path__) if found.name not in NO_SLIDERS]
    pages = [getattr(importlib.import_module(f"{lessons.__name__}.{name}"), name)() for name in names]
    capped = {
        name: dataclasses.replace(driver, built_in_capacitance=4.7e-6) if driver.fs > 1000 else driver
        for name, driver in demo_drivers().items()
    }
    pages.append(loud_tweeter(capped))
    found = {word for page in pages for word in words_of_page(page)}
    found |= {*SYSTEMS, BACK}
    found |= set(words_of_scripts()) | set(KINDS) | set(CAUTIONS)
    for shown in (decibel_sheet(), solutions("decibels")):
        found |= {word for widget in widgets_in(shown.widget) for word in words_of_widget(widget)}
    found |= set(words_of_commands()) | set(words_of_templates()) | set(words_of_forms()) | set(words_of_checks())
    found |= set(words_of_drawing()) | set(words_of_garage()) | set(words_of_measuring()) | set(words_of_ear())
    found |= set(words_of_meter())
    found |= {word for told in words_of_upgrade() for word in ([told] if isinstance(told, str) else told)}
    return {word.strip() for word in found} - {""}


@pytest.fixture(scope="module")
def seen():
    return everything()


def test_every_word_is_listed(seen):
    assert seen - listed() == set(), "words that a user sees and tests/words.csv does not list"


def test_nothing_listed_is_gone(seen):
    assert listed() - seen == set(), "words in tests/words.csv that no user sees any more"
