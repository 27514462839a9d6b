"""The shape of a bass response: its level and delay, and beside them its poles and what follows a step.

A family of shapes is drawn thin; the reader's own box is the thick curve among them.
"""

from __future__ import annotations

from collections import Counter
from dataclasses import dataclass

import numpy as np

from ...design.alignments import best_constant, efficiency_constant
from ...figures.s_plane import crosses, mark, ring, s_plane
from ...figures.stack import Panel
from ...figures.step import step_axes
from ...figures.style import PENS
from ...parts.driver import Driver
from ...parts.variants import with_total_q
from ...response import frequencies, solve
from ...response.level import pressure_of
from ...response.poles import PolesAndZeros, poles_and_zeros
from ...response.shape import over_passband, peak
from ...response.single import Response
from ...units import cm2, litre, ms
from .answer import fact, say, verbatim
from .controls import Choice, Slider
from .offered import fit_for, left_out
from .page import Page
from .scene import REFERENCE, Scene
from .systems import DELAY, FREQUENCY, LEVEL, QUALITY, SYSTEMS, TOTAL_Q, VOLUME
from .words import a_or_an

SEEN = 0.05  # dB; less rounds to nothing
GRID = frequencies(10, 300, per_octave=24)
LOWEST_Q, HIGHEST_Q = 0.2, 1.2  # of the driver's slider
UNDER = 20.0  # dB under the pass-band; what is softer is not asked for its delay
TIMES = (50 * ms, 100 * ms, 200 * ms)  # of which the time axis has one
BANDWIDTH, EVERY = 2000.0, 4  # of the step [Hz]; of its points, each fourth is drawn
STEP = (-0.7, 1.05)
TALL, NARROW = 3.5, 1.4  # inch: of a picture in which the time axis lies below; of a time axis that must
LOW = 1.6  # inch: of a place in which nothing lies below the s-plane, and of an s-plane too low for words in it
BESIDE, UNDERNEATH = 0.45, 0.45  # inch: room for the labels of the time axis
PEAK, DELAYED, TENTH = "peak", "longest group delay", "a step dies to a tenth in"
PLAIN = "30 Hz, coil without inductance"  # invented
COUNTED = ("no", "one", "two", "three", "four", "five", "six")
HIDDEN = {"level": None, "delay": None}


@dataclass(frozen=True, slots=True, eq=False)
class Shape:
    """What is drawn of one loudspeaker.

    Attributes
    ----------
    response : Response
    level : array, shape (nf,)
        Over the pass-band. [dB]
    time, step : array, shape (nt,)
        What follows a step, over what the pass-band makes of it. [s], [1]
    roots : PolesAndZeros or None
        None where a coil with K s^n has no poles that could be counted.
    """

    response: Response
    level: np.ndarray
    time: np.ndarray
    step: np.ndarray
    roots: PolesAndZeros | None

    @property
    def curves(self):
        """What the panels show."""
        return {"level": self.level, "delay": self.response.group_delay}

    @property
    def driver(self):
        """The driver in it."""
        return self.response.loudspeaker.driver

    def over_fs(self, which):
        """Return poles or zeros over the driver's angular resonance; none where they cannot be counted. [1]"""
        ws = 2 * np.pi * float(self.driver.fs)
        return getattr(self.roots, which) / ws if self.roots else np.zeros(0, complex)


def shape_of(speaker, duration):
    """Return what is drawn of a loudspeaker whose step is followed for some time. [s]"""
    response = solve(speaker, GRID)
    time, pressure = response.step_response(duration, BANDWIDTH)
    countable = not np.any(speaker.driver.semi_inductance > 0)
    return Shape(
        response=response,
        level=over_passband(response),
        time=time[::EVERY],
        step=pressure[::EVERY] / pressure_of(response.reference_level),
        roots=poles_and_zeros(speaker) if countable else None,
    )


