"""One driver in closed boxes of any size: what their Q does to level, delay, poles and what follows a step."""

from __future__ import annotations

import numpy as np

from ...design.alignments import closed_alignment, closed_ratio
from ...design.alignments.closed import CLOSED
from ...parts.box import SealedBox
from ...parts.loudspeaker import Loudspeaker
from ...units import litre
from ..exercises.closed_alignments import sheet as closed_alignment_sheet
from ..kit import facts
from ..kit.answer import ONLY, Answer, Fact, fact, say
from ..kit.controls import Slider
from ..kit.predict import Question
from ..kit.shapes import (
    PLAIN,
    SEEN,
    ShapePage,
    Shapes,
    bass_drivers,
    driver_controls,
    efficiency_in_words,
    facts_of,
    peak_in_words,
    poles_in_words,
)
from ..kit.systems import FREQUENCY, LEVEL, QUALITY, VOLUME

__all__ = ["QUESTION", "closed_alignment_sheet", "closed_alignments"]

TITLE = "What does Q do to a closed box?"
FAMILY = {"Qtc 0.5": 0.5, "Qtc 0.71, Butterworth": 2**-0.5, "Qtc 1.0": 1.0, "Qtc 1.4": 1.4}
PLANE = {"left": -2.2, "right": 0.3, "low": -0.4, "high": 4.0}  # times fs
START = 20 * litre
SMALLEST, LARGEST = 0.1 * litre, 1000 * litre  # of the boxes of the family; nobody builds others: ours
NEAR = 0.02  # relative; a Q nearer to a named one takes its name: ours
AMONG, RESONANCE = "in the family", "resonance"

QUESTION = Question(
    words=(
        "A closed box shrinks from 20 litres to 5, and Qtc rises from 0.8 to 1.4. How long does a step now take to die "
        "away?"
    ),
    options=("Twice as long", "Just as long", "Half as long"),
    right="Just as long",
    why=(
        "The box moves both poles straight up. How fast they die away is their distance to the left, and only the "
        "driver sets that."
    ),
    look="Move the volume to 5 litres, and watch the poles and the step.",
)


def character(Q):
    """Say what shape a Qtc gives."""
    for name, known in CLOSED.items():
        if abs(Q / known - 1) < NEAR:
            return f"as good as {name}"
    if Q > CLOSED["Butterworth"]:
        return "Chebyshev (it peaks before it falls)"
    return "between Bessel and Butterworth" if Q > CLOSED["Bessel"] else "softer than Bessel"


def volume_for(driver, Qtc):
    """Return the volume that makes a Qtc of a driver; infinite where none does. [m3]"""
    return float(driver.Vas / closed_ratio(float(driver.Qts), Qtc)) if Qtc > driver.Qts else np.inf


