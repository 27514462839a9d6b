"""What every page hands over to be taken along is what it stands at."""

import io

import numpy as np
import pandas
import pypdf
import pytest
from PIL import Image

from lumpedbox.sliders.kit import along
from lumpedbox.sliders.kit.along import taken_of
from lumpedbox.sliders.kit.taking import KINDS, take
from lumpedbox.units import litre

PNG, SVG, PICTURE, CSV, SHEET = KINDS


def asked(page, kind, monkeypatch):
    """What the browser is sent when it asks for something: (message, content)."""
    sent = []
    monkeypatch.setattr(page.board, "send", lambda message, buffers: sent.append((message, *buffers)))
    page.board._handle_custom_msg({"take": [kind, "http://127.0.0.1/voila/render/x.ipynb#volume=0.03"]}, [])
    return sent


def test_the_curves_of_every_page_come_back_from_the_table(pages, page_name):
    page = pages(page_name)
    _, media, content = take(CSV, taken_of(page))
    table = pandas.read_csv(io.BytesIO(content))
    assert media == "text/csv"
    assert table[page.scene.along].to_numpy() == pytest.approx(page.scene.grid, rel=1e-5)
    assert len(table.columns) > 1
    for heading in table.columns[1:]:
        assert heading.endswith("]")
    name = page.scene.kept[0]
    key = next(key for key in page.scene.stack.axes if len(page.scene.stack.values(name, key)[0]))
    _, drawn = page.scene.stack.values(name, key)
    columns = [table[heading].to_numpy() for heading in table.columns if heading.startswith(page.scene.pens[name][1])]
    assert any(np.allclose(column, drawn, rtol=1e-5, equal_nan=True) for column in columns)


def test_the_sheet_of_every_page_says_what_the_page_says(pages, page_name):
    page = pages(page_name)
    _, _, content = take(SHEET, taken_of(page, "http://127.0.0.1/x"))
    (sheet,) = pypdf.PdfReader(io.BytesIO(content)).pages
    text = " ".join(sheet.extract_text().split())
    said = page.board.answer
    assert page.question in text
    assert said["headline"] in text
    for line in said["facts"]:
        assert line["name"] in text
    assert "Loud sound harms hearing" in text


def test_taking_something_leaves_the_page_as_it_was(pages, page_name):
    page = pages(page_name)
    before, size = page.picture.draw(), page.scene.figure.get_size_inches().tolist()
    for kind in (SVG, CSV):
        take(kind, taken_of(page))
    page.picture.forget()
    assert page.scene.figure.get_size_inches().tolist() == size
    assert page.picture.draw() == before


def test_the_browser_is_sent_the_file_with_its_name_and_kind(pages, monkeypatch):
    page = pages("sealed_or_vented")
    page.put(volume=33 * litre)
    ((message, content),) = asked(page, PNG, monkeypatch)
    assert message == {"taken": {"name": "sealed-or-vented-in-a-small-volume.png", "type": "image/png"}}
    picture = Image.open(io.BytesIO(content))
    assert picture.width == 1640
    taken = taken_of(page)
    assert ("Net volume", "33.0 litres") in taken.parts
    assert "200 mm bass" in taken.invented
    assert taken.start is page.start_answer


def test_a_picture_that_cannot_be_drawn_is_said_plainly(pages, monkeypatch):
    page = pages("sealed_or_vented")

    def fails(*_):
        raise RuntimeError("no ink")

    monkeypatch.setattr(along, "figure_of", fails)
    assert asked(page, PNG, monkeypatch) == []
    assert page.board.note == "The picture could not be drawn: no ink"
    assert page.message == ""


def test_what_is_kept_is_on_the_sheet_and_in_the_legend(pages):
    page = pages("sealed_or_vented")
    page.put(volume=33 * litre)
    page.board._handle_custom_msg({"keep": True}, [])
    page.put(volume=50 * litre)
    labels = [text.get_text() for text in along.figure_of(page, 8.0, 5.0).legends[0].get_texts()]
    assert labels[:2] == ["sealed", "vented"]
    assert {"33.0 litres", "where you started"} <= set(labels)
    _, _, content = take(SHEET, taken_of(page))
    assert "33.0 litres" in pypdf.PdfReader(io.BytesIO(content)).pages[0].extract_text()
    page.board._handle_custom_msg({"drop": 0}, [])
