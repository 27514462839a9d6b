"""Why the free steps come first: two orders of the same steps, the money along them, and what each step is worth."""

from __future__ import annotations

import functools

import numpy as np

from ....figures.stack import Panel
from ....figures.style import PENS, marker_of
from ....figures.worth import WorthPicture
from ...kit.controls import Choice, Slider
from ...kit.page import Page
from ...kit.predict import Question
from ...kit.scene import Scene
from .answering import CREDITS, SEAL, SMALL, answer_of
from .ways import OUT, demo_ways, moved

TITLE = "Why do the free steps come first?"
STEPS = {  # name of a control: its step in the plan, and its label
    "step_seal": (SEAL, "seal the step wells"),
    "step_small": (SMALL, "small drivers"),
    "step_tweeters": ("tweeters at the middle row", "tweeters"),
    "step_roof": ("keep bass from the roof", "keep bass from the roof"),
    "step_amplifier": ("amplifier", "amplifier"),
    "step_bass": ("bass box", "bass box"),
}
PLACES = ("1st", "2nd", "3rd", "4th", "5th", "6th")
ONE, TWO, BEST, WORST, LOUDEST, OWN = (
    "team one",
    "team two",
    "the best way",
    "the worst way",
    "the loudest end",
    "your own way",
)
ORDERS = (ONE, TWO, BEST, WORST, LOUDEST, OWN)
LOW, HIGH = 80.0, 120.0  # dB, of both panels
TAKES, ADDS = -12.0, 18.0  # dB: the limits of what a step is worth
DIGIT = 5  # points: the longer side of a digit
FINE = 0.5  # credits, between points of the grid
BEYOND = 1.04  # times all of the money, where the axis ends

QUESTION = Question(
    words="Two teams do the same six steps for the same money. How far is team two ahead after 100 credits?",
    options=("Nothing, they end the same", "About 3 dB", "About 10 dB"),
    right="About 10 dB",
    why="Team two has done both free steps by then, and has spent 28. Team one has bought tweeters.",
    look="Look where the two lines begin at the left: what is above as found there has cost nothing.",
)


