"""What is typed a line an item: read in many ways of writing, refused with the likely slip, and written back.

Each `read_...` takes a text and returns [SI], each `..._text` the other way round. A number without a unit is in mm, or
in inches if the text says so (`tape.py`).
"""

from __future__ import annotations

import difflib
import math
import re

from ....build import Brace
from ....build.carcass import CHEEKS
from ....tables.quantity_text import NUMBER
from ....units import mm
from .tape import MM, number_text, tape_of

FEET = r"(?:\d+\s*(?:ft|feet|foot|['′])[ -]*)?"
FRACTION = r"[-+]?(?:\d+[ -])?\d+/[1-9]\d*|(?:\d+ ?)?[½¼¾]"
LENGTH = rf"{FEET}(?:{FRACTION}|{NUMBER})(?:\s*(?:(?:mm|cm|m|in|inch|inches|ft|feet|foot)\b|[\"″'′]))?"
PAIR = rf"({LENGTH})\s*,\s*({LENGTH})"
BY = r"\s*[xX×*]\s*"
SIZES = rf"{LENGTH}(?:{BY}{LENGTH})+"
AT = re.compile(rf"({LENGTH})(?:\s*,\s*({LENGTH}))?")
BEND = re.compile(
    rf"(?:after\s+)?({LENGTH})(?:\s*[,:;]\s*|\s+)(?:by\s+)?({NUMBER})\s*(?:°|degrees?|deg)?\s*(?:to the\s+)?(\w*)"
)
MANY = re.compile(rf"(?:(\d+)\s*(?:of|pieces?|times|[xX×*](?=(?:[^xX×*]*[xX×*]){{2}}))\s*)?({SIZES})")
WINDOW = re.compile(rf"(?:(\d+)\s+)?(?:windows?|holes?)\s*(?:of\s+)?({SIZES})", re.IGNORECASE)
GLUED = re.compile(r"(?:glued to|on|to|at)\s+(.+)", re.IGNORECASE)
THICK, GAP = (2 * mm, 60 * mm), (0.0, 1.0)  # what a board, a layer and a gap may measure. [m]
SIDE, OF_A_BRACE = (5 * mm, 3.0), (2 * mm, 100 * mm)
KINDS_OF_JOINT = {"butt": "butt", "butted": "butt", "mitre": "mitre", "miter": "mitre", "mitred": "mitre"}
QUARTER = 90.0  # degrees that one bend turns at most


def items_of(text):
    """Return in what the items of a text are written, and these, a line each."""
    tape, body = tape_of(text)
    return tape, [line.strip() for line in re.split(r"[\n|]", body) if line.strip()]


def known(name, names, line):
    """Return a name among those there are, however it is written; else refuse it with the nearest."""
    found = {each.lower(): each for each in names}
    wanted = " ".join(name.lower().split()).removeprefix("the ")
    if wanted in found:
        return found[wanted]
    near = difflib.get_close_matches(wanted, found, 1)
    likely = f"Did you mean {found[near[0]]}?" if near else f"There are {', '.join(names)}."
    raise ValueError(f"{line!r}: there is no {name.strip()!r} here. {likely}")


def taken_off(line, names, whole=None, how=""):
    """Return the name that a line begins with, and what follows it; else refuse the line."""
    bare, whole = line.strip().removeprefix("the "), whole or line
    for name in sorted(names, key=len, reverse=True):
        rest = bare[len(name) :]
        if bare.lower().startswith(name.lower()) and not rest[:1].isalnum():
            return name, re.sub(r"^[\s:=,/&+]*(?:(?:and|to|with)\s+)?", "", rest)
    wanted = re.split(r"[:=,/&+]|\s+[-\d.]", bare)[0]
    if not re.search("[^\\W\\d]", wanted):
        raise ValueError(f"{whole!r} cannot be read: {how}.")
    return known(wanted, names, whole), ""


def read_by_panel(text, names, reach=THICK):
    """Return a length for each panel that has a line, such as "front: 22". [m]

    Parameters
    ----------
    text : str
    names : sequence of str
        Of the panels that there are.
    reach : (float, float)
        The least and the most. [m]
    """
    found = {}
    tape, lines = items_of(text)
    for line in lines:
        how = f"write a panel and one length, as in front: {tape.either('22', '7/8')}"
        name, rest = taken_off(line, names, how=how)
        if not re.fullmatch(LENGTH, rest):
            raise ValueError(f"{line!r} cannot be read: {how}{'; a point for decimals' if ',' in rest else ''}.")
        if name in found:
            raise ValueError(f"{line!r}: the {name} has a line already. Leave one of them out.")
        found[name] = tape.within(rest, line, *reach)
    return found


