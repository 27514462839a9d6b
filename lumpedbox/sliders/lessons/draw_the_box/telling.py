"""What the page says of a box: a headline, a few facts, the account, what fits, and the parts."""

from __future__ import annotations

import re

from ....build import LEAK_TEST, net_by_convention
from ....build.board import USUAL_DENSITY
from ....build.fit import OFF
from ....figures.cautions import CAUTIONS
from ....figures.garage.drawings import end_words
from ....figures.garage.lengths import at_least, bare, fine_text, length_text, margin_words, sheet_text, volume_text
from ....figures.garage.sawing import bought_lines
from ....units import inch, mm
from ...kit.answer import Answer, fact, say, verbatim
from ...kit.systems import FREQUENCY, TRAVEL, VOLUME, WOOD, Kind, Shown, Sixteenths, same
from .ports import PORT_WALL, is_slot, ported

NET, OUTSIDE, TUNED, TIGHTEST, WEIGHT = "net volume", "outside", "tuned to", "tightest place", "boards weigh"
READ = 1e-5  # m: no tape reads less
NEAR = 0.01  # of the wanted litres: so near is as wanted (ours)
CRASH = "in a crash"
WITH_A_HOLE = "not told: it has a hole, or a slot's wall on it"
FROM = Kind(Shown("", mm, 0), Sixteenths("", inch, 2))  # the first of two lengths
DENSE = same("kg/m³", decimals=0)
MASS, FORCE = same("kg", decimals=1, told=1), same("N", decimals=0, told=0)
# What a refusal calls what, as the page calls it.
SUBJECTS = {
    ("Profile", "points"): "The corners",
    ("Profile", "names"): "The names of the edges",
    ("Profile.from_template", "lengths"): "The lengths of the template",
    ("Profile.from_template", "inside_angles"): "The angles of the template",
    ("Carcass", "profile"): "The shape",
    ("Carcass", "joints"): "The shape",
    ("Carcass", "width"): "The width",
    ("with_net_volume", "net"): "The wanted volume",
    ("carcass_for", "inside"): "The box",
    ("net_account", "inside"): "What is inside",
    ("Space", "points"): "The corners of the room",
    ("Stock", "trim"): "The sheet",
    ("on_stock", "parts"): "The cut list",
    ("PortRun", "bends"): "The bends of the port",
    ("Inside", "ports"): "What is inside",
    ("Brace", "windows"): "The windows of a brace",
    ("Space", "gaps"): "The gaps",
}
# What a refusal says here in words of its own.
TOO_LONG = (
    "The port would be longer than 3 m: make its opening smaller, or the tuning higher. "
    "A slot need not reach to both cheeks."
)
OWN_WORDS = {("Port", "length"): TOO_LONG}
# What is told of each margin that lacks something, by the end of its name.
LACKS = {
    "depth": "{who} is {{short}} too deep",
    "behind the magnet": "the magnet of {who} is {{short}} too near to a wall",
    "along the panel": "{who} sits {{short}} too near to a corner",
    "walls": "{who} runs {{short}} into a wall",
    "across": "{who} is {{short}} too wide for the box",
    "mouth": "the mouth of {who} is {{short}} too near to a wall",
    "gap": "{who} is {{short}} too near",
    "clear": "the box is {{short}} too near to {who}",
    "in front": "{who} lacks {{short}} in front",
    OFF: "{who} lies off its panel: move it to {{low}} to {{high}}",
}
CALL = re.compile(r" \((?:Profile|Carcass)\.[^()]*(?:\([^()]*\)[^()]*)*\)|: did you mean points\[.*$")


def refusal(error):
    """Say why something cannot be drawn, in the page's words, with the cure."""
    about = getattr(error, "owner", ""), getattr(error, "name", "")
    if about in OWN_WORDS:
        return OWN_WORDS[about]
    subject = SUBJECTS.get(about)
    text = f"{subject} {error.sentence}" if subject else str(error)
    text = CALL.sub("", text)
    return text if text.endswith(".") else f"{text}."


