"""Thousands of malformed tables, saved files: each is refused by name or taken as it says, never silently."""

import csv
import io
import json
import re
import tomllib

import numpy as np
import pytest
from hypothesis import HealthCheck, given, settings
from hypothesis import strategies as st

from lumpedbox.tables import read_sheets
from lumpedbox.tables.my_parts import keep, read
from lumpedbox.tables.quantity_text import registry
from lumpedbox.units import cm2, litre, mH, mm

HEADINGS = ("name", "fs [Hz]", "Qms", "Qes", "Vas [L]", "Sd [cm^2]", "Re [ohm]", "Le [mH]", "xmax [mm]", "xmax counted")
ROWS = (
    ("woofer", "35", "5", "0.45", "60", "330", "3.4", "0.5", "6", "one way"),
    ("panel", "58", "4.5", "0.6", "15", "137", "3.4", "", "", ""),
)
SIZES = {"fs": 1, "Qms": 1, "Qes": 1, "Vas": litre, "Sd": cm2, "Re": 1, "Le": mH, "xmax": mm}
TYPED = st.one_of(
    st.floats(0.3, 60).map("{:.3g}".format),
    st.floats(0.3, 60).map("{:.1f}".format),
    st.text(max_size=6),
    st.text(alphabet="0123456789.,-+eE_ /'\"", max_size=7),
    st.floats().map(repr),
    st.integers(-10, 10**6).map(str),
    st.sampled_from(
        ["nan", "inf", "-inf", "1e999", "1_0", "٣٥", "3 5", "0x10", "35 Hz", "½", "1,5", "−5", "N/A", "-", "?"]
    ),
)
SPOILT = st.sampled_from([",", ";", "\t", "\n", "\r", "#", '"', "\ufeff", "\0", " ", "[", "]", "é", "\u2028"])


@st.composite
def tables(draw):
    """A good table with one to three things wrong with it: cells, headings, signs put in or characters left out."""
    cells = [list(HEADINGS), *map(list, ROWS)]
    for _ in range(draw(st.integers(0, 2))):
        row, column = draw(st.integers(0, len(cells) - 1)), draw(st.integers(0, len(HEADINGS) - 1))
        cells[row][column] = draw(TYPED)
    text = io.StringIO()
    csv.writer(text, lineterminator="\n").writerows(cells)
    text = text.getvalue()
    if draw(st.booleans()):
        at = draw(st.integers(0, len(text)))
        text = text[:at] + draw(SPOILT) + text[at + draw(st.integers(0, 2)) :]
    return text


@pytest.fixture(scope="module")
def path(tmp_path_factory):
    return tmp_path_factory.mktemp("tables") / "mine.csv"


def attempt_to(action, *given):
    """What comes of an action: its result, or None and why it is refused."""
    try:
        return action(*given), ""
    except ValueError as error:
        return None, str(error)