class FreeSteps(Scene):
    """Clean bass, and bass at fixed volts, against the money spent along two orders; beside it each step's worth.

    The first answer comes without what takes other orders too, such as the fair shares of the steps.
    """

    alternative_text = "Clean bass and bass at fixed volts along two orders against the money spent; each step's worth"
    along, reads_at, even = "money spent [credits]", 100.0, True
    aside = 0.38
    refines = True

    def __init__(self, ways):
        self.ways, total = ways, ways.plan.cost_of(ways.plan.stages)
        self.grid = np.arange(0.0, BEYOND * total, FINE)
        pens = {
            "one": ("first", "first order"),
            "two": ("second", "second order"),
            "found": ("validity", "as found"),
            "look": ("look", ""),
        }
        super().__init__(pens, kept=("one", "two"))

    def panels(self, system):
        """Return the two panels; decibels and money read alike everywhere."""
        return (
            Panel("clean", "highest clean bass at the ear [dB]", LOW, HIGH),
            Panel("fixed", f"the same bass at {self.ways.plan.voltage:g} V [dB]", LOW, HIGH),
        )

    def beside(self, figure):
        """Add what each step is worth, and the numbers of the steps on the lines; return what moves."""
        labels = [label for _, label in STEPS.values()]
        self.worth = WorthPicture(figure.add_axes((0, 0, 1, 1)), labels, TAKES, ADDS)
        plot = functools.partial(self.stack.axes["clean"].plot, [], [], linestyle="", clip_on=False)
        self.dots = {
            name: plot(color=PENS[pen].color, marker=shape, markersize=10, zorder=3)[0]
            for name, pen, shape in (("two", "second", "s"), ("one", "first", "o"))
        }
        looks = {"color": "white", "linewidths": 0.3, "zorder": 4, "clip_on": False}
        self.numbers = self.stack.axes["clean"].scatter([], [], s=DIGIT**2, **looks)
        self.numbers.set_paths([marker_of(str(place)) for place in range(1, len(STEPS) + 1)])
        return [*self.worth.moving, *self.dots.values(), self.numbers]

    def place(self, free):
        """Put the steps' worth where the panels leave room."""
        self.worth.place(free)

    def order(self, name, values):
        """Return the steps of an order by its name."""
        if name == OWN:
            return own_order(values)
        searched = {BEST: "best", WORST: "worst"}
        if name in searched:
            return getattr(self.ways.searched, searched[name])
        return self.ways.loudest_end if name == LOUDEST else self.ways.plan.orders[name]

    def orders(self, values):
        """Return the steps of both orders."""
        return tuple(tuple(self.order(values[which], values)) for which in ("one", "two"))

    def curves(self, values):
        """Return what one has for some money along either order; show what each step is worth."""
        ways = dict(zip(("one", "two"), (self.ways[order] for order in self.orders(values)), strict=True))
        self._show_steps(ways)
        self.refines = self.coarse  # what takes other orders is worked out once
        curves = {"look": values["look"]}
        for name, way in ways.items():
            done = way.after(self.grid)
            curves[name] = {"clean": way.clean[done], "fixed": way.fixed[done]}
        found = self.ways[()]
        return curves | {
            "found": {which: np.full_like(self.grid, getattr(found, which)[0]) for which in ("clean", "fixed")}
        }

    def _show_steps(self, ways):
        labels = dict(STEPS.values())
        worths = [{labels[step]: by for step, by in way.worth.items()} for way in ways.values()]
        shares = {} if self.coarse else self.ways.shares
        self.worth.show(worths, {label: shares.get(step, np.nan) for step, label in STEPS.values()})
        for name, way in ways.items():
            self.dots[name].set_data(way.cost[1:], way.clean[1:])
        spots = np.full((len(ways), len(STEPS), 2), np.nan)  # of those that an order leaves out there is none
        for spot, way in zip(spots, ways.values(), strict=True):
            spot[: len(way.order)] = np.column_stack([way.cost[1:], way.clean[1:]])
        self.numbers.set_offsets(spots.reshape(-1, 2))

    def answer(self, values):
        """Say which order has more on the way, and what the money buys."""
        names = values["one"], values["two"]
        return answer_of(self.ways, names, self.orders(values), values["look"], self.coarse)


class FreeStepsPage(Page):
    """The page; a step of one's own order that is moved makes room among the others."""

    def follow(self, values):
        """Return the values with places that make an order: what is moved is moved within the order before."""
        plan, order = self.scene.ways.plan, own_order(values)
        places = [values[name] for name in STEPS if values[name] != OUT]
        if sorted(places) != list(PLACES[: len(places)]) or not self.scene.ways.can_be(order):
            order, before = self._order, places_of(self._order)
            for name, (step, _) in STEPS.items():
                if values[name] != before[name]:
                    order = moved(plan, order, step, None if values[name] == OUT else PLACES.index(values[name]))
        self._order = order
        return super().follow(values | places_of(order))


def own_order(values):
    """Return the steps of one's own order."""
    done = [name for name in STEPS if values[name] != OUT]
    return tuple(STEPS[name][0] for name in sorted(done, key=lambda name: values[name]))


def places_of(order):
    """Return name of a control: place of its step in an order."""
    return {name: PLACES[order.index(step)] if step in order else OUT for name, (step, _) in STEPS.items()}


def free_steps():
    """Return the page of sliders."""
    ways = demo_ways()
    own, begins = (lambda values: OWN in (values["one"], values["two"])), places_of(ways.plan.orders[ONE])
    notes = {"step_bass": "It needs the amplifier, which goes along."}
    controls = [
        Choice("one", "First order", ORDERS, ONE, group="orders"),
        Choice("two", "Second order", ORDERS, TWO, group="orders"),
        Slider("look", "Spent so far", CREDITS, 0.0, 290.0, 100.0, 10.0, "money"),
        *(
            Choice(name, label, (*PLACES, OUT), begins[name], notes.get(name, ""), "your own way", own)
            for name, (_, label) in STEPS.items()
        ),
    ]
    return FreeStepsPage(controls, FreeSteps(ways), TITLE)
