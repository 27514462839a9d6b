"""What the page says of a box that goes on paper."""

from __future__ import annotations

import math

from ....build import cut_list, fit, forces, on_stock, restated
from ....build.workings.gauge import in_both_sizes
from ....figures.cautions import CAUTIONS
from ....figures.garage.drawings import holes_of
from ....figures.garage.hookup import fuse_text
from ....figures.garage.lengths import at_least, grid_of
from ...kit.answer import Answer, fact, say, verbatim
from ...kit.systems import AIR_MOVED, FREQUENCY, VOLUME, same

NET, TUNED, PARTS, SHEETS, TILTS = "air, as sawn", "port tunes to", "boards", "sheets of board", "saw tilts"
DEGREES = same("°", math.pi / 180, 1)
NEWTON = same("N", decimals=0)
KILOGRAM = same("kg", decimals=1)
PRINT = "Print at actual size, and measure the bar on each template: 100 mm."
HOOKUP = "Wire, fuse, levels and filters stand on one sheet, with lines to fill in for what is not known."


class Told:
    """A box as it is sawn, and what is said of it.

    Parameters
    ----------
    drawn : Drawn
    stock : tuple of Stock
    system : str
        Of units.
    hookup : dict
        The `Feed` of the plan, "feed", or why there is none, "unsettled"; neither without a plan.
    """

    def __init__(self, drawn, stock, system, hookup):
        self.hookup = hookup
        grid = grid_of(system)
        self.system, self.made = system, restated(drawn.box, drawn.inside, grid)
        self.parts = cut_list(self.made.box, grid, self.made.inside)
        self.sheets = on_stock(self.parts, stock) if stock else ()
        self.holes = holes_of(self.made.box, self.made.inside)
        place = () if drawn.space is None else (drawn.space,)
        self.misfits = tuple(margin for margin in fit(self.made.box, self.made.inside, *place) if margin.blocks)

    @property
    def count(self):
        """How many boards are sawn. [1]"""
        return sum(part.count for part in self.parts)

    @property
    def tilts(self):
        """The tilts to which the saw is set, each once. [rad]"""
        ends = (end for part in self.parts for end in (part.start, part.end, *part.sides))
        return sorted({round(math.degrees(end.tilt), 1) for end in ends if end.tilt > 0})

    def answer(self, name):
        """Return what is answered.

        Parameters
        ----------
        name : str
            Of the box.
        """
        return Answer(
            headline=self._headline(),
            facts=tuple(self._facts()),
            details=tuple(self._details()),
            conditions=say("{name}.", name=verbatim(name[:1].upper() + name[1:])),
            cautions=tuple(self._cautions()),
        )

    def _headline(self):
        count = verbatim(str(self.count))
        if self.misfits:
            first, more = self.misfits[0].name.replace(": ", ", "), len(self.misfits) - 1
            others = verbatim(f", and {more} more" if more else "")
            return say("Look before you cut. Does not fit: {first}{others}.", first=verbatim(first), others=others)
        return say(
            "{count} boards make {net} of air. Everything fits that is known.", count=count, net=VOLUME(self.made.net)
        )

    def _facts(self):
        yield fact(NET, "{net}", net=VOLUME(self.made.net))
        if self.made.tuning is not None:
            yield fact(TUNED, "{fb}", fb=FREQUENCY(self.made.tuning))
        yield fact(PARTS, "{count}", count=verbatim(str(self.count)))
        if self.sheets:
            yield fact(SHEETS, "{count}", count=verbatim(str(len(self.sheets))))
        if self.tilts:
            names = [f"tilt{place}" for place in range(len(self.tilts))]
            told = dict(zip(names, (DEGREES(math.radians(tilt)) for tilt in self.tilts), strict=True))
            yield fact(TILTS, ", ".join(f"{{{name}}}" for name in names), **told)

    def _details(self):
        for margin in self.misfits:
            yield verbatim(f"Does not fit: {margin.name}. {margin.words}")
        change = self.made.net - self.made.drawn_net
        yield say(
            f"Rounded as you saw them, the boards make {{change}} {'more' if change > 0 else 'less'} air than drawn.",
            change=AIR_MOVED(abs(change)),
        )
        yield say(PRINT)
        if "feed" in self.hookup:
            feed = self.hookup["feed"]
            told = ", ".join(
                f"{fuse_text(place)} before {in_both_sizes(place.feed.cable.area)}" for place in feed.places
            )
            yield verbatim(f"{HOOKUP} Fuse and wire as settled: {told}.")
        else:
            yield verbatim(" ".join(filter(None, [HOOKUP, self.hookup.get("unsettled")])))

    def _cautions(self):
        yield verbatim(CAUTIONS["Tools"])
        if self.made.box.mass is None:
            yield say("The board's density is not known, so no forces are told: weigh the box.")
            return
        held = forces(self.made.box, inside=self.made.inside)
        yield say(
            "The boards weigh {mass}. In a crash a fixing must hold {forward} forward; friction holds nothing.",
            mass=KILOGRAM(held.mass),
            forward=NEWTON(at_least(held.forward)),
        )

    def contents(self):
        """Return what the PDF holds: headings, and what stands there."""
        bored = [f"{hole.name}" for panel in self.made.box.panel_names for hole in self.holes.get(panel, ())]
        yield "What you build", "litres line by line, and what fits"
        yield "The box", "from the side, with lengths and angles"
        yield "Cut list", "blanks, ends, sawing and gluing in order, shopping, leak test"
        yield "Boards", f"{len(self.parts)} drawings with every hole"
        if self.sheets:
            yield "Sheets of board", f"{len(self.sheets)}, with the order of the cuts"
        if bored:
            yield "Templates at full size", ", ".join(dict.fromkeys(bored))
        yield "Wiring and settings", "wire, fuse, levels, filters"
        yield "Cautions", "all of them"
