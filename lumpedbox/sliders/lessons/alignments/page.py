"""What a box makes of a driver: the shape of the response, its poles, and the name under which that shape goes."""

from __future__ import annotations

import functools
from collections import Counter

import numpy as np

from ....design.alignments import (
    best_constant,
    box_of,
    closed_alignment,
    closed_ratio,
    efficiency_constant,
    of_box,
    radiator_box,
    vented_alignment,
)
from ....design.alignments.closed import CLOSED as NAMED_Q
from ....figures.s_plane import mark, ring, s_plane
from ....figures.stack import Panel
from ....parts.box import USUAL_LEAKAGE
from ....parts.driver import Driver
from ....parts.loudspeaker import Loudspeaker
from ....parts.variants import with_total_q
from ....response import frequencies, solve
from ....response.poles import poles_and_zeros
from ....response.shape import hump, over_passband
from ....units import cm2, litre, ms
from ...kit.controls import Choice, Slider
from ...kit.follows import both
from ...kit.offered import fit_for, left_out, offered
from ...kit.page import Page
from ...kit.predict import Question
from ...kit.scene import Scene
from ...kit.systems import FREQUENCY, QUALITY, TOTAL_Q, VOLUME

GRID = frequencies(10, 300, per_octave=24)
CLOSED, VENTED, RADIATOR = "closed", "vented", "passive radiator"
SEALED_OR_VENTED = {CLOSED: "sealed", VENTED: "vented", RADIATOR: "vented"}
ASKED, BY_HAND = "as the alignment asks", "by hand"
TIGHT = "none"
LEAKS = {
    TIGHT: np.inf,
    **{f"Ql = {Ql}": float(Ql) for Ql in (15, 10)},
    f"Ql = {USUAL_LEAKAGE:g} (Small 1973)": USUAL_LEAKAGE,
    **{f"Ql = {Ql}": float(Ql) for Ql in (5, 3)},
}
FAMILIES = {
    "B4": "Butterworth of fourth order",
    "QB3": "quasi-Butterworth of third order",
    "C4": "Chebyshev of fourth order",
}
PLAIN = "30 Hz, coil without inductance"  # invented
STEP_OF_Q, STEP_OF_ALPHA, STEP_OF_H = 0.001, 0.05, 0.01
NEAR = 0.02  # of volume and tuning; nearer than that a box is as good as the alignment: ours
PLANE = {"left": -3.0, "right": 0.6, "height": 3.2}  # times fs
LONGEST = 120 * ms  # of group delay: a Qts of 0.8, as the lesson asks for, makes 105
UNDER = 20.0  # dB under the pass-band; what is softer is not asked for its delay
COUNTED = ("no", "one", "two", "three", "four", "five", "six")

QUESTION = Question(
    words="A driver of Qts 0.4 sits in the vented box of its alignment. With a weaker motor Qts is 0.6. Which box now?",
    options=("A larger one, tuned lower", "A smaller one, tuned higher", "The same one"),
    right="A larger one, tuned lower",
    why="A weaker motor brakes the cone less: only a softer spring of air and a lower tuning keep the curve in shape.",
    look="Move Qts to 0.6: read volume and tuning, and watch the poles.",
)


def plain_driver():
    """Return the invented driver that the page begins with: nothing but its resonance and its Q."""
    driver = Driver.from_thiele_small(fs=30, Qes=0.5, Qms=10.0, Vas=60 * litre, Sd=330 * cm2, Re=3.4)
    return with_total_q(driver, 0.4)


def stop_of(Qts):
    """Return where the slider of Q stands for a driver."""
    return min(max(round(float(Qts) / STEP_OF_Q) * STEP_OF_Q, 0.2), 1.2)


@functools.lru_cache(maxsize=512)
def vented_for(Qts, Ql):
    """Return the vented alignment that belongs to a Q, or None and why there is none."""
    try:
        return vented_alignment(Qts, Ql), ""
    except ValueError as error:
        return None, str(error)


def shape_of_closed(Qtc):
    """Name the response of a closed box."""
    for name, Q in NAMED_Q.items():
        if abs(Qtc / Q - 1) < NEAR:
            return name if closed_alignment(Qtc).name == name else f"nearly {name}"
    if Qtc > NAMED_Q["Butterworth"]:
        return "Chebyshev, with a hump"
    return "between Bessel and Butterworth" if Qtc > NAMED_Q["Bessel"] else "softer than Bessel"


