"""The same driver in the same litres, once sealed and once vented."""

from __future__ import annotations

import numpy as np

from ...figures.stack import Panel
from ...parts.box import USUAL_LEAKAGE, SealedBox, VentedBox
from ...parts.loudspeaker import Loudspeaker
from ...parts.port import BENT, FITS, LARGE, NONE, Port, port_fit
from ...response import frequencies, solve
from ...response.limits import CAUTION_SPEED, level_at_port_speed
from ...units import cm2, litre, ms
from ..exercises.sealed_or_vented import sheet as sealed_or_vented_sheet
from ..kit import facts
from ..kit.answer import Answer, Fact, say, verbatim
from ..kit.controls import Choice, Power, Slider
from ..kit.litres import Litres
from ..kit.offered import first_of, fit_for, left_out
from ..kit.page import Page
from ..kit.panels import curves_of, level_and_travel, travel_limit
from ..kit.places import Cabins
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import AREA, FREQUENCY, LEVEL, PLAIN, SPEED, VOLTAGE, VOLUME

__all__ = ["QUESTION", "sealed_or_vented", "sealed_or_vented_sheet"]

GRID = frequencies(10, 400, per_octave=24)
TITLE = "Sealed or vented in a small volume?"
KINDS = ("sealed", "vented")
LISTEN = 40.0  # Hz

QUESTION = Question(
    words="The 200 mm bass driver in 20 litres: sealed, or with a port tuned to 36 Hz. Which is louder at 20 Hz?",
    options=("The sealed box", "The vented box", "Both alike"),
    right="The sealed box",
    why="Below the tuning the air in the port moves in while the cone moves out: the two largely cancel.",
    look="Follow both curves down to 20 Hz.",
)


def pair(values):
    """Return the sealed and the vented loudspeaker that a set of values describes.

    Parameters
    ----------
    values : dict
        driver : Driver, volume [m3], fb [Hz], port_area [m2], Ql, and where : dict of what else a `Loudspeaker` takes.

    Returns
    -------
    dict
        "sealed" and "vented": Loudspeaker.
    """
    sealed = SealedBox(volume=values["volume"], Ql=values["Ql"])
    port = round_port(values)
    tuned = {"port": port} if port else {"fb": values["fb"], "port_area": values["port_area"]}
    vented = VentedBox(volume=values["volume"], Ql=values["Ql"], **tuned)
    return {
        name: Loudspeaker(driver=values["driver"], box=box, **values["where"])
        for name, box in (("sealed", sealed), ("vented", vented))
    }


def round_port(values):
    """Return the round port of the wanted area that tunes the box, or None where there is none of up to 3 m."""
    try:
        return Port.of_area(values["port_area"]).tuned(values["fb"], values["volume"])
    except ValueError:
        return None


