"""One PDF to take into the garage."""

from __future__ import annotations

import io
from pathlib import Path

from matplotlib import rc_context
from matplotlib.backends.backend_pdf import PdfPages

from ...arguments import PATH, Single, takes
from ...build.account import BOX, INSIDE, net_account, net_by_convention
from ...build.carcass import Carcass
from ...build.cut_list import cut_list, gluing_sequence, restated
from ...build.feed.feed import Feed
from ...build.fit import fit
from ...build.inside import Inside
from ...build.shopping import LEAK_TEST
from ...build.space import Space
from ...build.stock import Stock, on_stock
from ...build.strength import forces
from ...parts.system import Channel
from ...quantity import Holds, OneOf, Text
from ...tables.atomic_write import write
from ...units import inch, litre
from ..cautions import CAUTIONS
from .cautions import OF_THE_BOX
from .drawings import board, end_words, holes_of, layout, scale_for, side_view, template
from .hookup import hookup
from .lengths import (
    CUSTOMARY,
    METRIC,
    angle_text,
    bare,
    fine_text,
    force_text,
    grid_of,
    length_text,
    margin_words,
    volume_text,
)
from .page import MARGIN, PAPERS, Paper
from .sawing import bought_lines, gluing_lines, sawing_lines, turns_of

SYSTEM, PAPER = OneOf((METRIC, CUSTOMARY)), OneOf(tuple(PAPERS))
SHEETS = Holds((Stock,), several=True)
SPARE = 0.02  # m that a tube is cut longer, to be tuned by shortening (common practice, no source)
FOOT = "Made with lumpedbox. Lengths run from long point to long point. Read the cautions on the last sheet first."


@takes(
    path=PATH,
    box=BOX,
    inside=INSIDE,
    stock=SHEETS,
    space=Single(Holds((Space,), optional=True)),
    feed=Single(Holds((Feed,), optional=True)),
    channels=Holds((Channel,), several=True),
    paper=PAPER,
    system=SYSTEM,
    title=Text(),
)
def write_sheet(
    path,
    box,
    inside=Inside(),
    *,
    stock=(),
    space=None,
    feed=None,
    channels=(),
    paper="A4",
    system=METRIC,
    title="Box",
):
    """Write one PDF: account, side view, boards, cut list, sheets of board, 1:1 templates, wiring, cautions. [m]

    Parameters
    ----------
    path : str or Path
    box : Carcass or Hopper
        Its lengths are rounded to 1 mm or 1/16 inch, and its litres restated.
    inside : Inside
    stock : Stock or tuple of Stock, optional
        To lay the parts out on.
    space : Space, optional
        To say what fits.
    feed : Feed, optional
        What supplies the amplifier, for the sketch of the wiring; lines to fill in without it.
    channels : Channel or tuple of Channel
        Whose levels (their gains) and filters to set; lines to fill in without any.
    paper : {"A4", "Letter"}
    system : {"metric", "US customary"}
    title : str
        At the head of each sheet.

    Returns
    -------
    Path
        Text in the PDF can be searched and read back. Templates are at their size, each with a bar of 100 mm.

    Raises
    ------
    ValueError
        If a part fits no sheet of board, or the box cannot hold what is inside.
    """
    given = {"stock": stock, "space": space, "feed": feed, "channels": channels}
    pages = sheets(box, inside, **given, paper=paper, system=system, title=title)
    *_, (_, content) = pdf_of(pages, title)
    write(Path(path), content)
    return Path(path)


def pdf_of(pages, title):
    """Yield, sheet by sheet, how many are in the PDF, and its content once all are: empty until then.

    Parameters
    ----------
    pages : list of Page
    title : str
    """
    content = io.BytesIO()
    pdf = PdfPages(content, metadata={"Title": title, "CreationDate": None})
    for done, page in enumerate(pages, start=1):
        with rc_context({"pdf.fonttype": 42}):
            pdf.savefig(page.figure)
            if done == len(pages):
                pdf.close()
        yield done, content.getvalue() if done == len(pages) else b""


