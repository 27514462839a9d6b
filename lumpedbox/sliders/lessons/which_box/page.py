"""Which box to build: the best sealed and vented ones for a space, a port and an amplifier, and how sure that is."""

from __future__ import annotations

from ....design.search import WORDS, Brief
from ....design.search.brief import KINDS, VENTED
from ....design.search.limits import POWER
from ....design.search.recommendation import search_driver
from ....design.trade_off import BEYOND, of_candidates
from ....figures.trade_off import TradeOffPicture
from ....parts.amplifier import Amplifier, with_bridged
from ....parts.displacement import depth
from ....parts.loudspeaker import as_it_comes
from ....response import frequencies, solve
from ....response.limits import CAUTION_SPEED, maximum_level
from ....units import cm2, litre, mm
from ...kit import facts
from ...kit.answer import Answer, say, verbatim
from ...kit.controls import Choice, Power, Slider
from ...kit.litres import Litres
from ...kit.offered import AMPLIFIER, first_of, fit_for, left_out, offered
from ...kit.page import Page
from ...kit.panels import curves_of, level_and_travel, travel_limit
from ...kit.places import Cabins
from ...kit.predict import Question
from ...kit.scene import BUILDS, Scene
from ...kit.systems import AREA, FREQUENCY, LENGTH, LEVEL, SPEED, SYSTEMS, VOLUME
from ...kit.systems import POWER as WATTS
from . import answering
from .every_driver import EveryDriver
from .from_stage import BoxOfStage

GRID = frequencies(15, 300, per_octave=24)
TITLE = "Which box should I build?"
CANDIDATES = 900  # boxes to try first: what a slider can wait for
LISTEN = 40.0  # Hz; how loud it plays there is told, or at the lowest tone where that is higher
AIMS = {
    "reaching low": "f3",
    "a small box": "volume",
    "a low peak": "ripple",
    "a short group delay": "delay",
    "little cone travel": "excursion",
}
USUAL, OWN = "usual", "my own"
LOADS = {"1 ohm": 1.0, "2 ohm": 2.0, "4 ohm": 4.0, "8 ohm": 8.0}
ANOTHER = "another: say its watts"
LARGEST_SHOWN = 80 * litre
HIGH_F3 = 120.0  # Hz
SOFTER = 1.0  # dB, by which a box that reaches lower may be softer and still stand in the headline: ours
LOWER = 1.1  # as many times lower must the bass reach for another kind of box to be worth a word: ours
NO_PLACES = "the search counts f3, peak and droop, which the peaks and dips of resonances hide"
# What the limits are while they are the usual ones.
LIMITS = {"aim": "reaching low", "lowest": 35.0, "f3": HIGH_F3, "ripple": 2.0, "port_speed": CAUTION_SPEED}

QUESTION = Question(
    words="30 litres are free for a 200 mm bass driver. What does the best sealed box do with all 30?",
    options=(
        "It takes them all: f3 is lowest",
        "It leaves some free: larger is no better",
        "It needs more than 30",
    ),
    right="It leaves some free: larger is no better",
    why="In a larger box Q is lower, the level begins to fall earlier, and f3 rises again.",
    look="Look at the blue line of bass against size, and see where its dot is.",
)


