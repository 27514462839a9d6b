"""The sheet for the garage, read back from its PDF: every number, every bar, nothing over another."""

import dataclasses
import itertools
import math
import re
from fractions import Fraction

import numpy as np
import pypdf
import pytest
import shapely
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.colors import to_rgba
from matplotlib.patches import Polygon
from matplotlib.text import Text
from pypdf.generic import ContentStream

from lumpedbox import Channel, Delay, Gain, HighPass, InfiniteBaffle, Inverted, Loudspeaker, LowPass, Peak, Port
from lumpedbox.build import (
    Cable,
    Cup,
    Draw,
    Feed,
    Hopper,
    Inside,
    Lining,
    PortRun,
    Stock,
    cut_list,
    gluing_sequence,
    net_account,
    net_by_convention,
    restated,
    write_sheet,
)
from lumpedbox.figures.cautions import CAUTIONS
from lumpedbox.figures.garage.lengths import inches
from lumpedbox.figures.garage.page import WOOD
from lumpedbox.figures.garage.sheet import sheets
from lumpedbox.units import cubic_foot, inch, litre, mm, mm2
from tests.unit.build.test_account import INSIDE, SEAT
from tests.unit.build.test_bent_slot import BOX as BENT
from tests.unit.build.test_bent_slot import SHORT, SLOT
from tests.unit.build.test_carcass import BOARD, STEPPED
from tests.unit.build.test_fit import ROOM

STOCK = Stock(length=1250 * mm, width=800 * mm, thickness=18 * mm)
FOLDED = dataclasses.replace(  # in along the floor, and back over its own shelf
    SLOT, bends=(*SLOT.bends, (426 * mm, -np.pi / 2)), port=dataclasses.replace(SLOT.port, length=650 * mm)
)
METRIC, CUSTOMARY = "metric", "US customary"
WHOLE = {"voltage": 13.8, "vehicle": "engine"}
SHEET = {"source": "the wire's data sheet"}
AMPLIFIER = Feed(
    **WHOLE,
    cable=Cable(area=16 * mm2, length=0.5, current_rating=75, **SHEET),
    draws=Draw(power=300, efficiency=0.65, name="the amplifier"),
    return_resistance=0.0,
    name="amplifier",
)
LIGHTS = Feed(
    **WHOLE,
    cable=Cable(area=2.5 * mm2, length=2, current_rating=20, **SHEET),
    draws=Draw(power=60, efficiency=1, kind="lights", name="lights"),
    name="lights",
)
FEED = Feed(
    **WHOLE,
    cable=Cable(area=16 * mm2, length=6, current_rating=75, **SHEET),
    branches=(AMPLIFIER, LIGHTS),
    return_resistance=3e-3,
)
BASS = Loudspeaker(driver=SEAT.driver, box=InfiniteBaffle())
CHANNELS = (
    Channel(
        loudspeakers=BASS,
        name="bass box",
        filters=(HighPass(frequency=30), LowPass(frequency=80, order=4, family="Linkwitz-Riley"), Gain(level=-3)),
    ),
    Channel(loudspeakers=BASS, name="front", filters=(Delay(time=2e-3), Peak(frequency=3000, level=-4, Q=2))),
    Channel(loudspeakers=BASS, name="rear", filters=Inverted()),
)
LEANING = np.array([(180, 0), (400, 0), (260, 480), (0, 480), (0, 260), (150, 260)]) * mm  # the front, by 16 degrees
POINTS = 72 / 25.4  # of a PDF, to the mm
SIZES = {"A4": (210, 297), "Letter": (215.9, 279.4)}
BOTH = pytest.mark.parametrize(
    ("paper", "system"),
    [
        ("A4", METRIC),
        ("Letter", CUSTOMARY),
        pytest.param("A4", CUSTOMARY, marks=pytest.mark.long),
        pytest.param("Letter", METRIC, marks=pytest.mark.long),
    ],
)


@pytest.fixture(scope="module")
def written(tmp_path_factory):
    """Function that returns the sheet as pypdf reads it, written once for each paper and system."""
    made = {}

    def of(paper, system):
        if (paper, system) not in made:
            path = tmp_path_factory.mktemp("sheet") / "box.pdf"
            goes_to_it = {"feed": FEED, "channels": CHANNELS}
            where = {"stock": STOCK, "space": ROOM, "paper": paper, "system": system}
            write_sheet(path, STEPPED, INSIDE, **where, **goes_to_it, title="Step box")
            made[paper, system] = pypdf.PdfReader(path)
        return made[paper, system]

    return of


