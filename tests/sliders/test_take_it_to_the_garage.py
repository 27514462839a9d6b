"""The page that puts a box on paper: what it says, what it makes, and what is wrong."""

import csv
import io
import re
from xml.etree import ElementTree

import numpy as np
import pypdf
import pytest

from lumpedbox.build import Board, Carcass, Drawn, Inside, Profile, Seat, Space, Stock
from lumpedbox.plan import demo_plan
from lumpedbox.plan.files import begin
from lumpedbox.sliders.kit.stages import order_of
from lumpedbox.sliders.lessons.take_it_to_the_garage import take_it_to_the_garage
from lumpedbox.sliders.lessons.take_it_to_the_garage.page import (
    AS_DRAWN,
    CANCELLED,
    DEMO,
    FILL_IN,
    MINE,
    MINIBUS,
    NO_SHEETS,
    SHEETS,
)
from lumpedbox.tables import demo_drivers
from lumpedbox.tables.my_boxes import keep_box
from lumpedbox.units import litre, mm
from tests.sliders.conftest import details, headline, number, text

WEDGE = Profile(points=((0, 0), (0.3, 0), (0.2, 0.4), (0, 0.4)), names=("floor", "front", "top", "back"))
BOX = Carcass(profile=WEDGE, width=0.4, board=Board(thickness=18 * mm))
SEAT = Seat(driver=demo_drivers()["200 mm bass"], panel="front", along=0.2)


@pytest.fixture(scope="module")
def made():
    return take_it_to_the_garage()


@pytest.fixture
def page(made):
    made.board.system = "metric"
    made.put(**made.start)
    return made


def files(page, *messages):
    """What the page sends for some messages: name, media type, words, content."""
    sent, usual = [], page.board.send
    page.board.send = lambda message, buffers: sent.append((*message["taken"].values(), *buffers))
    for message in messages:
        page.board._handle_custom_msg(message, [])
        while page.board.making:
            page.board._handle_custom_msg({"go_on": True}, [])
    page.board.send = usual
    return sent


def test_it_says_what_is_sawn(page):
    """Worked by hand in tests/unit/build/test_account.py: 24.05 litres; the port of 281 mm tunes them to 33 Hz.

    Tilts of the worked example: 4.76 and 6.58 degrees. Two cheeks, six panels, a brace.
    """
    assert number(page, "air, as sawn") == pytest.approx(24.055 * litre, abs=2e-3 * litre)
    assert number(page, "port tunes to") == pytest.approx(33.0, abs=0.1)
    assert text(page, "boards") == "9"
    assert text(page, "sheets of board") == "1"
    assert text(page, "saw tilts") == "4.8 °, 6.6 °"
    assert headline(page) == "9 boards make 24.1 litres of air. Everything fits that is known."


def test_the_cautions_stand_with_the_forces(page):
    """11.997 litres and a brace of 0.324 at 680 kg/m3 are 8.38 kg, and 20 g of that 1643 N, said in steps of 50."""
    said = " ".join(page.board.answer["cautions"])
    assert "Wear a mask against the dust" in said
    assert "The boards weigh 8.4 kg. In a crash a fixing must hold 1650 N forward; friction holds nothing." in said
    assert 1600 < 20 * 9.80665 * (11.997 + 0.3 * 0.06 * 0.018 * 1e3) * 1e-3 * 680 < 1650


def test_rounding_is_told(page):
    """A tube of 66 mm cut to 281 mm instead of its exact length, which is 0.2 mm more (test_account.py: 281.2)."""
    exact = page.drawn.inside.ports[0].port.length
    assert exact == pytest.approx(281.2 * mm, abs=0.05 * mm)
    more = np.pi / 4 * 66**2 * (exact / mm - 281) / 1000
    assert f"the boards make {more:.2f} cm³ more air than drawn." in details(page)