class Alignments(Scene):
    """Level and group delay over one frequency axis, and beside them the poles and zeros."""

    alternative_text = "Level and group delay against frequency, and poles and zeros on the s-plane, of a loudspeaker"
    grid = GRID
    right = 0.655

    def __init__(self, drivers):
        self._drivers, self._first_poles = drivers, None
        super().__init__({"f3": ("look", "half the power"), "box": ("first", "this box")}, kept=("box",))

    def panels(self, system):
        """Return the two panels in a system of units."""
        level = Panel("level", "level over the\npass-band [dB]", -30.0, 10.0)
        return level, Panel("delay", "group delay\n[ms]", 0.0, LONGEST / ms, ms)

    def beside(self, figure):
        """Add the s-plane; return what moves in it."""
        upright = self.stack.axes["delay"].get_position().y0, self.stack.axes["level"].get_position().y1
        axes = figure.add_axes((0.735, upright[0], 0.245, upright[1] - upright[0]))
        _, self.plane = s_plane(axes, **PLANE, unit="2π fs")
        return [self.plane["poles"], *self.plane["zeros"]]

    def own_total_q(self, name):
        """Return the total Q of a driver as it comes. [1]"""
        return float(self._drivers[name].Qts)

    def total_q(self, values):
        """Return the total Q of the driver that the controls stand for. [1]"""
        return self.own_total_q(values["driver"]) if self._as_it_comes(values) else values["Qts"]

    def _as_it_comes(self, values):
        """Tell whether the slider of Q stands where the driver's own Q is."""
        return _same(values["Qts"], stop_of(self.own_total_q(values["driver"])))

    def asked(self, values):
        """Return name, alpha and h of what belongs to the driver in such a box; None where nothing does."""
        Qts = self.total_q(values)
        if values["kind"] == CLOSED:
            return ("Butterworth", closed_ratio(Qts, NAMED_Q["Butterworth"]), None) if Qts < 0.7 else None
        found, _ = vented_for(Qts, LEAKS[values["leaks"]])
        return found and (found.name, found.alpha, found.h)

    def terms(self, values):
        """Return alpha and h of the box: what is asked for, or where the sliders stand."""
        asked = self.asked(values) if values["by"] == ASKED else None
        return asked[1:] if asked else (values["alpha"], values["h"])

    def parts(self, values):
        """Return the loudspeaker that the controls stand for."""
        driver = self._drivers[values["driver"]]
        driver = driver if self._as_it_comes(values) else with_total_q(driver, values["Qts"])
        (alpha, h), Ql = self.terms(values), LEAKS[values["leaks"]]
        if values["kind"] == RADIATOR:
            shape = of_box(driver.Qts, h, alpha, Ql)
            box = radiator_box(driver, shape, delta=values["delta"], Sd=float(driver.Sd))
        else:
            box = box_of(driver, alpha, h=h if values["kind"] == VENTED else None, Ql=Ql)
        return Loudspeaker(driver=driver, box=box)

    def curves(self, values):
        """Solve the loudspeaker, and find its poles and zeros."""
        speaker = self.parts(values)
        self.response = solve(speaker, GRID)
        self.level = over_passband(self.response)
        self.f3 = float(self.response.f3)
        self.found = None if np.any(speaker.driver.semi_inductance > 0) else poles_and_zeros(speaker)
        return {"box": {"level": self.level, "delay": self.response.group_delay}, "f3": self.f3}

    def move(self, values):
        """Move the curves, the poles and the zeros to what the controls stand at."""
        super().move(values)
        poles, zeros = self.roots()
        mark(self.plane["poles"], poles)
        ring(self.plane["zeros"], zeros)
        if self._first_poles is None:
            self._first_poles = poles
            mark(self.plane["start"], poles)

    def roots(self):
        """Return poles and zeros, over the angular resonance of the driver; none where they cannot be counted. [1]"""
        if self.found is None:
            return (), ()
        ws = 2 * np.pi * float(self.response.loudspeaker.driver.fs)
        return self.found.poles / ws, self.found.zeros / ws

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        driver = self.response.loudspeaker.driver
        motor = "" if driver == self._drivers[values["driver"]] else ", motor changed"
        Ql = LEAKS[values["leaks"]]
        leaks = "no leaks" if np.isinf(Ql) else f"Ql {Ql:g}"
        Vas = VOLUME.shown(system).text(driver.Vas)
        return (
            f"{values['driver']}{motor}: fs {FREQUENCY.metric.text(driver.fs)}, Qts {driver.Qts:.3f}, Vas {Vas}; "
            f"{values['kind']}, {leaks}; half space"
        )

    def sentences(self, values, system):
        """Say what the curves amount to."""
        yield from self._closed(values) if values["kind"] == CLOSED else self._vented(values)
        yield self._curves_in_words()
        yield self._roots_in_words()
        if np.isfinite(self.f3):
            yield self._efficiency(values)
        yield from _waiting(values, self.asked(values))

    def _closed(self, values):
        driver, box, (alpha, _) = self.response.loudspeaker.driver, self.response.loudspeaker.box, self.terms(values)
        Qtc, fc = float(box.Qtc(driver)), FREQUENCY.metric.text(box.resonance(driver))
        yield (
            f"{both(VOLUME, box.volume)} (Vas over {alpha:.2f}) lift fs to fc = {fc} and Qts to "
            f"Qtc = {Qtc:.3f} before leakage: {shape_of_closed(Qtc)}."
        )
        if values["by"] == ASKED and self.asked(values) is None:
            yield f"No closed box makes Butterworth's 0.707 of a Qts of {driver.Qts:.3f}: a box only raises it."

    def _vented(self, values):
        driver, asked = self.response.loudspeaker.driver, self.asked(values)
        yield f"{_told(driver, *self.terms(values))}: {_shape_of_vented(values, self.terms(values), asked, driver)}."
        if asked is None:
            _, why = vented_for(self.total_q(values), LEAKS[values["leaks"]])
            yield f"{why}. What is left is fewer leaks, a driver of lower Qts, or a closed box."

    def _curves_in_words(self):
        fs, delay = float(self.response.loudspeaker.driver.fs), self.response.group_delay
        heard = np.flatnonzero(self.level > -UNDER)
        at = heard[np.nanargmax(delay[heard])]
        half = f"at {self.f3:.1f} Hz, {self.f3 / fs:.3f} times fs" if np.isfinite(self.f3) else "nowhere in the picture"
        highest = float(hump(self.level))
        above = f"the hump is {highest:.1f} dB high" if highest >= 0.05 else "there is no hump"
        return (
            f"Half of the power is left {half}; {above}; the group delay is longest at {GRID[at]:.0f} Hz, "
            f"{delay[at] / ms:.1f} ms."
        )

    def _roots_in_words(self):
        if self.found is None:
            return "With K sⁿ in its coil it has no poles that could be counted, and the s-plane stays empty."
        pairs, real = [], []
        poles = self.found.poles[self.found.poles.imag >= 0]
        for pole, (frequency, Q) in zip(poles, self.found.resonances, strict=True):
            told = FREQUENCY.metric.text(frequency)
            pairs += [f"{told} with a Q of {Q:.2f}"] if pole.imag > 0 else []
            real += [told] if pole.imag == 0 else []
        swinging = f"Poles in pairs: {' and '.join(pairs)}" if pairs else "No poles in pairs"
        alone = f"; alone on the real axis: {' and '.join(real)}" if real else ""
        outside = "; what lies outside of the picture is not drawn" if self._outside() else ""
        return f"{swinging}{alone}{outside}. {self._zeros_in_words()}"

    def _outside(self):
        poles = self.roots()[0]
        return bool(np.any(poles.real < PLANE["left"]) or np.any(abs(poles.imag) > PLANE["height"]))

    def _zeros_in_words(self):
        kinds = Counter("origin" if zero == 0 else "pair" for zero in self.found.zeros if zero.imag >= 0)
        steep = f"far below everything the level falls by {6 * kinds['origin']} dB an octave"
        notch = [FREQUENCY.metric.text(abs(z) / (2 * np.pi)) for z in self.found.zeros if z.imag > 0]
        pair = f", and a pair at {notch[0]}, the notch of the passive radiator" if notch else ""
        return f"Zeros: {COUNTED[kinds['origin']]} at the origin{pair}; {steep}."

    def _efficiency(self, values):
        speaker, kind = self.response.loudspeaker, SEALED_OR_VENTED[values["kind"]]
        reached = efficiency_constant(speaker.driver.eta0, self.f3, speaker.box.volume)
        short = float(10 * np.log10(best_constant(kind) / reached))
        more = f"{abs(short):.1f} dB {'more' if short >= 0 else 'less'}"
        return (
            f"A driver that suits the best of the named shapes ({kind}, without losses) would make {more} level of a "
            "watt with that volume and f3."
        )


