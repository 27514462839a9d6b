"""The mechanism that every page uses: controls, picture, answer, and what is kept beside them."""

import io
import itertools
import json
import re
from urllib.parse import urlencode

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from PIL import Image

from lumpedbox import solve
from lumpedbox.figures.style import DARK, LIGHT, PENS
from lumpedbox.sliders.kit import facts, systems
from lumpedbox.sliders.kit.controls import Slider
from lumpedbox.sliders.kit.picture import DESK
from lumpedbox.sliders.kit.predict import Question
from lumpedbox.sliders.kit.systems import SYSTEMS, Kind
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented
from lumpedbox.units import cubic_foot, foot, inch, litre

METRIC, CUSTOMARY = SYSTEMS
LOUDER = Question("Which is <louder>?", ("this", "that"), right="that", why="It is <larger>.", look="Look there.")


@pytest.fixture
def page(pages, page_name):
    """A page as it opens; each is made once."""
    page = pages(page_name)
    yield page
    if page.picture.room != DESK:
        page._on_room(DESK)


@pytest.fixture
def boxes():
    return sealed_or_vented()


def move_all(page, where):
    """Move all sliders to where they stand for a share of their way, and have the page answer once."""
    sliders = {name: control for name, control in page.controls.items() if isinstance(control, Slider)}
    page.put(**{name: (1 - where) * slider.low + where * slider.high for name, slider in sliders.items()})


def ask(page, **message):
    """Send what the browser sends."""
    page.board._handle_custom_msg(message, [])


UNITS = {kind.shown(system).unit for kind in vars(systems).values() if isinstance(kind, Kind) for system in SYSTEMS} - {
    ""
}
MEASURED = re.compile(rf"(\d) ({'|'.join(map(re.escape, sorted(UNITS, key=len, reverse=True)))})(?![\w])")


def words_of(text):
    """Return how many words a text has; a number with its unit is one."""
    return len(MEASURED.sub(r"\1", text).split())


def in_full(page):
    """Draw the whole figure at once, as if nothing had been kept."""
    moving = page.picture._moving
    animated = [artist.get_animated() for artist in moving]
    for artist in moving:
        artist.set_animated(False)
    page.scene.figure.canvas.draw()
    pixels = page.picture.pixels()
    for artist, was in zip(moving, animated, strict=True):
        artist.set_animated(was)
    return pixels


def test_moving_draws_what_a_full_redraw_draws(page):
    move_all(page, 0.6)
    moved = page.picture.pixels()
    assert np.count_nonzero(moved != in_full(page)) == 0


@pytest.mark.parametrize(
    "room",
    [
        {"width": 980, "height": 340, "density": 1.25, "dark": False},
        {"width": 362, "height": 380, "density": 3, "dark": True},
    ],
)
def test_the_picture_suits_its_room(page, room):
    """A pixel of the picture for each pixel of the screen; ink and paper as around it; nothing left as it was."""
    page.board.room = room
    move_all(page, 0.55)
    shown = Image.open(io.BytesIO(page.board.picture)).convert("RGB")
    assert shown.size == (int(room["width"] * room["density"]), int(room["height"] * room["density"]))
    drawn = page.picture.pixels()
    assert np.count_nonzero(drawn != in_full(page)) == 0
    difference = np.abs(np.asarray(shown, int) - drawn[..., :3]).max(axis=-1)
    assert np.mean(difference > 40) < 0.01, "the few colours of the file are those of the drawing"
    (paper_count, paper) = max(shown.getcolors(256))
    assert paper == ((21, 21, 21) if room["dark"] else (255, 255, 255))
    assert paper_count > 0.6 * shown.width * shown.height
    for panel in page.board.axes["panels"]:  # the margins are of one width, whatever the room
        assert panel["left"] * room["width"] == pytest.approx(42)


