"""What a page lets one take along, read back by other readers: pypdf, pandas, pillow and an XML parser.

Paper: ISO 216 (A4, 210 mm x 297 mm) and ANSI/ASME Y14.1 (Letter, 8.5 in x 11 in), both from memory.
"""

import dataclasses
import datetime
import io
import json
import re
from pathlib import Path
from xml.etree import ElementTree

import numpy as np
import pandas as pd
import pypdf
import pytest
from matplotlib.backends.backend_agg import FigureCanvasAgg
from matplotlib.figure import Figure
from PIL import Image

from lumpedbox import Loudspeaker, SealedBox, VentedBox, frequencies, solve
from lumpedbox.figures.cautions import CAUTIONS
from lumpedbox.figures.style import LIGHT, PENS, logarithmic_axis, new_figure, paint
from lumpedbox.sliders.kit.answer import Answer, Fact, fact, say
from lumpedbox.sliders.kit.garage_sheet import INVENTED, MORE, sheet
from lumpedbox.sliders.kit.paper import Placed
from lumpedbox.sliders.kit.systems import FREQUENCY, LENGTH, LEVEL, SPEED, SYSTEMS, TRAVEL, VOLUME
from lumpedbox.sliders.kit.taking import KINDS, Taken, take
from lumpedbox.tables import demo_drivers

METRIC, CUSTOMARY = SYSTEMS
PNG, SVG, PICTURE, CSV, SHEET = KINDS
DRIVER = "200 mm bass"
GRID = frequencies(10, 400, per_octave=12)


@pytest.fixture(scope="module")
def responses():
    driver = demo_drivers()[DRIVER]
    boxes = {"sealed": SealedBox(volume=0.02), "vented": VentedBox(volume=0.02, fb=36)}
    return {name: solve(Loudspeaker(driver=driver, box=box), GRID, 10.0) for name, box in boxes.items()}


def drawn(responses, pens=PENS):
    """Return a function that draws the level and the travel of both boxes, and where the travel ends."""

    def figure(width, height):
        whole = new_figure(width, height)
        for axes, what in zip(whole.subplots(2, 1), ("level", "excursion"), strict=True):
            for name, response in responses.items():
                pen = pens[name]
                axes.plot(GRID, getattr(response, what), color=pen.color, linestyle=pen.dash, label=name)
            logarithmic_axis(axes, 10, 400)
        whole.legend(handles=whole.axes[0].lines)
        return paint(whole, LIGHT)

    return figure


def answer(f3=61.34, length=0.5213, details=1):
    told = "The port needs {length} of room. Below the tuning it works against the cone."
    return Answer(
        headline=say("Vented plays {louder} louder at {f}.", louder=LEVEL(5.46), f=FREQUENCY(40.0)),
        facts=(
            Fact("bass down to", {"sealed": say("{f}", f=FREQUENCY(f3)), "vented": say("{f}", f=FREQUENCY(36.8))}),
            Fact("most travel", {"sealed": say("{x}", x=TRAVEL(0.00752)), "vented": say("{x}", x=TRAVEL(0.0161))}),
            Fact("port", {"vented": say("{length} long", length=LENGTH(length))}),
            Fact("air in the port", {"vented": say("{v}", v=SPEED(10.2))}),
        ),
        details=tuple(say(f"Reason {n}. {told}", length=LENGTH(length)) for n in range(details)),
        conditions=say("In {volume}, 10 V r.m.s., 1 m, half space", volume=VOLUME(0.02)),
        cautions=(say("Above {level} an hour is too long.", level=LEVEL(94.0)),),
    )


@pytest.fixture
def taken(responses):
    level = tuple((f"{name}: level [dB re 20 µPa]", response.level) for name, response in responses.items())
    return Taken(
        question="Sealed or vented in a small volume?",
        answer=answer(),
        start=answer(f3=55.2),
        figure=drawn(responses),
        curves=(GRID, level),
        parts=(("Driver", DRIVER), ("Net volume", "20.0 litres"), ("Tuning", "36.0 Hz")),
        made=datetime.date(2026, 3, 1),
        address="https://example.org/sealed#volume=0.02",
    )


def changed(taken, **other):
    return dataclasses.replace(taken, **other)


def pdf(kind, taken):
    return pypdf.PdfReader(io.BytesIO(take(kind, taken)[2]))


def words(taken):
    """Return what stands on the only page of the sheet, with single spaces."""
    (page,) = pdf(SHEET, taken).pages
    return " ".join(page.extract_text().split())