def test_a_link_leads_to_the_choices_and_what_is_wrong_stays_told(made):
    page = take_it_to_the_garage({DEMO: made.drawn})
    page._wrong = "My box cannot be read."
    page.board._handle_custom_msg({"link": "paper=Letter&sheets=none&box=gone"}, [])
    assert (page.values["paper"], page.values["sheets"], page.values["box"]) == ("Letter", NO_SHEETS, DEMO)
    assert page.board.note.startswith("My box cannot be read. The link asks for something else.")


def test_units_are_remembered(made):
    page = take_it_to_the_garage({DEMO: made.drawn})
    page.remembered._told(None, {"kept": {"system": "US customary"}}, [])
    assert "cubic feet" in page.board.answer["headline"]
    assert page.remembered.state == {"system": "US customary"}


@pytest.mark.long
def test_the_pdf_holds_what_the_page_says(page):
    """Each of the contents begins a sheet, and the litres are those of the page."""
    ((name, media, told, content),) = files(page, {"make": "pdf"})
    assert (name, media) == ("step-box-of-the-minibus-invented.pdf", "application/pdf")
    pages = [one.extract_text() for one in pypdf.PdfReader(io.BytesIO(content)).pages]
    assert told == f" {len(pages)} sheets of A4."
    heads = [sheet.splitlines()[0] for sheet in pages]
    for title, _ in page.board.contents:
        assert any(head.startswith(title.partition("s at full")[0]) for head in heads), title
    assert f"Net volume as sawn: {number(page, 'air, as sawn') / litre:.2f} litres." in " ".join(pages[0].split())
    assert "Fuse, close to the battery: ________ A" in " ".join(" ".join(pages).split())


def test_the_pdf_is_made_sheet_by_sheet_and_can_be_cancelled(page):
    page.board._handle_custom_msg({"make": "pdf"}, [])
    before = dict(page.board.making)
    page.board._handle_custom_msg({"go_on": True}, [])
    after = dict(page.board.making)
    assert (before["done"], after["done"]) == (0, 1)
    assert before["all"] == after["all"] > 5
    assert files(page, {"cancel": True}, {"go_on": True}) == []
    assert (page.board.making, page.board.note) == ({}, CANCELLED)


@pytest.mark.long
def test_letter_and_inches(page):
    page.board.system = "US customary"
    page.put(paper="Letter")
    assert "cubic feet of air" in page.board.answer["headline"]
    ((_, _, _, content), (_, _, _, table)) = files(page, {"make": "pdf"}, {"make": "csv"})
    sheet = pypdf.PdfReader(io.BytesIO(content)).pages[0]
    assert [float(side) for side in sheet.mediabox[2:]] == pytest.approx([612, 792])
    assert "cubic feet" in sheet.extract_text()
    head = next(csv.reader(io.StringIO(table.decode("utf-8-sig"))))
    assert "length [in]" in head


def test_the_table_and_the_drawing(page):
    (_, media, _, table), (name, kind, _, drawing) = files(page, {"make": "csv"}, {"make": "svg"})
    read = list(csv.DictReader(io.StringIO(table.decode("utf-8-sig"))))
    assert sum(int(row["count [1]"]) for row in read) == 9
    assert {row["part"]: row["length [mm]"] for row in read}["front"] == "483"
    root = ElementTree.fromstring(drawing)
    assert root.get("width").endswith("mm")
    assert (media, name[-4:], kind) == ("text/csv", ".svg", "image/svg+xml")
    shown = ElementTree.fromstring(page.board.boards)
    count = [len(list(one.iter("{http://www.w3.org/2000/svg}polygon"))) for one in (root, shown)]
    assert count == [8, 8]


@pytest.mark.long
def test_levels_and_filters_come_from_a_plan(page):
    """The invented minibus, all steps done: each channel that plays stands on the sheet with its level."""
    page.put(channels=MINIBUS)
    ((_, _, _, content),) = files(page, {"make": "pdf"})
    pages = [" ".join(one.extract_text().split()) for one in pypdf.PdfReader(io.BytesIO(content)).pages]
    (sheet,) = (one for one in pages if one.startswith("Wiring"))
    assert f"They come from: {MINIBUS}. Levels count against the head unit." in sheet
    plan = demo_plan()
    state = plan.after(*plan.ranked)
    assert state.levels
    for name, level in state.levels.items():
        told = f"{level:+.1f} dB".replace("-", "−") if level else "as it is, 0 dB"
        assert f"{name} {told}" in sheet


