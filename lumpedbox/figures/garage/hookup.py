"""What goes to the box: wire and fuse, levels and filters to set; lines to fill in where nobody knows."""

from __future__ import annotations

from functools import singledispatch

import numpy as np

from ...build.feed.draw import AMPLIFIER
from ...build.workings.gauge import in_both_sizes
from ...errors import Refused
from ...parts import filters
from ...units import foot, ms
from .lengths import METRIC
from .page import CUT, MARGIN, SOFT

BLANK = "________"
STEP, BRANCH = 11.0, 12.0  # mm: from one piece of the sketch to the next; how far a branch stands to the right
NO_FUSE = f"none is known, or none fits. From the wire's own data sheet: {BLANK} A"
OUT = ("speaker", "Box", "Two wires from one output. Bridged ones have no ground: never join one to the body.")
MINUS_OFF = "Take its − off first."
MEASURE = ("battery", f"Battery, engine running, measured: {BLANK} V", MINUS_OFF, 0)
FILL_IN = (
    ("fuse", f"Fuse, close to the battery: {BLANK} A", "No larger than the wire's own rating.", 0),
    ("wire", f"Wire: {BLANK} mm² or AWG, {BLANK} long one way. It may carry {BLANK} A", "Its data sheet says so.", 0),
    ("load", "Amplifier", f"Its maker's largest fuse: {BLANK} A", 0),
    (*OUT, 0),
    ("back", f"Way back: {BLANK} mΩ", "Volts from the battery's − to the amplifier's −, divided by the current.", 0),
)
NOBODY = "No feed was chosen: fill in what the page on wire and fuse, or a licensed workshop, works out."
UNMEASURED = "Measure the way back to know how many volts arrive."
TRIALS = "After this work, test chimes, warnings, hands-free calls and emergency call, one by one."


def hookup(on, feed, channels, system, source="", unsettled="", battery=None):
    """Put the sketch of the wiring, the levels and the filters on a sheet of their own.

    Parameters
    ----------
    on : Paper
    feed : Feed or None
    channels : tuple of Channel
    system : str
    source : str
        Which plan, and how far it is done, feed and channels come from.
    unsettled : str
        Why there is no feed, if that is known.
    battery : float, optional
        What a meter read, for a sketch without a feed. [V]
    """
    on.new_page("Wiring and settings")
    if feed is None:
        on.paragraph(unsettled or NOBODY)
    elif source:
        on.paragraph(f"Wire and fuse are those that were settled for: {source}.", 8.5)
    measured = MEASURE if battery is None else ("battery", _measured(battery), MINUS_OFF, 0)
    _sketch(on, (measured, *FILL_IN) if feed is None else tuple(of_feed(feed, system)))
    on.page.y -= 2
    if feed is not None:
        for remark in feed.remarks:
            on.paragraph(remark, 8.5)
    on.title_line("Levels to set, and filters")
    if source:
        on.paragraph(f"They come from: {source}.", 8.5)
    on.paragraph("Levels count against the head unit. Write down what a meter reads at the terminals.", 8.5)
    rows = [(channel.name or "channel", level_of(channel), settings_of(channel), BLANK) for channel in channels]
    rows = rows or [(BLANK, f"{BLANK} dB", f"{BLANK} Hz, {BLANK} dB/octave", BLANK)] * 3
    on.table(("channel", "level", "filters", "volts there"), rows, (44, 26, on.width - 96, 26))
    on.paragraph("Unplug the loudspeakers while you set gains. Never adjust anything on the move.", 8.5)
    on.paragraph(TRIALS, 8.5)


def of_feed(feed, system):
    """Yield the pieces of a feed: kind, words, what to mind there, and the branch that it is in."""
    yield "battery", _measured(feed.voltage), MINUS_OFF, 0
    for number, place in enumerate(feed.places):
        begins = "Where the wire begins." if number else "Close to the battery. It must break a battery's current."
        yield "fuse", f"Fuse: {fuse_text(place)}", begins, number
        yield "wire", wire_text(place.feed, system), _rating(place.feed.cable), number
        for draw in place.feed.draws:
            arrives = UNMEASURED if not place.measured else f"{place.voltage:.2f} V arrive at full power."
            yield "load", (draw.name or draw.kind).capitalize(), arrives, number
            if draw.kind == AMPLIFIER:
                yield (*OUT, number)
    yield "back", way_back(feed), "Bare metal, a clean joint; start-stop: where the vehicle's maker says.", 0


def _measured(volts):
    return f"Battery, {volts:.1f} V as measured"


def fuse_text(place):
    """Say the fuse at the beginning of a cable, or leave a line."""
    try:
        return f"{place.fuse:g} A"
    except Refused:
        return NO_FUSE


def wire_text(feed, system):
    """Say size, length and current of a cable."""
    long = f"{feed.cable.length:.2f} m" if system == METRIC else f"{feed.cable.length / foot:.1f} feet"
    return f"Wire: {in_both_sizes(feed.cable.area)}, {long} one way; {feed.current:.1f} A at full power"