def cautioned(text):
    """Tell whether every usual caution stands in a text, whole."""
    return all(f"{topic} {caution}" in text for topic, caution in CAUTIONS.items())


def extents(figure):
    """Return left, bottom, right and top of every text of a figure, as finely as a PDF has them. [inch]"""
    figure.set_dpi(1000)
    renderer = FigureCanvasAgg(figure).get_renderer()
    shown = [text for text in figure.texts if text.get_text()]
    return np.array([text.get_window_extent(renderer).extents for text in shown]) / figure.dpi


@pytest.mark.parametrize(
    ("system", "sealed", "vented"),
    [
        (METRIC, ("61 Hz (was 55 Hz)", "7.5 mm"), ("37 Hz", "16.1 mm", "521 mm long", "10 m/s")),
        (CUSTOMARY, ("61 Hz (was 55 Hz)", "0.296 inches"), ("37 Hz", "0.634 inches", "20.5 inches long", "33 feet/s")),
    ],
)
def test_the_sheet_says_all_that_the_page_does_in_the_readers_units(taken, system, sealed, vented):
    text = words(changed(taken, system=system))
    assert taken.question in text
    assert taken.answer.headline.text(system) in text
    assert all(f"{label} {value}" in text for label, value in taken.parts)
    assert "sealed vented" in text
    for name, *cells in zip(("bass down to", "most travel"), sealed, vented, strict=False):
        assert " ".join([name, *cells]) in text
    assert f"port {vented[2]}" in text
    assert f"air in the port {vented[3]}" in text
    for paragraph in (taken.answer.conditions, *taken.answer.details, *taken.answer.cautions):
        assert paragraph.text(system) in text
    assert cautioned(text)
    assert "2026-03-01" in text
    assert taken.address in text


def test_numbers_read_back_from_the_sheet_are_those_of_the_facts(taken):
    sealed, vented = re.search(r"bass down to ([\d.]+) Hz \(was [\d.]+ Hz\) ([\d.]+) Hz", words(taken)).groups()
    assert float(sealed) == pytest.approx(taken.answer["bass down to"]["sealed"]["f"], abs=0.5)
    assert float(vented) == pytest.approx(taken.answer["bass down to"]["vented"]["f"], abs=0.5)
    inches = re.search(r"port ([\d.]+) inches long", words(changed(taken, system=CUSTOMARY)))[1]
    assert 0.0254 * float(inches) == pytest.approx(taken.answer["port"]["vented"]["length"], abs=0.0254 * 0.05)


@pytest.mark.parametrize(("system", "inches"), [(METRIC, (210 / 25.4, 297 / 25.4)), (CUSTOMARY, (8.5, 11.0))])
def test_the_sheet_is_one_page_of_the_readers_paper(taken, system, inches):
    (page,) = pdf(SHEET, changed(taken, system=system)).pages
    assert (float(page.mediabox.width) / 72, float(page.mediabox.height) / 72) == pytest.approx(inches, abs=1e-3)


def test_a_reader_aloud_meets_question_answer_picture_conditions_and_cautions_in_this_order(taken):
    text = words(taken)
    conditions = taken.answer.conditions.text(METRIC)
    order = (
        taken.question,
        "Vented plays",
        "Net volume",
        "frequency [Hz]",
        conditions,
        "Why, and how sure",
        "Cautions",
    )
    places = [text.index(what) for what in order]
    assert places == sorted(places)


LONG = {
    "details": {"answer": answer(details=200)},
    "one paragraph": {"answer": dataclasses.replace(answer(), details=(say("It goes on. " * 500),))},
    "headline": {"answer": dataclasses.replace(answer(), headline=say("It is long, and so on, " * 60 + "the end."))},
    "parts": {"parts": tuple((f"Part {n}", "one whose name is long " * 4) for n in range(30))},
    "cautions": {"answer": dataclasses.replace(answer(), cautions=tuple(say(f"Caution {n}. " * 8) for n in range(30)))},
    "conditions": {
        "answer": dataclasses.replace(answer(), conditions=say("Under a condition, " * 120 + "that is all."))
    },
    "address": {"address": "https://example.org/" + "x" * 900},
    "kept": {"kept": tuple((f"kept as number {n}", answer(f3=40.0 + n, length=0.3 + n)) for n in range(4))},
    "short": {"answer": Answer(say("Leave it.")), "start": None, "parts": (), "address": ""},
}