@pytest.mark.parametrize(("width", "height"), [(1100, 572), (980, 338), (647, 300), (354, 380)])
@pytest.mark.parametrize("page_name", ["closed_alignments", "vented_alignments"])
def test_poles_and_step_have_room_beside_each_other_or_one_under_the_other(page, width, height):
    """Screens of 1920, 1366, 683 (zoomed) and 390 (a phone) px: neither lies on the other, and both can be read."""
    page.board.room = {"width": width, "height": height, "density": 1, "dark": False}
    page.move()
    figure = page.scene.figure
    figure.canvas.draw()
    plane, step = (next(axes for axes in figure.axes if axes.get_label() == name) for name in ("s-plane", "step"))
    assert not plane.get_tightbbox().overlaps(step.get_window_extent())
    assert not step.get_tightbbox().overlaps(plane.get_window_extent())
    assert min(axes.get_window_extent().height for axes in (plane, step)) > 60
    assert min(axes.get_window_extent().width for axes in (plane, step)) > 60
    key, poles = plane.texts[0], page.scene.crosses.values()
    if key.get_visible():
        spots = [spot for line in poles for spot in plane.transData.transform(line.get_xydata())]
        assert not any(key.get_window_extent().contains(*spot) for spot in spots)


@pytest.mark.parametrize("dark", [False, True])
@pytest.mark.parametrize("page_name", ["how_loud"])
def test_no_curve_strikes_out_the_label_of_its_panel(page, dark):
    """A curve runs through the corner of this page's first panel: as much ink is on the label as without the curves."""
    page.board.room = DESK | {"dark": dark}
    page.reset()
    label, lines = page.scene.stack.labels["level"], page.scene.stack.lines.values()

    def ink():
        x, y, width, height = (int(side) for side in label.get_window_extent().bounds)
        pixels = page.picture.pixels()
        words = pixels[len(pixels) - y - height : len(pixels) - y, x : x + width, :3].astype(int)
        colour = (230, 230, 230) if dark else (28, 28, 28)
        return np.count_nonzero(np.abs(words - colour).max(axis=-1) < 60)

    inked = ink()
    for line in lines:
        line.set_visible(False)
    page.picture.draw()
    bare = ink()
    for line in lines:
        line.set_visible(True)
    page.reset()
    assert bare > 100
    assert inked == pytest.approx(bare, rel=0.02)


def test_every_curve_stands_out_from_both_papers():
    """A contrast of at least 3:1 (W3C, Web Content Accessibility Guidelines 2.1, 1.4.11, from memory)."""
    for name, pen in PENS.items():
        for colours in (LIGHT, DARK):
            darker, lighter = sorted([luminance(pen.color), luminance(colours["paper"])])
            assert (lighter + 0.05) / (darker + 0.05) >= 3.0, (name, colours["paper"])


def linear(colour):
    return np.array([part / 12.92 if part <= 0.03928 else ((part + 0.055) / 1.055) ** 2.4 for part in to_rgb(colour)])


def luminance(colour):
    return np.dot([0.2126, 0.7152, 0.0722], linear(colour))


# F. Vienot, H. Brettel, J. D. Mollon, Color Res. Appl. 24 (1999) 243-252, for deuteranopes; linear RGB (from memory).
DEUTERANOPE = np.array([[0.29275, 0.70725, 0.0], [0.29275, 0.70725, 0.0], [-0.02234, 0.02234, 1.0]])


def test_no_two_pens_of_a_picture_look_alike(page):
    """In grey and to a deuteranope: by dash, marks, width, or else by a clear step in brightness or hue."""
    named = {pen for pen, text in page.scene.pens.values() if text} | {
        f"kept {slot} {n}" for slot in range(4) for n in range(3)
    }
    for one, other in itertools.combinations(sorted(named), 2):
        first, second = PENS[one], PENS[other]
        same_shape = (first.dash, first.marker) == (second.dash, second.marker) and abs(
            first.width - second.width
        ) < 0.6
        grey = abs(np.sqrt(luminance(first.color)) - np.sqrt(luminance(second.color)))
        seen = np.abs(DEUTERANOPE @ (linear(first.color) - linear(second.color))).max()
        assert not same_shape or (grey > 0.2 and seen > 0.2), (one, other)