def said(pdf):
    return [page.extract_text() for page in pdf.pages]


def on_grid(length, system):
    """Write a length as a person would: millimetres, or inches and the nearest sixteenth."""
    if system == METRIC:
        return str(round(length * 1e3 + 1e-6))
    whole, part = divmod(Fraction(round(length / 0.0254 * 16 + 1e-6), 16), 1)
    return " ".join(str(x) for x in (whole or "", part or "") if x) or "0"


@BOTH
def test_every_page_has_the_size_of_its_paper(written, paper, system):
    for page in written(paper, system).pages:
        size = float(page.mediabox.width) / POINTS, float(page.mediabox.height) / POINTS
        assert size == pytest.approx(SIZES[paper], abs=0.01)


def page_of(pdf, title):
    """The text of the one page that begins so."""
    (page,) = (text for text in said(pdf) if text.startswith(title))
    return page


@BOTH
def test_a_fresh_reader_takes_the_saw_settings_from_the_cut_list(written, paper, system):
    """Row by row: count, name, board, length, breadth, then tilt, longer face and neighbour of both ends."""
    lines = [line.strip() for line in page_of(written(paper, system), "Cut list").splitlines()]
    table = " ".join(lines[: lines.index("Sawing, in this order")])
    sawn = restated(STEPPED, INSIDE, mm if system == METRIC else inch / 16).box
    for name in ("front", "floor", "top", "tread", "wall side", "riser"):
        panel = sawn.panel(name)
        thick = "18.0" if system == METRIC else "0.709"
        sides = f"{on_grid(panel.length, system)} {on_grid(panel.breadth, system)}"
        assert f"1 {name} {thick} {sides} {end_words(panel.start)} {end_words(panel.end)}" in table
    assert re.search(rf"1, \d+ 2 cheek \S+ {on_grid(0.4, system)} {on_grid(0.48, system)} square square", table)


def end_words(end):
    if end.longer == "square":
        return f"square ({end.to})"
    return f"{math.degrees(end.tilt):.1f}° {end.longer} ({end.to})"


@BOTH
def test_the_saw_is_set_as_the_parts_want(written, paper, system):
    """Each tilt of the list is told once with all its ends, and no other."""
    flat = " ".join(page_of(written(paper, system), "Cut list").split())
    told = re.findall(r"Tilt the saw to ([\d.]+)°: (.*?)\. The tip stays", flat)
    ends = {(name, which): tilt for tilt, of in told for name, which in re.findall(r"([\w ]+?) \((\w+ end),", of)}
    wanted = {}
    grid = mm if system == METRIC else inch / 16
    for part in cut_list(STEPPED, grid):
        for which, end in (("left end", part.start), ("right end", part.end)):
            if end.tilt > 0:
                wanted[part.name, which] = f"{math.degrees(end.tilt):.1f}"
    assert {(name.strip(), which): tilt for (name, which), tilt in ends.items()} == wanted


@BOTH
def test_the_saw_goes_in_order_from_the_blanks_to_the_holes(written, paper, system):
    """A reader with only this sheet knows that the cheeks are no rectangles, where they are sawn, and what comes when.

    By hand from the corners of the worked example: its front leans by 40 mm in 480, its riser by 30 mm in 260.
    """
    flat = " ".join(page_of(written(paper, system), "Cut list").split())
    assert "No rectangle, its corners stand under Boards: cheek." in flat
    steps = re.split(r" \d\. (?=[A-Z])", flat[flat.index("Sawing, in this order") : flat.index("Gluing, in")])[1:]
    assert [step.split()[0] for step in steps] == ["Saw", "The", "Tilt", "Tilt", "Cut"]
    assert steps[0].startswith("Saw every blank in the order of the cuts under Sheets of board, with the saw upright.")
    for lean, over, edge in ((40, 480, "B to C"), (30, 260, "F to A")):
        degrees = math.degrees(math.atan2(lean, over))
        told = float(re.search(rf"{edge}, ([\d.]+)° from square", steps[1])[1])
        assert told == pytest.approx(degrees, abs=0.06 if system == METRIC else 0.3)  # a sixteenth in 260 mm is 0.35
    assert "200 mm bass in the front" in steps[4]
    assert "port in the" in steps[4]


