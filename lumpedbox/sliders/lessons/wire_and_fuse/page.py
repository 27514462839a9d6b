"""Wire and fuse: a feed from the battery to the amplifier, what is lost in it, and a fuse for every wire."""

from __future__ import annotations

import numpy as np

from ....build import Cable, Draw, Feed
from ....build.feed.cable import CLAD_10, CLASS_5, RESISTIVITY
from ....build.feed.feed import BATTERY, HIGH_VOLTAGE, TAP, UNKNOWN, VEHICLES
from ....build.feed.fuses import CONTINUOUS
from ....errors import Refused
from ....figures.stack import Panel
from ....units import mm2, percent
from ...kit.controls import Choice
from ...kit.feed import Exact, Known, Size
from ...kit.page import Page
from ...kit.scene import Scene
from ...kit.stages import AtStage, is_example
from ...kit.systems import POWER, VOLTAGE, WAY, same
from .answering import AS_OPENED, Telling
from .batteries import Batteries
from .drawing import drawn_feed
from .from_stage import FeedOfStage
from .options import (
    ALONE,
    AMPLIFIER,
    BRANCH,
    EFFICIENCY,
    ELSE,
    KINDS,
    MADE_FOR,
    METALS,
    NOBODY,
    OWN,
    SECOND,
    SOURCES,
    UPGRADE,
    WIRE,
)
from .upgrade import BY_HAND, Stages

SIZES = np.array(list(CLASS_5))  # mm2
GRID = np.union1d(np.geomspace(0.5, 120.0, 160), SIZES)
TITLE = "Which wire, and which fuse?"
TOPS = (0.5, 1.0, 2.0, 5.0, 20.0, 60.0)  # V, of the panel
CURVES = ("own", "copper", "clad", "branch", "needed", "rating", "maker", "fuse", "branch rating", "branch fuse")
BETWEEN = 0.5  # m, from the split to the amplifier
AMPERE = same("A", decimals=0)
SHARE = same("%", percent, 0)
MILLIOHM = same("mΩ", 1e-3, 1)