def test_the_start_stays_as_a_reference(boxes):
    _, at_start = boxes.scene.stack.values("sealed", "level")
    kept = np.array(at_start)
    boxes.put(volume=60 * litre)
    _, reference = boxes.scene.stack.values("sealed at the start", "level")
    assert np.array_equal(reference, kept)


def test_back_to_start(page):
    first, answer = page.picture.pixels(), page.board.answer
    move_all(page, 1.0)
    assert page.board.answer != answer
    ask(page, reset=True)
    assert page.board.answer == answer
    assert np.array_equal(page.picture.pixels(), first)


def test_limits_stay_put_unless_a_panel_grows(page):
    growing = {page.scene.stack.axes[key] for key, panel in page.scene.stack.panels.items() if panel.tops}
    before = {axes: axes.get_ylim() for axes in page.scene.figure.axes if axes not in growing}
    move_all(page, 1.0)
    assert {axes: axes.get_ylim() for axes in before} == before


def test_a_panel_grows_by_its_own_curves_alone(boxes):
    """The limit of the delay is the first of 40, 80, 160 ms that holds the curves of now and of the start."""
    limits = []
    for fb in (36.0, 20.0, 36.0):
        boxes.put(fb=fb, volume=80 * litre, Ql=50.0)
        longest = max(np.nanmax(boxes.scene.stack.values(name, "delay")[1]) for name in ("sealed", "vented"))
        limits.append(boxes.scene.stack.axes["delay"].get_ylim()[1])
        assert limits[-1] == next(top for top in (40.0, 80.0, 160.0) if longest <= top)
        assert boxes.board.axes["panels"][2]["high"] == limits[-1]
    assert limits[0] == limits[2] < limits[1]


def test_units_convert_numbers_and_not_only_labels(boxes):
    boxes.put(volume=2 * cubic_foot)
    boxes.board.system = CUSTOMARY
    assert boxes.board.shown["volume"]["text"] == "2.000"
    spec = next(spec for spec in boxes.board.controls if spec["name"] == "volume")
    assert spec["unit"] == "cubic feet"
    assert spec["stops"][-1] == pytest.approx(80 * litre, rel=0.01)
    stops = np.array([float(text) for text in spec["texts"]]) * cubic_foot
    assert spec["stops"] == pytest.approx(stops, abs=0.0006 * cubic_foot)
    assert boxes.values["volume"] == pytest.approx(2 * cubic_foot)
    assert boxes.board.axes["panels"][1]["unit"] == "inches"
    frequency, shown = boxes.scene.stack.values("sealed", "excursion")
    speakers = boxes.scene.parts(boxes.values)
    assert shown == pytest.approx(solve(speakers["sealed"], frequency, boxes.values["voltage"]).excursion / inch)
    vented = solve(speakers["vented"], frequency, boxes.values["voltage"])
    fastest = next(line for line in boxes.board.answer["facts"] if line["name"] == facts.PORT_AIR)["values"][1]
    assert fastest["text"] == f"{np.max(vented.port_velocity) / foot:.0f} feet/s"
    boxes.board.system = METRIC
    assert boxes.board.shown["volume"]["text"] == f"{2 * cubic_foot / litre:.1f}"


def test_switching_units_there_and_back_changes_nothing(page):
    before, values, said = page.picture.pixels(), page.values, page.board.answer
    page.board.system = CUSTOMARY
    page.board.system = METRIC
    assert page.values == values
    assert page.board.answer == said
    assert np.array_equal(page.picture.pixels(), before)


