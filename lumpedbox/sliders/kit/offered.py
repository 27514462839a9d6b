"""What a page offers: the reader's own parts, and the invented ones."""

from __future__ import annotations

from dataclasses import dataclass

from ...errors import Incomplete
from ...tables import demo_amplifiers, demo_cabins, demo_head_units, demo_sheets
from ...tables.kept import Kept
from ...tables.my_parts import FILE, read_what_is_right
from .demands import TWEETER, WOOFER, below, no_tweeter, of_a_sheet
from .forms import labels_of, with_a_stop
from .kept_channels import settings_of
from .words import NO_DRIVER, OPEN_AIR

BASS_BELOW = 100.0  # Hz; a driver that resonates above is no bass driver: ours
AMPLIFIER = "four channels from the stores"  # with which every page starts
LEFT_OUT = "Until that is mended it is left out, and nothing new is kept; the file stays as it is."


@dataclass(frozen=True, slots=True)
class Offer:
    """Parts by the names under which they are offered, your own first.

    Attributes
    ----------
    sheets, cabins, boxes, amplifiers, head_units : dict
        Name: part; of a driver the `DataSheet`.
    channels, readings, converters : dict
        Name: KeptChannel, name: KeptReadings, name: Converter.
    choices : dict
        Role: value, of the last choices kept on any page. [SI]
    wrong : str
        Why some of your own parts, or all, are not among them; empty if they are.
    mine : frozenset
        The names under which your own parts are offered.
    unfinished : dict
        (kind, name): the ValueError that says what is still missing, of your own parts that cannot be offered yet.
    """

    sheets: dict
    cabins: dict
    boxes: dict
    amplifiers: dict
    head_units: dict
    channels: dict
    readings: dict
    converters: dict
    choices: dict
    wrong: str
    mine: frozenset
    unfinished: dict

    @property
    def drivers(self):
        """The drivers of the data sheets, by name."""
        return {name: sheet.driver for name, sheet in self.sheets.items()}


def offered(path=FILE):
    """Return what a page offers; what cannot be read of the reader's own leaves a complaint in `wrong`.

    Parameters
    ----------
    path : str or path-like
        The reader's own parts; by default the file of the current folder.

    Returns
    -------
    Offer
    """
    kept, wrong = kept_or_wrong(path)
    sheets = {}
    for sheet in kept.parts["driver"].values():
        sheets[marked(sheet.driver.name, sheets)] = sheet  # of a stand-in, longer than the name it is kept under
    invented = demo_sheets(), demo_cabins(), demo_amplifiers(), demo_head_units()
    offers = {
        "sheets": beside(sheets, invented[0], NO_DRIVER),
        "cabins": beside(kept.parts["cabin"], invented[1], OPEN_AIR),
        "amplifiers": beside(kept.parts["amplifier"], invented[2]),
        "head_units": beside(kept.parts["head_unit"], invented[3]),
    }
    mine = {name for parts in offers.values() for name in parts}.difference(*invented)
    return Offer(
        **offers,
        boxes=kept.parts["box"],
        channels=kept.parts["channel"],
        readings=kept.parts["readings"],
        converters=kept.parts["converter"],
        choices=kept.choices,
        wrong=wrong,
        mine=frozenset(mine),
        unfinished=kept.unfinished,
    )


def kept_or_wrong(path=FILE):
    """Return what is kept of one's own and can be read, and the complaint of what cannot: empty if all can.

    Parameters
    ----------
    path : str or path-like

    Returns
    -------
    (Kept, str)
    """
    try:
        kept, wrong = read_what_is_right(path)
    except ValueError as error:
        kept, wrong = Kept(), (str(error),)
    return kept, " ".join([*map(with_a_stop, wrong), LEFT_OUT]) if wrong else ""