@BOTH
def test_what_to_buy_is_told_in_the_readers_units(written, paper, system):
    """By hand: 150 mm are 94.5 sixteenths of an inch, so 5 7/8; 0.2 kg/m2 are 7.055 oz on 10.764 square feet: 0.66."""
    flat = " ".join(page_of(written(paper, system), "Cut list").split())
    bought = flat[flat.index("To buy") : flat.index("Leak test")]
    size = "1250 x 800 mm, 18.0 mm" if system == METRIC else "49 3/16 x 31 7/16 in, 0.709 in"  # 1250 / 25.4 = 49.21
    assert f"board, {size} thick: 1 sheet. driver, 200 mm bass: 1. terminal: 1." in bought
    bought = bought.replace("200 mm bass", "")  # a name
    each = ("150 mm", "200 g/m²") if system == METRIC else ("5 7/8 in", "0.66 ounces a square foot")
    assert f"one every {each[0]} of seam" in bought
    thick = "18.0 mm" if system == METRIC else "0.709 in"  # as on the cut list: 17.5 mm, a mark, would be another board
    assert f"the board of {thick} it goes through" in bought
    assert f"{each[1]} on every joint" in bought
    assert re.search(r" mm\b| m\b|g/m|\bkg\b" if system == CUSTOMARY else r"\bin\b(?! )|feet|ounces", bought) is None
    assert re.search(r"wood glue: \d+ g " if system == METRIC else r"wood glue: \d\.\d+ ounces", bought)


def test_what_a_slot_and_a_terminal_ask_of_the_saw_is_told():
    """A slot waits for its tuning; the hole of the terminal is cut; a strip of 12 mm has its name below."""
    slot = PortRun(
        port=Port(length=200 * mm, width=60 * mm, height=12 * mm),
        panel="top",
        along=120 * mm,
        across=48 * mm,
        wall=18 * mm,
        shares=("left cheek",),
    )
    inside = Inside(drivers=SEAT, ports=slot, others=Cup(volume=0.1 * litre, panel="right cheek"))
    pages = sheets(
        STEPPED, inside, stock=STOCK, space=None, paper="A4", system=METRIC, title="Slot", feed=None, channels=()
    )
    told = " ".join(text.get_text() for page in pages for text in page.figure.findobj(Text))
    assert "Only screw the boards of a slot and the right cheek in at first, with tape over the seams." in told
    assert "Saw its innermost boards 20 mm longer than listed" in told
    assert "terminal in the right cheek, as its maker says." in told
    assert "Too small for its name: side of port 1, 182 x 12." in told


def words_on(pages):
    """Return all words of some pages as one line."""
    return " ".join(" ".join(text.get_text() for page in pages for text in page.figure.findobj(Text)).split())


def bent_pages(run, box=BENT):
    """Pages of a box with a bent slot."""
    how = {"stock": (), "space": None, "paper": "A4", "system": METRIC, "title": "Bent", "feed": None, "channels": ()}
    return sheets(box, Inside(ports=run), **how)


def test_the_drawing_of_the_box_has_every_board_of_a_bent_slot():
    """Of `FOLDED`, by hand: shelf 1 lies 40 mm over the floor, from x = 382 to 58; each has its name on it."""
    (page,) = (page for page in bent_pages(FOLDED) if any(t.get_text() == "The box" for t in page.figure.findobj(Text)))
    texts = {text.get_text() for text in page.figure.findobj(Text)}
    shelves = {f"right shelf {number}" for number in (1, 2, 3)} | {"left shelf 3"}
    assert shelves <= texts
    drawn = [patch.get_xy() for patch in page.figure.findobj(Polygon) if patch.get_facecolor() == to_rgba(WOOD)]
    assert len(drawn) == 4 + len(shelves)
    outline = np.concatenate(drawn)
    scale = 400 / np.ptp(outline[:, 0])
    first = min(drawn[4:], key=lambda piece: piece[:, 1].min())
    x, y = (scale * (first - outline.min(axis=0))).T
    assert (x.min(), x.max(), y.min(), y.max()) == pytest.approx((58, 382, 58, 70), abs=0.5)


