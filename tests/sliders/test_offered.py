"""What a page offers, and what is kept on one page and taken up on the next."""

import re

import numpy as np
import pytest

from lumpedbox.sliders.kit.controls import Choice
from lumpedbox.sliders.kit.keeping import NONE
from lumpedbox.sliders.kit.offered import DEMANDS, offered, serves
from lumpedbox.sliders.kit.words import OPEN_AIR
from lumpedbox.sliders.lessons.a_million_boxes import a_million_boxes
from lumpedbox.sliders.lessons.as_planned import as_planned
from lumpedbox.sliders.lessons.bass_meets_panels import bass_meets_panels
from lumpedbox.sliders.lessons.cabin_gain import cabin_gain
from lumpedbox.sliders.lessons.closed_alignments import closed_alignments
from lumpedbox.sliders.lessons.closed_box import closed_box
from lumpedbox.sliders.lessons.crossing_over import crossing_over
from lumpedbox.sliders.lessons.data_sheet import data_sheet
from lumpedbox.sliders.lessons.draw_the_box import draw_the_box
from lumpedbox.sliders.lessons.free_steps import free_steps
from lumpedbox.sliders.lessons.hear_the_difference import hear_the_difference
from lumpedbox.sliders.lessons.how_loud import how_loud
from lumpedbox.sliders.lessons.loud_tweeter import loud_tweeter
from lumpedbox.sliders.lessons.my_parts import my_parts
from lumpedbox.sliders.lessons.my_parts.form import offered_as
from lumpedbox.sliders.lessons.sealed_door import sealed_door
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented
from lumpedbox.sliders.lessons.set_the_levels import set_the_levels
from lumpedbox.sliders.lessons.shared_channel import shared_channel
from lumpedbox.sliders.lessons.small_woofers import small_woofers
from lumpedbox.sliders.lessons.thin_wire import thin_wire
from lumpedbox.sliders.lessons.vented_alignments import vented_alignments
from lumpedbox.sliders.lessons.wedge import wedge
from lumpedbox.sliders.lessons.which_box import which_box
from lumpedbox.tables import demo_amplifiers, demo_cabins, demo_drivers, demo_head_units
from lumpedbox.tables.my_parts import keep, keep_choices, read
from lumpedbox.units import litre
from tests.sliders.conftest import CABIN, SHEET, conditions, details

SAID = '<div class="lb-wrong">'


def offered_to(page, name):
    """The options of one choice, as the browser gets them."""
    return next(tuple(spec.get("options", ())) for spec in page.board.controls if spec["name"] == name)


def test_without_a_file_the_invented_parts_are_offered(place):
    offer = offered()
    assert (offer.drivers, offer.cabins) == (demo_drivers(), demo_cabins())
    assert (offer.amplifiers, offer.head_units) == (demo_amplifiers(), demo_head_units())
    assert (offer.boxes, offer.choices, offer.wrong) == ({}, {}, "")


def test_a_stand_in_and_a_driver_of_its_lengthened_name_are_both_offered(place):
    """A stand-in is offered under a longer name than it is kept under, which may be taken."""
    keep("driver", "x", {"size": "165 mm", "kind": "woofer"})
    keep("driver", "x, stand-in", SHEET)
    keep("driver", "y", SHEET)
    assert list(offered().drivers)[:3] == ["x, stand-in", "x, stand-in (mine)", "y"]
    assert offered().drivers["x, stand-in"].spread is not None
    told = [offered_as("driver", name) for name in ("x", "x, stand-in", "y")]
    assert told == [
        "The other pages offer it as x, stand-in.",
        "The other pages offer it as x, stand-in (mine).",
        "The other pages offer it as y.",
    ]


TWEETER = {"kind": "tweeter", "size": "25 mm", "rated_impedance": "4 ohm", "built_in_capacitance": "4.7 uF"}


@pytest.mark.parametrize("make", [loud_tweeter, crossing_over])
def test_a_stand_in_with_a_printed_level_is_matched_by_it(place, make):
    keep("driver", "pillar", TWEETER)
    assert "pillar, stand-in" not in offered_to(make(), "tweeter")
    keep("driver", "pillar", TWEETER | {"sensitivity_2V83": "93 dB"})
    page = make()
    page.put(tweeter="pillar, stand-in")
    assert page.message == ""
    assert "pillar, stand-in: all but its level is typical of its size and kind" in details(page)
    page.reset()
    assert "all but its level" not in str(page.board.answer)