@pytest.mark.parametrize("system", SYSTEMS)
@pytest.mark.parametrize("case", LONG)
def test_however_long_the_texts_are_none_leaves_the_page_or_covers_another(taken, case, system):
    page = sheet(changed(taken, system=system, **LONG[case]))
    width, height = page.get_size_inches()
    places = extents(page)
    assert np.all(places[:, :2] > 0.5)
    assert np.all(places[:, 2] < width - 0.5)
    assert np.all(places[:, 3] < height - 0.5)
    left, bottom, right, top = places.T
    middle = (bottom + top) / 2  # neighbours' descenders and accents may meet, their letters may not
    across = (left[:, None] < right) & (left < right[:, None])
    over = (middle[:, None] > bottom) & (middle[:, None] < top) & across
    assert np.sum(over) == len(places)  # each covers itself only
    (picture,) = (artist.picture for artist in page.artists if isinstance(artist, Placed))
    x, y, end, over_it = picture.bbox_inches.extents
    assert over_it - y > 1.0
    assert not np.any((left < end) & (right > x) & (middle > y) & (middle < over_it))


@pytest.mark.long
@pytest.mark.parametrize("case", LONG)
def test_nothing_but_details_is_ever_left_out(taken, case):
    told = changed(taken, **LONG[case])
    text = words(told)
    whole = [told.answer.headline, told.answer.conditions, *told.answer.cautions]
    assert all(" ".join(said.text(METRIC).split()) in text for said in whole)
    assert all(" ".join(value.split()) in text for _, value in told.parts)
    assert told.address in text.replace(" ", "")
    assert cautioned(text)
    assert (MORE in text) == (case in ("details", "one paragraph"))


def test_details_end_with_a_whole_sentence(taken):
    before = words(changed(taken, answer=answer(details=200))).partition(MORE)[0].strip()
    assert "Reason 1." in before
    assert before.endswith((".", "cone."))


def test_details_are_given_up_before_letters_get_small(taken):
    sizes = [text.get_size() for text in sheet(changed(taken, answer=answer(details=200))).texts]
    assert min(sizes) >= 6


def test_an_answer_without_facts_has_no_table(taken):
    text = words(changed(taken, answer=Answer(say("Leave it as it is.")), start=None))
    assert "Leave it as it is." in text
    assert "Why, and how sure" not in text
    assert "20.0 litres" in text
    assert cautioned(text)


def test_facts_of_one_column_need_no_heading(taken):
    told = Answer(say("Build it."), facts=(fact("bass down to", "{f}", f=FREQUENCY(56.0)),))
    assert "bass down to 56 Hz" in words(changed(taken, answer=told, start=None))


def test_what_was_kept_stands_beside_now_where_it_differs(taken):
    text = words(changed(taken, kept=(("bigger box", answer(f3=50.0)), ("shelf", answer(f3=47.0)))))
    assert "Kept for comparison now bigger box shelf" in text
    assert "bass down to, sealed 61 Hz 50 Hz 47 Hz" in text
    assert "most travel, sealed" not in text


def test_a_fact_that_only_a_kept_state_has_is_compared_too(taken):
    other = dataclasses.replace(answer(), facts=(*answer().facts, fact("radiator", "{f}", f=FREQUENCY(20.0))))
    assert "radiator 20 Hz" in words(changed(taken, kept=(("radiator box", other),)))


def test_what_is_invented_says_so(taken):
    told = changed(taken, invented=(DRIVER, "minibus"))
    assert f"Driver {DRIVER} ({INVENTED})" in words(told)
    assert "Invented, for the demonstration: minibus." in words(told)
    picture = pdf(PICTURE, told).pages[0].extract_text()
    assert f"Invented, for the demonstration: {DRIVER}, minibus." in picture
    assert "nvented" not in words(taken)


def test_letters_of_many_tongues_and_signs_of_formulas_stand_as_they_are(taken):
    strange = "Größe für 5 $ oder 6 $: низ, μπάσα, Ω, µ², x_2 \\ {0} %?"
    told = changed(taken, question=strange, parts=(("Driver", "$a$ & <b>"),))
    assert strange in words(told).replace("μ²", "µ²")
    assert "$a$ & <b>" in words(told)
    assert pdf(SHEET, told).metadata.title == strange
    assert take(SHEET, told)[0] == "groe-fur-5-oder-6-2-x-2-0.pdf"


@pytest.mark.parametrize("kind", [PNG, SVG, PICTURE, SHEET])
def test_dollars_in_the_name_of_a_curve_are_no_formula(responses, taken, kind):
    strange = r"5 $\q$ box"
    assert take(kind, changed(taken, figure=drawn({strange: responses["sealed"]}, {strange: PENS["sealed"]})))[2]