def test_a_strip_with_two_mitres_is_drawn_and_sawn_without_harm():
    """`FOLDED` turns twice within 64 mm: its second shelf is a strip, whose ends must not cross in the drawing."""
    pages = bent_pages(FOLDED)
    told = words_on(pages)
    assert "Then cut off the right shelf 2 of port 1, with a push stick" in told
    for page in pages:
        for patch in page.figure.findobj(Polygon):
            assert shapely.Polygon(patch.get_xy()).is_valid


@pytest.mark.parametrize(
    ("front", "told"),
    [
        ("between", "saw 40 mm off its left end, so that 342 mm stay."),
        ("before", "saw it into 18 mm from its left end, 40 mm to throw away, and 342 mm."),
    ],
)
def test_a_slot_as_broad_as_its_board_saws_it_in_two(front, told):
    """By hand: the front is 382 mm long and stands on the floor, or 400 and before its edge. No template."""
    box = dataclasses.replace(BENT, order=("cheeks", "front") if front == "before" else ())
    pages = bent_pages(FOLDED, box)
    said = words_on(pages)
    assert f"The port is as broad as the board: {told}" in said
    assert "Template: port" not in said


def test_the_corners_of_a_strip_have_their_letters_outside():
    """A side of a slot, 12 mm high, that follows the leaning front: none of its four letters changes places."""
    slot = PortRun(
        port=Port(length=200 * mm, width=60 * mm, height=12 * mm),
        panel="front",
        along=24 * mm,
        across=48 * mm,
        wall=18 * mm,
        shares=("floor", "left cheek"),
    )
    leaning = dataclasses.replace(STEPPED, profile=dataclasses.replace(STEPPED.profile, points=LEANING))
    pages = sheets(leaning, Inside(ports=slot), stock=(), space=None, paper="A4", system=METRIC, title="Strip")
    texts = [text for page in pages for text in page.figure.findobj(Text)]
    last = max(i for i, text in enumerate(texts) if "side of port 1" in text.get_text())
    heights = {
        text.get_text(): text.get_position()[1] for text in texts[last:] if re.fullmatch("[A-D]", text.get_text())
    }
    assert len(heights) == 4
    assert min(heights["C"], heights["D"]) > max(heights["A"], heights["B"])


@BOTH
def test_litres_tuning_forces_and_the_order_are_the_librarys(written, paper, system):
    text = " ".join(" ".join(said(written(paper, system))).split())
    made = restated(STEPPED, INSIDE, mm if system == METRIC else inch / 16)
    volume = f"{made.net / litre:.2f} litres" if system == METRIC else f"{made.net / cubic_foot:.3f} cubic feet"
    assert f"Net volume as sawn: {volume}." in text
    assert f"Tuning as sawn: {made.tuning:.1f} Hz." in text
    for line in net_account(made.box, made.inside).lines:
        number = f"{line.volume / litre:.3f}" if system == METRIC else f"{line.volume / cubic_foot:.4f}"
        assert f"{line.name} {number} {line.source}" in text
    wood = STEPPED.board.density * (STEPPED.outside_volume - STEPPED.inside_volume + INSIDE.braces[0].volume)
    up = [math.ceil(g * 9.80665 * wood / 50) * 50 for g in (20, 10)]  # said in steps of 50 N, never less than it is
    assert f"hold {up[0]} N forward (20 g) and {up[1]} N" in text
    assert ", then ".join(gluing_sequence(STEPPED, INSIDE)) in text
    assert "200 mm bass: out again" in text
    assert "box first" in text  # the driver's depth in front is missing: the box comes out, then its driver
    assert "the box must come out first" in text
    assert "DOES NOT FIT" not in text
    other = net_by_convention(made.box, made.inside)["inner face"]
    assert f"{other / litre:.2f} litres" in text or f"{other / cubic_foot:.3f} cubic feet" in text
    unit = "mm" if system == METRIC else "in"
    length = on_grid(made.inside.ports[0].port.length, system)
    assert f"tube, {on_grid(0.06, system)} {unit} inside" in text
    assert f"{length} {unit} long along its middle from the outer face." in text