def answer_of(looked, values):
    """Return the `Answer` without its details."""
    return Answer(
        headline=_headline(looked, values["wanted"]),
        facts=tuple(_facts(looked, values)),
        conditions=_conditions(values),
        cautions=tuple(_cautions(looked, values)),
    )


def _conditions(values):
    """Say what is assumed as long as nobody has told otherwise."""
    assumed = ["board at {density}"] if values["density"] == USUAL_DENSITY else []
    assumed += (
        ["a tube of {wall}"] if ported(values) and not is_slot(values) and values["tube_wall"] == PORT_WALL else []
    )
    said = f"Taken: {' and '.join(assumed)} (common practice, no source). " if assumed else ""
    return say(f"{said}Damping is left out.", density=DENSE(USUAL_DENSITY), wall=TRAVEL(PORT_WALL))


def _headline(looked, wanted):
    net, tight = looked.account.sum, [margin for margin in looked.margins if margin.blocks]
    if tight:
        worst = next((margin for margin in tight if margin.name.endswith(OFF)), tight[0])
        low, high = worst.between or (0.0, 0.0)
        sizes = {"short": WOOD(worst.needed - worst.there), "low": FROM(low), "high": WOOD(high)}
        return say(f"{{net}} net, but {_lack(worst.name)}.", net=VOLUME(net), **sizes)
    inside = "" if looked.drawn.space else " inside"
    first = "" if all(margin.fits for margin in looked.margins) else " The box must come out before the driver."
    if abs(net - wanted) < NEAR * wanted:
        return say(f"{{net}} net, as wanted, and all fits{inside}: cut it.{first}", net=VOLUME(net))
    off, by = "more" if net > wanted else "less", VOLUME(abs(net - wanted))
    return say(f"{{net}} net, {{by}} {off} than wanted. All fits{inside}.{first}", net=VOLUME(net), by=by)


def _lack(name):
    """Say what a margin lacks, with a place for by how much."""
    who, _, what = _plain(name).rpartition(": ")
    if who == "across":
        return "the box is {short} too wide for its room"
    if who:
        return LACKS.get(what, "{who}, {what} lacks {{short}}").format(who=f"the {who}", what=what)
    if what == "through the opening":
        return "it is {short} too large for the way in"
    return f"{what} are {{short}} in each other's way"


def _plain(name):
    """Return a name without what would be read for a number's place."""
    return name.replace("{", "").replace("}", "")


def _short(name):
    """Return the name of a margin as it stands in a sentence."""
    return _plain(name).replace(": ", ", ")


def _facts(looked, values):
    yield fact(NET, "{net}, wanted {wanted}", net=VOLUME(looked.account.sum), wanted=VOLUME(values["wanted"]))
    yield fact(OUTSIDE, "{outside}", outside=VOLUME(looked.box.outside_volume))
    if looked.tuning is not None:
        yield fact(TUNED, "{fb}", fb=FREQUENCY(looked.tuning))
    tight = [margin for margin in looked.margins if margin.fits or margin.blocks]
    if tight:
        tightest = tight[0]
        over = tightest.there - tightest.needed
        spare = "{spare} to spare" if tightest.fits else "{spare} too little"
        yield fact(TIGHTEST, f"{_short(tightest.name)}: {spare}", spare=WOOD(round(abs(over) / READ) * READ))
    yield fact(WEIGHT, "{mass}", mass=MASS(looked.forces.mass))
    yield fact(CRASH, "{force} to hold", force=FORCE(at_least(looked.forces.forward)))


def details_of(looked, remarks):
    """Return the details of the `Answer`, for which all is rounded and solved once more."""
    return tuple(_details(looked, remarks))


