"""The same driver in the same litres, once sealed and once vented."""

from __future__ import annotations

import numpy as np

from ...figures.stack import Panel
from ...parts.box import USUAL_LEAKAGE, SealedBox, VentedBox
from ...parts.loudspeaker import Loudspeaker
from ...parts.port import Port
from ...response import frequencies, solve
from ...response.limits import CAUTION_SPEED, level_at_port_speed
from ...units import cm2, litre
from ..exercises.sealed_or_vented import sheet as sealed_or_vented_sheet
from ..kit.controls import Choice, Slider
from ..kit.follows import about_port
from ..kit.litres import Litres
from ..kit.offered import first_of, left_out, offered
from ..kit.page import Page
from ..kit.panels import curves_of, level_and_travel, travel_limit
from ..kit.predict import Question
from ..kit.scene import Scene
from ..kit.systems import AREA, FREQUENCY, PLAIN, SPEED, VOLTAGE, VOLUME
from ..kit.words import NO_TRAVEL_KNOWN, OPEN_AIR, corners, half_of_what, half_power, spans

__all__ = ["QUESTION", "sealed_or_vented", "sealed_or_vented_sheet"]

GRID = frequencies(10, 400, per_octave=24)

QUESTION = Question(
    words="The 200 mm bass driver in 20 litres, sealed, and with a port tuned to 36 Hz: which plays louder at 20 Hz?",
    options=("The sealed box", "The vented box", "Both alike"),
    right="The sealed box",
    why="Below the tuning the port moves in while the cone moves out: the two cancel in large part.",
    look="Follow both curves down to 20 Hz.",
)


def pair(values):
    """Return the sealed and the vented loudspeaker that a set of values describes.

    Parameters
    ----------
    values : dict
        driver : Driver, volume [m3], fb [Hz], port_area [m2], Ql, cabin : Cabin or None.

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
        name: Loudspeaker(driver=values["driver"], box=box, cabin=values["cabin"])
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

    def __init__(self, drivers, cabins):
        self._drivers, self._cabins = drivers, {OPEN_AIR: None, **cabins}
        self.responses = {}
        pens = {
            "xmax": ("limit", "linear travel"),
            "port": ("port", "port heard"),
            "validity": ("validity", "the model holds to here"),
            "sealed": ("sealed", "sealed"),
            "vented": ("vented", "vented"),
        }
        super().__init__(pens, kept=("sealed", "vented"))

    def panels(self, system):
        """Return the three panels in a system of units."""
        delay = Panel("delay", "group delay\n[ms]", 0.0, 40.0, 1e-3)
        return (*level_and_travel(system, levels=(65.0, 120.0), travels=(20.0, 0.8)), delay)

    def parts(self, values):
        """Return the loudspeakers that the controls stand for: {"sealed": ..., "vented": ...}."""
        chosen = {"driver": self._drivers[values["driver"]], "cabin": self._cabins[values["cabin"]]}
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

    def conditions(self, values, system):
        """Say what is shown, and under which conditions."""
        volume, voltage = VOLUME.shown(system).text(values["volume"]), VOLTAGE.shown(system).text(values["voltage"])
        return f"{values['driver']} in {volume}: {voltage} r.m.s., 1 m, {values['cabin']}"

    def sentences(self, values, system):
        """Say what the curves amount to."""
        sealed, vented = self.responses["sealed"], self.responses["vented"]
        yield _louder(sealed, vented)
        yield _reach(sealed, vented)
        yield _travel(self.responses)
        yield _port(vented, values, system)
        if sealed.loudspeaker.cabin:
            yield corners(sealed)


def level_at(response, frequency):
    """Level at one frequency, solved there. [dB re 20 uPa]"""
    return float(solve(response.loudspeaker, frequency, response.voltage).level[0])


def _louder(sealed, vented):
    at = 40.0
    levels = level_at(sealed, at), level_at(vented, at)
    difference = levels[1] - levels[0]
    word = "louder" if difference >= 0 else "softer"
    return (
        f"At {at:.0f} Hz the vented box plays {abs(difference):.1f} dB {word} than the sealed one "
        f"({levels[1]:.1f} against {levels[0]:.1f} dB)."
    )


def _reach(sealed, vented):
    reach = [half_power(response) for response in (sealed, vented)]
    return f"Going down, {half_of_what(sealed)} is left at {reach[0]} sealed and at {reach[1]} vented."


def _travel(responses):
    if responses["sealed"].loudspeaker.driver.xmax is None:
        return NO_TRAVEL_KNOWN
    xmax = responses["sealed"].loudspeaker.driver.xmax
    sealed, vented = (spans(GRID, response.excursion > xmax) for response in responses.values())
    return f"The cone passes its linear travel {sealed} in the sealed box, {vented} in the vented one."


def _port(vented, values, system):
    fastest = float(np.max(vented.port_velocity))
    loud = ", likely to be heard" if fastest > CAUTION_SPEED else ""

    def text(kind, value):
        return kind.shown(system).text(value)

    fits = about_port(values["port_area"], values["fb"], values["volume"], text)
    return f"The air in the port reaches {text(SPEED, fastest)}{loud}. {fits}"


def sealed_or_vented(drivers=None, cabins=None):
    """Return the page of sliders.

    Parameters
    ----------
    drivers, cabins : dict, optional
        Name: Driver, name: Cabin; your own and the invented ones of the demonstration by default.
    """
    drivers = offered().drivers if drivers is None else drivers
    cabins = offered().cabins if cabins is None else cabins
    controls = [
        Slider("volume", "Net volume", VOLUME, 6 * litre, 80 * litre, 20 * litre, 0.5 * litre),
        Slider("fb", "Tuning of the vented box", FREQUENCY, 20.0, 80.0, 36.0, 0.5),
        Choice("driver", "Driver", drivers, first_of("200 mm bass", drivers), left_out({}, "driver")),
        Slider("voltage", "Amplifier, r.m.s.", VOLTAGE, 1.0, 25.0, 10.0, 0.25),
        Choice("cabin", "Where it plays", (OPEN_AIR, *cabins), OPEN_AIR, left_out({}, "cabin")),
        Slider("port_area", "Port area", AREA, 10 * cm2, 150 * cm2, 50 * cm2, 1 * cm2),
        Slider("Ql", f"Leakage Q ({USUAL_LEAKAGE:g}: Small 1973)", PLAIN, 3.0, 50.0, USUAL_LEAKAGE, 0.5),
    ]
    return Page(controls, SealedOrVented(drivers, cabins), first=2, helpers=[Litres(controls[0], controls[2], drivers)])