def test_a_failing_move_says_so_and_keeps_the_picture(boxes, monkeypatch):
    before, said = boxes.board.picture, boxes.board.answer

    def refuse(values):
        raise ValueError("VentedBox.fb must be lower")

    monkeypatch.setattr(boxes.scene, "move", refuse, raising=False)
    boxes.put(fb=25.0)
    assert boxes.message == boxes.board.wrong == "VentedBox.fb must be lower"
    assert (boxes.board.answer, boxes.board.picture) == (said, before)
    monkeypatch.undo()
    boxes.put(fb=26.0)
    assert boxes.message == ""


def test_an_unexpected_failure_is_shown_too(boxes, monkeypatch):
    monkeypatch.setattr(boxes.scene, "move", lambda values: 1 / 0)
    boxes.put(fb=25.0)
    assert "ZeroDivisionError" in boxes.message
    monkeypatch.undo()
    boxes.put(fb=26.0)
    monkeypatch.setattr(boxes.compared, "keep", lambda *_: 1 / 0)
    ask(boxes, keep=True)
    assert "ZeroDivisionError" in boxes.message


def test_nothing_is_kept_of_a_state_without_an_answer(boxes, monkeypatch):
    monkeypatch.setattr(boxes.scene, "move", lambda values: 1 / 0)
    boxes.put(fb=25.0)
    ask(boxes, keep=True)
    assert boxes.board.kept == []
    assert boxes.board.note == "There is no answer to keep: see what is wrong above it."
    assert "ZeroDivisionError" in boxes.message


def test_an_old_page_cannot_ask_for_what_is_not_there(boxes):
    boxes.board.moved = {"number": 1, "places": {"volume": 5.0, "driver": "sold", "colour": "red", "fb": 40.0}}
    assert (boxes.values["volume"], boxes.values["driver"], boxes.values["fb"]) == (80 * litre, "200 mm bass", 40.0)
    assert boxes.message == ""


def test_a_page_opens_within_its_words(page):
    """At most eight controls in view; headline and facts are read at a glance."""
    said = page.board.answer
    in_view = [spec for spec in page.board.controls if spec["name"] not in page.board.hidden]
    assert 1 <= len(in_view) <= 9
    assert words_of(said["headline"]) <= 20
    assert len(said["facts"]) <= 6
    told = [said["headline"], *said["columns"]]
    told += [text for line in said["facts"] for text in (line["name"], *(cell["text"] for cell in line["values"]))]
    assert sum(map(words_of, told)) <= 60
    assert not any(cell["was"] for line in said["facts"] for cell in line["values"])


@pytest.mark.parametrize("seed", range(3))
def test_every_answer_is_short_and_whole(page, seed):
    """Wherever the controls stand: at most 20 words in the headline, 25 in a sentence, six facts, no broken number."""
    random = np.random.default_rng(seed)
    for _ in range(6):
        places = {
            name: float(random.uniform(control.low, control.high))
            if isinstance(control, Slider)
            else str(random.choice(control.options))
            for name, control in page.controls.items()
        }
        page.put(**places)
        if page.message:
            assert "should not have happened" not in page.message
            continue
        for system in SYSTEMS:
            said = page.answer.said(system, page.first)
            assert words_of(said["headline"]) <= 20, said["headline"]
            assert len(said["facts"]) <= 6
            cells = [text for line in said["facts"] for cell in line["values"] for text in cell.values()]
            texts = [said["headline"], *said["details"], *said["cautions"], *cells]
            assert not [text for text in texts if {"nan", "inf", "None"} & set(text.replace(",", " ").split())]
            assert not [text for text in (*texts, said["conditions"]) if "{" in text]
            sentences = [sentence for text in texts for sentence in text.replace("? ", ". ").split(". ")]
            assert [sentence for sentence in sentences if words_of(sentence) > 25] == []
    assert json.dumps(page.board.answer)


def test_what_differs_from_the_start_says_what_it_was(boxes):
    boxes.put(volume=60 * litre)
    cells = boxes.board.answer["facts"][0]["values"]
    first = [value.text(METRIC) for value in boxes.first[facts.REACH].values.values()]
    assert [cell["was"] for cell in cells] == first
    boxes.reset()
    assert [cell["was"] for cell in boxes.board.answer["facts"][0]["values"]] == ["", ""]


