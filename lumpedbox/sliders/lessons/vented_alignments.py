"""What a vented box makes of a driver: the shape of the response, its poles, and the name under which it goes."""

from __future__ import annotations

import functools

import numpy as np

from ...design.alignments import box_of, named_alignment, of_box, radiator_box, vented_alignment
from ...parts.box import USUAL_LEAKAGE, VentedBox
from ...parts.loudspeaker import Loudspeaker
from ...parts.variants import with_total_q
from ...units import litre
from ..exercises.vented_alignments import sheet as vented_alignment_sheet
from ..kit import facts
from ..kit.answer import ONLY, Answer, Fact, fact, say, verbatim
from ..kit.controls import Choice, Slider
from ..kit.predict import Question
from ..kit.shapes import (
    ShapePage,
    Shapes,
    bass_drivers,
    driver_controls,
    efficiency_in_words,
    facts_of,
    peak_in_words,
    poles_in_words,
)
from ..kit.systems import FREQUENCY, PLAIN, QUALITY, VOLUME, same

__all__ = ["QUESTION", "vented_alignment_sheet", "vented_alignments"]

TITLE = "Which vented alignment suits your driver?"
FLATTEST, SOFT, BY_HAND = "QB3, B4 or C4", "SC4", "by hand"
PORT, RADIATOR = "port", "passive radiator"
TIGHT = "none"
LEAKS = {
    TIGHT: np.inf,
    **{f"Ql = {Ql}": float(Ql) for Ql in (15, 10)},
    f"Ql = {USUAL_LEAKAGE:g} (Small 1973)": USUAL_LEAKAGE,
    **{f"Ql = {Ql}": float(Ql) for Ql in (5, 3)},
}
NAMES = {
    "B4": "Butterworth of fourth order",
    "QB3": "quasi-Butterworth of third order",
    "C4": "Chebyshev of fourth order",
    "SC4": "sub-Chebyshev of fourth order",
}
FAMILY = {  # the Qts of each, where it has several members
    "SC4": ("SC4, Qts 0.3", 0.3),
    "BL4": ("BL4, Bessel-like", None),
    "QB3": ("QB3, Qts 0.3", 0.3),
    "B4": ("B4", None),
    "C4": ("C4, Qts 0.5", 0.5),
}
PORT_SHARE = 0.1  # of the cone's area, for the drawing of the port; no curve here depends on it: ours
RADIATOR_SHARE = 2.0  # of the area of the cone: as large ones are needed in large boxes; no curve depends on it: ours
NEAR = 0.02  # of volume and tuning; nearer than that a box is as good as the alignment: ours
PLANE = {"left": -2.0, "right": 0.3, "low": -0.3, "high": 2.2}  # times fs
SHARE = same("%", 0.01, decimals=0)
OF_B4, APART = "B4 needs a Qts of", "against its alignment"

QUESTION = Question(
    words="A driver of Qts 0.4 sits in the vented box of its alignment. A weaker motor makes Qts 0.6. Which box now?",
    options=("A larger one, tuned lower", "A smaller one, tuned higher", "The same one"),
    right="A larger one, tuned lower",
    why="A weaker motor brakes the cone less: only a softer spring of air and a lower tuning keep the curve in shape.",
    look="Move Qts to 0.6: read volume and tuning, and watch the poles.",
)


@functools.lru_cache(maxsize=512)
def vented_for(kind, Qts, Ql):
    """Return the alignment of a kind that belongs to a Q, or None and why there is none."""
    try:
        return named_alignment(SOFT, Qts=Qts, Ql=Ql) if kind == SOFT else vented_alignment(Qts, Ql), ""
    except ValueError as error:
        return None, str(error)


@functools.lru_cache(maxsize=16)
def family_for(Ql):
    """Return the alignments that are drawn thin, by name, at a leakage Q: those that a box can do."""
    found = {}
    for name, (_, Qts) in FAMILY.items():
        try:
            found[name] = named_alignment(name, Qts=Qts, Ql=Ql)
        except ValueError:
            continue
    return found


