"""Damaged plans: each is refused by name, or read right; never a traceback, and the file never changes."""

import random
import re
import tomllib
import warnings
from functools import cached_property

import pytest

from lumpedbox.plan import Figures, demo_plan, figures, read_plan
from lumpedbox.plan.reading import plan_of

TEXT = demo_plan().text
WORKED_OUT = [name for name, member in vars(Figures).items() if isinstance(member, (property, cached_property))]
UNITS = ("mm", "m", "cm2", "litres", "uF", "Hz", "dB", "W", "V", "deg", "ohm", "in", "ft^3", "kHz", "")
UNIT = r'(?<=\d) ?(?:mm|m|cm2|litres|uF|Hz|dB|W|V|deg)(?=[" ,])'
NUMBERS = ("0", "-3", "1e9", "1,5", "7/8", "5 to 6", "±3", "9" * 400)
TYPES = (
    "3",
    "-1.5",
    "true",
    "[]",
    "{}",
    '""',
    '"x"',
    "nan",
    "inf",
    "1979-05-27",
    '["a", 3]',
    "{ a = 1 }",
    '"1e999 mm"',
)
STRANGE = ("ä", "−", "“", "”", "\t", "'", '"', "#", "[", "]", "{", "}", "=", ",", ".", "\\", "\n", "\x00", "\u2028")


def swapped(draw, text, pattern, choices):
    """Put something else in the place of one match."""
    found = list(re.finditer(pattern, text))
    if not found:
        return text
    place = draw.choice(found)
    return text[: place.start()] + draw.choice(choices) + text[place.end() :]


def misspelt(draw, text):
    """Leave a letter out of a word, double it, or turn two round."""
    words = list(re.finditer(r"[A-Za-z]{3,}", text))
    if not words:
        return text
    place = draw.choice(words)
    word, at = place[0], draw.randrange(len(place[0]) - 1)
    other = draw.choice([
        word[:at] + word[at + 1 :],
        word[:at] + word[at] + word[at:],
        word[:at] + word[at + 1] + word[at] + word[at + 2 :],
    ])  # fmt: skip
    return text[: place.start()] + other + text[place.end() :]


def line_gone(draw, text):
    lines = text.split("\n")
    del lines[draw.randrange(len(lines))]
    return "\n".join(lines)


def line_twice(draw, text):
    lines = text.split("\n")
    at = draw.randrange(len(lines))
    lines.insert(draw.randrange(len(lines)), lines[at])
    return "\n".join(lines)


DAMAGE = (
    misspelt,
    line_gone,
    line_twice,
    lambda draw, text: swapped(draw, text, UNIT, [f" {unit}" for unit in UNITS]),
    lambda draw, text: swapped(draw, text, r"(?<== ).+", TYPES),
    lambda draw, text: swapped(draw, text, r'"[^"\n]*"', TYPES),
    lambda draw, text: swapped(draw, text, r"\d+(?:\.\d+)?", NUMBERS),
    lambda draw, text: text[: draw.randrange(len(text))],
    lambda draw, text: swapped(draw, text, r".", STRANGE),
)  # fmt: skip


def check(seed, library):
    """Damage the plan once to three times; it must be refused by name, or read, and then be computable."""
    draw = random.Random(seed)
    text = TEXT
    for _ in range(draw.choice((1, 1, 1, 2, 3))):
        text = draw.choice(DAMAGE)(draw, text) if text.strip() else text
    try:
        with warnings.catch_warnings():
            warnings.simplefilter("error")
            plan = plan_of(text, "plan.toml", library)
    except ValueError as error:
        for line in str(error).split("\n"):
            assert re.match(r"plan\.toml(?:,| is not written as TOML|: )", line), (seed, line)
            assert "Error" not in line, (seed, line)
        return "refused"
    check_read(plan, tomllib.loads(text))
    if seed % 50 == 0:  # the rest would take long
        for state in (plan.after(), plan.after(*plan.stages)):
            found = figures(state)
            assert found.first
            for name in WORKED_OUT:
                getattr(found, name)
            assert all(map(str, (*state.unfit, *state.open)))
    return "read"


def check_read(plan, tables):
    """What is read is all that stands there."""
    kinds = {"opening": plan.openings, "channel": plan.channels, "part": plan.items, "stage": plan.stages}
    for kind, found in kinds.items():
        assert len(found) == len(tables.get(kind, {}))
    for name, known in tables.get("opening", {}).items():
        assert known.keys() - {"remark"} == plan.openings[" ".join(name.split())].keys() - {"remark"}
    assert {" ".join(place.split()) for place in tables.get("have", {})} >= plan.have.keys()
    states = [plan.after(), plan.after(*plan.stages)]
    for state in states:
        assert state.cost == pytest.approx(plan.cost_of(state.done))
        assert state.system is None or len(state.system.names) == sum(len(line.drivers) for line in state.playing)


@pytest.mark.parametrize("first", range(0, 300, 100))
def test_damaged_plans_are_refused_by_name_or_read_right(first, library):
    found = [check(seed, library) for seed in range(first, first + 100)]
    assert found.count("refused") > 40
    assert found.count("read") > 5


@pytest.mark.long
@pytest.mark.parametrize("first", range(1000, 11000, 1000))
def test_many_damaged_plans_are_refused_by_name_or_read_right(first, library):
    found = [check(seed, library) for seed in range(first, first + 1000)]
    assert found.count("refused") > 400


@pytest.mark.parametrize("encoding", ["utf-16", "utf-32", "latin-1"])
def test_another_encoding_is_refused_and_the_file_stays(tmp_path, encoding):
    path = tmp_path / "plan.toml"
    content = TEXT.replace("Invented", "Ünvented").encode(encoding)
    path.write_bytes(content)
    with pytest.raises(ValueError, match=r"^plan\.toml is not (?:text in UTF-8|written as TOML)"):
        read_plan(path)
    assert path.read_bytes() == content


@pytest.mark.parametrize("seed", range(20))
def test_random_bytes_are_refused_and_the_file_stays(tmp_path, seed):
    path, draw = tmp_path / "plan.toml", random.Random(seed)
    content = bytearray(TEXT.encode())
    for _ in range(5):
        content[draw.randrange(len(content))] = draw.randrange(128, 256)
    path.write_bytes(content)
    with pytest.raises(ValueError, match=r"^plan\.toml is not text in UTF-8"):
        read_plan(path)
    assert path.read_bytes() == bytes(content)


def test_a_plan_with_a_table_left_out_says_what_it_can_or_what_it_lacks(library):
    tables = re.split(r"(?m)^(?=\[)", TEXT)
    for at in range(len(tables)):
        text = "".join(tables[:at] + tables[at + 1 :])
        if (refusal := refused(text, library)) is None:
            found = figures(plan_of(text, "plan.toml", library).after())
            assert found.clean > 80 or found.open, tables[at]
        else:
            assert refusal.startswith("plan.toml, ["), tables[at]


def refused(text, library):
    try:
        plan_of(text, "plan.toml", library)
    except ValueError as error:
        return str(error)