@pytest.mark.parametrize(
    ("text", "litres", "refused"),
    [
        ("33.3", 33.3, ""),
        ("33.3 L", 33.3, ""),
        ("1 ft^3", 28.316847, ""),
        (" 40 ", 40, ""),
        ("1000", 80, "1000 is outside 6.0 to 80.0 litres: 80.0 is taken."),
        ("-5", 6, "-5 is outside 6.0 to 80.0 litres: 6.0 is taken."),
        ("12,5", 20, "'12,5' is not a number: write a point for the comma."),
        ("", 20, "Type a number."),
        ("many", 20, "'many' is not a number."),
        ("🔊", 20, "'🔊' is not a number."),
        ("9" * 70, 20, f"'{'9' * 60}'... is too long for a number with its unit."),
        ("1e400", 20, "'1e400' is too large a number."),
        ("20 kg", 20, "'kg' cannot be converted to litres."),
    ],
)
def test_what_is_typed_is_taken_or_refused_in_words(boxes, text, litres, refused):
    ask(boxes, typed=["volume", text])
    assert boxes.values["volume"] / litre == pytest.approx(litres, rel=1e-6)
    assert boxes.board.refused.get("volume", "") == refused
    assert boxes.message == ""
    boxes.board.moved = {"number": 1, "places": {"volume": 25 * litre}}
    assert boxes.board.refused == {}, "a move answers for the refusal"


@pytest.mark.parametrize(
    ("name", "text", "taken"),
    [
        ("pad", "4 dB", 4.0),
        ("pad", "7dB", 7.0),
        ("angle", "45°", 45.0),
        ("angle", "0.5 rad", 28.64789),
        ("angle", "30", 30.0),
    ],
)
def test_a_unit_is_taken_at_its_word(pages, name, text, taken):
    """4 dB are not the ratio that they stand for, and a radian is 57.29578 degrees."""
    page = pages("loud_tweeter")
    ask(page, typed=[name, text])
    assert page.board.refused == {}
    assert page.values[name] == pytest.approx(taken, rel=1e-6)


@pytest.mark.parametrize(("text", "volts"), [("25", 10.0), ("25 W", 10.0), ("9 V", 9.0), ("9v", 9.0), ("0.4 kW", 25.0)])
def test_power_is_typed_in_watts_or_volts(boxes, text, volts):
    """P = V^2 / R into the 4 ohm of the driver; the slider ends at 25 V."""
    ask(boxes, typed=["voltage", text])
    assert boxes.values["voltage"] == pytest.approx(volts)
    assert float(boxes.board.shown["voltage"]["text"]) == pytest.approx(volts**2 / 4, rel=0.005)
    assert boxes.board.shown["voltage"]["note"] == f"({volts:g} V into 4 ohm)"


@pytest.mark.parametrize("text", ["-3", "3 kg", "x V"])
def test_power_refuses_what_is_none(boxes, text):
    ask(boxes, typed=["voltage", text])
    assert boxes.values["voltage"] == 10.0
    assert boxes.board.refused["voltage"].endswith("Type watts, or volts with a V.")


def test_a_slider_stops_in_round_steps_at_its_start_and_ends(page):
    for system in SYSTEMS:
        for control in page.controls.values():
            if isinstance(control, Slider):
                stops, slack = np.array(control.stops(page.values, system)), 1e-9 * (control.high - control.low)
                assert np.all(np.diff(stops) > 0)
                assert control.low - slack <= stops[0] <= stops[-1] <= control.high + slack
                texts = [control.reading(stop, page.values, system) for stop in stops]
                assert len(set(texts)) == len(texts), "two places of a slider read alike"


def test_put_refuses_what_is_not_there(boxes):
    with pytest.raises(ValueError, match=r"there is no control named 'size': there are driver, volume"):
        boxes.put(size=1.0)
    with pytest.raises(ValueError, match=r"Driver: 'nobody' is not offered"):
        boxes.put(driver="nobody")