def test_letters_that_the_font_lacks_can_still_be_copied_from_the_sheet(taken):
    assert "低音" in words(changed(taken, question="低音?"))
    assert take(SHEET, changed(taken, question="低音?"))[0] == "lumpedbox.pdf"


@pytest.mark.long
def test_files_are_named_by_the_question(taken):
    names = {kind: take(kind, taken)[:2] for kind in KINDS}
    assert names == {
        PNG: ("sealed-or-vented-in-a-small-volume.png", "image/png"),
        SVG: ("sealed-or-vented-in-a-small-volume.svg", "image/svg+xml"),
        PICTURE: ("sealed-or-vented-in-a-small-volume-picture.pdf", "application/pdf"),
        CSV: ("sealed-or-vented-in-a-small-volume.csv", "text/csv"),
        SHEET: ("sealed-or-vented-in-a-small-volume.pdf", "application/pdf"),
    }


@pytest.mark.parametrize("kind", KINDS)
def test_the_same_is_taken_as_the_same_bytes(taken, kind):
    assert take(kind, taken) == take(kind, taken)
    assert take(kind, taken)[2] != take(kind, changed(taken, question="Another?", curves=(GRID[1:], ())))[2]


@pytest.mark.parametrize("kind", [PICTURE, SHEET])
def test_a_pdf_tells_its_title_and_its_day_and_nothing_of_the_machine(taken, kind):
    about = pdf(kind, taken).metadata
    assert dict(about) == {
        "/Title": taken.question,
        "/Creator": "lumpedbox",
        "/CreationDate": "D:20260301000000Z",
    }


@pytest.mark.parametrize("kind", [PICTURE, SHEET])
def test_a_pdf_carries_its_fonts_as_outlines_that_any_printer_takes(taken, kind):
    (page,) = pdf(kind, taken).pages
    fonts = [font.get_object() for font in page["/Resources"]["/Font"].values()]
    assert {font["/DescendantFonts"][0].get_object()["/Subtype"] for font in fonts} == {"/CIDFontType2"}
    assert all("/ToUnicode" in font for font in fonts)


def test_the_svg_has_a_title_and_text_that_is_text(taken):
    root = ElementTree.fromstring(take(SVG, taken)[2])
    names = "{http://www.w3.org/2000/svg}"
    assert root.find(f"{names}title").text == taken.question
    texts = ["".join(found.itertext()).strip() for found in root.iter(f"{names}text")]
    assert {"sealed", "vented", "frequency [Hz]", taken.question} <= set(texts)
    assert taken.answer.conditions.text(METRIC) in texts
    assert not any("date" in found.tag.lower() for found in root.iter())


def test_the_png_has_a_title_and_is_large_enough_to_print(taken):
    with Image.open(io.BytesIO(take(PNG, taken)[2])) as picture:
        assert picture.info["Title"] == taken.question
        assert picture.info["Software"] == "lumpedbox"
        assert picture.width / picture.info["dpi"][0] == pytest.approx(8.2, abs=0.01)
        assert picture.info["dpi"][0] == pytest.approx(200, abs=0.1)


def pixels(figure):
    canvas = FigureCanvasAgg(figure)
    canvas.draw()
    return np.array(canvas.buffer_rgba())


def test_a_picture_on_a_page_is_the_same_picture(responses):
    """Also what moves on a live page, and so is left out of its background."""
    alone = drawn(responses)(4.0, 3.0)
    alone.set_dpi(100)
    picture = drawn(responses)(4.0, 3.0)
    for line in picture.axes[0].lines:
        line.set_animated(True)
    page = Figure(figsize=(6.0, 5.0), dpi=100)
    page.add_artist(Placed(picture, 1.0, 0.5))
    where = pixels(page)[150:450, 100:500]
    assert np.array_equal(where, pixels(alone))
    assert np.count_nonzero(np.any(where[..., :3] != 255, axis=-1)) > 1000


def test_a_picture_that_lays_itself_out_keeps_its_place(responses):
    def figure():
        whole = Figure(figsize=(4.0, 3.0), dpi=100, layout="constrained")
        whole.subplots().plot(GRID, responses["sealed"].level)
        return whole

    page = Figure(figsize=(6.0, 5.0), dpi=100)
    page.add_artist(Placed(figure(), 1.0, 0.5))
    assert np.array_equal(pixels(page)[150:450, 100:500], pixels(figure()))


