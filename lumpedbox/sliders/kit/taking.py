"""What a page lets one take along: the picture, the curves, and a sheet of paper."""

from __future__ import annotations

import csv
import datetime
import io
import re
import unicodedata
import warnings
from collections.abc import Callable
from dataclasses import dataclass

import matplotlib
import numpy as np

from ...figures.style import FREQUENCY
from .answer import Answer
from .garage_sheet import sheet, titled
from .scene import SLOTS
from .systems import SYSTEMS

LOOKS = {
    "pdf.fonttype": 42,
    "svg.fonttype": "none",
    "svg.hashsalt": "lumpedbox",
    "text.usetex": False,
    "text.parse_math": False,  # what stands between two dollar signs in a name is no formula
}
HEADING = re.compile(r".*\S \[[^\[\]]+\]")


@dataclass(frozen=True, slots=True, kw_only=True)
class Taken:
    """What a page stands at, to be taken along.

    Attributes
    ----------
    question : str
        The title of the page.
    answer : Answer
    figure : callable
        Takes a width and a height [inch], returns a new matplotlib figure in light colours, its legend drawn.
    curves : tuple
        The frequencies [Hz], shape (nf,), and a tuple of columns. A column is a heading with its unit, such as
        "sealed: level [dB re 20 µPa]", and an array of shape (nf,) in that unit.
    made : datetime.date
    parts : tuple of (str, str)
        (label, text) as the controls say them: ("Net volume", "20.0 litres").
    start : Answer, optional
        What it was at the start: a fact tells that too where it differs.
    system : str
        Of units.
    kept : tuple of (str, Answer)
        Name and answer of what is kept for comparison, at most four.
    invented : tuple of str
        The parts that are invented for the demonstration, by the text that `parts` has for them.
    address : str
        A link that opens the page as it stands, without any token.
    along : str
        The heading of the first of the curves' columns, with its unit.
    feed : tuple of dict
        The pieces of a feed in their order and what to buy, as `Drawing.said` tells.
    """

    question: str
    answer: Answer
    figure: Callable
    curves: tuple
    made: datetime.date
    parts: tuple = ()
    start: Answer | None = None
    system: str = SYSTEMS[0]
    kept: tuple = ()
    invented: tuple = ()
    address: str = ""
    along: str = FREQUENCY
    feed: tuple = ()

    def __post_init__(self):
        if self.system not in SYSTEMS:
            raise ValueError(f"Taken.system must be one of {', '.join(SYSTEMS)}, got {self.system!r}")
        if len(self.kept) > SLOTS:
            raise ValueError(f"Taken.kept holds at most {SLOTS} answers, got {len(self.kept)}")


def take(kind, taken):
    """Return what a page lets one take along, as a file.

    Parameters
    ----------
    kind : str
        One of `KINDS`.
    taken : Taken

    Returns
    -------
    file_name, media_type : str
    content : bytes
        The same whenever the same is taken.

    Raises
    ------
    ValueError
        If there is no such kind, or it cannot be made.
    """
    if kind not in _MAKERS:
        raise ValueError(f"there is no {kind!r} to take away: choose one of {', '.join(KINDS)}")
    what, ending, media_type, make = _MAKERS[kind]
    try:
        with matplotlib.rc_context(LOOKS), warnings.catch_warnings():
            warnings.filterwarnings("ignore", "Glyph .* missing from font")  # a box is drawn for what the font lacks
            content = make(taken)
    except Exception as error:  # whatever it is, the reader must learn that there is no file
        raise ValueError(f"The {what} could not be {'written' if what == 'curves' else 'drawn'}: {error}") from error
    return f"{_file_name(taken.question)}{ending}", media_type, content


def _file_name(question):
    """Return plain words, joined by hyphens: what any computer takes for the name of a file."""
    plain = unicodedata.normalize("NFKD", question).encode("ascii", "ignore").decode().lower()
    words = re.findall(r"[a-z0-9]+", plain.replace("'", ""))
    name = "-".join(words)[:80].strip("-")
    return name or "lumpedbox"


def _picture_as_png(taken):
    return _saved(titled(taken), format="png", dpi=200, metadata={"Title": taken.question, "Software": "lumpedbox"})


def _picture_as_svg(taken):
    return _saved(titled(taken), format="svg", metadata=_about(taken, "Date", None))


def _picture_as_pdf(taken):
    return _saved(titled(taken), format="pdf", metadata=_about_pdf(taken))


def _sheet_as_pdf(taken):
    return _saved(sheet(taken), format="pdf", metadata=_about_pdf(taken))


def _about_pdf(taken):
    """Return what a PDF tells of itself: made on that day, whenever it is drawn."""
    day = datetime.datetime(taken.made.year, taken.made.month, taken.made.day, tzinfo=datetime.UTC)
    return _about(taken, "CreationDate", day) | {"Producer": None}


def _about(taken, dated, when):
    return {"Title": taken.question, "Creator": "lumpedbox", dated: when}


def _saved(figure, *, format, metadata, dpi=72):
    file = io.BytesIO()
    figure.savefig(file, format=format, metadata=metadata, dpi=dpi)
    return file.getvalue()


def _curves_as_csv(taken):
    """Return the curves as a table: commas between cells, points in numbers, six digits, empty cells where none is.

    The text is UTF-8 and begins with the mark by which a spreadsheet knows that, or it would garble "µPa". One whose
    language writes decimals with a comma opens it by its import of text, where comma and point are chosen.
    """
    frequency, columns = taken.curves
    frequency, named = np.asarray(frequency, float), [(taken.along, frequency), *columns]
    headings, arrays = [heading for heading, _ in named], [np.asarray(values, float) for _, values in named]
    for heading, values in zip(headings, arrays, strict=True):
        if not HEADING.fullmatch(heading):
            raise ValueError(f"heading {heading!r} has no unit in brackets at its end, as in 'level [dB re 20 µPa]'")
        if values.shape != (len(frequency),):
            raise ValueError(f"{heading!r} has the shape {values.shape}, but the frequencies {frequency.shape}")
        if headings.count(heading) > 1:
            raise ValueError(f"there are two columns {heading!r}")
    file = io.StringIO()
    rows = ([f"{value:.6g}" if np.isfinite(value) else "" for value in row] for row in zip(*arrays, strict=True))
    csv.writer(file).writerows([headings, *rows])
    return file.getvalue().encode("utf-8-sig")


# Kind: what it is, the end of the file's name, its media type, and how it is made.
_MAKERS = {
    "picture as PNG": ("picture", ".png", "image/png", _picture_as_png),
    "picture as SVG": ("picture", ".svg", "image/svg+xml", _picture_as_svg),
    "picture as PDF": ("picture", "-picture.pdf", "application/pdf", _picture_as_pdf),
    "curves as CSV": ("curves", ".csv", "text/csv", _curves_as_csv),
    "sheet as PDF": ("sheet", ".pdf", "application/pdf", _sheet_as_pdf),
}
KINDS = tuple(_MAKERS)