def _details(looked, remarks):
    sawn = looked.as_sawn
    yield say(
        "Sawn to whole steps of the tape it holds {sawn}, drawn {drawn}.",
        sawn=VOLUME(sawn.net),
        drawn=VOLUME(sawn.drawn_net),
    )
    if looked.inside.drivers:
        both = net_by_convention(looked.box, looked.inside)
        yield say(
            "A sheet may count what a driver takes up from its flange or from the inner face of the board. From the "
            "flange {flange} are left, from the inner face {inner}.",
            flange=VOLUME(both["flange"]),
            inner=VOLUME(both["inner face"]),
        )
    for remark in (*remarks, *looked.box.remarks):
        yield verbatim(remark if remark.endswith(".") else f"{remark}.")
    yield say(
        "In a crash it pulls forward with {forward}, in any other direction with {otherwise}. That is 20 and 10 times "
        "its weight without driver and port (common practice, no source). Nothing here says that a fixing holds it.",
        forward=FORCE(at_least(looked.forces.forward)),
        otherwise=FORCE(at_least(looked.forces.otherwise)),
    )


def _cautions(looked, values):
    yield say(CAUTIONS["Box"])
    if looked.drawn.space is not None:
        yield say(CAUTIONS["Airbags"])


def held_words(held):
    """Say what holds each panel of the largest box."""
    by = {}
    for name, what in held.items():
        by.setdefault(what, []).append(name)
    return " ".join(f"{' and '.join(names).capitalize()}: held by {what}." for what, names in by.items())


def account_lines(looked, system):
    """Return the account as rows: what, litres, where from."""
    rows = [[line.name, volume_text(line.volume, system), line.source] for line in looked.account.lines]
    return [*rows, ["net", volume_text(looked.account.sum, system), "what the driver works into"]]


def fit_lines(looked, system):
    """Return what fits as rows: what, there, needed, words, whether it does."""
    return [
        [
            _short(m.name),
            length_text(m.there, system),
            length_text(m.needed, system),
            margin_words(m, system),
            not m.blocks,
        ]
        for m in looked.margins
    ]


def ring_lines(looked):
    """Return between which frequencies the panels without holes ring first, as rows: panel, alone, with braces.

    The others follow, with a word why nothing is told of them.
    """
    told = {
        one.name: [
            f"{low:.0f} to {high:.0f} Hz" for low, high in ((one.low, one.high), (one.braced_low, one.braced_high))
        ]
        for one in looked.resonances
    }
    others = {name: [WITH_A_HOLE, ""] for name in looked.box.panel_names if name not in told}
    return [[name, *cells] for name, cells in (told | others).items()]


def cut_lines(looked, system):
    """Return the cut list as rows: part, board, length, breadth, start, end."""
    return [
        [
            f"{part.count} x {part.name}",
            fine_text(part.thickness, system),
            length_text(part.length, system),
            length_text(part.breadth, system),
            end_words(part.start),
            end_words(part.end),
        ]
        for part in looked.parts
    ]


def work_lines(looked, system):
    """Return which parts are no rectangles, what to buy and how to test for leaks, as sentences."""
    odd = ", ".join(part.name for part in looked.parts if not part.is_rectangle)
    corners = [f"No rectangle: {odd}. The sheet as PDF has the corners."] if odd else []
    return [*corners, *bought_lines(looked.box, looked.inside, system), *LEAK_TEST]


def stock_view(looked, system):
    """Return the sheets with their parts as plain data, or why there are none. [m]"""
    sheets = looked.sheets
    if isinstance(sheets, Exception):
        return {"wrong": refusal(sheets), "sheets": []}
    return {"wrong": "", "sheets": [_sheet(sheet, number, system) for number, sheet in enumerate(sheets, start=1)]}


def _sheet(sheet, number, system):
    stock = sheet.stock
    size = sheet_text(stock.length, stock.width, system)
    free = max((piece.area for piece in sheet.offcuts), default=0.0)
    largest = next((piece for piece in sheet.offcuts if piece.area == free), None)
    left = f" Largest offcut {sheet_text(largest.length, largest.width, system)}." if largest else ""
    return {
        "text": f"Sheet {number}: {size}, {fine_text(stock.thickness, system)} thick.{left}",
        "size": [stock.length, stock.width],
        "parts": [
            {"at": list(placed.at), "name": placed.part.name, "text": _sides(placed.part, system)}
            for placed in sheet.placed
        ],
        "offcuts": [list(piece) for piece in sheet.offcuts],
    }


def _sides(part, system):
    return f"{bare(part.length, system)} x {bare(part.breadth, system)}"
