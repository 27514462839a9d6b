"""The mechanism that every page of sliders uses."""

import dataclasses
import io
import re

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from PIL import Image

from lumpedbox import Air, solve
from lumpedbox.figures.style import DARK, LIGHT, PENS
from lumpedbox.sliders.kit.controls import Slider
from lumpedbox.sliders.kit.litres import Litres
from lumpedbox.sliders.kit.predict import Question
from lumpedbox.sliders.kit.systems import SYSTEMS, VOLUME
from lumpedbox.sliders.lessons.alignments.page import alignments
from lumpedbox.sliders.lessons.bass_meets_panels.page import bass_meets_panels
from lumpedbox.sliders.lessons.closed_box import closed_box
from lumpedbox.sliders.lessons.crossing_over import crossing_over
from lumpedbox.sliders.lessons.data_sheet import data_sheet
from lumpedbox.sliders.lessons.decibels import decibels
from lumpedbox.sliders.lessons.how_loud import how_loud
from lumpedbox.sliders.lessons.loud_tweeter import loud_tweeter
from lumpedbox.sliders.lessons.sealed_or_vented import round_port, sealed_or_vented
from lumpedbox.sliders.lessons.small_woofers import small_woofers
from lumpedbox.sliders.lessons.which_box.page import which_box
from lumpedbox.tables import demo_cabins, demo_drivers
from lumpedbox.units import cubic_foot, foot, inch, litre

METRIC, CUSTOMARY = SYSTEMS


