"""The drawings: the box from the side, each board, the sheets, and the templates of the holes."""

from __future__ import annotations

import math
import string

import numpy as np
from matplotlib.patches import Circle, Rectangle

from ...build.carcass import Carcass
from ...build.inside import Seat
from ...build.workings.linings import fitted_layers
from ...build.workings.placing import place_driver, place_port
from ...build.workings.sizes import cutout_of
from ...build.workings.slots import Slot
from ...units import mm
from .lengths import angle_text, bare, fine_text, length_text, sheet_sizes, sheet_text
from .page import CUT, MARGIN, POINT, SOFT, WOOD, broken, room_of

SCALES = (1, 2, 2.5, 4, 5, 8, 10, 15, 20, 25, 40, 50)
BAR = 100.0  # mm
EDGE_VIEW = 4.0  # mm, as thick as a board is drawn in its edge view
NARROW = 14.0  # mm on paper: the letters of a narrower board stand outside its corners
TOUCHING = 1e-6  # m: less is rounding
OVERLAP, ROUND_IT = 10.0, 2.0  # mm that neighbouring tiles share; white round a hole


def scale_for(size, room):
    """Return the smallest usual 1 : n at which a drawing of some metres fits a room of some mm."""
    needed = max(side / mm / have for side, have in zip(size, room, strict=True))
    return next((n for n in SCALES if n >= needed), math.ceil(needed))


def side_view(paper, box, inside, system):
    """Draw the profile with its boards, driver and port; name and length at each edge, the angle at each corner."""
    page, P = paper.page, box.profile.corners
    size = np.ptp(P, axis=0)
    n = scale_for(size, (paper.width - 60, 150))
    middle = np.array([page.width / 2, page.y - 18 - size[1] / mm / n / 2])

    def on_paper(points):
        return middle + (np.asarray(points) - P.min(axis=0) - size / 2) / mm / n

    page.text(MARGIN, page.y - 2, f"Scale 1 : {n:g}. Lengths are outside. {_seen(box)}", 8.5, ink=SOFT)
    outline = on_paper(P)
    page.shape(outline, width=0.9)
    for panel in (*box.panels[2:], *fitted_layers(box, _within(inside.layers))):
        faces = np.concatenate([panel.corners[0][:2], panel.corners[1][:2][::-1]])[:, :2]
        page.shape(on_paper(faces), WOOD)
    lined = box.with_layers(inside.layers)
    for seat in inside.drivers:
        _body(page, on_paper(place_driver(seat, box, lined.thickness_of(seat.panel)).outline), "#d6d6d6", "driver")
    for run in inside.ports:
        _port(page, run, lined, on_paper)
    _label_edges(page, box, outline, system)
    _label_corners(page, box, outline, on_paper(box.inside))
    page.y = outline[:, 1].min() - 20


def _port(page, run, box, on_paper):
    """Draw a port: a tube as it is outside, a slot as its air and the boards beside it, each with its name."""
    if run.round:
        return _body(page, on_paper(place_port(run, box)[0].outline), "#ffffff", "port")
    slot = Slot(run, box)
    for number, air in enumerate(slot.air):
        _body(page, on_paper(slot.corners(air)), "#ffffff", "" if number else "port")
    for shelf in slot.shelves:
        corners = on_paper(slot.corners(shelf))
        page.shape(corners, WOOD, order=3)
        page.label([corners.mean(axis=0) + np.array([0, up]) for up in (0, 4, -4, 8, -8)], shelf.name, 7)


def _body(page, outline, face, name):
    page.shape(outline, face, order=3)
    page.label([outline.mean(axis=0)], name, 7.5)


def _seen(box):
    seen = "from the side; the left cheek lies behind" if box.view == "side" else "from above"
    return f"Seen {seen}."


def _label_edges(page, box, outline, system):
    """Put name and length outside each edge, farther out where something is in the way."""
    _keep_lines_free(page, outline)
    for i, name in enumerate(box.profile.names):
        a, b = outline[i], outline[(i + 1) % len(outline)]
        along = (b - a) / np.hypot(*(b - a))
        out = np.array([along[1], -along[0]])
        text = f"{name} {length_text(box.profile.lengths[i], system)}"
        wide = room_of(0, 0, text, 8, False, "center")[2]
        away = abs(out[0]) * wide + abs(out[1]) * 2 + 2
        page.label([(a + b) / 2 + (away + 2 * k) * out + shift * along for k in range(8) for shift in (0, 8, -8)], text)


def _label_corners(page, box, outline, inner):
    """Put the inside angle within each corner."""
    for angle, corner, q in zip(box.profile.inside_angles, outline, inner, strict=True):
        way = (q - corner) / np.hypot(*(q - corner))
        steps = np.hypot(*(q - corner)) + np.arange(8, 34, 2)
        page.label([corner + step * way for step in steps], f"{angle:.1f}°", 7, ink=SOFT)