FEED = """
[stage."amplifier".feed]
voltage = "14.1 V"
vehicle = "engine"
area = "25 mm2"
length = "5 m"
current_rating = "110 A"
source = "the data sheet of this wire"
return_resistance = "0.8 milliohm"
[[stage."amplifier".feed.draws]]
name = "four channels from the stores"
power = "150 W"
efficiency = "70 %"
[stage."bass box"]
"""


@pytest.mark.long
def test_wire_and_fuse_that_were_settled_stand_on_the_sketch(tmp_path):
    """150 W at 0.7 and 14.1 V draw 15.2 A: 20 A by the trade's 0.8. After the bass box 225 W are on it, or 22.8 A."""
    text = demo_plan().text.replace("[plan]\n", '[plan]\nbattery = "14.2 V"\n')
    begin(tmp_path / "plan.toml", text.replace('[stage."bass box"]\n', FEED))

    def wiring(chosen):
        page.put(channels=chosen)
        ((_, _, _, content),) = files(page, {"make": "pdf"})
        pages = [" ".join(one.extract_text().split()) for one in pypdf.PdfReader(io.BytesIO(content)).pages]
        return next(one for one in pages if one.startswith("Wiring"))

    page = take_it_to_the_garage(plan=tmp_path / "plan.toml", kept=tmp_path / "boxes.toml")
    assert page.values["channels"] == MINE
    settled = "up to amplifier, in my plan"
    sheet = wiring(settled)
    assert f"Wire and fuse are those that were settled for: {settled}." in sheet
    assert "Battery, 14.1 V as measured" in sheet
    assert "Fuse: 20 A" in sheet
    assert "Wire: 25 mm²" in sheet
    assert "It may carry 110 A." in sheet
    assert "Way back: 0.8 mΩ as measured" in sheet
    assert "________ A" not in sheet
    assert "Fuse and wire as settled: 20 A before 25 mm²" in details(page)
    sheet = wiring(MINE)
    told = "225 W of amplifiers are on it now, and wire and fuse were settled for 150 W"
    assert f"Wire and fuse are not known: {told}. Settle them anew." in sheet
    assert told in details(page)
    assert "Fuse, close to the battery: ________ A" in sheet
    assert "Battery, 14.2 V as measured" in sheet
    sheet = wiring("up to seal the step wells, in my plan")
    assert "No wire and fuse are settled yet (up to seal the step wells, in my plan): go to Wire and fuse" in sheet
    assert "Fuse, close to the battery: ________ A" in sheet


def test_ones_own_boxes_and_plan_are_offered(tmp_path):
    keep_box("my wedge", Drawn(box=BOX), tmp_path / "boxes.toml")
    begin(tmp_path / "plan.toml", demo_plan().text)
    page = take_it_to_the_garage(plan=tmp_path / "plan.toml", kept=tmp_path / "boxes.toml")
    assert page.controls["box"].options == ("my wedge", DEMO)
    options = page.controls["channels"].options
    assert [one for one in options if not one.startswith("up to ")] == [FILL_IN, MINE, MINIBUS]
    assert page.answer.conditions.text("metric") == "My wedge."
    inside = (250 - 18 - 18 * np.hypot(1, 0.25)) * 364 * 364e-6  # by hand, as in tests/sliders/test_wedge.py
    assert number(page, "air, as sawn") == pytest.approx(inside * litre, rel=1e-3)
    assert "The board's density is not known" in " ".join(page.board.answer["cautions"])
    mine = [one for one in options if one.endswith(", in my plan")]
    assert mine == [f"up to {stage}, in my plan" for stage in order_of(demo_plan())[:-1]]
    page.put(channels=MINE)
    assert len(page.channels) == len(demo_plan().after(*demo_plan().ranked).playing)