@pytest.mark.parametrize("make", [loud_tweeter, crossing_over])
def test_a_printed_level_that_is_not_believed_is_said_to_be_none(place, make):
    """The invented 165 mm panel, 92.6 dB by its other numbers: rho Bl Sd V / 2 pi Mms Re (Small 1972, from memory)."""
    sheet = {"fs": "58 Hz", "Qes": "0.6", "Qms": "4.5", "Vas": "15 L", "Sd": "137 cm^2", "Re": "3.4 ohm"}
    for level, told in (("92.6 dB", ""), ("88 dB", "mine: the printed 88.0 dB are not believed. The 92.6 dB that the")):
        keep("driver", "mine", sheet | {"sensitivity_2V83": level, "rated_impedance": "4 ohm"})
        page = make()
        page.put(woofer="mine")
        assert page.message == ""
        assert told in details(page)
        assert ("not believed" in str(page.board.answer)) is bool(told)


def test_the_level_of_a_stand_in_is_the_printed_one(place):
    """Far above its resonance and its capacitor's corner the tweeter has the 93 dB of its sheet."""
    keep("driver", "pillar", TWEETER | {"sensitivity_2V83": "93 dB", "built_in_capacitance": "100 uF"})
    page = loud_tweeter()
    page.put(tweeter="pillar, stand-in", voltage=2.83)
    assert "pillar, stand-in (93 dB at 2.83 V)" in conditions(page)
    assert page.scene.stack.values("tweeter", "level")[1][-1] == pytest.approx(93.0, abs=0.3)


def test_none_is_lost_whatever_is_called_mine_already(place):
    keep("driver", "x", {"size": "165 mm", "kind": "woofer"})
    for name in ("x, stand-in (mine)", "x, stand-in"):
        keep("driver", name, SHEET)
    assert list(offered().drivers)[:3] == ["x, stand-in", "x, stand-in (mine)", "x, stand-in (mine) (mine)"]
    assert offered_as("driver", "x, stand-in") == "The other pages offer it as x, stand-in (mine) (mine)."


def test_ones_own_come_first_and_one_of_a_name_that_is_taken_is_marked(place):
    taken = next(iter(demo_drivers()))
    for name in ("mine", taken, f"{taken} (mine)"):
        keep("driver", name, SHEET)
    keep("cabin", OPEN_AIR, CABIN)
    offer = offered()
    assert list(offer.drivers) == ["mine", f"{taken} (mine)", f"{taken} (mine) (mine)", *demo_drivers()]
    assert offer.drivers[taken] == demo_drivers()[taken]
    assert offer.drivers[f"{taken} (mine)"].fs == pytest.approx(40)
    assert list(offer.cabins) == [f"{OPEN_AIR} (mine)", *demo_cabins()]


def test_a_stand_in_is_offered_as_one_and_what_is_not_complete_is_not(place):
    keep("driver", "rear", {"kind": "woofer", "size": "165 mm"})
    keep("driver", "half", {"fs": "40 Hz"})
    assert list(offered().drivers) == ["rear, stand-in", *demo_drivers()]


def test_a_kept_driver_is_heard_on_a_page(place, closed_form):
    keep("driver", "mine", SHEET)
    page = small_woofers()
    page.put(third="mine")
    frequency, level = page.scene.stack.values("third", "level")
    exact = closed_form(offered().drivers["mine"], frequency, page.values["voltage"]).level
    assert level == pytest.approx(exact, abs=0.02)


def test_a_broken_file_is_told_beside_the_sliders_until_it_is_mended(place):
    place.write_text('[driver.mine]\nfs = "40"\n')
    page = sealed_or_vented()
    assert "mine" not in offered_to(page, "driver")
    told = page.keeping.wrong.value
    assert told.startswith(SAID)
    assert "my_parts.toml, [driver.\"mine\"]: fs = '40': Write the unit too, as in 40 Hz." in told
    assert page.message == ""
    page.put(volume=30 * litre)
    page.keeping.keep.click()
    assert page.keeping.wrong.value == told
    assert place.read_text() == '[driver.mine]\nfs = "40"\n'
    place.write_text('[driver.mine]\nfs = "40 Hz"\n')
    page.keeping.keep.click()
    assert page.keeping.wrong.value == ""
    assert read().choices["volume"] == pytest.approx(30 * litre)