def _keep_lines_free(page, outline):
    """Keep labels off the outline of a drawing."""
    for a, b in zip(outline, np.roll(outline, -1, axis=0), strict=True):
        for share in np.linspace(0, 1, 60):
            x, y = a + share * (b - a)
            page.taken.append((x - 0.5, y - 0.5, x + 0.5, y + 0.5))


def board(paper, part, holes, system, place, room, n):
    """Draw one board in a room of the page: its outer face, its edge with both tilts, its holes; return its lines.

    Parameters
    ----------
    place : tuple of float
        Upper left corner. [mm]
    room : tuple of float
        Width and height. [mm]
    n : float
        Of the scale 1 : n.
    """
    page, (x, y) = paper.page, place
    page.text(x, y - 4, f"{part.count} x {part.name}", 10, bold=True)
    page.text(x, y - 8, f"board {fine_text(part.thickness, system)}; outer face, 1 : {n:g}", 7.5, ink=SOFT)
    wide, high = part.length / mm / n, part.breadth / mm / n
    left, bottom = x + 14, y - 14 - high
    page.shape(_box(left, bottom, wide, high), dash=(0, (3, 2)), width=0.4)
    outline = np.array([left, bottom]) + part.outline / mm / n
    page.shape(outline, WOOD, width=0.9, order=2)
    for hole in holes:
        hole.draw(page, (left, bottom), n)
    page.text(left + wide / 2, bottom - 4, bare(part.length, system), 8.5, ha="center")
    page.text(left - 1.5, bottom + high / 2 - 1, bare(part.breadth, system), 8.5, ha="right")
    below = bottom - 8
    below = _edge_view(page, part, left, wide, below) if not part.name.endswith("cheek") else below
    lines = [*corner_lines(part, page, outline, system), *(line for hole in holes for line in hole.lines(system))]
    for text in lines:
        for line in broken(text, room[0] - 4, 7.5):
            below -= 7.5 * POINT * 1.35
            page.text(x, below, line, 7.5)
    return y - below + 4


def _box(x, y, wide, high):
    return [(x, y), (x + wide, y), (x + wide, y + high), (x, y + high)]


def _edge_view(page, part, left, wide, top):
    """Draw the edge of a board: its outside up, both ends with their true angle, and the tilts in figures."""
    slopes = [math.tan(end.tilt) for end in (part.start, part.end)]
    deep = min(EDGE_VIEW, 0.8 * wide / max(sum(slopes), 1e-9))  # mm: both ends of a strip stay apart
    shifts = [deep * slope for slope in slopes]
    long_outside = [end.longer == "outside" for end in (part.start, part.end)]
    upper = [left + (0 if long_outside[0] else shifts[0]), left + wide - (0 if long_outside[1] else shifts[1])]
    lower = [left + (shifts[0] if long_outside[0] else 0), left + wide - (shifts[1] if long_outside[1] else 0)]
    y = top - deep
    page.shape([(upper[0], top), (upper[1], top), (lower[1], y), (lower[0], y)], WOOD, width=0.8, order=2)
    ends = {"left end": part.start, "right end": part.end}
    if any(side.tilt for side in part.sides):
        ends |= {"lower side": part.sides[0], "upper side": part.sides[1]}
    for which, end in ends.items():
        y -= 3.5
        page.text(left, y, f"{which}: {end_words(end)}", 7)
    return y - 2


def end_words(end):
    """Return tilt, longer face and neighbour of an end."""
    to = f" ({end.to})" if end.to else ""
    return f"square{to}" if end.longer == "square" else f"{angle_text(end.tilt)} {end.longer}{to}"


def corner_lines(part, page, outline, system):
    """Letter the corners of what is no rectangle, and return where they are from the lower left of the blank."""
    if part.is_rectangle:
        return []
    letters, steps = string.ascii_uppercase, np.array((4, 5.5, 7, 9))
    if np.ptp(outline, axis=0).min() < NARROW:
        steps = 1 - steps
    for letter, corner, way in zip(letters, outline, _into(outline), strict=False):
        page.label([corner + step * way for step in steps], letter, 7.5, bold=True)
    unit = "mm" if system == "metric" else "in"
    told = "; ".join(
        f"{letter} {bare(x, system)}, {bare(y, system)}" for letter, (x, y) in zip(letters, part.outline, strict=False)
    )
    return [f"Corners from the lower left of the blank, {unit}: {told}."]


def _into(outline):
    """Return the direction into a board at each of its corners, half way between its two edges."""
    before, after = outline - np.roll(outline, 1, axis=0), np.roll(outline, -1, axis=0) - outline
    left = [np.column_stack([-e[:, 1], e[:, 0]]) / np.hypot(*e.T)[:, np.newaxis] for e in (before, after)]
    ways = sum(left)
    return ways / np.hypot(*ways.T)[:, np.newaxis]


