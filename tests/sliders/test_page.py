"""The mechanism that every page uses: controls, picture, answer, and what is kept beside them."""

import io
import itertools
import json
import re

import numpy as np
import pytest
from matplotlib.colors import to_rgb
from PIL import Image

from lumpedbox import solve
from lumpedbox.figures.style import DARK, LIGHT, PENS
from lumpedbox.sliders.kit import facts, systems
from lumpedbox.sliders.kit.answer import AT_A_GLANCE, Answer, Fact, say, words_at_a_glance
from lumpedbox.sliders.kit.controls import Slider
from lumpedbox.sliders.kit.picture import DESK
from lumpedbox.sliders.kit.systems import SYSTEMS, Kind
from lumpedbox.units import cubic_foot, foot, inch, litre
from tests.sliders.conftest import ask

METRIC, CUSTOMARY = SYSTEMS


@pytest.fixture
def page(pages, page_name):
    """A page as it opens; each is made once."""
    page = pages(page_name)
    yield page
    if page.picture.room != DESK:
        page._on_room(DESK)


def move_all(page, where):
    """Move all sliders to where they stand for a share of their way, and have the page answer once."""
    sliders = {name: control for name, control in page.controls.items() if isinstance(control, Slider)}
    page.put(**{name: (1 - where) * slider.low + where * slider.high for name, slider in sliders.items()})


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


@pytest.mark.parametrize("dark", [False, True])
def test_no_curve_crosses_out_a_title(boxes, dark):
    """Where curves pass under the words, all but the words is nearer to the paper than to any ink."""
    boxes.board.room = DESK | {"dark": dark}
    title = boxes.scene.stack.titles["level"]
    curve = boxes.scene.stack.lines["sealed", "level"]
    high, grid = boxes.scene.stack.axes["level"].get_ylim()[1], boxes.scene.grid
    for share in (0.97, 0.94, 0.91):  # a curve at every height of the words
        curve.set_data(grid, np.full(len(grid), share * high))
        boxes.picture.draw()
        box, pixels = title.get_window_extent(), boxes.picture.pixels()[::-1, :, :3].astype(int)
        place = slice(int(box.y0), int(box.y1)), slice(int(box.x0), int(box.x1))
        ink = 255 * np.array(to_rgb(PENS["sealed"].color))
        assert np.abs(pixels[place] - ink).max(axis=-1).min() > 40
    boxes.board.room = DESK


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
            else str(random.choice(getattr(control, "options", ()) or (control.start,)))
            for name, control in page.controls.items()
        }
        page.put(**places)
        if page.message:
            assert "should not have happened" not in page.message
            continue
        for system in SYSTEMS:
            said = page.answer.said(system, page.start_answer)
            assert words_at_a_glance(said) <= AT_A_GLANCE
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
    (line,) = (line for line in boxes.board.answer["facts"] if line["name"] == facts.REACH)
    assert [cell["was"] for cell in line["values"]] == [
        value.text(METRIC) for value in boxes.start_answer[facts.REACH].values.values()
    ]
    boxes.reset()
    assert not any(cell["was"] for line in boxes.board.answer["facts"] for cell in line["values"])


def table(words, **facts):
    """An answer of facts with one cell each under "sealed" and "vented"."""
    lines = [Fact(name, {"sealed": say(sealed), "vented": say(vented)}) for name, (sealed, vented) in facts.items()]
    return Answer(headline=say(words), facts=tuple(lines), details=(say("Why."),))


def test_of_more_than_sixty_words_the_last_facts_are_folded():
    """By hand: 2 words and 2 columns, 1 + 10 + 10 a fact; what it was is not counted, and stays beside it."""
    ten, other = " ".join("x" * 10), " ".join("y" * 10)
    answer = table("In short", one=(ten, ten), two=(ten, other), three=(ten, ten))
    said = answer.said(METRIC, table("In short", one=(other, ten), two=(ten, ten), three=(other, ten)))
    assert words_at_a_glance(said) == 2 + 2 + 2 * 21
    assert [line["name"] for line in said["facts"]] == ["one", "two"]
    assert said["details"] == [f"three, sealed: {ten} (was {other}). three, vented: {ten}.", "Why."]
    assert [[cell["was"] for cell in line["values"]] for line in said["facts"]] == [[other, ""], ["", ten]]


def test_what_fits_at_a_glance_stays_beside_what_it_was():
    said = table("Short", one=("a", "b")).said(METRIC, table("Short", one=("c", "b")))
    assert said["facts"][0]["values"] == [{"text": "a", "was": "c"}, {"text": "b", "was": ""}]
    assert said["details"] == ["Why."]


def test_a_cell_that_is_empty_now_does_not_tell_what_it_was():
    """A box that cannot be built stands beside no old number that could be taken for its own."""
    now = Answer(
        headline=say("No."), facts=(Fact("f3", {"sealed": say("50 Hz")}), Fact("box", {"vented": say("none")}))
    )
    said = now.said(METRIC, table("Yes.", f3=("50 Hz", "33 Hz"), box=("1", "2")))
    assert said["facts"][0]["values"][1] == {"text": "", "was": ""}
    assert "33 Hz" not in " ".join(said["details"])


@pytest.mark.parametrize("cure", ["across tweeter and capacitor", "across tweeter alone", "pad before the capacitor"])
def test_a_cure_shows_what_to_buy_and_what_the_woofer_gets_unfolded(pages, cure):
    page = pages("shared_channel")
    page.put(cure=cure)
    shown = {line["name"]: line["values"] for line in page.board.answer["facts"]}
    assert {"buy", "woofer, 50 Hz", "woofer, 200 Hz", "tweeter"} <= set(shown)
    assert page.board.answer["columns"] == [cure, "in parallel"]


