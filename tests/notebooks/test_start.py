"""The start opens every page that there is, calls nothing missing that there is, and says where one's parts stand."""

import json
import re
import subprocess
import sys
from pathlib import Path

import pytest

from lumpedbox.figures.cautions import CAUTIONS
from lumpedbox.figures.style import DARK, LIGHT, PENS
from lumpedbox.sliders import kit
from lumpedbox.sliders.start import NOTHING, standing
from lumpedbox.tables.my_parts import keep
from lumpedbox.tables.shipped import notebooks_folder

FOLDER = notebooks_folder()
PAGES = {path.stem for path in FOLDER.glob("*.ipynb")} - {"start"}
WAY, LESSONS, TEACHERS = "I am upgrading a vehicle", "I am learning or teaching", "For teachers"
SMALL_WORDS = {"and", "before", "does", "for", "get", "how", "one", "something", "the", "what", "which", "your"}


def words(name):
    """The text of a notebook, without its code."""
    cells = json.loads((FOLDER / f"{name}.ipynb").read_text(encoding="utf-8"))["cells"]
    return "\n\n".join("".join(cell["source"]) for cell in cells if cell["cell_type"] == "markdown")


START = words("start")
SECTIONS = dict(re.findall(r"^## (.+)\n((?:(?!## ).*\n?)*)", START, re.MULTILINE))
STEPS = re.findall(r"^\d+\. (!\[.*(?:\n(?!\d+\. |\*\*).*)*)", SECTIONS[WAY], re.MULTILINE)


def links(text):
    """The words of each link of a text, and the page to which it leads."""
    return re.findall(r"\[([^\]]+)\]\(((?:teaching/)?\w+)\.ipynb\)", text)


def pages(text):
    """The pages to which a text links."""
    return [page for _, page in links(text)]


def called_missing(text):
    """What a text says is not in here yet: its words in that line, and the name declared beside them."""
    return re.findall(r"^(.*not in here yet\W*?)(?:<!-- (\w+)\.ipynb -->)?$", text, re.MULTILINE | re.IGNORECASE)


def stems(text):
    """The words of a text that say what it is about, without their endings."""
    found = {re.sub(r"(ting|ing|s|e)$", "", word) for word in re.findall(r"[a-z]{3,}", text.lower())}
    return found - {re.sub(r"(ting|ing|s|e)$", "", word) for word in SMALL_WORDS}


def about(thing):
    """The pages whose file or title has a word of a thing's."""
    return [page for page in PAGES if stems(thing) & stems(f"{page.replace('_', ' ')} {words(page).splitlines()[0]}")]


def test_every_page_is_behind_a_door_and_every_link_leads_to_a_page():
    assert {*pages(SECTIONS[WAY]), *pages(SECTIONS[LESSONS])} == PAGES
    assert [page for page in pages(START) if not (FOLDER / f"{page}.ipynb").is_file()] == []
    anchors = {heading.replace(" ", "-") for heading in SECTIONS}
    assert set(re.findall(r"\]\(#([^)]+)\)", START)) - anchors == set()


def test_teachers_find_a_page_for_each_lesson_in_the_same_order():
    taught = [(asked, page.removeprefix("teaching/")) for asked, page in links(SECTIONS[TEACHERS])]
    assert taught == links(SECTIONS[LESSONS])
    assert {path.stem for path in FOLDER.glob("teaching/*.ipynb")} == {page for _, page in taught}


def test_a_lesson_is_called_by_its_own_title_and_only_lessons_take_minutes():
    for asked, page in links(SECTIONS[LESSONS]):
        assert words(page).splitlines()[0] == f"# {asked}"
    lines = re.findall(r"^\d+\. .*$", SECTIONS[LESSONS], re.MULTILINE)
    assert len(lines) == len(links(SECTIONS[LESSONS]))
    assert [line for line in lines if not re.search(r"\*\d+ min\*$", line)] == []
    assert not re.search(r"\d min", SECTIONS[WAY])


def test_what_is_called_missing_is_not_there():
    things = called_missing(START)
    assert [said for said, page in things if not page] == [], "declare the name of the page that will be"
    assert [page for _, page in things if (FOLDER / f"{page}.ipynb").exists()] == []
    assert {page: about(page) for _, page in things if about(page)} == {}, "there under another name"
    assert len(things) == len(re.findall(r"<!--", START))
    assert [said for said, _ in things if pages(said)] == []


@pytest.mark.parametrize("thing", ["how loud it gets", "where bass and panels meet"])
def test_what_is_there_would_be_found(thing):
    assert about(thing)