class Hole:
    """A hole in a board: where it is on its outer face, and its size. [m]

    `left` is what stays of the board on either side of a hole as broad as it is; empty for any other hole. [m]
    """

    def __init__(self, name, panel, along, across, sides, is_round, left=()):
        self.name, self.panel, self.along, self.across = name, panel, along, across
        self.sides, self.round, self.left = sides, is_round, left

    def draw(self, page, corner, n):
        """Draw it on its board, of which the lower left corner is given, at 1 : n."""
        x, y = corner[0] + self.along / mm / n, corner[1] + self.across / mm / n
        _outline(page, x, y, np.array(self.sides) / mm / n, self.round, width=0.8)
        for dx, dy in ((2, 0), (0, 2)):
            page.line([x - dx, x + dx], [y - dy, y + dy], 0.4, order=4)

    def lines(self, system):
        """Say how large it is, and where."""
        if self.left:
            return [f"The {self.name} is as broad as the board: {self._sawn_off(system)}"]
        size = length_text(self.sides[0], system)
        if not self.round:
            size = f"{bare(self.sides[0], system)} x {length_text(self.sides[1], system)}"
        return [f"Hole for the {self.name}: {size}. {self.where(system)}"]

    def _sawn_off(self, system):
        """Say how it saws its board in two, or takes off an end."""
        one, other = (length_text(length, system) for length in self.left)
        high = length_text(self.sides[0], system)
        if min(self.left) > TOUCHING:
            return f"saw it into {one} from its left end, {high} to throw away, and {other}."
        end, rest = ("left", other) if self.left[0] <= TOUCHING else ("right", one)
        return f"saw {high} off its {end} end, so that {rest} stay."

    def where(self, system):
        """Say where its middle is."""
        left, low = length_text(self.along, system), length_text(self.across, system)
        return f"Its middle: {left} from the left end of the blank, {low} from its lower side."


def _outline(page, x, y, sides, is_round, width, clip=None):
    drawn = Circle((x, y), sides[0] / 2) if is_round else Rectangle((x - sides[0] / 2, y - sides[1] / 2), *sides)
    drawn.set(facecolor="none", edgecolor=CUT, linewidth=width, zorder=4)
    page.axes.add_patch(drawn)
    if clip is not None:
        drawn.set_clip_path(clip)


def _within(layers):
    """Return the layers that are seen as a line in the plane of the profile: all but those of the cheeks."""
    return {name: thickness for name, thickness in layers.items() if not name.endswith("cheek")}


def holes_of(box, inside):
    """Return the holes by part, each on the blank of its part: a second layer has those of its panel. [m]"""
    found = {}
    for place in (*inside.drivers, *inside.ports):
        layer = {name: thick for name, thick in inside.layers.items() if name == place.panel}
        for panel in (box.panel(place.panel), *fitted_layers(box, layer)):
            found.setdefault(panel.name, []).append(_hole(place, panel, box))
    return found


def _across(place, panel, box):
    """Return where the middle of a hole lies across its panel. [m]"""
    if isinstance(box, Carcass):
        return (box.width / 2 if place.across is None else place.across) - panel.origin[2]
    return panel.outer[:, 1].mean() if place.across is None else place.across


def _hole(place, panel, box):
    if isinstance(place, Seat):
        name, sides, is_round = place.driver.name or "driver", (float(cutout_of(place.driver)),) * 2, True
    else:
        name, sides, is_round = "port", place.outer_sides if place.round else place.sides, place.round
    faces = np.concatenate([panel.outer, panel.inner])
    low, size = faces.min(axis=0), np.ptp(faces, axis=0)
    along, across = place.along - float(low[0]), _across(place, panel, box) - float(low[1])
    left = ()
    if not is_round and sides[1] > size[1] - TOUCHING:
        left = along - sides[0] / 2, float(size[0]) - along - sides[0] / 2
    return Hole(name, panel.name, along, float(across), sides, is_round, left)