def beside(mine, invented, *others):
    """Put your own parts before the invented ones; one whose name is taken already is marked as yours.

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
    """Return a name, marked as yours as often as it takes to be unlike those that are taken."""
    while name in taken:
        name = f"{name} (mine)"
    return name


def not_believed(sheets):
    """Say of which drivers the printed sensitivity is not believed, as the rest of the sheet contradicts it.

    Parameters
    ----------
    sheets : dict
        Name: DataSheet.

    Returns
    -------
    dict
        Name: sentence.
    """
    told = {}
    for name, (_, report) in sheets.items():
        used = "sensitivity_2V83" if "sensitivity_2V83" in report.given else "sensitivity_1W"
        for entry in report.contradictory:
            if entry.name == used:
                instead = f"The {entry.implied:.1f} dB that the rest of its sheet implies stand in their place"
                told[name] = f"{name}: the printed {entry.printed:.1f} dB are not believed. {instead}."
    return told


def invented(names):
    """Return those of some names that are of parts of the demonstration."""
    parts = {**demo_sheets(), **demo_cabins(), **demo_amplifiers(), **demo_head_units()}
    return tuple(name for name in names if name in parts)


def first_of(wanted, offers):
    """Return what is wanted if it is offered, else the first that is."""
    return wanted if wanted in offers else next(iter(offers))


# Page, as its notebook is called: {what a driver serves as there: what is demanded of it}, in the order of the job.
DEMANDS = {
    "small_woofers": {"driver": (no_tweeter,)},
    "closed_box": {"driver": (below(400.0),)},
    "closed_alignments": {"driver": (of_a_sheet, below(BASS_BELOW))},
    "vented_alignments": {"driver": (of_a_sheet, below(BASS_BELOW))},
    "sealed_or_vented": {"driver": (no_tweeter,)},
    "which_box": {"driver": (below(BASS_BELOW),)},
    "a_million_boxes": {"driver": (of_a_sheet, below(BASS_BELOW))},
    "sealed_door": {"driver": (no_tweeter,)},
    "how_loud": {"driver": (of_a_sheet, below(BASS_BELOW))},
    "cabin_gain": {"driver": (of_a_sheet, below(BASS_BELOW))},
    "loud_tweeter": {"woofer": WOOFER, "tweeter": TWEETER},
    "shared_channel": {"woofer": WOOFER, "tweeter": TWEETER},
    "crossing_over": {"woofer": WOOFER, "tweeter": TWEETER},
    "bass_meets_panels": {
        "bass": (of_a_sheet, below(400.0), below(60.0)),
        "panels": (of_a_sheet, below(400.0)),
    },
    "set_the_levels": {
        "front": (of_a_sheet, below(400.0)),
        "rear": (of_a_sheet, below(400.0)),
        "bass": (of_a_sheet, below(BASS_BELOW)),
    },
    "draw_the_box": {"driver": (no_tweeter,)},
    "wedge": {"driver": (of_a_sheet, below(BASS_BELOW))},
    "hear_the_difference": {"driver": (no_tweeter,)},
    "as_planned": {"driver": (no_tweeter,)},
    "thin_wire": {"driver": (of_a_sheet, below(BASS_BELOW))},
    "data_sheet": {"driver": (of_a_sheet, below(1000.0))},
}
# The pages that offer any part of a kind.
POWERED = (
    "small_woofers",
    "closed_box",
    "sealed_or_vented",
    "which_box",
    "how_loud",
    "loud_tweeter",
    "shared_channel",
    "set_the_levels",
)
ALIGNED = ("closed_alignments", "vented_alignments")
OFFER_ALL = {
    "box": (
        "closed_box",
        "sealed_or_vented",
        "which_box",
        "a_million_boxes",
        "sealed_door",
        "how_loud",
        "bass_meets_panels",
        "draw_the_box",
        "as_planned",
        *ALIGNED,
    ),
    "cabin": (
        "small_woofers",
        "closed_box",
        "sealed_or_vented",
        "which_box",
        "sealed_door",
        "how_loud",
        "cabin_gain",
        "bass_meets_panels",
        "set_the_levels",
        "hear_the_difference",
        "as_planned",
    ),
    "amplifier": POWERED,
    "head_unit": POWERED,
    "readings": ("set_the_levels",),
    "converter": ("set_the_levels",),
}


def fit_for(page, role, drivers=None):
    """Sort out the drivers that serve as something on a page.

    Parameters
    ----------
    page, role : str
        Of `DEMANDS`.
    drivers : dict, optional
        Name: Driver; those that are offered by default.

    Returns
    -------
    (dict, dict)
        Name: Driver of those that do; name: what is wrong, of the others.
    """
    drivers = offered().drivers if drivers is None else drivers
    missed = {name: why_not(page, role, driver) for name, driver in drivers.items()}
    return {name: drivers[name] for name in drivers if not missed[name]}, {name: m for name, m in missed.items() if m}


def why_not(page, role, driver):
    """Say why a driver does not serve as something on a page; empty if it does."""
    return _wrong_with(driver, DEMANDS[page][role])


def _wrong_with(driver, demands):
    return next(filter(None, (demand(driver) for demand in demands)), "")


def serves(kind, part):
    """Say on which pages a part serves, and why not on the others.

    Parameters
    ----------
    kind : str
    part : part
        Of a driver, the `Driver`.

    Returns
    -------
    (dict, list of str)
        Name of a notebook: what the page is called, and as what a part serves there if not as all.
        And what is wrong, after the pages that it keeps the part from.
    """
    if kind == "channel":
        return _serves_channel(part)
    if kind != "driver":
        return {page: _called(page) for page in OFFER_ALL[kind]}, []
    on, not_on = {}, {}
    for page, roles in DEMANDS.items():
        wrong = {role: _wrong_with(part, demands) for role, demands in roles.items()}
        fit = [role for role, said in wrong.items() if not said]
        if fit:
            on[page] = _called(page) if len(fit) == len(roles) else f"{_called(page)} ({fit[0]})"
        else:
            not_on.setdefault(next(iter(wrong.values())), []).append(_called(page))
    return on, [f"{_listed(pages)}, because {why}" for why, pages in not_on.items()]


def _serves_channel(channel):
    """Say whether the page for two speakers on one channel shows a channel, and why not."""
    offer, page = offered(), "shared_channel"
    _, tweeters, missed = woofers_and_tweeters(page, offer.drivers)
    try:
        settings_of(channel, offer.drivers, tweeters, missed, offer.amplifiers | offer.head_units)
    except ValueError as error:
        return {}, [f"{_called(page)}, because {error}"]
    return {page: _called(page)}, []


def _called(page):
    return page.replace("_", " ")


def _listed(words):
    *others, last = words
    return f"{', '.join(others)} and {last}" if others else last


def left_out(missed, *kinds):
    """Say which of your own parts are not offered, and why.

    Parameters
    ----------
    missed : dict
        Name: what is wrong with it, of all parts that are not offered.
    *kinds : str
        Which kinds of part are looked for among those that are not complete.

    Returns
    -------
    str
        Empty where all are offered.
    """
    offer = offered()
    unfinished = {name: to_add(kind, error) for (kind, name), error in offer.unfinished.items() if kind in kinds}
    why = unfinished | {name: said for name, said in missed.items() if name in offer.mine}
    return f"Not offered here: {'; '.join(f'{name} ({said})' for name, said in why.items())}." if why else ""


def to_add(kind, error):
    """Say in the words of the form what completes a part: the first way of several."""
    if not isinstance(error, Incomplete):
        return str(error)
    labels = labels_of(kind)
    return "add " + _listed([f'"{labels[key]}"' for key in error.ways[0]])


def woofers_and_tweeters(page, drivers=None):
    """Sort drivers into those that serve a page as woofers, and as tweeters.

    Parameters
    ----------
    page : str
        Of `DEMANDS`.
    drivers : dict, optional
        As for `fit_for`.

    Returns
    -------
    (dict, dict, dict)
        Name: Driver of the woofers, and of the tweeters; name: what is wrong with it, of the others.
    """
    woofers, missed = fit_for(page, "woofer", drivers)
    tweeters, _ = fit_for(page, "tweeter", drivers)
    return woofers, tweeters, {name: said for name, said in missed.items() if name not in tweeters}