def test_what_is_called_missing_would_be_found():
    found = called_missing("words\nThe plan: not in here yet. <!-- plan.ipynb -->\n   Wood. *Not in here yet.*\nmore")
    assert [page for _, page in found] == ["plan", ""]


def test_every_step_opens_its_page_or_says_that_there_is_none():
    """Its picture is named as the page is."""
    assert len(STEPS) == 16
    for step in STEPS:
        (alternative, page), there = re.match(r"!\[(.*)\]\(pictures/start/(\w+)\.svg\)", step).groups(), pages(step)
        assert len(alternative.split()) >= 5
        assert [*there, *(name for _, name in called_missing(step))] == [page]


def test_the_pictures_are_drawn_in_the_colours_of_the_figures():
    colours = {pen.color for pen in PENS.values()} | {LIGHT["ink"], DARK["ink"]}
    drawn = sorted((FOLDER / "pictures" / "start").iterdir())
    assert {path.name for path in drawn} == set(re.findall(r"\(pictures/start/([^)]+)\)", START))
    for path in drawn:
        text = path.read_text(encoding="utf-8")
        assert set(re.findall(r"#[0-9A-Fa-f]{6}", text)) <= colours
        assert "prefers-color-scheme: dark" in text


def test_how_a_page_works_names_what_a_page_has():
    has = "".join(path.read_text(encoding="utf-8") for path in Path(kit.__file__).parent.iterdir() if path.is_file())
    named = re.findall(r"\*((?:Why, and|Show|Stop|Keep|Take|Back|Units)[^*]*)\*", SECTIONS["How a page works"])
    assert len(named) == 7
    assert [name for name in named if f'"{name}' not in has] == []


def test_cautions_are_those_of_every_page():
    assert SECTIONS["Cautions"].split("\n* ")[1:] == [f"**{what}**: {mind}" for what, mind in CAUTIONS.items()]


WOOFER = {"fs": "58 Hz", "Qms": "4.5", "Qes": "0.6", "Vas": "15 L", "Re": "3.4 ohm", "Sd": "137 cm^2"}


def test_where_ones_own_parts_stand(tmp_path):
    path = tmp_path / "my_parts.toml"
    assert standing(path).lines == (NOTHING,)
    keep("driver", "door", WOOFER, path)
    keep("driver", "R&B", WOOFER, path)
    keep("driver", "odd", {key: value for key, value in WOOFER.items() if key != "fs"}, path)
    keep("box", "boot", {"port_area": "50 cm^2"}, path)
    keep("box", "shelf", {"filling": "1.2"}, path)
    told = standing(path)
    assert told.lines == (
        '2 drivers kept: door, R&B; 1 not complete: odd (add "Resonance fs").',
        '2 boxes not complete: boot (add "Net volume"), shelf (add "Net volume").',
        "No amplifier, head unit, cabin or channel yet.",
    )
    assert "<li>2 drivers kept: door, R&amp;B; 1 not" in told._repr_html_()
    keep("amplifier", "four", {"power": "75 W", "rated_impedance": "4 ohm"}, path)
    keep("head_unit", "old", {"voltage": "9.1 V", "minimum_load": "4 ohm"}, path)
    keep("cabin", "bus", {"length": "5 m", "width": "1.8 m", "height": "1.6 m"}, path)
    keep("channel", "front left", {"feeds": "door"}, path)
    keep("channel", "rear", {"feeds": "door + R&B"}, path)
    keep("channel", "shelf", {"feeds": "dor"}, path)
    *told, channels = standing(path).lines[2:]
    assert told == ["1 amplifier kept: four.", "1 head unit kept: old.", "1 cabin kept: bus."]
    assert channels == (
        '1 channel kept: front left; 2 not complete: rear (add "Wired"), shelf (my_parts.toml, [channel."shelf"]: '
        "feeds = 'dor': no driver of that name is kept: did you mean 'door'?)."
    )


def test_a_file_that_cannot_be_read_is_complained_of(tmp_path):
    path = tmp_path / "my_parts.toml"
    path.write_text('[driver."a"]\nfs = 58', encoding="utf-8")
    (line,) = standing(path).lines
    assert "write the unit too" in line
    assert "left out" in line


def test_the_start_waits_for_nothing_heavy():
    heavy = "{'ipywidgets', 'matplotlib', 'pandas', 'pint', 'scipy'}"
    code = f"import sys, lumpedbox.sliders.start; lumpedbox.sliders.start.standing(); print({heavy} & {{*sys.modules}})"
    assert subprocess.run([sys.executable, "-c", code], check=True, capture_output=True, text=True).stdout == "set()\n"