def sheets(
    box, inside, *, stock, space, paper, system, title, feed=None, channels=(), source="", unsettled="", battery=None
):
    """Return the sheets, each a `Page` with its figure.

    Parameters
    ----------
    box, inside, stock, space, paper, system, title, feed, channels
        As in `write_sheet`.
    source : str
        Which plan, and how far it is done, feed and channels come from.
    unsettled : str
        Why there is no feed, if that is known.
    battery : float, optional
        What a meter read, for a sketch without a feed. [V]
    """
    made = restated(box, inside, grid_of(system))
    inside = made.inside
    on = Paper(paper, title, FOOT)
    margins = fit(made.box, inside) if space is None else fit(made.box, inside, space)
    _summary(on, made, margins, system)
    _fits(on, margins, system)
    if isinstance(made.box, Carcass):
        on.new_page("The box")
        side_view(on, made.box, inside, system)
        for remark in made.box.remarks:
            on.paragraph(remark, 9)
    parts = cut_list(made.box, grid_of(system), inside)
    holes = holes_of(made.box, inside)
    laid = on_stock(parts, stock) if stock else ()
    _cut_list(on, made.box, inside, parts, holes, system, laid)
    _boards(on, parts, holes, system)
    if laid:
        on.new_page("Sheets of board")
        for number, each in enumerate(laid, start=1):
            layout(on, each, number, system)
    for hole in (hole for panel in made.box.panel_names for hole in holes.get(panel, ()) if not hole.left):
        template(on, hole, system)
    hookup(on, feed, channels, system, source, unsettled, battery)
    _cautions(on, box, inside)
    return on.pages


def _summary(on, made, margins, system):
    on.new_page("What you build")
    on.paragraph(f"Net volume as sawn: {volume_text(made.net, system)}.", 12)
    if made.tuning is not None:
        on.paragraph(f"Tuning as sawn: {made.tuning:.1f} Hz.", 12)
    was = "" if made.drawn_tuning is None else f" and {made.drawn_tuning:.1f} Hz"
    rounded = "a millimetre" if system == METRIC else "a sixteenth of an inch"
    on.paragraph(f"As drawn it was {volume_text(made.drawn_net, system)}{was}; lengths are rounded to {rounded}.")
    lacking = [margin.name for margin in margins if margin.blocks]
    if lacking:
        on.paragraph(f"Look before you cut. Does not fit: {'; '.join(lacking)}. More under What fits.", 11)
    if not all(margin.fits or margin.blocks for margin in margins):
        on.paragraph("In its place there is no room to take the driver out: the box must come out first.")
    if any(seat.driver.displacement is not None for seat in made.inside.drivers):
        by = {start: volume_text(net, system) for start, net in net_by_convention(made.box, made.inside).items()}
        told = f"{by['flange']} if the printed displacement of every driver starts at the flange"
        on.paragraph(f"Net: {told}; {by['inner face']} if it starts at the inner face of the board. Ask the maker.")
    on.title_line("Outside")
    for line in _built(made, system):
        on.paragraph(line)
    on.title_line("Where the volume goes")
    account = net_account(made.box, made.inside)
    rows = [(line.name, _signed(line.volume, system), line.source) for line in account.lines]
    rows.append(("net", _signed(account.sum, system), "the sum"))
    on.table(("", "litres" if system == METRIC else "cubic feet", "from"), rows, (50, 24, on.width - 74))


def _built(made, system):
    """Yield the outer sizes, and what is built in at which panel."""
    *sides, last = _outside(made.box)
    yield f"{' x '.join(bare(side, system) for side in sides)} x {length_text(last, system)}."
    for run in made.inside.ports:
        yield _port_words(run, system)
    for cup in made.inside.cups:
        if cup.panel:
            yield f"Terminal in the {cup.panel}: cut its hole as its maker says."
    for brace in made.inside.braces:
        if brace.panels:
            yield f"Brace of {length_text(brace.length, system)}: glue it to {' and '.join(brace.panels)}."


def _port_words(run, system):
    """Say how large and how long a port is, and how it is bent."""
    size = f"{bare(run.sides[0], system)} x {length_text(run.sides[1], system)} slot"
    if run.round:
        size = f"tube, {length_text(run.sides[0], system)} inside"
    told = f"Port in the {run.panel}: {size}, wall {fine_text(run.wall, system)}"
    told += f", {length_text(run.port.length, system)} long along its middle from the outer face."
    for after, turn in run.bends:
        way = "left" if turn > 0 else "right"
        told += (
            f" It bends by {angle_text(abs(turn))} to the {way} after {length_text(after, system)}, seen on its way in."
        )
    if run.round:
        told += f" Cut it {length_text(SPARE, system)} longer, measure the tuning, and shorten it."
    else:
        spare = length_text(SPARE, system)
        told += f" Saw its innermost boards {spare} longer than listed, measure the tuning, and shorten them."
    return told