def test_up_to_four_states_are_kept_beside_the_present_one(boxes):
    volumes, curves = (30, 40, 50, 60), {}
    for volume in volumes:
        boxes.put(volume=volume * litre)
        ask(boxes, keep=True)
        curves[volume] = np.array(boxes.scene.stack.values("vented", "level")[1])
    boxes.put(volume=25 * litre)
    assert [state["name"] for state in boxes.board.kept] == [f"{volume:.1f} litres" for volume in volumes]
    for slot, volume in enumerate(volumes):
        assert np.array_equal(boxes.scene.stack.values(f"vented, kept {slot}", "level")[1], curves[volume])
    ask(boxes, keep=True)
    assert boxes.board.note == "4 are kept already. Drop one of them first."
    ask(boxes, drop=1)
    assert len(boxes.board.kept) == 3
    assert np.isnan(boxes.scene.stack.values("vented, kept 1", "level")[1]).all()
    ask(boxes, rename=[2, "  the wide   one "])
    assert [state["name"] for state in boxes.board.kept] == ["30.0 litres", "the wide one", "60.0 litres"]
    ask(boxes, **{"return": 2})
    assert boxes.values["volume"] == pytest.approx(50 * litre)
    assert boxes.board.kept[1]["answer"]["headline"] == boxes.board.answer["headline"]


def test_the_same_state_is_kept_once_and_names_differ(boxes):
    ask(boxes, keep=True)
    assert boxes.board.note.startswith("Kept: the start. ")
    ask(boxes, keep=True)
    assert boxes.board.note == "This one is kept already."
    boxes.put(Ql=9.0)
    ask(boxes, keep=True)
    ask(boxes, rename=[1, "the start"])
    assert [state["name"] for state in boxes.board.kept] == ["the start", "the start (2)"]


def test_a_state_is_named_by_what_tells_it_from_the_others(boxes):
    """Three tunings of one box are called by their tunings, though one of them is that of the start."""
    for fb in (30.0, 36.0, 42.0):
        boxes.put(volume=28 * litre, fb=fb)
        ask(boxes, keep=True)
    assert [state["name"] for state in boxes.board.kept] == ["28.0 litres, 30.0 Hz", "36.0 Hz", "42.0 Hz"]


def test_kept_states_follow_the_units(boxes):
    ask(boxes, keep=True)
    before = np.array(boxes.scene.stack.values("vented, kept 0", "excursion")[1])
    boxes.board.system = CUSTOMARY
    assert boxes.scene.stack.values("vented, kept 0", "excursion")[1] == pytest.approx(before / 25.4)
    assert "inches" in json.dumps(boxes.board.kept[0]["answer"])


def test_a_link_leads_to_where_the_page_stood(boxes):
    ask(boxes, link="volume=0.06&driver=165 mm panel&fb=41.5")
    assert (boxes.values["volume"], boxes.values["driver"], boxes.values["fb"]) == (0.06, "165 mm panel", 41.5)
    assert boxes.board.note == ""


def test_a_link_counts_from_the_start_however_the_page_stands_when_it_is_shown(boxes):
    start = boxes.board.places
    boxes.put(volume=0.06)
    assert boxes.board.places != start == boxes.board.start


@pytest.mark.parametrize(("trait", "told"), [("room", {"width": 900}), ("moved", {"number": 1})])
def test_what_goes_wrong_with_what_the_browser_tells_is_shown(boxes, trait, told):
    setattr(boxes.board, trait, told)
    assert "should not have happened" in boxes.board.wrong