@BOTH
def test_every_hole_and_corner_is_told_for_marking(written, paper, system):
    text = " ".join(" ".join(said(written(paper, system))).split())
    sawn = restated(STEPPED, INSIDE, mm if system == METRIC else inch / 16).box
    unit, half = ("mm" if system == METRIC else "in"), on_grid(sawn.clear_width / 2, system)
    left, low = f"{on_grid(0.15, system)} {unit}", f"{half} {unit}"
    at = f"Its middle: {left} from the left end of the blank, {low} from its lower side."
    assert f"Hole for the 200 mm bass: {on_grid(0.181, system)} {unit}. {at}" in text
    template = page_of(written(paper, system), "Template: 200 mm bass")
    assert at in " ".join(template.split())
    corners = "; ".join(
        f"{letter} {on_grid(x, system)}, {on_grid(y, system)}"
        for letter, (x, y) in zip("ABCDEF", sawn.panel("left cheek").outline, strict=True)
    )
    assert f"Corners from the lower left of the blank, {unit}: {corners}." in text


def words_of(pages):
    return " ".join(" ".join(text.get_text() for page in pages for text in page.axes.texts).split())


@BOTH
def test_the_wiring_is_told_piece_by_piece(written, paper, system):
    """By hand: 33.44 A of the amplifier and 4.35 A of lights make 37.79 A, and want 47.2 A: 50 A. 5.43 A: 7.5 A.

    At the amplifier: 13.8 V less 37.79 A through 7.26 + 3 milliohm, less 33.44 A through 0.605 milliohm: 13.392 V.
    """
    text = " ".join(page_of(written(paper, system), "Wiring and settings").split())
    assert re.findall(r"Fuse: ([\d.]+) A", text) == ["50", "50", "7.5"]
    long = ("6.00 m", "0.50 m", "2.00 m") if system == METRIC else ("19.7 feet", "1.6 feet", "6.6 feet")
    sizes = ("16 mm² (or 4 AWG)", "16 mm² (or 4 AWG)", "2.5 mm² (or 12 AWG)")
    for size, way, current in zip(sizes, long, ("37.8", "33.4", "4.3"), strict=True):
        assert f"Wire: {size}, {way} one way; {current} A at full power" in text
    assert "Battery, 13.8 V as measured" in text
    assert "The amplifier 13.39 V arrive at full power." in text
    assert "Lights Measure the way back to know how many volts arrive." in text
    assert "Way back: 3.0 mΩ as measured" in text
    for remark in FEED.remarks:
        assert remark in text
    assert [text.index(word) for word in ("Battery", "The amplifier", "Box Two", "Lights")] == sorted(
        text.index(word) for word in ("Battery", "The amplifier", "Box Two", "Lights")
    )


@BOTH
def test_levels_and_filters_are_told_by_channel(written, paper, system):
    text = " ".join(page_of(written(paper, system), "Wiring and settings").split())
    bass = "high-pass 30 Hz, 12 dB/octave, Butterworth; low-pass 80 Hz, 24 dB/octave, Linkwitz-Riley"
    assert f"bass box −3.0 dB {bass}" in text
    assert "front as it is, 0 dB delay 2.00 ms; peak 3e+03" not in text
    assert "front as it is, 0 dB delay 2.00 ms; peak 3000 Hz, −4.0 dB, Q 2.00" in text
    assert "rear as it is, 0 dB polarity turned round" in text


def test_without_a_feed_there_are_lines_to_fill_in():
    """And no fuse is told that nobody has worked out."""
    text = words_of([page for page in made(STEPPED, INSIDE) if page.axes.texts[0].get_text() == "Wiring and settings"])
    assert "Fuse, close to the battery: ________ A" in text
    assert "Wire: ________ mm² or AWG" in text
    assert not re.search(r"Fuse[^.]*?: [\d.]+ A", text)
    unrated = Feed(**WHOLE, cable=Cable(area=16 * mm2, length=6), draws=Draw(power=300, efficiency=0.65))
    text = words_of(made(STEPPED, INSIDE, feed=unrated))
    assert "Fuse: none is known, or none fits. From the wire's own data sheet: ________ A" in text
    assert "Way back: not measured. ________ mΩ" in text
    assert not re.search(r"Fuse[^.]*?: [\d.]+ A", text)


def test_a_channel_of_several_settings_is_refused_by_name():
    several = Channel(loudspeakers=BASS, filters=HighPass(frequency=[30, 40]))
    with pytest.raises(ValueError, match=r"^write_sheet\.channels must have filters of single values"):
        made(STEPPED, INSIDE, channels=(several,))


@BOTH
def test_all_the_usual_cautions_are_printed_and_nothing_is_called_safe(written, paper, system):
    pages = said(written(paper, system))
    text = " ".join(pages[-1].split())
    assert text.startswith("Cautions")
    for topic, mind in CAUTIONS.items():
        assert f"{topic} {mind}" in text
    assert not re.search(r"\bsafe(ly)?\b", " ".join(pages))