class WhichBox(Scene):
    """Level and travel of the best boxes over one frequency axis, and beside them bass against size."""

    alternative_text = "Level and cone travel of the best sealed and vented box, and how low the bass reaches by volume"
    grid = GRID
    aside = 0.38
    refines = True
    drawn_to_scale = KINDS

    def __init__(self, drivers, amplifiers, cabins):
        self._drivers, self._amplifiers, self._cabins = drivers, amplifiers, cabins
        self.reach = {}
        pens = {
            "sealed": ("sealed", "sealed"),
            "vented": ("vented", "vented"),
            "travel": ("limit", "linear travel"),
            "lowest": ("validity", "lowest tone"),
        }
        super().__init__(pens, kept=KINDS)

    def panels(self, system):
        """Return the two panels in a system of units."""
        return level_and_travel(system, levels=(60.0, 120.0), travels=(20.0, 0.8))

    def beside(self, figure):
        """Add the axes of how low the bass reaches over volume; return what moves in them."""
        self.trade = TradeOffPicture(figure.add_axes((0, 0, 1, 1)), 0.0, HIGH_F3)
        self._label(SYSTEMS[0])
        return self.trade.moving

    def place(self, free):
        """Put bass against size where the panels leave room."""
        self.trade.place(free)

    def _label(self, system):
        shown = VOLUME.shown(system)
        self.trade.change(LARGEST_SHOWN, f"box with port and driver [{shown.unit}]", shown.size)

    def use(self, system):
        """Change the axes to another system of units."""
        self._label(system)
        super().use(system)

    def amplifier(self, values):
        """Return the amplifier that the controls stand for: an offered one, or one of so many watts."""
        if values["amplifier"] != ANOTHER:
            return self._amplifiers[values["amplifier"]]
        load = LOADS[values["load"]]
        return Amplifier(power=values["voltage"] ** 2 / load, rated_impedance=load, minimum_load=load)

    def most(self, values):
        """Return the most volts that the amplifier gives. [V]"""
        return float(self.amplifier(values).voltage)

    def load(self, values):
        """Return the load that the watts are counted into. [ohm]"""
        return answering.rated_load(self.amplifier(values))

    def limits(self, values):
        """Return the values with the limits that count."""
        return values if values["limits"] == OWN else values | LIMITS | {"port_length": values["depth"]}

    def brief(self, values):
        """Return the brief that the controls stand for."""
        values = self.limits(values)
        return Brief(
            volume=values["volume"],
            amplifier=self.amplifier(values),
            voltage=min(values["voltage"], self.most(values)),
            port_area=values["port_area"],
            port_length=values["port_length"],
            lowest=values["lowest"],
            f3=values["f3"],
            ripple=values["ripple"],
            port_speed=values["port_speed"],
            aim=AIMS[values["aim"]],
            cabin=self._cabins[values["cabin"]],
        )

    def curves(self, values):
        """Search the best boxes, roughly while the hand moves, and solve them with their spread."""
        brief, driver = self.brief(values), self._drivers[values["driver"]]
        self.found = search_driver(values["driver"], driver, brief, CANDIDATES, most=BEYOND, rough=self.coarse)
        self.designs = {design.kind: design for design in self.found.designs}
        self.responses = {
            kind: solve(as_it_comes(design.loudspeaker), GRID, brief.drive) for kind, design in self.designs.items()
        }
        nothing = dict.fromkeys(("level", "excursion"))
        curves = {kind: curves_of(self.responses[kind]) if kind in self.responses else nothing for kind in KINDS}
        return curves | {"travel": {"excursion": travel_limit(driver, GRID)}, "lowest": brief.lowest}

    def move(self, values):
        """Move the curves, and bass against size, to what the controls stand at."""
        self.deepest = values["depth"]
        changed = super().move(values)
        for kind in set(KINDS) - set(self.responses):
            self.stack.shade(kind, GRID, {})
        points = {kind: (design.values["volume"], design.values["f3"]) for kind, design in self.designs.items()}
        entries = [of_candidates(candidates) for candidates, _ in self.found.tried]
        self.trade.show(entries, WORDS, values["volume"], points)
        return changed

    def loudest(self, tone):
        """Return for each kind how loud a tone [Hz] can be with the power that is used."""
        return {kind: loudest_of(design, tone) for kind, design in self.designs.items()}

    def gentler(self, refusals):
        """Return the best box of a kind that is out, with the power that lets it in; None unless it reaches lower.

        Nobody must use all the watts there are.
        """
        for refusal in refusals:
            relaxed = refusal.relaxed.get(POWER.name) if refusal.alone else None
            if refusal.kind != VENTED or relaxed is None or relaxed.drive < self.reach[POWER.name][0]:
                continue
            found = search_driver(refusal.name, refusal.driver, relaxed, CANDIDATES).designs
            lowest = min(design.values["f3"] for design in self.found.designs)
            for design in found:
                if design.kind == VENTED and design.values["f3"] < lowest / LOWER:
                    return design
        return None

    def answer(self, values):
        """Say what to build, what it does, and why no other."""
        brief, driver = self.brief(values), self._drivers[values["driver"]]
        rough = self.coarse and not self.found.unsuitable
        refusals = () if rough else self.found.refusals()
        designs, tone = self.found.designs, max(LISTEN, brief.lowest)
        loudest, room, gentler = self.loudest(tone), (depth(driver), values["depth"]), self.gentler(refusals)
        less = gentler and (gentler, loudest_of(gentler, tone))
        as_loud = less and less[1].level[0] > loudest[answering.best_of(designs).kind].level[0] - SOFTER
        return Answer(
            headline=answering.headline(designs, refusals, room, gentler if as_loud else None),
            facts=answering.facts_of(self.designs, refusals, self.responses, loudest, tone, rough, self.members, less),
            details=tuple(self._details(values, brief, refusals, loudest, rough)),
            conditions=say(
                "{driver}, {amplifier} at {power}. Steady tones from {lowest} up, leakage Q {Ql}, {place}.",
                driver=verbatim(values["driver"]),
                amplifier=verbatim("your amplifier" if values["amplifier"] == ANOTHER else values["amplifier"]),
                power=WATTS(brief.drive**2 / self.load(values)),
                lowest=FREQUENCY(brief.lowest),
                Ql=say(f"{brief.Ql:g}"),
                place=self._cabins.told(values),
            ),
            cautions=tuple(answering.cautions(driver, brief.drive, self.responses.values())),
        )

    def _details(self, values, brief, refusals, loudest, rough):
        for kind, design in self.designs.items():
            yield from answering.of_design(design, loudest[kind], rough)
        for refusal in refusals:
            yield answering.refused(refusal, self.reach)
        if self.designs:
            best = self.responses[answering.best_of(self.found.designs).kind]
            yield facts.reach_means(best)
            if not rough:
                yield answering.how_sure(best, brief.lowest, self.members)
            yield say(BUILDS)
            if best.loudspeaker.cabin:
                yield from self._cabins.about(best)
                yield say("Peak, droop and group delay are as heard in the vehicle.")
        yield from answering.of_driver(self._drivers[values["driver"]], brief.drive, values["depth"])
        yield from answering.limits_of(brief, values["limits"] == USUAL)