PAGES = (
    a_million_boxes,
    as_planned,
    bass_meets_panels,
    cabin_gain,
    closed_alignments,
    closed_box,
    crossing_over,
    data_sheet,
    free_steps,
    hear_the_difference,
    how_loud,
    loud_tweeter,
    sealed_door,
    sealed_or_vented,
    set_the_levels,
    shared_channel,
    small_woofers,
    thin_wire,
    vented_alignments,
    wedge,
    which_box,
)
# One of every kind for every list; some have the name of what a page starts with.
MINE = {
    ("driver", "a bass"): SHEET | {"fs": "30 Hz", "sensitivity_2V83": "88 dB"},
    ("driver", "a woofer"): SHEET | {"fs": "58 Hz", "sensitivity_2V83": "91 dB"},
    ("driver", "a tweeter"): SHEET | {"fs": "1200 Hz", "Vas": "0.2 L", "Sd": "6 cm2", "sensitivity_2V83": "91 dB"},
    ("driver", "a stand-in"): {"size": "165 mm", "kind": "woofer"},
    ("driver", "200 mm bass"): SHEET,
    ("amplifier", "a small one"): {"power": "10 W", "rated_impedance": "4 ohm"},
    ("amplifier", "four channels from the stores"): {"power": "10 W", "rated_impedance": "8 ohm"},
    ("head_unit", "a head unit"): {"voltage": "5 V"},
    ("cabin", "a van"): CABIN,
    ("box", "a box"): {"volume": "12 L"},
    ("box", "a door"): {"volume": "25 L", "hole_area": "90 cm^2"},
}
NAMESAKES = {
    **{("driver", name): SHEET | {"fs": "33 Hz", "sensitivity_2V83": "85 dB"} for name in demo_drivers()},
    **{("amplifier", name): {"power": "10 W", "rated_impedance": "8 ohm"} for name in demo_amplifiers()},
    **{("head_unit", name): {"voltage": "2 V"} for name in demo_head_units()},
    **{("cabin", name): CABIN for name in (*demo_cabins(), OPEN_AIR)},
}


def state(page):
    """What a page shows once it rests: at first it may only have looked roughly."""
    page.rest()
    return page.values, page.board.places, page.board.answer, page.board.shown


@pytest.mark.long
@pytest.mark.parametrize("make", [make for make in PAGES if make is not a_million_boxes])  # which compares all drivers
def test_what_is_kept_never_changes_what_a_page_starts_with(place, make):
    """The guesses and the questions of the lessons are about the example that the page starts with.

    Whatever is kept is called like that example, each part of it.
    """
    before = state(make())
    for (kind, name), typed in (MINE | NAMESAKES).items():
        keep(kind, name, typed)
    keep_choices({"driver": "a woofer", "cabin": "a van", "voltage": 5.0, "volume": 12 * litre, "tuning": 50.0})
    after = make()
    assert (offered().wrong, offered().unfinished) == ("", {})
    assert state(after) == before
    if after.keeping.controls:
        after.keeping.take.click()
        after.reset()
    assert state(after) == before


def test_an_amplifier_without_its_lowest_load_is_offered(place):
    """It may be loaded with what its power is given at."""
    keep("amplifier", "mine", {"power": "75 W", "rated_impedance": "8 ohm"})
    keep("amplifier", "half", {"power": "75 W"})
    assert offered().amplifiers["mine"].minimum_load == 8.0
    page = how_loud()
    assert "mine" in offered_to(page, "amplifier")
    assert left_out(page, "amplifier") == 'Not offered here: half (add "into a load of").'


# Drivers on either side of every bound that a page sets.
DRIVERS = {
    ("driver", f"{fs:g} Hz, {told}"): SHEET | {"fs": f"{fs} Hz", "Vas": "1 L", "Sd": "50 cm2"} | level
    for fs in (30, 39.4, 40, 59, 60, 99, 100, 250, 399.4, 399.7, 400, 999, 1200)
    for told, level in (("told", {"sensitivity_2V83": "90 dB"}), ("silent", {}))
} | {
    ("driver", "a small one"): {"size": "25 mm", "kind": "tweeter"},
    ("driver", "an oval"): {"size": "6x9 in", "kind": "woofer"},
}
BY_NAME = {make.__name__: make for make in (*PAGES, draw_the_box) if make is not free_steps}  # which offers no parts


def names_in(page, kind):
    """The names that any list of a page offers, and its folds for what is kept."""
    lists = [offered_to(page, name) for name, control in page.controls.items() if isinstance(control, Choice)]
    sources = getattr(page.keeping, "sources", None)
    folds = {"box": page.keeping.boxes, "amplifier": sources, "head_unit": sources}
    lists += [folds[kind].options] if kind in folds and folds[kind] in page.keeping.widget.children else []
    return {name for one in lists for name in one}