class VentedAlignments(Shapes):
    """A vented box among the families that drivers of the same resonance could have."""

    def __init__(self, drivers):
        super().__init__(drivers, {name: text for name, (text, _) in FAMILY.items()}, PLANE, periods=3.0)

    def asked(self, values):
        """Return the alignment that belongs to the driver, or None and why there is none."""
        return vented_for(values["family"], float(self.driver_of(values).Qts), LEAKS[values["leaks"]])

    def parts(self, values):
        """Return the loudspeaker that the controls stand for."""
        driver, Ql = self.driver_of(values), LEAKS[values["leaks"]]
        if values["opening"] == RADIATOR:
            alpha, h = self.ratios(values)
            shape, area = of_box(driver.Qts, h, alpha, Ql), RADIATOR_SHARE * float(driver.Sd)
            box = radiator_box(driver, shape, delta=values["delta"], Sd=area)
        else:
            area = PORT_SHARE * float(driver.Sd)
            box = VentedBox(volume=values["volume"], fb=values["fb"], port_area=area, Ql=Ql)
        return Loudspeaker(driver=driver, box=box)

    def ratios(self, values):
        """Return Vas over the volume, and the tuning over fs. [1]"""
        driver = self.driver_of(values)
        return float(driver.Vas) / values["volume"], values["fb"] / float(driver.fs)

    def family_of(self, values):
        """Return what the family depends on."""
        return values["driver"], values["leaks"]

    def members(self, values):
        """Return drivers of the same resonance in the boxes of the family, and their poles. [1]"""
        driver, found = self.chosen_driver(values), {}
        for name, shape in family_for(LEAKS[values["leaks"]]).items():
            suited = with_total_q(driver, shape.Qts)
            box = box_of(suited, shape.alpha, h=shape.h, Ql=shape.Ql)
            found[name] = Loudspeaker(driver=suited, box=box), shape.poles
        return found

    def answer(self, values):
        """Say how large a box to build, how to tune it, and what shape that gives."""
        shape, (found, why) = self.shape, self.asked(values)
        reach = facts.reach(self.responses["box"])
        return Answer(
            headline=self._headline(values, found, reach),
            facts=(
                Fact(facts.REACH, {ONLY: reach}),
                *facts_of(shape),
                *self._against(values, found),
            ),
            details=tuple(self._details(values, found, why)),
            conditions=self._conditions(values),
            cautions=self.cautions(),
        )

    def _headline(self, values, found, reach):
        if found is None and values["family"] != BY_HAND:
            Qts = QUALITY(self.shape.driver.Qts)
            if values["family"] == SOFT:
                return say(f"No SC4 suits a Qts of {{Qts}}: choose {FLATTEST}.", Qts=Qts)
            return say("No alignment suits a Qts of {Qts} with these leaks: seal them, or build a closed box.", Qts=Qts)
        return say(
            f"Tune {{volume}} to {{fb}}: {{name}}, {{peak}}, bass {facts.ends(self.responses['box'])} {{reach}}.",
            volume=VOLUME(values["volume"]),
            fb=FREQUENCY(values["fb"]),
            name=say(self._name(values, found)),
            peak=peak_in_words(self.shape),
            reach=reach,
        )

    def _name(self, values, found):
        if found is None:
            return "no named shape"
        if values["family"] != BY_HAND:
            return f"{found.name} with radiator" if values["opening"] == RADIATOR else found.name
        larger, higher = self._apart(values, found)
        return f"nearly {found.name}" if max(abs(larger), abs(higher)) < NEAR else "no named shape"

    def _apart(self, values, found):
        """Return by which shares the box is larger, and tuned higher, than its alignment asks. [1]"""
        alpha, h = self.ratios(values)
        return found.alpha / alpha - 1, h / found.h - 1

    def _against(self, values, found):
        if found is None:
            return
        if values["family"] != BY_HAND:
            yield fact(f"{found.name} stands for", NAMES[found.name])
            yield fact(OF_B4, "{Qts}", Qts=QUALITY(family_for(found.Ql)["B4"].Qts))
            return
        larger, higher = self._apart(values, found)
        yield fact(
            APART,
            "{larger} {size}, tuned {higher} {way}",
            larger=SHARE(abs(larger)),
            size=say("larger" if larger > 0 else "smaller"),
            higher=SHARE(abs(higher)),
            way=say("higher" if higher > 0 else "lower"),
        )

    def _details(self, values, found, why):
        driver = self.shape.driver
        if why:
            yield verbatim(f"{why}.")
        if found is not None:
            yield say(
                "{name} asks for {volume}, which is Vas / {alpha}. Its tuning is {fb}, {h} times fs.",
                name=say(found.name),
                volume=VOLUME(driver.Vas / found.alpha),
                alpha=QUALITY(found.alpha),
                fb=FREQUENCY(found.h * driver.fs),
                h=QUALITY(found.h),
            )
        yield from poles_in_words(self.shape)
        if self.outside:
            yield say("One pole or more lies outside the picture.")
        if values["opening"] == RADIATOR:
            yield say("The thin curves are those of boxes with a port.")
        else:
            yield say("The port is taken to have a tenth of the cone's area. No curve here depends on that.")
        yield from efficiency_in_words(self.shape, "vented", self.f3)
        yield facts.reach_means(self.responses["box"])

    def _conditions(self, values):
        Ql = LEAKS[values["leaks"]]
        numbers = {} if np.isinf(Ql) else {"Ql": PLAIN(Ql)}
        box = f"Vented by a {values['opening']}, {'leakage Q {Ql}' if numbers else 'no leaks'}"
        return self.conditions(values, box, **numbers)