class WireAndFuse(Scene):
    """Volts lost in wires of every size, and between which currents the fuse must lie."""

    alternative_text = "Volts lost up to the amplifier, and the currents that bound the fuse, against the size of wire"
    grid = GRID
    along = "size of the wire [mm²]"
    reads_at = 16.0

    def __init__(self, stages):
        self._stages = stages
        pens = {
            "own": ("first", "this metal"),
            "copper": ("family 4", "copper"),
            "clad": ("second", "clad, 10 % copper"),
            "branch": ("family 2", "to the branch's end"),
            "needed": ("validity", "the fuse needs"),
            "rating": ("limit", "the wire may carry"),
            "maker": ("family 3", "the maker allows"),
            "fuse": ("third", "fuse"),
            "branch rating": ("family 0", "the branch may carry"),
            "branch fuse": ("family 1", "branch fuse"),
            "size": ("look", "this size"),
        }
        super().__init__(pens, kept=("own",))

    def panels(self, system):
        """Return the two panels; both systems of units count volts and amperes."""
        return (
            Panel("lost", "volts lost on the way [V]", 0.0, TOPS[0], tops=TOPS[1:]),
            Panel("current", "current [A]", 0.0, 100.0, tops=(200.0, 400.0, 1000.0)),
        )

    def cable(self, values, of=""):
        """Return the cable that the controls stand for: that of the trunk, or of "branch_"."""
        rated = values["source"] != NOBODY and values[f"{of}rating"]
        return Cable(
            area=values[f"{of}area"],
            length=values[f"{of}length"],
            metal=METALS[values["metal"]],
            current_rating=values[f"{of}rating"] if rated else None,
            source=SOURCES[values["source"]],
        )

    def parts(self, values):
        """Return the `Feed` that the controls stand for; it refuses what must be refused."""
        amplifier = Draw(
            power=values["power"],
            efficiency=values["efficiency"],
            maker_fuse=values["maker"] or None,
            rated_voltage=MADE_FOR[values["made_for"]],
            name="the amplifier",
        )
        whole = {name: values[name] for name in ("vehicle", "taken_from")} | {"voltage": values["battery"]}
        trunk = whole | {"cable": self.cable(values), "return_resistance": values["back"] or None}
        if values["more"] == ALONE:
            return Feed(draws=amplifier, **trunk)
        second = values["more"] == SECOND
        on_branch = Draw(
            power=values["branch_power"],
            efficiency=values["branch_efficiency"] if second else EFFICIENCY[values["more"]],
            maker_fuse=(values["branch_maker"] or None) if second else None,
            rated_voltage=MADE_FOR[values["made_for"]],
            kind=KINDS[values["more"]],
            name=values["more"],
        )
        to_amplifier = self.cable(values | {"length": BETWEEN})
        branches = (
            Feed(
                cable=to_amplifier,
                draws=amplifier,
                name="amplifier",
                return_resistance=0.0 if values["back"] else None,
                **whole,
            ),
            Feed(cable=self.cable(values, "branch_"), draws=on_branch, name=values["more"], **whole),
        )
        return Feed(branches=branches, **trunk)

    def curves(self, values):
        """Find the feed, or why there is none, and what wires of every size would lose."""
        self.feed_found, self.fuses, self.refusal = self.found(values)
        shown = {name: {} for name in CURVES} | {"size": values["area"] / mm2}
        if self.feed_found is not None:
            shown |= self._volts(self.feed_found, values) | self._currents(self.feed_found, values)
        return shown

    def found(self, values):
        """Return the feed, the fuse of each of its cables, and why there is none: what is missing is None or empty."""
        feed, fuses = None, ()
        try:
            if values["vehicle"] == UNKNOWN:
                raise Refused("Feed", "vehicle", "is not known")
            feed = self.parts(values)
            fuses = tuple(place.fuse for place in feed.places)
        except Refused as error:
            return feed, fuses, error
        return feed, fuses, None

    def _volts(self, feed, values):
        """Return the volts lost up to the amplifier by the size of the trunk, and up to the end of a branch."""
        back, rest = feed.return_resistance or 0.0, feed.places[-1].drop - feed.drop
        lost = {metal: feed.current * (ohm_of_a_metre(metal) * values["length"] + back) for metal in METALS.values()}
        top = next(top for top in TOPS if top >= feed.drop + rest)
        lost = {metal: np.where(volts <= top, volts, np.nan) for metal, volts in lost.items()}
        own = lost.pop(feed.cable.metal)
        return {
            "own": {"lost": own},
            "copper": {"lost": lost.get("copper")},
            "clad": {"lost": lost.get(CLAD_10)},
            "branch": {"lost": np.where(own + rest <= top, own + rest, np.nan)} if feed.branches else {},
        }

    def _currents(self, feed, values):
        """Return what bounds the fuse, level all along the sizes, and the fuses."""
        levels = {"needed": feed.current / CONTINUOUS}
        if feed.cable.rating_that_holds is not None:
            levels["rating"] = feed.cable.rating_that_holds
        if values["maker"]:
            levels["maker"] = values["maker"]
        if feed.branches and feed.branches[-1].cable.rating_that_holds is not None:
            levels["branch rating"] = feed.branches[-1].cable.rating_that_holds
        if self.fuses:
            levels["fuse"] = self.fuses[0]
        if len(self.fuses) > 1:
            levels["branch fuse"] = self.fuses[-1]
        return {name: {"current": np.full_like(GRID, level)} for name, level in levels.items()}

    def feed(self, values):
        """Return the feed piece by piece; nothing where only a qualified person may touch it."""
        if self.feed_found is None:
            return None
        buy = tuple(Telling(self.feed_found, self.fuses, self.refusal, values).to_buy())
        return drawn_feed(self.feed_found, self.fuses, values["metal"], buy)

    def answer(self, values):
        """Say which fuse, what is lost, and what must be found out first."""
        return Telling(self.feed_found, self.fuses, self.refusal, values, self._later(values)).answer()

    def _later(self, values):
        """Return (stage, feed, fuses, refusal) of the chosen stage and those after it, with this wire."""
        if values["stage_done"] == BY_HAND or self.feed_found is None:
            return ()
        offered, stages = self._stages.offered, self._stages.stages
        first = [one.option for one in stages].index(values["stage_done"])
        now = stages[first]
        return tuple(
            (one, *(self.found(values | self._stages.places(one, now)) if one.option in offered else (None, (), None)))
            for one in stages[first:]
        )


def ohm_of_a_metre(metal):
    """Return the resistance of a metre of each size of the grid: copper through the rows of IEC 60228. [ohm]"""
    if metal != "copper":
        return RESISTIVITY[metal] / (GRID * mm2)
    return np.exp(np.interp(np.log(GRID), np.log(SIZES), np.log(list(CLASS_5.values())))) * 1e-3


def known(values):
    """Return whether the vehicle is known, and one that may be wired."""
    return values["vehicle"] not in (UNKNOWN, HIGH_VOLTAGE)


def at(step, then=lambda values: True):
    """Return what tells whether a control of a step is in view, as far as it then has a meaning."""
    return lambda values: known(values) and values["step"] == step and then(values)


def rated(values):
    """Return whether somebody has said what the wire may carry."""
    return values["source"] != NOBODY