def by_panel_text(lengths, tape=MM):
    """Return the text of some lengths by panel. [m]"""
    return "\n".join(f"{name}: {tape.bare(length)}" for name, length in lengths.items())


def read_places(text, names):
    """Return places, each (panel, along, across or None), such as "front, 350, 120". [m]"""
    (tape, lines), found = items_of(text), []
    example = tape.either("front, 350, 120", "front, 13 3/4, 5")
    how = f"write the panel, how far along it and, if you like, how far across, as in {example}"
    for line in lines:
        name, rest = taken_off(line, names, how=how)
        match = AT.fullmatch(rest)
        if not match:
            raise ValueError(f"{line!r} cannot be read: {how}.")
        along, across = (tape.length(each, line) if each else None for each in match.groups())
        found.append((name, along, across))
    return found


def places_text(places, tape=MM):
    """Return the text of some places. [m]"""
    return "\n".join(", ".join([panel, *(tape.bare(at) for at in place if at is not None)]) for panel, *place in places)


def read_keep_outs(text):
    """Return corners by name, such as "belt: 500, 0; 550, 0; 550, 100", or two that lie across. [m]"""
    (tape, lines), found = items_of(text), {}
    for line in lines:
        name, colon, rest = (part.strip() for part in line.partition(":"))
        pairs = re.split(r"\s*;\s*|\s+to\s+", rest)
        read = [re.fullmatch(PAIR, pair) for pair in pairs if pair]
        if not colon or not name or len(read) < 2 or not all(read):
            example = f"belt anchor: {tape.either('500, 0 to 550, 100', '20, 0 to 22, 4')}"
            told = f"write its name, a colon, and its corners, as in {example}"
            raise ValueError(f"{line!r} cannot be read: {told}.")
        if name in found:
            raise ValueError(f"{line!r}: there are two of that name. Call one otherwise.")
        corners = [tuple(tape.length(each, line) for each in match.groups()) for match in read]
        found[name] = tuple(_rectangle(*corners) if len(corners) == 2 else corners)
    return found


def _rectangle(one, other):
    (x0, x1), (y0, y1) = (sorted(pair) for pair in zip(one, other, strict=True))
    return (x0, y0), (x1, y0), (x1, y1), (x0, y1)


def keep_outs_text(keep_outs, tape=MM):
    """Return the text of corners by name; of an upright rectangle two. [m]"""
    return "\n".join(f"{name}: {_corners_text(corners, tape)}" for name, corners in keep_outs.items())


def _corners_text(corners, tape):
    pairs = [f"{tape.bare(x)}, {tape.bare(y)}" for x, y in corners]
    across = pairs[:3:2]
    return " to ".join(across) if tuple(corners) == _rectangle(*corners[:3:2]) else "; ".join(pairs)


def read_joints(text, names):
    """Return "butt" or "mitre" by two neighbours, such as "front, top: mitre".

    Parameters
    ----------
    text : str
    names : sequence of str
        Of the panels, all round.
    """
    found, how = {}, "write two panels and butt or mitre, as in front, top: mitre"
    for line in items_of(text)[1]:
        one, rest = taken_off(line, names, how=how)
        other, kind = taken_off(rest, names, line, how)
        if kind.lower() not in KINDS_OF_JOINT:
            raise ValueError(f"{line!r} cannot be read: {how}.")
        apart = (names.index(one) - names.index(other)) % len(names)
        if apart not in (1, len(names) - 1):
            near = [names[(names.index(one) + step) % len(names)] for step in (-1, 1)]
            raise ValueError(f"{line!r}: these two do not meet. The {one} meets the {near[0]} and the {near[1]}.")
        if {(one, other), (other, one)} & set(found):
            raise ValueError(f"{line!r}: this corner has a line already. Leave one of them out.")
        found[one, other] = KINDS_OF_JOINT[kind.lower()]
    return found


def joints_text(joints):
    """Return the text of some joints."""
    return "\n".join(f"{one}, {other}: {kind}" for (one, other), kind in joints.items())