def paths(pdf, page):
    """Yield the points of each path that a page strokes or clips to, in mm from its lower left corner."""
    points = []
    for operands, operator in ContentStream(page.get_contents(), pdf).operations:
        if operator in (b"m", b"l", b"c"):
            if operator == b"m" and points:
                yield np.array(points)
                points = []
            points.append([float(x) / POINTS for x in operands[-2:]])
        elif operator in (b"S", b"s", b"B", b"b", b"n", b"f", b"W") and points:
            yield np.array(points)
            points = []


@BOTH
def test_every_bar_is_100_mm(written, paper, system):
    pdf = written(paper, system)
    templates = [page for page in pdf.pages if page.extract_text().startswith("Template")]
    assert len(templates) == 2
    for page in templates:
        level = [path for path in paths(pdf, page) if len(path) == 2 and path[0, 1] == path[1, 1] < 25]
        (bar,) = (path for path in level if path[0, 0] < path[1, 0] - 50)
        assert abs(bar[1, 0] - bar[0, 0] - 100) < 1e-5
        assert "100 mm" in page.extract_text()


@BOTH
def test_the_templates_have_the_size_of_the_holes(written, paper, system):
    """181 mm for the driver; 66 mm for the port with its wall."""
    pdf = written(paper, system)
    for diameter, page in zip(
        (181, 66), (page for page in pdf.pages if page.extract_text().startswith("Template")), strict=True
    ):
        circle = max((path for path in paths(pdf, page) if len(path) >= 8), key=len)
        assert np.ptp(circle, axis=0) == pytest.approx([diameter, diameter], abs=1e-4)


def test_a_large_hole_is_tiled_and_the_tiles_meet():
    """380 mm on A4: three across and two down; the same circle on each, moved by what a tile covers."""
    large = dataclasses.replace(SEAT, driver=dataclasses.replace(SEAT.driver, cutout=0.38, displacement=0.004))
    box = dataclasses.replace(STEPPED, width=0.6)
    pages = [page for page in made(box, Inside(drivers=dataclasses.replace(large, along=0.23))) if is_template(page)]
    assert len(pages) == 6
    middles = np.array([page.axes.patches[1].center for page in pages])
    assert sorted(set((middles[0] - middles)[:, 0].round(9))) == [0, 176, 352]
    assert {page.axes.patches[1].radius for page in pages} == {190.0}
    first = pages[0]
    assert len(set((middles[0] - middles)[:, 1].round(9))) == 2
    assert "Tile 1 of 3 across, 1 of 2 down" in " ".join(text.get_text() for text in first.axes.texts)


def made(box, inside, paper="A4", system=METRIC, stock=(), **goes_to_it):
    return sheets(box, inside, stock=stock, space=None, paper=paper, system=system, title="t", **goes_to_it)


def is_template(page):
    return page.axes.texts[0].get_text().startswith("Template")


def check_texts(pages):
    """By the renderer: no text leaves the paper or covers another."""
    for page in pages:
        figure = page.figure
        renderer = FigureCanvasAgg(figure).get_renderer()
        boxes = [
            (text.get_text(), text.get_window_extent(renderer)) for text in figure.findobj(Text) if text.get_text()
        ]
        wide, high = figure.bbox.width, figure.bbox.height
        for words, box in boxes:
            assert box.x0 > 0, words
            assert box.y0 > 0, words
            assert box.x1 < wide, words
            assert box.y1 < high, words
        for (one, a), (other, b) in itertools.combinations(boxes, 2):
            apart = a.x1 <= b.x0 + 0.5 or b.x1 <= a.x0 + 0.5 or a.y1 <= b.y0 + 1.5 or b.y1 <= a.y0 + 1.5
            assert apart, f"{one!r} covers {other!r}"


@pytest.mark.parametrize(
    ("paper", "system"), [("Letter", CUSTOMARY), pytest.param("A4", METRIC, marks=pytest.mark.long)]
)
def test_no_text_leaves_the_paper_or_covers_another(paper, system):
    """With a second layer, which has the hole of its panel too."""
    lined = dataclasses.replace(INSIDE, others=(*INSIDE.others, Lining(panel="front", thickness=18 * mm)))
    pages = made(STEPPED, lined, paper, system, (STOCK,), feed=FEED, channels=CHANNELS)
    check_texts(pages)
    told = " ".join(" ".join(text.get_text() for page in pages for text in page.axes.texts).split())
    assert told.count("Hole for the 200 mm bass:") == 2
    assert sum(map(is_template, pages)) == 2