def test_where_a_part_is_said_to_serve_it_is_offered_and_nowhere_else(place):
    """Every page, and every kind of part; of a driver also as what it serves there."""
    for (kind, name), typed in (MINE | DRIVERS).items():
        keep(kind, name, typed)
    parts = [(kind, name) for kind, name in (MINE | DRIVERS) if name not in demo_drivers() | demo_amplifiers()]
    pages = {called.replace("_", " "): make() for called, make in BY_NAME.items()}
    assert {page.replace("_", " ") for page in DEMANDS} == set(pages)
    for kind, name in parts:
        part = read().parts[kind][name]
        part = part.driver if kind == "driver" else part
        on, not_on = serves(kind, part)
        told = {said.partition(" (")[0] for said in on.values()}
        assert {page.replace("_", " ") for page in on} == told, "a link leads elsewhere"
        shown = part.name if kind == "driver" else name
        assert {called for called, page in pages.items() if shown in names_in(page, kind)} == told, (kind, name)
        if kind == "driver":
            elsewhere = {page for said in not_on for page in re.split(", | and ", said.partition(", because")[0])}
            assert told | elsewhere == set(pages)
            assert not told & elsewhere


def test_it_is_said_as_what_a_driver_serves_and_why_not_elsewhere(place):
    keep("driver", "door", SHEET | {"fs": "80 Hz"})
    on, not_on = serves("driver", read().parts["driver"]["door"].driver)
    assert on["bass_meets_panels"] == "bass meets panels (panels)"
    assert "loud tweeter, shared channel and crossing over, because its printed sensitivity is missing" in not_on
    keep("driver", "dome", MINE["driver", "a tweeter"])
    on, not_on = serves("driver", read().parts["driver"]["dome"].driver)
    assert on["loud_tweeter"] == "loud tweeter (tweeter)"
    assert any(said.endswith("because it resonates at 1200 Hz, not below 100") for said in not_on)


@pytest.mark.parametrize(("make", "name"), [(sealed_or_vented, "driver"), (small_woofers, "third")])
def test_a_tweeter_is_offered_for_no_box_and_no_panel_of_woofers(place, make, name):
    """Demonstration and own alike; that it is one is told by its resonance, from 400 Hz up (data/drivers.csv)."""
    keep("driver", "dome", MINE["driver", "a tweeter"])
    keep("driver", "door", MINE["driver", "a woofer"])
    page = make()
    resonances = {named: driver.fs for named, driver in offered().drivers.items()}
    assert {named for named, fs in resonances.items() if fs >= 400} == {
        *("19 mm dash tweeter", "25 mm pillar tweeter", "dome")
    }
    assert set(offered_to(page, name)) - {"none"} == {named for named, fs in resonances.items() if fs < 400}
    assert left_out(page, name) == "Not offered here: dome (it is a tweeter)."
    page.put(**{name: "door"})
    assert page.message == ""


def test_the_page_of_parts_says_where_what_is_typed_serves(place):
    form = my_parts().forms["driver"]
    for key, text in (SHEET | {"fs": "80"}).items():
        form.fields[key].value = text
    assert 'Serves on: <a href="small_woofers.ipynb">small woofers</a>, ' in form.report.value
    assert (
        "Not on: loud tweeter, shared channel and crossing over, because its printed sensitivity is missing."
        in form.report.value
    )
    form.fields["sensitivity_2V83"].value = "90"
    assert "loud tweeter (woofer)" in form.report.value


def test_an_oval_stands_beside_a_round_driver(place):
    """At the same travel the level goes as the area (Small 1972, from memory); an ellipse of 6 by 9 in by geometry."""
    keep("driver", "shelf", {"size": "6x9 in", "kind": "woofer"})
    page = small_woofers()
    page.put(first="shelf, stand-in", third="130 mm step well")
    assert page.message == ""
    assert "shelf, stand-in" in page.board.answer["columns"]
    assert "shelf, stand-in" in conditions(page)
    oval, round_one = (page.scene.responses[name] for name in ("first", "third"))
    exact = np.pi / 4 * 0.1524 * 0.2286 * 0.815**2
    assert oval.loudspeaker.driver.Sd == pytest.approx(exact, rel=1e-9)
    same_travel = oval.level - 20 * np.log10(oval.excursion) - round_one.level + 20 * np.log10(round_one.excursion)
    assert same_travel == pytest.approx(20 * np.log10(exact / round_one.loudspeaker.driver.Sd), abs=1e-6)