def way_back(feed):
    """Say the resistance of the way back, or leave a line."""
    if feed.return_resistance is None:
        return f"Way back: not measured. {BLANK} mΩ"
    return f"Way back: {feed.return_resistance / 1e-3:.1f} mΩ as measured"


def _rating(cable):
    if cable.current_rating is None:
        return f"It may carry {BLANK} A: read its data sheet."
    return f"It may carry {cable.current_rating:g} A. A grommet at every metal edge; keep clear of seat rails."


def _sketch(on, pieces):
    """Draw the pieces one below the other, each at its symbol, and the wire between those that follow each other."""
    before, trunk = None, None  # the kind and branch of the last piece; where the trunk ends: page, y
    for kind, words, note, branch in pieces:
        page = on.room(STEP + 2)
        x, top = MARGIN + 5 + BRANCH * bool(branch), page.y - 1
        if before is not None and before[1] != branch and branch:
            _split(page, x, top, trunk)
        elif before is not None and kind != "back":
            page.line([x, x], [top + 1, top - 2], 1.0)
        _symbol(page, kind, x, top - 2)
        if kind in ("battery", "fuse", "wire"):
            page.line([x, x], [top - 9, top - STEP], 1.0)
        page.text(x + 9, top - 5.4, words, 9.5, bold=True)
        page.text(x + 9, top - 9.2, note, 8, ink=SOFT)
        page.y, before = top - STEP + 1, (kind, branch)
        trunk = trunk if branch else (page, top - STEP)


def _split(page, x, top, trunk):
    """Draw the wire from the end of the trunk to a branch; from the sheet's top if the trunk ends on another."""
    down = top - 1
    page.line([MARGIN + 5] * 2, [trunk[1] if trunk[0] is page else top + 1, down], 1.0)
    page.line([MARGIN + 5, x, x], [down, down, top - 2], 1.0)


def _symbol(page, kind, x, top):
    """Draw one symbol, 7 mm high, under its upper end."""
    if kind in ("load", "speaker"):
        page.shape([(x - 4, top), (x + 4, top), (x + 4, top - 7), (x - 4, top - 7)], width=1.0)
    if kind == "speaker":
        page.shape([(x - 1.5, top - 2.5), (x + 2.5, top - 0.8), (x + 2.5, top - 6.2), (x - 1.5, top - 4.5)], width=0.8)
    if kind == "fuse":
        page.shape([(x - 1.6, top - 0.5), (x + 1.6, top - 0.5), (x + 1.6, top - 6.5), (x - 1.6, top - 6.5)], width=0.8)
    if kind in ("wire", "fuse"):
        page.line([x, x], [top, top - 7], 2.2 if kind == "wire" else 1.0)
    if kind == "battery":
        for half, y in ((4, top - 2), (2, top - 4)):
            page.line([x - half, x + half], [y, y], 1.8, ink=CUT)
        page.line([x, x], [top - 4, top - 7], 1.0)
    if kind == "back":
        page.line([x, x], [top, top - 2], 1.0)
        for k, half in enumerate((4, 2.6, 1.2)):
            page.line([x - half, x + half], [top - 2 - 1.6 * k] * 2, 1.0)


def level_of(channel):
    """Say how far a channel is turned up against the head unit: the sum of its gains."""
    turned = sum(_single(one.level) for one in channel.filters if isinstance(one, filters.Gain))
    return signed(turned) if turned else "as it is, 0 dB"


def signed(decibels):
    """Say a change of level with its sign."""
    return f"{decibels:+.1f} dB".replace("-", "\N{MINUS SIGN}")


def settings_of(channel):
    """Say the filters of a channel in their order, its gains left out."""
    told = [setting(one) for one in channel.filters if not isinstance(one, filters.Gain)]
    return "; ".join(told) or "none"


@singledispatch
def setting(filter_):
    """Say what to set for one filter."""
    return type(filter_).__name__


def _single(value):
    """Return a number of a filter; a family of several cannot be set."""
    if np.size(value) != 1:
        raise Refused("write_sheet", "channels", "must have filters of single values: nobody can set several at once")
    return float(np.reshape(value, -1)[0])


@setting.register
def _high_pass(filter_: filters.HighPass):
    return f"high-pass {_corner(filter_)}"


@setting.register
def _low_pass(filter_: filters.LowPass):
    return f"low-pass {_corner(filter_)}"


def _corner(filter_):
    return f"{_single(filter_.frequency):g} Hz, {6 * filter_.order} dB/octave, {filter_.family}"


@setting.register
def _shelf(filter_: filters.Shelf):
    return f"{filter_.side} shelf {_bell(filter_)}"


@setting.register
def _peak(filter_: filters.Peak):
    return f"peak {_bell(filter_)}"


def _bell(filter_):
    return f"{_single(filter_.frequency):g} Hz, {signed(_single(filter_.level))}, Q {_single(filter_.Q):.2f}"


@setting.register
def _all_pass(filter_: filters.AllPass):
    return f"all-pass {_single(filter_.frequency):g} Hz, order {filter_.order}"


@setting.register
def _delay(filter_: filters.Delay):
    return f"delay {_single(filter_.time) / ms:.2f} ms"


@setting.register
def _inverted(filter_: filters.Inverted):
    return "polarity turned round"