def branches(values):
    """Return whether something else is on the feed."""
    return values["more"] != ALONE


def about_the_amplifier():
    """Return the controls of the vehicle and the first step."""
    amplifier = at(AMPLIFIER)
    return [
        Choice("vehicle", "Vehicle", VEHICLES, AS_OPENED[0], group="vehicle"),
        Exact("battery", "Battery, running", VOLTAGE, 10.0, 60.0, AS_OPENED[1], 0.1, "vehicle", known),
        Choice("step", "Now enter", (AMPLIFIER, WIRE, BRANCH, UPGRADE), AMPLIFIER, group="vehicle", only=known),
        Exact("power", "Sine power, all channels", POWER, 5.0, 3000.0, 300.0, 10.0, "amplifier", amplifier),
        Exact("efficiency", "Efficiency there", SHARE, 0.3, 0.95, 0.65, 0.01, "amplifier", amplifier),
        Choice("made_for", "Made for", MADE_FOR, "12 V", group="amplifier", only=amplifier),
        Known("maker", "Maker's largest fuse", AMPERE, 400.0, 0.0, 5.0, "amplifier", amplifier, least=1.0),
        Choice("taken_from", "Fed from", (BATTERY, TAP), BATTERY, group="amplifier", only=amplifier),
    ]


def about_the_wire():
    """Return the controls of the second step."""
    wire = at(WIRE)
    return [
        Size("area", "Size", 16 * mm2, "wire", wire),
        Choice("metal", "Metal", METALS, "copper", group="wire", only=wire),
        Exact("length", "Length, one way", WAY, 0.3, 15.0, 6.0, 0.1, "wire", wire),
        Choice("source", "Rating from", SOURCES, OWN, group="wire", only=wire),
        Known("rating", "It may carry", AMPERE, 500.0, 75.0, 5.0, "wire", at(WIRE, rated), least=1.0),
        Known("back", "Way back", MILLIOHM, 0.05, 0.0, 0.5e-3, "wire", wire, unknown="not measured", least=0.01e-3),
    ]


def about_a_branch():
    """Return the controls of the third step."""
    second = at(BRANCH, lambda values: values["more"] == SECOND)
    branch, its_rating = at(BRANCH, branches), at(BRANCH, lambda values: rated(values) and branches(values))
    return [
        Choice("more", "On the same feed", (ALONE, *KINDS), ALONE, group="branch", only=at(BRANCH)),
        Exact("branch_power", "Its power", POWER, 5.0, 3000.0, 60.0, 5.0, "branch", branch),
        Exact("branch_efficiency", "Its efficiency", SHARE, 0.3, 0.95, 0.65, 0.01, "branch", second),
        Known("branch_maker", "Its maker's fuse", AMPERE, 400.0, 0.0, 5.0, "branch", second, least=1.0),
        Size("branch_area", "Its wire", 2.5 * mm2, "branch", branch),
        Exact("branch_length", "Its length", WAY, 0.2, 10.0, 2.0, 0.1, "branch", branch),
        Known("branch_rating", "Its wire may carry", AMPERE, 200.0, 20.0, 1.0, "branch", its_rating, least=1.0),
    ]


class FeedPage(Page):
    """The page, on which a stage of an upgrade moves what it tells of."""

    def __init__(self):
        controls = [*about_the_amplifier(), *about_the_wire(), *about_a_branch()]
        named = {control.name: control for control in controls if isinstance(control, Exact)}
        self._stages, self._taken = Stages("stage_done", "Draws", ELSE, at(UPGRADE), named, "upgrade"), BY_HAND
        self._stage = None  # the last that was chosen
        controls.insert(3, self._stages)
        scene = WireAndFuse(self._stages)
        way = FeedOfStage(scene, self._stages, UPGRADE)
        super().__init__(controls, scene, TITLE, helpers=[Batteries()], way=way)

    def follow(self, values):
        """Take up what a stage tells once it is chosen; what is then moved by hand is no stage any more."""
        stage, told = values["stage_done"], {}
        if stage != BY_HAND:
            told = self._stages.offered[stage]
        if stage not in (self._taken, BY_HAND):
            chosen = next(one for one in self._stages.stages if one.option == stage)
            values, self._stage = values | self._stages.places(chosen, self._stage), chosen
            if not is_example(self._stages.plan):
                self.returning.settle_at(AtStage(self._stages.plan, chosen.name))
        elif any(values[name] != value for name, value in told.items()):
            values = values | {"stage_done": BY_HAND}
        self._taken = values["stage_done"]
        return super().follow(values)


def wire_and_fuse():
    """Return the page of sliders."""
    return FeedPage()