def left_out(page, name):
    """What stands under a list: text, which the browser shows as it is (tests/browser)."""
    return next(spec["note"] for spec in page.board.controls if spec["name"] == name)


@pytest.mark.parametrize(
    ("make", "name", "typed", "why"),
    [
        (loud_tweeter, "woofer", SHEET | {"fs": "58 Hz"}, "its printed sensitivity is missing"),
        (loud_tweeter, "woofer", MINE["driver", "a bass"], "a woofer here does so from 40 Hz up"),
        (shared_channel, "woofer", SHEET | {"fs": "58 Hz"}, "its printed sensitivity is missing"),
        (crossing_over, "woofer", SHEET | {"fs": "58 Hz"}, "its printed sensitivity is missing"),
        (how_loud, "driver", SHEET | {"fs": "120 Hz"}, "it resonates at 120 Hz, not below 100"),
        (which_box, "driver", SHEET | {"fs": "120 Hz"}, "it resonates at 120 Hz, not below 100"),
        (closed_alignments, "driver", SHEET | {"fs": "120 Hz"}, "it resonates at 120 Hz, not below 100"),
        (vented_alignments, "driver", MINE["driver", "a stand-in"], "only its size and kind are known"),
        (closed_box, "driver", SHEET | {"fs": "1200 Hz"}, "it resonates at 1200 Hz, not below 400"),
        (data_sheet, "sheet", MINE["driver", "a stand-in"], "only its size and kind are known"),
        (bass_meets_panels, "bass", SHEET | {"fs": "80 Hz"}, "it resonates at 80 Hz, not below 60"),
        (set_the_levels, "rear", SHEET | {"fs": "1200 Hz"}, "it resonates at 1200 Hz, not below 400"),
        (set_the_levels, "bass", SHEET | {"fs": "120 Hz"}, "it resonates at 120 Hz, not below 100"),
        (sealed_or_vented, "driver", SHEET | {"Re": ""}, '(add "Coil resistance Re").'),
        (small_woofers, "third", SHEET | {"Re": ""}, '(add "Coil resistance Re").'),
    ],
)
def test_a_driver_that_is_not_offered_is_named_with_the_reason(place, make, name, typed, why):
    assert left_out(make(), name) == ""
    keep("driver", "it <b>", typed)
    said = left_out(make(), name)
    assert said.startswith("Not offered here: it <b>")
    assert why in said
    keep("driver", "it <b>", SHEET | {"sensitivity_2V83": "88 dB"})
    assert left_out(make(), name) == ""


def test_what_is_missing_is_said_shortly_and_in_the_words_of_the_form(place):
    """One way to complete each, by the labels that stand before the fields; no key of the file."""
    keep("driver", "half", {"fs": "1200 Hz", "Qes": "0.5", "Vas": "1 L"})
    keep("driver", "less", {"fs": "1200 Hz", "kind": "tweeter", "size": "25 mm", "Re": "3.3 ohm"})
    keep("cabin", "van", {"length": "5 m"})
    page = how_loud()
    said = left_out(page, "driver")
    assert said.startswith('Not offered here: half (add "Total Qts", "Cone area Sd" and "Coil resistance Re"); less (')
    assert "enough" not in said
    assert " or " not in said
    assert left_out(page, "cabin") == 'Not offered here: van (add "Inner width" and "Inner height").'


@pytest.mark.parametrize("slip", ["fs = 40 Hz", 'fs = "40"', 'fs = "40 Hz'])
def test_one_slip_hides_no_other_part(place, slip):
    """Those before and after it are offered, on the page of parts too, and the slip is told on both."""
    keep("driver", "first", SHEET)
    place.write_text(
        place.read_text()
        + f'\n[driver.mine]\n{slip}\n\n[cabin."a van"]\n'
        + "".join(f'{key} = "{value}"\n' for key, value in CABIN.items())
    )
    page, parts = sealed_or_vented(), my_parts()
    assert offered_to(page, "driver")[0] == "first"
    assert "mine" not in offered_to(page, "driver")
    assert "a van" in offered_to(page, "cabin")
    assert parts.forms["driver"].kept.options == (NONE, "first")
    for told in (page.keeping.wrong.value, parts.wrong.value):
        assert told.startswith(SAID)
        assert slip.split(" = ")[1].strip('"').split()[0] in told
        assert "Until that is mended it is left out, and nothing new is kept" in told
