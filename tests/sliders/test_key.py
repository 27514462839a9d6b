"""The key agrees with what each student sees and is marked by; what is asked for amiss is told plainly."""

import csv
import io
import re
import subprocess
import sys

import pytest

from lumpedbox.sliders.exercises import LESSONS, sheet_of
from lumpedbox.sliders.key import COLUMNS, main
from lumpedbox.sliders.kit.systems import SYSTEMS

NAMES = ("Ada", "Björn", "Chi")


@pytest.fixture
def names(tmp_path):
    path = tmp_path / "names.txt"
    path.write_bytes("\ufeffAda\r\n\r\n  Björn \r\nChi".encode())
    return path


def table(text):
    return list(csv.DictReader(io.StringIO(text)))


def run(capsys, *arguments):
    code = main([str(argument) for argument in arguments])
    said = capsys.readouterr()
    return code, said.out, said.err


@pytest.mark.long
@pytest.mark.parametrize("system", SYSTEMS)
def test_the_key_is_what_each_student_sees_and_is_marked_by(capsys, names, system):
    code, out, err = run(capsys, names, "--units", system)
    rows = table(out)
    assert (code, err) == (0, "")
    expected = [(name, lesson) for name in NAMES for lesson in LESSONS for _ in sheet_of(lesson).rows]
    assert [(row["name"], row["lesson"]) for row in rows] == expected
    for name in NAMES:
        for lesson in LESSONS:
            sheet = sheet_of(lesson)
            sheet.name.value, sheet.units.value = name, system
            mine = [row for row in rows if (row["name"], row["lesson"]) == (name, lesson)]
            for row, told in zip(sheet.rows, mine, strict=True):
                assert f"<b>{told['exercise']}.</b> {told['question']}" == row.question.value.replace("&lt;", "<")
                numbers = told["numbers"].split("; ")
                assert all(number in told["question"] for number in numbers)
                assert len(numbers) == len(set(re.findall(r"{(\w+)", row.exercise.question)) - {"unit"})
                row.typed.value = told["answer"]
                assert row.said.value == "Right."


def test_one_lesson_into_a_file(capsys, names, tmp_path):
    out = tmp_path / "key.csv"
    code, said, err = run(capsys, names, "--lesson", "sealed_or_vented", "--out", out)
    assert (code, said, err) == (0, "", "")
    rows = table(out.read_text(encoding="utf-8-sig"))
    assert out.read_bytes().startswith(b"\xef\xbb\xbf"), "else a spreadsheet garbles Björn"
    assert tuple(rows[0]) == COLUMNS
    assert {row["lesson"] for row in rows} == {"sealed_or_vented"}
    assert len(rows) == 3 * 4


def test_a_name_that_stands_twice_is_told_and_written_once(capsys, tmp_path):
    path = tmp_path / "names.txt"
    path.write_text("Ada\nBjörn\n\n ada\nBjo\u0308rn\n", encoding="utf-8")
    code, out, err = run(capsys, path, "--lesson", "decibels")
    assert code == 0
    assert "Ada stands in lines 1 and 4" in err
    assert "Björn stands in lines 2 and 5" in err
    assert [row["name"] for row in table(out)] == ["Ada"] * 4 + ["Björn"] * 4


@pytest.mark.long
@pytest.mark.parametrize("name", ["=1+2", "+Ada", "-Ada", "@Ada", "'Ada", "O'Ada"])
def test_a_name_makes_no_formula_in_a_spreadsheet_and_comes_back_as_it_was(capsys, tmp_path, name):
    """A cell that begins with one of = + - @ may be run as a formula (OWASP, "CSV injection", from memory)."""
    names, codes = tmp_path / "names.txt", tmp_path / "codes.csv"
    names.write_text(name, encoding="utf-8")
    _, out, _ = run(capsys, names, "--lesson", "closed_box")
    (told,) = {row["name"] for row in table(out)}
    assert told[0] not in "=+-@"
    assert told in (name, f"'{name}")
    for written in (name, told):  # as typed by the teacher, or copied from the key
        codes.write_text(f"name,code\n{written},{handed_in(name)}\n", encoding="utf-8")
        code, out, _ = run(capsys, "--check", codes)
        assert (code, table(out)[0]["lesson"], table(out)[0]["name"]) == (0, "closed_box", told)