class ClosedAlignments(Shapes):
    """A closed box among those of four Qtc that the same driver could have."""

    def __init__(self, drivers):
        super().__init__(drivers, {name: name for name in FAMILY}, PLANE, periods=1.5)

    def parts(self, values):
        """Return the loudspeaker that the controls stand for."""
        return Loudspeaker(driver=self.driver_of(values), box=SealedBox(volume=values["volume"]))

    def family_of(self, values):
        """Return what the family depends on."""
        return values["driver"], values["Qts"]

    def members(self, values):
        """Return the driver in the boxes of the family, as far as it has them, and their poles. [1]"""
        driver, found = self.driver_of(values), {}
        for name, Qtc in FAMILY.items():
            volume = volume_for(driver, Qtc)
            if SMALLEST <= volume <= LARGEST:
                poles = Qtc / float(driver.Qts) * closed_alignment(Qtc).poles
                found[name] = Loudspeaker(driver=driver, box=SealedBox(volume=volume)), poles
        return found

    def answer(self, values):
        """Say what Qtc the box makes, and what that does."""
        driver, box = self.shape.driver, self.responses["box"].loudspeaker.box
        Q, reach = float(box.Qtc(driver)), facts.reach(self.responses["box"])
        fc, fs = FREQUENCY(box.resonance(driver)), FREQUENCY(driver.fs)
        return Answer(
            headline=say(
                f"In {{volume}} Qtc is {{Q}}: {{peak}}, bass {facts.ends(self.responses['box'])} {{reach}}.",
                volume=VOLUME(box.volume),
                Q=QUALITY(Q),
                peak=peak_in_words(self.shape),
                reach=reach,
            ),
            facts=(
                Fact(facts.REACH, {ONLY: reach}),
                *facts_of(self.shape),
                fact(RESONANCE, "{fc}, {fs} without box", fc=fc, fs=fs),
                fact(AMONG, "{among}", among=among(Q)),
            ),
            details=tuple(self._details(driver, Q)),
            conditions=self.conditions(values, "Closed, no leaks"),
            cautions=self.cautions(),
        )

    def _details(self, driver, Q):
        yield say(f"The shape is {character(Q)}. Bessel has a Qtc of {{bessel}}, Butterworth {{flat}}.", **named())
        if np.any(driver.Le > 0):
            bare = LEVEL(closed_alignment(Q).peak_db)
            peak = "the peak would be {bare}" if bare.value >= SEEN else "there would be no peak"
            yield say(f"The coil's inductance bends the curve: without it {peak}.", bare=bare)
        volumes = {f"V{place}": VOLUME(volume_for(driver, FAMILY[name])) for place, name in enumerate(self.family)}
        told = ", ".join(f"{FAMILY[name]:.2g} in {{V{place}}}" for place, name in enumerate(self.family))
        if told:
            yield say(f"This driver reaches Qtc {told}.", **volumes)
        if Q > 0.5:
            left = FREQUENCY(driver.fs / (2 * driver.Qts))
            yield say(
                "The box moves the poles only up and down: they stay {left} to the left, fs / (2 Qts).", left=left
            )
        else:
            yield say("Both poles lie on the real axis. So the cone creeps back without swinging.")
        yield from poles_in_words(self.shape)
        if self.outside:
            yield say("One pole or more lies outside the picture.")
        yield from efficiency_in_words(self.shape, "sealed", self.f3)
        yield facts.reach_means(self.responses["box"])


def named():
    """Return the two Q that have names. [1]"""
    return {"bessel": QUALITY(CLOSED["Bessel"]), "flat": QUALITY(CLOSED["Butterworth"])}


def among(Q):
    """Say between which members of the family a Qtc lies."""
    known = list(FAMILY.values())
    place = int(np.searchsorted(known, Q))
    nearest = min(known, key=lambda Qtc: abs(Qtc - Q))
    if np.isclose(Q, nearest, rtol=1e-3):
        return say("is Qtc {Q}", Q=QUALITY(nearest))
    if place in (0, len(known)):
        return say(f"{'above' if place else 'below'} Qtc {{end}}", end=QUALITY(nearest))
    return say("between Qtc {low} and {high}", low=QUALITY(known[place - 1]), high=QUALITY(known[place]))


class ClosedAlignmentPage(ShapePage):
    """A page on which volume and Qtc go along with each other."""

    def settle(self, values, moved):
        """Let the volume follow Qtc if that was moved; then Qtc is what the volume makes."""
        driver = self.scene.driver_of(values)
        if "Qtc" in moved and "volume" not in moved:
            values = values | {"volume": self.controls["volume"].nearest(volume_for(driver, values["Qtc"]))}
        return values | {"Qtc": float(SealedBox(volume=values["volume"]).Qtc(driver))}


def closed_alignments(drivers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers : dict, optional
        Name: Driver; your own and the invented ones of the demonstration by default. Stand-ins are left out, and so
        are drivers that resonate above 100 Hz. The page begins with one of no size and no coil inductance.
    """
    drivers, missed = bass_drivers("closed_alignments", drivers)
    controls = [
        *driver_controls(drivers, missed),
        Slider("volume", "Net volume", VOLUME, 3 * litre, 150 * litre, START, 0.5 * litre, "box"),
        Slider("Qtc", "Qtc", QUALITY, 0.3, 2.0, float(SealedBox(volume=START).Qtc(drivers[PLAIN])), 0.01, "box"),
    ]
    return ClosedAlignmentPage(controls, ClosedAlignments(drivers), TITLE)
