"""What the tests of pages share: how a page is read, and formulas that are independent of the code under test."""

import contextlib
import functools
import importlib
import pkgutil
from pathlib import Path
from types import SimpleNamespace

import numpy as np
import pytest
from scipy.interpolate import CubicSpline

from lumpedbox import Air
from lumpedbox.sliders import lessons
from lumpedbox.sliders.kit.answer import ONLY
from lumpedbox.sliders.kit.systems import Number
from lumpedbox.sliders.lessons.sealed_or_vented import sealed_or_vented
from tests.conftest import rows_of

AIR = Air()
SHEET = {"fs": "40 Hz", "Qes": "0.5", "Qms": "5", "Vas": "30 L", "Sd": "210 cm^2", "Re": "3.4 ohm", "xmax": "6 mm"}
CABIN = {"length": "3 m", "width": "1.5 m", "height": "1.2 m"}
DATA = Path(__file__).resolve().parents[1] / "reference" / "data"

NO_SLIDERS = {  # pages of another kind
    "draw_the_box",
    "find_out",
    "measure_a_driver",
    "my_parts",
    "my_upgrade",
    "take_it_to_the_garage",
}
PAGES = sorted(found.name for found in pkgutil.iter_modules(lessons.__path__) if found.name not in NO_SLIDERS)


def made(name):
    """A page with sliders, as it opens, by the name of its module and function."""
    return getattr(importlib.import_module(f"{lessons.__name__}.{name}"), name)()


def pytest_generate_tests(metafunc):
    """A test that takes `page_name` runs for every page with sliders."""
    if "page_name" in metafunc.fixturenames and not any(
        "page_name" in str(mark.args[0]) for mark in metafunc.definition.iter_markers("parametrize")
    ):
        metafunc.parametrize("page_name", PAGES)


@pytest.fixture(scope="session")
def pages():
    """Function that gives a page by name; each is made once, and stands at its start."""

    @functools.cache
    def made_once(name):
        return made(name)

    def at_start(name):
        page = made_once(name)
        page.board.system = "metric"
        page.reset()
        if page.values != page.start:  # readings stay as they are typed
            page.put(**page.start)
        return page

    return at_start


@pytest.fixture
def page(made):
    """The page that a file makes once, as it opens."""
    made.board.system = "metric"
    made.reset()
    return made


@pytest.fixture
def boxes():
    return sealed_or_vented()


def ask(page, **message):
    """Send what the browser sends."""
    page.board._handle_custom_msg(message, [])


def moves(page, places):
    """Move controls as the browser does."""
    page.board.moved = {"number": page.board.moved.get("number", 0) + 1, "places": places}


def put(page, **places):
    """Move controls to where they may stand."""
    page.put(**places)
    assert page.message == ""
    return page


def conditions(page):
    return page.answer.conditions.text("metric")


def headline(page):
    return page.answer.headline.text("metric")


def details(page):
    return " ".join(said.text("metric") for said in page.answer.details)


def words_in(said):
    """How many words stand unfolded in an answer: in its headline, its columns and its facts."""
    told = [said["headline"], *said["columns"], *(fact["name"] for fact in said["facts"])]
    told += [cell["text"] for fact in said["facts"] for cell in fact["values"]]
    return sum(len(text.split()) for text in told)


def fact_of(page, name):
    """What a fact says that has one column."""
    return page.answer[name][ONLY]


def number(page, name):
    """The only number of a fact, or several by name. [SI]"""
    told = fact_of(page, name).numbers.items()
    numbers = {key: one.value for key, one in told if isinstance(one, Number)}
    return next(iter(numbers.values())) if len(numbers) == 1 else numbers


def text(page, name):
    return fact_of(page, name).text("metric")


def detail(page, words):
    """The one of the details that has some words."""
    return next(said for said in page.answer.details if words in said.words)


def drawn(page, name="box", panel="level"):
    """The grid and the values of a curve, in the units of its panel."""
    return tuple(np.asarray(values) for values in page.scene.stack.values(name, panel))


def drawn_near(page, name, panel, *frequency):
    """The values of a curve at some frequencies, in the units of its panel."""
    return np.interp(frequency, *page.scene.stack.values(name, panel))


def points(line):
    """What an s-plane marks."""
    left, up = line.get_data()
    return np.sort_complex(np.asarray(left) + 1j * np.asarray(up))


@functools.cache
def reference_table(name):
    """The rows of a reference table: a mapping of columns to text each."""
    return rows_of(DATA / f"{name}.csv")


def tabled(Qts, Ql=np.inf):
    """What QB3, B4 and C4 ask for: h, alpha and f3/fs between the rows of the reference tables.

    Source: tests/reference/data/vented_alignments_*.csv (Thiele 1961, Small 1973; derived apart from lumpedbox, seven
    figures). Cubic splines of the logarithms through the 29 rows, from Qts 0.15 to 0.68: good to 1e-5, as seen by
    leaving out every other row.
    """
    rows = reference_table("vented_alignments_ql7" if Ql == 7 else "vented_alignments_lossless")
    rows = sorted((row for row in rows if row["type"] in ("QB3", "B4", "C4")), key=lambda row: float(row["QT"]))
    Q, *wanted = np.log([[float(row[column]) for row in rows] for column in ("QT", "h", "alpha", "f3_fs")])
    h, alpha, f3 = (float(np.exp(CubicSpline(Q, column)(np.log(Qts)))) for column in wanted)
    return SimpleNamespace(h=h, alpha=alpha, f3=f3)