def test_pens_that_meet_in_a_panel_differ_in_dash():
    """For a grey print; the thin line of the start is told by its width."""
    for names in (("sealed", "vented", "limit", "port", "validity"), ("first", "second", "third", "limit", "port")):
        dashes = [str(PENS[name].dash) for name in names]
        assert len(set(dashes)) == len(dashes)


def test_pandas_reads_the_curves_back(taken, responses):
    table = pd.read_csv(io.BytesIO(take(CSV, taken)[2]))
    heads = ["frequency [Hz]", "sealed: level [dB re 20 µPa]", "vented: level [dB re 20 µPa]"]
    assert list(table.columns) == heads
    np.testing.assert_allclose(table[heads[0]], GRID, rtol=1e-5)
    for name, head in zip(responses, heads[1:], strict=True):
        np.testing.assert_allclose(table[head], responses[name].level, rtol=1e-5)


def test_small_and_large_numbers_keep_six_digits_and_what_is_none_is_an_empty_cell(taken):
    values = np.array([1.23456789e-7, 123456789.0, np.nan, np.inf, -0.0123456])
    told = changed(taken, curves=(np.array([10.0, 20.0, 30.0, 40.0, 50.0]), (('travel, "peak" [m]', values),)))
    content = take(CSV, told)[2]
    assert content.startswith(b"\xef\xbb\xbf")
    assert not re.search(rb"nan|inf", content, re.IGNORECASE)
    read = pd.read_csv(io.BytesIO(content))['travel, "peak" [m]']
    np.testing.assert_allclose(read, np.where(np.isfinite(values), values, np.nan), rtol=1e-5)


@pytest.mark.parametrize(
    ("columns", "said"),
    [
        ((("level", GRID),), "The curves could not be written: heading 'level' has no unit in brackets"),
        ((("level [dB]", GRID[1:]),), "The curves could not be written: 'level \\[dB\\]' has the shape"),
        ((("level [dB]", GRID), ("level [dB]", GRID)), "The curves could not be written: there are two columns"),
        ((("frequency [Hz]", GRID),), "The curves could not be written: there are two columns"),
    ],
)
def test_curves_that_nobody_could_read_are_refused(taken, columns, said):
    with pytest.raises(ValueError, match=said):
        take(CSV, changed(taken, curves=(GRID, columns)))


@pytest.mark.parametrize("kind", [PNG, SVG, PICTURE, SHEET])
def test_a_picture_that_fails_is_told_plainly(taken, kind):
    def fails(width, height):
        raise RuntimeError("no room for the legend")

    with pytest.raises(ValueError, match=r"^The (picture|sheet) could not be drawn: no room for the legend$") as caught:
        take(kind, changed(taken, figure=fails))
    assert isinstance(caught.value.__cause__, RuntimeError)


def test_an_unknown_kind_is_answered_with_those_there_are(taken):
    with pytest.raises(ValueError, match="there is no 'picture' to take away: choose one of picture as PNG"):
        take("picture", taken)


def test_what_cannot_be_taken_is_refused_at_once(taken):
    with pytest.raises(ValueError, match="system must be one of metric, US customary, got 'imperial'"):
        changed(taken, system="imperial")
    with pytest.raises(ValueError, match="kept holds at most 4 answers, got 5"):
        changed(taken, kept=(("one", answer()),) * 5)


def test_the_looks_of_a_notebook_stay_as_they_were(taken):
    import matplotlib

    before = dict(matplotlib.rcParams)
    take(SHEET, taken)
    assert dict(matplotlib.rcParams) == before


def heading(found):
    """What a caution of a list is about must be among the usual ones too."""
    assert found[1] in CAUTIONS
    return ""


def test_every_caution_of_a_notebook_is_among_the_usual_ones():
    texts = set()
    for path in sorted((Path(__file__).resolve().parents[2] / "notebooks").glob("*.ipynb")):
        cells = ["".join(cell["source"]) for cell in json.loads(path.read_text(encoding="utf-8"))["cells"]]
        texts |= {re.sub(r"\* \*\*(\w+)\*\*:", heading, cell.partition("## Cautions")[2]) for cell in cells}
    clauses = {" ".join(clause.split()).lower() for text in texts for clause in re.split("[.;]", text)} - {""}
    assert len(clauses) > 5
    usual = " ".join(CAUTIONS.values()).lower()
    assert [clause for clause in clauses if clause not in usual] == []


def test_nothing_is_called_safe():
    assert not re.search(r"\bsafe(ly)?\b", " ".join(CAUTIONS.values()), re.IGNORECASE)
