"""For the teacher: every student's numbers and answers as a table, and what the codes say that they hand in."""

from __future__ import annotations

import argparse
import contextlib
import csv
import difflib
import io
import sys
from pathlib import Path

from ..tables.atomic_write import write
from .exercises import LESSONS, sheet_of
from .kit.exercises import same_name
from .kit.result_code import NO_SECRET, meaning
from .kit.systems import SYSTEMS

COLUMNS = ("name", "lesson", "exercise", "numbers", "answer", "question")
CHECKED = ("name", "code", "lesson", "result")
PYTHON = ".venv/bin/python"  # where the installation of README.md puts it
FORMULA = ("=", "+", "-", "@")  # with which a spreadsheet takes a cell for a formula (common practice, no source)


class Slip(ValueError):
    """What was asked for cannot be done, in words for the one who asked."""


def parser():
    """Return the parser of the command line."""
    it = argparse.ArgumentParser(
        prog=f"{PYTHON} -m lumpedbox.sliders.key",
        description="Write a key to the exercises for a list of students, or check the codes that they hand in.",
        epilog=NO_SECRET,
    )
    it.add_argument("names", nargs="?", type=Path, help="a text file with one name a line, as typed on the sheet")
    it.add_argument("--lesson", help=f"one lesson only: {', '.join(LESSONS)}")
    it.add_argument("--units", choices=SYSTEMS, default=SYSTEMS[0], help="of numbers and answers (%(default)s)")
    it.add_argument("--out", type=Path, help="the file to write, in place of the screen")
    it.add_argument("--check", metavar="CODE", help="a code; or a .csv file with the columns name and code")
    it.add_argument("--name", help="whose code it is")
    return it


def main(arguments=None):
    """Run the command; return its exit code: 0, 1 if a code is not good, 2 if what was asked for cannot be done."""
    wanted = parser().parse_args(arguments)
    try:
        lessons = chosen(wanted.lesson)
        if wanted.out is not None and wanted.out.exists() and wanted.out in (wanted.names, Path(wanted.check or "")):
            raise Slip(f"{wanted.out} is what is to be read: give --out another name.")
        return _check(wanted, lessons) if wanted.check is not None else _tell_key(wanted, lessons)
    except Slip as slip:
        print(slip, file=sys.stderr)
        return 2


def as_text(cell):
    """Return what somebody typed as a cell that no spreadsheet takes for a formula: an apostrophe goes before one."""
    return f"'{cell}" if cell.startswith(FORMULA) else cell


def as_typed(cell):
    """Return what somebody typed from a cell of `as_text`."""
    return cell.removeprefix("'") if cell[1:].startswith(FORMULA) else cell


def _tell_key(wanted, lessons):
    names = _names(wanted.names)
    rows = key(names, {lesson: sheet_of(lesson) for lesson in lessons}, wanted.units)
    _write(wanted.out, COLUMNS, ((as_text(name), *row) for name, *row in rows))
    return 0


def _check(wanted, lessons):
    many = wanted.check.lower().endswith(".csv")
    if not many and wanted.name is None:
        raise Slip("--check needs the name too: --name 'A Student'.")
    handed_in = _handed_in(Path(wanted.check)) if many else [(wanted.name.strip(), wanted.check)]
    rows = list(checked(handed_in, {lesson: len(sheet_of(lesson).rows) for lesson in lessons}))
    if many:
        _write(wanted.out, CHECKED, ([as_text(cell) for cell in row] for row in rows))
    else:
        name, _, lesson, said = rows[0]
        print(f"{name}, {lesson}: {said}" if lesson else said)
    return int(any(not lesson for _, _, lesson, _ in rows))


def chosen(lesson):
    """Return the lessons that are asked for: one, or all of them for None."""
    if lesson is None or lesson in LESSONS:
        return LESSONS if lesson is None else (lesson,)
    near = difflib.get_close_matches(lesson.lower().replace(" ", "_"), LESSONS, n=1, cutoff=0.4)
    meant = f" Did you mean {near[0]}?" if near else ""
    raise Slip(f"{lesson} is not a lesson.{meant} The lessons are {', '.join(LESSONS)}.")


def key(names, sheets, system):
    """Yield a row for every name, lesson and exercise.

    Parameters
    ----------
    names : iterable of str
    sheets : dict
        Lesson: Sheet.
    system : str
        Of units.
    """
    for name in names:
        for lesson, sheet in sheets.items():
            for row in sheet.rows:
                exercise = row.exercise
                given = exercise.given_to(name, row.number, system)
                numbers = "; ".join(exercise.told(given, system))
                yield name, lesson, row.number, numbers, exercise.solution(given, system), exercise.ask(given, system)


def checked(handed_in, sizes):
    """Yield a row for every (name, code): with the lesson, empty if the code is not good, and what to say."""
    for name, code in handed_in:
        yield name, code, *meaning(code, name, sizes)


def _names(path):
    if path is None:
        raise Slip("Which names? Give a text file with one name a line, or --check with a code.")
    found = {}
    for number, line in enumerate(_text(path).splitlines(), start=1):
        name = line.strip()
        if name:
            found.setdefault(same_name(name), []).append((number, name))
    if not found:
        raise Slip(f"{path} holds no names: write one name a line.")
    for lines in found.values():
        if len(lines) > 1:
            where = " and ".join(str(number) for number, _ in lines)
            print(f"{lines[0][1]} stands in lines {where}: they get the same numbers, written once.", file=sys.stderr)
    return [lines[0][1] for lines in found.values()]


def _handed_in(path):
    text = _text(path)
    apart = ";" if ";" in text.partition("\n")[0] else ","  # as spreadsheets write it where the comma is for decimals
    table = csv.DictReader(io.StringIO(text), delimiter=apart)
    headings = {heading.strip().lower(): heading for heading in table.fieldnames or () if heading}
    if not {"name", "code"} <= headings.keys():
        raise Slip(f"{path} needs the headings name and code in its first line, apart by a comma.")
    return [tuple(as_typed((row[headings[column]] or "").strip()) for column in ("name", "code")) for row in table]


def _text(path):
    try:
        return path.read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        raise Slip(f"{path} is not plain text in UTF-8: save it as such.") from None
    except OSError as problem:
        raise Slip(f"{path} cannot be read: {problem.strerror}.") from None


def _write(path, columns, rows):
    """Write a table to a file or to the screen."""
    text = io.StringIO(newline="")
    csv.writer(text, lineterminator="\n").writerows([columns, *rows])
    if path is None:
        with contextlib.suppress(AttributeError):  # a stream that stands in for the screen
            sys.stdout.reconfigure(encoding="utf-8")
        sys.stdout.write(text.getvalue())
        return
    try:
        write(path, text.getvalue().encode("utf-8-sig"))  # with the mark by which spreadsheets know it
    except OSError as problem:
        raise Slip(f"{path} cannot be written: {problem.strerror}.") from None


if __name__ == "__main__":
    sys.exit(main())