@pytest.mark.parametrize(
    ("text", "litres", "refused"),
    [
        ("33.3", 33.3, ""),
        ("33.3 L", 33.3, ""),
        ("1 ft^3", 28.316847, ""),
        (" 40 ", 40, ""),
        ("1000", 80, "1000 is outside 6.0 to 80.0 litres: 80.0 is taken."),
        ("-5", 6, "-5 is outside 6.0 to 80.0 litres: 6.0 is taken."),
        ("12,5", 12.5, "12,5 is read as 12.5."),
        ("12,5 L", 12.5, "12,5 L is read as 12.5 L."),
        ("0,5 ft^3", 14.1584234, "0,5 ft^3 is read as 0.5 ft^3."),
        ("0,035 m3", 35, "0,035 m3 is read as 0.035 m3."),
        ("1000,5", 80, "1000,5 is read as 1000.5. 1000.5 is outside 6.0 to 80.0 litres: 80.0 is taken."),
        ("1 000", 80, "1 000 is read as 1000. 1000 is outside 6.0 to 80.0 litres: 80.0 is taken."),
        (
            *("10,500", 20),
            "'10,500' is not a number: leave out a comma for thousands; for decimals, write a point. Is it 10500, or "
            "10.500?",
        ),
        ("1,5,5", 20, "'1,5,5' is not a number: write a point for the comma."),
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
    ("text", "shown"),
    [("33.33", "33.33"), ("33.333", "33.333"), ("33.33333", "33.3"), ("0.02 m^3", "20.0"), ("20", "20.0")],
)
def test_a_number_typed_finely_is_shown_as_finely_up_to_two_decimals_more(boxes, text, shown):
    sent = []
    boxes.board.send = lambda message, buffers=None: sent.append(message)
    ask(boxes, typed=["volume", text])
    del boxes.board.send
    assert boxes.board.shown["volume"]["text"] == shown
    assert sent == [{"read": "volume"}], "the browser is told to show it, though nothing may have moved"


def test_what_was_taken_instead_is_told_until_the_next_move(boxes):
    """Another control that is moved, or typed into, ends it; so does the way back to a state or to the start."""
    for following in ({"typed": ["fb", "41"]}, {"link": "fb=40"}, {"reset": True}):
        ask(boxes, typed=["volume", "1000"])
        assert boxes.board.refused == {"volume": "1000 is outside 6.0 to 80.0 litres: 80.0 is taken."}
        ask(boxes, rest=True)
        assert boxes.board.refused
        ask(boxes, **following)
        assert boxes.board.refused == {}
    ask(boxes, typed=["volume", "1000"])
    boxes.board.moved = {"number": 1, "places": {"fb": 30.0}}
    assert boxes.board.refused == {}


def test_what_cannot_be_read_stays_at_its_field_until_that_is_put_right(boxes):
    ask(boxes, typed=["volume", "many"])
    ask(boxes, typed=["fb", "41"])
    ask(boxes, typed=["fb", "1000"])
    boxes.board.moved = {"number": 1, "places": {"port_area": 0.004}}
    assert boxes.board.refused == {"volume": "'many' is not a number."}
    assert boxes.board.mistyped == {"volume": "many"}
    ask(boxes, typed=["volume", ""])
    assert boxes.board.refused == {"volume": "Type a number."}
    assert boxes.board.mistyped == {"volume": ""}, "an earlier text comes back"
    boxes.put(Ql=9.0)
    assert boxes.board.mistyped == {"volume": ""}
    ask(boxes, typed=["volume", "30"])
    assert boxes.board.refused == boxes.board.mistyped == {}


@pytest.mark.parametrize("times", [1000, 100])
def test_a_length_in_another_unit_is_asked_about_and_not_taken(page, times):
    """Millimetres and centimetres typed for metres: 4600 is not 8 m, but likely 4600 mm."""
    lengths = [control for control in page.controls.values() if getattr(control, "kind", None) is systems.WAY]
    for control in lengths:
        start, unit = page.values[control.name], {1000: "mm", 100: "cm"}[times]
        if times * start <= 5 * control.high or start < control.step:
            continue  # that may be meant as it stands
        typed = f"{times * start:.6g}"
        ask(page, typed=[control.name, typed])
        assert page.values[control.name] == start
        assert page.board.refused[control.name].endswith(f" Did you mean {typed} {unit}?")
        ask(page, typed=[control.name, f"{typed} {unit}"])
        assert page.values[control.name] == pytest.approx(start)
        assert page.board.refused == {}


def test_feet_are_not_taken_for_inches(pages):
    page = pages("cabin_gain")
    page.board.system = CUSTOMARY
    ask(page, typed=["length", "181"])
    assert page.board.refused["length"].endswith("Did you mean 181 inches?")
    ask(page, typed=["length", "15 ft 1 in"])
    assert page.values["length"] == pytest.approx(181 * inch)


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


def test_the_legend_has_room_for_the_start_before_anything_has_moved(boxes):
    """Else its row would come with the first move, and push the picture down under the hand."""
    before = boxes.board.legend
    boxes.put(volume=60 * litre)
    assert [entry["text"] for entry in before] == [entry["text"] for entry in boxes.board.legend]
    assert [(entries[-1]["text"], entries[-1]["shown"]) for entries in (before, boxes.board.legend)] == [
        ("where you started", False),
        ("where you started", True),
    ]