def test_a_link_of_any_state_opens_that_state(page, page_name, pages):
    """What a link leaves out is what equals the start, and not what would go along with a part that is chosen anew."""
    random = np.random.default_rng(7)
    for _ in range(3):
        places = {
            name: float(control.stops(page.values, METRIC)[random.integers(len(control.stops(page.values, METRIC)))])
            if isinstance(control, Slider)
            else str(random.choice(control.options))
            for name, control in page.controls.items()
        }
        page.reset()
        page.put(**places)
        values, said = dict(page.values), page.board.answer
        link = urlencode({name: value for name, value in values.items() if value != page.start[name]})
        page.reset()
        ask(page, link=link)
        assert page.values == values
        assert page.board.answer == said


@pytest.mark.parametrize(
    ("link", "said"),
    [
        ("driver=My own&volume=0.03", "Driver: My own is not offered here. 200 mm bass stands in its place."),
        ("size=3&volume=0.03", "This page has nothing named size."),
        ("fb=high&volume=0.03", "could not convert"),
        ("fb=nan&volume=0.03", "'nan' is not a number."),
    ],
)
def test_a_link_says_what_of_it_is_gone(boxes, link, said):
    boxes.ask(LOUDER)
    ask(boxes, link=link)
    assert said in boxes.board.note
    assert boxes.values["volume"] == 0.03, "the rest of it is followed"
    assert not boxes.board.asleep


def test_a_guess_is_an_offer(boxes):
    assert boxes.ask(LOUDER) is boxes
    assert boxes.board.asleep
    ask(boxes, guess="this")
    assert not boxes.board.asleep
    assert boxes.board.guess["verdict"] == "Not so: that. It is <larger>. Look there."
    assert boxes.board.guess["chosen"] == "this"


@pytest.mark.parametrize("wake", [{"guess": ""}, {"typed": ["volume", "30"]}, {"link": "volume=0.03"}])
def test_who_makes_no_guess_is_shown_the_answer_at_once(boxes, wake):
    boxes.ask(LOUDER)
    ask(boxes, **wake)
    assert not boxes.board.asleep
    assert "chosen" not in boxes.board.guess


def test_moving_a_control_wakes_too(boxes):
    boxes.ask(LOUDER)
    boxes.board.moved = {"number": 1, "places": {"volume": 0.03}}
    assert not boxes.board.asleep
    assert boxes.values["volume"] == 0.03


def test_a_teacher_can_make_the_guess_obligatory(boxes):
    boxes.ask(LOUDER, obligatory=True)
    for wake in ({"guess": ""}, {"typed": ["volume", "30"]}, {"link": "volume=0.03"}):
        ask(boxes, **wake)
        assert boxes.board.asleep
    ask(boxes, guess="that")
    assert boxes.board.guess["verdict"].startswith("Right. It is")
    assert not boxes.board.asleep


def test_the_values_at_the_pointer_are_those_of_the_curves(page):
    """What the browser gets of each curve, curve by curve and panel by panel, is what is drawn."""
    values = np.frombuffer(page.board.values, "<f4").reshape(-1, len(page.scene.grid))
    names = [name for entry in page.board.legend for name in entry["curves"]]
    keys = [panel["key"] for panel in page.board.axes["panels"]]
    assert len(values) == len(names) * len(keys)
    assert np.frombuffer(page.board.grid, "<f4") == pytest.approx(page.scene.grid, rel=1e-6)
    for row, (name, key) in zip(values, itertools.product(names, keys), strict=True):
        frequency, drawn = page.scene.stack.values(name, key)
        expected = drawn if len(frequency) == len(row) else np.full(len(row), np.nan)
        assert np.array_equal(row, np.asarray(expected, "<f4"), equal_nan=True)


def test_the_answer_can_be_printed(page):
    text, table = str(page.answer), page.answer._repr_html_()
    assert text.splitlines()[0] == page.board.answer["headline"]
    for line in page.board.answer["facts"]:
        assert line["name"] in text
        assert line["name"] in table


def test_what_is_drawn_is_told_to_who_cannot_see_it(page):
    showing = page.board.answer["showing"]
    assert page.scene.alternative_text in showing
    assert page.board.answer["headline"] in showing