def _told(driver, alpha, h):
    box = box_of(driver, alpha, h=h)
    return (
        f"{both(VOLUME, box.volume)} (Vas over {alpha:.2f}) tuned to {FREQUENCY.metric.text(box.fb)} ({h:.3f} times fs)"
    )


def _shape_of_vented(values, terms, asked, driver):
    """Name the response of a vented box, or say how far it is from the one that belongs to the driver."""
    if asked is None:
        return "no alignment has that Qts"
    name, alpha, h = asked
    port = ", with a passive radiator for the port" if values["kind"] == RADIATOR else ""
    named = f"{name}, {FAMILIES[name]}{port}"
    larger, higher = alpha / terms[0] - 1, terms[1] / h - 1
    if values["by"] == ASKED:
        return named
    apart = [
        f"{how}{100 * abs(share):.0f} % {more if share > 0 else less}"
        for share, how, more, less in ((larger, "", "larger", "smaller"), (higher, "tuned ", "higher", "lower"))
        if abs(share) >= NEAR
    ]
    if not apart:
        return f"as good as {named}"
    asks = f"{name}, which belongs to this Qts, asks for {_told(driver, alpha, h)}"
    return f"no named alignment. {asks}: this box is {' and '.join(apart)}"


def _waiting(values, asked):
    """Say which sliders do nothing for now."""
    if values["by"] == ASKED and asked:
        yield "The sliders go along with the alignment until you move one of them."
    if values["kind"] == CLOSED:
        yield "A closed box has no tuning and no radiator: their sliders wait."
    if values["kind"] == VENTED:
        yield "A port has no suspension: the slider of Vap waits for a passive radiator."