@pytest.mark.long
def test_the_tilted_cuts_of_a_frustum_follow_its_marked_lines():
    """Its walls lean at their own sides and meet at a tilt: one cut does both, and no tip stays at a blank's end."""
    frustum = Hopper(bottom=(0.4, 0.35), top=(0.3, 0.25), height=0.3, board=BOARD)
    text = words_of(made(frustum, Inside()))
    steps = text[text.index("Sawing, in this order") : text.index("Gluing, in this order")]
    assert "2. Mark the corners told under Boards on the outer face: left, right, front, back." in steps
    assert "Tilted cuts follow these lines. 3. Tilt the saw to" in steps
    assert "The tip stays" not in steps


def test_a_frustum_has_its_sheet_too():
    box = Hopper(bottom=(0.5, 0.35), top=(0.4, 0.25), height=0.3, board=BOARD)
    pages = made(box, Inside(drivers=dataclasses.replace(SEAT, along=0.25)), stock=(STOCK,))
    check_texts(pages)
    told = " ".join(" ".join(text.get_text() for page in pages for text in page.axes.texts).split())
    assert "9.5° outside (bottom)" in told
    assert "200 mm bass: depth 120 mm" in told
    assert sum(map(is_template, pages)) == 1


@pytest.mark.long
@pytest.mark.parametrize("seed", range(30))
def test_sheets_of_random_boxes_can_be_read(seed):
    from lumpedbox.build import Board, Carcass, Profile

    chance = np.random.default_rng(seed)
    while True:
        count = chance.integers(3, 9)
        around = 2 * np.pi * np.cumsum(p := chance.uniform(0.6, 1.4, count)) / p.sum()
        points = chance.uniform(0.2, 0.5, count)[:, np.newaxis] * np.column_stack([np.cos(around), np.sin(around)])
        names = [f"panel {i}" for i in range(count)]
        try:
            box = Carcass(
                profile=Profile(points=points.tolist(), names=names),
                width=0.3,
                board=Board(thickness=0.015, density=700),
            )
            pages = made(box, Inside(), chance.choice(["A4", "Letter"]), chance.choice([METRIC, CUSTOMARY]))
        except ValueError:
            continue
        check_texts(pages)
        told = " ".join(text.get_text() for page in pages for text in page.axes.texts)
        assert all(name in told for name in names)
        return


@pytest.mark.parametrize(
    ("length", "words"),
    [(inch, "1"), (9.4375 * inch, "9 7/16"), (0.25 * inch, "1/4"), (0.0, "0"), (-0.5 * inch, "-1/2")],
)
def test_inches_have_sixteenths(length, words):
    assert inches(length) == words


@pytest.mark.parametrize(
    ("changed", "words"),
    [
        ({"paper": "A5"}, r"write_sheet\.paper must be one of A4, Letter"),
        ({"system": "imperial"}, r"write_sheet\.system must be one of metric, US customary"),
        ({"box": None}, r"write_sheet\.box must be Carcass or Hopper"),
        ({"stock": dataclasses.replace(STOCK, thickness=0.012)}, r"on_stock\.stock has no board of 18 mm"),
    ],
)
def test_a_wrong_sheet_is_refused_by_name(tmp_path, changed, words):
    arguments = {"path": tmp_path / "box.pdf", "box": STEPPED, "inside": INSIDE} | changed
    with pytest.raises((ValueError, TypeError), match=words):
        write_sheet(**arguments)
    assert not (tmp_path / "box.pdf").exists()


def test_the_long_name_of_a_shelf_ends_before_the_thickness_of_its_board():
    """Else "port 1" and "12.0" read as 112.0."""
    pages = sheets(BENT, Inside(ports=SHORT), stock=(), space=None, paper="A4", system=METRIC, title="Bent")
    for page in pages:
        places = {text.get_text(): text.get_window_extent() for text in page.figure.findobj(Text)}
        if "Sawing, in this order" in places:
            name, thickness = places["right shelf 1 of port 1"], places["12.0"]
            assert thickness.x0 - name.x1 > thickness.width / 4
            return
    pytest.fail("there is no cut list")