def test_a_malformed_table_is_refused_by_name_or_read_as_it_stands(path):
    read = []

    @settings(max_examples=1000, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
    @given(tables())
    def each(text):
        path.write_bytes(text.encode())
        sheets, refusal = attempt_to(read_sheets, path)
        if sheets is None:
            assert re.match(r"mine\.csv.{10}", refusal)
            return
        said = as_it_stands(text)
        assert len(sheets) == len(said)
        for sheet, row in zip(sheets.values(), said, strict=True):
            for heading, size in SIZES.items():
                if row.get(heading):
                    assert sheet.report.given[heading] == pytest.approx(float(row[heading]) * size, rel=1e-12)
            assert sheet.driver.name.startswith(row["name"])
            assert np.isfinite(sheet.driver.fs)
        read.append(text)

    each()
    assert 50 < len(read) < 950, "of a thousand tables some are good, and some are not"


def as_it_stands(text):
    """The rows of a table by what their headings name, read without the library."""
    lines = [row for row in csv.reader(io.StringIO(text.removeprefix("\ufeff"), newline="")) if "".join(row).strip()]
    first = next(i for i, row in enumerate(lines) if not row[0].startswith("#"))
    rest = [line for line in lines[first + 1 :] if not (line[0].startswith("#") and not "".join(line[1:]).strip())]
    headings = [heading.split("[")[0].strip() for heading in lines[first]]
    for line in rest:
        assert not any(line[len(headings) :]), "only empty cells are left out"
    return [dict(zip(headings, map(str.strip, line), strict=False)) for line in rest]


@settings(max_examples=200, deadline=None, derandomize=True)
@given(st.binary(max_size=200))
def test_any_bytes_are_refused_by_name(path, content):
    path.write_bytes(content)
    sheets, refusal = attempt_to(read_sheets, path)
    assert sheets == {} or refusal.startswith("mine.csv")


# What may stand for a quantity, right and wrong: numbers, units and signs put together.
QUANTITY_TYPED = st.one_of(
    st.builds(
        "{}{}{}".format,
        st.one_of(TYPED, st.integers(1, 400).map(str)),
        st.sampled_from(["", " "]),
        st.sampled_from(["L", "Hz", "ohm", "mm", "in", "ft^3", "cm^2", "mH", "W", "dB", "g", "T m", "", "µ", "%"]),
    ),
    TYPED,
)
SAVED = """# mine
[driver."door"]  # left
fs = "58 Hz"
Qes = "0.6"
Qms = 4.5
Vas = "0.53 ft^3"
Sd = "137 cm^2"
Re = "3.4 ohm"

[box."under the seat"]
volume = "20 L"
tuning = "40 Hz"

[choices]
volume = "12 L"
driver = "door"
"""


@st.composite
def saved_files(draw):
    """A good file with a value typed anew, and now and then a sign put in or left out."""
    lines = SAVED.splitlines()
    with_value = [i for i, line in enumerate(lines) if " = " in line]
    for _ in range(draw(st.integers(0, 2))):
        i = draw(st.sampled_from(with_value))
        typed = json.dumps(draw(QUANTITY_TYPED), ensure_ascii=draw(st.booleans()))
        lines[i] = f"{lines[i].partition(' = ')[0]} = {typed}"
    text = "\n".join(lines)
    if draw(st.booleans()):
        at = draw(st.integers(0, len(text)))
        text = text[:at] + draw(st.one_of(SPOILT, st.sampled_from("='[].x7"))) + text[at + draw(st.integers(0, 2)) :]
    return text


def by_pint(text, unit):
    """A quantity as pint reads it, in a unit; None where pint cannot."""
    try:
        return registry().Quantity(text).to(unit).magnitude
    except Exception:
        return None


def test_a_malformed_saved_file_is_refused_by_name_and_left_alone_or_read_as_it_stands(tmp_path):
    path, read_well = tmp_path / "my_parts.toml", []

    @settings(max_examples=1000, deadline=None, derandomize=True, suppress_health_check=[HealthCheck.too_slow])
    @given(saved_files())
    def each(text):
        content = text.encode()
        path.write_bytes(content)
        kept, refusal = attempt_to(read, path)
        if kept is None:
            assert re.match(r"my_parts\.toml.{10}", refusal)
            _, again = attempt_to(keep, "box", "another", {"volume": "30 L"}, path)
            assert again == refusal
            assert path.read_bytes() == content
            return
        tables = tomllib.loads(text.removeprefix("\ufeff"))
        assert kept.typed == {kind: tables.get(kind, {}) for kind in kept.typed}
        for name, sheet in kept.parts["driver"].items():
            typed = tables["driver"][name]
            for key, unit in (("fs", "Hz"), ("Vas", "m^3"), ("Sd", "m^2"), ("Re", "ohm")):
                exact = by_pint(str(typed[key]), unit) if typed.get(key) else None
                assert exact is None or sheet.report.given[key] == pytest.approx(exact, rel=1e-9)
        read_well.append(text)

    each()
    assert 50 < len(read_well) < 950