def layout(paper, sheet, number, system):
    """Draw a sheet of board with its parts, offcuts, and the cuts in their order."""
    stock = sheet.stock
    n = scale_for((stock.length, stock.width), (paper.width, 105))
    wide, high = stock.length / mm / n, stock.width / mm / n
    page = paper.room(high + 22)
    size = sheet_text(stock.length, stock.width, system)
    told = f"Sheet {number}: {size}, {fine_text(stock.thickness, system)} thick, 1 : {n:g}"
    page.text(MARGIN, page.y - 5, told, 9.5, bold=True)
    x0, y0 = MARGIN, page.y - 9 - high
    page.shape(_box(x0, y0, wide, high), width=0.9)

    def place(rectangle):
        x, y, length, width = (value / mm / n for value in rectangle)
        return x0 + x, y0 + y, length, width

    small = []
    for placed in sheet.placed:
        at, part = place(placed.at), placed.part
        page.shape(_box(*at), WOOD, width=0.5)
        lines = [part.name, " x ".join(bare(side, system) for side in (part.length, part.breadth))]
        if not _inscription(page, at, lines):
            small.append(", ".join(lines))
    for piece in sheet.offcuts:
        at = place(piece)
        page.shape(_box(*at), "#f6f6f6", width=0.3, dash=(0, (2, 2)))
        _inscription(page, at, ["offcut", sheet_sizes(piece.length, piece.width, system)], SOFT)
    for number, cut in enumerate(sheet.cuts, start=1):
        _cut(page, place(cut), str(number))
    page.y = y0 - 4
    trim, kerf = fine_text(stock.trim, system), fine_text(stock.kerf, system)
    paper.paragraph(f"Trim {trim} off all round first. The saw takes {kerf} a cut. Cut in the order of the numbers.", 8)
    if small:
        paper.paragraph(f"Too small for its name: {'; '.join(small)}.", 8)


def _cut(page, at, number):
    """Draw a cut along its middle, with its number where there is room."""
    x, y, length, width = at
    ends = ([x + length / 2] * 2, [y, y + width]) if width > length else ([x, x + length], [y + width / 2] * 2)
    page.line(*ends, 0.7, order=4)
    one, other = np.transpose(ends)
    places = [one + share * (other - one) for share in (0.5, 0.3, 0.7, 0.15, 0.85, 0.05, 0.95)]
    page.label(places, number, 6.5, bold=True, ground="white")


def _inscription(page, at, lines, ink="#111111"):
    """Put lines in the middle of a piece, in letters that fit it; tell whether at least the first is not too small."""
    x, y, wide, high = at
    for size in (8, 7, 6, 5):
        widest = max(room_of(0, 0, line, size, False, "left")[2] for line in lines)
        step = size * POINT * 1.3
        if widest < wide - 1 and step * len(lines) < high - 1:
            for i, line in enumerate(lines):
                up = (len(lines) / 2 - i - 0.8) * step
                page.text(x + wide / 2, y + high / 2 + up, line, size, ink=ink, ha="center")
            return True
    return len(lines) > 1 and _inscription(page, at, lines[:1], ink)


def template(paper, hole, system):
    """Put a hole on paper at its size, on as many sheets as it takes, each with a bar of 100 mm."""
    wide, high = paper.width, paper.new_page(f"Template: {hole.name}").y - MARGIN - 32
    size = np.array(hole.sides) / mm
    step = np.array([wide - OVERLAP, high - OVERLAP])
    across, up = (max(1, math.ceil((side + ROUND_IT - OVERLAP) / each)) for side, each in zip(size, step, strict=True))
    tiles = [(i, j) for j in reversed(range(up)) for i in range(across)]
    for k, (i, j) in enumerate(tiles):
        page = paper.page if k == 0 else paper.new_page(f"Template: {hole.name}")
        origin = np.array([MARGIN, MARGIN + 30.0])
        covered = np.array([across, up]) * step + OVERLAP
        middle = origin + covered / 2 - np.array([i, j]) * step
        frame = Rectangle(origin, wide, high, facecolor="none", edgecolor=SOFT, linewidth=0.3, linestyle=(0, (2, 3)))
        page.axes.add_patch(frame)
        _outline(page, *middle, size, hole.round, 0.9, clip=frame)
        x, y = middle
        for ends in (([x - 15, x + 15], [y, y]), ([x, x], [y - 15, y + 15])):
            for line in page.line(*ends, 0.5):
                line.set_clip_path(frame)
        _bar(page, system)
        diameter = fine_text(hole.sides[0], system)
        told = f"Hole for the {hole.name} in the {hole.panel}, {'diameter ' if hole.round else 'along '}{diameter}."
        number = f" Tile {i + 1} of {across} across, {up - j} of {up} down; tiles share {OVERLAP:g} mm."
        joins = "" if len(tiles) == 1 else number
        page.text(MARGIN, MARGIN + 26, told + joins, 8)
        page.text(MARGIN, MARGIN + 22, hole.where(system), 8)
        page.text(MARGIN, MARGIN + 18, "Print at actual size. Measure the bar before you cut.", 8, bold=True)


def _bar(page, system):
    """Draw a bar of exactly 100 mm, with a mark at each end."""
    x, y = MARGIN, MARGIN + 9.0
    for line in page.line([x, x + BAR], [y, y], 1.2):
        line.set_gid("bar")
    for end in (x, x + BAR):
        page.line([end, end], [y - 2, y + 2], 0.8)
    words = "100 mm" if system == "metric" else "100 mm (a little under 3 15/16 in)"
    page.text(x + BAR / 2, y + 2, words, 8, ha="center")