class AlignmentPage(Page):
    """A page on which Q goes along with the driver, and volume and tuning with the alignment, until moved by hand."""

    def __init__(self, controls, scene, first):
        self._last = {control.name: control.value for control in controls}
        super().__init__(controls, scene, first)

    def move(self, redraw=False):
        """Let the controls go along, then answer the move."""
        if not self._busy:
            self._busy = True
            try:
                self._go_along()
            finally:
                self._busy = False
        super().move(redraw)

    def _go_along(self):
        values = self.values
        moved = {name for name, value in values.items() if not _same(value, self._last[name])}
        by_hand = {"alpha"} if values["kind"] == CLOSED else {"alpha", "h"}
        if "driver" in moved:
            self.controls["Qts"].value = stop_of(self.scene.own_total_q(values["driver"]))
        elif moved and moved <= by_hand and values["by"] == ASKED:
            self.controls["by"].value = BY_HAND
        asked = self.scene.asked(self.values)
        if self.values["by"] == ASKED and asked:
            for name, value, step in zip(("alpha", "h"), asked[1:], (STEP_OF_ALPHA, STEP_OF_H), strict=True):
                if value is not None:
                    self.controls[name].value = self.controls[name].nearest(round(value / step) * step)
        self._last = self.values


def _same(one, other):
    """Tell whether a control stands where it stood; the front end may round a number."""
    return one == other if isinstance(one, str) else abs(one - other) < 1e-6


def alignments(drivers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers : dict, optional
        Name: Driver; your own and the invented ones of the demonstration by default. Stand-ins are left out, and so
        are drivers that resonate above 100 Hz. The page begins with one of no size and no coil inductance.
    """
    drivers = offered().drivers if drivers is None else drivers
    deep, missed = fit_for("alignments", "driver", drivers)
    deep = {PLAIN: plain_driver(), **deep}
    controls = [
        Slider("Qts", "Total Q of the driver, Qts", TOTAL_Q, 0.2, 1.2, 0.4, STEP_OF_Q),
        Slider("alpha", "Vas over the volume of the box", QUALITY, 0.1, 9.0, 1.2, STEP_OF_ALPHA),
        Choice("kind", "Box", (CLOSED, VENTED, RADIATOR), VENTED),
        Choice("by", "Volume and tuning", (ASKED, BY_HAND), ASKED),
        Slider("h", "Tuning over fs", QUALITY, 0.3, 2.5, 0.96, STEP_OF_H),
        Choice("leaks", "Leaks", LEAKS, TIGHT),
        Slider("delta", "Vap of the radiator over the volume", QUALITY, 0.5, 10.0, 3.0, 0.1),
        Choice("driver", "Driver", deep, PLAIN, left_out(missed, "driver")),
    ]
    return AlignmentPage(controls, Alignments(deep), first=4)
