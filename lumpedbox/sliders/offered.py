"""What a page offers: the reader's own parts, and the invented ones."""

from __future__ import annotations

from dataclasses import dataclass

from ..files import demo_amplifiers, demo_cabins, demo_head_units, demo_sheets
from ..kept import FILE, KINDS, Kept, read
from .words import OPEN_AIR

NOTHING = Kept(typed={kind: {} for kind in KINDS}, parts={kind: {} for kind in KINDS}, unfinished={}, choices={})
# Hz; a driver that resonates higher is offered as a tweeter, one between as a woofer, one lower as neither: ours
WOOFER_FROM, TWEETER_FROM = 40.0, 400.0
LEFT_OUT = "Until that is mended your own parts are left out, and nothing is kept; the file stays as it is."


@dataclass(frozen=True, slots=True)
class Offer:
    """Parts by the names under which they are offered, one's own first.

    Attributes
    ----------
    sheets, cabins, boxes, amplifiers, head_units : dict
        Name: part; of a driver the `DataSheet`.
    choices : dict
        Role: value, of the last choices kept on any page. [SI]
    wrong : str
        Why one's own parts are not among them; empty if they are.
    """

    sheets: dict
    cabins: dict
    boxes: dict
    amplifiers: dict
    head_units: dict
    choices: dict
    wrong: str

    @property
    def drivers(self):
        """The drivers of the data sheets, by name."""
        return {name: sheet.driver for name, sheet in self.sheets.items()}


def offered(path=FILE):
    """Return what a page offers; a file that cannot be read leaves the invented parts, and its complaint in `wrong`.

    Parameters
    ----------
    path : str or path-like
        The reader's own parts; by default the file of the current folder.

    Returns
    -------
    Offer
    """
    try:
        kept, wrong = read(path), ""
    except ValueError as error:
        said = str(error)
        kept, wrong = NOTHING, f"{said}{'' if said.endswith(('.', '?')) else '.'} {LEFT_OUT}"
    sheets = {}
    for sheet in kept.parts["driver"].values():
        sheets[marked(sheet.driver.name, sheets)] = sheet  # of a stand-in, longer than the name it is kept under
    return Offer(
        sheets=beside(sheets, demo_sheets()),
        cabins=beside(kept.parts["cabin"], demo_cabins(), OPEN_AIR),
        boxes=kept.parts["box"],
        amplifiers=beside(kept.parts["amplifier"], demo_amplifiers()),
        head_units=beside(kept.parts["head_unit"], demo_head_units()),
        choices=kept.choices,
        wrong=wrong,
    )


def beside(mine, invented, *others):
    """Put one's own parts before the invented ones; one whose name is taken already is marked as one's own.

    Parameters
    ----------
    mine, invented : dict
        Name: part.
    others : tuple of str
        Names that are taken too.
    """
    named = {}
    for name, part in mine.items():
        named[marked(name, {*invented, *others, *named})] = part
    return named | invented


def marked(name, taken):
    """Return a name, marked as one's own as often as it takes to be unlike those that are taken."""
    while name in taken:
        name = f"{name} (mine)"
    return name


def first_of(wanted, offers):
    """Return what is wanted if it is offered, else the first that is."""
    return wanted if wanted in offers else next(iter(offers))


def woofers_and_tweeters(drivers):
    """Sort drivers by their resonance, without stand-ins and those without a printed sensitivity.

    Parameters
    ----------
    drivers : dict
        Name: Driver.
    """
    told = {name: d for name, d in drivers.items() if d.sensitivity is not None and d.spread is None}
    tweeters = {name: driver for name, driver in told.items() if driver.fs >= TWEETER_FROM}
    return {name: d for name, d in told.items() if WOOFER_FROM <= d.fs < TWEETER_FROM}, tweeters