class Shapes(Scene):
    """Level and group delay of a box among a family, and beside them the s-plane and the step response.

    A subclass has three methods. `parts(values)` returns the `Loudspeaker` of the controls. `members(values)` returns
    (Loudspeaker, poles over the driver's angular resonance) by name for the family. `family_of(values)` returns what
    the family depends on.

    Parameters
    ----------
    drivers : dict
        Name: Driver.
    family : dict
        Name of each member: its text in the legend.
    plane : dict
        Limits of the s-plane: left, right, low, high. [1]
    periods : float
        How many periods of the driver's resonance the time axis holds at least, if it can. [1]
    """

    alternative_text = (
        "Level and group delay against frequency of a loudspeaker among a family of shapes, its poles on the s-plane, "
        "and its pressure after a step"
    )
    grid = GRID
    aside = 0.5
    drawn_to_scale = ("box",)

    def __init__(self, drivers, family, plane, periods):
        self._drivers, self._plane, self._periods = drivers, plane, periods
        self.shape, self.family, self._family_of = None, {}, None
        self._names = {name: f"family {place}" for place, name in enumerate(family)}
        pens = {name: (self._names[name], text) for name, text in family.items()}
        super().__init__({"f3": ("look", "3 dB down")} | pens | {"box": ("first", "your box")}, kept=("box",))

    def panels(self, system):
        """Return the two panels in a system of units."""
        level = Panel("level", "level over the pass-band [dB]", -30.0, 10.0)
        return level, Panel("delay", "group delay [ms]", 0.0, 20.0, ms, tops=(40.0, 80.0, 160.0, 320.0))

    def beside(self, figure):
        """Add the s-plane and the time axis; return what moves in them."""
        room = (0.0, 0.0, 0.4, 0.4)
        plane, self.plane = s_plane(figure.add_axes(room, label="s-plane"), **self._plane, unit="2π fs")
        self.crosses = {name: crosses(plane, PENS[pen]) for name, pen in self._names.items()}
        pens = {"box" + REFERENCE: "start"} | self._names | {"box": "first"}
        time, self.steps = step_axes(figure.add_axes(room, label="step"), pens, *STEP)
        self._beside = plane, time
        steps = [line for name, line in self.steps.items() if not name.endswith(REFERENCE)]
        return [*self.crosses.values(), self.plane["poles"], *self.plane["zeros"], *steps]

    def place(self, free):
        """Put the time axis beside the s-plane, or under it where it would be too narrow and there is room below."""
        left, bottom, width, height = free
        plane, time = self._beside
        limits = self._plane
        wide, high = self.figure.get_size_inches()
        share = height * high * (limits["right"] - limits["left"]) / (limits["high"] - limits["low"]) / wide
        gap, under = BESIDE / wide, UNDERNEATH / high
        narrow = (width - min(share, width / 2) - gap) * wide < NARROW
        if height * high > LOW and (narrow or (share > width / 2 and height * high > TALL)):
            lower = 0.4 * (height - under)
            plane.set_position((left, bottom + lower + under, width, height - lower - under))
            time.set_position((left, bottom, width, lower))
        else:
            share = min(share, width / 2)
            plane.set_position((left, bottom, share, height))
            time.set_position((left + share + gap, bottom, width - share - gap, height))
        low = plane.get_position(original=True).height * high < LOW
        self.plane["key"].set_visible(not low)
        plane.yaxis.label.set_fontsize(7 if low else 8)

    def chosen_driver(self, values):
        """Return the driver that is chosen, as it comes."""
        return self._drivers[values["driver"]]

    def driver_of(self, values):
        """Return the driver that the controls stand for: as it comes, or with the motor that the Q asks for."""
        driver = self.chosen_driver(values)
        return driver if np.isclose(values["Qts"], own_q(driver), rtol=1e-9) else with_total_q(driver, values["Qts"])

    def curves(self, values):
        """Solve the box, and its family if that has changed."""
        duration = time_for(self.chosen_driver(values), self._periods)
        self.shape = shape_of(self.parts(values), duration)
        self.responses = {"box": self.shape.response}
        family_of = self.family_of(values)
        if self._family_of != family_of:
            members = self.members(values)
            self.family = {name: (shape_of(speaker, duration), poles) for name, (speaker, poles) in members.items()}
            self._family_of = family_of
        shown = {name: self.family[name][0].curves if name in self.family else HIDDEN for name in self._names}
        self.f3 = float(self.shape.response.f3)
        return shown | {"box": self.shape.curves, "f3": self.f3}

    def move(self, values):
        """Move the curves, the poles and the steps to what the controls stand at."""
        begins = self.shape is None
        changed = super().move(values)
        for name, line in self.crosses.items():
            shape, poles = self.family.get(name, (None, np.zeros(0)))
            mark(line, poles)
            self.steps[name].set_data(*([], []) if shape is None else (shape.time / ms, shape.step))
        self.steps["box"].set_data(self.shape.time / ms, self.shape.step)
        mark(self.plane["poles"], self.shape.over_fs("poles"))
        ring(self.plane["zeros"], self.shape.over_fs("zeros"))
        if begins:
            mark(self.plane["start"], self.shape.over_fs("poles"))
            self.steps["box" + REFERENCE].set_data(self.shape.time / ms, self.shape.step)
        return self._suit_time() or changed

    def _suit_time(self):
        axes, longest = self._beside[1], self.shape.time[-1] / ms
        changed = not np.isclose(axes.get_xlim()[1], longest, rtol=0.01)
        axes.set_xlim(0, round(longest))
        return changed

    def conditions(self, values, box, **numbers):
        """Say what is shown: the driver, and its box in words with numbers."""
        driver = self.shape.driver
        return say(
            f"{{driver}}{{motor}}: fs {{fs}}, Qts {{Qts}}, Vas {{Vas}}. {box}, half space.",
            driver=verbatim(values["driver"]),
            motor=say("" if driver == self.chosen_driver(values) else ", motor changed"),
            fs=FREQUENCY(driver.fs),
            Qts=TOTAL_Q(driver.Qts),
            Vas=VOLUME(driver.Vas),
            **numbers,
        )

    @property
    def outside(self):
        """Whether a pole lies outside of the picture: that of a coil does, far to the left."""
        return bool(np.any(self.shape.over_fs("poles").real < self._plane["left"])) or self._above

    @property
    def _above(self):
        return bool(np.any(self.shape.over_fs("poles").imag > self._plane["high"]))

    def cautions(self):
        """Say so where the poles of the swinging cone lie outside of the picture."""
        return (say("Your poles lie above the picture."),) if self._above else ()