def textbook(driver, frequency, voltage, volume=None, fb=None, Ql=np.inf):
    """Solve one driver in half space by the textbook's closed form, with admittances of the box.

    Source: R. H. Small, "Vented-box loudspeaker systems", Part I, JAES 21(5) 363-372 (1973), fig. 1 (from memory):
    v = (Bl V / Ze) / (Zm + Bl^2 / Ze + Sd^2 Za), written out in impedances instead of the pairs that the library uses.
    """
    s = 2j * np.pi * frequency
    rho, c = AIR.density, AIR.sound_speed
    coil = driver.Re + s * driver.Le
    moving = s * driver.Mms + driver.Rms + 1 / (s * driver.Cms) + driver.Bl**2 / coil
    if volume is None:
        velocity = driver.Bl * voltage / coil / moving
        net, port = driver.Sd * velocity, 0.0
    else:
        compliance = volume / (rho * c**2)
        alpha = driver.Cms * driver.Sd**2 / compliance
        w0 = 2 * np.pi * (driver.fs * np.sqrt(1 + alpha) if fb is None else fb)
        through_port = 0.0 if fb is None else w0**2 * compliance / s
        admittance = s * compliance + w0 * compliance / Ql + through_port
        velocity = driver.Bl * voltage / coil / (moving + driver.Sd**2 / admittance)
        inside = driver.Sd * velocity / admittance
        net, port = inside * s * compliance, inside * through_port
    pressure = s * rho * net / (2 * np.pi)
    return SimpleNamespace(
        pressure=pressure,
        level=20 * np.log10(abs(pressure) / 20e-6),
        excursion=np.sqrt(2) * abs(velocity / s),
        port_flow=np.sqrt(2) * abs(port),
        current=(voltage - driver.Bl * velocity) / coil,
    )


def db(ratio):
    return 20 * np.log10(ratio)


def impedance_of(driver, s):
    """By the textbook: Re + s Le + Bl^2 / mechanical impedance (Small 1972, from memory)."""
    return driver.Re + s * driver.Le + driver.Bl**2 / (s * driver.Mms + driver.Rms + 1 / (s * driver.Cms))


def cavity(cabin, frequency, distance):
    """What a cabin adds to a source in half space (derived): far below the corner p = rho c^2 U / (s V) of a closed
    cavity, less what leaks; far above it nothing."""
    s, c = 2j * np.pi * frequency, Air().sound_speed
    volume = cabin.flex * cabin.length * cabin.width * cabin.height
    corner = c * np.sqrt(2 * np.pi * distance / volume)
    return (s**2 + np.sqrt(2) * corner * s + corner**2) / (s * (s + 2 * np.pi * cabin.leak))


def modes_one_by_one(frequency, sizes, source, ear, *, T60, leak, flex=1.5, widths=(0.0, 0.0), highest=140.0):
    """Pressure over volume flow in a box by its resonances, each added by itself. [Pa s/m3]

    Source: P. M. Morse, K. U. Ingard, "Theoretical Acoustics" (1968), chap. 9 (from memory): the triple sum of cosines
    up to a wave number [1/m], averaged over cubes of some widths around source and ear. The library sums one axis in
    closed form and never adds these terms.
    """
    s, c = 2j * np.pi * frequency, AIR.sound_speed
    numbers = np.meshgrid(*(np.arange(int(highest * size / np.pi) + 1) for size in sizes), indexing="ij")
    k = [np.pi * n / size for n, size in zip(numbers, sizes, strict=True)]
    weight = 1.0
    for one, x, y in zip(k, source, ear, strict=True):
        average = np.prod([np.sinc(one * width / (2 * np.pi)) for width in widths], axis=0)
        weight = weight * np.where(one == 0, 1, 2) * np.cos(one * x) * np.cos(one * y) * average
    square = k[0] ** 2 + k[1] ** 2 + k[2] ** 2
    square[0, 0, 0], weight[0, 0, 0] = 1.0, 0.0
    damped = (s**2 + 13.8155 / T60 * s) / c**2
    uniform = c**2 / (flex * (s**2 + 2 * np.pi * leak * s))
    return AIR.density * s * (uniform + np.sum(weight / (square + damped))) / np.prod(sizes)


def heard_in_the_cabin(values, driver, frequency, volume, leak, ear_width=0.15, highest=140.0):
    """Level at the ear of the page on the cabin, by the sum above and the textbook's closed box. [dB re 20 uPa]"""
    box = textbook(driver, np.array([frequency]), 10.0, volume=volume)
    flow = abs(box.pressure[0]) / (frequency * AIR.density)  # half space at 1 m: p = s rho U / 2 pi
    transfer = modes_one_by_one(
        frequency,
        [values[name] for name in ("length", "width", "height")],
        [values[f"box_{axis}"] for axis in "xyz"],
        [values[f"ear_{axis}"] for axis in "xyz"],
        T60=values["damping"],
        leak=leak,
        widths=(np.sqrt(driver.Sd), ear_width),
        highest=highest,
    )
    return 20 * np.log10(abs(transfer) * flow / 20e-6)


@pytest.fixture(scope="session")
def closed_form():
    return textbook


@pytest.fixture(scope="session")
def table_of_alignments():
    return tabled


@pytest.fixture(scope="session")
def reference_rows():
    return reference_table


@pytest.fixture(scope="module", autouse=True)
def nothing_kept(tmp_path_factory):
    """A folder in which nothing is kept, so that every page offers what it offers to a newcomer."""
    with contextlib.chdir(tmp_path_factory.mktemp("nothing_kept")):
        yield


@pytest.fixture
def place(tmp_path, monkeypatch):
    """A folder of one's own for one test, with what it keeps."""
    monkeypatch.chdir(tmp_path)
    return tmp_path / "my_parts.toml"