def _signed(volume, system):
    return f"{volume / litre:.3f}" if system == METRIC else f"{volume / (12 * inch) ** 3:.4f}"


def _outside(box):
    if isinstance(box, Carcass):
        x, y = (float(side) for side in box.profile.corners.max(axis=0) - box.profile.corners.min(axis=0))
        return x, y, box.width
    return (*box.bottom, box.height)


def _fits(on, margins, system):
    on.title_line("What fits")
    rows = [
        (
            margin.name,
            length_text(margin.needed, system),
            length_text(margin.there, system) if abs(margin.there) < 10 else "open",
            "fits" if margin.fits else "DOES NOT FIT" if margin.blocks else "box first",
            margin_words(margin, system),
        )
        for margin in margins
    ]
    on.table(("", "needed", "there", "", ""), rows, (42, 20, 20, 22, on.width - 104), 8)


def _cut_list(on, box, inside, parts, holes, system, laid):
    on.new_page("Cut list")
    order = gluing_sequence(box, inside)
    unit = "mm" if system == METRIC else "in"
    head = ["glue", "no.", "part", f"board, {unit}", f"length, {unit}", f"breadth, {unit}", "left end", "right end"]
    widths, leaning = [10, 8, 40, 16, 18, 19, 37, 37], any(side.tilt for part in parts for side in part.sides)
    if leaning:
        head, widths = [*head, "lower side", "upper side"], [10, 8, 16, 14, 17, 17, 26, 26, 26, 26]
    on.table(head, [_row(part, order, system, leaning) for part in parts], widths, 8)
    on.paragraph("A tilt is from square. The face that is told is the longer one at that end; then what it meets.", 8)
    if named := ", ".join(part.name for part in parts if not part.is_rectangle):
        on.paragraph(f"No rectangle, its corners stand under Boards: {named}.", 8)
    for title, lines, size in (
        ("Sawing, in this order", sawing_lines(parts, holes, system, bool(laid), inside.cups), 9),
        ("Gluing, in this order", gluing_lines(order), 9),
        ("To buy", bought_lines(box, inside, system, laid), 8.5),
        ("Leak test", [" ".join(LEAK_TEST)], 8.5),
    ):
        on.title_line(title)
        for line in lines:
            on.paragraph(line, size)


def _row(part, order, system, leaning):
    """Return a part as cells of the cut list."""
    ends = (part.start, part.end, *part.sides) if leaning else (part.start, part.end)
    sizes = bare(part.length, system), bare(part.breadth, system)
    thick = fine_text(part.thickness, system).split()[0]
    return (turns_of(part, order), part.count, part.name, thick, *sizes, *map(end_words, ends))


def _boards(on, parts, holes, system):
    """Draw every board, two in a row, all at one scale."""
    page = on.new_page("Boards")
    across = (on.width - 6) / 2
    n = max(scale_for((part.length, part.breadth), (across - 22, 68)) for part in parts)
    on.paragraph(
        "Each board is seen from outside. Its blank is dashed; under it is its edge, with the outside up.", 8.5
    )
    page.y -= 2
    top, lowest = page.y, page.y
    for i, part in enumerate(parts):
        column = i % 2
        if column == 0:
            top = lowest
            tallest = max(part.breadth for part in parts[i : i + 2]) * 1000 / n + 62
            if top - tallest < MARGIN:
                page = on.new_page("Boards, continued")
                top = page.y
            lowest = top
        used = board(on, part, holes.get(part.name, []), system, (MARGIN + column * (across + 6), top), (across, 0), n)
        lowest = min(lowest, top - used)
    page.y = lowest


def _cautions(on, box, inside):
    on.new_page("Cautions")
    if box.mass is not None:
        held = forces(box, inside=inside)
        forward, otherwise = force_text(held.forward), force_text(held.otherwise)
        on.paragraph(
            f"The boards weigh {held.mass:.1f} kg. In a crash a fixing must hold {forward} forward (20 g) and "
            f"{otherwise} in any other direction (10 g); add the drivers' mass. Common practice, no source.",
            10,
        )
    else:
        on.paragraph("The density of the board is not known, so its mass and forces are not told. Weigh the box.", 10)
    for caution in OF_THE_BOX:
        on.paragraph(caution, 9.5)
    on.table(("", ""), list(CAUTIONS.items()), (24, on.width - 24), 8.5)