def test_a_stage_of_the_plan_can_be_chosen(page):
    """Team one builds its bass box behind the amplifier: before that four channels play, from then on five."""
    for stage, playing in (("amplifier", 4), ("bass box", 5)):
        page.put(channels=f"up to {stage}, in the {MINIBUS}")
        assert len(page.channels) == playing


def test_a_plan_that_cannot_be_read_is_said_once_it_is_chosen(tmp_path):
    (tmp_path / "plan.toml").write_text("no table", encoding="utf-8")
    page = take_it_to_the_garage(plan=tmp_path / "plan.toml", kept=tmp_path / "boxes.toml")
    assert MINE in page.controls["channels"].options
    page.put(channels=MINE)
    with pytest.raises(ValueError, match=r"plan\.toml"):
        page.channels  # noqa: B018


def test_what_cannot_be_read_is_said_and_the_rest_is_offered(tmp_path):
    path = tmp_path / "boxes.toml"
    keep_box("my wedge", Drawn(box=BOX), path)
    path.write_text(path.read_text() + '\n[drawn."half"]\n[drawn."half".box]\nwidth = 0.4\n', encoding="utf-8")
    page = take_it_to_the_garage(kept=path)
    assert page.controls["box"].options == ("my wedge", DEMO)
    assert 'boxes.toml, [drawn."half"]' in page.board.note
    path.write_text("no table", encoding="utf-8")
    page = take_it_to_the_garage(kept=path)
    assert page.controls["box"].options == (DEMO,)
    assert "boxes.toml" in page.board.note


def test_what_does_not_fit_comes_first():
    """A driver 200 mm wide, 130 deep, in a box 100 deep; and a space that is smaller than the box."""
    shallow = Profile(points=((0, 0), (0.12, 0), (0.12, 0.4), (0, 0.4)), names=WEDGE.names)
    box = Drawn(box=Carcass(profile=shallow, width=0.4, board=BOX.board), inside=Inside(drivers=SEAT))
    page = take_it_to_the_garage({"shallow": box})
    lacking = re.fullmatch(r"Look before you cut\. Does not fit: ([^:]+?), and (\d) more\.", headline(page))
    assert lacking[1].replace(", ", ": ") in {margin.name for margin in page.told.misfits}
    assert int(lacking[2]) == len(page.told.misfits) - 1
    assert "Does not fit: 200 mm bass: depth." in details(page)
    tight = Space(points=((0, 0), (0.29, 0), (0.29, 0.5), (0, 0.5)), width=0.5)
    page = take_it_to_the_garage({"wedge": Drawn(box=BOX, space=tight)})
    assert "Look before you cut" in headline(page)


def test_sheets_that_hold_no_part_are_said(page):
    """A cheek of 400 x 480 fits no sheet of 300 x 300."""
    small = Stock(length=0.3, width=0.3, thickness=18 * mm)
    broken = take_it_to_the_garage({"wedge": Drawn(box=BOX, stock=small)})
    assert "on_stock" in broken.board.wrong
    broken.put(sheets=NO_SHEETS)
    assert broken.board.wrong == ""
    for sheets in (*SHEETS, NO_SHEETS, AS_DRAWN):
        page.put(sheets=sheets)
        assert ("sheets of board" in [fact.name for fact in page.answer.facts]) == (sheets != NO_SHEETS)


def test_the_words_fit_on_a_card(page):
    said = page.board.answer
    words = [said["headline"], *(cell["text"] for fact in said["facts"] for cell in fact["values"])]
    words += [fact["name"] for fact in said["facts"]]
    assert len(said["headline"].split()) <= 20
    assert len(said["facts"]) <= 6
    assert sum(len(one.split()) for one in words) <= 60
    with pytest.raises(ValueError, match="is not offered"):
        page.put(paper="A5")