def loudest_of(design, tone):
    """Return how loud a tone [Hz] can be with the power that a design is for, a `MaximumLevel`."""
    brief, load = design.brief, answering.rated_load(design.brief.amplifier)
    used = Amplifier(
        power=brief.drive**2 / load, rated_impedance=load, minimum_load=float(brief.amplifier.minimum_load)
    )
    return maximum_level(design.loudspeaker, tone, amplifier=used, port_speed=brief.port_speed)


class PowerUsed(Power):
    """A slider for the power that is used: it ends where the amplifier does.

    Parameters
    ----------
    most : callable
        Takes the page's values, returns the amplifier's highest voltage. [V]
    """

    def __init__(self, *arguments, most):
        super().__init__(*arguments)
        self._most = most

    def stops(self, values, system):
        """Return the volts of round watts, as far as the amplifier goes. [V]"""
        most = self._highest(values)
        return [*(stop for stop in super().stops(values, system) if stop < most * (1 - 1e-9)), most]

    def reading(self, si, values, system):
        """Return the watts of some volts, without the unit."""
        return super().reading(min(si, self._highest(values)), values, system)

    def note(self, si, values, system):
        """Return the volts and the load."""
        return super().note(min(si, self._highest(values)), values, system)

    def typed(self, text, values, system):
        """Return (volts, refusal) of what was typed: watts, or volts if it says so. [V]"""
        volts, refusal = super().typed(text, values, system)
        most = self._highest(values)
        if volts <= most * (1 + 1e-9):
            return volts, refusal
        return most, f"{text.strip()} is more than it gives: {self.reading(most, values, system)} W is taken."

    def _highest(self, values):
        return self.high if values["amplifier"] == ANOTHER else min(self.high, self._most(values))


