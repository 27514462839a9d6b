"""A text file that a person edits, in TOML: read with words for what is wrong, written as its editor left it."""

from __future__ import annotations

import codecs
import re
import tomllib
from pathlib import Path

# What is often wrong with a file written by hand: how the complaint of tomllib begins, or what the line looks like, and
# what helps.
COMPLAINTS = {
    "Cannot overwrite": "this key appears twice in its table: keep one of them",
    "Cannot declare": "this heading appears twice: put the lines of both under one",
}

SLIPS = {
    r"""^[^"'#]*[“”„‘’]""": 'write straight quotes ("), not curly ones',
    r"^\[[^\]]*$": "the heading has no ] at its end",
    r"""^\[[^"']*\]$""": 'put the name in quotes, as in [driver."165 mm"]',
    r"^[^=[][^=]*$": 'write a key, = and its value, as in fs = "58 Hz"',
    r"^[\w-]+\s+[\w-]+[^=]*=": "a key is one word: write _ in place of the blank",
    r"=\s*[-+]?\d+,\d": "write a point for the comma",
    r"=\s*(#|$)": "there is no value after the =",
    r"""=\s*("[^"]*"|'[^']*')\s*[^#\s]""": "there is more after the closing quote; a remark begins with #",
    r"""=\s*("[^"]*|'[^']*)$""": "the quotes are not closed",
    r"""=\s*[^"'\s]""": 'put quotes round the value, as in fs = "58 Hz"',
}

IN_AN_EDITOR = "is written in a way that cannot be changed from here: change it in an editor"


def text_of(path, otherwise=None):
    """Return the text of a file; `otherwise` where there is no file, unless that is None."""
    path = Path(path)
    try:
        return path.read_bytes().decode("utf-8-sig").replace("\r\n", "\n")
    except FileNotFoundError:
        if otherwise is not None:
            return otherwise
        raise ValueError(f"{path.name} is not there: check the name and the folder") from None
    except UnicodeDecodeError as error:
        raise ValueError(f"{path.name} is not text in UTF-8: {error}") from None
    except (OSError, ValueError) as error:
        raise ValueError(f"{path.name} cannot be read: {getattr(error, 'strerror', None) or error}") from None


def tables_of(text, where):
    """Return the tables of a text; `where` names the file in an error."""
    try:
        return tomllib.loads(text)
    except tomllib.TOMLDecodeError as error:
        raise ValueError(f"{where} is not written as TOML: {_in_plain_words(text, str(error))}") from None
    except RecursionError:
        raise ValueError(f"{where} is not written as TOML: brackets within brackets without an end") from None


def _in_plain_words(text, error):
    """Return what is likely wrong with the line of a complaint, and the line."""
    lines, told = text.rstrip().split("\n"), re.search(r"at line (\d+)", error)
    number = int(told[1]) if told else len(lines)
    line = lines[min(number, len(lines)) - 1].strip()
    of_complaint = (said for begin, said in COMPLAINTS.items() if error.startswith(begin))
    of_line = (said for sign, said in SLIPS.items() if re.search(sign, line))
    return f"line {number} ({line}): {next(of_complaint, None) or next(of_line, error)}"


def as_saved(path, text):
    """Return a text in bytes, with the line ends and the mark at the start that another editor gave to the file."""
    saved = Path(path).read_bytes() if Path(path).exists() else b""
    mark = codecs.BOM_UTF8 if saved.startswith(codecs.BOM_UTF8) else b""
    return mark + (text.replace("\n", "\r\n") if b"\r\n" in saved else text).encode()