PAGES = (
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


@pytest.fixture(params=PAGES, ids=lambda make: make.__name__, scope="module")
def made(request):
    return request.param()


@pytest.fixture
def page(made):
    """A page as it opens; each is made once."""
    yield made
    made.reset()
    if made.picture.figure.dpi != 200 or made.picture.figure.get_facecolor()[0] < 1:
        made.picture.suit({"density": 2, "dark": False})


def move_all(page, where):
    """Move all sliders to where they stand for a share of their way, and have the page answer once."""
    sliders = {name: control for name, control in page.controls.items() if isinstance(control, Slider)}
    page.put({name: (1 - where) * slider.low + where * slider.high for name, slider in sliders.items()})


@pytest.fixture
def boxes():
    return sealed_or_vented()


def in_full(page):
    """Draw the whole figure at once, as if nothing had been kept."""
    moving = page.picture._moving
    for artist in moving:
        artist.set_animated(False)
    page.scene.figure.canvas.draw()
    pixels = page.picture.pixels()
    for artist in moving:
        artist.set_animated(True)
    return pixels


def test_moving_draws_what_a_full_redraw_draws(page):
    move_all(page, 0.6)
    moved = page.picture.pixels()
    assert np.count_nonzero(moved != in_full(page)) == 0


@pytest.mark.parametrize(("density", "dark"), [(1.25, False), (3, True)])
def test_the_picture_suits_the_screen(page, density, dark):
    """A pixel of the picture for each pixel of the screen, at 820 pixels of the page; ink and paper as around it."""
    page.picture.suit({"density": density, "dark": dark})
    next(iter(page.controls.values())).widget.value += 3
    shown = Image.open(io.BytesIO(page.picture.widget.value)).convert("RGB")
    assert shown.width == 820 * density
    drawn = page.picture.pixels()
    assert np.count_nonzero(drawn != in_full(page)) == 0
    difference = np.abs(np.asarray(shown, int) - drawn[..., :3]).max(axis=-1)
    assert np.mean(difference > 40) < 0.005, "the few colours of the file are those of the drawing"
    (paper_count, paper) = max(shown.getcolors(256))
    assert paper == ((21, 21, 21) if dark else (255, 255, 255))
    assert paper_count > 0.7 * shown.width * shown.height


def test_every_curve_stands_out_from_both_papers():
    """A contrast of at least 3:1 (W3C, Web Content Accessibility Guidelines 2.1, 1.4.11, from memory)."""

    def luminance(colour):
        linear = [part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in to_rgb(colour)]
        return np.dot([0.2126, 0.7152, 0.0722], linear)

    for name, pen in PENS.items():
        for colours in (LIGHT, DARK):
            darker, lighter = sorted([luminance(pen.color), luminance(colours["paper"])])
            assert (lighter + 0.05) / (darker + 0.05) >= 3.0, (name, colours["paper"])


def test_the_start_stays_as_a_reference(boxes):
    _, at_start = boxes.scene.stack.values("sealed", "level")
    kept = np.array(at_start)
    boxes.controls["volume"].value = 60 * litre
    _, reference = boxes.scene.stack.values("sealed at the start", "level")
    assert np.array_equal(reference, kept)


def test_back_to_start(page):
    first, sentence = page.picture.pixels(), page.sentence
    move_all(page, 1.0)
    assert page.sentence != sentence
    page.reset()
    assert page.sentence == sentence
    assert np.array_equal(page.picture.pixels(), first)


def test_limits_stay_put(page):
    before = [axes.get_ylim() for axes in page.scene.figure.axes]
    move_all(page, 1.0)
    assert [axes.get_ylim() for axes in page.scene.figure.axes] == before


def test_the_sentence_is_computed_anew(boxes):
    """Its numbers are those of the loudspeakers that the page hands out, solved at other points than drawn."""
    boxes.controls["fb"].value = 30.0
    boxes.controls["voltage"].value = 8.0
    at_40 = {name: float(solve(speaker, 40, 8.0).level[0]) for name, speaker in boxes.scene.parts(boxes.values).items()}
    numbers = [float(n) for n in re.findall(r"\d+\.\d", boxes.sentence)]
    assert numbers[:3] == pytest.approx(
        [abs(at_40["vented"] - at_40["sealed"]), at_40["vented"], at_40["sealed"]], abs=0.051
    )
    assert ("louder" in boxes.sentence) == (at_40["vented"] > at_40["sealed"])


def test_the_shares_of_small_woofers_add_up():
    """L. S. Shapley (1953, from memory): shares sum to the difference; of one cause alone the share is all of it."""
    page = small_woofers()
    whole, told = re.search(r"Of these ([-+][\d.]+) dB each has its share: ([^:]*?)\. Held", page.sentence).groups()
    shares = [float(n) for n in re.findall(r"([-+][\d.]+) dB", told)]
    at_40 = [solve(speaker, 40.0).level[0] for speaker in page.scene.parts(page.values).values()]
    assert float(whole) == pytest.approx(at_40[2] - at_40[0], abs=0.051)
    assert sum(shares) == pytest.approx(float(whole), abs=0.2)
    assert told.startswith("cone ")
    page.controls["third"].value = page.values["first"]
    assert "each has its share: nothing changed" in page.sentence


def test_the_sentence_on_small_woofers():
    """Its two gaps: from the responses, and from the volumes moved (20 log of their ratio, whatever the frequency)."""
    page = small_woofers()
    page.controls["look"].value = 50.0
    drivers = demo_drivers()
    tired, small = drivers["200 mm step well, tired"], drivers["130 mm step well"]
    gap = 20 * np.log10(tired.Vd / small.Vd)
    assert f"{gap:.1f} dB less" in page.sentence
    assert f"moves {small.Vd * 1e6:.0f} cm³" in page.sentence


def test_units_convert_numbers_and_not_only_labels(boxes):
    boxes.controls["volume"].value = 2 * cubic_foot
    boxes.use(CUSTOMARY)
    slider = boxes.controls["volume"].widget
    assert "cubic feet" in slider.description
    assert slider.value == pytest.approx(2.0)
    assert slider.max == pytest.approx(80 * litre / cubic_foot)
    assert boxes.values["volume"] == pytest.approx(2 * cubic_foot)
    axes = boxes.scene.stack.axes["excursion"]
    assert "inches" in axes.get_ylabel()
    frequency, shown = boxes.scene.stack.values("sealed", "excursion")
    response = solve(boxes.scene.parts(boxes.values)["sealed"], frequency, boxes.values["voltage"])
    assert shown == pytest.approx(response.excursion / inch)
    vented = solve(boxes.scene.parts(boxes.values)["vented"], frequency, boxes.values["voltage"])
    assert f"reaches {np.max(vented.port_velocity) / foot:.0f} feet/s" in boxes.sentence
    slider.value = 1.0
    assert boxes.values["volume"] == pytest.approx(cubic_foot)
    boxes.use(METRIC)
    assert boxes.controls["volume"].widget.value == pytest.approx(cubic_foot / litre)
    assert "litres" in slider.description


def test_switching_units_there_and_back_changes_nothing(page):
    before, values = page.picture.pixels(), page.values
    page.use(CUSTOMARY)
    page.use(METRIC)
    assert page.values == values
    assert np.array_equal(page.picture.pixels(), before)


def test_a_failing_move_says_so_and_keeps_the_picture(boxes, monkeypatch):
    before, sentence = boxes.picture.pixels(), boxes.sentence

    def refuse(values):
        raise ValueError("VentedBox.fb must be lower")

    monkeypatch.setattr(boxes.scene, "move", refuse, raising=False)
    boxes.controls["fb"].value = 25.0
    assert boxes.message == "VentedBox.fb must be lower"
    assert boxes.sentence == sentence
    assert np.array_equal(boxes.picture.pixels(), before)
    monkeypatch.undo()
    boxes.controls["fb"].value = 26.0
    assert boxes.message == ""


def test_an_unexpected_failure_is_shown_too(boxes, monkeypatch):
    monkeypatch.setattr(boxes.scene, "move", lambda values: 1 / 0)
    boxes.controls["fb"].value = 25.0
    assert "ZeroDivisionError" in boxes.message


def test_a_port_that_cannot_be_built_is_said(boxes):
    boxes.controls["port_area"].value = 10e-4
    boxes.controls["volume"].value = 80 * litre
    boxes.controls["fb"].value = 80.0
    assert "No port of that area tunes this box so high" in boxes.sentence


@pytest.mark.parametrize(
    ("volume", "fb", "area", "said"),
    [
        # lengths by Helmholtz's formula in the test below; a bare hole of 50 cm2 tunes 80 litres to 60 Hz or so
        (80, 80.0, 50, "enlarge it or tune lower"),
        (6, 28.0, 50, "make it smaller or tune higher"),
        (6, 80.0, 150, "make it smaller or tune higher"),
        (20, 36.0, 50, "does not fit without a bend"),
        (60, 36.0, 50, "fits in a cube"),
    ],
)
def test_advice_on_the_port(boxes, volume, fb, area, said):
    boxes.controls["volume"].value = volume * litre
    boxes.controls["port_area"].value = area * 1e-4
    boxes.controls["fb"].value = fb
    assert said in boxes.sentence
    corrections = (0.6127 + 0.82167) * np.sqrt(area * 1e-4 / np.pi)
    length = (Air().sound_speed / (2 * np.pi * fb)) ** 2 * area * 1e-4 / (volume * litre) - corrections
    assert ("enlarge" in said) == (length < 0)
    assert length < 0 or f"is {1000 * length:.0f} mm long" in boxes.sentence


def test_a_long_port_ends_the_model_early(boxes):
    """A sixth of a wavelength in the longest of box and port."""
    boxes.controls["volume"].value = 10 * litre
    length = round_port(boxes.values).length
    assert length > np.cbrt(10 * litre)
    (shown, _), _ = boxes.scene.stack.values("validity", "level")
    assert shown == pytest.approx(Air().sound_speed / (6 * length), rel=1e-6)


def test_where_the_cone_passes_its_travel(boxes):
    """Twice: around the tuning the vented cone is quiet."""
    boxes.controls["fb"].value, boxes.controls["voltage"].value = 40.0, 25.0
    vented = boxes.scene.responses["vented"]
    over = vented.excursion > vented.loudspeaker.driver.xmax
    edges = vented.frequency[:-1][over[:-1] != over[1:]]
    assert len(edges) == 3
    assert f"below {edges[0]:.0f} Hz and from " in boxes.sentence
    assert f" to {edges[2]:.0f} Hz in the vented one" in boxes.sentence


def test_first_screen_is_small(page):
    shown = [c for c in page.widget.children[0].children if type(c).__name__ == "FloatSlider"]
    assert 1 <= len(shown) <= 2


def test_the_values_can_be_taken_out_as_parts(boxes):
    boxes.controls["volume"].value = 33 * litre
    assert boxes.scene.parts(boxes.values)["vented"].box.volume == pytest.approx(33 * litre)


def guess_of(page):
    """The guess that a page asks for, by its radio buttons and its button."""
    asked = page.widget.children[0].children[0]
    return asked.children


def test_curves_and_sliders_wake_after_a_guess(boxes):
    curves, said = boxes.picture.pixels(), boxes.sentence
    which = Question("Which is <louder>?", ("this", "that"), right="that", why="It is <larger>.", look="Look there.")
    assert boxes.ask(which) is boxes
    covered = boxes.picture.pixels()
    asked, options, buttons = guess_of(boxes)
    mark, _ = buttons.children
    assert "Which is &lt;louder&gt;?" in asked.value
    assert all(control.widget.disabled for control in boxes.controls.values())
    assert boxes.sentence == ""
    boxes.use(CUSTOMARY)
    boxes.use(METRIC)
    assert np.array_equal(boxes.picture.pixels(), covered), "changing units gives the answer away"
    assert {tuple(colour) for colour in covered.reshape(-1, 4)} < {tuple(colour) for colour in curves.reshape(-1, 4)}
    assert mark.disabled
    options.value = "that"
    mark.click()
    assert "<b>You guessed: that. Right. It is &lt;larger&gt;.</b> Look there." in asked.value
    assert guess_of(boxes) == (asked,)
    assert not any(control.widget.disabled for control in boxes.controls.values())
    assert np.array_equal(boxes.picture.pixels(), curves)
    assert boxes.sentence == said


def test_who_makes_no_guess_is_shown_the_answer_at_once(boxes):
    curves, said = boxes.picture.pixels(), boxes.sentence
    boxes.ask(Question("Which?", ("this", "that"), right="that", why="It is <larger>.", look="Look there."))
    asked, _, buttons = guess_of(boxes)
    buttons.children[1].click()
    assert "<b>The answer is: that. It is &lt;larger&gt;.</b> Look there." in asked.value
    assert guess_of(boxes) == (asked,)
    assert not any(control.widget.disabled for control in boxes.controls.values())
    assert np.array_equal(boxes.picture.pixels(), curves)
    assert boxes.sentence == said


def litres_of(page, drivers=None):
    return Litres(page.controls["volume"], page.controls["driver"], demo_drivers() if drivers is None else drivers)


def test_litres_take_off_what_the_chosen_driver_takes_up(boxes):
    """A cone of 132 mm over 66 mm: 25/54 of a cylinder of that size (`tests/unit/parts/test_displacement.py`)."""
    helper = litres_of(boxes)
    boxes.controls["driver"].value = "200 mm bass"  # of 1.4 litres by its sheet
    with_bass = helper.litres()
    assert "The driver takes up 1.4 litres or 0.049 cubic feet." in helper.said.value
    boxes.controls["driver"].value = "165 mm panel, cone weighed dry"  # nothing is printed
    expected = 25 / 54 * 137 * 6.6 / 1000
    assert (with_bass - helper.litres()) / litre == pytest.approx(expected - 1.4, rel=1e-5)  # the sheet's Sd is fitted
    assert "takes up about 0.4 litres or 0.015 cubic feet (assumed from its diameter and depth;" in helper.said.value
    helper.fields["driver"].value = "2 L"
    assert (with_bass - helper.litres()) / litre == pytest.approx(0.6, rel=1e-9)
    assert "takes up" not in helper.said.value
    boxes.reset()


@pytest.mark.parametrize(
    ("typed", "expected"),
    [
        # Source: a box of 600 x 400 x 350 mm outside with 18 mm walls holds 64.46294 litres (worked by hand:
        # 564 x 364 x 314 mm).
        ({"width": "600 mm", "height": "400 mm", "depth": "350 mm", "board": "18 mm"}, 64.462944),
        ({"width": "60 cm", "height": "0.4 m", "depth": "35 cm", "board": "1.8 cm"}, 64.462944),
        (
            {"width": '24"', "height": "16 IN", "depth": "13 2/2 in", "board": "3/4 in", "port": "0"},
            22.5 * 14.5 * 12.5 * 0.016387064,
        ),
        ({"width": "24 in", "height": "16 in", "depth": "14 in", "board": "0.75 in"}, 22.5 * 14.5 * 12.5 * 0.016387064),
    ],
)
def test_litres_from_a_tape_measure(boxes, typed, expected):
    helper = litres_of(boxes)
    for name, text in {"driver": "1 L", **typed}.items():
        helper.fields[name].value = text
    net = expected - 1
    assert helper.litres() / litre == pytest.approx(net, rel=1e-9)
    helper.use()
    assert boxes.values["volume"] == pytest.approx(net * litre)
    assert VOLUME.customary.text(net * litre) in helper.said.value
    assert ("No port is taken off." in helper.said.value) is ("port" not in typed)


@pytest.mark.parametrize(
    ("name", "text", "said"),
    [
        ("width", "600", "Outside width: Write the unit too"),
        ("width", "-600 mm", "Outside width: '-600 mm' is less than nothing"),
        ("width", "600 kg", "Outside width: 'kg' cannot be turned into mm"),
        ("depth", "30 mm", "net_volume.depth leaves no room between two boards of 18 mm"),
        ("driver", "900 L", "driver and port take up"),
        ("driver", "0 L", "Driver takes up: Every driver takes up some room: leave this empty for an estimate."),
        ("board", "", "Board thickness: '' is not a number"),
    ],
)
def test_litres_says_what_is_wrong(boxes, name, text, said):
    helper, before = litres_of(boxes), boxes.values["volume"]
    helper.fields[name].value = text
    assert said in helper.said.value.replace("&#x27;", "'")
    helper.use()
    assert boxes.values["volume"] == before


def test_both_corners_of_a_cabin_are_shown(boxes):
    """By volume c / 2 pi sqrt(2 pi r / flex V), by length c / 2 L, for the invented cabins at 1 m in 20 C air."""
    for name, cabin in demo_cabins().items():
        boxes.controls["cabin"].value = name
        by_volume = (
            Air().sound_speed / (2 * np.pi) * np.sqrt(2 * np.pi / (1.5 * cabin.length * cabin.width * cabin.height))
        )
        assert f"Going by its volume, the cabin lifts what lies below {by_volume:.0f} Hz" in boxes.sentence
        assert f"below {Air().sound_speed / (2 * cabin.length):.0f} Hz by the rule of thumb" in boxes.sentence


def test_a_driver_without_linear_travel(boxes):
    driver = dataclasses.replace(demo_drivers()["200 mm bass"], xmax=None)
    assert "linear travel is not known" in sealed_or_vented({"mine": driver}).sentence
    page = small_woofers({"mine": driver})
    assert "nothing is said about running out of it" in page.sentence
    assert page.message == ""