def which_box(drivers=None, amplifiers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, amplifiers, cabins : dict, optional
        Name: Driver, name: Amplifier or HeadUnit, name: Cabin; your own and the invented ones of the demonstration
        by default. Drivers that resonate above 100 Hz are left out; an amplifier that can be bridged is offered so too.
    """
    drivers = offered().drivers if drivers is None else drivers
    amplifiers = offered().amplifiers | offered().head_units if amplifiers is None else amplifiers
    cabins = Cabins(offered().cabins if cabins is None else cabins, without=NO_PLACES)
    deep, missed = fit_for("which_box", "driver", drivers)
    sources = with_bridged(amplifiers)
    scene = WhichBox(deep, sources, cabins)
    source = first_of(AMPLIFIER, sources)
    volume = Slider("volume", "Space inside", VOLUME, 6 * litre, 60 * litre, 30 * litre, 0.5 * litre, "box")
    controls = [
        Choice("driver", "Driver", deep, first_of("200 mm bass", deep), left_out(missed, "driver"), "driver"),
        volume,
        Slider("depth", "Depth inside", LENGTH, 100 * mm, 800 * mm, 400 * mm, 10 * mm, "box"),
        Slider("port_area", "Widest port", AREA, 10 * cm2, 200 * cm2, 80 * cm2, 1 * cm2, "box"),
        *_power(scene, sources, source),
        *cabins.controls("Where it plays"),
        *_limits(),
    ]
    scene.reach = {control.name: (control.low, control.high) for control in controls if isinstance(control, Slider)}
    helpers = [Litres(volume, "driver", deep), EveryDriver(deep, CANDIDATES)]
    return Page(controls, scene, TITLE, helpers=helpers, way=BoxOfStage(scene, deep, sources, cabins))


def _power(scene, sources, source):
    """Return the controls of the amplifier."""
    start = 0.7 * float(sources[source].voltage)
    missed = left_out({}, "amplifier", "head_unit")
    return [
        Choice("amplifier", "Amplifier", (*sources, ANOTHER), source, missed, "amplifier"),
        Choice("load", "Into", LOADS, "4 ohm", group="amplifier", only=lambda values: values["amplifier"] == ANOTHER),
        PowerUsed("voltage", "Power used", 1.0, 100.0, start, scene.load, most=scene.most),
    ]


def _limits():
    """Return the controls of what is wanted, which are out of view while the usual limits count."""

    def own(values):
        return values["limits"] == OWN

    def limit(name, label, kind, low, high, step):
        return Slider(name, label, kind, low, high, LIMITS[name], step, "limits", own)

    return [
        Choice("limits", "Limits", (USUAL, OWN), USUAL, group="limits"),
        Choice("aim", "What matters most", AIMS, LIMITS["aim"], group="limits", only=own),
        limit("lowest", "Lowest tone", FREQUENCY, 20.0, 80.0, 0.5),
        limit("f3", "Bass down to", FREQUENCY, 20.0, HIGH_F3, 1.0),
        limit("ripple", "Peak, at most", LEVEL, 0.1, 6.0, 0.1),
        limit("port_speed", "Port air, at most", SPEED, 5.0, 30.0, 0.5),
        Slider("port_length", "Longest port", LENGTH, 100 * mm, 800 * mm, 400 * mm, 10 * mm, "limits", own),
    ]