def test_what_is_handed_in_as_a_code_makes_no_formula(capsys, tmp_path):
    codes = tmp_path / "codes.csv"
    codes.write_text("name,code\nAda,=1+2\n", encoding="utf-8")
    _, out, _ = run(capsys, "--check", codes)
    assert [cell for row in csv.reader(io.StringIO(out)) for cell in row if cell[:1] in tuple("=+-@")] == []


def test_bad_input_is_told_plainly(capsys, names, tmp_path):
    empty, foreign, table_of_codes = tmp_path / "empty.txt", tmp_path / "foreign.txt", tmp_path / "codes.csv"
    empty.write_text("\ufeff\n \n", encoding="utf-8")
    foreign.write_bytes("Björn".encode("latin-1"))
    table_of_codes.write_text("who,what\nAda,XXXX\n", encoding="utf-8")
    slips = {
        (): "Which names?",
        (tmp_path / "none.txt",): "none.txt cannot be read: No such file",
        (tmp_path,): "cannot be read",
        (empty,): "holds no names",
        (foreign,): "not plain text in UTF-8",
        (names, "--lesson", "sealed_vented"): "sealed_vented is not a lesson. Did you mean sealed_or_vented?",
        (names, "--lesson", "Closed Box"): "Did you mean closed_box?",
        (names, "--lesson", "%&/"): "%&/ is not a lesson. The lessons are small_woofers",
        (names, "--out", tmp_path): "cannot be written",
        (names, "--out", names): "give --out another name",
        ("--check", "CDKM-2V42-22P"): "--check needs the name too",
        ("--check", table_of_codes): "needs the headings name and code",
    }
    for arguments, said in slips.items():
        code, out, err = run(capsys, *arguments)
        assert (code, out) == (2, ""), arguments
        assert said in err, arguments
        assert err.count("\n") == 1
    assert names.read_bytes().startswith(b"\xef\xbb\xbfAda"), "the names are still there"


def handed_in(name, lesson="closed_box"):
    sheet = sheet_of(lesson)
    sheet.name.value = name
    sheet.rows[0].typed.value = sheet.rows[0].exercise.solution(sheet.rows[0].given, "metric")
    return sheet.code


def test_a_code_is_checked(capsys):
    code = handed_in("Ada")
    assert run(capsys, "--check", code, "--name", "ada ")[:2] == (
        0,
        "ada, closed_box: 1 of 4 right. 1. right at the first try; 2. not begun; 3. not begun; 4. not begun.\n",
    )
    assert run(capsys, "--check", code, "--name", "Ada", "--lesson", "closed_box")[0] == 0
    assert run(capsys, "--check", code, "--name", "Ada", "--lesson", "decibels")[:2] == (
        1,
        "This code does not belong to decibels.\n",
    )
    assert run(capsys, "--check", code, "--name", "Eve")[:2] == (1, "This code was not made under the name Eve.\n")
    wrong = code[:-1] + ("3" if code[-1] == "2" else "2")
    assert run(capsys, "--check", wrong, "--name", "Ada")[0] == 1


@pytest.mark.parametrize("apart", [",", ";"])
def test_a_class_of_codes_is_checked(capsys, tmp_path, apart):
    path = tmp_path / "codes.csv"
    codes = {"Name ": "code", "Ada": handed_in("Ada"), "Björn": handed_in("Chi"), "Chi": "nonsense", "Dana": ""}
    path.write_text("\ufeff" + "\n".join(apart.join(line) for line in codes.items()) + "\n", encoding="utf-8")
    code, out, _ = run(capsys, "--check", path)
    rows = table(out)
    assert code == 1, "not all are good"
    found = {row["name"]: row["lesson"] for row in rows}
    assert found == {"Ada": "closed_box", "Björn": "", "Chi": "", "Dana": ""}
    assert "not made under the name Björn" in rows[1]["result"]
    assert "mistyped" in rows[2]["result"]


def test_it_runs_by_name_and_says_what_a_code_is_worth(names):
    command = [sys.executable, "-m", "lumpedbox.sliders.key"]
    helped = subprocess.run([*command, "--help"], capture_output=True, text=True, check=True).stdout
    assert "can find every answer, and can make up a code that fits" in " ".join(helped.split())
    done = subprocess.run([*command, names, "--lesson", "decibels"], capture_output=True, check=True)
    assert "Björn,decibels,4" in done.stdout.decode("utf-8")
    assert subprocess.run([*command, "nobody.txt"], capture_output=True, check=False).returncode == 2
