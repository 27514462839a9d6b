"""Readings as other programs write them: what is no text is refused, and semicolons or tabs may separate the cells."""

from __future__ import annotations

import csv
import re
import unicodedata

PARTED_BY = ";\t"
DECIMAL_COMMA = re.compile(r"([-+−]?\d+),(\d+([eE][-+]?\d+)?)")
NO_TEXT = "{name} holds no text: it is a picture or the like. Nothing is read: choose a CSV or text file of readings."
TOO_LONG = "{name} is longer than a megabyte, so nothing is read: choose a file that holds the readings alone."


def lines_of_file(given):
    """Return the lines of a file that was chosen in the browser, as `with_commas` has them.

    Parameters
    ----------
    given : dict
        "name", "text", and "cut" where the file is longer than its text (`textOf` in elements.js).

    Raises
    ------
    ValueError
        If it is no text, or longer than readings are.
    """
    if any(unicodedata.category(sign) == "Cc" and sign not in "\t\r\n\f" for sign in given["text"]):
        raise ValueError(NO_TEXT.format(**given))
    if given.get("cut"):
        raise ValueError(TOO_LONG.format(**given))
    return with_commas(given["text"])


def with_commas(text):
    """Return a table with commas between its cells, and points in its numbers if something else separated the cells.

    Lines stay in their places. Headings that are separated by semicolons or tabs say so of all lines.
    """
    lines = text.removeprefix("\ufeff").splitlines()
    headings = next((line for line in lines if line.strip() and not line.startswith("#")), "")
    sign = next((sign for sign in PARTED_BY if sign in headings), None)
    if sign is None:
        return "\n".join(lines)
    return "\n".join(line if line.startswith("#") else _parted(line, sign) for line in lines)


def _parted(line, sign):
    cells = map(str.strip, next(csv.reader([line], delimiter=sign), []))
    return ", ".join(cell.replace(",", ".") if DECIMAL_COMMA.fullmatch(cell) else cell for cell in cells)