def plain_driver():
    """Return the invented driver that the lessons begin with: nothing but its resonance and its Q."""
    driver = Driver.from_thiele_small(fs=30, Qes=0.5, Qms=10.0, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
    return with_total_q(driver, 0.4)


def bass_drivers(page, drivers=None):
    """Return the drivers of a lesson by name, the plain one first, and what is wrong with those left out."""
    deep, missed = fit_for(page, "driver", drivers)
    return {PLAIN: plain_driver(), **deep}, missed


def own_q(driver):
    """Return the total Q of a driver as its slider can show it. [1]"""
    return float(np.clip(driver.Qts, LOWEST_Q, HIGHEST_Q))


def time_for(driver, periods):
    """Return how long a step is followed: at least some periods of the driver's resonance, if the axis can. [s]"""
    return next((time for time in TIMES if time * driver.fs >= periods), TIMES[-1])


def driver_controls(drivers, missed):
    """Return the choice of the driver, and the slider of its total Q."""
    return (
        Choice("driver", "Driver", drivers, PLAIN, left_out(missed, "driver"), "driver"),
        Slider("Qts", "Total Q, Qts", TOTAL_Q, LOWEST_Q, HIGHEST_Q, own_q(drivers[PLAIN]), 0.005, "driver"),
    )


class ShapePage(Page):
    """A page on which the driver brings its own Q, until that is moved; `settle` lets other controls go along."""

    _last, _told = None, frozenset()

    def put(self, **places):
        """Put controls to new places; a Q that is told stays, whichever driver is chosen with it."""
        self._told = frozenset(places)
        super().put(**places)
        self._told = frozenset()

    def follow(self, values):
        """Let the controls go along with what has moved."""
        last = self._last or values  # a copy: `put` moves the page's own values in place
        moved = {name for name, value in values.items() if value != last[name]}
        if "driver" in moved and "Qts" not in moved | self._told:
            values = values | {"Qts": own_q(self.scene.chosen_driver(values))}
        values = self.settle(values, moved)
        self._last = dict(values)
        return values


def peak_height(shape):
    """Return the highest peak of a shape over the pass-band; 0 where there is none worth a word. [dB]"""
    highest = float(peak(shape.level))
    return highest if highest >= SEEN else 0.0


def peak_in_words(shape):
    """Say in a few words whether a shape peaks."""
    highest = peak_height(shape)
    if highest == 0:
        return say("no peak")
    told = LEVEL(highest)
    return say("a slight peak") if highest < 1 else say(f"{a_or_an(told.text(SYSTEMS[0]))} {{peak}} peak", peak=told)


def facts_of(shape):
    """Yield the facts that every shape has: its peak, its longest delay, and how fast it dies away."""
    if peak_height(shape):
        at = FREQUENCY(GRID[np.argmax(shape.level)])
        yield fact(PEAK, "{peak} at {at}", peak=LEVEL(peak_height(shape)), at=at)
    else:
        yield fact(PEAK, "none")
    heard = np.flatnonzero(shape.level > -UNDER)
    delay = shape.response.group_delay
    longest = heard[np.nanargmax(delay[heard])]
    yield fact(DELAYED, "{delay} at {at}", delay=DELAY(delay[longest]), at=FREQUENCY(GRID[longest]))
    if shape.roots:
        yield fact(TENTH, "{time}", time=DELAY(shape.roots.time_to_a_tenth))


def poles_in_words(shape):
    """Yield what there is to say of poles and zeros."""
    if shape.roots is None:
        yield say("Its coil follows K sⁿ. So its poles cannot be counted, and the s-plane stays empty.")
        return
    pairs, real, numbers = [], [], {}
    upper = shape.roots.poles[shape.roots.poles.imag >= 0]
    for place, (pole, (frequency, Q)) in enumerate(zip(upper, shape.roots.resonances, strict=True)):
        numbers |= {f"f{place}": FREQUENCY(frequency), f"Q{place}": QUALITY(Q)}
        pairs += [f"{{f{place}}} with a Q of {{Q{place}}}"] if pole.imag > 0 else []
        real += [f"{{f{place}}}"] if pole.imag == 0 else []
    if pairs:
        yield say(f"Poles in pairs: {', '.join(pairs)}.", **numbers)
    if real:
        yield say(f"Single poles on the real axis, which do not swing: {', '.join(real)}.", **numbers)
    yield zeros_in_words(shape)


def zeros_in_words(shape):
    """Say where the zeros are, and how steep the level falls for them."""
    kinds = Counter("origin" if zero == 0 else "pair" for zero in shape.roots.zeros if zero.imag >= 0)
    notches = {f"f{place}": FREQUENCY(abs(z) / (2 * np.pi)) for place, z in enumerate(shape.roots.zeros) if z.imag > 0}
    pair = "".join(f", and a pair at {{{name}}}, the notch of the passive radiator" for name in notches)
    steep = f"Far below, the level falls by {6 * kinds['origin']} dB an octave."
    return say(f"Zeros: {COUNTED[kinds['origin']]} at the origin{pair}. {steep}", **notches)


def efficiency_in_words(shape, kind, f3):
    """Yield how much louder the best of the named shapes could play from a watt, if f3 is known. [Hz]"""
    if not np.isfinite(f3):
        return
    reached = efficiency_constant(shape.driver.eta0, f3, shape.response.loudspeaker.box.volume)
    short = float(10 * np.log10(best_constant(kind) / reached))
    words = "With this volume and f3, the best {kind} shape without losses would play {short} {more} from a watt."
    more = say("louder" if short >= 0 else "softer")
    yield say(words, kind=say(kind), short=LEVEL(abs(short)), more=more)
