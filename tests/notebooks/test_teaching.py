"""Every lesson has a page for its teacher, whose plan fits the hour and whose words fit the exercises."""

import json
import os
import re
import venv

import pytest

from lumpedbox.sliders import key
from lumpedbox.sliders.exercises import LESSONS, sheet_of
from lumpedbox.sliders.kit.result_code import NO_SECRET
from lumpedbox.tables.shipped import notebooks_folder

FOLDER = notebooks_folder() / "teaching"
HOUR = 45  # minutes


def words(lesson):
    cells = json.loads((FOLDER / f"{lesson}.ipynb").read_text(encoding="utf-8"))["cells"]
    return "\n\n".join("".join(cell["source"]) for cell in cells)


def tables(text):
    """The minutes of each table that has them."""
    found = re.findall(r"\| minutes \|.*\n\|[-|]+\n((?:\|.*\n?)+)", text)
    return [[int(minutes) for minutes in re.findall(r"^\| (\d+) \|", table, re.MULTILINE)] for table in found]


def test_every_lesson_has_its_page():
    assert {path.stem for path in FOLDER.glob("*.ipynb")} == set(LESSONS)


@pytest.mark.parametrize("lesson", LESSONS)
def test_the_plan_fits_the_hour(lesson):
    plans = tables(words(lesson))
    assert [sum(plan) for plan in plans] == [HOUR]
    steps = ("Opening", "Guess", "Sliders", "Idea", "Equation", "Exercises", "Close")
    assert [step for step in steps if f"| {step} |" not in words(lesson)] == []


@pytest.mark.parametrize("lesson", LESSONS)
def test_every_row_of_a_table_has_three_cells(lesson):
    """A formula with an upright stroke would break it."""
    rows = re.findall(r"^\|.*$", words(lesson), re.MULTILINE)
    assert len(rows) > 12
    assert [row for row in rows if row.count("|") != 4] == []


@pytest.mark.parametrize("lesson", LESSONS)
def test_the_way_to_the_lesson_and_to_its_own_live_page(lesson):
    text = words(lesson)
    assert f"](/voila/render/teaching/{lesson}.ipynb)" in text
    links = re.findall(r"\]\((\.\./[^)]+)\)", text)
    assert links == [f"../{lesson}.ipynb"]
    assert (FOLDER / links[0]).is_file()


@pytest.mark.parametrize("lesson", LESSONS)
def test_what_it_says_of_exercises_is_there(lesson):
    numbers = {int(number) for number in re.findall(r"[Ee]xercise (\d+)", words(lesson))}
    plan = " ".join(re.findall(r"\| Exercises \| (.*) \|", words(lesson)))
    numbers |= {int(number) for number in re.findall(r"(?<![\d.])\b(\d)\b(?![\d.]\d)", plan)}
    assert numbers
    assert max(numbers) <= len(sheet_of(lesson).rows)


@pytest.mark.parametrize("lesson", LESSONS)
def test_the_commands_that_it_shows_are_understood(lesson, capsys):
    commands = re.findall(rf"^    {re.escape(key.parser().prog)} (.*)$", words(lesson), re.MULTILINE)
    assert len(re.findall("-m lumpedbox", words(lesson))) == len(commands), "and no other way to run it"
    assert len(commands) == 3
    for command in commands:
        arguments = [text.strip('"') for text in re.findall(r'"[^"]*"|\S+', command)]
        assert key.parser().parse_args(arguments)
        assert "--lesson" not in arguments or arguments[arguments.index("--lesson") + 1] == lesson
    assert NO_SECRET.partition(". ")[0] in " ".join(words(lesson).split())


def test_the_commands_find_the_python_that_the_readme_installs(tmp_path):
    """The README's first command makes an environment beside it; Python's own venv says where its interpreter is."""
    readme = (notebooks_folder().parent / "README.md").read_text(encoding="utf-8")
    folder = re.search(r"^python3 -m venv (\S+) &&", readme, re.MULTILINE)[1]
    venv.create(tmp_path / folder, symlinks=os.name != "nt")
    python, _, module = key.parser().prog.partition(" -m ")
    assert module == "lumpedbox.sliders.key"
    assert (tmp_path / python).exists() or os.name == "nt"
    for lesson in LESSONS:
        assert r"On Windows write `.venv\Scripts\python` in place of" in words(lesson)
    assert r".venv\Scripts\lumpedbox" in readme


@pytest.mark.parametrize("lesson", LESSONS)
def test_its_code_shows_the_solutions_of_its_own_lesson(lesson):
    cells = json.loads((FOLDER / f"{lesson}.ipynb").read_text(encoding="utf-8"))["cells"]
    (code,) = ["".join(cell["source"]) for cell in cells if cell["cell_type"] == "code"]
    setup, shown = code.split("\n\n")
    names = {}
    exec(setup, names)
    solutions = eval(shown, names)
    assert solutions.lesson == lesson
    assert len(solutions.rows) == len(sheet_of(lesson).rows)


@pytest.mark.parametrize("lesson", LESSONS)
def test_nothing_is_said_in_one_long_breath(lesson):
    """At most 25 words a sentence, of what the page says by itself."""
    text = re.sub(r"\]\([^)]*\)|^    .*$", "", words(lesson).partition("## Cautions")[0], flags=re.MULTILINE)
    sentences = re.split(r"(?<=[.!?:;])[\"”*]*\s|\||\n\n", text)
    assert [sentence for sentence in sentences if len(sentence.split()) > 25] == []