def read_order(text, names):
    """Return panels in the order in which they cover each other, such as "front, cheeks, floor"."""
    found = []
    for name in (part for part in re.split(r"[\n|,;>]", text) if part.strip()):
        each = known(name, (CHEEKS, *names), text.strip())
        if each in found:
            raise ValueError(f"{text.strip()!r} has the {each} twice.")
        found.append(each)
    return tuple(found)


def read_bends(text):
    """Return bends, each (centre line up to it, turn to the left), such as "150, 90 left". [m], [rad]"""
    (tape, lines), found = items_of(text), []
    for line in lines:
        match = BEND.fullmatch(line)
        way = match[3].lower() if match else ""
        if not match or way not in ("", "left", "right"):
            example = f"{tape.either('150', '6')}, 90 left"
            told = f"write how far along its middle, and how many degrees to the left or right, as in {example}"
            raise ValueError(f"{line!r} cannot be read: {told}.")
        if not way:
            raise ValueError(f"{line!r}: add left or right, as one goes into the box.")
        turn = float(match[2])
        if turn < 0:
            raise ValueError(f"{line!r}: write {abs(turn):g} {way}, without the minus.")
        if abs(turn) > QUARTER:
            raise ValueError(f"{line!r}: one bend turns by 90 degrees at most. Write two, one after the other.")
        found.append((tape.length(match[1], line), math.radians(-turn if way == "right" else turn)))
    return tuple(found)


def bends_text(bends, tape=MM):
    """Return the text of some bends. [m], [rad]"""
    return "\n".join(
        f"{tape.bare(after)}, {number_text(abs(math.degrees(turn)))} {'right' if turn < 0 else 'left'}"
        for after, turn in bends
    )


def read_braces(text, thickness, names):
    """Return each `Brace` of a text, such as "2 of 300 x 60 x 18, window 100 x 40, glued to front and back".

    Parameters
    ----------
    text : str
    thickness : float
        Of a brace that tells none. [m]
    names : sequence of str
        Of the panels that there are.
    """
    tape, lines = items_of(text)
    return tuple(_brace(line, thickness, names, tape) for line in lines)


def _brace(line, thickness, names, tape):
    sides, *more = (part.strip() for part in re.split(r"[,;](?=\s*(?:\d+\s+)?[A-Za-z])", line))
    match = MANY.fullmatch(sides)
    sides = re.split(BY, match[2]) if match else []
    if len(sides) not in (2, 3):
        size, hole = tape.either(("300 x 60 x 18", "100 x 40"), ("12 x 2 1/2 x 3/4", "4 x 1 1/2"))
        told = f"write length x breadth x thickness, as in {size}; 2 of {size}; or with window {hole}"
        raise ValueError(f"{line!r} cannot be read: {told}.")
    length, breadth = (tape.within(side, line, *SIDE) for side in sides[:2])
    thick = tape.within(sides[2], line, *OF_A_BRACE) if sides[2:] else thickness
    windows, panels = [], []
    for part in more:
        window, glued = WINDOW.fullmatch(part), GLUED.fullmatch(part)
        sizes = [tape.length(each, line) for each in re.split(BY, window[2])] if window else []
        if len(sizes) == 2:
            windows += [tuple(sizes)] * int(window[1] or 1)
        elif glued:
            panels += [known(name, names, line) for name in re.split(r"\s+and\s+|\s*[/&+]\s*", glued[1])]
        else:
            hole = tape.either("100 x 40", "4 x 1 1/2")
            raise ValueError(f"{line!r}: {part!r} cannot be read. Write window {hole}, or glued to front and back.")
    sizes = {"length": length, "breadth": breadth, "thickness": thick}
    return Brace(**sizes, windows=tuple(windows), count=int(match[1] or 1), panels=tuple(panels))


def braces_text(braces, tape=MM):
    """Return the text of some braces."""
    return "\n".join(_brace_text(brace, tape) for brace in braces)


def _brace_text(brace, tape):
    many = f"{brace.count} of " if brace.count > 1 else ""
    sides = " x ".join(map(tape.bare, (brace.length, brace.breadth, brace.thickness)))
    windows = [f"window {' x '.join(map(tape.bare, window))}" for window in brace.windows]
    return ", ".join([many + sides, *windows, *([f"glued to {' and '.join(brace.panels)}"] if brace.panels else [])])