class VentedAlignmentPage(ShapePage):
    """A page on which volume and tuning go along with the alignment, until moved by hand."""

    def settle(self, values, moved):
        """Let volume and tuning follow what the alignment asks for."""
        if moved and moved <= {"volume", "fb"}:
            return values | {"family": BY_HAND}
        found, _ = self.scene.asked(values)
        if values["family"] == BY_HAND or found is None:
            return values
        return values | asked_box(self.scene.driver_of(values), found)


def asked_box(driver, found):
    """Return the volume and the tuning that an alignment asks for. [m3], [Hz]"""
    return {"volume": float(driver.Vas) / found.alpha, "fb": found.h * float(driver.fs)}


def vented_alignments(drivers=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers : dict, optional
        Name: Driver; your own and the invented ones of the demonstration by default. Stand-ins are left out, and so
        are drivers that resonate above 100 Hz. The page begins with one of no size and no coil inductance.
    """
    drivers, missed = bass_drivers("vented_alignments", drivers)
    driver, Qts = driver_controls(drivers, missed)
    start = asked_box(drivers[driver.start], vented_for(FLATTEST, float(drivers[driver.start].Qts), np.inf)[0])
    controls = [
        driver,
        Qts,
        Choice("family", "Alignment", (FLATTEST, SOFT, BY_HAND), FLATTEST, group="vented box"),
        Slider("volume", "Net volume", VOLUME, 5 * litre, 300 * litre, start["volume"], 0.5 * litre, "vented box"),
        Slider("fb", "Tuning", FREQUENCY, 10.0, 150.0, start["fb"], 0.5, "vented box"),
        Choice("leaks", "Leaks", LEAKS, TIGHT, group="vented box"),
        Choice("opening", "Opening", (PORT, RADIATOR), PORT, group="vented box"),
        Slider(
            "delta",
            "Vap over volume",
            QUALITY,
            0.5,
            10.0,
            3.0,
            0.1,
            "vented box",
            only=lambda values: values["opening"] == RADIATOR,
        ),
    ]
    return VentedAlignmentPage(controls, VentedAlignments(drivers), TITLE)