class SealedOrVented(Scene):
    """Level, excursion and group delay of both boxes over one frequency axis."""

    alternative_text = "Level, cone travel and group delay against frequency of a sealed and a vented box"
    grid = GRID
    drawn_to_scale = KINDS

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins = drivers, cabins
        self.responses = {}
        pens = {
            "xmax": ("limit", "linear travel"),
            "port": ("port", "port heard"),
            "validity": ("validity", "the model holds to here"),
            "sealed": ("sealed", "sealed"),
            "vented": ("vented", "vented"),
        }
        super().__init__(pens, kept=("sealed", "vented"), cabins=cabins)

    def panels(self, system):
        """Return the three panels in a system of units."""
        delay = Panel("delay", "group delay [ms]", 0.0, 40.0, ms, tops=(80.0, 160.0))
        return (*level_and_travel(system, levels=(65.0, 120.0), travels=(20.0, 0.8)), delay)

    def parts(self, values):
        """Return the loudspeakers that the controls stand for: {"sealed": ..., "vented": ...}."""
        chosen = {"driver": self._drivers[values["driver"]], "where": self._cabins.at(values)}
        return pair({**values, **chosen})

    def curves(self, values):
        """Solve both boxes."""
        self.responses = {name: solve(speaker, GRID, values["voltage"]) for name, speaker in self.parts(values).items()}
        driver = self._drivers[values["driver"]]
        return {
            **{name: curves_of(r) | {"delay": r.group_delay} for name, r in self.responses.items()},
            "xmax": {"excursion": travel_limit(driver, GRID)},
            "port": {"level": level_at_port_speed(self.responses["vented"])},
            "validity": min(np.min(response.validity_limit) for response in self.responses.values()),
        }

    def load(self, values):
        """Return the load that the watts are counted into. [ohm]"""
        return float(self._drivers[values["driver"]].nominal_resistance)

    def answer(self, values):
        """Say which of the two is louder, and what it costs."""
        sealed, vented = self.responses["sealed"], self.responses["vented"]
        both = {"sealed": sealed, "vented": vented}
        levels = {name: level_at(response, LISTEN) for name, response in both.items()}
        return Answer(
            headline=headline(**levels, fit=port_fit(values["port_area"], values["fb"], values["volume"])),
            facts=(
                Fact(facts.REACH, {name: facts.reach(response) for name, response in both.items()}),
                Fact(facts.WITHIN, {name: facts.within_travel(response) for name, response in both.items()}),
                Fact(facts.MOST, {name: facts.most_travel(response) for name, response in both.items()}),
                Fact(facts.PORT, {"vented": facts.port(values["port_area"], values["fb"], values["volume"])}),
                Fact(facts.PORT_AIR, {"vented": facts.port_air(vented)}),
            ),
            details=tuple(self._details(levels, sealed, vented, values)),
            conditions=say(
                "{driver} in {volume}, {voltage} r.m.s., {place}.",
                driver=verbatim(values["driver"]),
                volume=VOLUME(values["volume"]),
                voltage=VOLTAGE(values["voltage"]),
                place=self._cabins.told(values),
            ),
            cautions=(
                *facts.hot_coil(max(map(facts.coil_heat, both.values())), sealed.loudspeaker.driver),
                *facts.protect_ears(GRID, [response.level for response in both.values()]),
            ),
        )

    def _details(self, levels, sealed, vented, values):
        levels = {name: LEVEL(level) for name, level in levels.items()}
        yield say(f"At {LISTEN:.0f} Hz: {{sealed}} sealed, {{vented}} vented.", **levels)
        yield facts.reach_means(sealed)
        if np.max(vented.port_velocity) > CAUTION_SPEED:
            yield say("The port is likely to be heard: its air is faster than {speed}.", speed=SPEED(CAUTION_SPEED))
        yield facts.port_room(values["volume"])
        yield facts.takes_up(sealed.loudspeaker.driver)
        yield from self._cabins.about(sealed)
        yield from facts.bands(self.responses.values())
        yield facts.holds_up_to(vented)


def headline(sealed, vented, fit):
    """Say which of two levels is higher, and whether the port goes in. [dB]"""
    lead = vented - sealed
    port = {
        NONE: "no port of that area tunes so high",
        LARGE: "its port is too large for the box",
        BENT: "its port does not fit straight",
        FITS: "its port fits",
    }[fit.verdict]
    if abs(lead) < 0.5:
        return say(f"Both play as loud at {LISTEN:.0f} Hz, and the sealed one needs no port.")
    if lead < 0:
        return say(f"Sealed plays {{lead}} louder at {LISTEN:.0f} Hz, and needs no port.", lead=LEVEL(-lead))
    joined = "and" if fit.verdict == FITS else "but"
    return say(f"Vented plays {{lead}} louder at {LISTEN:.0f} Hz, {joined} {port}.", lead=LEVEL(lead))


def level_at(response, frequency):
    """Level at one frequency, solved there. [dB re 20 uPa]"""
    return float(solve(response.loudspeaker, frequency, response.voltage).level[0])


def sealed_or_vented(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default. Tweeters are left
        out.
    """
    drivers, missed = fit_for("sealed_or_vented", "driver", drivers)
    cabins = Cabins(cabins)
    scene = SealedOrVented(drivers, cabins)
    volume = Slider("volume", "Net volume", VOLUME, 6 * litre, 80 * litre, 20 * litre, 0.5 * litre, "box")
    controls = [
        Choice("driver", "Driver", drivers, first_of("200 mm bass", drivers), left_out(missed, "driver"), "driver"),
        volume,
        Slider("Ql", "Leakage Q", PLAIN, 3.0, 50.0, USUAL_LEAKAGE, 0.5, "box"),
        Slider("fb", "Tuning", FREQUENCY, 20.0, 80.0, 36.0, 0.5, "vented box"),
        Slider("port_area", "Port area", AREA, 10 * cm2, 150 * cm2, 50 * cm2, 1 * cm2, "vented box"),
        Power("voltage", "Power", 1.0, 25.0, 10.0, scene.load),
        *cabins.controls("Where it plays"),
    ]
    return Page(controls, scene, TITLE, helpers=[Litres(volume, "driver", drivers)])
